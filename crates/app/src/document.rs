//! Files of the program: what each says it is, and reading it whole.

use std::io::IsTerminal;
use std::ops::Range;
use std::path::Path;

use planner::{Job, Lift, Limits, Setup, Vehicle};

use sheets::words;

use crate::convert;
use crate::input::problem::render_unreadable;
use crate::input::{self, Node, Problems, Source, Value};
use crate::{wire, write};

/// What a file says it is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Kind {
    Lift,
    Vehicle,
    Job,
    AsPlaced,
    Limits,
    Weigh,
    Solve,
}

impl Kind {
    /// The kinds that say so in the key `standfast`; a JSON file without it is a question of `solve`.
    const MARKED: [Self; 6] =
        [Self::Lift, Self::Vehicle, Self::Job, Self::AsPlaced, Self::Limits, Self::Weigh];

    /// The word and version that stand in the file.
    pub(crate) const fn mark(self) -> &'static str {
        match self {
            Self::Lift => "lift/1",
            Self::Vehicle => "vehicle/1",
            Self::Job => "job/1",
            Self::AsPlaced => "as-placed/1",
            Self::Limits => "limits/1",
            Self::Weigh => "weigh/1",
            Self::Solve => wire::solve::CONTRACT,
        }
    }
}

/// An input with everything that was found about it.
pub(crate) struct Document {
    pub(crate) source: Source,
    pub(crate) problems: Problems,
    /// Whether whoever reads of its problems has the file.
    is_named: bool,
    root: Option<Node>,
}

impl Document {
    /// Reads a file; prints why and gives `None` if there is nothing to look at.
    pub(crate) fn open(path: &Path) -> Option<Self> {
        Self::open_as(path, |source| source)
    }

    /// The same for a file that is JSON unless its name says TOML.
    pub(crate) fn open_json(path: &Path) -> Option<Self> {
        let toml = path.extension().is_some_and(|e| e == "toml");
        Self::open_as(path, |source| if toml { source } else { source.into_json() })
    }

    fn open_as(path: &Path, read: impl FnOnce(Source) -> Source) -> Option<Self> {
        match Source::read(path) {
            Ok(source) => Some(Self { is_named: true, ..Self::of(read(source)) }),
            Err(fault) => {
                write::err(&render_unreadable(&fault));
                None
            }
        }
    }

    /// Reads a file that nobody asked for by name; says nothing if it cannot be read.
    pub(crate) fn quietly(path: &Path) -> Option<Self> {
        Source::read(path).ok().map(Self::of)
    }

    /// A setup as the program writes it down.
    pub(crate) fn as_placed(text: &str) -> Self {
        Self::of(Source::new("this setup", text).into_json())
    }

    /// From a text that is at hand.
    pub(crate) fn of(source: Source) -> Self {
        let mut problems = Problems::default();
        let root = input::tree(&source, &mut problems);
        Self { source, problems, is_named: false, root }
    }

    /// Of something read otherwise, with what was found about it.
    pub(crate) const fn read_already(source: Source, problems: Problems) -> Self {
        Self { source, problems, is_named: true, root: None }
    }

    /// What the file says it is; `None` with a problem if it does not say or is not known.
    pub(crate) fn kind(&mut self) -> Option<Kind> {
        let root = self.root.as_ref()?;
        let known = || Kind::MARKED.map(|k| format!("{:?}", k.mark())).join(", ");
        if self.source.is_json() && root.get("standfast").is_none() {
            return Some(Kind::Solve);
        }
        let Some(mark) = root.get("standfast") else {
            self.problems.error(
                0..0,
                "this file does not say what it is",
                format!("begin it with standfast = one of {}", known()),
            );
            return None;
        };
        let kind = mark.text().and_then(|text| Kind::MARKED.into_iter().find(|k| k.mark() == text));
        if kind.is_none() {
            self.problems.error(
                mark.span.clone(),
                format!(
                    "{:?} is not a kind of file that this version reads",
                    mark.text().unwrap_or_default()
                ),
                format!("write one of {}", known()),
            );
        }
        kind
    }

    /// Reads a file of one kind; anything else is an error.
    fn read<W: serde::de::DeserializeOwned + schemars::JsonSchema, D>(
        &mut self,
        wanted: Kind,
        convert: impl FnOnce(&W, &mut Problems) -> Option<D>,
    ) -> Option<D> {
        let kind = self.kind()?;
        let root = self.root.as_ref()?;
        if kind != wanted {
            let span = root.get("standfast").map_or(0..0, |n| n.span.clone());
            self.problems.error(
                span,
                format!(
                    "this file says {:?}, and one that says {:?} is wanted here",
                    kind.mark(),
                    wanted.mark()
                ),
                "check the order of the files on the command line",
            );
            return None;
        }
        let whole = if self.source.is_options() { "the options" } else { "this file" };
        let Some(file) = input::wire::<W>(root, whole, &mut self.problems) else {
            convert::signs(root, &mut self.problems);
            return None;
        };
        let found = convert(&file, &mut self.problems);
        if self.problems.has_errors() { None } else { found }
    }

    pub(crate) fn lift(&mut self) -> Option<Lift> {
        self.read(Kind::Lift, convert::lift::lift)
    }

    pub(crate) fn vehicle(&mut self) -> Option<Vehicle> {
        self.read(Kind::Vehicle, convert::vehicle::vehicle)
    }

    pub(crate) fn job(&mut self, vehicle: Option<&Vehicle>) -> Option<Job> {
        self.read(Kind::Job, |file, problems| convert::job::job(file, vehicle, problems))
    }

    /// What makes it unusable, a sentence each, for those who do not see its lines.
    pub(crate) fn reasons(&self) -> Vec<String> {
        let errors = self.problems.all().iter().filter(|problem| problem.is_error);
        errors.map(|problem| words::capital(&problem.message) + ".").collect()
    }

    /// What is legal but odd, with what is usual.
    pub(crate) fn odd(&self) -> Vec<String> {
        let odd = self.problems.all().iter().filter(|problem| problem.is_odd());
        let told = |text: &str| words::capital(text) + ".";
        odd.map(|problem| match problem.help.as_str() {
            "" => told(&problem.message),
            help => format!("{} {}", told(&problem.message), told(help.trim_end_matches('.'))),
        })
        .collect()
    }

    pub(crate) fn setup(&mut self) -> Option<Setup> {
        self.read(Kind::AsPlaced, convert::as_placed::setup)
    }

    pub(crate) fn limits(&mut self) -> Option<Limits> {
        self.read(Kind::Limits, convert::limits::limits)
    }

    pub(crate) fn weighing(&mut self) -> Option<wire::weigh::WeighAnswer> {
        self.read(Kind::Weigh, convert::weigh::answer)
    }

    pub(crate) fn question(&mut self) -> Option<convert::solve::Question> {
        self.read(Kind::Solve, convert::solve::question)
    }

    /// Reads whatever it says it is, only for its problems.
    pub(crate) fn read_any(&mut self) -> Option<(Kind, String)> {
        let kind = self.kind()?;
        let name = match kind {
            Kind::Lift => self.lift().map(|l| l.name),
            Kind::Vehicle => self.vehicle().map(|v| v.name),
            Kind::Job => self.job(None).map(|j| j.name),
            Kind::AsPlaced => self.setup().map(|_| String::new()),
            Kind::Limits => self.limits().map(|_| String::new()),
            Kind::Weigh => self.weighing().map(|_| String::new()),
            Kind::Solve => self.question().map(|_| String::new()),
        };
        name.map(|name| (kind, name))
    }

    /// A problem at the value under these keys, or at the nearest of them that is there.
    pub(crate) fn error_at(&mut self, keys: &[&str], message: String, help: &str) {
        self.problems.error(self.span(keys), message, help);
    }

    /// A problem at the mass of the part of that name, if the file lists it.
    pub(crate) fn error_at_part(&mut self, name: &str, message: &str, help: &str) -> bool {
        let span = self.root.as_ref().and_then(|root| match &root.get("parts")?.value {
            Value::List(parts) => {
                let part =
                    parts.iter().find(|p| p.get("name").and_then(Node::text).map(str::trim) == Some(name))?;
                Some(part.get("mass").unwrap_or(part).span.clone())
            }
            _ => None,
        });
        span.map(|span| self.problems.error(span, message, help)).is_some()
    }

    fn span(&self, keys: &[&str]) -> Range<usize> {
        let mut node = self.root.as_ref();
        let mut span = 0..0;
        for key in keys {
            node = node.and_then(|n| n.get(key));
            span = node.map_or(span, |n| n.span.clone());
        }
        span
    }

    /// Forgets the problems that were said already.
    pub(crate) fn forget(&mut self) {
        self.problems = Problems::default();
    }

    /// Whether its values were declared to be examples, which nobody measured.
    pub(crate) fn holds_examples(&self) -> bool {
        self.problems.holds_examples()
    }

    /// What it states and nothing counts.
    pub(crate) fn not_counted(&self) -> &[planner::plan::Assumption] {
        self.problems.not_counted()
    }

    /// All problems, for a person.
    pub(crate) fn report(&self) -> String {
        self.problems.render(&self.source, self.is_named && std::io::stderr().is_terminal())
    }
}

impl Document {
    /// Only what makes it unusable, as lines that go anywhere.
    pub(crate) fn errors(&self) -> String {
        self.problems.only_errors().render(&self.source, false)
    }
}

/// Reads the files of a plan, for programs and checks that ask the planner themselves.
///
/// # Errors
/// Every problem of every file, as a person reads it.
pub fn read_files(
    lift: &Path,
    vehicle: &Path,
    job: Option<&Path>,
) -> Result<(Lift, Vehicle, Job), Vec<String>> {
    let open =
        |path: &Path| Document::open(path).ok_or_else(|| vec![format!("{}: cannot be read", path.display())]);
    let (mut lift, mut vehicle) = (open(lift)?, open(vehicle)?);
    let mut job = job.map(open).transpose()?;
    let read_vehicle = vehicle.vehicle();
    let read_job = match &mut job {
        Some(document) => document.job(read_vehicle.as_ref()),
        None => Some(Job::default()),
    };
    match (lift.lift(), read_vehicle, read_job) {
        (Some(lift), Some(vehicle), Some(job)) => Ok((lift, vehicle, job)),
        _ => Err([Some(lift), Some(vehicle), job].iter().flatten().map(Document::report).collect()),
    }
}

/// A parser that reads what somebody wrote, for fuzzing.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Parser {
    /// A lift file.
    Lift,
    /// A vehicle file.
    Vehicle,
    /// A job file.
    Job,
    /// A setup as placed.
    AsPlaced,
    /// The shop's own limits.
    Limits,
    /// A weighing.
    Weigh,
    /// The question of `solve`.
    Solve,
    /// Quantity text of every kind.
    Quantity,
}

impl Parser {
    /// Every parser, with the name of its fuzz target and of the folder of its seeds.
    pub const ALL: [(Self, &str); 8] = [
        (Self::Lift, "lift"),
        (Self::Vehicle, "vehicle"),
        (Self::Job, "job"),
        (Self::AsPlaced, "as-placed"),
        (Self::Limits, "limits"),
        (Self::Weigh, "weigh"),
        (Self::Solve, "solve"),
        (Self::Quantity, "quantity"),
    ];
}

/// For fuzzing: reads a text with one parser. It must never panic, and nothing infinite gets in.
pub fn fuzz(parser: Parser, text: &str) {
    let source = Source::new("fuzz", text);
    let mut document = match parser {
        Parser::Quantity => {
            for kind in input::quantity::KINDS {
                if let Ok(read) = input::quantity::parse_kind(kind, text) {
                    assert!(read.value.is_finite());
                }
            }
            return;
        }
        Parser::Solve => Document::of(source.into_json()),
        _ => Document::of(source),
    };
    match parser {
        Parser::Lift => drop(document.lift()),
        Parser::Vehicle => drop(document.vehicle()),
        Parser::Job => drop(document.job(None)),
        Parser::AsPlaced => drop(document.setup()),
        Parser::Limits => drop(document.limits()),
        Parser::Weigh => drop(document.weighing()),
        Parser::Solve => {
            if let Some(question) = document.question() {
                let _ = convert::solve::answer(&question);
            }
        }
        Parser::Quantity => {}
    }
    let _ = document.problems.render(&document.source, true);
}
