//! The plan worked out on paper: what went in, the states, and every kind of check with its formula, numbers, limit, reserve
//! and source. For a class the same with blanks, and the answers at the end.

mod brief;

use std::collections::BTreeMap;

use planner::frames::DrivenIn;
use planner::plan::{Check, Sense, Verdict};

use super::super::Area;
use super::super::style::Style;
use super::bay::{Printed, about, cautions, fitting, items, mark, ornament, sides};
use super::flow::{Said, pour, section};
use super::{Document, Page, Part};
use crate::units::Round;
use crate::working::{self, Figure, Line, Step, Working};
use crate::{Scene, Units, units, words};
use brief::{Like, Other, all_numbers};

/// What is printed of a working.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Edition {
    /// All of it.
    Worked,
    /// Formulas and inputs, with blanks for numbers and results; the answers on the last page.
    Blanks,
}

const HOW_TO_READ: &str = "Of each kind of check the one with the least reserve is worked out; a step that was done before is \
    named by its number; one of a formula that was used before gives its result and which it is like. Every number is what a \
    pocket calculator gives for those printed before it; angles are in degrees. Likewise: what all of them share comes first, and \
    \u{2026} stands for what sets each apart; the last figure is its reserve.";

const RESERVES_ASKED: &str = "A reserve is what is left of a limit: result / limit \u{2212} 1 where the result must be at least so \
    much, limit / result \u{2212} 1 where it may be at most so much, times 100 in per cent; below nothing the check fails. It is never \
    told as more than 900 %.";

/// Sizes of the sentences: the largest with which it is no longer than `ENOUGH` pages, else the last.
const SIZES: [f64; 3] = [2.8, 2.6, 2.4];
const ENOUGH: usize = 4;

pub(crate) fn sheets(scene: &Scene<'_>, units: Units, printed: &Printed<'_>, edition: Edition) -> Document {
    let verdict = words::verdict(scene);
    let title = match edition {
        Edition::Worked => format!("Worked out: {verdict}"),
        Edition::Blanks => "To be worked out".to_owned(),
    };
    let mut book = Book {
        scene,
        units,
        edition,
        known: BTreeMap::new(),
        alike: BTreeMap::new(),
        notes: vec![],
        inputs: vec![],
        found: vec![],
        answers: vec![],
    };
    let weights = book.weights();
    let checks = book.checks();
    let stands = book.stands();
    let refused = (edition == Edition::Worked && scene.plan.verdict == Verdict::DoNotRaise)
        .then(|| Said::Sentence(words::COMES_NEAREST_WORKED.into()));
    let how = match edition {
        Edition::Worked => vec![HOW_TO_READ],
        Edition::Blanks => vec![HOW_TO_READ, RESERVES_ASKED],
    };
    let how = how.into_iter().map(|says| Said::Sentence(says.into())).collect();
    let mut said =
        [refused.into_iter().collect(), book.about(), book.states(), how, weights, checks, stands].concat();
    if edition == Edition::Worked {
        said.extend(section("Cautions", words::cautions().map(|c| Said::Sentence(c.into()))));
    }
    let (first, room) = first(scene, units, printed, &title);
    let set = |size: f64| {
        let mut parts = first.clone();
        let rest = pour(&mut parts, &said, size, &super::super::flow::halves(room));
        super::go_on(parts, rest, size, printed.paper)
    };
    let enough = SIZES.into_iter().map(set).find(|pages| pages.len() <= ENOUGH);
    let mut pages = enough.unwrap_or_else(|| set(SIZES[SIZES.len() - 1]));
    if edition == Edition::Blanks {
        pages.extend(answers(&book.answers, &verdict, printed));
    }
    let pages = super::numbered(pages, printed.paper, &super::foot_of(printed.mark));
    let name = |k: usize| if k == 0 { title.clone() } else { format!("Page {}", k + 1) };
    Document {
        title: format!("{} on {}. {title}", scene.vehicle.name, scene.lift.name),
        paper: printed.paper,
        pages: pages.into_iter().enumerate().map(|(k, parts)| Page { name: name(k), parts }).collect(),
    }
}

fn first(scene: &Scene<'_>, units: Units, printed: &Printed<'_>, title: &str) -> (Vec<Part>, Area) {
    let page = sides(printed.paper);
    let mut parts = vec![];
    let size = fitting(title, 6.6, page.width() - 30.0);
    parts.push(Part::Heading(1, items(|board| board.say([page.x[0], page.y[0] + 6.0], size, true, title))));
    let coded = mark(&mut parts, printed.mark, [page.x[1] - 24.0, page.y[0] - 3.0]);
    let end =
        about(&mut parts, scene, units, [page.x[0], page.x[1] - 30.0], page.y[0] + 14.0).max(coded) + 1.5;
    parts.push(ornament(|board| board.line(&[[page.x[0], end], [page.x[1], end]], Style::Frame)));
    (parts, Area { x: page.x, y: [end + 2.5, page.y[1] - super::FOOT] })
}

/// The answers, on a page of their own.
fn answers(all: &[String], verdict: &str, printed: &Printed<'_>) -> Vec<Vec<Part>> {
    let page = sides(printed.paper);
    let title = format!("Answers: {verdict}");
    let size = fitting(&title, 6.0, page.width());
    let heading = items(|board| board.say([page.x[0], page.y[0] + 5.5], size, true, &title));
    let mut last = vec![];
    let foot = cautions(&mut last, page, 3.0);
    let room = Area { x: page.x, y: [page.y[0] + 10.0, foot - 2.0] };
    let said: Vec<Said> = all.iter().map(|answer| Said::Sentence(answer.clone())).collect();
    let set = |size: f64| {
        let mut parts = vec![Part::Heading(1, heading.clone())];
        let rest = pour(&mut parts, &said, size, &super::super::flow::halves(room));
        parts.extend(last.clone());
        super::go_on(parts, rest, size, printed.paper)
    };
    let one = SIZES.into_iter().map(set).find(|pages| pages.len() == 1);
    one.unwrap_or_else(|| set(SIZES[SIZES.len() - 1]))
}

/// A working that is being written: what was said stays said.
struct Book<'s, 'a> {
    scene: &'s Scene<'a>,
    units: Units,
    edition: Edition,
    /// Steps by their words, with their numbers.
    known: BTreeMap<[String; 3], usize>,
    /// The first step of each formula, whichever pad it is of.
    alike: BTreeMap<String, usize>,
    notes: Vec<String>,
    /// Inputs that were named.
    inputs: Vec<(String, String)>,
    /// Of the steps of the check that is being written.
    found: Vec<String>,
    /// Check by check.
    answers: Vec<String>,
}

impl Book<'_, '_> {
    /// What the plan rests on.
    fn about(&self) -> Vec<Said> {
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
                units.length(pad.height),
                words::adapters(&pad.adapters, units),
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
            section("What weighs", sentences(words::weights(scene, units))),
            section("Guessed, not measured", sentences(assumed)),
            section("Own limits", sentences(words::own_limits(scene, units))),
        ]
        .concat()
    }

    fn states(&self) -> Vec<Said> {
        let (scene, units) = (self.scene, self.units);
        let told = scene.plan.states.iter().enumerate().map(|(k, state)| {
            let says = match self.edition {
                Edition::Blanks => format!("{}.", words::capital(&state.name)),
                Edition::Worked => {
                    let tips = state.tip_ratio.map_or_else(|| "-".into(), |g| units.tip(g));
                    format!(
                        "{}: mass {}, front end {} %, centre of gravity {} from the nearest edge, tips at {tips}; {}. {}",
                        words::capital(&state.name),
                        units.mass(state.mass.value),
                        units::decimals(state.front_share * 100.0, 0),
                        units.length_to(state.assured_edge, Round::Down),
                        units::least_reserve(state.worst_reserve),
                        words::along_the_job(scene, k, units),
                    )
                }
            };
            Said::Entry(format!("{}.", k + 1), says.trim().to_owned())
        });
        section("States of the job", told)
    }

    /// Kind by kind, what leaves least first.
    fn checks(&mut self) -> Vec<Said> {
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

    /// Mass and centre of every state, each with how far it may be off.
    fn weights(&mut self) -> Vec<Said> {
        let mut said = vec![Said::Heading("Mass and centre of gravity".into())];
        for (k, state) in self.scene.plan.states.iter().enumerate() {
            let of_weight = |figure: Figure| {
                use Figure::{Centre, CentreOff, Mass, MassOff};
                matches!(figure, Mass(s) | MassOff(s) | Centre(_, s) | CentreOff(_, s) if s == k)
            };
            said.push(Said::Sentence(format!("{}:", words::capital(&state.name))));
            said.extend(self.figures(&format!("Mass and centre, {}", state.name), of_weight));
        }
        said
    }

    /// How high stands are, and what each carries.
    fn stands(&mut self) -> Vec<Said> {
        let of_stands = |figure: Figure| {
            use Figure::{StandChange, StandHeight, StandLeast, StandLoad, StandMost};
            matches!(figure, StandHeight(_) | StandLeast | StandMost | StandLoad | StandChange(_))
        };
        section("Stands", self.figures("Stands", of_stands))
    }

    /// Figures of one subject, worked out one after the other.
    fn figures(&mut self, title: &str, of: impl Fn(Figure) -> bool) -> Vec<Said> {
        let figures = working::figures(self.scene).into_iter().filter(|f| of(*f));
        let worked: Vec<Working> =
            figures.filter_map(|figure| working::figure_worked(self.scene, figure, self.units)).collect();
        let mut said: Vec<Said> = self.with(worked.iter().flat_map(|w| &w.inputs)).into_iter().collect();
        said.extend(self.steps(worked.iter().flat_map(|w| &w.lines), None));
        let found = std::mem::take(&mut self.found);
        if !found.is_empty() {
            self.answers.push(format!("{title}: {}.", found.join("; ")));
        }
        said
    }

    fn kind(&mut self, checks: &[&Check]) -> Vec<Said> {
        let (scene, units) = (self.scene, self.units);
        let [worst, others @ ..] = checks else { return vec![] };
        let Some(working) = working::worked(scene, worst, units) else { return vec![] };
        let mut said = vec![Said::Heading(words::capital(&words::title_in_state(scene, worst)))];
        said.extend(self.with(&working.inputs));
        said.extend(self.steps(&working.lines, working.steps().next_back()));
        let end = working::end(scene, worst, &working, units);
        let limit = working.limit.as_ref().map(|step| format!(" ({})", chain(step))).unwrap_or_default();
        match self.edition {
            Edition::Worked => said.push(Said::Sentence(format!(
                "Result {}, limit {}{limit}. Reserve {}. Source: {}.{}",
                end.result,
                end.limit,
                end.reserve,
                end.source,
                if worst.binding { "" } else { " Failing it is a condition." }
            ))),
            Edition::Blanks => {
                let found = std::mem::take(&mut self.found);
                self.answers.push(format!(
                    "{}: {}{}, {}.",
                    words::capital(&words::title_in_state(scene, worst)),
                    found.iter().map(|answer| format!("{answer}; ")).collect::<String>(),
                    end.result,
                    units::reserve_in_words(worst.reserve)
                ));
                said.push(Said::Sentence(format!(
                    "Result {BLANK}, limit {}. {}. Source: {}.",
                    end.limit,
                    reserve_asked(worst),
                    end.source
                )));
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
                reserve: units::reserve_in_words(check.reserve),
            });
        }
        said
    }

    /// What goes in and was not named before.
    fn with<'w>(&mut self, inputs: impl IntoIterator<Item = &'w (String, String)>) -> Option<Said> {
        let mut new: Vec<(String, String)> = vec![];
        for input in inputs {
            if !self.inputs.contains(input) {
                self.inputs.push(input.clone());
                new.push(input.clone());
            }
        }
        (!new.is_empty()).then(|| Said::Sentence(format!("With {}.", brief::inputs(&new))))
    }

    /// One after the other, each once; `whole` is told as a whole even where it is like another.
    fn steps<'w>(&mut self, lines: impl IntoIterator<Item = &'w Line>, whole: Option<&Step>) -> Vec<Said> {
        let mut said = vec![];
        let mut again: Vec<usize> = vec![];
        let mut like: Vec<Like> = vec![];
        for line in lines {
            let step = match line {
                Line::Step(step) => step,
                Line::Note(note) => {
                    if !self.notes.contains(note) {
                        said.extend(flushed(&mut like, &mut again));
                        self.notes.push(note.clone());
                        said.push(Said::Sentence(note.clone()));
                    }
                    continue;
                }
            };
            let key = [step.formula.clone(), step.numbers.clone(), step.result.clone()];
            if let Some(number) = self.known.get(&key) {
                again.push(*number);
                continue;
            }
            let number = self.known.len() + 1;
            self.known.insert(key, number);
            let formula = of_any_pad(&step.formula);
            let first = self.alike.get(&formula).copied().filter(|_| whole != Some(step));
            if let Some(first) = first {
                let told = self.result(number, step);
                let (name, _) = step.formula.split_once(" = ").unwrap_or((&step.formula, ""));
                like.push(Like { number, says: format!("{name} = {told}"), first });
            } else {
                self.alike.entry(formula).or_insert(number);
                let before = std::mem::take(&mut again);
                said.extend(flushed(&mut like, &mut again));
                let from = if before.is_empty() {
                    String::new()
                } else {
                    format!(", from {}", all_numbers(&before))
                };
                said.push(Said::Entry(format!("({number})"), format!("{}{from}", self.step(number, step))));
            }
        }
        said.extend(flushed(&mut like, &mut again));
        said
    }

    fn step(&mut self, number: usize, step: &Step) -> String {
        match self.edition {
            Edition::Worked => chain(step),
            Edition::Blanks => {
                format!("{} = {BLANK}{BLANK} = {}", step.formula, self.result(number, step))
            }
        }
    }

    /// A result, or the room for it.
    fn result(&mut self, number: usize, step: &Step) -> String {
        match self.edition {
            Edition::Worked => step.result.clone(),
            Edition::Blanks => {
                self.found.push(format!("({number}) {}", step.result));
                let end = step.result.rfind(|c: char| c.is_ascii_digit()).map_or(0, |k| k + 1);
                format!("{BLANK}{}", &step.result[end..])
            }
        }
    }
}

/// A formula without the names of pads.
fn of_any_pad(formula: &str) -> String {
    let named = ["front left", "front right", "rear left", "rear right"];
    let bare = named.iter().fold(formula.to_owned(), |text, name| text.replace(name, "*"));
    bare.replace("* and *", "*")
}

/// What was gathered of steps that are like others, or are done.
fn flushed(like: &mut Vec<Like>, again: &mut Vec<usize>) -> Option<Said> {
    let (like, again) = (std::mem::take(like), std::mem::take(again));
    let done = (!again.is_empty()).then(|| format!("As in {}.", all_numbers(&again)));
    let like = (!like.is_empty()).then(|| brief::like(&like));
    let said: Vec<String> = done.into_iter().chain(like).collect();
    (!said.is_empty()).then(|| Said::Sentence(said.join(" ")))
}

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
