//! What a working says, step by step: what was said stays said.

mod steps;
mod weights;

use std::collections::BTreeMap;

use planner::frames::DrivenIn;
use planner::lift::Corner;
use planner::plan::{Check, Sense, StateAnswer};

use super::super::flow::{Said, section, table};
use super::Edition;
use super::brief::{self, Other};
use crate::units::Round;
use crate::working::{self, Earlier, Figure, Working};
use crate::{Scene, Units, units, words};
use steps::{BLANK, chain};

/// A working that is being written: what was said stays said.
pub(in crate::drawing::paper) struct Book<'s, 'a> {
    pub(super) scene: &'s Scene<'a>,
    pub(super) units: Units,
    pub(super) edition: Edition,
    /// Steps by their words, with their numbers.
    known: BTreeMap<[String; 3], usize>,
    /// The first step of each formula, whichever pad and axis it is of.
    alike: BTreeMap<String, usize>,
    /// Whose pad those first steps are of.
    firsts: BTreeMap<usize, Corner>,
    /// The first step of each formula as it stands.
    of_formula: BTreeMap<String, usize>,
    /// Where each result was first found.
    results: BTreeMap<String, usize>,
    /// In which way arms bend in what comes next, if it was said before which ways there are.
    way: Option<&'static str>,
    /// After which number the check that is being written begins.
    begun: usize,
    /// Masses and centres of the states, as they were worked out.
    earlier: Earlier,
    /// Their results, with the numbers of their steps.
    weights: BTreeMap<String, usize>,
    /// Whether a table of pads in it has its heads.
    headed: bool,
    /// How many numbers were given out: a row of a table has one.
    rows: usize,
    /// Where limits come from.
    pub(super) sources: Vec<String>,
    notes: Vec<String>,
    /// Inputs that were named.
    inputs: Vec<(String, String)>,
    /// Of the steps of the check that is being written.
    found: Vec<String>,
    /// Check by check.
    pub(super) answers: Vec<String>,
}

impl<'s, 'a> Book<'s, 'a> {
    /// Nothing was said yet.
    pub(in crate::drawing::paper) const fn new(scene: &'s Scene<'a>, units: Units, edition: Edition) -> Self {
        Self {
            scene,
            units,
            edition,
            known: BTreeMap::new(),
            alike: BTreeMap::new(),
            firsts: BTreeMap::new(),
            of_formula: BTreeMap::new(),
            results: BTreeMap::new(),
            way: None,
            begun: 0,
            earlier: Earlier::none(),
            weights: BTreeMap::new(),
            headed: false,
            rows: 0,
            sources: vec![],
            notes: vec![],
            inputs: vec![],
            found: vec![],
            answers: vec![],
        }
    }
}

impl Book<'_, '_> {
    /// What the plan rests on.
    pub(super) fn about(&self) -> Vec<Said> {
        let (scene, units) = (self.scene, self.units);
        let mut rests =
            vec![format!("Front wheel {}, {}.", words::spot(scene, units), words::stance(scene, units))];
        let worked = self.edition == Edition::Worked;
        if let Some(state) = scene.plan.states.first().filter(|_| worked) {
            let [aft, left, up] = words::centre_of_gravity(scene, state, units);
            rests.push(format!("Centre of gravity as raised: {aft}; {left}; {up}."));
        }
        let mut pads: Vec<_> = scene.plan.pads.iter().collect();
        pads.sort_by_key(|pad| pad.arm);
        rests.extend(pads.into_iter().map(|pad| {
            let about = if words::share_is_assumed(scene) { "about " } else { "" };
            let loads = format!(
                "load {about}{}, assured {}, ",
                units.load(pad.load_estimate),
                units.load_to(pad.load_assured, Round::Up)
            );
            format!(
                "{}: reach {}, swing {}, height {}, adapters {}; {}rated {}.",
                words::capital(&words::arm_name(pad)),
                units.length(pad.reach),
                words::swing(pad, units),
                words::pad_height(scene, pad, units),
                words::adapters_on(scene, pad, units),
                if worked { &loads } else { "" },
                units.rating(pad.rated.as_mass()),
            )
        }));
        if scene.plan.placement.driven_in == DrivenIn::Backwards {
            rests.push(words::VEHICLES_CORNERS.into());
        }
        let sentences = |all: Vec<String>| all.into_iter().map(Said::Sentence);
        let assumed = scene.plan.assumptions.iter().map(|a| words::assumption(a, units)).collect();
        [
            section("What it rests on", sentences(rests)),
            section("What weighs", sentences(self.weights_told())),
            section("Guessed, not measured", sentences(assumed)),
            section("Own limits", sentences(words::own_limits(scene, units))),
        ]
        .concat()
    }

    pub(super) fn states(&self) -> Vec<Said> {
        if self.edition == Edition::Worked {
            return self.states_in_rows();
        }
        let named = self.scene.plan.states.iter().enumerate();
        let named =
            named.map(|(k, state)| Said::Sentence(format!("{}. {}.", k + 1, words::capital(&state.name))));
        section("States of the job", named)
    }

    fn states_in_rows(&self) -> Vec<Said> {
        let (scene, units) = (self.scene, self.units);
        let row = |(k, state): (usize, &StateAnswer)| {
            let cells = vec![
                units.mass(state.mass.value),
                format!("{} %", units::decimals(state.front_share * 100.0, 0)),
                units.length_to(state.assured_edge, Round::Down),
                state.tip_ratio.map_or_else(|| "-".into(), |g| units.tip(g)),
                units::reserve(state.worst_reserve),
            ];
            (format!("{}. {}", k + 1, words::capital(&state.name)), cells)
        };
        let rows: Vec<_> = scene.plan.states.iter().enumerate().map(row).collect();
        let heads = ["", "mass", "on front", "to edge", "tips at", "reserve"].map(str::to_owned);
        let mut said = vec![Said::Heading("States of the job".into()), Said::Sentence(STATES_TOLD.into())];
        said.extend(table(&heads, &rows));
        let on_stands = scene.plan.states.iter().enumerate().filter(|(_, state)| state.whole.is_some());
        said.extend(
            on_stands.map(|(k, _)| {
                Said::Sentence(format!("{}. {}", k + 1, words::went(scene, k, units).join(" ")))
            }),
        );
        let mut held: Vec<(String, Vec<String>)> = vec![];
        for k in 0..scene.plan.states.len() {
            let Some(check) = words::held_by(scene, k) else { continue };
            let (by, state) = (words::check_title(scene, check.what), (k + 1).to_string());
            match held.iter_mut().find(|(own, _)| *own == by) {
                Some((_, states)) => states.push(state),
                None => held.push((by, vec![state])),
            }
        }
        let held = held.iter().map(|(by, states)| format!("{} by {by}", states.join(", ")));
        said.push(Said::Sentence(format!("Held: {}.", held.collect::<Vec<_>>().join("; "))));
        said
    }

    /// Kind by kind, what leaves least first.
    pub(super) fn checks(&mut self) -> Vec<Said> {
        let mut kinds: Vec<(String, Vec<&Check>)> = vec![];
        for check in &self.scene.plan.checks {
            let id = check.what.id();
            let kind = id.split(':').next().unwrap_or(&id).to_owned();
            match kinds.iter_mut().find(|(own, _)| *own == kind) {
                Some((_, checks)) => checks.push(check),
                None => kinds.push((kind, vec![check])),
            }
        }
        for (_, checks) in &mut kinds {
            checks.sort_by(|a, b| a.reserve.total_cmp(&b.reserve));
        }
        let least = |checks: &[&Check]| checks.first().map_or(f64::INFINITY, |c| c.reserve);
        kinds.sort_by(|a, b| least(&a.1).total_cmp(&least(&b.1)));
        kinds.iter().flat_map(|(_, checks)| self.kind(checks)).collect()
    }

    /// How high stands are, and what each carries.
    pub(super) fn stands(&mut self) -> Vec<Said> {
        let of_stands = |figure: Figure| {
            use Figure::{StandChange, StandHeight, StandLeast, StandLoad, StandMost};
            matches!(figure, StandHeight(_) | StandLeast | StandMost | StandLoad | StandChange(_))
        };
        section("Stands", self.figures("Stands", of_stands))
    }

    /// Figures of one subject, worked out one after the other.
    fn figures(&mut self, title: &str, of: impl Fn(Figure) -> bool) -> Vec<Said> {
        self.begun = self.rows;
        self.headed = false;
        let worked = self.worked(of);
        let mut said = self.with(worked.iter().flat_map(|w| &w.inputs));
        said.extend(self.steps(worked.iter().flat_map(|w| &w.lines), None));
        self.answered(title);
        said
    }

    fn worked(&self, of: impl Fn(Figure) -> bool) -> Vec<Working> {
        let figures = working::figures(self.scene).into_iter().filter(|f| of(*f));
        let worked = |figure| working::figure_worked_after(self.scene, figure, self.units, &self.earlier);
        figures.filter_map(worked).collect()
    }

    /// What was found of a subject is an answer.
    fn answered(&mut self, title: &str) {
        let found = std::mem::take(&mut self.found);
        if !found.is_empty() {
            self.answers.push(format!("{title}: {}.", found.join("; ")));
        }
    }

    fn kind(&mut self, checks: &[&Check]) -> Vec<Said> {
        self.begun = self.rows;
        self.headed = false;
        let (scene, units) = (self.scene, self.units);
        let [worst, others @ ..] = checks else { return vec![] };
        let Some(working) = working::worked_after(scene, worst, units, &self.earlier) else { return vec![] };
        let mut said = vec![Said::Heading(words::capital(&words::title_in_state(scene, worst)))];
        said.extend(self.with(&working.inputs));
        said.extend(self.steps(&working.lines, working.steps().next_back()));
        let end = working::end(scene, worst, &working, units);
        let limit = working.limit.as_ref().map(|step| format!(" ({})", chain(step))).unwrap_or_default();
        let source = self.source(end.source);
        match self.edition {
            Edition::Worked => said.push(Said::Entry(
                "Result".into(),
                format!(
                    "{}, limit {}{limit} {source}. Reserve {}.{}",
                    end.result,
                    end.limit,
                    end.reserve.trim_end_matches(" (never shown as more)"),
                    if worst.binding { "" } else { " Failing it is a condition." }
                ),
            )),
            Edition::Blanks => {
                let found = std::mem::take(&mut self.found);
                self.answers.push(format!(
                    "{}: {}{}, {}.",
                    words::capital(&words::title_in_state(scene, worst)),
                    found.iter().map(|answer| format!("{answer}; ")).collect::<String>(),
                    end.result,
                    units::reserve_in_words(worst.reserve)
                ));
                said.push(Said::Entry(
                    "Result".into(),
                    format!("{BLANK}, limit {} {source}. {}.", end.limit, reserve_asked(worst),),
                ));
            }
        }
        let others = self.others(others);
        if self.edition == Edition::Worked && !others.is_empty() {
            said.push(Said::Sentence(brief::likewise(&others)));
        }
        said
    }

    /// What the others of a kind come to, each in the state that leaves it least.
    fn others(&self, checks: &[&Check]) -> Vec<Other> {
        let (scene, units) = (self.scene, self.units);
        let mut seen: Vec<String> = vec![];
        let mut said = vec![];
        for check in checks {
            let id = check.what.id();
            if seen.contains(&id) {
                continue;
            }
            seen.push(id);
            let [demand, limit] = words::figures(check, units);
            said.push(Other {
                title: words::title_in_state(scene, check),
                demand,
                limit: format!("{} {limit}", units::sense(check.sense)),
                reserve: units::reserve(check.reserve).replace("900 % or more", "\u{2265} 900 %"),
            });
        }
        said
    }

    /// The number of a source, in brackets.
    fn source(&mut self, source: String) -> String {
        let at = self.sources.iter().position(|own| *own == source).unwrap_or_else(|| {
            self.sources.push(source);
            self.sources.len() - 1
        });
        format!("[{}]", at + 1)
    }
}

const STATES_TOLD: &str = "Of each: mass; what of it the front end carries; how far the centre of gravity is from the nearest edge; at which \
    acceleration it tips; the least reserve. Held by: the check that leaves that.";

pub(super) const SOURCE_ABOVE: &str = "as told of what was guessed";

/// How the reserve of a check is computed, with room for it.
fn reserve_asked(check: &Check) -> String {
    let quotient = match check.sense {
        Sense::AtLeast => "result / limit",
        Sense::AtMost => "limit / result",
    };
    format!("Reserve = {quotient} \u{2212} 1 = {BLANK} / {BLANK} \u{2212} 1 = {BLANK} %")
}
