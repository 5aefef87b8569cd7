//! Mass and centre of gravity of every state, and what weighs.

use planner::plan::StateAnswer;
use statics::Length;

use super::super::super::flow::Said;
use super::super::Edition;
use super::super::brief::{self, Cells};
use super::Book;
use super::steps::key;
use crate::words;
#[cfg(test)]
use crate::working::Earlier;
use crate::working::{self, Axis, Figure, Line, Step};

/// States that come to the same, each figure like a step before.
struct Row {
    number: usize,
    states: Vec<usize>,
    cells: Vec<String>,
}

impl Row {
    fn told(&self) -> Cells {
        let states = self.states.iter().map(|state| format!("{state}.")).collect::<Vec<_>>().join(", ");
        (format!("({}) {states}", self.number), self.cells.clone())
    }
}

impl Book<'_, '_> {
    /// What weighs; of loads and parts only what no input says in finer figures.
    pub(super) fn weights_told(&self) -> Vec<String> {
        let parts = self.what_weighs();
        let all = words::weights(self.scene, self.units).into_iter();
        let of_a_part = |says: &str| says.contains("; its centre ");
        all.filter(|says| !of_a_part(says) || parts.iter().any(|(told, _)| told == says)).collect()
    }

    /// Mass and centre of every state, each with how far it may be off: those that are worked out alike in tables.
    pub(in crate::drawing::paper) fn weights(&mut self) -> Vec<Said> {
        let mut said = vec![Said::Heading("Mass and centre of gravity".into())];
        let told = self.what_weighs();
        let mut tables: Vec<(Vec<usize>, Vec<Row>)> = vec![];
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
                    let at = tables.iter().position(|(own, _)| *own == firsts).unwrap_or_else(|| {
                        tables.push((firsts, vec![]));
                        tables.len() - 1
                    });
                    let number = self.rows + 1;
                    let cells: Vec<String> =
                        steps.iter().map(|step| self.cell(number, "", &step.result)).collect();
                    let worked = self.edition == Edition::Worked;
                    match tables[at].1.iter_mut().find(|row| worked && row.cells == cells) {
                        Some(row) => {
                            row.states.push(k + 1);
                            self.also(row.number, steps.iter().copied());
                        }
                        None => {
                            self.number(steps.iter().copied());
                            tables[at].1.push(Row { number, states: vec![k + 1], cells });
                        }
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
        said.extend(tables.iter().flat_map(|(firsts, rows)| {
            brief::in_parts(firsts, &rows.iter().map(Row::told).collect::<Vec<_>>())
        }));
        said
    }

    /// What is told of each load and part, with the inputs that it says as they are.
    pub(super) fn what_weighs(&self) -> Vec<(String, Vec<(String, String)>)> {
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
    pub(super) fn all_like<'w>(
        &self,
        lines: &[&'w Line],
        without: usize,
    ) -> Option<(Vec<usize>, Vec<&'w Step>)> {
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
    pub(super) fn found(&mut self, k: usize, state: &StateAnswer) {
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
}

const STATES_IN_ROWS: &str = "Each state in a row, by its number in the list of states; above each column the step that its figures are like, \
    each mass and place at its own end.";
