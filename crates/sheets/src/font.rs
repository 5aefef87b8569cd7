//! The type of the sheets: Arimo, which has the widths of Helvetica. A PDF holds it; an SVG names types of the same widths.

use std::sync::LazyLock;

use skrifa::instance::{LocationRef, Size};
use skrifa::{FontRef, MetadataProvider};

/// Plain and bold.
pub(crate) const FILES: [&[u8]; 2] =
    [include_bytes!("../fonts/Arimo-Regular.ttf"), include_bytes!("../fonts/Arimo-Bold.ttf")];

/// Stands for a sign that the type does not have.
pub(crate) const MISSING: char = '\u{25a1}';

/// How one sign is drawn.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Glyph {
    /// Its number in the type.
    pub(crate) id: u16,
    /// How far the next one begins from it, in sizes.
    pub(crate) advance: f32,
}

/// By the code of the sign.
struct Face(Vec<Option<Glyph>>);

static FACES: LazyLock<[Face; 2]> = LazyLock::new(|| FILES.map(Face::of));

impl Face {
    fn of(file: &[u8]) -> Self {
        let mut glyphs = vec![];
        let Ok(font) = FontRef::new(file) else { return Self(glyphs) };
        let metrics = font.glyph_metrics(Size::new(1.0), LocationRef::default());
        for (code, id) in font.charmap().mappings() {
            let found = metrics.advance_width(id).zip(u16::try_from(id.to_u32()).ok());
            let Some(((advance, id), at)) = found.zip(usize::try_from(code).ok()) else { continue };
            if glyphs.len() <= at {
                glyphs.resize(at + 1, None);
            }
            glyphs[at] = Some(Glyph { id, advance });
        }
        Self(glyphs)
    }
}

/// The glyph of a sign; `None` = the type does not have it.
pub(crate) fn glyph(sign: char, bold: bool) -> Option<Glyph> {
    if sign.is_control() {
        return None;
    }
    let Face(glyphs) = &FACES[usize::from(bold)];
    glyphs.get(sign as usize).copied().flatten()
}

/// The signs of a text that the type does not have, by their codes; of many the first, and how many more. Ends of lines are
/// no signs.
pub(crate) fn lacks(text: &str) -> Option<String> {
    const TOLD: usize = 6;
    let missing = |sign: &char| [false, true].iter().any(|bold| glyph(*sign, *bold).is_none());
    let mut codes: Vec<String> = vec![];
    for sign in text.lines().flat_map(str::chars).filter(missing) {
        let code = format!("U+{:04X}", u32::from(sign));
        if !codes.contains(&code) {
            codes.push(code);
        }
    }
    let more = codes.len().saturating_sub(TOLD);
    codes.truncate(TOLD);
    let told = codes.join(" ");
    (!codes.is_empty()).then(|| if more == 0 { told } else { format!("{told} and {more} more") })
}

/// How high digits are, in sizes, by the outlines of the bold type.
#[cfg(test)]
pub(crate) fn digit_height() -> f64 {
    let font = FontRef::new(FILES[1]).unwrap();
    let metrics = font.glyph_metrics(Size::new(1.0), LocationRef::default());
    let high = ('0'..='9').map(|c| metrics.bounds(font.charmap().map(c).unwrap()).unwrap().y_max);
    f64::from(high.into_iter().fold(f32::INFINITY, f32::min))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Widths of Helvetica and Helvetica Bold, from Adobe's font metrics (AFM), thousandths of the size.
    #[test]
    fn widths_are_those_of_helvetica() {
        for (sign, [plain, heavy]) in [
            ('0', [556.0, 556.0]),
            ('m', [833.0, 889.0]),
            ('i', [222.0, 278.0]),
            (' ', [278.0, 278.0]),
            ('W', [944.0, 944.0]),
            ('-', [333.0, 333.0]),
            ('t', [278.0, 333.0]),
            ('R', [722.0, 722.0]),
        ] {
            for (bold, thousandths) in [(false, plain), (true, heavy)] {
                let found = glyph(sign, bold).unwrap().advance * 1000.0;
                assert!((found - thousandths).abs() < 1.0, "{sign}: {found}");
            }
        }
    }

    #[test]
    fn many_missing_signs_are_counted() {
        assert_eq!(lacks("plain\nÄéß × ≤"), None);
        assert_eq!(lacks("\u{8eca}a\u{8eca}").as_deref(), Some("U+8ECA"));
        let many: String = ('\u{4e00}'..='\u{4e09}').collect();
        assert_eq!(lacks(&many).as_deref(), Some("U+4E00 U+4E01 U+4E02 U+4E03 U+4E04 U+4E05 and 4 more"));
    }

    #[test]
    fn what_stands_for_a_missing_sign_is_there() {
        assert!([false, true].iter().all(|bold| glyph(MISSING, *bold).is_some()));
        assert_eq!(glyph('\u{4e00}', false), None);
        assert_eq!(glyph('\n', false), None);
    }
}
