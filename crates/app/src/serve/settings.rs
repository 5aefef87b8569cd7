//! What the shop goes by: its name, units, zone, rules and limits with their sources, each to be changed by who may.

pub(crate) mod limits;

use std::collections::BTreeMap;

use ::records::{Act, May, Shop, may};
use axum::extract::State;
use axum::response::Response;
use maud::{Markup, html};

use super::caller::Caller;
use super::fault::Fault;
use super::frame::{Page, Part};
use super::house::Shared;
use super::records::{fields, form};

pub(crate) async fn page(State(house): State<Shared>, caller: Caller) -> Result<Response, Fault> {
    let book = house.book().await?;
    let shop = book.shop().await?;
    let set = shop.rules.rule_set();
    let own = limits::in_force(&book).await?;
    let changes = caller.role(&shop).is_some_and(|role| may(role, Act::RunShop) != May::No);
    let change = |name: &str| html! { @if changes { (form(&shop, name, &caller)) } };
    let body = html! {
        h1 { "Settings" }
        dl.facts { div { dt { "Shop" } dd { (shop.name) } } }
        h2 { "Units" }
        p { "The shop reads in " strong { (shop.units) } ". Whoever reads otherwise chooses at their tablet, on top of each page; it stays chosen there." }
        (change("units"))
        h2 { "Zone" }
        p { "Days are those of " strong { (shop.zone) } "." }
        (change("zone"))
        @if shop.behind.is_some() { p.moved { "The clock of this machine stands before the last event of the book." } (change("clock")) }
        h2 { "Rules" }
        p { strong { (set.title) } }
        ul {
            @for due in &set.examinations { li { (due.thoroughness) ": every " (due.months.value) " months. " span.note { (due.months.source) } } }
            @if let Some(check) = &set.check_each_day { li { "Check before use on each day. " span.note { (check.source) } } }
            @if let Some(months) = &set.instruction_months { li { "An instruction counts for " (months.value) " months. " span.note { (months.source) } } }
            @if let Some(age) = &set.operator_age { li { "Operators are at least " (age.value) " years old. " span.note { (age.source) } } }
        }
        (change("rules"))
        (change("own-rules"))
        h2 { "Limits" }
        @if changes { p { a.button href="/settings/limits" { "Set the shop's own limits" } } }
        (limits::table(&own, caller.units))
    };
    Ok(Page { title: "Settings", part: Some(Part::Records), module: None, body }.of(&caller))
}

/// The form of that name, as the shop is now.
fn form(shop: &Shop, name: &str, caller: &Caller) -> Markup {
    let Some(form) = form::named(name) else { return html! {} };
    let word = |value: serde_json::Value| value.as_str().unwrap_or_default().to_owned();
    let units = serde_json::to_value(shop.units).map(word).unwrap_or_default();
    let now = [("units", units), ("zone", shop.zone.to_string()), ("rules", shop.rules.word().to_owned())];
    let mut filled: BTreeMap<String, String> =
        now.into_iter().map(|(name, value)| (name.to_owned(), value)).collect();
    if let ::records::Rules::Own(own) = &shop.rules {
        filled.extend(form::own_rules_filled(own));
    }
    html! { details { summary { (form.title) } (fields(form, shop, &filled, &[], caller)) } }
}
