//! The list of situations, and the page of one to try.

use maud::{Markup, html};
use planner::Plan;
use planner::frames::DrivenIn;
use planner::lift::{Band, BandEnd, Corner};
use records::{Event, Fact, Hidden, Practised, Shop};
use sheets::drawing::screen;
use sheets::{Scene, Units, words};
use statics::Length;

use super::fields::{self, Field};
use super::sees_all;
use super::task::{self, INVENTED, Task};
use super::veil::{self, Veiled};
use crate::serve::caller::Caller;
use crate::serve::fault::Fault;
use crate::serve::picture::Stage;
use crate::serve::plan::by_arm;
use crate::serve::plan::placed::Placed;
use crate::told;

pub(crate) fn all(shop: Option<&Shop>, caller: &Caller) -> Markup {
    let entry = |address: String, name: &str, note: Option<&str>, hides: &[Hidden]| {
        html! {
            li {
                h3 { a href=(address) { (name) } }
                @if let Some(note) = note { p { (note) } }
                p.note { (hidden(hides)) }
            }
        }
    };
    html! {
        h1 { "Practice" }
        p { "Spot the vehicle, set the four pads, raise it. Nothing moves and nothing can fall: you see what would have happened, and why." }
        @if let Some(shop) = shop {
            section.situations {
                h2 { "Of this shop" }
                @if sees_all(shop, caller) { p { a.button href="/practice/set" { "Set a situation" } } }
                @if shop.practices.is_empty() { p.note { "None has been set yet. An instructor or a lead sets one." } }
                ol {
                    @for (number, practice) in &shop.practices {
                        @let situation = &practice.situation;
                        (entry(format!("/practice/{number}"), &situation.name, situation.note.as_deref(), &situation.hides.iter().copied().collect::<Vec<_>>()))
                    }
                }
            }
        }
        section.situations {
            h2 { "In the invented workshop" }
            @if caller.person().is_none() { p.note { "Nobody is signed in: attempts are not kept." } }
            ol { @for i in &INVENTED { (entry(format!("/practice/invented/{}", i.id), i.name, Some(i.note), i.hides)) } }
        }
    }
}

fn hidden(hides: &[Hidden]) -> String {
    match hides {
        [] => "Everything is shown.".into(),
        some => {
            format!("Not shown: {}.", some.iter().map(ToString::to_string).collect::<Vec<_>>().join(", "))
        }
    }
}

/// The bay with everything that may be seen, the numbers, and one big button.
pub(crate) fn to_try(task: &Task, plan: &Plan, caller: &Caller) -> Result<Markup, Fault> {
    let veiled = Veiled::of(task, plan);
    let scene = veiled.scene(&task.worked);
    let units = caller.units;
    Ok(html! {
        h1 { (task.name) }
        @if let Some(note) = &task.note { p.look { (note) } }
        (facts(task, units))
        p.note { (hidden(&task.hides.iter().copied().collect::<Vec<_>>())) }
        div.try {
            (stage(task, plan, &scene, units)?)
            div {
                (raise(task, plan, caller))
                div #answer aria-live="polite" { (seen(task, &scene, units)) }
            }
        }
    })
}

/// What the learner goes by: nothing of it can be hidden.
fn facts(task: &Task, units: Units) -> Markup {
    let inputs = task.worked.inputs();
    let fact = |name: &str, value: &str| html! { div { dt { (name) } dd { (value) } } };
    html! {
        dl.facts {
            (fact("Lift", &inputs.lift.name))
            (fact("Vehicle", &inputs.vehicle.name))
            (fact("Wheelbase", &units.length(inputs.vehicle.wheelbase.value)))
            @if !inputs.job.name.is_empty() { (fact("Job", &inputs.job.name)) }
        }
        @if let (true, Some(plate)) = (task.tells_plate, &inputs.lift.plate) {
            p { strong { "The plate says " } (on_the_plate(&plate.bands, units)) "." }
        }
    }
}

/// Which mark is for which wheelbase, and where it is.
pub(super) fn on_the_plate(bands: &[Band], units: Units) -> String {
    let said = bands.iter().map(|band| {
        let end = |end: &BandEnd| units.length(end.wheelbase);
        let wheelbase = match (&band.from, &band.to) {
            (None, None) => "any wheelbase".to_owned(),
            (None, Some(to)) => format!("wheelbase under {}", end(to)),
            (Some(from), None) => format!("from {}", end(from)),
            (Some(from), Some(to)) => format!("{} to {}", end(from), end(to)),
        };
        let side = if band.front_wheel < Length::ZERO { "behind" } else { "ahead of" };
        let far = units.length(band.front_wheel.abs());
        format!("{wheelbase}: mark {}, front wheel {far} {side} the column line", band.mark)
    });
    said.collect::<Vec<_>>().join("; ")
}

/// What may be said while it is moved.
pub(crate) fn seen(task: &Task, scene: &Scene<'_>, units: Units) -> Markup {
    let row = |label: &str, value: String| html! { div { dt { (label) } dd { (value) } } };
    html! {
        p.wheel { span.label { "Front wheel" } strong { (words::spot(scene, units)) } }
        p.note { (words::capital(&words::stance(scene, units))) "." }
        h2.unseen { "The four arms" }
        div.arms {
            @for pad in by_arm(scene) {
                section.arm data-pad=(pad.corner.index()) data-load=[(!task.hides(Hidden::Loads)).then(|| units.load(pad.load_estimate))] {
                    h3 { (words::capital(words::corner_name(pad.arm))) }
                    @if pad.arm != pad.corner { p.note { "under the vehicle's " (words::corner_name(pad.corner)) } }
                    dl {
                        (row("Reach", units.length(pad.reach)))
                        (row("Swing", words::swing(pad, units)))
                        @if !task.hides(Hidden::Loads) { (row("Load", units.load(pad.load_estimate))) }
                    }
                }
            }
        }
    }
}

/// What the plan view shows, in words.
pub(super) const FROM_ABOVE: &str = "The bay from above, with the vehicle and the four pads.";

fn stage(task: &Task, plan: &Plan, scene: &Scene<'_>, units: Units) -> Result<Markup, Fault> {
    let home = |way| Ok::<_, Fault>(Placed::in_bay(&task.worked.checked(&veil::start(&task.worked, way))?));
    let stage = Stage {
        picture: screen::from_above(scene, units, &veil::window(task)?, true),
        bay: serde_json::json!({
            "api": format!("/api/{}", task::below(&task.of)), "question": {},
            "setup": Placed::in_bay(plan), "home": home(DrivenIn::Forwards)?,
            "ways": { "forwards": home(DrivenIn::Forwards)?, "backwards": home(DrivenIn::Backwards)? },
        }),
        describes: FROM_ABOVE,
        units,
        how: "Drag the vehicle or a ringed pad. An arm goes no further than its stops, and drops onto its nearest tooth.",
        home: "Back to the start",
    };
    Ok(stage.shown())
}

/// The numbers and the button. Signed in it is sent to be kept, else only looked at.
fn raise(task: &Task, plan: &Plan, caller: &Caller) -> Markup {
    let (units, at) = (caller.units, Placed::of(plan));
    let keeps = caller.person().is_some();
    let number = |field: &Field| {
        html! { label { (field.label) input type="number" inputmode="decimal" required name=(field.name) value=(field.value) step=(field.step); } }
    };
    html! {
        form.fields data-fields method=(if keeps { "post" } else { "get" }) action={ "/" (task::below(&task.of)) "/raise" } novalidate {
            button.main.big { "Raise it" }
            @if !keeps { p.note { "Nobody is signed in: this attempt is not kept." } }
            input type="hidden" name="unit" value=(fields::unit(units));
            details {
                summary { "Set it by numbers" }
                div.numbers {
                    @for field in fields::stance(plan, units) { (number(&field)) }
                    @if task.worked.inputs().lift.backwards_allowed {
                        label { "Driven in"
                            select name="way" {
                                option value="forwards" selected[!at.backwards] { "forwards" }
                                option value="backwards" selected[at.backwards] { "backwards" }
                            }
                        }
                    }
                }
                @for corner in Corner::ALL {
                    fieldset { legend data-names=(corner.index()) { (words::capital(&words::pads_as_driven(plan.placement.driven_in, &[corner]))) }
                        div.numbers { @for field in fields::pad(plan, corner, units) { (number(&field)) } }
                    }
                }
                button.main { "Raise it" }
            }
        }
    }
}

/// What was made of it so far, the last first.
pub(crate) fn attempts(of: &Practised, events: &[Event]) -> Markup {
    html! {
        @if !events.is_empty() {
            section {
                h2 { "Attempts" }
                table {
                    thead { tr { th { "When" } th { "Who" } th { "What would have happened" } th {} } }
                    tbody {
                        @for event in events.iter().rev() {
                            @if let Fact::PracticeTried { attempt, .. } = &event.fact {
                                tr {
                                    td { (told::time(event.at, &event.zone)) }
                                    td { (event.by) }
                                    td { (words::capital(&told::practised(&attempt.end))) }
                                    td { a href={ "/" (task::below(of)) "/tried/" (event.seq) } { "Look" } }
                                }
                            }
                        }
                    }
                }
            }
        }
    }
}
