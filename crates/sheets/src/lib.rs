//! A checked plan, drawn and put into words: placed drawing items, SVG from them, sentences.
//!
//! Nothing here writes a file or computes a physical figure that the plan does not hold.

pub mod drawing;
mod font;
mod pdf;
mod report;
mod svg;
pub mod units;
pub mod words;
mod working;

#[cfg(test)]
mod fixtures;
#[cfg(test)]
mod tests;

use planner::plan::{Check, Verdict};
use planner::{Chances, Gain, Job, Lift, Limits, Plan, Vehicle};

pub use drawing::coverage::{Coverage, LiftCoverage};
pub use drawing::paper::{Document, Edition, Paper, Printed, Record, Section};
pub use pdf::PdfFault;
pub use units::Units;
pub use working::{Axis, Figure, Line, Step, Working};

/// A plan and everything that it was made from.
#[derive(Clone, Copy, Debug)]
pub struct Scene<'a> {
    /// The lift.
    pub lift: &'a Lift,
    /// The vehicle.
    pub vehicle: &'a Vehicle,
    /// The job.
    pub job: &'a Job,
    /// The limits in force.
    pub limits: &'a Limits,
    /// The answer.
    pub plan: &'a Plan,
    /// Whether the setup was searched for or measured on the floor.
    pub origin: Origin,
    /// Where it is refused: the other bays in which it may be raised; `None` = none was asked.
    pub other_bays: Option<&'a [OtherBay]>,
    /// The chance that checks fail; `None` = not asked.
    pub chances: Option<&'a Chances>,
    /// What to measure next, greatest gain first; `None` = not asked.
    pub measure_next: Option<&'a [Gain]>,
}

/// Where a setup comes from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Origin {
    /// Searched for.
    Planned,
    /// Set by a person and measured; it was only checked.
    AsPlaced,
}

/// Another lift on which the vehicle may be raised for the same job.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct OtherBay {
    /// What the shop calls the lift.
    pub lift: String,
    /// Whether there are conditions.
    pub verdict: Verdict,
}

/// The whole plan in words, for a terminal of 100 columns.
#[must_use]
pub fn report(scene: &Scene<'_>, units: Units) -> String {
    report::report(scene, units)
}

/// One check or other figure worked out: its formula, the numbers put in, result and source; of a check limit and
/// reserve too.
///
/// `name` is a check's own id (`pad-rating:front-left`) or a figure's name (`load:front-left`), `@2` behind it for
/// the second state; or a kind alone (`pad-rating`), which means the check with the least reserve, or the first
/// figure. `None` if the scene holds no such thing.
#[must_use]
pub fn working(scene: &Scene<'_>, name: &str, units: Units) -> Option<String> {
    working::working(scene, name, units)
}

/// A check's working as data: typed steps, each redoable from its own line. `None` if the check is of another plan.
#[must_use]
pub fn worked(scene: &Scene<'_>, check: &Check, units: Units) -> Option<Working> {
    working::worked(scene, check, units)
}

/// Every figure other than the checks' that can be worked out; chances and gains where they were asked.
#[must_use]
pub fn figures(scene: &Scene<'_>) -> Vec<Figure> {
    working::figures(scene)
}

/// A figure's working as data. `None` if the scene does not hold it.
#[must_use]
pub fn figure_worked(scene: &Scene<'_>, figure: Figure, units: Units) -> Option<Working> {
    working::figure_worked(scene, figure, units)
}

/// The names of everything that can be worked out, for a terminal of 100 columns.
#[must_use]
pub fn workings(scene: &Scene<'_>) -> String {
    working::listed(scene)
}

/// The plan on A4 pages, one below the other in one SVG: plan view, four arm settings, side view, states.
#[must_use]
pub fn svg(scene: &Scene<'_>, units: Units) -> String {
    svg::write(&drawing::sheets(scene, units))
}

/// Which vehicles lifts take, on A4 pages, one below the other in one SVG.
#[must_use]
pub fn coverage_svg(coverage: &Coverage) -> String {
    svg::write(&drawing::coverage::coverage(coverage))
}

/// Items as SVG, for a page that holds [`svg_patterns`], sets the type and says what colour each tone is (`--g0` black to `--g255` white).
#[must_use]
pub fn svg_items(items: &[drawing::Item]) -> String {
    svg::inside(items, svg::Tones::OfThePage)
}

/// What the items' fillings refer to; a page says their colour, too.
#[must_use]
pub fn svg_patterns() -> String {
    svg::patterns()
}

/// The sheet that hangs on the column: one page, or that the vehicle must not be raised, and why.
#[must_use]
pub fn bay_sheet(scene: &Scene<'_>, units: Units, printed: &Printed<'_>) -> Document {
    drawing::paper::bay_sheet(scene, units, printed)
}

/// A document as PDF (PDF/UA-1 as far as the library sees to it).
///
/// # Errors
/// Only by a fault of this program.
pub fn pdf(document: &Document) -> Result<Vec<u8>, PdfFault> {
    pdf::write(document)
}

/// The plan worked out on paper: inputs, states, and every kind of check with its formula, numbers, limit, reserve and source.
#[must_use]
pub fn working_sheets(scene: &Scene<'_>, units: Units, printed: &Printed<'_>, edition: Edition) -> Document {
    drawing::paper::working_sheets(scene, units, printed, edition)
}

/// What stands in a book, on paper.
#[must_use]
pub fn record_sheets(record: &Record, paper: Paper) -> Document {
    drawing::paper::record_sheets(record, paper)
}
