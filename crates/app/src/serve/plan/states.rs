//! The job to walk through: one state at a time, with where the centre of gravity went and what is left in reserve.

use maud::{Markup, html};
use sheets::drawing::screen;
use sheets::{Scene, Units, units, words};

use super::told::{address, moved};
use crate::serve::picture;
use crate::serve::shelf::Asked;

/// One state; with names to ask for the others by, the way to each of them.
pub(super) fn shown(scene: &Scene<'_>, asked: Option<&Asked>, at: usize, units: Units) -> Markup {
    let states = &scene.plan.states;
    let at = at.min(states.len().saturating_sub(1));
    let Some(state) = states.get(at).filter(|_| states.len() > 1) else { return html! {} };
    let least = states.iter().map(|s| s.worst_reserve).fold(f64::INFINITY, f64::min);
    let to = |k: usize| asked.map(|asked| format!("{}&state={k}#states", address(asked, &moved(scene))));
    html! {
        @if asked.is_some() || at == 0 { h2 { "Along the job" } }
        @if asked.is_some() {
            ol.track {
                @for (k, state) in states.iter().enumerate() {
                    li { a href=[to(k)] aria-current=[(k == at).then_some("step")] {
                        strong { (k + 1) } " "
                        span { (words::capital(&state.name)) }
                        span.reserve.fails[state.worst_reserve < 0.0] { (units::reserve(state.worst_reserve)) @if state.worst_reserve <= least { ", the least" } }
                    } }
                }
            }
        }
        div.state {
            figure { (picture::still(&screen::at_state(scene, units, at), &describes(scene, at))) }
            div {
                p.label { "State " (at + 1) " of " (states.len()) }
                h3 { (words::capital(&state.name)) }
                p.least.fails[state.worst_reserve < 0.0] { span.label { "Least reserve" } strong { (units::reserve(state.worst_reserve)) } " at " (units.mass(state.mass.value)) }
                p { (words::along_the_job(scene, at, units)) }
                p.note { "Arrow head: front. Beside each pad what it carries. Quartered disc: centre of gravity; ring: where it was before. Heavy: to the nearest edge." }
                @if asked.is_some() {
                    div.walk {
                        @if let Some(before) = at.checked_sub(1) { a.button href=[to(before)] rel="prev" { "← Before" } }
                        @if at + 1 < states.len() { a.button.main href=[to(at + 1)] rel="next" { "Next →" } }
                    }
                }
            }
        }
    }
}

fn describes(scene: &Scene<'_>, at: usize) -> String {
    let name = scene.plan.states.get(at).map_or("", |state| state.name.as_str());
    format!(
        "From above, state {}, {name}: the figure that the pads span, and the centre of gravity in it.",
        at + 1
    )
}
