//! Headings, sentences and signs that run through columns until all is said.

use super::Area;
use super::board::Board;
use super::labels;
use super::style::Style;
use super::text::{LEADING, SMALL, wrapped};

/// What runs through columns.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum Block {
    /// A heading; it stays with what follows.
    Heading(String),
    /// A sentence.
    Sentence(String),
    /// A figure in larger type.
    Figure(String),
    /// What a sign of the drawing means.
    Sign(Sign, String),
    /// A name that found no place in the drawing: its number there.
    Name(usize, String),
}

/// A sign of the drawing.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Sign {
    /// A surface or line.
    Of(Style),
    /// An arrow from the centre of gravity.
    Arrow,
    /// A square with its diagonals.
    Stand,
    /// The centre of gravity.
    Centre,
    /// The same in its tolerance box.
    CentreInBox,
    /// The same in another state.
    OtherCentre,
}

const HEADING: f64 = 4.0;
const FIGURE: f64 = 5.4;
/// Below every block.
const AFTER: f64 = 0.5;
/// Room for a sign left of its meaning.
const BESIDE: f64 = 8.5;

impl Block {
    const fn size(&self) -> f64 {
        match self {
            Self::Heading(_) => HEADING,
            Self::Figure(_) => FIGURE,
            Self::Sentence(_) | Self::Sign(..) | Self::Name(..) => SMALL,
        }
    }
    const fn is_bold(&self) -> bool {
        matches!(self, Self::Heading(_) | Self::Figure(_))
    }
    const fn indent(&self) -> f64 {
        match self {
            Self::Sign(..) | Self::Name(..) => BESIDE,
            Self::Heading(_) | Self::Sentence(_) | Self::Figure(_) => 0.0,
        }
    }
    fn says(&self) -> &str {
        let (Self::Heading(says)
        | Self::Sentence(says)
        | Self::Figure(says)
        | Self::Sign(_, says)
        | Self::Name(_, says)) = self;
        says
    }
    fn lines(&self, wide: f64) -> Vec<String> {
        wrapped(self.says(), self.size(), self.is_bold(), wide - self.indent())
    }
    /// Above a heading, where it is not the first.
    const fn before(&self) -> f64 {
        if matches!(self, Self::Heading(_)) { 1.7 } else { 0.0 }
    }
    fn height(&self, wide: f64) -> f64 {
        let lines = self.lines(wide).iter().fold(0.0, |n, _| n + 1.0);
        let after = match self {
            Self::Name(number, _) => 2.0 * labels::rim(*number) - self.size() * LEADING + AFTER,
            _ => AFTER,
        };
        after + self.size() * LEADING * lines
    }
    fn draw(&self, board: &mut Board, [x, y]: [f64; 2], wide: f64) {
        let base = y + 0.86 * self.size();
        board.say_lines([x + self.indent(), base], self.size(), self.is_bold(), &self.lines(wide));
        match self {
            Self::Sign(sign, _) => sign.draw(board, [x, base - 1.25]),
            Self::Name(number, _) => labels::sign(board, [x + 3.5, base - 1.25], *number),
            Self::Heading(_) | Self::Sentence(_) | Self::Figure(_) => {}
        }
    }
}

impl Sign {
    fn draw(self, board: &mut Board, [x, y]: [f64; 2]) {
        let swatch = Area { x: [x, x + 7.0], y: [y - 1.5, y + 1.5] };
        let ends = [[x, y], [x + 7.0, y]];
        match self {
            Self::Of(style @ (Style::LiftArea | Style::KeepOut)) => board.rectangle(swatch, style),
            Self::Of(style) => board.line(&ends, style),
            Self::Arrow => board.dimension(ends, Style::Edge),
            Self::Stand => stand(board, [x + 3.5, y], 1.6),
            Self::Centre => board.centre_of_gravity([x + 3.5, y], 1.7),
            Self::CentreInBox => {
                board.centre_of_gravity([x + 3.5, y], 1.3);
                board.rectangle(Area { x: [x + 0.8, x + 6.2], y: [y - 1.7, y + 1.7] }, Style::Tolerance);
            }
            Self::OtherCentre => other_centre(board, [x + 3.5, y]),
        }
    }
}

/// A stand from above.
pub(super) fn stand(board: &mut Board, [x, y]: [f64; 2], half: f64) {
    board.rectangle(Area { x: [x - half, x + half], y: [y - half, y + half] }, Style::Stand);
    board.line(&[[x - half, y - half], [x + half, y + half]], Style::Lock);
    board.line(&[[x - half, y + half], [x + half, y - half]], Style::Lock);
}

/// Radius of the sign of the centre of gravity in another state, mm.
pub(super) const OTHER: f64 = 0.85;

/// The centre of gravity in another state.
pub(super) fn other_centre(board: &mut Board, at: [f64; 2]) {
    board.circle(at, OTHER, Style::OtherCg);
    board.circle(at, 0.3, Style::Arrow);
}

/// Runs blocks through columns, one after the other; gives those that are left, and where the last column
/// that was used ends.
pub(super) fn pour<'b>(board: &mut Board, blocks: &'b [Block], columns: &[Area]) -> (&'b [Block], f64) {
    let mut rest = blocks;
    let mut end = columns.first().map_or(0.0, |c| c.y[0]);
    for column in columns {
        let (wide, mut y) = (column.width(), column.y[0]);
        while let [block, after @ ..] = rest {
            let gap = if y > column.y[0] { block.before() } else { 0.0 };
            let kept = if matches!(block, Block::Heading(_)) { begun(after, wide) } else { 0.0 };
            let high = block.height(wide);
            if y + gap + high + kept > column.y[1] + AFTER {
                break;
            }
            block.draw(board, [column.x[0], y + gap], wide);
            y += gap + high;
            rest = after;
        }
        end = y;
        if rest.is_empty() {
            break;
        }
    }
    (rest, end)
}

/// What a heading does not stand without: the first two of what is below it.
fn begun(below: &[Block], wide: f64) -> f64 {
    let own = below.iter().take_while(|block| !matches!(block, Block::Heading(_)));
    own.take(2).map(|block| block.height(wide)).sum()
}

/// The least height in which blocks run through the two halves of an area; its own where none is enough.
pub(super) fn even_height(blocks: &[Block], area: Area) -> f64 {
    const STEP: f64 = 4.0;
    let lower = (1_u16..).map(|k| STEP * f64::from(k)).take_while(|high| *high < area.height());
    let fits = |high: &f64| pour(&mut Board::new(), blocks, &halves(top_of(area, *high))).0.is_empty();
    lower.into_iter().find(fits).unwrap_or_else(|| area.height())
}

/// Runs blocks through the two halves of an area, no lower than they need; gives those that are left.
pub(super) fn pour_evenly(board: &mut Board, blocks: &[Block], area: Area) -> Vec<Block> {
    let high = even_height(blocks, area);
    pour(board, blocks, &halves(top_of(area, high))).0.to_vec()
}

fn top_of(area: Area, high: f64) -> Area {
    Area { y: [area.y[0], area.y[0] + high], ..area }
}

/// The two halves of an area.
pub(super) fn halves(area: Area) -> [Area; 2] {
    let (middle, gap) = (area.middle()[0], 3.0);
    [Area { x: [area.x[0], middle - gap], ..area }, Area { x: [middle + gap, area.x[1]], ..area }]
}

/// A heading and its sentences; nothing where there are none.
pub(super) fn section(heading: &str, sentences: impl IntoIterator<Item = String>) -> Vec<Block> {
    let said: Vec<Block> = sentences.into_iter().map(Block::Sentence).collect();
    if said.is_empty() { said } else { std::iter::once(Block::Heading(heading.into())).chain(said).collect() }
}
