//! What a job is made of, as one table: the form, the file that is made of it and the form made of a file follow from it.

use std::collections::BTreeMap;

use planner::forces;
use sheets::Units;

use crate::input::tree::{Node, Value};

/// What was filled in, by the place in the file: `parts.0.mass`.
pub(super) type Filled = BTreeMap<String, String>;

/// Rows of one list that a page takes.
const MOST: usize = 60;

/// How a value is filled in, and written into the file.
#[derive(Clone, Copy, Debug)]
pub(super) enum Cell {
    Words,
    /// A quantity; a bare number is in the unit that the page says.
    Figure(Of),
    /// Behind the front axle, left of centre, above the ground.
    Place,
    /// A number without a unit.
    Number,
    /// Parts of aft, left, up.
    Direction,
    /// Several names with commas between.
    Names,
    /// Word of the file, and what a person reads.
    OneOf(&'static [(&'static str, &'static str)]),
    /// A common force by its name.
    Common,
    /// A part of the vehicle or of the job that comes off or goes on.
    Step,
    /// A door of the vehicle.
    Door,
    /// States of the job.
    States,
    /// Rows of their own below.
    Rows(&'static List),
}

/// Of what kind a quantity is.
#[derive(Clone, Copy, Debug)]
pub(super) enum Of {
    Length,
    Mass,
    Force,
    Angle,
}

impl Of {
    /// The unit of a number that is typed without one.
    pub(super) const fn unit(self, units: Units) -> &'static str {
        match (self, units) {
            (Self::Length, Units::Metric) => "mm",
            (Self::Length, Units::Us) => "in",
            (Self::Mass, Units::Metric) => "kg",
            (Self::Mass, Units::Us) => "lb",
            (Self::Force, Units::Metric) => "N",
            (Self::Force, Units::Us) => "lbf",
            (Self::Angle, _) => "deg",
        }
    }
}

/// A column of a list.
#[derive(Clone, Copy, Debug)]
pub(super) struct Column {
    pub(super) key: &'static str,
    pub(super) label: &'static str,
    pub(super) cell: Cell,
}

/// Rows of one kind.
#[derive(Clone, Copy, Debug)]
pub(super) struct List {
    pub(super) key: &'static str,
    pub(super) title: &'static str,
    pub(super) how: &'static str,
    pub(super) columns: &'static [Column],
    /// Empty rows that are offered.
    pub(super) offers: usize,
    /// Whether there is at most one, a table of its own in the file.
    pub(super) is_one: bool,
    /// Under which heading it is asked.
    pub(super) group: Group,
    /// Whether it is open before anything is filled in: what nearly every job has.
    pub(super) is_usual: bool,
}

/// Headings of the form, each over a few lists.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Group {
    Work,
    Vehicle,
    Around,
}

impl Group {
    pub(super) const ALL: [Self; 3] = [Self::Vehicle, Self::Work, Self::Around];

    pub(super) const fn title(self) -> &'static str {
        match self {
            Self::Vehicle => "What is in the vehicle",
            Self::Work => "The work",
            Self::Around => "Around it",
        }
    }
}

const fn column(key: &'static str, label: &'static str, cell: Cell) -> Column {
    Column { key, label, cell }
}

const NAME: Column = column("name", "Name", Cell::Words);
const MASS: Column = column("mass", "Mass", Cell::Figure(Of::Mass));
const AT: Column = column("at", "Where its weight is", Cell::Place);

const FORCES: List = List {
    key: "forces",
    title: "Forces that it needs",
    how: "A common one by its name, or one of its own with size and direction; where hand, bar or jack bears on the vehicle.",
    columns: &[
        column("common", "Common force", Cell::Common),
        column("at", "Where it bears", Cell::Place),
        column("bar", "Bar to the hand", Cell::Figure(Of::Length)),
        column("name", "Name, if of its own", Cell::Words),
        column("size", "Size, if of its own", Cell::Figure(Of::Force)),
        column("direction", "Direction, if of its own", Cell::Direction),
    ],
    offers: 1,
    is_one: false,
    group: Group::Work,
    is_usual: false,
};

const POSTURES: &[(&str, &str)] = &[
    ("standing under", "standing under it, hands overhead"),
    ("standing at a wheel", "standing at a wheel"),
    ("seated at a wheel", "seated at a wheel"),
];

/// In the order in which they are asked.
pub(super) const LISTS: [List; 7] = [
    List {
        key: "loads",
        title: "Loads left in it",
        how: "What stays in the vehicle through the whole job.",
        columns: &[NAME, MASS, AT],
        offers: 1,
        is_one: false,
        group: Group::Vehicle,
        is_usual: false,
    },
    List {
        key: "parts",
        title: "Parts that the vehicle's file does not list",
        how: "Weigh what you can; “18 kg by guess” is honest too. A part that is entered here can be chosen below once the page was looked at.",
        columns: &[NAME, MASS, AT, column("after", "Parts that must be off before it", Cell::Names)],
        offers: 1,
        is_one: false,
        group: Group::Vehicle,
        is_usual: false,
    },
    List {
        key: "steps",
        title: "Parts off and on, in order",
        how: "Put down too what goes back on: the vehicle comes down as the last step leaves it.",
        columns: &[column("part", "Part", Cell::Step)],
        offers: 2,
        is_one: false,
        group: Group::Work,
        is_usual: true,
    },
    List {
        key: "tasks",
        title: "What is done",
        how: "One after the other. How the person works decides the height.",
        columns: &[
            NAME,
            column("posture", "How", Cell::OneOf(POSTURES)),
            column("during", "Done in which states; none = in any", Cell::States),
            column("forces", "Forces", Cell::Rows(&FORCES)),
        ],
        offers: 1,
        is_one: false,
        group: Group::Work,
        is_usual: true,
    },
    List {
        key: "people",
        title: "Who works at it",
        how: "The height is chosen for all of them. Barefoot height; or, if nobody asks, how many women or men in a hundred are no taller.",
        columns: &[
            NAME,
            column("stature", "Height of the body", Cell::Figure(Of::Length)),
            column("percentile", "Or: of a hundred no taller", Cell::Number),
            column("of", "Of whom", Cell::OneOf(&[("women", "women"), ("men", "men")])),
        ],
        offers: 1,
        is_one: false,
        group: Group::Work,
        is_usual: true,
    },
    List {
        key: "doors",
        title: "Doors that must open",
        how: "Beside the columns, and how wide. A driver's door that no job names must still let the driver out.",
        columns: &[column("door", "Door", Cell::Door), column("opens", "Opens", Cell::Figure(Of::Angle))],
        offers: 1,
        is_one: false,
        group: Group::Around,
        is_usual: false,
    },
    List {
        key: "stands",
        title: "Stands at hand, all alike",
        how: "Used only where no order of the steps passes without, and only at the places for stands of the vehicle's file. A stand steadies, it does not replace a pad.",
        columns: &[
            column("count", "How many", Cell::Number),
            column("rated", "One may carry", Cell::Figure(Of::Mass)),
            column("lowest", "Floor to head, screwed in", Cell::Figure(Of::Length)),
            column("highest", "Floor to head, screwed out", Cell::Figure(Of::Length)),
        ],
        offers: 1,
        is_one: true,
        group: Group::Around,
        is_usual: false,
    },
];

/// A field that is not empty.
pub(super) fn field<'a>(filled: &'a Filled, name: &str) -> Option<&'a str> {
    filled.get(name).map(|text| text.trim()).filter(|text| !text.is_empty())
}

/// How many rows of a list hold something, as far as the last that does.
pub(super) fn rows(filled: &Filled, list: &str) -> usize {
    let from = format!("{list}.");
    let index = |name: &str| -> Option<usize> {
        let (index, key) = name.strip_prefix(&from)?.split_once('.')?;
        // Off or on alone says nothing.
        (key != "way").then(|| index.parse().ok()).flatten()
    };
    let said = filled.iter().filter(|(_, text)| !text.trim().is_empty()).filter_map(|(name, _)| index(name));
    said.filter(|index| *index < MOST).max().map_or(0, |last| last + 1)
}

/// Whether nothing is filled in in a row.
pub(super) fn is_blank(filled: &Filled, row: &str) -> bool {
    let from = format!("{row}.");
    !filled.iter().any(|(name, text)| {
        name.strip_prefix(&from).is_some_and(|key| key != "way") && !text.trim().is_empty()
    })
}

/// The parts that the job itself lists.
pub(super) fn own_parts(filled: &Filled) -> Vec<String> {
    let name = |k| field(filled, &format!("parts.{k}.name")).map(str::to_owned);
    (0..rows(filled, "parts")).filter_map(name).collect()
}

/// The states that the steps so far make.
pub(super) fn states(filled: &Filled) -> Vec<String> {
    let after = (0..rows(filled, "steps")).filter_map(|k| {
        let part = field(filled, &format!("steps.{k}.part"))?;
        Some(format!("{part} {}", way(filled, k)))
    });
    let mut all: Vec<String> = vec![];
    for state in std::iter::once("as raised".to_owned()).chain(after) {
        if !all.contains(&state) {
            all.push(state);
        }
    }
    all
}

/// Off or on.
pub(super) fn way(filled: &Filled, step: usize) -> &'static str {
    if field(filled, &format!("steps.{step}.way")) == Some("on") { "on" } else { "off" }
}

/// Names of common forces, and what each is.
pub(super) fn common() -> impl Iterator<Item = (&'static str, &'static str)> {
    forces::LIBRARY.iter().map(|force| (force.name, force.title))
}

/// What a job's file says, filled in.
pub(super) fn of_file(root: &Node) -> Filled {
    let mut filled = Filled::new();
    let Value::Table(entries) = &root.value else { return filled };
    for entry in entries {
        let of = LISTS.iter().find(|list| list.key == entry.key);
        match (&entry.node.value, of) {
            (Value::List(rows), Some(list)) => {
                for (k, row) in rows.iter().enumerate() {
                    put_row(&format!("{}.{k}", list.key), row, list.columns, &mut filled);
                }
            }
            (Value::Table(_), Some(list)) => {
                put_row(&format!("{}.0", list.key), &entry.node, list.columns, &mut filled);
            }
            _ => put(&entry.key, &entry.node, &mut filled),
        }
    }
    filled
}

fn put_row(row: &str, node: &Node, columns: &[Column], filled: &mut Filled) {
    for column in columns {
        let name = format!("{row}.{}", column.key);
        match (column.cell, node.get(column.key).map(|n| (n, &n.value))) {
            (Cell::Step, _) => {
                for way in ["off", "on"] {
                    if let Some(part) = node.get(way).and_then(Node::text) {
                        filled.insert(format!("{row}.way"), way.to_owned());
                        filled.insert(name.clone(), part.to_owned());
                    }
                }
            }
            (Cell::Names, Some((_, Value::List(all)))) => {
                let names: Vec<&str> = all.iter().filter_map(Node::text).collect();
                filled.insert(name, names.join(", "));
            }
            (Cell::Rows(list), Some((_, Value::List(all)))) => {
                for (k, below) in all.iter().enumerate() {
                    put_row(&format!("{name}.{k}"), below, list.columns, filled);
                }
            }
            (_, Some((node, _))) => put(&name, node, filled),
            (_, None) => {}
        }
    }
}

fn put(name: &str, node: &Node, filled: &mut Filled) {
    match &node.value {
        Value::Text(text) => drop(filled.insert(name.to_owned(), text.clone())),
        Value::Number(number) => drop(filled.insert(name.to_owned(), number.to_string())),
        Value::List(all) => all.iter().enumerate().for_each(|(k, n)| put(&format!("{name}.{k}"), n, filled)),
        Value::Null | Value::Bool(_) | Value::Table(_) => {}
    }
}
