//! What is said of a raise at a tablet, and that none of it is written twice.

use records::{Command, Event, Fact, Hall, Raise, RaiseNumber, Seq, Subject};
use schemars::JsonSchema;
use serde::Deserialize;
use sheets::Units;

use crate::desk::Desk;
use crate::serve::acting;
use crate::serve::caller::Caller;
use crate::serve::fault::Fault;
use crate::serve::house::Shared;
use crate::verb::raise::{self as led, Found, NotRight, SaidAt};

/// What is said of a raise; what does not apply is left out.
#[derive(Debug, Default, Deserialize, JsonSchema)]
#[serde(default, deny_unknown_fields)]
pub(crate) struct Said {
    /// The hold point that is confirmed.
    pub(super) point: String,
    /// The last event that was known: who was cut off confirms nothing twice. What is not right is written once since then; left
    /// out, it is written.
    pub(super) seen: Option<u64>,
    /// What is not right: noise, moved, lock, other; or down, to bring it down.
    pub(super) what: String,
    /// What was heard, seen or decided; noise, moved, lock and down need no words.
    pub(super) words: String,
    /// Who stands beside a learner.
    pub(super) second: String,
    /// Their PIN.
    pub(super) second_pin: String,
    /// Front wheel ahead of the column line, as measured, with its unit.
    pub(super) spot: String,
    /// To the left of the middle.
    pub(super) offset: String,
    /// Turned to the left.
    pub(super) yaw: String,
}

impl Said {
    /// What is said to be not right, if anything was chosen.
    pub(super) fn not_right(&self) -> Option<NotRight> {
        NotRight::named(&self.what)
    }

    /// Whether something not right was chosen or written.
    pub(super) fn is_of_something(&self) -> bool {
        self.not_right().is_some() || !self.words.trim().is_empty()
    }
}

/// What can be said of a raise.
#[derive(Clone, Copy, Debug)]
pub(crate) enum Saying {
    /// Its next hold point is confirmed.
    Confirm,
    /// It was spotted as measured.
    Measured,
    /// Something is not right, or it is brought down.
    NotRight,
    /// Somebody else leads it.
    TakeOver,
    /// It is ended out of its course.
    Abandon,
}

/// Says it at this tablet; every ending that is not a success has its reasons.
pub(crate) async fn say(
    house: &Shared,
    number: RaiseNumber,
    caller: &Caller,
    (saying, at): (Saying, SaidAt),
    said: &Said,
) -> Result<(), Fault> {
    let desk = acting::desk(house, caller, &said.second, &said.second_pin).await?;
    // One after the other: what is sent again while it is written is seen to be written.
    let _turn = house.saying.lock().await;
    let events = desk.book.events_about(&Subject::Raise(number)).await?;
    if let Saying::NotRight = saying {
        // What is not right is so however long ago it was seen: it is written, but what was sent twice only once.
        let command = not_right_as_said(number, said, at)?;
        let mut since = events.iter().filter(|event| said.seen.is_some_and(|seen| event.seq.0 > seen));
        if !since.any(|event| event.by == *desk.by.person() && says(&event.fact, &command)) {
            desk.act(&command).await?;
        }
    } else if seen_now(&*desk.book.hall().await?, number, &events).is_some_and(|now| Some(now.0) != said.seen)
    {
        return Err(Fault::Refused(vec![
            "This raise went on since this page was shown, here or at another tablet. Nothing was written twice: look where it stands now.".into(),
        ]));
    } else {
        done(&desk, number, (saying, at), said, caller.units).await?;
    }
    house.look().await;
    Ok(())
}

/// What whoever is shown a raise has seen of it.
pub(crate) fn seen_now(shop: &Hall, number: RaiseNumber, events: &[Event]) -> Option<Seq> {
    shop.raises.get(&number).map(Raise::seen).or_else(|| events.last().map(|event| event.seq))
}

/// Whether this is already what was to be written of what is not right.
fn says(fact: &Fact, command: &Command) -> bool {
    match (fact, command) {
        (Fact::RaiseUpset { sign, words, .. }, Command::Upset { sign: s, words: w, .. }) => {
            sign == s && words.trim() == w.trim()
        }
        (Fact::LockNotHeard { words, .. }, Command::LockNotHeard { words: w, .. })
        | (Fact::BroughtDown { words, .. }, Command::BringDown { words: w, .. })
        | (Fact::NotRight { words, .. }, Command::NotRight { words: w, .. }) => words.trim() == w.trim(),
        _ => false,
    }
}

/// Where the raise is still as the page showed it.
async fn done(
    desk: &Desk,
    raise: RaiseNumber,
    (saying, at): (Saying, SaidAt),
    said: &Said,
    units: Units,
) -> Result<(), Fault> {
    let seen = said.seen.map(Seq);
    match saying {
        Saying::Confirm => {
            let point = said.point.parse().map_err(|fault| Fault::Bad(vec![format!("{fault}.")]))?;
            let words = Some(said.words.clone()).filter(|words| !words.trim().is_empty());
            led::confirm_at(desk, raise, point, words, (seen, units)).await?;
        }
        Saying::Measured => {
            let offsets = [&said.spot, &said.offset, &said.yaw].map(Clone::clone);
            led::measured_at(desk, raise, Found::Offsets(offsets), seen, units).await?;
        }
        Saying::NotRight => drop(desk.act(&not_right_as_said(raise, said, at)?).await?),
        Saying::Abandon => {
            drop(desk.act(&Command::AbandonRaise { raise, words: said.words.clone() }).await?);
        }
        Saying::TakeOver => drop(desk.act(&Command::TakeOver { raise }).await?),
    }
    Ok(())
}

fn not_right_as_said(raise: RaiseNumber, said: &Said, at: SaidAt) -> Result<Command, Fault> {
    let what = said.not_right().ok_or_else(|| Fault::bad("What is not right was not said."))?;
    Ok(what.command(raise, &said.words, at))
}
