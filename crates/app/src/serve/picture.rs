//! A picture on a page, and the bay in which things are moved.

use maud::{Markup, PreEscaped, html};
use sheets::drawing::screen::{self, Picture, Window};
use sheets::{Scene, Units};

/// What the letters of a picture stand for.
pub(crate) fn key(picture: &Picture) -> Markup {
    html! {
        @if !picture.names.is_empty() { ol.key { @for name in &picture.names { li { (name) } } } }
    }
}

/// The content of the plan view while something is moved.
pub(crate) fn from_above(scene: &Scene<'_>, window: &Window, units: Units, named: bool) -> String {
    sheets::svg_items(&screen::from_above(scene, units, window, named).items)
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
    /// How to move things.
    pub(crate) how: &'a str,
    /// Where one goes back to.
    pub(crate) home: &'a str,
}

impl Stage<'_> {
    pub(crate) fn shown(self) -> Markup {
        let Self { picture, mut bay, describes, how, home } = self;
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
                    p.note { (how) }
                    output #trouble {}
                    output.unseen #said {}
                }
                (key(&picture))
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
