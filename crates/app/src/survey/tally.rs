//! What a survey comes to: counts by lift, why the rest fail, and the pairs themselves where they are few.

use std::collections::{BTreeMap, BTreeSet};
use std::fmt::Write as _;

use planner::quick::Taped;
use serde::{Deserialize, Serialize};
use sheets::{Coverage, LiftCoverage, units, words};

use super::cells::With;
use super::row::Row;
use crate::wire::plan::Verdict;

/// So many pairs are listed one by one; project default, two pages of a terminal.
const FEW: u64 = 60;
/// Reasons that are told of each lift, and places of what is lost.
const TOLD: usize = 6;

/// What is lost with a row, file or table that cannot be used.
#[derive(Clone, Debug, Deserialize, Serialize)]
pub(crate) struct Lost {
    /// Itself included.
    count: u64,
    /// What nobody counted: "all after row 7 of fleet.csv".
    #[serde(skip_serializing_if = "Option::is_none")]
    and: Option<String>,
}

impl Lost {
    pub(crate) const ONE: Self = Self { count: 1, and: None };

    /// At a row of a table, 0 = it is the whole of it.
    pub(crate) fn new(with: With, shown: &str, row: u64) -> Self {
        match with {
            With::Nothing => Self::ONE,
            With::Rows(after) => Self { count: after.saturating_add(1), and: None },
            With::Lines(n) => {
                Self { count: 1, and: Some(format!("{} after row {row} of {shown}", many(n, "line"))) }
            }
            With::Rest if row == 0 => Self { count: 1, and: Some(format!("all of {shown}")) },
            With::Rest => Self { count: 1, and: Some(format!("all after row {row} of {shown}")) },
        }
    }
}

/// All that is lost.
#[derive(Clone, Debug, Default)]
pub(crate) struct Losses {
    count: u64,
    /// What nobody counted; no more than so many are held.
    and: Vec<String>,
    unsaid: u64,
}

impl Losses {
    pub(crate) fn add(&mut self, lost: &Lost) {
        self.count = self.count.saturating_add(lost.count);
        match &lost.and {
            None => {}
            Some(_) if self.and.len() == TOLD => self.unsaid += 1,
            Some(what) => self.and.push(what.clone()),
        }
    }

    /// "3", "1, and all after row 7 of fleet.csv"; `None` = nothing is lost.
    pub(crate) fn told(&self) -> Option<String> {
        let mut said = self.count.to_string();
        self.and.iter().for_each(|what| said += &format!(", and {what}"));
        if self.unsaid > 0 {
            said += &format!(", and more at {}", many(self.unsaid, "other place"));
        }
        (self.count > 0).then_some(said)
    }
}

/// What one lift comes to.
#[derive(Clone, Debug, Default)]
pub(crate) struct OfLift {
    pub(crate) raised: u64,
    pub(crate) under_conditions: u64,
    pub(crate) refused: u64,
    /// Pairs by the kinds of their reasons; a pair may have several.
    pub(crate) reasons: BTreeMap<String, u64>,
    /// Refused only by heights that nobody measured, taken at their worst.
    pub(crate) by_guessed_heights: u64,
    /// By class of mass, then of wheelbase: how many of how many it takes.
    cells: [[[u64; 2]; WHEELBASES.len() + 1]; MASSES.len() + 1],
}

/// Where one class of wheelbases ends and the next begins, metres.
const WHEELBASES: [f64; 8] = [2.25, 2.5, 2.75, 3.0, 3.25, 3.5, 3.75, 4.0];
/// The same of masses, kilograms.
const MASSES: [f64; 8] = [1000.0, 1250.0, 1500.0, 1750.0, 2000.0, 2500.0, 3000.0, 3500.0];

fn class(value: f64, ends: &[f64]) -> usize {
    ends.iter().filter(|end| value >= **end).count()
}

/// What all of it comes to. Its size does not depend on how many pairs there are.
#[derive(Clone, Debug, Default)]
pub(crate) struct Tally {
    pub(crate) vehicles: u64,
    pub(crate) skipped: Losses,
    /// Vehicles that no lift takes.
    pub(crate) untaken: u64,
    /// Of those the ones that a lift refuses only by heights that nobody measured.
    untaken_by_guess: u64,
    /// Vehicles whose lifting points were guessed.
    pub(crate) guessed: u64,
    pub(crate) lifts: Vec<(String, OfLift)>,
    /// By which limits of the shop's own, in sentences.
    limits: Vec<String>,
    /// All pairs, as long as they are few.
    few: Vec<Row>,
}

/// A check's kind is its name up to the thing that it is of.
pub(crate) fn kind(reason: &str) -> &str {
    reason.split(':').next().unwrap_or(reason)
}

/// What of a vehicle decides them, by the names under which it was guessed.
const GUESSED_HEIGHTS: [&str; 2] = [Taped::Sill.name(), Taped::Undersides.name()];

fn is_of_heights(reason: &str) -> bool {
    matches!(kind(reason), "pad-entry" | "arm-under-sill" | "level")
}

/// Whether a pair is refused only by heights that nobody measured, taken at their worst.
fn only_by_guessed_heights(row: &Row) -> bool {
    let heights = !row.reasons.is_empty() && row.reasons.iter().all(|reason| is_of_heights(reason));
    heights && row.guessed.iter().any(|what| GUESSED_HEIGHTS.contains(&what.as_str()))
}

impl OfLift {
    pub(crate) const fn takes(&self) -> u64 {
        self.raised + self.under_conditions
    }

    fn add(&mut self, row: &Row) {
        match row.verdict {
            Verdict::Raise => self.raised += 1,
            Verdict::RaiseWithConditions => self.under_conditions += 1,
            Verdict::DoNotRaise => self.refused += 1,
        }
        let kinds: BTreeSet<&str> = row.reasons.iter().map(|reason| kind(reason)).collect();
        for kind in kinds {
            *self.reasons.entry(kind.to_owned()).or_default() += 1;
        }
        self.by_guessed_heights += u64::from(only_by_guessed_heights(row));
        let cell =
            &mut self.cells[class(row.mass_kg, &MASSES)][class(row.wheelbase_mm / 1000.0, &WHEELBASES)];
        cell[0] += u64::from(row.takes());
        cell[1] += 1;
    }

    /// Kinds of reasons in words, the most frequent first.
    pub(crate) fn told(&self) -> Vec<(&str, u64)> {
        let mut all: Vec<(&str, u64)> =
            self.reasons.iter().map(|(kind, n)| (words::survey(kind), *n)).collect();
        all.sort_by(|a, b| b.1.cmp(&a.1).then(a.0.cmp(b.0)));
        all
    }
}

/// A share in whole per cent, never rounded up to all of them, nor down to none.
pub(crate) fn percent(part: u64, whole: u64) -> String {
    if whole == 0 {
        return "-".into();
    }
    let share = (part * 100 + whole / 2) / whole;
    match (part, share) {
        (0, _) => "0 %".into(),
        (_, 0) => "< 1 %".into(),
        (part, 100) if part < whole => "> 99 %".into(),
        (_, share) => format!("{share} %"),
    }
}

impl Tally {
    /// For these lifts, by limits that differ from the defaults as these sentences say.
    pub(crate) fn new(lifts: impl Iterator<Item = String>, limits: Vec<String>) -> Self {
        Self { lifts: lifts.map(|name| (name, OfLift::default())).collect(), limits, ..Self::default() }
    }

    const fn pairs(&self) -> u64 {
        self.vehicles * self.lifts.len() as u64
    }

    /// Whether there are so few pairs that each is told.
    pub(crate) const fn is_small(&self) -> bool {
        0 < self.pairs() && self.pairs() <= FEW
    }

    /// The rows of one vehicle, a lift each.
    pub(crate) fn add(&mut self, rows: &[Row]) {
        self.vehicles += 1;
        let untaken = !rows.iter().any(Row::takes);
        self.untaken += u64::from(untaken);
        self.untaken_by_guess += u64::from(untaken && rows.iter().any(only_by_guessed_heights));
        self.guessed += u64::from(rows.first().is_some_and(Row::guesses_points));
        for ((_, lift), row) in self.lifts.iter_mut().zip(rows) {
            lift.add(row);
        }
        if self.is_small() {
            self.few.extend_from_slice(rows);
        } else {
            self.few.clear();
        }
    }

    /// For a terminal of 100 columns.
    pub(crate) fn text(&self, job: &str) -> String {
        let mut out = self.title(job) + "\n";
        out.extend(self.limits.iter().cloned().chain(self.guesses()).map(|said| said + "\n"));
        let wide = self.lifts.iter().map(|(name, _)| name.chars().count()).max().unwrap_or(0).max(4);
        let _ = writeln!(
            out,
            "\n{:wide$}  {:>13}  {:>16}  {:>7}  {:>6}",
            "lift", "may be raised", "under conditions", "refused", "takes"
        );
        for (name, lift) in &self.lifts {
            let _ = writeln!(
                out,
                "{name:wide$}  {:>13}  {:>16}  {:>7}  {:>6}",
                lift.raised,
                lift.under_conditions,
                lift.refused,
                percent(lift.takes(), self.vehicles)
            );
        }
        if self.untaken > 0 {
            let _ = writeln!(
                out,
                "{} taken by no lift ({}).",
                many_are(self.untaken, "vehicle"),
                percent(self.untaken, self.vehicles)
            );
        }
        if self.untaken_by_guess > 0 {
            let _ = writeln!(
                out,
                "Of those {} refused somewhere only because nobody measured sill or undersides: measure them first.",
                if self.untaken_by_guess == 1 {
                    "1 is".into()
                } else {
                    format!("{} are", self.untaken_by_guess)
                }
            );
        }
        out += &self.reasons();
        if self.is_small() {
            out += &self.each();
        }
        out
    }

    /// What heads it.
    fn title(&self, job: &str) -> String {
        format!(
            "{} on {}, {job}: {}.",
            many(self.vehicles, "vehicle"),
            many(self.lifts.len() as u64, "lift"),
            many(self.pairs(), "pair")
        )
    }

    /// What must be said of vehicles that are guessed.
    fn guesses(&self) -> Option<String> {
        (self.guessed > 0).then(|| {
            format!(
                "Of {} only the papers are known: lifting points were guessed, so none is raised without conditions.",
                many(self.guessed, "vehicle")
            )
        })
    }

    /// As a picture has it.
    pub(crate) fn coverage(&self, job: &str) -> Coverage {
        let skipped = self.skipped.told().map(|lost| format!("Skipped, as they could not be read: {lost}."));
        let of = |(name, lift): &(String, OfLift)| LiftCoverage {
            name: name.clone(),
            raised: lift.raised,
            under_conditions: lift.under_conditions,
            refused: lift.refused,
            cells: lift.cells.iter().map(|row| row.to_vec()).collect(),
            reasons: lift.told().into_iter().map(|(words, n)| (words.to_owned(), n)).collect(),
        };
        Coverage {
            title: self.title(job),
            notes: self.limits.iter().cloned().chain(self.guesses()).chain(skipped).collect(),
            wheelbases: WHEELBASES.to_vec(),
            masses: MASSES.to_vec(),
            lifts: self.lifts.iter().map(of).collect(),
        }
    }

    fn reasons(&self) -> String {
        let mut out = String::new();
        for (name, lift) in self.lifts.iter().filter(|(_, lift)| lift.refused > 0) {
            let _ = writeln!(out, "\nWhy {name} refuses {} (a pair may have several reasons):", lift.refused);
            let told = lift.told();
            for (words, count) in told.iter().take(TOLD) {
                let _ = writeln!(out, "  {count:>7}  {words}");
            }
            if told.len() > TOLD {
                let _ = writeln!(out, "           and {}", many((told.len() - TOLD) as u64, "more reason"));
            }
            if lift.by_guessed_heights > 0 {
                let _ = writeln!(
                    out,
                    "  {} of them only because nobody measured sill or undersides: taken as the lowest of the class.",
                    lift.by_guessed_heights
                );
            }
        }
        out
    }

    fn each(&self) -> String {
        let reserve = |row: &Row| row.reserve.map_or_else(|| "-".into(), units::reserve);
        let widest = |of: &dyn Fn(&Row) -> usize, head: &str| {
            self.few.iter().map(of).max().unwrap_or(0).max(head.len())
        };
        let v = widest(&|row| row.vehicle.chars().count(), "vehicle");
        let l = widest(&|row| row.lift.chars().count(), "lift");
        let r = widest(&|row| reserve(row).chars().count(), "reserve");
        let mut out = format!(
            "\n{:v$}  {:l$}  {:10}  {:>r$}  {:13}  held by\n",
            "vehicle", "lift", "verdict", "reserve", "front wheel"
        );
        for row in &self.few {
            let verdict = match row.verdict {
                Verdict::Raise => "raise",
                Verdict::RaiseWithConditions => "conditions",
                Verdict::DoNotRaise => "refused",
            };
            let check = row.check.as_deref().or(row.reasons.first().map(String::as_str)).unwrap_or("-");
            let _ = writeln!(
                out,
                "{:v$}  {:l$}  {verdict:10}  {:>r$}  {:13}  {}",
                row.vehicle,
                row.lift,
                reserve(row),
                row.spot_mm.map_or_else(|| "-".into(), spot),
                words::survey(kind(check)),
            );
        }
        out
    }
}

/// Where the front axle stands to the column line.
fn spot(mm: f64) -> String {
    let way = if mm < 0.0 { "behind" } else { "ahead" };
    format!("{:.2} m {way}", mm.abs() / 1000.0)
}

/// "1 lift", "3 lifts".
pub(crate) fn many(count: u64, what: &str) -> String {
    if count == 1 { format!("1 {what}") } else { format!("{count} {what}s") }
}

/// "1 lift is", "3 lifts are".
pub(crate) fn many_are(count: u64, what: &str) -> String {
    format!("{} {}", many(count, what), if count == 1 { "is" } else { "are" })
}
