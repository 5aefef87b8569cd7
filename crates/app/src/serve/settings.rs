//! What the shop goes by: its name and zone, its rules and limits with their sources, what this tablet shows.

use axum::extract::State;
use axum::response::Response;
use maud::html;

use super::caller::Caller;
use super::fault::Fault;
use super::frame::{Page, Part};
use super::house::Shared;

pub(crate) async fn page(State(house): State<Shared>, caller: Caller) -> Result<Response, Fault> {
    let shop = house.book().await?.shop().await?;
    let set = shop.rules.rule_set();
    let body = html! {
        h1 { "Settings" }
        dl.facts {
            div { dt { "Shop" } dd { (shop.name) } }
            div { dt { "Zone" } dd { (shop.zone) } }
            div { dt { "Rules" } dd { (set.title) } }
        }
        h2 { "Rules" }
        ul {
            @for due in &set.examinations { li { (due.thoroughness) ": every " (due.months.value) " months. " span.note { (due.months.source) } } }
            @if let Some(check) = &set.check_each_day { li { "Check before use on each day. " span.note { (check.source) } } }
            @if let Some(months) = &set.instruction_months { li { "An instruction counts for " (months.value) " months. " span.note { (months.source) } } }
            @if let Some(age) = &set.operator_age { li { "Operators are at least " (age.value) " years old. " span.note { (age.source) } } }
        }
        h2 { "Limits" }
        table {
            thead { tr { th { "Limit" } th { "Value" } th { "Source" } } }
            tbody { @for row in planner::limits::TABLE { tr { td { (row.title) } td { (caller.units.limit(row.value, row.unit)) } td.note { (row.source) } } } }
        }
    };
    Ok(Page { title: "Settings", part: Some(Part::Records), module: None, body }.of(&caller))
}
