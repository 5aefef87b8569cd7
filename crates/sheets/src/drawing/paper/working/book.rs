//! What a working says, step by step: what was said stays said.

use super::super::flow::{Said, section, table};
use super::Edition;
use super::brief::{self, Cells, Like, Other, all_numbers};
use crate::units::Round;
use crate::working::{self, Axis, Earlier, Figure, Line, Step, Working};
use crate::{Scene, Units, units, words};
use planner::frames::DrivenIn;
use planner::lift::Corner;
use planner::plan::{Check, Sense, StateAnswer};
use statics::Length;
use std::collections::BTreeMap;

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
            let loads = format!(
                "load {}, assured {}, ",
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

    /// What weighs; of loads and parts only what no input says in finer figures.
    fn weights_told(&self) -> Vec<String> {
        let parts = self.what_weighs();
        let all = words::weights(self.scene, self.units).into_iter();
        let of_a_part = |says: &str| says.contains("; its centre ");
        all.filter(|says| !of_a_part(says) || parts.iter().any(|(told, _)| told == says)).collect()
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

    /// Mass and centre of every state, each with how far it may be off: those that are worked out alike in tables.
    pub(in crate::drawing::paper) fn weights(&mut self) -> Vec<Said> {
        let mut said = vec![Said::Heading("Mass and centre of gravity".into())];
        let told = self.what_weighs();
        let mut tables: Vec<(Vec<usize>, Vec<Cells>)> = vec![];
        let mut of_vehicle = 0;
        for (k, state) in self.scene.plan.states.iter().enumerate() {
            let of_weight = |figure: Figure| {
                use Figure::{Centre, CentreOff, Mass, MassOff};
                matches!(figure, Mass(s) | MassOff(s) | Centre(_, s) | CentreOff(_, s) if s == k)
            };
            let worked = self.worked(of_weight);
            self.inputs.extend(told.iter().flat_map(|(_, inputs)| inputs.clone()));
            let lines: Vec<&Line> = worked.iter().flat_map(|w| &w.lines).collect();
            let title = format!("Mass and centre, {}", state.name);
            let name = format!("{}. {}", k + 1, words::capital(&state.name));
            match self.all_like(&lines, of_vehicle) {
                Some((firsts, steps)) => {
                    let with = self.with(worked.iter().flat_map(|w| &w.inputs));
                    if !with.is_empty() {
                        said.push(Said::Entry(format!("{name}:"), String::new()));
                        said.extend(with);
                    }
                    let number = self.number(steps.iter().copied());
                    let cells = steps.iter().map(|step| self.cell(number, "", &step.result)).collect();
                    let at = tables.iter().position(|(own, _)| *own == firsts).unwrap_or_else(|| {
                        tables.push((firsts, vec![]));
                        tables.len() - 1
                    });
                    match tables[at]
                        .1
                        .iter_mut()
                        .find(|(_, own)| self.edition == Edition::Worked && *own == cells)
                    {
                        Some((label, _)) => *label = format!("{label}, {}.", k + 1),
                        None => tables[at].1.push((format!("({number}) {}.", k + 1), cells)),
                    }
                    self.answered(&title);
                }
                None => {
                    said.push(Said::Entry(format!("{name}:"), String::new()));
                    said.extend(self.figures(&title, of_weight));
                }
            }
            if k == 0 {
                of_vehicle = self.rows;
            }
        }
        for (k, state) in self.scene.plan.states.iter().enumerate() {
            self.found(k, state);
        }
        if !tables.is_empty() {
            said.push(Said::Sentence(STATES_IN_ROWS.into()));
        }
        said.extend(tables.iter().flat_map(|(firsts, rows)| brief::in_parts(firsts, rows)));
        said
    }

    /// What is told of each load and part, with the inputs that it says as they are.
    fn what_weighs(&self) -> Vec<(String, Vec<(String, String)>)> {
        let figures = working::figures(self.scene).into_iter();
        let weights = figures.filter(|f| {
            matches!(f, Figure::Mass(_) | Figure::MassOff(_) | Figure::Centre(..) | Figure::CentreOff(..))
        });
        let worked = weights.filter_map(|figure| working::figure_worked(self.scene, figure, self.units));
        let inputs: Vec<(String, String)> = worked.flat_map(|w| w.inputs).collect();
        let told = words::weights(self.scene, self.units).into_iter().filter_map(|says| {
            let part = says.split_once(", ")?.0.to_lowercase();
            let own = inputs.iter().filter(|(name, _)| name.to_lowercase().contains(&format!("{part}, ")));
            let (same, other): (Vec<_>, Vec<_>) =
                own.cloned().partition(|(_, figure)| says.contains(&format!(" {figure}")));
            other.is_empty().then_some((says, same))
        });
        told.collect()
    }

    /// The steps, each with the one that it is like, if all of them are like others; without those up to a number.
    fn all_like<'w>(&self, lines: &[&'w Line], without: usize) -> Option<(Vec<usize>, Vec<&'w Step>)> {
        let (mut firsts, mut steps) = (vec![], vec![]);
        for line in lines {
            match line {
                Line::Note(note) if self.notes.contains(note) => {}
                Line::Note(_) => return None,
                Line::Step(step) if self.known.get(&key(step)).is_some_and(|number| *number <= without) => {}
                Line::Step(step) => {
                    let first = *self.of_formula.get(&step.formula)?;
                    if !firsts.contains(&first) {
                        firsts.push(first);
                        steps.push(step);
                    }
                }
            }
        }
        (without > 0 && !steps.is_empty()).then_some((firsts, steps))
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

    /// What was worked out of the states.
    #[cfg(test)]
    pub(in crate::drawing::paper) const fn earlier(&self) -> &Earlier {
        &self.earlier
    }

    /// Whether a figure is a result of these.
    #[cfg(test)]
    pub(in crate::drawing::paper) fn gives(&self, figure: &str) -> bool {
        self.weights.contains_key(figure)
    }

    /// What the mass and the centre of a state came to: what follows goes on with that.
    fn found(&mut self, k: usize, state: &StateAnswer) {
        let units = self.units;
        let mut numbers = vec![];
        let mut result = |figure: Figure| {
            let working = working::figure_worked(self.scene, figure, units)?;
            let step = working.steps().next_back()?;
            numbers.extend(self.known.get(&key(step)).map(|number| (step.result.clone(), *number)));
            Some(step.result.clone())
        };
        let masses = [(Figure::Mass(k), state.mass.value), (Figure::MassOff(k), state.mass.tolerance)];
        let masses = masses.map(|(figure, mass)| (mass, result(figure)));
        let lengths = Axis::ALL.into_iter().zip(state.cg.to_metres()).zip(state.cg_tolerance);
        let lengths = lengths.flat_map(|((axis, at), off)| {
            [(Figure::Centre(axis, k), Length::metres(at)), (Figure::CentreOff(axis, k), off)]
        });
        let lengths: Vec<_> = lengths.map(|(figure, length)| (length, result(figure))).collect();
        for (result, number) in numbers {
            self.weights.entry(result).or_insert(number);
        }
        for (mass, result) in masses {
            result.iter().for_each(|result| self.earlier.mass(mass, units, result));
        }
        for (length, result) in lengths {
            result.iter().for_each(|result| self.earlier.length(length, units, result));
        }
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

    /// What goes in and was not named before.
    fn with<'w>(&mut self, inputs: impl IntoIterator<Item = &'w (String, String)>) -> Vec<Said> {
        let mut new: Vec<(String, String)> = vec![];
        for input in inputs {
            if !self.inputs.contains(input) {
                self.inputs.push(input.clone());
                new.push(self.without_answer(input));
            }
        }
        let (of_pads, others) = brief::by_pad(&new);
        let of_pads = self.of_pads(&of_pads);
        let with = (!others.is_empty()).then(|| {
            let inputs = brief::inputs(&brief::with_tolerances(&others));
            Said::Sentence(format!("With {}.", brief::in_short(&inputs)))
        });
        with.into_iter().chain(of_pads).collect()
    }

    /// Where the class has found a figure itself, the step that gives it.
    fn without_answer(&self, input: &(String, String)) -> (String, String) {
        let (name, figure) = input;
        let is_of_state = name.contains("centre of gravity")
            || ["along the vehicle by", "across the vehicle by", "in height by"]
                .iter()
                .any(|off| name.ends_with(off))
            || ["mass", "tolerance of the mass"].contains(&name.as_str())
            || name.starts_with("mass ") && !name.starts_with("mass of ");
        let found = self.weights.get(figure).filter(|_| is_of_state && self.edition == Edition::Blanks);
        (name.clone(), found.map_or_else(|| figure.clone(), |number| format!("({number})")))
    }

    /// A note, without what the class has found by these steps.
    fn note(&self, note: &str, steps: &[&Step]) -> String {
        let mut said = note.to_owned();
        for step in steps.iter().filter(|_| self.edition == Edition::Blanks) {
            if let Some(number) = self.known.get(&key(step)) {
                said = in_place_of(&said, &step.result, &format!("({number})"));
            }
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

    /// One after the other, each once; `whole` is told as a whole even where it is like another.
    fn steps<'w>(&mut self, lines: impl IntoIterator<Item = &'w Line>, whole: Option<&Step>) -> Vec<Said> {
        let mut said = vec![];
        let mut again: Vec<usize> = vec![];
        let mut like: Vec<(usize, &Step)> = vec![];
        let mut seen: Vec<&Step> = vec![];
        for line in lines {
            let step = match line {
                Line::Step(step) => step,
                Line::Note(note) => {
                    let way = WAYS.into_iter().find(|way| note.starts_with(&format!("{way}, ")));
                    let known = self.notes.contains(note);
                    if !known || way.is_some() {
                        said.extend(self.flushed(&mut like, &mut again));
                    }
                    if known {
                        self.way = way.or(self.way);
                    } else {
                        self.notes.push(note.clone());
                        said.push(Said::Sentence(brief::in_short(&self.note(note, &seen))));
                    }
                    continue;
                }
            };
            seen.push(step);
            if let Some(number) = self.known.get(&key(step)) {
                again.push(*number);
                continue;
            }
            let same = self.results.get(&step.result).filter(|_| is_the_same(step));
            if let Some(number) = same.copied() {
                self.known.insert(key(step), number);
                self.of_formula.entry(step.formula.clone()).or_insert(number);
                again.push(number);
                continue;
            }
            let formula = brief::of_any(&step.formula);
            let first = self.alike.get(&formula).copied().filter(|_| whole != Some(step));
            if let Some(first) = first {
                if like.iter().all(|(_, other)| *other != step) {
                    like.push((first, step));
                }
                continue;
            }
            let of = brief::pad_of_step(&step.formula);
            let before = std::mem::take(&mut again);
            // What is of one pad needs nothing of the others.
            if of.is_none() {
                said.extend(self.flushed(&mut like, &mut vec![]));
            }
            said.extend(self.way.take().map(|way| Said::Sentence(format!("{way}:"))));
            let number = self.number([step]);
            self.alike.entry(formula).or_insert(number);
            self.firsts.extend(of.map(|corner| (number, corner)));
            let from = if before.is_empty() || whole.is_none() {
                String::new()
            } else {
                format!(", from {}", all_numbers(&before))
            };
            said.push(Said::Entry(format!("({number})"), format!("{}{from}", self.step(number, step))));
        }
        if whole.is_none() && !said.is_empty() {
            again.clear();
        }
        said.extend(self.flushed(&mut like, &mut again));
        said
    }

    /// The next number, which these steps have from now on.
    fn number<'w>(&mut self, steps: impl IntoIterator<Item = &'w Step>) -> usize {
        self.rows += 1;
        for step in steps {
            self.known.entry(key(step)).or_insert(self.rows);
            self.of_formula.entry(step.formula.clone()).or_insert(self.rows);
            self.results.entry(step.result.clone()).or_insert(self.rows);
        }
        self.rows
    }

    /// What was gathered of steps that are like others, or are done: those of the pads in tables, the others in a row.
    fn flushed(&mut self, like: &mut Vec<(usize, &Step)>, again: &mut Vec<usize>) -> Vec<Said> {
        let mut again = std::mem::take(again);
        let mut said = vec![];
        // Of the step just above nobody need be told.
        if again.iter().all(|number| *number == self.rows && *number > self.begun) {
            again.clear();
        }
        if !again.is_empty() {
            let way = self.way.take().map_or_else(|| "As".to_owned(), |way| format!("{way}: as"));
            said.push(Said::Sentence(format!("{way} in {}.", all_numbers(&again))));
        }
        let (rows, others) = brief::rows(std::mem::take(like));
        let others: Vec<Like> = others
            .into_iter()
            .map(|(first, step)| {
                let number = self.number([step]);
                let apart = brief::apart(&step.formula);
                let told = self.cell(number, apart, &step.result);
                let says = format!("{apart} {told}").trim_start().to_owned();
                Like { number, says, first }
            })
            .collect();
        if !others.is_empty() {
            let way = self.way.take().map_or_else(String::new, |way| format!("{way}: "));
            said.push(Said::Sentence(format!("{way}{}", brief::like(&others))));
        }
        let mut table = vec![];
        for row in rows {
            let number = self.number(row.steps.iter().flatten().copied());
            let first = self.firsts.get(&row.first).copied().filter(|_| row.first > self.begun);
            let stands_in_it = first.is_some_and(|corner| row.steps[corner.index()].is_none());
            let cells = Corner::ALL.map(|corner| match row.steps[corner.index()] {
                Some(step) => self.cell(number, brief::short(corner), &step.result),
                None if first == Some(corner) => format!("({})", row.first),
                None => "\u{b7}".into(),
            });
            let like = if stands_in_it { String::new() } else { format!(" as ({})", row.first) };
            table.push((format!("({number}) {}{like}", row.name), cells.to_vec()));
        }
        said.extend(
            self.way.take().filter(|_| !table.is_empty()).map(|way| Said::Sentence(format!("{way}:"))),
        );
        said.extend(self.of_pads(&table));
        said
    }

    /// Rows of the four pads; which column is whose is said once in a check.
    fn of_pads(&mut self, rows: &[(String, Vec<String>)]) -> Vec<Said> {
        if rows.is_empty() {
            return vec![];
        }
        let heads = std::iter::once("").chain(Corner::ALL.map(brief::short));
        let heads: Vec<String> = heads.map(str::to_owned).collect();
        let headed = std::mem::replace(&mut self.headed, true);
        table(if headed { &[] } else { &heads }, rows)
    }

    fn step(&mut self, number: usize, step: &Step) -> String {
        match self.edition {
            Edition::Worked => brief::in_short(&chain(step)),
            Edition::Blanks => {
                let formula = brief::in_short(&step.formula);
                format!("{formula} = {BLANK}{BLANK} = {}", self.result(number, step))
            }
        }
    }

    /// A result, or the room for it.
    fn result(&mut self, number: usize, step: &Step) -> String {
        match self.edition {
            Edition::Worked => step.result.clone(),
            Edition::Blanks => {
                self.found.push(format!("({number}) {}", step.result));
                format!("{BLANK}{}", &step.result[brief::end_of_number(&step.result)..])
            }
        }
    }

    /// A result in a table, without its unit, or the room for it.
    fn cell(&mut self, number: usize, whose: &str, result: &str) -> String {
        match self.edition {
            Edition::Worked => result[..brief::end_of_number(result)].to_owned(),
            Edition::Blanks => {
                self.found
                    .push(format!("({number}) {whose}{}{result}", if whose.is_empty() { "" } else { " " }));
                BLANK[..8].to_owned()
            }
        }
    }
}

/// A text with another in the place of a figure, where that stands by itself.
fn in_place_of(text: &str, figure: &str, by: &str) -> String {
    let number = |c: char| c.is_ascii_digit() || matches!(c, '.' | '\u{2212}');
    let (mut said, mut rest) = (String::new(), text);
    while let Some(at) = rest.find(figure) {
        let (before, after) = (&rest[..at], &rest[at + figure.len()..]);
        let alone = !before.ends_with(number) && !after.starts_with(char::is_alphanumeric);
        said += before;
        said += if alone { by } else { figure };
        rest = after;
    }
    said + rest
}

fn key(step: &Step) -> [String; 3] {
    [step.formula.clone(), step.numbers.clone(), step.result.clone()]
}

const STATES_TOLD: &str = "Of each: mass; what of it the front end carries; how far the centre of gravity is from the nearest edge; at which \
    acceleration it tips; the least reserve. Held by: the check that leaves that.";

/// The ways in which arms may bend.
const WAYS: [&str; 4] = ["First", "Second", "Third", "Last"];

/// Whether a step only says that a figure is another one.
fn is_the_same(step: &Step) -> bool {
    let number = &step.result[..brief::end_of_number(&step.result)];
    step.numbers.strip_prefix("1 \u{d7} ") == Some(number)
}

pub(super) const SOURCE_ABOVE: &str = "as told of what was guessed";

const STATES_IN_ROWS: &str = "Each state in a row, by its number in the list of states; above each column the step that its figures are like.";

const BLANK: &str = "___________";

/// Formula, numbers, result.
fn chain(step: &Step) -> String {
    if step.numbers == step.result {
        format!("{} = {}", step.formula, step.result)
    } else {
        format!("{} = {} = {}", step.formula, step.numbers, step.result)
    }
}

/// How the reserve of a check is computed, with room for it.
fn reserve_asked(check: &Check) -> String {
    let quotient = match check.sense {
        Sense::AtLeast => "result / limit",
        Sense::AtMost => "limit / result",
    };
    format!("Reserve = {quotient} \u{2212} 1 = {BLANK} / {BLANK} \u{2212} 1 = {BLANK} %")
}
