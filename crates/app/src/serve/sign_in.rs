//! Who is at this tablet: name and PIN.

use axum::Form;
use axum::extract::{Query, Request, State};
use axum::http::HeaderValue;
use axum::http::header::SET_COOKIE;
use axum::response::{AppendHeaders, IntoResponse, Redirect, Response};
use maud::{Markup, html};
use records::{PersonId, Shop};
use serde::Deserialize;

use super::caller::{Caller, UNITS, cookie, is_ours};
use super::fault::Fault;
use super::frame::Page;
use super::house::Shared;
use super::session::COOKIE;

/// Where to go afterwards.
#[derive(Debug, Default, Deserialize)]
pub(crate) struct Then {
    #[serde(default)]
    then: String,
}

impl Then {
    /// Within these pages only.
    fn address(&self) -> &str {
        if is_ours(&self.then) { &self.then } else { "/" }
    }
}

/// Where signing in leads back to.
pub(crate) fn address(then: &str) -> String {
    let bytes = then.bytes().map(|b| match b {
        b'a'..=b'z' | b'A'..=b'Z' | b'0'..=b'9' | b'/' | b'-' | b'.' | b'_' => char::from(b).to_string(),
        other => format!("%{other:02X}"),
    });
    format!("/sign-in?then={}", bytes.collect::<String>())
}

pub(crate) async fn page(
    State(house): State<Shared>,
    Query(then): Query<Then>,
    caller: Caller,
) -> Result<Response, Fault> {
    let shop = house.book().await?.shop().await?;
    Ok(Page { title: "Sign in", part: None, module: Some("sign-in.js"), body: asked(&shop, &then, "", None) }
        .of(&caller))
}

/// Names are touched, and digits where scripts run: whoever wears gloves needs no keyboard.
fn asked(shop: &Shop, then: &Then, person: &str, why: Option<&Fault>) -> Markup {
    html! {
        h1 { "Who is at this tablet?" }
        @if let Some(why) = why { (why.told()) }
        form.sign-in method="post" action="/sign-in" {
            input type="hidden" name="then" value=(then.address());
            fieldset.ways.names { legend.unseen { "Name" }
                @for (id, who) in shop.people.iter().filter(|(_, person)| !person.left) {
                    label.choice { input type="radio" name="person" value=(id) required checked[id.as_str() == person]; span { strong { (who.name) } span.note { (id) } } }
                }
            }
            div.pin {
                label { "PIN"
                    input name="pin" type="password" inputmode="numeric" autocomplete="current-password" required maxlength="12";
                }
                button.main.big { "Sign in" }
            }
        }
    }
}

#[derive(Deserialize)]
pub(crate) struct Entry {
    person: String,
    pin: String,
    #[serde(default)]
    then: String,
}

pub(crate) async fn sign_in(
    State(house): State<Shared>,
    caller: Caller,
    Form(entry): Form<Entry>,
) -> Result<Response, Fault> {
    let book = house.book().await?;
    let then = Then { then: entry.then };
    let proved = async {
        let person: PersonId =
            entry.person.trim().parse().map_err(|_| Fault::bad("This is no name in the book."))?;
        house.prove(caller.from, &person, &entry.pin).await
    };
    match proved.await {
        Ok(signed) => {
            let secret = house
                .sessions
                .begin(signed)
                .map_err(|_| Fault::Broken(vec!["No secret could be made.".into()]))?;
            Ok((AppendHeaders([set(&house, COOKIE, &secret, None)?]), Redirect::to(then.address()))
                .into_response())
        }
        Err(fault) => {
            let shop = book.shop().await?;
            let body = asked(&shop, &then, &entry.person, Some(&fault));
            let page = Page { title: "Sign in", part: None, module: Some("sign-in.js"), body }.of(&caller);
            Ok((fault.into_response().status(), page).into_response())
        }
    }
}

pub(crate) async fn sign_out(State(house): State<Shared>, request: Request) -> Result<Response, Fault> {
    let (parts, _) = request.into_parts();
    if let Some(secret) = cookie(&parts, COOKIE) {
        house.sessions.end(secret);
    }
    Ok((AppendHeaders([set(&house, COOKIE, "", Some(0))?]), Redirect::to("/")).into_response())
}

#[derive(Deserialize)]
pub(crate) struct Chosen {
    units: String,
    #[serde(default)]
    then: String,
}

pub(crate) async fn units(
    State(house): State<Shared>,
    Form(chosen): Form<Chosen>,
) -> Result<Response, Fault> {
    const YEAR: u32 = 31_536_000;
    let units = if chosen.units == "us" { "us" } else { "metric" };
    let then = Then { then: chosen.then };
    let cookie = set(&house, UNITS, units, Some(YEAR))?;
    Ok((AppendHeaders([cookie]), Redirect::to(then.address())).into_response())
}

pub(crate) fn set(
    house: &Shared,
    name: &str,
    value: &str,
    age: Option<u32>,
) -> Result<(axum::http::HeaderName, HeaderValue), Fault> {
    let secure = if house.reach.is_secure() { "; Secure" } else { "" };
    let age = age.map(|age| format!("; Max-Age={age}")).unwrap_or_default();
    let text = format!("{name}={value}; Path=/; HttpOnly; SameSite=Strict{secure}{age}");
    let value = HeaderValue::from_str(&text).map_err(|_| Fault::bad("This cannot be kept in a cookie."))?;
    Ok((SET_COOKIE, value))
}
