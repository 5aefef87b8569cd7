//! Who acts at a page, and who stands beside them.

use maud::{Markup, html};
use records::{Act, Command, Event, May, PersonId, Shop, may};

use super::caller::Caller;
use super::fault::Fault;
use super::house::House;
use crate::desk::Desk;

/// Whether whoever is here may do it, but not alone.
pub(crate) fn needs_second(shop: &Shop, caller: &Caller, act: Act) -> bool {
    caller.role(shop).is_some_and(|role| may(role, act) == May::WithSecond)
}

/// Who stands beside, of those who may do it alone.
pub(crate) fn second(shop: &Shop, act: Act) -> Markup {
    second_of(shop, act, None)
}

/// The same of the form with this id, where it stands elsewhere.
pub(crate) fn second_of(shop: &Shop, act: Act, form: Option<&str>) -> Markup {
    let able = shop.people.iter().filter(|(_, person)| !person.left && may(person.role, act) == May::Yes);
    html! {
        div.second {
            label { "Beside you"
                select name="second" required form=[form] {
                    option value="" { "who?" }
                    @for (id, person) in able { option value=(id) { (person.name) } }
                }
            }
            label { "Their PIN" input name="second_pin" form=[form] type="password" inputmode="numeric" required autocomplete="off"; }
        }
    }
}

/// Whoever is signed in before the book, and who stands beside, if somebody is named.
pub(crate) async fn desk(house: &House, caller: &Caller, second: &str, pin: &str) -> Result<Desk, Fault> {
    let desk = alone(house, caller).await?;
    if second.is_empty() {
        return Ok(desk);
    }
    let person: PersonId =
        second.parse().map_err(|_| Fault::bad("The second person is no name in the book."))?;
    let second = house.prove(caller.from, &person, pin).await?;
    Ok(Desk { second: Some(second), ..desk })
}

/// Whoever is signed in before the book.
pub(crate) async fn alone(house: &House, caller: &Caller) -> Result<Desk, Fault> {
    let book = house.book().await?;
    let session = caller.session.as_ref().ok_or(Fault::NobodyIsHere)?;
    Ok(Desk { book, by: session.signed.clone(), second: None })
}

/// Does it, and every open page hears of it.
pub(crate) async fn act(house: &House, desk: &Desk, command: &Command) -> Result<Vec<Event>, Fault> {
    let events = desk.act(command).await?;
    house.look().await;
    Ok(events)
}
