//! PINs at a page: one's own, and those that a lead gives.

use axum::Form;
use axum::extract::{Path, State};
use axum::response::{IntoResponse, Redirect, Response};
use jiff::Timestamp;
use maud::{Markup, html};
use records::PersonId;
use serde::Deserialize;

use super::caller::Caller;
use super::fault::Fault;
use super::house::Shared;

pub(crate) fn new_pin(person: &PersonId) -> Markup {
    let pin = |name: &str, label: &str| {
        html! { label { (label) input name=(name) type="password" inputmode="numeric" required minlength="4" maxlength="12" autocomplete="new-password"; } }
    };
    html! {
        details #pin {
            summary { "A new PIN" }
            form.sheet method="post" action={ "/person/" (person) "/pin" } {
                (pin("pin", "New PIN, 4 to 12 digits"))
                (pin("again", "The same again"))
                p.note { "What somebody signs with a PIN that another set says so in the book, until they set their own here." }
                button.main { "Set it" }
            }
        }
    }
}

#[derive(Deserialize)]
pub(crate) struct NewPin {
    pin: String,
    again: String,
}

/// The book says who may: oneself, or who manages people.
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
    let session = caller.session.as_ref().ok_or(Fault::NobodyIsHere)?;
    let id: PersonId =
        person.parse().map_err(|_| Fault::NotFound(format!("There is no person “{person}”.")))?;
    book.set_pin(Timestamp::now(), &session.signed, &id, new.pin.trim()).await?;
    Ok(Redirect::to(&format!("/person/{id}")).into_response())
}
