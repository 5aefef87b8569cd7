//! Writing rows. Rows are inserted; only head, kept fold and PINs are ever replaced.

use std::collections::BTreeSet;

use serde::Serialize;
use sqlx::AnyConnection;

use super::read::{signed, sum_of};
use crate::digest::Document;
use crate::event::{Event, Head, StoredEvent};
use crate::failure::Failure;
use crate::fleet::Fleet;
use crate::hall::{FOLD, Hall};
use crate::shop::Shop;

pub(crate) async fn event(
    on: &mut AnyConnection,
    stored: &StoredEvent,
    event: &Event,
) -> Result<(), Failure> {
    sqlx::query(
        "INSERT INTO event (seq, at_microseconds, zone, by_person, with_person, fact, before_hash, hash, day) \
         VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9)",
    )
    .bind(signed(event.seq))
    .bind(stored.at)
    .bind(&stored.zone)
    .bind(&stored.by)
    .bind(&stored.with)
    .bind(&stored.fact)
    .bind(&stored.before)
    .bind(&stored.hash)
    .bind(event.zone.day(event.at).to_string())
    .execute(&mut *on)
    .await?;
    let subjects: BTreeSet<_> = event.fact.subjects().into_iter().collect();
    for subject in subjects {
        sqlx::query("INSERT INTO subject (subject, seq) VALUES ($1, $2)")
            .bind(subject.to_string())
            .bind(signed(event.seq))
            .execute(&mut *on)
            .await?;
    }
    Ok(())
}

pub(crate) async fn document(on: &mut AnyConnection, document: &Document) -> Result<(), Failure> {
    sqlx::query("INSERT INTO document (digest, content) VALUES ($1, $2) ON CONFLICT (digest) DO NOTHING")
        .bind(document.digest().to_string())
        .bind(document.text())
        .execute(on)
        .await?;
    Ok(())
}

pub(crate) async fn head(on: &mut AnyConnection, head: Head) -> Result<(), Failure> {
    sqlx::query(
        "INSERT INTO head (only_row, seq, hash) VALUES (1, $1, $2) \
         ON CONFLICT (only_row) DO UPDATE SET seq = excluded.seq, hash = excluded.hash",
    )
    .bind(signed(head.seq))
    .bind(head.hash.to_string())
    .execute(on)
    .await?;
    Ok(())
}

/// Hall and fleet.
pub(crate) async fn fold(on: &mut AnyConnection, shop: &Shop) -> Result<(), Failure> {
    hall(&mut *on, &shop.hall).await?;
    fleet(on, shop.head, &shop.fleet).await
}

pub(crate) async fn hall(on: &mut AnyConnection, hall: &Hall) -> Result<(), Failure> {
    let query = "INSERT INTO fold (only_row, version, seq, hash, shop) VALUES (1, $1, $2, $3, $4) ON CONFLICT (only_row) DO UPDATE SET \
         version = excluded.version, seq = excluded.seq, hash = excluded.hash, shop = excluded.shop";
    kept(on, query, hall.head, hall).await
}

pub(crate) async fn fleet(on: &mut AnyConnection, head: Head, fleet: &Fleet) -> Result<(), Failure> {
    let query = "INSERT INTO fleet (only_row, version, seq, hash, fleet) VALUES (1, $1, $2, $3, $4) ON CONFLICT (only_row) DO UPDATE SET \
         version = excluded.version, seq = excluded.seq, hash = excluded.hash, fleet = excluded.fleet";
    kept(on, query, head, fleet).await
}

async fn kept(
    on: &mut AnyConnection,
    query: &'static str,
    head: Head,
    part: &impl Serialize,
) -> Result<(), Failure> {
    let text = serde_json::to_string(part).map_err(|e| Failure::Store(e.to_string()))?;
    let at = head.hash.to_string();
    let text = format!("{} {text}", sum_of(&at, &text));
    sqlx::query(query).bind(FOLD).bind(signed(head.seq)).bind(at).bind(text).execute(on).await?;
    Ok(())
}
