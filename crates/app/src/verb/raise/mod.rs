//! `raise`: a raise led step by step.

mod judge;
mod lead;
mod measured;
mod not_right;
mod plan;
mod scale;
mod since;
mod unseen;

use std::collections::BTreeMap;

use clap::{Args, Subcommand};
use jiff::Timestamp;
use records::{
    Book, Command, Failure, HoldPoint, PersonId, Raise, RaiseNumber, Refusal, Seq, Shop, Sign, Subject,
    stopped_by,
};
use sheets::Units;

use crate::cli::{FINE, REFUSED, free_text};
use crate::desk::{self, Before, Desk, Done, Ended, Place};
use crate::told::{self, raise::state};
use crate::verb::plan::System;
use crate::wire::board as wire;
use crate::write;

pub(crate) use judge::{
    Found, Judged, Now, Record, as_it_stands, as_measured, as_measured_by, checked_again, judge, measured_at,
    measured_there, setup_of,
};
#[cfg(test)]
pub(crate) use lead::figures_at;
#[cfg(test)]
pub(crate) use measured::keys;
pub(crate) use measured::{INPUT, in_question, known, plain_keys, usable};
pub(crate) use not_right::{NotRight, SaidAt};
pub(crate) use plan::{
    AS_IN_FORCE, Planned, Recomputed, digest, fleet_of, is_in_force, job_of, limits_of, read, recomputed,
    texts, texts_of,
};
pub(crate) use scale::WRITTEN;
pub(crate) use since::{cautions, changed_since, in_the_way};
pub(crate) use unseen::wrote_since;

/// Leads a raise, on the shop's book.
#[derive(Debug, Subcommand)]
pub(crate) enum What {
    /// Plan with the files that the book holds, and begin a raise by that plan. Exit 1 if it must not be raised.
    Start(plan::Start),
    /// Plan in the same way and keep the plan, without a raise.
    Keep(plan::Start),
    /// Where raises stand, and what comes next.
    Show {
        #[command(flatten)]
        place: Place,
        /// Only this one, with all that happened in it.
        #[arg(long, value_name = "NUMBER")]
        raise: Option<u64>,
        /// Answer as JSON.
        #[arg(long)]
        json: bool,
    },
    /// The plan that a raise goes by, as a report.
    Plan {
        #[command(flatten)]
        place: Place,
        /// Which raise; left out = the only one.
        #[arg(long, value_name = "NUMBER")]
        raise: Option<u64>,
        /// Units of the report.
        #[arg(long, value_enum, default_value_t = System::Metric)]
        units: System,
    },
    /// Confirm the next hold point. Before a part comes off or goes on, the vehicle as it is then is checked.
    Confirm {
        #[command(flatten)]
        led: Led,
        /// Its name, as `raise show` gives it.
        point: HoldPoint,
        /// What else is to be written down; where stands are set, the load that was read of each: "253 kg" or "2480 N"; where
        /// what was measured was refused, what was changed since; where the lift is out of service, that the part is off or on
        /// already.
        #[arg(long, value_name = "TEXT", value_parser = free_text, allow_hyphen_values = true)]
        words: Option<String>,
        /// The event up to which the raise was shown, as `raise show` and every answer give it: asked where others wrote in it since
        /// a point was confirmed last.
        #[arg(long, value_name = "EVENT")]
        seen: Option<u64>,
    },
    /// Confirm the spotting, or the seating of the pads, with what was measured: the plan is checked as the vehicle stands.
    Measured {
        #[command(flatten)]
        led: Led,
        #[command(flatten)]
        measured: judge::AsFound,
    },
    /// There was a noise: down first, then the pads are seated again.
    Noise(Said),
    /// The vehicle or a pad moved: down first, then the pads are seated again.
    Moved(Said),
    /// A lock was not heard on the way up: only the way down is left, and the lift is out of service.
    LockNotHeard(Said),
    /// Something else is not right: written down, the course stays.
    NotRight(Said),
    /// Bring it down before its time.
    BringDown(Said),
    /// Lead it from here on, in another's place.
    TakeOver(Led),
    /// End it out of its course.
    Abandon(Said),
    /// Lead it at the terminal: each hold point is shown and answered.
    Lead(Led),
}

/// Which raise, by whom.
#[derive(Args, Debug)]
pub(crate) struct Led {
    #[command(flatten)]
    at: Before,
    /// Which raise; left out = the only one, or the only one that this person leads.
    #[arg(long, value_name = "NUMBER")]
    raise: Option<u64>,
    /// Answer as JSON.
    #[arg(long)]
    json: bool,
}

/// The same with words.
#[derive(Args, Debug)]
pub(crate) struct Said {
    #[command(flatten)]
    led: Led,
    /// What was heard, seen or decided.
    #[arg(value_parser = free_text, allow_hyphen_values = true)]
    words: String,
}

pub(crate) fn run(what: &What) -> u8 {
    desk::run(async {
        match what {
            What::Start(start) => plan::start(start).await,
            What::Keep(keep) => plan::keep(keep).await,
            What::Show { place, raise, json } => show(place, *raise, *json).await,
            What::Plan { place, raise, units } => plan::show(place, *raise, *units).await,
            What::Confirm { led, point, words, seen } => {
                confirm(led, *point, words.clone(), seen.map(Seq)).await
            }
            What::Measured { led, measured } => judge::measured(led, measured).await,
            What::Noise(said) => {
                act(said, |raise, words| Command::Upset { raise, sign: Sign::Noise, words }).await
            }
            What::Moved(said) => {
                act(said, |raise, words| Command::Upset { raise, sign: Sign::Moved, words }).await
            }
            What::LockNotHeard(said) => {
                act(said, |raise, words| Command::LockNotHeard { raise, words }).await
            }
            What::NotRight(said) => act(said, |raise, words| Command::NotRight { raise, words }).await,
            What::BringDown(said) => act(said, |raise, words| Command::BringDown { raise, words }).await,
            What::Abandon(said) => act(said, |raise, words| Command::AbandonRaise { raise, words }).await,
            What::TakeOver(led) => {
                let (desk, number) = led.open().await?;
                desk.act(&Command::TakeOver { raise: number }).await?;
                after(&desk, number, led.json).await
            }
            What::Lead(led) => lead::lead(led).await,
        }
    })
}

impl Led {
    async fn open(&self) -> Result<(Desk, RaiseNumber), Ended> {
        let desk = self.at.open_to_stop().await?;
        let shop = desk.book.shop().await?;
        let number = which(&shop, self.raise, Some(desk.by.person()))?;
        Ok((desk, number))
    }
}

/// The raise that is meant.
fn which(shop: &Shop, said: Option<u64>, leader: Option<&PersonId>) -> Result<RaiseNumber, Ended> {
    if let Some(number) = said {
        return Ok(RaiseNumber(number));
    }
    let all: Vec<RaiseNumber> = shop.raises.keys().copied().collect();
    let led = |r: &&Raise| Some(&r.leader) == leader;
    let own = |n: &&RaiseNumber| shop.raises.get(n).as_ref().is_some_and(led);
    let own: Vec<RaiseNumber> = all.iter().filter(own).copied().collect();
    match (all.as_slice(), own.as_slice()) {
        ([one], _) | (_, [one]) => Ok(*one),
        ([], _) => Err(Ended::refused("No raise is under way.")),
        (several, _) => {
            let numbers: Vec<String> = several.iter().map(ToString::to_string).collect();
            Err(Ended::bad(
                &format!("raises {} are under way, and none is named", numbers.join(", ")),
                "name one with --raise",
            ))
        }
    }
}

/// A raise that has not ended.
fn open_raise(shop: &Shop, number: RaiseNumber) -> Result<&Raise, Ended> {
    let none = || Ended::Book(Failure::Refused(vec![Refusal::NoSuchRaise(number)]));
    shop.raises.get(&number).ok_or_else(none)
}

async fn act(said: &Said, command: impl FnOnce(RaiseNumber, String) -> Command) -> Done {
    let (desk, number) = said.led.open().await?;
    desk.act(&command(number, said.words.clone())).await?;
    after(&desk, number, said.led.json).await
}

async fn confirm(led: &Led, point: HoldPoint, words: Option<String>, seen: Option<Seq>) -> Done {
    let (desk, number) = led.open().await?;
    let units = told::units(&*desk.book.shop().await?);
    let seen = match seen {
        Some(seen) => seen,
        None => unseen::seen(&desk, number, led.json, units).await?,
    };
    confirm_at(&desk, number, point, words, (Some(seen), units)).await?;
    after(&desk, number, led.json).await
}

/// Checks what is to be checked before it, then confirms; `seen` = the raise's last event as it was shown.
pub(crate) async fn confirm_at(
    desk: &Desk,
    number: RaiseNumber,
    point: HoldPoint,
    words: Option<String>,
    (seen, units): (Option<Seq>, Units),
) -> Result<(), Ended> {
    let shop = desk.book.shop().await?;
    let raise = open_raise(&shop, number)?;
    // By the check a pad may have to be rechecked first.
    let may_be_next = raise.progress.next() == Some(point) || matches!(point, HoldPoint::PadRechecked(_));
    let asked = may_be_next && raise.progress.asks_for_judgement();
    // What is checked is how it stands now.
    let seen = seen.or(asked.then_some(raise.seen()));
    let judged = if asked {
        let as_placed = as_it_stands(&desk.book, number, raise).await?;
        Some(judge(&desk.book, (number, raise), point, &as_placed, units).await?)
    } else {
        None
    };
    if let Some(judged) = &judged {
        write::err(&judged.told);
    }
    let passes = judged.as_ref().is_none_or(|j| j.judgement.passes());
    let loads = judged.as_ref().and_then(Judged::loads).filter(|_| passes && point == HoldPoint::StandsSet);
    if let Some(why) = loads.and_then(|loads| scale::refusal(words.as_deref(), loads, units)) {
        // Nobody is sent to a stand who does not lead, or while the raise is held up.
        let others = before_the_load(&shop, number, raise, desk.by.person());
        return Err(if others.is_empty() {
            Ended::refused(&why)
        } else {
            Ended::Book(Failure::Refused(others))
        });
    }
    let reasons = judged.as_ref().map(|j| j.reasons.clone()).unwrap_or_default();
    let judgement = judged.map(|j| j.judgement);
    match desk.act(&Command::Confirm { raise: number, point, judgement, words, seen }).await {
        Err(Failure::Refused(all)) if !passes => Err(judge::refused(&all, &reasons)),
        Ok(_) => {
            // What was so already is in the book, though it should not be so.
            let told = reasons.iter().map(|reason| format!("CAUTION: {}\n", told::plain(reason)));
            write::err(&told.collect::<String>());
            Ok(())
        }
        Err(other) => Err(other.into()),
    }
}

/// Why stands are not set, whatever load was read.
fn before_the_load(shop: &Shop, number: RaiseNumber, raise: &Raise, by: &PersonId) -> Vec<Refusal> {
    let led = (raise.leader != *by).then(|| Refusal::LedByAnother(number, raise.leader.clone()));
    let unfit = stopped_by(shop, raise, Timestamp::now());
    let unfit = (!unfit.is_empty()).then(|| Refusal::LiftUnfit(raise.plan.lift.clone(), unfit));
    led.into_iter().chain(unfit).chain(raise.in_the_way(shop)).chain(raise.other_files(shop)).collect()
}

/// Where it stands, with the figures and conditions of the plan that are set and met next.
pub(crate) async fn now(
    book: &Book,
    shop: &Shop,
    number: RaiseNumber,
    raise: &Raise,
    units: Units,
) -> Result<wire::Raise, Ended> {
    told_now(book, shop, number, &Now::of(book, number, raise, units).await?, units).await
}

async fn told_now(
    book: &Book,
    shop: &Shop,
    number: RaiseNumber,
    checked: &Now,
    units: Units,
) -> Result<wire::Raise, Ended> {
    let raise = &checked.raise;
    let mut now = state(shop, Timestamp::now(), number, raise, units, Some(&checked.fails));
    now.look_for.splice(..0, wrote_since(book, number, raise, units).await?);
    let Some(next) = raise.progress.next().filter(|_| now.held_up.is_empty()) else { return Ok(now) };
    now.look_for.extend(lead::figures(book, number, checked, next, units).await?);
    Ok(now)
}

/// Tells where it stands now.
async fn after(desk: &Desk, number: RaiseNumber, json: bool) -> Done {
    let shop = desk.book.shop().await?;
    let units = if json { Units::Metric } else { told::units(&shop) };
    let raise = match shop.raises.get(&number) {
        Some(raise) => Some(now(&desk.book, &shop, number, raise, units).await?),
        None => None,
    };
    match raise {
        Some(raise) if json => Ok(write::json(&raise, FINE)),
        Some(raise) => Ok(write::out(&told::raise::shown(&shop, &raise), FINE)),
        None if json => {
            let ended = BTreeMap::from([("raise", number.0)]);
            Ok(write::json(&ended, FINE))
        }
        None => Ok(write::out(&format!("Raise {number} has ended.\n"), FINE)),
    }
}

async fn show(place: &Place, number: Option<u64>, json: bool) -> Done {
    let book = place.open().await?;
    let shop = book.shop().await?;
    let Some(number) = number.map(RaiseNumber) else {
        let units = if json { Units::Metric } else { told::units(&shop) };
        let mut all = vec![];
        for (n, r) in &shop.raises {
            all.push(now(&book, &shop, *n, r, units).await?);
        }
        if json {
            return Ok(write::json(&all, FINE));
        }
        let texts: Vec<String> = all.iter().map(|raise| told::raise::shown(&shop, raise)).collect();
        let text = if texts.is_empty() { "No raise is under way.\n".into() } else { texts.join("\n") };
        return Ok(write::out(&text, FINE));
    };
    let events = book.events_about(&Subject::Raise(number)).await?;
    if events.is_empty() {
        return Ok(write::out(&format!("There is no raise {number} in the book.\n"), REFUSED));
    }
    match (shop.raises.get(&number), json) {
        (Some(raise), true) => Ok(write::json(&now(&book, &shop, number, raise, Units::Metric).await?, FINE)),
        (None, true) => Ok(write::json(&BTreeMap::from([("raise", number.0)]), FINE)),
        (raise, false) => {
            let beside = told::Beside::of(&book, &shop, &events).await?;
            let units = told::units(&shop);
            let history = told::lines(&events, &beside, units);
            let now = match raise {
                Some(raise) => told::raise::shown(&shop, &now(&book, &shop, number, raise, units).await?),
                None => format!("Raise {number} has ended.\n"),
            };
            Ok(write::out(&format!("{history}\n{now}"), FINE))
        }
    }
}
