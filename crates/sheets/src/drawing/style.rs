//! What a line or a surface means, and how that looks in black and white.

/// Named by meaning; never by look.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Style {
    /// Frames and rules of the page.
    Frame,
    /// Light rules of the page.
    Rule,
    /// A surface in solid black, for text in white.
    Banner,
    /// Clears what is behind a text.
    Paper,
    /// A column.
    Column,
    /// A column seen behind the vehicle.
    ColumnBehind,
    /// A stage of an arm.
    Arm,
    /// A pad.
    Pad,
    /// A supporting stand.
    Stand,
    /// The body of the vehicle.
    Body,
    /// Glass and other light lines of the vehicle.
    Glass,
    /// A tyre.
    Tyre,
    /// The front of the vehicle.
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
    /// Arrow head of a dimension.
    Arrow,
    /// A dimension.
    Dimension,
    /// From what is measured to its dimension.
    Extension,
    /// An axis.
    Axis,
    /// A door as it opens.
    Door,
    /// How far the centre of gravity may be off.
    Tolerance,
    /// Dark quarters of the sign of the centre of gravity.
    CgDark,
    /// Its rim and light quarters.
    CgLight,
    /// From a label to its thing.
    Leader,
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

const fn line(width: f64, dashes: &'static [f64]) -> Look {
    Look { width, ink: 0, dashes, fill: Fill::None }
}

const fn filled(width: f64, fill: Fill) -> Look {
    Look { width, ink: 0, dashes: &[], fill }
}

impl Style {
    /// How it looks.
    #[must_use]
    pub const fn look(self) -> Look {
        match self {
            Self::Frame => line(0.5, &[]),
            Self::Rule => Look { ink: 120, ..line(0.2, &[]) },
            Self::Banner | Self::Arrow | Self::Front | Self::CgDark | Self::ScaleDark => {
                filled(0.0, Fill::Grey(0))
            }
            Self::Paper => filled(0.0, Fill::Grey(255)),
            Self::Column => filled(0.5, Fill::Hatch(Hatch::Slanted)),
            Self::ColumnBehind => Look { ink: 120, ..line(0.25, &[3.0, 1.0]) },
            Self::Arm => filled(0.35, Fill::Grey(255)),
            Self::Pad => filled(0.6, Fill::Grey(255)),
            Self::Body => filled(0.5, Fill::Grey(255)),
            Self::Glass => Look { ink: 130, ..line(0.2, &[]) },
            Self::Stand => filled(0.5, Fill::Grey(150)),
            Self::Tyre => filled(0.3, Fill::Grey(190)),
            Self::LiftArea => filled(0.25, Fill::Hatch(Hatch::Dotted)),
            Self::KeepOut => filled(0.25, Fill::Hatch(Hatch::Crossed)),
            Self::Support => line(0.45, &[4.0, 1.0, 0.8, 1.0]),
            Self::Edge | Self::Dimension => line(0.2, &[]),
            Self::LeastEdge => line(0.8, &[]),
            Self::Extension | Self::Leader => Look { ink: 70, ..line(0.15, &[]) },
            Self::Axis => Look { ink: 90, ..line(0.15, &[6.0, 1.2, 1.2, 1.2]) },
            Self::Door => line(0.3, &[1.2, 0.9]),
            Self::Tolerance => filled(0.3, Fill::None),
            Self::CgLight => filled(0.3, Fill::Grey(255)),
            Self::Ground => line(0.6, &[]),
            Self::Beyond => filled(0.0, Fill::Hatch(Hatch::Slanted)),
            Self::Opened => line(0.25, &[2.0, 1.0]),
            Self::Lock => line(0.25, &[]),
            Self::LockChosen => line(1.0, &[]),
            // A rim in white tells an arm from the trunk behind it, and the person from the vehicle.
            Self::Person => Look { ink: 255, ..filled(0.22, Fill::Grey(60)) },
            Self::Stool => filled(0.25, Fill::Grey(255)),
        }
    }
}
