//! Whether the book is as it was written, and its plans as they were computed.

use std::collections::BTreeMap;

use records::{Digest, Fact, Fault, Head, KeptPlan, RaiseNumber, Seq};

use crate::cli::{FINE, REFUSED};
use crate::desk::{Done, Ended, Place};
use crate::told::plain;
use crate::verb::raise::{Recomputed, checked_again, recomputed};
use crate::write;

/// Reads a head as it is told.
pub(super) fn head(text: &str) -> Result<Head, String> {
    let (seq, hash) = text.trim().split_once(':').ok_or("write it as NUMBER:HASH, as `backup` tells it")?;
    let seq = seq.parse().map_err(|_| format!("“{seq}” is no number"))?;
    if seq == 0 {
        return Err("events are numbered from 1: no book ends with event 0".to_owned());
    }
    Ok(Head { seq: Seq(seq), hash: hash.to_ascii_lowercase().parse::<Digest>().map_err(|e| e.to_string())? })
}

/// As `verify --head` reads it.
pub(super) fn told(head: Head) -> String {
    format!("{}:{}", head.seq, head.hash)
}

const SALVAGE: &str = "Restore a backup, or read what is left with `standfast book salvage`, which reads around what cannot be read.\n";

pub(super) async fn verify(place: &Place, known: Option<Head>, plans: bool) -> Done {
    let found = records::verify(&place.text(), known).await?;
    let faults = told_faults(&found.faults);
    let counts = format!(
        "{} events and {} documents; it ends with {}.\n",
        found.events,
        found.documents,
        told(found.head)
    );
    if !faults.is_empty() {
        let unreadable = |f: &Fault| {
            matches!(
                f,
                Fault::Store(_)
                    | Fault::Unreadable(..)
                    | Fault::DocumentUnreadable(..)
                    | Fault::Lacks(_)
                    | Fault::Log
            )
        };
        let help = if found.faults.iter().any(unreadable) { SALVAGE } else { "" };
        return Ok(write::out(&format!("{faults}{counts}{help}"), REFUSED));
    }
    let text = format!("The book is as it was written: {counts}");
    if !plans {
        return Ok(write::out(&text, FINE));
    }
    let (told, code) = plans_again(place).await?;
    Ok(write::out(&(text + &told), code))
}

/// Events in a row with which the same is wrong.
struct Run {
    from: u64,
    to: u64,
    wrong: String,
}

impl Run {
    fn of(fault: &str) -> Option<Self> {
        let (number, wrong) = fault.strip_prefix("event ")?.split_once(' ')?;
        let number = number.parse().ok()?;
        Some(Self { from: number, to: number, wrong: wrong.to_owned() })
    }
}

/// A line each; of events in a row with which the same is wrong, as where a page is gone, one for all of them.
fn told_faults(faults: &[Fault]) -> String {
    let mut lines: Vec<(String, Option<Run>)> = vec![];
    for fault in faults {
        let text = plain(&fault.to_string());
        match (lines.last_mut(), Run::of(&text)) {
            (Some((line, Some(run))), Some(next)) if run.wrong == next.wrong && run.to + 1 == next.from => {
                run.to = next.to;
                *line = format!("events {} to {}: each {}", run.from, run.to, run.wrong);
            }
            (_, run) => lines.push((text, run)),
        }
    }
    lines.iter().map(|(line, _)| format!("FAULT: {line}.\n")).collect()
}

/// What came of computing again, line by line.
#[derive(Default)]
struct Again {
    same: u64,
    lines: String,
    code: u8,
}

impl Again {
    fn add(&mut self, what: &str, found: Recomputed) {
        let line = match found {
            Recomputed::Same => {
                self.same += 1;
                return;
            }
            Recomputed::Differs => format!("FAULT: {what}, computed again, gives other bytes.\n"),
            Recomputed::OtherProgram(program) => format!(
                "{} was made by {}; this program's bytes differ, which proves nothing.\n",
                what.replacen("the ", "The ", 1),
                plain(&program)
            ),
            Recomputed::NotPlanned(why) => format!("FAULT: {what} cannot be computed again:\n{why}\n"),
        };
        if line.starts_with("FAULT") {
            self.code = REFUSED;
        }
        self.lines += &line;
    }

    fn count(&self, one: &str) -> String {
        match self.same {
            1 => format!("1 {one}, computed again, gives the same bytes.\n"),
            n => format!("{n} {one}s, computed again, give the same bytes.\n"),
        }
    }
}

/// Every plan that the book holds, and every check of a raise under way.
async fn plans_again(place: &Place) -> Result<(String, u8), Ended> {
    let book = place.open().await?;
    let (mut plans, mut checks) = (Again::default(), Again::default());
    let mut led: BTreeMap<RaiseNumber, KeptPlan> = BTreeMap::new();
    let mut after = Seq(0);
    loop {
        let page = book.events_after(after).await?;
        let Some(last) = page.last() else { break };
        after = last.seq;
        for event in &page {
            let seq = event.seq;
            match &event.fact {
                Fact::PlanKept { plan } | Fact::RaiseBegun { plan, .. } | Fact::RaiseRefused { plan, .. } => {
                    plans.add(&format!("the plan of event {seq}"), recomputed(&book, plan).await?);
                    if let Fact::RaiseBegun { raise, plan } = &event.fact {
                        led.insert(*raise, plan.clone());
                    }
                }
                Fact::PointConfirmed { raise, judged: Some(judged), .. }
                | Fact::PointRefused { raise, judged: Some(judged), .. } => {
                    let found = match led.get(raise) {
                        Some(plan) => checked_again(&book, plan, judged).await?,
                        None => Recomputed::NotPlanned(format!("There is no plan of raise {raise}.")),
                    };
                    checks.add(&format!("the check of event {seq}"), found);
                }
                _ => {}
            }
        }
    }
    let checked = if checks.same == 0 { String::new() } else { checks.count("check") };
    let text = format!("{}{checked}{}{}", plans.count("plan"), plans.lines, checks.lines);
    Ok((text, plans.code.max(checks.code)))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_book_ends_before_its_first_event() {
        let hash = Digest::of("x");
        assert!(head(&format!("0:{hash}")).is_err_and(|why| why.contains("from 1")));
        assert!(head(&format!("00:{hash}")).is_err());
        assert_eq!(head(&format!("1:{hash}")), Ok(Head { seq: Seq(1), hash }));
        let large = hash.to_string().to_uppercase();
        assert_eq!(head(&format!("1:{large}")), Ok(Head { seq: Seq(1), hash }), "as other programs write it");
        assert_eq!(head(&format!(" 1:{hash}\n")), Ok(Head { seq: Seq(1), hash }), "as it was copied");
    }

    #[test]
    fn events_in_a_row_are_told_in_one_line() {
        let unreadable = |seq| Fault::Unreadable(Seq(seq), "malformed".into());
        let mut all: Vec<Fault> = (3..=300).map(unreadable).collect();
        all.extend([Fault::Altered(Seq(301)), unreadable(302), unreadable(304)]);
        let told = told_faults(&all);
        let lines: Vec<&str> = told.lines().collect();
        assert_eq!(
            lines,
            [
                "FAULT: events 3 to 300: each cannot be read: malformed.",
                "FAULT: event 301 was altered.",
                "FAULT: event 302 cannot be read: malformed.",
                "FAULT: event 304 cannot be read: malformed.",
            ]
        );
    }
}
