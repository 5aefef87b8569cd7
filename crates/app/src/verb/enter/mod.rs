//! `enter`: everything that goes into the book beside raises.

mod check;
mod people;
mod things;

use clap::{Subcommand, ValueEnum};
use records::{Command, Event, Hall};

pub(crate) use check::REPORT;
pub(crate) use people::Chosen;

use crate::cli::FINE;
use crate::desk::{self, Desk, Done};
use crate::{told, write};

/// Writes into the shop's book what somebody did or found.
#[derive(Debug, Subcommand)]
pub(crate) enum What {
    /// Somebody belongs to the shop. Their PIN: `enter pin`.
    Person(people::Person),
    /// Somebody has another role.
    Role(people::RoleOf),
    /// The day of somebody's 18th birthday, where it is not in the book or stands there wrong.
    Age(people::Age),
    /// Somebody leaves the shop.
    Leaving(people::Leaving),
    /// Somebody was instructed.
    Instruction(people::Instruction),
    /// Somebody may operate lifts, in writing.
    Authorisation(people::Authorisation),
    /// Somebody may no longer operate lifts.
    Withdrawal(people::Withdrawal),
    /// A PIN: one's own, or by a lead anybody's. Asked for, or read from STANDFAST_NEW_PIN.
    Pin(people::Pin),
    /// The shop goes by another rule set.
    Rules(people::Rules),
    /// The shop reads in other units.
    Units(people::Units),
    /// The shop's days are those of another zone.
    Zone(people::Zone),
    /// The clock is right now, though an event of the book stands later.
    Clock(people::Clock),
    /// A lift, or what is newly known of it; its file is kept to the byte.
    Lift(things::Lift),
    /// A lift was altered in what bears load: it must be examined again.
    Alteration(things::OnLift),
    /// The check before use. Without --right and --wrong each item is asked.
    Check(check::Check),
    /// The report of an examination, with the fields that the shop's rules ask for.
    Examination(check::Examination),
    /// The lead confirms an examination.
    Confirmation(check::Confirmation),
    /// A defect of a lift.
    Defect(things::Defect),
    /// A lift is out of service.
    Tag(things::OnLift),
    /// A defect was repaired; the lift is still to be returned to service.
    Repair(things::Repair),
    /// A lift is in service again.
    Return(things::OnLift),
    /// A vehicle, or what is newly known of it; its file is kept to the byte.
    Vehicle(things::Vehicle),
    /// A job that the shop does, or what is newly known of it; its file is kept to the byte.
    Job(things::Job),
    /// The shop's own limits, in the place of those before; every plan of a raise goes by them.
    Limits(things::Limits),
    /// Something was measured of a vehicle.
    Measurement(things::Measurement),
    /// A vehicle that was left with parts off or on, or may have been, is as its file says again.
    Whole(things::Whole),
    /// Something happened that must not.
    Incident(things::Incident),
    /// An event is struck out: what it gave counts no more, what it changed goes back. What took something away stays; it is said how it is undone.
    Correction(things::Correction),
}

/// An answer that must be given.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub(crate) enum Answer {
    /// Yes.
    Yes,
    /// No.
    No,
}

pub(crate) fn run(what: &What) -> u8 {
    desk::run(async {
        match what {
            What::Person(p) => p.enter().await,
            What::Role(r) => r.enter().await,
            What::Age(a) => a.enter().await,
            What::Leaving(l) => l.enter().await,
            What::Instruction(i) => i.enter().await,
            What::Authorisation(a) => a.enter().await,
            What::Withdrawal(w) => w.enter().await,
            What::Pin(p) => p.enter().await,
            What::Rules(r) => r.enter().await,
            What::Units(u) => u.enter().await,
            What::Zone(z) => z.enter().await,
            What::Clock(c) => c.enter().await,
            What::Lift(l) => l.enter().await,
            What::Alteration(o) => o.enter(|lift, words| Command::AlterLift { lift, words }).await,
            What::Check(c) => c.enter().await,
            What::Examination(e) => e.enter().await,
            What::Confirmation(c) => c.enter().await,
            What::Defect(d) => d.enter().await,
            What::Tag(o) => o.tag().await,
            What::Repair(r) => r.enter().await,
            What::Return(o) => o.give_back().await,
            What::Vehicle(v) => v.enter().await,
            What::Job(j) => j.enter().await,
            What::Limits(l) => l.enter().await,
            What::Measurement(m) => m.enter().await,
            What::Whole(w) => w.enter().await,
            What::Incident(i) => i.enter().await,
            What::Correction(c) => c.enter().await,
        }
    })
}

/// Does it, and tells what stands in the book now.
async fn act(desk: &Desk, command: &Command) -> Done {
    let events = desk.act(command).await?;
    let shop = desk.book.known().await;
    Ok(said(&events, &shop))
}

fn said(events: &[Event], shop: &Hall) -> u8 {
    write::out(&told::lines(events, &told::Beside::new(shop, events), told::units(shop)), FINE)
}

/// A word of a stored form, such as a role.
pub(crate) fn word<T: serde::de::DeserializeOwned>(text: &str) -> Result<T, String> {
    serde_json::from_value(text.into()).map_err(|fault| fault.to_string())
}
