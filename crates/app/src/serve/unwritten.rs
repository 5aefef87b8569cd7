//! What was filled in and is not written, as nobody or another is signed in: it is shown, and carried through the sign-in.

use axum::body::Bytes;
use maud::{Markup, html};
use url::form_urlencoded;

use super::shown_as::{FIELD, PAGE};
use super::sign_in;

/// Longer addresses are not taken everywhere.
const LONGEST: usize = 4000;
/// What a page fills in by itself, and what is a secret.
const NOT_SHOWN: [&str; 9] =
    [FIELD, PAGE, "seen", "made_from", "then", "present", "pin", "again", "second_pin"];

/// The fields of a form, as they were sent.
#[derive(Clone, Debug, Default)]
pub(crate) struct Unwritten(Vec<(String, String)>);

impl Unwritten {
    pub(crate) fn of(body: &Bytes) -> Self {
        let pairs = form_urlencoded::parse(body).into_owned();
        Self(
            pairs
                .filter(|(name, text)| !NOT_SHOWN.contains(&name.as_str()) && !text.trim().is_empty())
                .collect(),
        )
    }

    /// Where it is filled in again, of a form that was sent to an address: a page that takes its fields in its own address.
    pub(crate) fn page(&self, sent_to: &str) -> Option<String> {
        let page = sent_to
            .strip_suffix("/not-right")
            .or_else(|| sent_to.starts_with("/enter/").then_some(sent_to))?;
        let fields = form_urlencoded::Serializer::new(String::new()).extend_pairs(&self.0).finish();
        (!self.0.is_empty() && fields.len() <= LONGEST).then(|| format!("{page}?{fields}"))
    }

    /// Where to sign in, and from there to where it is filled in again.
    pub(crate) fn sign_in(&self, sent_to: &str, else_to: &str) -> String {
        sign_in::address(self.page(sent_to).as_deref().unwrap_or(else_to))
    }

    pub(crate) fn told(&self) -> Markup {
        html! {
            @if !self.0.is_empty() {
                h2 { "What you filled in, and is not in the book" }
                dl.facts { @for (name, text) in &self.0 { div { dt { (name.replace(['_', '-'], " ")) } dd { (text) } } } }
            }
        }
    }
}
