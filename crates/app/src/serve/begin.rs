//! The first run: a shop, its lead, a first plan.

use axum::Form;
use axum::extract::State;
use axum::response::{AppendHeaders, IntoResponse, Redirect, Response};
use jiff::Timestamp;
use jiff::civil::Date;
use jiff::tz::TimeZone;
use maud::{Markup, html};
use records::{Act, Admission, Book, Opening, PersonId, Role, Rules, Shop, Zone};
use serde::Deserialize;
use sheets::words;

use std::time::Instant;

use super::caller::Caller;
use super::fault::Fault;
use super::frame::Page;
use super::house::Shared;
use super::missing;
use super::session::COOKIE;
use super::sign_in;

pub(crate) async fn page(State(house): State<Shared>, caller: Caller) -> Response {
    if house.book().await.is_ok() {
        return Redirect::to("/today").into_response();
    }
    Page { title: "Begin", part: None, module: None, body: asked(&Beginning::default(), &caller, None) }
        .of(&caller)
}

/// What is written down first.
#[derive(Default, Deserialize)]
pub(crate) struct Beginning {
    shop: String,
    zone: String,
    rules: String,
    person: String,
    name: String,
    #[serde(default)]
    of_age: String,
    pin: String,
    again: String,
    #[serde(default)]
    code: String,
}

fn asked(said: &Beginning, caller: &Caller, why: Option<&Fault>) -> Markup {
    let field = |name: &str, label: &str, hint: &str, value: &str| {
        html! { label { (label) span.note { (hint) } input name=(name) value=(value) required; } }
    };
    html! {
        h1 { "Begin the shop's book" }
        p { "The book keeps who did what, when, on which lift. It is one file on this machine; nothing leaves it." }
        @if let Some(why) = why { (why.told()) }
        form.sheet method="post" action="/begin" {
            (field("shop", "Name of the shop", "as it stands on the door", &said.shop))
            label { "Time zone" span.note { "days are reckoned in it" }
                input name="zone" list="zones" required value=(if said.zone.is_empty() { system_zone() } else { said.zone.clone() });
            }
            datalist id="zones" { @for zone in ZONES { option value=(zone) {} } }
            label { "Rules for lifts" span.note { "intervals of examinations and checks, each with its source" }
                select name="rules" {
                    @for rules in Rules::OF_COUNTRIES {
                        option value=(rules.word()) selected[rules.word() == said.rules] { (rules.rule_set().title) }
                    }
                }
            }
            (field("name", "Who leads the shop", "their name", &said.name))
            (field("person", "Their name in the book", "small letters, digits, hyphens: r-holt", &said.person))
            label { "Their 18th birthday" span.note { "only that day is kept; needed by the rules of " (who_ask_for_age()) ", which ask how old operators are" }
                input name="of_age" type="date" value=(said.of_age);
            }
            label { "PIN" span.note { "4 to 12 digits" }
                input name="pin" type="password" inputmode="numeric" required minlength="4" maxlength="12" autocomplete="new-password";
            }
            label { "The same again"
                input name="again" type="password" inputmode="numeric" required minlength="4" maxlength="12" autocomplete="new-password";
            }
            @if !caller.is_at_this_machine() {
                label { "Code" span.note { "as it stands where the program was started: it shows that you may begin the book" }
                    input name="code" inputmode="numeric" required autocomplete="off" value=(said.code);
                }
            }
            button.main { "Begin" }
        }
        p { "Only looking? " a href="/plan" { "Plan with an invented workshop" } ", nothing is kept." }
    }
}

/// The rules that ask how old operators are, by their titles.
fn who_ask_for_age() -> String {
    let ask = Rules::OF_COUNTRIES.into_iter().map(|rules| rules.rule_set());
    ask.filter(|rules| rules.operator_age.is_some())
        .map(|rules| rules.title)
        .collect::<Vec<_>>()
        .join(" and ")
}

/// Offered first; any other can be typed.
pub(crate) const ZONES: [&str; 8] = [
    "Europe/Berlin",
    "Europe/London",
    "America/New_York",
    "America/Chicago",
    "America/Denver",
    "America/Los_Angeles",
    "Australia/Sydney",
    "Australia/Perth",
];

fn system_zone() -> String {
    let zone = TimeZone::system().iana_name().and_then(|name| Zone::chosen(name).ok());
    zone.map_or_else(|| "Europe/Berlin".to_owned(), String::from)
}

pub(crate) async fn begin(
    State(house): State<Shared>,
    caller: Caller,
    Form(said): Form<Beginning>,
) -> Result<Response, Fault> {
    match opened(&house, &caller, &said).await {
        Ok(secret) => {
            let cookie = sign_in::set(&house, COOKIE, &secret, None)?;
            Ok((AppendHeaders([cookie]), Redirect::to("/first-steps")).into_response())
        }
        Err(fault) => {
            let page =
                Page { title: "Begin", part: None, module: None, body: asked(&said, &caller, Some(&fault)) };
            Ok((fault.into_response().status(), page.of(&caller)).into_response())
        }
    }
}

async fn opened(house: &Shared, caller: &Caller, said: &Beginning) -> Result<String, Fault> {
    if house.book().await.is_ok() {
        return Err(Fault::Refused(vec!["This shop has its book already.".into()]));
    }
    if !caller.is_at_this_machine() {
        knows_the_code(house, caller, &said.code)?;
    }
    let mut wrong: Vec<String> = vec![];
    if said.pin != said.again {
        wrong.push("The two PINs differ.".into());
    }
    let person: Option<PersonId> =
        said.person.trim().parse().map_err(|fault| wrong.push(format!("Name in the book: {fault}."))).ok();
    let of_age = match said.of_age.trim() {
        "" => None,
        day => day.parse().map_err(|_| wrong.push("18th birthday: write it as YYYY-MM-DD.".into())).ok(),
    };
    let zone = Zone::chosen(said.zone.trim());
    let zone = zone.map_err(|why| wrong.push(format!("{}.", words::capital(&why.to_string())))).ok();
    let today = zone.map(|zone| zone.day(Timestamp::now()));
    if today.is_some_and(|today| of_age.is_some_and(|day: Date| day > today)) {
        wrong.push("18th birthday: that day has not come yet. Whoever leads a shop is of age.".into());
    }
    let rules = Rules::OF_COUNTRIES.into_iter().find(|rules| rules.word() == said.rules);
    if said.of_age.trim().is_empty()
        && rules.as_ref().is_some_and(|rules| rules.rule_set().operator_age.is_some())
    {
        wrong.push("18th birthday: these rules ask how old operators are.".into());
    }
    let (Some(person), Some(rules), true) = (person, rules, wrong.is_empty()) else {
        return Err(Fault::Bad(wrong));
    };
    let lead =
        Admission { person: person.clone(), name: said.name.trim().to_owned(), role: Role::Lead, of_age };
    let opening = Opening {
        shop: said.shop.trim().to_owned(),
        zone: said.zone.trim().to_owned(),
        rules,
        lead,
        pin: said.pin.trim().to_owned(),
    };
    let book = Book::create(&house.place.text(), Timestamp::now(), opening).await?;
    let signed = book.check_pin(Timestamp::now(), &person, said.pin.trim()).await?;
    house.began(book).await;
    house.sessions.begin(signed).map_err(|_| Fault::Broken(vec!["No secret could be made.".into()]))
}

/// Whoever comes first over the network is not the lead by that.
fn knows_the_code(house: &Shared, caller: &Caller, code: &str) -> Result<(), Fault> {
    let anybody = "anybody".parse().map_err(|_| Fault::TooMany)?;
    if house.code.is_empty() || !house.attempts.may_try(caller.from, &anybody, Instant::now()) {
        return Err(Fault::TooMany);
    }
    match code.trim() == house.code {
        true => Ok(()),
        false => Err(Fault::Refused(vec![
            "From another machine the book is begun with the code that the program printed where it was started. Or begin it there."
                .into(),
        ])),
    }
}

/// What is missing before the first raise in each bay; where nothing is, the way to it.
fn before_the_first_raise(shop: &Shop, caller: &Caller) -> Markup {
    let at = Timestamp::now();
    let people = missing::of_people(shop, at);
    html! {
        section #first-raise {
            h2 { "Still missing before the first raise" }
            @if !people.is_empty() { h3 { "People" } (missing::told(&people, shop, caller)) }
            @for (id, lift) in &shop.lifts {
                @let lines = missing::lacks(shop, id, caller, at);
                h3 { (lift.sheet.bay) }
                @if lines.is_empty() {
                    p { "Nothing is missing here. " a.button.small href={ "/plan?lift=" (id) } { "Plan the first raise" } }
                } @else { (missing::told(&lines, shop, caller)) }
            }
        }
    }
}

/// What to do next, in the order that leads to a first plan, and from there to a first raise.
pub(crate) async fn steps(State(house): State<Shared>, caller: Caller) -> Result<Response, Fault> {
    let shop = house.book().await?.shop().await?;
    let may = |act| caller.is_offered(&shop, act);
    // To whom it is not offered, it is only told.
    let step = |done: bool, address: Option<&str>, title: &str, words: &str| {
        html! {
            li.step.done[done] {
                @if let Some(address) = address { a.button href=(address) { (title) } } @else { strong { (title) } }
                p { @if done { strong { "Done. " } } (words) }
            }
        }
    };
    let body = html! {
        h1 { "First steps" }
        ol.steps {
            (step(!shop.lifts.is_empty(), may(Act::EnterLift).then_some("/measure/lift"), "Measure a lift", "With a tape, once for good: columns, arms, pads, locks, plate."))
            (step(!shop.fleet.vehicles.is_empty(), may(Act::EnterVehicle).then_some("/measure/vehicle"), "Measure a vehicle", "Wheelbase, weight, body and four lifting points are enough to begin."))
            (step(false, Some("/plan"), "Plan", "Bay, vehicle, job: may it go up, where does the wheel stand, what are the arms set to."))
            (step(shop.people.len() > 1, may(Act::ManagePeople).then_some("/enter/person"), "Enter people", "Technicians, an examiner, learners: each with a PIN of their own."))
        }
        @if missing::is_before_the_first_raise(&shop) && !shop.lifts.is_empty() { (before_the_first_raise(&shop, &caller)) }
        @if may(Act::EnterLift) {
            form.steps method="post" action="/invented" {
                p { "Or begin with the lifts, vehicles and jobs of an invented workshop, to try everything." }
                button { "Take them into the book" }
            }
        }
    };
    Ok(Page { title: "First steps", part: None, module: None, body }.of(&caller))
}
