//! Whether the book is as it was written, and its plans as they were computed.

use records::{Digest, Fact, Head, Seq};

use crate::cli::{FINE, REFUSED};
use crate::desk::{Done, Place};
use crate::verb::raise::{Recomputed, recomputed};
use crate::write;

/// Reads a head as it is told.
pub(super) fn head(text: &str) -> Result<Head, String> {
    let (seq, hash) = text.split_once(':').ok_or("write it as NUMBER:HASH, as `backup` tells it")?;
    let seq = seq.parse().map_err(|_| format!("“{seq}” is no number"))?;
    Ok(Head { seq: Seq(seq), hash: hash.parse::<Digest>().map_err(|e| e.to_string())? })
}

/// As `verify --head` reads it.
pub(super) fn told(head: Head) -> String {
    format!("{}:{}", head.seq, head.hash)
}

pub(super) async fn verify(place: &Place, known: Option<Head>, plans: bool) -> Done {
    let found = records::verify(&place.text(), known).await?;
    let faults: String = found.faults.iter().map(|fault| format!("FAULT: {fault}.\n")).collect();
    let counts = format!(
        "{} events and {} documents; it ends with {}.\n",
        found.events,
        found.documents,
        told(found.head)
    );
    if !faults.is_empty() {
        return Ok(write::out(&format!("{faults}{counts}"), REFUSED));
    }
    let text = format!("The book is as it was written: {counts}");
    if !plans {
        return Ok(write::out(&text, FINE));
    }
    let (told, code) = plans_again(place).await?;
    Ok(write::out(&(text + &told), code))
}

/// Every plan that the book holds.
async fn plans_again(place: &Place) -> Result<(String, u8), crate::desk::Ended> {
    let book = place.open().await?;
    let (mut text, mut same, mut code, mut after) = (String::new(), 0, FINE, Seq(0));
    loop {
        let page = book.events_after(after).await?;
        let Some(last) = page.last() else { break };
        after = last.seq;
        for event in &page {
            let (Fact::PlanKept { plan } | Fact::RaiseBegun { plan, .. } | Fact::RaiseRefused { plan, .. }) =
                &event.fact
            else {
                continue;
            };
            let seq = event.seq;
            let line = match recomputed(&book, plan).await? {
                Recomputed::Same => {
                    same += 1;
                    continue;
                }
                Recomputed::Differs => {
                    format!("FAULT: the plan of event {seq}, computed again, gives other bytes.\n")
                }
                Recomputed::OtherProgram(program) => format!(
                    "The plan of event {seq} was made by {program}; this program's bytes differ, which proves nothing.\n"
                ),
                Recomputed::NotPlanned(why) => {
                    format!("FAULT: the plan of event {seq} cannot be computed again:\n{why}\n")
                }
            };
            if line.starts_with("FAULT") {
                code = REFUSED;
            }
            text += &line;
        }
    }
    let plans = if same == 1 {
        "1 plan, computed again, gives".into()
    } else {
        format!("{same} plans, computed again, give")
    };
    Ok((format!("{plans} the same bytes.\n{text}"), code))
}
