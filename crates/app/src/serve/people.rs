//! PINs at a page: one's own, and those that a lead gives.

use axum::Form;
use axum::extract::{Path, State};
use axum::response::{AppendHeaders, IntoResponse, Redirect, Response};
use jiff::Timestamp;

use maud::{Markup, html};
use records::PersonId;
use serde::Deserialize;

use super::caller::Caller;
use super::fault::Fault;
use super::house::Shared;
use super::session::COOKIE;
use super::sign_in;

pub(crate) fn new_pin(person: &PersonId, caller: &Caller) -> Markup {
    let field = |name: &str, label: &str, is: &str| {
        html! { label { (label) input name=(name) type="password" inputmode="numeric" required minlength="4" maxlength="12" autocomplete=(is); } }
    };
    let pin = |name: &str, label: &str| field(name, label, "new-password");
    let own = caller.person() == Some(person);
    html! {
        details #pin {
            summary { "A new PIN" }
            form.sheet method="post" action={ "/person/" (person) "/pin" } {
                (field("present", if own { "The PIN that you have now" } else { "Your own PIN" }, "current-password"))
                (pin("pin", "New PIN, 4 to 12 digits"))
                (pin("again", "The same again"))
                @if own { p.note { "Every other tablet where you are signed in asks for the new one." } }
                @else { p.note { "Every tablet where they are signed in asks for the new one. What somebody signs with a PIN that another set says so in the book, until they set their own here." } }
                button.main { "Set it" }
            }
        }
    }
}

#[derive(Deserialize)]
pub(crate) struct NewPin {
    /// Of whoever sets it: an open tablet is no proof of who stands before it.
    #[serde(default)]
    present: String,
    pin: String,
    again: String,
}

/// The book says who may: oneself, or who manages people. It ends the sessions of whose PIN it is; one's own goes on here.
pub(crate) async fn set_pin(
    State(house): State<Shared>,
    Path(person): Path<String>,
    caller: Caller,
    Form(new): Form<NewPin>,
) -> Result<Response, Fault> {
    if new.pin != new.again {
        return Err(Fault::bad("The two PINs differ; nothing was changed."));
    }
    let book = house.book().await?;
    let by = caller.person().ok_or(Fault::NobodyIsHere)?;
    let id: PersonId =
        person.parse().map_err(|_| Fault::NotFound(format!("There is no person “{person}”.")))?;
    let signed = house.prove(caller.from, by, &new.present).await?;
    book.set_pin(Timestamp::now(), &signed, &id, new.pin.trim()).await?;
    house.look().await;
    let then = Redirect::to(&format!("/person/{id}"));
    if *by != id {
        return Ok(then.into_response());
    }
    let secret = house.sessions.begin(house.prove(caller.from, by, &new.pin).await?);
    let secret = secret.map_err(|_| Fault::Broken(vec!["No secret could be made.".into()]))?;
    Ok((AppendHeaders([sign_in::set(&house, COOKIE, &secret, None)?]), then).into_response())
}
