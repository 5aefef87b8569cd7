//! What would have happened, and why.

use maud::{Markup, html};
use planner::Plan;
use planner::plan::Verdict;
use records::Event;
use sheets::drawing::screen::{self, Window};
use sheets::words::{self, practice};
use sheets::{Scene, Units};

use super::fields;
use super::task::{self, Task};
use crate::serve::caller::Caller;
use crate::serve::{picture, sign_in};
use crate::told;

pub(crate) fn page(task: &Task, plan: &Plan, event: Option<&Event>, caller: &Caller) -> Markup {
    let units = caller.units;
    let (scene, best) = (task.worked.moved(plan), task.worked.scene());
    let window = Window::of(&scene).with(&Window::of(&best));
    let again = format!("/{}?{}", task::below(&task.of), fields::query(plan, units));
    let (kind, sign) = match plan.verdict {
        Verdict::Raise => ("raise", "✓"),
        Verdict::RaiseWithConditions => ("conditions", "!"),
        Verdict::DoNotRaise => ("refused", "✕"),
    };
    html! {
        p.note {
            (task.name) " · "
            @match event {
                Some(event) => { "Tried by " (event.by) ", " (told::time(event.at, &event.zone)) ". It is in the book." }
                None => { "Not kept: nobody is signed in. " a href=(sign_in::address(&format!("/{}", task::below(&task.of)))) { "Sign in" } }
            }
        }
        div.try {
            div {
                section.verdict.(kind) { span.sign aria-hidden="true" { (sign) } h1 { (practice::headline(&scene)) } }
                @if let Some(why) = practice::why_it_tips(&scene, units) { p.look { (why) } }
                (first(&scene, units))
                p { a.button.main.big href=(again) { "Try again" } }
                (carried(&scene, units))
            }
            figure {
                (picture::still(&screen::as_it_ends(&scene, units, &window), &practice::headline(&scene)))
                figcaption { "As you set it" }
            }
        }
        (lost(&scene, units))
        (beside(&scene, &best, &window, units))
    }
}

/// What fails first in a raise, before all that follows.
fn first(scene: &Scene<'_>, units: Units) -> Markup {
    let fails = practice::in_order(scene, units);
    let conditions = words::conditions(scene);
    html! {
        @if let Some(((moment, sentence), rest)) = fails.split_first() {
            h2 { "What fails first" }
            p { strong { (moment.title()) ": " } (sentence) }
            @if !rest.is_empty() {
                details open {
                    summary { "And after that: " (rest.len()) }
                    ol { @for (moment, sentence) in rest { li { strong { (moment.title()) ": " } (sentence) } } }
                }
            }
        } @else if !conditions.is_empty() {
            h2 { "Conditions" }
            ol { @for reason in &conditions { li { (reason.sentence(scene, units)) } } }
        }
    }
}

/// What the plate says, and what each pad bears.
fn carried(scene: &Scene<'_>, units: Units) -> Markup {
    let pads = practice::pads(scene, units);
    html! {
        section { h2 { "What the plate says" } p { (practice::plate(scene, units)) } }
        section {
            h2 { "What each pad carries" }
            @if pads.is_empty() { p { "It does not stand on its pads, so none has a load to tell." } } @else {
                table.stack {
                    thead { tr { th { "Pad" } th { "As raised" } th { "" } } }
                    tbody { @for [pad, load, says] in pads { tr { th scope="row" { (pad) } td data-of="As raised" { (load) } td { (says) } } } }
                }
            }
        }
    }
}

/// What silence would have hidden, and what one pad that does not carry would do.
fn lost(scene: &Scene<'_>, units: Units) -> Markup {
    let list = |title: &str, all: &[String]| {
        html! { @if !all.is_empty() { section { h2 { (title) } ul { @for said in all { li { (said) } } } } } }
    };
    html! {
        (list("What a silent shake would have hidden", &practice::silence(scene, units)))
        (list("If one pad did not carry", &practice::losses(scene, units)))
    }
}

fn beside(scene: &Scene<'_>, best: &Scene<'_>, window: &Window, units: Units) -> Markup {
    html! {
        section {
            h2 { "Beside the best" }
            p { (practice::against_the_best(scene, best)) }
            div.try.beside {
                table.stack {
                    thead { tr { th { "" } th { "Yours" } th { "The best" } th { "Apart" } } }
                    tbody {
                        @for [what, yours, theirs, apart] in practice::beside(scene, best, units) {
                            tr { th scope="row" { (what) } td data-of="Yours" { (yours) } td data-of="The best" { (theirs) } td data-of="Apart" { (apart) } }
                        }
                    }
                }
                figure {
                    (picture::still(&screen::from_above(best, units, window, true), "The best setup from above."))
                    figcaption { "The best" }
                }
            }
        }
    }
}
