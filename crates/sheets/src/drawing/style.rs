//! What a line or a surface means, and how that looks in black and white.
//!
//! | line | mm | what for |
//! |---|---|---|
//! | thick | 0.9 | the one thing to look at: least edge, lock to work at, what to measure |
//! | medium | 0.5 | outlines: vehicle, columns, pads, span of the pads, frames |
//! | thin | 0.3 | what moves or is marked: arms, doors, regions, tyres, locks |
//! | fine | 0.18 | what explains: dimensions, leaders, axes, glass |

/// Named by meaning; never by look.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Style {
    /// Frames and rules of the page.
    Frame,
    /// Light rules of the page.
    Rule,
    /// A surface in solid black, for text in white.
    Banner,
    /// Clears a hatching behind a text.
    Paper,
    /// A column.
    Column,
    /// A column seen through the vehicle.
    ColumnBehind,
    /// A stage of an arm.
    Arm,
    /// A pad.
    Pad,
    /// The top of a pad from the side.
    PadTop,
    /// A supporting stand.
    Stand,
    /// The body of the vehicle.
    Body,
    /// Glass and other light lines of the vehicle.
    Glass,
    /// A tyre.
    Tyre,
    /// What a tyre is on.
    Wheel,
    /// The front of the vehicle; where to stop first.
    Front,
    /// Where the vehicle maker allows a pad.
    LiftArea,
    /// Where nothing may press.
    KeepOut,
    /// The figure that the four pads span.
    Support,
    /// Assured distance of the centre of gravity from an edge.
    Edge,
    /// The least of them.
    LeastEdge,
    /// Arrow head of a dimension, dot of a leader.
    Arrow,
    /// A dimension.
    Dimension,
    /// The dimension that somebody is asked to measure.
    Asked,
    /// What nobody has measured yet.
    NotMeasured,
    /// From what is measured to its dimension.
    Extension,
    /// An axis.
    Axis,
    /// A door as far as it opens.
    Door,
    /// The way of its edge.
    Swing,
    /// How far the centre of gravity may be off.
    Tolerance,
    /// Dark quarters of the sign of the centre of gravity, and pins of the arms.
    CgDark,
    /// Its rim and light quarters.
    CgLight,
    /// The centre of gravity in another state.
    OtherCg,
    /// From a label to its thing.
    Leader,
    /// The rim of a number that stands for a name.
    Number,
    /// Floor and ceiling.
    Ground,
    /// What lies beyond floor and ceiling.
    Beyond,
    /// What the job opens above the roof.
    Opened,
    /// A lock position.
    Lock,
    /// The lock position to work at.
    LockChosen,
    /// Dark half of a scale bar.
    ScaleDark,
    /// The rim of somebody at work.
    PersonRim,
    /// Somebody at work.
    Person,
    /// What they sit on.
    Stool,
}

/// How a surface is filled.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Fill {
    /// Not at all.
    None,
    /// A grey, 0 black to 255 white.
    Grey(u8),
    /// A pattern.
    Hatch(Hatch),
}

/// Patterns.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Hatch {
    /// Lines both ways.
    Crossed,
    /// Lines one way.
    Slanted,
    /// Dots.
    Dotted,
}

impl Hatch {
    /// All of them.
    pub const ALL: [Self; 3] = [Self::Crossed, Self::Slanted, Self::Dotted];
    /// Name, for writers that need one.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Crossed => "crossed",
            Self::Slanted => "slanted",
            Self::Dotted => "dotted",
        }
    }

    /// What it repeats.
    #[must_use]
    pub const fn tile(self) -> Tile {
        match self {
            Self::Crossed => Tile {
                size: 1.6,
                lines: &[[[0.0, 0.0], [1.6, 1.6]], [[1.6, 0.0], [0.0, 1.6]]],
                width: 0.15,
                dot: None,
            },
            Self::Slanted => Tile {
                size: 1.8,
                lines: &[
                    [[-0.45, 0.45], [0.45, -0.45]],
                    [[0.0, 1.8], [1.8, 0.0]],
                    [[1.35, 2.25], [2.25, 1.35]],
                ],
                width: 0.18,
                dot: None,
            },
            Self::Dotted => Tile { size: 1.0, lines: &[], width: 0.0, dot: Some(0.16) },
        }
    }
}

/// The square that a pattern repeats, mm.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Tile {
    /// Its side.
    pub size: f64,
    /// Its lines.
    pub lines: &'static [[[f64; 2]; 2]],
    /// Their width.
    pub width: f64,
    /// Radius of a dot in its middle.
    pub dot: Option<f64>,
}

/// How a style looks: lengths in mm.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Look {
    /// Width of its line; 0 = none.
    pub width: f64,
    /// Grey of its line, 0 black.
    pub ink: u8,
    /// Dash and gap lengths; empty = unbroken.
    pub dashes: &'static [f64],
    /// Its surface.
    pub fill: Fill,
}

const THICK: f64 = 0.9;
const MEDIUM: f64 = 0.5;
const THIN: f64 = 0.3;
const FINE: f64 = 0.18;
/// Ink of lines that stand back.
const BACK: u8 = 100;

const fn line(width: f64, dashes: &'static [f64]) -> Look {
    Look { width, ink: 0, dashes, fill: Fill::None }
}

const fn back(width: f64, dashes: &'static [f64]) -> Look {
    Look { width, ink: BACK, dashes, fill: Fill::None }
}

const fn filled(width: f64, fill: Fill) -> Look {
    Look { width, ink: 0, dashes: &[], fill }
}

const WHITE: Fill = Fill::Grey(255);
const BLACK: Fill = Fill::Grey(0);

impl Style {
    /// How it looks.
    #[must_use]
    pub const fn look(self) -> Look {
        match self {
            Self::LeastEdge | Self::LockChosen | Self::Asked => line(THICK, &[]),
            Self::NotMeasured => back(FINE, &[1.4, 0.9]),
            Self::Frame | Self::Ground => line(MEDIUM, &[]),
            Self::Support => line(MEDIUM, &[4.0, 1.0, 0.8, 1.0]),
            Self::Column => filled(MEDIUM, Fill::Hatch(Hatch::Slanted)),
            Self::Pad | Self::Body => filled(MEDIUM, WHITE),
            Self::Stand => filled(THIN, Fill::Grey(150)),
            Self::Tyre => filled(THIN, Fill::Grey(190)),
            Self::Arm | Self::Door | Self::Wheel | Self::Stool => filled(THIN, WHITE),
            Self::LiftArea => filled(THIN, Fill::Hatch(Hatch::Dotted)),
            Self::KeepOut => filled(THIN, Fill::Hatch(Hatch::Crossed)),
            Self::CgLight | Self::OtherCg => filled(THIN, WHITE),
            Self::Tolerance | Self::Lock | Self::Number => line(THIN, &[]),
            Self::Swing => line(FINE, &[1.2, 0.9]),
            Self::Opened => line(THIN, &[2.0, 1.0]),
            Self::Edge | Self::Dimension => line(FINE, &[]),
            Self::Rule | Self::Extension | Self::Leader | Self::Glass => back(FINE, &[]),
            Self::Axis => back(FINE, &[6.0, 1.2, 1.2, 1.2]),
            Self::ColumnBehind => back(FINE, &[3.0, 1.0]),
            Self::Banner | Self::Arrow | Self::Front | Self::CgDark | Self::ScaleDark | Self::PadTop => {
                filled(0.0, BLACK)
            }
            Self::Paper => filled(0.0, WHITE),
            Self::Beyond => filled(0.0, Fill::Hatch(Hatch::Slanted)),
            // The rim of every part first, then every part on top: what is left of the rims is one outline.
            Self::PersonRim => filled(0.7, BLACK),
            Self::Person => filled(0.0, Fill::Grey(205)),
        }
    }
}
