//! Steps of a working: formula, numbers put in, result; each result from the numbers as printed.

use core::fmt;

use planner::plan::Unit;
use statics::{Angle, Length, Mass, Stiffness};

use super::calculator::value;
use crate::Units;
use crate::units::decimals;

/// One step of a working.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Step {
    /// What is computed and how, in words and signs.
    pub formula: String,
    /// The same with the numbers put in, without units.
    pub numbers: String,
    /// What a pocket calculator gives for the numbers, with its unit.
    pub result: String,
}

/// A line of a working.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Line {
    /// Something to know before the steps that follow.
    Note(String),
    /// A step.
    Step(Step),
}

/// A check worked out.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Working {
    /// What went in, each a name and a figure.
    pub inputs: Vec<(String, String)>,
    /// How the figure comes about; the last step's result is the figure.
    pub lines: Vec<Line>,
    /// How the limit comes about, where it is computed.
    pub limit: Option<Step>,
}

impl Working {
    /// The steps alone.
    pub fn steps(&self) -> impl DoubleEndedIterator<Item = &Step> {
        self.lines.iter().filter_map(|line| match line {
            Line::Step(step) => Some(step),
            Line::Note(_) => None,
        })
    }
}

/// A figure as printed, without its unit.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Num(pub(super) String);

impl fmt::Display for Num {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}

/// What a figure is, which decides its unit and decimals.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Kind {
    Length,
    /// A length that springs are pressed by.
    Pressed,
    /// A length squared.
    Area,
    /// One over a length.
    PerLength,
    Angle,
    Mass,
    Stiffness,
    /// A push or pull.
    Push,
    /// A push times a length.
    Moment,
    /// A plain number.
    Bare,
    /// A plain number, small.
    Fine,
    Percent,
}

impl Kind {
    fn print(self, value: f64, units: Units) -> (Num, &'static str) {
        let us = units == Units::Us;
        let (places, unit) = match self {
            Self::Length => (if us { 4 } else { 3 }, if us { " in" } else { " mm" }),
            Self::Pressed => (if us { 8 } else { 6 }, if us { " in" } else { " mm" }),
            Self::Area => (if us { 4 } else { 2 }, if us { " sq in" } else { " sq mm" }),
            Self::PerLength => (if us { 9 } else { 11 }, if us { " per in" } else { " per mm" }),
            Self::Angle => (5, "\u{b0}"),
            Self::Mass => (3, if us { " lb" } else { " kg" }),
            Self::Stiffness => (4, if us { " lbf/in" } else { " N/mm" }),
            Self::Push => (if us { 4 } else { 3 }, if us { " lbf" } else { " N" }),
            Self::Moment => (1, if us { " lbf in" } else { " N mm" }),
            Self::Bare => (7, ""),
            Self::Fine => (10, ""),
            Self::Percent => (4, " %"),
        };
        (Num(decimals(value, places)), unit)
    }
}

/// Figures that were worked out before: whoever goes on with one of them goes on with what was printed of it.
#[derive(Clone, Debug)]
pub(crate) struct Earlier(Vec<(Kind, f64, String)>);

impl Earlier {
    /// Nothing.
    pub(crate) const fn none() -> Self {
        Self(Vec::new())
    }

    /// A mass of a plan, and what its working came to.
    pub(crate) fn mass(&mut self, mass: Mass, units: Units, result: &str) {
        self.0.push((Kind::Mass, in_mass(mass, units), bare(result).0));
    }

    /// A length of a plan, and what its working came to.
    pub(crate) fn length(&mut self, length: Length, units: Units, result: &str) {
        self.0.push((Kind::Length, in_length(length, units), bare(result).0));
    }

    /// What was printed of a figure. Nothing is nothing, whatever came to it.
    fn printed(&self, kind: Kind, value: f64) -> Option<(usize, Num)> {
        let same = |own: f64| (own - value).abs() < 1e-9 * value.abs() && value.abs() > 1e-6;
        let mut latest = self.0.iter().enumerate().rev();
        let (k, found) = latest.find(|(_, (own, exact, _))| *own == kind && same(*exact))?;
        Some((k, Num(found.2.clone())))
    }
}

fn in_mass(mass: Mass, units: Units) -> f64 {
    if units == Units::Us { mass.to_pounds() } else { mass.to_kilograms() }
}

fn in_length(length: Length, units: Units) -> f64 {
    if units == Units::Us { length.to_inches() } else { length.to_millimetres() }
}

/// A working while it is written.
pub(super) struct Sums {
    units: Units,
    earlier: Earlier,
    /// How much of that other workings came to: the rest are steps of this one.
    others: usize,
    working: Working,
}

impl Sums {
    pub(super) const fn new(units: Units) -> Self {
        let working = Working { inputs: Vec::new(), lines: Vec::new(), limit: None };
        Self { units, earlier: Earlier::none(), others: 0, working }
    }

    /// One that goes on with what was worked out before.
    pub(super) fn after(units: Units, earlier: &Earlier) -> Self {
        Self { earlier: earlier.clone(), others: earlier.0.len(), ..Self::new(units) }
    }

    /// What follows goes on with that, wherever it takes this mass.
    pub(super) fn goes_on_with_mass(&mut self, mass: Mass, found: &Num) {
        self.earlier.mass(mass, self.units, &found.0);
    }

    /// The same of a length.
    pub(super) fn goes_on_with_length(&mut self, length: Length, found: &Num) {
        self.earlier.length(length, self.units, &found.0);
    }

    pub(super) const fn units(&self) -> Units {
        self.units
    }

    pub(super) fn done(self) -> Working {
        self.working
    }

    pub(super) fn note(&mut self, text: impl Into<String>) {
        self.working.lines.push(Line::Note(text.into()));
    }

    /// The next result is named by its formula up to the sign of equality. What was worked out already is not
    /// shown again.
    pub(super) fn step(&mut self, kind: Kind, formula: impl Into<String>, numbers: impl Into<String>) -> Num {
        let (step, num) = self.worked(kind, formula.into(), numbers.into());
        if !self.working.steps().any(|known| *known == step) {
            self.working.lines.push(Line::Step(step));
        }
        num
    }

    /// The result of the last step.
    pub(super) fn last(&self) -> Option<Num> {
        let result = &self.working.steps().next_back()?.result;
        Some(bare(result))
    }

    /// A step that was worked out apart.
    pub(super) fn worked_out(&mut self, step: Step) -> Num {
        let num = bare(&step.result);
        self.working.lines.push(Line::Step(step));
        num
    }

    /// A figure that went in, as it is printed.
    pub(super) fn known(&mut self, name: String, figure: String) {
        let input = (name, figure);
        if !self.working.inputs.contains(&input) {
            self.working.inputs.push(input);
        }
    }

    /// A length with its unit: as it was found, or as it is.
    pub(super) fn told_length(&self, found: Option<&Num>, length: Length) -> String {
        let (own, unit) = Kind::Length.print(in_length(length, self.units), self.units);
        format!("{}{unit}", found.unwrap_or(&own))
    }

    /// An SI figure of some unit.
    pub(super) fn figure(&mut self, name: impl Into<String>, si: f64, unit: Unit) -> Num {
        match unit {
            Unit::Metre => self.length(name, Length::metres(si)),
            Unit::Radian => self.angle(name, Angle::radians(si)),
            Unit::Newton => self.mass(name, statics::Force::newtons(si).as_mass()),
            Unit::Kilogram => self.mass(name, Mass::kilograms(si)),
            Unit::Ratio => self.given(name.into(), Kind::Percent, si * 100.0),
            Unit::Push => self.push(name, statics::Force::newtons(si)),
            Unit::Gravity => self.bare(name, si),
            Unit::NewtonPerMetre => self.stiffness(name, Stiffness::newtons_per_metre(si)),
        }
    }

    /// How the limit comes about.
    pub(super) fn limit(&mut self, kind: Kind, formula: impl Into<String>, numbers: impl Into<String>) {
        self.working.limit = Some(self.worked(kind, formula.into(), numbers.into()).0);
    }

    fn worked(&self, kind: Kind, formula: String, numbers: String) -> (Step, Num) {
        let (num, unit) =
            value(&numbers).map_or_else(|| (Num("no figure".into()), ""), |v| kind.print(v, self.units));
        (Step { formula, numbers, result: format!("{num}{unit}") }, num)
    }

    fn given(&mut self, name: String, kind: Kind, value: f64) -> Num {
        let (own, unit) = kind.print(value, self.units);
        let found = self.earlier.printed(kind, value);
        // What a step of this working gives did not go in.
        let is_a_step = found.as_ref().is_some_and(|(k, _)| *k >= self.others);
        let num = found.map_or(own, |(_, num)| num);
        if !is_a_step {
            self.known(name, format!("{num}{unit}"));
        }
        num
    }

    pub(super) fn count(&mut self, name: impl Into<String>, count: u64) -> Num {
        self.known(name.into(), count.to_string());
        Num(count.to_string())
    }

    pub(super) fn length(&mut self, name: impl Into<String>, length: Length) -> Num {
        self.given(name.into(), Kind::Length, in_length(length, self.units))
    }

    pub(super) fn pressed(&mut self, name: impl Into<String>, length: Length) -> Num {
        self.given(name.into(), Kind::Pressed, in_length(length, self.units))
    }

    /// A place in metres, its two coordinates named.
    pub(super) fn place(&mut self, name: &str, axes: [&str; 2], at: [f64; 2]) -> [Num; 2] {
        [0, 1].map(|k| self.length(format!("{name}, {}", axes[k]), Length::metres(at[k])))
    }

    pub(super) fn angle(&mut self, name: impl Into<String>, angle: Angle) -> Num {
        self.given(name.into(), Kind::Angle, angle.to_degrees())
    }

    pub(super) fn mass(&mut self, name: impl Into<String>, mass: Mass) -> Num {
        self.given(name.into(), Kind::Mass, in_mass(mass, self.units))
    }

    pub(super) fn push(&mut self, name: impl Into<String>, force: statics::Force) -> Num {
        let value = if self.units == Units::Us { force.to_pounds_force() } else { force.to_newtons() };
        self.given(name.into(), Kind::Push, value)
    }

    pub(super) fn stiffness(&mut self, name: impl Into<String>, k: Stiffness) -> Num {
        let si = k.to_newtons_per_metre();
        let us = statics::quantity::INCH / statics::quantity::POUND_FORCE;
        let value = if self.units == Units::Us { si * us } else { si / 1000.0 };
        self.given(name.into(), Kind::Stiffness, value)
    }

    pub(super) fn bare(&mut self, name: impl Into<String>, value: f64) -> Num {
        self.given(name.into(), Kind::Bare, value)
    }
}

/// A printed figure without its unit.
fn bare(figure: &str) -> Num {
    let end = figure.find(|c: char| !(c.is_ascii_digit() || c == '.' || c == '\u{2212}'));
    Num(figure[..end.unwrap_or(figure.len())].to_owned())
}
