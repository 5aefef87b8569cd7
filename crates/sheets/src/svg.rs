//! Writes a drawing as SVG: text kept as text, no scripts, no fonts from elsewhere, same input same bytes.

use std::fmt::Write;

use crate::drawing::style::{Fill, Hatch, Look};
use crate::drawing::text::{self, Anchor};
use crate::drawing::{Drawing, Item, PAGE, Text};

/// In which colours it is drawn.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Tones {
    /// Greys on white, as paper takes them.
    Printed,
    /// By name (`--g0` black to `--g255` white): a page says what each is, in bright and in dim surroundings.
    OfThePage,
}

const FONTS: &str = "Arimo, 'Liberation Sans', Helvetica, Arial, 'DejaVu Sans', sans-serif";

pub(crate) fn write(drawing: &Drawing) -> String {
    let [wide, page] = PAGE;
    let high = drawing.pages.iter().fold(0.0, |high, _| high + page);
    let mut out = format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{wide}mm\" height=\"{high}mm\" \
         viewBox=\"0 0 {wide} {high}\" role=\"img\" aria-labelledby=\"title description\">\n\
         <title id=\"title\">{}</title>\n<desc id=\"description\">{}</desc>\n",
        escaped(&drawing.title),
        escaped(&drawing.description),
    );
    out += &patterns();
    let _ = writeln!(out, "<rect width=\"{wide}\" height=\"{high}\" fill=\"#fff\"/>");
    let _ = writeln!(out, "<g font-family=\"{FONTS}\" stroke-linejoin=\"round\" stroke-linecap=\"butt\">");
    let mut top = 0.0;
    for items in &drawing.pages {
        if top > 0.0 {
            // Where to cut.
            let _ = writeln!(
                out,
                "<path d=\"M0 {top}H{wide}\" fill=\"none\" stroke=\"#999\" stroke-width=\"0.1\"/>"
            );
        }
        let _ = writeln!(out, "<g transform=\"translate(0 {top})\">");
        out += &inside(items, Tones::Printed);
        out += "</g>\n";
        top += page;
    }
    out += "</g>\n</svg>\n";
    out
}

/// The fillings that items refer to by name: once a page.
pub(crate) fn patterns() -> String {
    let all: String = Hatch::ALL.into_iter().map(pattern).collect();
    format!("<defs>\n{all}</defs>\n")
}

/// Items without the document around them.
pub(crate) fn inside(items: &[Item], tones: Tones) -> String {
    items.iter().map(|item| shape(item, tones)).collect()
}

fn shape(item: &Item, tones: Tones) -> String {
    match item {
        Item::Path { points, closed, style } => {
            let mut data = String::new();
            for (i, [x, y]) in points.iter().enumerate() {
                let _ = write!(data, "{}{} {}", if i == 0 { "M" } else { "L" }, number(*x), number(*y));
            }
            if *closed {
                data.push('Z');
            }
            format!("<path d=\"{data}\"{}/>\n", look(style.look(), tones))
        }
        Item::Circle { centre: [x, y], radius, style } => format!(
            "<circle cx=\"{}\" cy=\"{}\" r=\"{}\"{}/>\n",
            number(*x),
            number(*y),
            number(*radius),
            look(style.look(), tones)
        ),
        Item::Text(text) => written(text, tones),
    }
}

fn written(text: &Text, tones: Tones) -> String {
    let anchor = match text.anchor {
        Anchor::Start => "",
        Anchor::Middle => " text-anchor=\"middle\"",
        Anchor::End => " text-anchor=\"end\"",
    };
    let held = if text::is_known(&text.says) {
        let width = number(text.area().width());
        format!(" textLength=\"{width}\" lengthAdjust=\"spacingAndGlyphs\"")
    } else {
        String::new()
    };
    format!(
        "<text x=\"{}\" y=\"{}\" font-size=\"{}\"{anchor}{}{}{held}>{}</text>\n",
        number(text.at[0]),
        number(text.at[1]),
        number(text.size),
        if text.bold { " font-weight=\"bold\"" } else { "" },
        if text.reversed { format!(" fill=\"{}\"", tones.colour(255)) } else { String::new() },
        escaped(&text.says)
    )
}

fn look(look: Look, tones: Tones) -> String {
    let mut out = match look.fill {
        Fill::None => " fill=\"none\"".to_owned(),
        Fill::Grey(grey) => format!(" fill=\"{}\"", tones.colour(grey)),
        Fill::Hatch(hatch) => format!(" fill=\"url(#{})\"", hatch.name()),
    };
    if look.width > 0.0 {
        let _ = write!(out, " stroke=\"{}\" stroke-width=\"{}\"", tones.colour(look.ink), number(look.width));
    }
    if !look.dashes.is_empty() {
        let dashes: Vec<String> = look.dashes.iter().map(|&d| number(d)).collect();
        let _ = write!(out, " stroke-dasharray=\"{}\"", dashes.join(" "));
    }
    out
}

fn pattern(hatch: Hatch) -> String {
    let tile = hatch.tile();
    let size = number(tile.size);
    let data: String = tile
        .lines
        .iter()
        .map(|&[a, b]| format!("M{} {}L{} {}", number(a[0]), number(a[1]), number(b[0]), number(b[1])))
        .collect();
    let inside = match tile.dot {
        Some(radius) => {
            let middle = number(tile.size / 2.0);
            format!("<circle cx=\"{middle}\" cy=\"{middle}\" r=\"{}\"/>", number(radius))
        }
        None => format!("<path d=\"{data}\" stroke=\"#000\" stroke-width=\"{}\"/>", number(tile.width)),
    };
    format!(
        "<pattern id=\"{}\" width=\"{size}\" height=\"{size}\" patternUnits=\"userSpaceOnUse\">{inside}</pattern>\n",
        hatch.name()
    )
}

impl Tones {
    fn colour(self, grey: u8) -> String {
        match self {
            Self::Printed => format!("#{grey:02x}{grey:02x}{grey:02x}"),
            Self::OfThePage => format!("var(--g{grey})"),
        }
    }
}

/// Hundredths of a millimetre, without a tail of zeros.
fn number(value: f64) -> String {
    let text = format!("{value:.2}");
    let text = text.trim_end_matches('0').trim_end_matches('.');
    if text == "-0" { "0".into() } else { text.into() }
}

/// Text and attribute values made safe; characters that XML does not allow become a question mark.
fn escaped(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for character in text.chars() {
        match character {
            '&' => out += "&amp;",
            '<' => out += "&lt;",
            '>' => out += "&gt;",
            '"' => out += "&quot;",
            '\'' => out += "&#39;",
            c if c.is_control() || matches!(c, '\u{fffe}' | '\u{ffff}') => out.push('?'),
            c => out.push(c),
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nothing_can_break_out_of_a_text() {
        assert_eq!(escaped("<a b=\"c\">&'\u{7}"), "&lt;a b=&quot;c&quot;&gt;&amp;&#39;?");
    }
}
