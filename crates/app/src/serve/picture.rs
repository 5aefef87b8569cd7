//! A picture on a page, and the bay in which things are moved.

use maud::{Markup, PreEscaped, html};
use schemars::JsonSchema;
use serde::Serialize;
use sheets::Units;
use sheets::drawing::screen::Picture;

/// What the letters of a picture stand for.
pub(crate) fn key(picture: &Picture) -> Markup {
    html! {
        @if !picture.names.is_empty() { ol.key { @for name in &picture.names { li { (name) } } } }
    }
}

/// What stands on a stage once something was moved.
#[derive(Debug, Serialize, JsonSchema)]
pub(crate) struct Redrawn {
    /// The plan view, as the content of an SVG of the page's size.
    picture: String,
    /// What its letters stand for, as the page shows it; empty = it has none, or names were not asked for.
    key: String,
    /// What it shows, in words.
    describes: String,
}

impl Redrawn {
    pub(crate) fn of(picture: &Picture, describes: String) -> Self {
        let key = key(picture).into_string();
        Self { picture: sheets::svg_items(&picture.items), key, describes }
    }
}

/// One that nobody moves anything in, with its key.
pub(crate) fn still(picture: &Picture, describes: &str) -> Markup {
    html! {
        svg viewBox=(view_box(picture)) role="img" aria-label=(describes) { (paper(picture)) (items(picture)) }
        (key(picture))
    }
}

/// One to move the vehicle and the pads in.
pub(crate) struct Stage<'a> {
    pub(crate) picture: Picture,
    /// What the script needs: where to ask, with what, the setup now and the one to go back to.
    pub(crate) bay: serde_json::Value,
    pub(crate) describes: &'a str,
    pub(crate) units: Units,
    /// How to move things.
    pub(crate) how: &'a str,
    /// Where one goes back to.
    pub(crate) home: &'a str,
}

impl Stage<'_> {
    pub(crate) fn shown(self) -> Markup {
        let Self { picture, mut bay, describes, units, how, home } = self;
        // How far a key moves something, in metres and in words.
        let (step, far) = match units {
            Units::Metric => (0.01, "1 cm, with Shift 10 cm"),
            Units::Us => (0.0127, "1/2 in, with Shift 5 in"),
        };
        bay["step_m"] = step.into();
        bay["step"] = far.into();
        bay["origin"] = picture.origin.into();
        bay["per_metre"] = picture.per_metre.into();
        html! {
            figure.stage data-bay=(bay) {
                svg #stage viewBox=(view_box(&picture)) {
                    (paper(&picture))
                    g #picture role="img" aria-label=(describes) { (items(&picture)) }
                }
                // Only a script can do what these say: without one they are not there.
                figcaption.live {
                    div.turns {
                        button type="button" data-turn="0.25" { span aria-hidden="true" { "↺ " } "Turn left" }
                        button type="button" data-turn="-0.25" { span aria-hidden="true" { "↻ " } "Turn right" }
                        button type="button" data-home { (home) }
                    }
                    p.note { (how) " By keyboard: Tab to the vehicle or a pad, arrows move it " (far) "." }
                    output #trouble {}
                    output.unseen #said {}
                }
                div.letters { (key(&picture)) }
            }
        }
    }
}

fn view_box(picture: &Picture) -> String {
    let [wide, high] = picture.size;
    format!("0 0 {wide} {high}")
}

fn paper(picture: &Picture) -> Markup {
    let [wide, high] = picture.size;
    html! { (PreEscaped(sheets::svg_patterns())) rect.paper width=(wide) height=(high) {} }
}

fn items(picture: &Picture) -> PreEscaped<String> {
    PreEscaped(sheets::svg_items(&picture.items))
}
