//! One pair's answer, as it is written and kept.

use std::collections::BTreeSet;

use planner::lift::Corner;
use planner::plan::Verdict as Ends;
use planner::quick::Unknown;
use planner::state::bare;
use planner::survey::Reason;
use planner::{InputFault, Limits, Surveyed, Vehicle};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::convert;
use crate::wire::plan::{DrivenIn, Verdict};

/// A pair of vehicle and lift. Figures are rounded as they are written: tenths of a millimetre and of a kilogram, hundredths
/// of a degree, the reserve down to millionths.
#[derive(Clone, Debug, Deserialize, JsonSchema, PartialEq, Serialize)]
pub(crate) struct Row {
    /// The vehicle, by its name in its table, file or the book.
    pub(crate) vehicle: String,
    /// The lift, likewise.
    pub(crate) lift: String,
    /// May it be raised.
    pub(crate) verdict: Verdict,
    /// Least reserve, or of a refused pair that of the check that fails most.
    pub(crate) reserve: Option<f64>,
    /// The check that holds it.
    pub(crate) check: Option<String>,
    /// Every reason against it, each once.
    pub(crate) reasons: Vec<String>,
    /// The shop's own limits that are looser than the default, by which it may be raised; of a refused pair none.
    pub(crate) looser_limits: Vec<String>,
    /// What nobody measured.
    pub(crate) guessed: Vec<String>,
    /// Hub to hub.
    pub(crate) wheelbase_mm: f64,
    /// Of the vehicle, without the job's loads.
    pub(crate) mass_kg: f64,
    /// Front axle ahead of the column line. Like what follows only where it may be raised.
    pub(crate) spot_mm: Option<f64>,
    /// Which way round.
    pub(crate) driven_in: Option<DrivenIn>,
    /// The plate's mark for this wheelbase, if the lift has a plate.
    pub(crate) mark: Option<String>,
    /// What the arm is set to that serves each corner of the vehicle: front left, front right, rear left, rear right.
    pub(crate) arms: Option<[Setting; 4]>,
}

/// What one arm is set to.
#[derive(Clone, Debug, Deserialize, JsonSchema, PartialEq, Serialize)]
pub(crate) struct Setting {
    /// Which arm, by its place in the bay.
    pub(crate) arm: String,
    /// Pivot to pad.
    pub(crate) reach_mm: f64,
    /// From pivot to pad, anticlockwise from straight ahead.
    pub(crate) swing_deg: f64,
    /// Tooth of the restraint, if it has teeth.
    pub(crate) tooth: Option<i32>,
    /// Top of the pad above the floor, the lift fully down.
    pub(crate) height_mm: f64,
    /// Adapters under the pad, lowest first.
    pub(crate) adapters_mm: Vec<f64>,
}

/// The lifting points were guessed: said in every row of such a vehicle.
const POINTS: &str = "place of the lifting points";

fn to(value: f64, steps: f64) -> f64 {
    let rounded = (value * steps).round() / steps;
    if rounded == 0.0 { 0.0 } else { rounded }
}

fn mm(length: statics::Length) -> f64 {
    to(length.to_metres() * 1000.0, 10.0)
}

/// What nobody measured of a vehicle, in words.
pub(crate) fn guessed(vehicle: &Vehicle) -> Vec<String> {
    let unknown = vehicle.unmeasured.unknown.iter().filter_map(|unknown| match unknown {
        Unknown::LiftPoints => Some(POINTS),
        Unknown::KeepOuts => Some("what lies near them"),
        Unknown::Doors => Some("doors"),
        // Said as a figure that was guessed.
        Unknown::Undersides => None,
    });
    let guesses = vehicle.unmeasured.guesses.iter().map(|guess| guess.what.name());
    let centre = bare(vehicle);
    let weight = [
        ("share of the front axle", centre.aft.is_assumed()),
        ("centre of gravity to the side", centre.left.is_assumed()),
        ("height of the centre of gravity", centre.up.is_assumed()),
    ];
    let weight = weight.into_iter().filter_map(|(what, is)| is.then_some(what));
    unknown.chain(guesses).chain(weight).map(str::to_owned).collect()
}

/// The limits by which a setup may pass that the defaults would refuse, as a file of limits names them.
fn looser(limits: &Limits) -> Vec<String> {
    limits.all_own().iter().filter(|own| own.is_looser()).map(|own| own.name.key()).collect()
}

/// What holds in several states stands there for each of them, and the states are not named.
fn each_once(mut names: Vec<String>) -> Vec<String> {
    let mut seen = BTreeSet::new();
    names.retain(|name| seen.insert(name.clone()));
    names
}

/// The name of a reason: that of the check, or of what else refuses.
fn reason(reason: &Reason) -> String {
    match reason {
        Reason::Check(what) => what.id(),
        Reason::NoBand => "no-band".into(),
        Reason::NoLockClears => "no-lock-clears".into(),
        Reason::Posture => "posture".into(),
        Reason::Backwards => "backwards".into(),
    }
}

fn fault(fault: &InputFault) -> &'static str {
    match fault {
        InputFault::LongerThanBay { .. } => "longer-than-bay",
        InputFault::NoAreaFor(_) => "no-lifting-area",
        InputFault::State(_)
        | InputFault::NoSuchDoor(_)
        | InputFault::NoSuchState { .. }
        | InputFault::NoDirection { .. } => "job-does-not-fit",
    }
}

impl Row {
    /// Of a pair that is refused before anything is computed.
    pub(crate) fn refused(vehicle: &str, lift: &str, of: &Vehicle, reasons: Vec<String>) -> Self {
        Self {
            vehicle: vehicle.to_owned(),
            lift: lift.to_owned(),
            verdict: Verdict::DoNotRaise,
            reserve: None,
            check: None,
            reasons: each_once(reasons),
            looser_limits: vec![],
            guessed: guessed(of),
            wheelbase_mm: mm(of.wheelbase.value),
            mass_kg: to(bare(of).mass.value.to_kilograms(), 10.0),
            spot_mm: None,
            driven_in: None,
            mark: None,
            arms: None,
        }
    }

    /// Of a pair that was asked.
    pub(crate) fn new(
        vehicle: &str,
        lift: &str,
        of: &Vehicle,
        limits: &Limits,
        found: Result<Surveyed, Vec<InputFault>>,
    ) -> Self {
        let found = match found {
            Ok(found) => found,
            Err(faults) => {
                let reasons = faults.iter().map(|f| fault(f).to_owned()).collect();
                return Self::refused(vehicle, lift, of, reasons);
            }
        };
        let row = Self {
            verdict: convert::plan::verdict(found.verdict),
            reserve: Some((found.held_by.reserve * 1e6).floor() / 1e6),
            check: Some(found.held_by.what.id()),
            ..Self::refused(vehicle, lift, of, found.reasons.iter().map(reason).collect())
        };
        if found.verdict == Ends::DoNotRaise {
            return row;
        }
        let arms = found.pads.each_ref().map(|pad| Setting {
            arm: pad.arm.name().to_owned(),
            reach_mm: mm(pad.reach),
            swing_deg: to(pad.swing.to_radians().to_degrees(), 100.0),
            tooth: pad.tooth.and_then(|tooth| i32::try_from(tooth).ok()),
            height_mm: mm(pad.height),
            adapters_mm: pad.adapters.iter().map(|a| mm(*a)).collect(),
        });
        Self {
            spot_mm: Some(mm(found.placement.spot)),
            driven_in: Some(convert::plan::driven_in(&found.placement)),
            mark: found.mark,
            looser_limits: looser(limits),
            arms: Some(arms),
            ..row
        }
    }

    /// Of two answers about what may be the same vehicle the one that says less; the first of those that say alike.
    pub(crate) fn worse(self, other: Self) -> Self {
        let says = |row: &Self| {
            let verdict = match row.verdict {
                Verdict::DoNotRaise => 0,
                Verdict::RaiseWithConditions => 1,
                Verdict::Raise => 2,
            };
            (verdict, row.reserve.unwrap_or(f64::NEG_INFINITY))
        };
        let ((verdict, reserve), (others, other_reserve)) = (says(&self), says(&other));
        let is_other = verdict.cmp(&others).then(reserve.total_cmp(&other_reserve)).is_gt();
        if is_other { other } else { self }
    }

    /// Whether the lift takes the vehicle, under conditions or without.
    pub(crate) fn takes(&self) -> bool {
        self.verdict != Verdict::DoNotRaise
    }

    /// Whether its lifting points were guessed.
    pub(crate) fn guesses_points(&self) -> bool {
        self.guessed.iter().any(|what| what == POINTS)
    }

    /// Its cells, in the order of [`columns`].
    pub(crate) fn cells(&self) -> Vec<Cell> {
        let text = |text: &str| Cell::Text(text.to_owned());
        let or_text = |said: Option<&String>| said.map_or(Cell::Nothing, |t| Cell::Text(t.clone()));
        let number = |value: Option<f64>| value.map_or(Cell::Nothing, Cell::Number);
        let mut cells = vec![
            text(&self.vehicle),
            text(&self.lift),
            text(self.verdict.word()),
            number(self.reserve),
            or_text(self.check.as_ref()),
            text(&self.reasons.join("; ")),
            text(&self.looser_limits.join("; ")),
            text(&self.guessed.join("; ")),
            Cell::Number(self.wheelbase_mm),
            Cell::Number(self.mass_kg),
            number(self.spot_mm),
            self.driven_in.map_or(Cell::Nothing, |way| text(way.word())),
            or_text(self.mark.as_ref()),
        ];
        match &self.arms {
            None => cells.extend((0..4 * SETTING.len()).map(|_| Cell::Nothing)),
            Some(arms) => cells.extend(arms.iter().flat_map(|set| {
                let adapters: Vec<String> = set.adapters_mm.iter().map(f64::to_string).collect();
                [
                    text(&set.arm),
                    Cell::Number(set.reach_mm),
                    Cell::Number(set.swing_deg),
                    set.tooth.map_or(Cell::Nothing, Cell::Count),
                    Cell::Number(set.height_mm),
                    text(&adapters.join(" + ")),
                ]
            })),
        }
        cells
    }
}

/// What stands in a cell.
#[derive(Clone, Debug, PartialEq)]
pub(crate) enum Cell {
    Nothing,
    Text(String),
    Number(f64),
    Count(i32),
}

/// What stands in a column.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Kind {
    Text,
    Number,
    Count,
}

const PAIR: [(&str, Kind); 13] = [
    ("vehicle", Kind::Text),
    ("lift", Kind::Text),
    ("verdict", Kind::Text),
    ("reserve", Kind::Number),
    ("check", Kind::Text),
    ("reasons", Kind::Text),
    ("looser_limits", Kind::Text),
    ("guessed", Kind::Text),
    ("wheelbase_mm", Kind::Number),
    ("mass_kg", Kind::Number),
    ("spot_mm", Kind::Number),
    ("driven_in", Kind::Text),
    ("mark", Kind::Text),
];
const SETTING: [(&str, Kind); 6] = [
    ("arm", Kind::Text),
    ("reach_mm", Kind::Number),
    ("swing_deg", Kind::Number),
    ("tooth", Kind::Count),
    ("height_mm", Kind::Number),
    ("adapters_mm", Kind::Text),
];

/// The columns of a row: those of the pair, then those of the pad at each corner of the vehicle.
pub(crate) fn columns() -> Vec<(String, Kind)> {
    let pair = PAIR.iter().map(|(name, kind)| ((*name).to_owned(), *kind));
    let corners = Corner::ALL.into_iter().flat_map(|corner| {
        let of = corner.name().replace('-', "_");
        SETTING.iter().map(move |(name, kind)| (format!("{of}.{name}"), *kind))
    });
    pair.chain(corners).collect()
}
