//! What every page has in common.

use axum::http::header::{CONTENT_DISPOSITION, CONTENT_TYPE, HeaderValue};
use axum::response::{IntoResponse, Response};
use maud::{DOCTYPE, Markup, html};
use sheets::Units;

use super::assets;
use super::caller::Caller;
use super::shown_as;

/// The parts of the pages, as they are named on top of each.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Part {
    Today,
    Plan,
    Raise,
    Records,
    Practice,
}

impl Part {
    /// In the order in which they stand there: name, address.
    const ALL: [(Self, &str, &str); 5] = [
        (Self::Today, "Today", "/today"),
        (Self::Plan, "Plan", "/plan"),
        (Self::Raise, "Raises", "/raises"),
        (Self::Records, "Records", "/records"),
        (Self::Practice, "Practice", "/practice"),
    ];
}

/// A page.
pub(crate) struct Page<'a> {
    pub(crate) title: &'a str,
    pub(crate) part: Option<Part>,
    /// Module that makes it live; it must say everything without, too.
    pub(crate) module: Option<&'static str>,
    pub(crate) body: Markup,
}

impl Page<'_> {
    /// With what is on top of every page.
    pub(crate) fn of(self, caller: &Caller) -> Response {
        let top = html! {
            header.top {
                a.home href="/" { img src=(assets::address("mark.svg")) alt="" width="32" height="32"; "Standfast" }
                nav aria-label="Parts" {
                    @for (part, name, address) in Part::ALL {
                        a href=(address) aria-current=[(self.part == Some(part)).then_some("page")] { (name) }
                    }
                }
                div.who { (units(caller)) (person(caller)) }
            }
        };
        let body = html! { (top) main id="main" { (self.body) } };
        let scripts = ["page.js"].into_iter().chain(self.module);
        sent(document(self.title, scripts, Some(&caller.made_from()), &shown_as::carried(body, caller)))
    }
}

/// A page from which nothing leads on.
pub(crate) fn bare(title: &str, body: &Markup) -> Response {
    sent(document(title, [], None, &html! { main id="main" { (body) } }))
}

fn document<'a>(
    title: &str,
    scripts: impl IntoIterator<Item = &'a str>,
    made_from: Option<&str>,
    body: &Markup,
) -> Markup {
    html! {
        (DOCTYPE)
        html lang="en" data-made-from=[made_from] {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width, initial-scale=1";
                title { (title) " · Standfast" }
                link rel="icon" href=(assets::address("mark.svg")) type="image/svg+xml";
                link rel="stylesheet" href=(assets::address("style.css"));
                @for script in scripts { script type="module" src=(assets::address(script)) {} }
            }
            body {
                a.skip href="#main" { "To the content" }
                (body)
            }
        }
    }
}

fn sent(page: Markup) -> Response {
    let html = HeaderValue::from_static("text/html; charset=utf-8");
    ([(CONTENT_TYPE, html)], page.into_string()).into_response()
}

/// A file to be taken along.
pub(crate) fn attachment(name: &str, kind: &'static str, content: impl IntoResponse) -> Response {
    let named = HeaderValue::from_str(&format!("attachment; filename=\"{name}\""));
    let headers = [
        (CONTENT_TYPE, HeaderValue::from_static(kind)),
        (CONTENT_DISPOSITION, named.unwrap_or(HeaderValue::from_static("attachment"))),
    ];
    (headers, content).into_response()
}

/// Both systems: the one in use, and the other one touch away.
fn units(caller: &Caller) -> Markup {
    let metric = caller.units == Units::Metric;
    html! {
        form method="post" action="/units" {
            input type="hidden" name="then" value=(caller.at);
            button.switch name="units" value=(if metric { "us" } else { "metric" }) {
                span.unseen { "Shown in " (if metric { "mm and kg" } else { "inches and pounds" }) ". Show the other: " }
                span.on[metric] { "mm kg" } " "
                span.on[!metric] { "in lb" }
            }
        }
    }
}

fn person(caller: &Caller) -> Markup {
    html! {
        @if let Some(person) = caller.person() {
            form method="post" action="/sign-out" { button.person { strong { (person) } " " span { "Sign out" } } }
        } @else {
            a.button.person href=(super::sign_in::address(&caller.at)) { "Sign in" }
        }
    }
}
