//! Writes a document as PDF: lines as lines, text as text in a type that the file holds, tagged for who hears it; same
//! document same bytes.

use std::fmt;
use std::num::NonZeroU16;

use krilla::color::luma;
use krilla::configure::{Accessibility, ConfigurationBuilder};
use krilla::destination::XyzDestination;
use krilla::geom::{Path, PathBuilder, Point, Transform};
use krilla::metadata::Metadata;
use krilla::outline::{Outline, OutlineNode};
use krilla::page::PageSettings;
use krilla::paint::{Fill as Filling, LineJoin, Pattern, Stroke, StrokeDash};
use krilla::surface::Surface;
use krilla::tagging::{
    Artifact, ContentTag, Identifier, ListNumbering, Node, SpanTag, TableHeaderScope, Tag, TagGroup, TagTree,
};
use krilla::text::{Font, GlyphId, KrillaGlyph};
use krilla::{Document as Pdf, SerializeSettings};

use crate::drawing::paper::{Cell, Document, Heads, Part};
use crate::drawing::style::{Fill, Hatch, Look};
use crate::drawing::{Item, Text};
use crate::font;

/// Points in a millimetre.
const POINTS: f64 = 72.0 / 25.4;

/// A document that cannot be written: a fault of this program.
#[derive(Debug)]
pub struct PdfFault(String);

impl fmt::Display for PdfFault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "the PDF does not come out right: {}", self.0)
    }
}

impl std::error::Error for PdfFault {}

fn fault(what: &str) -> PdfFault {
    PdfFault(what.to_owned())
}

pub(crate) fn write(document: &Document) -> Result<Vec<u8>, PdfFault> {
    let configuration = ConfigurationBuilder::new().with_accessibility_validator(Accessibility::UA1).finish();
    let settings = SerializeSettings {
        configuration: configuration.map_err(|why| PdfFault(format!("{why:?}")))?,
        ..SerializeSettings::default()
    };
    let fonts = font::FILES.map(|file| Font::new(file.into(), 0));
    let [Some(plain), Some(bold)] = fonts else { return Err(fault("a type cannot be read")) };
    let fonts = [plain, bold];
    let [width, height] = document.paper.size().map(|mm| points(mm * POINTS));
    let mut pdf = Pdf::new_with(settings);
    let (mut tags, mut outline) = (TagTree::new().with_lang(Some("en".into())), Outline::new());
    for (k, page) in document.pages.iter().enumerate() {
        let size = PageSettings::from_wh(width, height).ok_or_else(|| fault("no such paper"))?;
        let mut sheet = pdf.start_page_with(size);
        draw(sheet.surface(), &fonts, &page.parts, &mut tags)?;
        sheet.finish();
        outline.push_child(OutlineNode::new(
            page.name.clone(),
            XyzDestination::new(k, Point::from_xy(0.0, 0.0)),
        ));
    }
    pdf.set_tag_tree(tags);
    pdf.set_outline(outline);
    pdf.set_metadata(
        Metadata::new()
            .title(document.title.clone())
            .language("en".into())
            .creator(concat!("standfast ", env!("CARGO_PKG_VERSION")).into()),
    );
    pdf.finish().map_err(|why| PdfFault(format!("{why:?}")))
}

fn draw(surface: Surface<'_>, fonts: &[Font; 2], parts: &[Part], tags: &mut TagTree) -> Result<(), PdfFault> {
    let mut pen = Pen { surface, fonts };
    pen.surface.push_transform(&Transform::from_scale(points(POINTS), points(POINTS)));
    for part in parts {
        if let Some(group) = pen.part(part)? {
            tags.push(group);
        }
    }
    pen.surface.pop();
    pen.surface.finish();
    Ok(())
}

#[expect(clippy::cast_possible_truncation, reason = "places on a page, to a thousandth of a millimetre")]
fn points(value: f64) -> f32 {
    ((value * 1000.0).round() / 1000.0) as f32
}

/// What draws on a page.
struct Pen<'a, 'f> {
    surface: Surface<'a>,
    fonts: &'f [Font; 2],
}

impl Pen<'_, '_> {
    /// Draws it; what it is to who hears it, if anything of it is read.
    fn part(&mut self, part: &Part) -> Result<Option<TagGroup>, PdfFault> {
        let group = match part {
            Part::Ornament(items) => {
                self.surface.start_tagged(ContentTag::Artifact(Artifact::default()));
                items.iter().try_for_each(|item| self.item(item))?;
                self.surface.end_tagged();
                return Ok(None);
            }
            Part::Heading(level, items) => {
                let level = NonZeroU16::new(u16::from(*level)).unwrap_or(NonZeroU16::MIN);
                let title = said(items);
                TagGroup::with_children(Tag::Hn(level, Some(title)), self.texts(items)?)
            }
            Part::Paragraph(items) => TagGroup::with_children(Tag::P, self.texts(items)?),
            Part::List(entries) => {
                let mut list = TagGroup::new(Tag::L(ListNumbering::None));
                for entry in entries {
                    let body = TagGroup::with_children(Tag::LBody, self.texts(entry)?);
                    list.push(TagGroup::with_children(Tag::LI, vec![body.into()]));
                }
                list
            }
            Part::Figure(says, items) => {
                let inside = self.surface.start_tagged(ContentTag::Other);
                items.iter().try_for_each(|item| self.item(item))?;
                self.surface.end_tagged();
                TagGroup::with_children(Tag::Figure(Some(says.clone())), vec![inside.into()])
            }
            Part::Table(rows) => {
                let mut table = TagGroup::new(Tag::Table);
                for row in rows {
                    let cells: Result<Vec<Node>, PdfFault> = row.iter().map(|cell| self.cell(cell)).collect();
                    table.push(TagGroup::with_children(Tag::TR, cells?));
                }
                table
            }
        };
        Ok((!group.children.is_empty()).then_some(group))
    }

    fn cell(&mut self, cell: &Cell) -> Result<Node, PdfFault> {
        let inside = self.texts(&cell.items)?;
        Ok(match cell.heads {
            Heads::Nothing => TagGroup::with_children(Tag::TD, inside),
            Heads::Row => TagGroup::with_children(Tag::TH(TableHeaderScope::Row), inside),
            Heads::Column => TagGroup::with_children(Tag::TH(TableHeaderScope::Column), inside),
        }
        .into())
    }

    /// Texts that are read one after the other, as one; the lines around them are not read.
    fn texts(&mut self, items: &[Item]) -> Result<Vec<Node>, PdfFault> {
        let last = items.iter().rposition(|item| matches!(item, Item::Text(_)));
        let mut read: Vec<Node> = vec![];
        for (k, item) in items.iter().enumerate() {
            match item {
                Item::Text(text) => {
                    // Whoever reads it aloud would join the last word of a line with the first of the next.
                    let says = if Some(k) == last { text.says.clone() } else { format!("{} ", text.says) };
                    read.push(self.tagged(text, &says).into());
                }
                other => {
                    self.surface.start_tagged(ContentTag::Artifact(Artifact::default()));
                    self.item(other)?;
                    self.surface.end_tagged();
                }
            }
        }
        Ok(read)
    }

    /// One line; signs that the type lacks are told to who hears or copies it as they are.
    fn tagged(&mut self, text: &Text, says: &str) -> Identifier {
        let lacks = says.chars().any(|sign| font::glyph(sign, text.bold).is_none());
        let whole = SpanTag::empty().with_actual_text(lacks.then_some(says));
        let inside =
            self.surface.start_tagged(if lacks { ContentTag::Span(whole) } else { ContentTag::Other });
        self.line(text, says);
        self.surface.end_tagged();
        inside
    }

    fn item(&mut self, item: &Item) -> Result<(), PdfFault> {
        match item {
            Item::Path { points, closed, style } => match path(points, *closed) {
                Some(path) => self.shape(&path, style.look()),
                None => Ok(()),
            },
            Item::Circle { centre, radius, style } => match circle(*centre, *radius) {
                Some(path) => self.shape(&path, style.look()),
                None => Ok(()),
            },
            Item::Text(text) => {
                self.line(text, &text.says);
                Ok(())
            }
        }
    }

    fn shape(&mut self, path: &Path, look: Look) -> Result<(), PdfFault> {
        let fill = match look.fill {
            Fill::None => None,
            Fill::Grey(grey) => Some(grey_fill(grey)),
            Fill::Hatch(hatch) => Some(self.hatched(hatch)?),
        };
        let stroke = (look.width > 0.0).then(|| Stroke {
            paint: luma::Color::new(look.ink).into(),
            width: points(look.width),
            line_join: LineJoin::Round,
            dash: (!look.dashes.is_empty())
                .then(|| StrokeDash { array: look.dashes.iter().map(|d| points(*d)).collect(), offset: 0.0 }),
            ..Stroke::default()
        });
        if fill.is_none() && stroke.is_none() {
            return Ok(());
        }
        self.surface.set_fill(fill);
        self.surface.set_stroke(stroke);
        self.surface.draw_path(path);
        Ok(())
    }

    fn hatched(&mut self, hatch: Hatch) -> Result<Filling, PdfFault> {
        let tile = hatch.tile();
        let mut builder = self.surface.stream_builder();
        let mut inside = builder.surface();
        if let Some(radius) = tile.dot {
            inside.set_fill(Some(grey_fill(0)));
            if let Some(dot) = circle([tile.size / 2.0; 2], radius) {
                inside.draw_path(&dot);
            }
        }
        inside.set_fill(None);
        inside.set_stroke(Some(Stroke { width: points(tile.width), ..Stroke::default() }));
        for line in tile.lines {
            let line = path(line, false).ok_or_else(|| fault("a hatching has no lines"))?;
            inside.draw_path(&line);
        }
        inside.finish();
        let side = points(tile.size);
        let pattern =
            Pattern { stream: builder.finish(), transform: Transform::identity(), width: side, height: side };
        Ok(Filling { paint: pattern.into(), ..Filling::default() })
    }

    /// One line of text, where and as wide as it was placed.
    fn line(&mut self, text: &Text, says: &str) {
        let mut glyphs = vec![];
        let mut at = 0;
        for sign in says.chars() {
            let end = at + sign.len_utf8();
            let drawn = font::glyph(sign, text.bold).or_else(|| font::glyph(font::MISSING, text.bold));
            if let Some(glyph) = drawn {
                let id = GlyphId::new(u32::from(glyph.id));
                glyphs.push(KrillaGlyph::new(id, glyph.advance, 0.0, 0.0, 0.0, at..end, None));
            }
            at = end;
        }
        let left = text.area().x[0];
        self.surface.set_stroke(None);
        self.surface.set_fill(Some(grey_fill(if text.reversed { 255 } else { 0 })));
        let start = Point::from_xy(points(left), points(text.at[1]));
        let font = self.fonts[usize::from(text.bold)].clone();
        self.surface.draw_glyphs(start, &glyphs, font, says, points(text.size), false);
    }
}

fn said(items: &[Item]) -> String {
    let texts = items.iter().filter_map(|item| match item {
        Item::Text(text) => Some(text.says.as_str()),
        Item::Path { .. } | Item::Circle { .. } => None,
    });
    texts.collect::<Vec<_>>().join(" ")
}

fn grey_fill(grey: u8) -> Filling {
    Filling { paint: luma::Color::new(grey).into(), ..Filling::default() }
}

fn path(through: &[[f64; 2]], closed: bool) -> Option<Path> {
    let mut builder = PathBuilder::new();
    for (k, at) in through.iter().enumerate() {
        let [x, y] = at.map(points);
        if k == 0 { builder.move_to(x, y) } else { builder.line_to(x, y) }
    }
    if closed {
        builder.close();
    }
    builder.finish()
}

/// Four curves, each a quarter.
fn circle([x, y]: [f64; 2], radius: f64) -> Option<Path> {
    const HANDLE: f64 = 0.552_284_75;
    let at = |dx: f64, dy: f64| [points(x + radius * dx), points(y + radius * dy)];
    let mut builder = PathBuilder::new();
    let [begin_x, begin_y] = at(1.0, 0.0);
    builder.move_to(begin_x, begin_y);
    let (mut dx, mut dy) = (1.0_f64, 0.0_f64);
    for _ in 0..4 {
        // A quarter turn on.
        let (next_x, next_y) = (-dy, dx);
        let a = at(dx + HANDLE * next_x, dy + HANDLE * next_y);
        let b = at(next_x + HANDLE * dx, next_y + HANDLE * dy);
        let end = at(next_x, next_y);
        builder.cubic_to(a[0], a[1], b[0], b[1], end[0], end[1]);
        (dx, dy) = (next_x, next_y);
    }
    builder.close();
    builder.finish()
}
