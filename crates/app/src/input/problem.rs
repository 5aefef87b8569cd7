//! What is wrong with an input: all of it, each with its place and cure.

use std::fmt::{self, Write as _};
use std::ops::Range;

use miette::{
    Diagnostic, GraphicalReportHandler, GraphicalTheme, LabeledSpan, ReportHandler, Severity, SourceCode,
};

use planner::plan::Assumption;

use super::quantity::Quantity;
use super::source::{Source, Unreadable};

mod options;

/// More than this many are counted, not printed: noise has thousands.
const MOST_PRINTED: usize = 100;

/// Said of a file whose values nobody measured.
pub(crate) const EXAMPLE_VALUES: &str = "this file still holds example values, which nobody measured";

/// Begins what is said of values that are not there, which is no oddity of those that are.
pub(crate) const LEFT_OUT: &str = "left out";

/// One problem of an input.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Problem {
    pub(crate) is_error: bool,
    pub(crate) span: Range<usize>,
    pub(crate) message: String,
    pub(crate) help: String,
}

/// All problems of one input, as they are found.
#[derive(Clone, Debug, Default)]
pub(crate) struct Problems {
    found: Vec<Problem>,
    not_counted: Vec<Assumption>,
}

impl Problem {
    /// Whether a value that stands there is legal but odd.
    pub(crate) fn is_odd(&self) -> bool {
        !self.is_error && !self.message.starts_with(LEFT_OUT)
    }
}

impl Problems {
    /// Something that makes the input unusable.
    pub(crate) fn error(&mut self, span: Range<usize>, message: impl Into<String>, help: impl Into<String>) {
        self.add(Problem { is_error: true, span, message: message.into(), help: help.into() });
    }

    /// Something legal but odd.
    pub(crate) fn warn(&mut self, span: Range<usize>, message: impl Into<String>, help: impl Into<String>) {
        self.add(Problem { is_error: false, span, message: message.into(), help: help.into() });
    }

    fn add(&mut self, problem: Problem) {
        // The shape pass and the conversion may both meet a bad quantity, under names of their own.
        let same = |p: &Problem| p.span == problem.span && p.help == problem.help;
        if self.found.len() > 2000 || problem.span.is_empty() || !self.found.iter().any(same) {
            self.found.push(problem);
        }
    }

    /// All of them, as they were found.
    pub(crate) fn all(&self) -> &[Problem] {
        &self.found
    }

    /// Notes that how far a value may be off was stated, and that nothing counts it.
    pub(crate) fn does_not_count<Q: Quantity>(&mut self, what: &str, value: Q, off: Q) {
        let (value, off) = (value.to_si(), off.to_si());
        self.not_counted.push(Assumption {
            what: what.into(),
            kind: planner::plan::Kind::NotCounted,
            value,
            unit: Q::KIND.unit(),
            least: value - off,
            greatest: value + off,
            source: "as the file has it; to have it counted, write the value on its safe side".into(),
        });
    }

    /// What was stated and does not count, for the plan.
    pub(crate) fn not_counted(&self) -> &[Assumption] {
        &self.not_counted
    }

    pub(crate) fn has_errors(&self) -> bool {
        self.found.iter().any(|p| p.is_error)
    }

    /// Those that make the input unusable.
    pub(crate) fn only_errors(&self) -> Self {
        self.only(|p| p.is_error)
    }

    /// Those of values that are legal but odd.
    pub(crate) fn only_odd(&self) -> Self {
        self.only(Problem::is_odd)
    }

    fn only(&self, which: impl Fn(&Problem) -> bool) -> Self {
        let found = self.found.iter().filter(|p| which(p)).cloned().collect();
        Self { found, not_counted: vec![] }
    }

    /// Whether the values were declared to be examples.
    pub(crate) fn holds_examples(&self) -> bool {
        self.found.iter().any(|p| p.message == EXAMPLE_VALUES)
    }

    pub(crate) fn count(&self, errors: bool) -> usize {
        self.found.iter().filter(|p| p.is_error == errors).count()
    }

    /// Every problem in the order of the file, for a person to read.
    pub(crate) fn render(&self, source: &Source, terminal: bool) -> String {
        let mut sorted: Vec<&Problem> = self.found.iter().collect();
        sorted.sort_by_key(|p| (!p.is_error, p.span.start));
        let mut out: String = sorted.iter().take(MOST_PRINTED).map(|p| report(p, source, terminal)).collect();
        if sorted.len() > MOST_PRINTED {
            let _ = writeln!(out, "{}: and {} more problems", source.name, sorted.len() - MOST_PRINTED);
        }
        out
    }
}

/// The words for an input that cannot be read at all.
pub(crate) fn render_unreadable(fault: &Unreadable) -> String {
    format!("error: {}: {}\n  help: {}\n", fault.name, fault.what, fault.cure)
}

fn report(problem: &Problem, source: &Source, terminal: bool) -> String {
    let (line, column) = source.place(problem.span.start);
    let word = if problem.is_error { "error" } else { "warning" };
    if source.is_options() {
        return options::report(word, problem, source);
    }
    let mut out = format!("{word}: {}:{line}:{column}: {}\n", source.name, problem.message);
    if terminal {
        let view = View { problem, source };
        let mut drawn = String::new();
        let handler = GraphicalReportHandler::new_themed(GraphicalTheme::unicode()).with_context_lines(1);
        if handler.render_report(&mut drawn, &view).is_ok() {
            return drawn + "\n";
        }
    }
    let shown = source.line(problem.span.start);
    if !shown.trim().is_empty() {
        let cut: String = shown.chars().take(120).collect();
        let _ = writeln!(out, "  {line} | {cut}");
    }
    let _ = writeln!(out, "  help: {}", problem.help);
    out
}

struct View<'a> {
    problem: &'a Problem,
    source: &'a Source,
}

impl fmt::Debug for View<'_> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        GraphicalReportHandler::new().debug(self, f)
    }
}

impl fmt::Display for View<'_> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let (line, _) = self.source.place(self.problem.span.start);
        write!(f, "{}, line {line}: {}", self.source.name, self.problem.message)
    }
}

impl std::error::Error for View<'_> {}

impl Diagnostic for View<'_> {
    fn severity(&self) -> Option<Severity> {
        Some(if self.problem.is_error { Severity::Error } else { Severity::Warning })
    }
    fn help<'a>(&'a self) -> Option<Box<dyn fmt::Display + 'a>> {
        Some(Box::new(&self.problem.help))
    }
    fn source_code(&self) -> Option<&dyn SourceCode> {
        Some(self.source)
    }
    fn labels(&self) -> Option<Box<dyn Iterator<Item = LabeledSpan> + '_>> {
        let cut = self.source.first_line(&self.problem.span);
        Some(Box::new(std::iter::once(LabeledSpan::underline(cut))))
    }
}
