//! What is still missing before a vehicle can be raised: each with the way to enter it, and who may.

use ::records::{
    Act, Command, Fitness, Hand, LiftId, May, PersonId, RaiseNumber, Refusal, ReportField, Role, Shop, Why,
    decide, fitness, may,
};
use jiff::Timestamp;
use maud::{Markup, html};
use url::form_urlencoded::Serializer;

use super::caller::Caller;
use super::sign_in;
use crate::told;

/// One thing that is missing.
pub(crate) struct Line {
    says: String,
    way: Option<Way>,
}

/// Where it is entered.
struct Way {
    says: &'static str,
    to: String,
    act: Act,
}

impl Way {
    fn form(says: &'static str, act: Act, name: &str, pairs: &[(&str, &str)]) -> Self {
        let to = format!("/enter/{name}?");
        let from = to.len();
        Self { says, act, to: Serializer::for_suffix(to, from).extend_pairs(pairs).finish() }
    }
}

/// Whether no raise was begun yet: until then the first steps lead on.
pub(crate) fn is_before_the_first_raise(shop: &Shop) -> bool {
    shop.counts.raises == 0
}

/// What each person lacks to sign in, and to lead a raise, by the rules of the book.
pub(crate) fn of_people(shop: &Shop, at: Timestamp) -> Vec<Line> {
    let here = shop.people.iter().filter(|(_, person)| !person.left);
    let mut lines: Vec<Line> = here.flat_map(|(id, _)| of_person(shop, id, at)).collect();
    let has = |role: Role| shop.people.values().any(|person| !person.left && person.role == role);
    if !has(Role::Examiner)
        && !shop.lifts.values().all(|lift| lift.examinations.values().any(|e| e.report.fit))
    {
        lines.push(Line {
            says: "Nobody in the book examines lifts".into(),
            way: Some(Way::form("Enter the examiner", Act::ManagePeople, "person", &[("role", "examiner")])),
        });
    }
    lines
}

fn of_person(shop: &Shop, id: &PersonId, at: Timestamp) -> Vec<Line> {
    let Some(person) = shop.people.get(id) else { return vec![] };
    let name = &person.name;
    let mut lines = vec![];
    if person.pin.is_none() {
        let to = format!("/person/{id}#pin");
        let way = Way { says: "Set it", to, act: Act::ManagePeople };
        lines.push(Line { says: format!("{name} has no PIN"), way: Some(way) });
    }
    // Asked of the book's own rules, by somebody who would lead a raise that is not there.
    let lead = Command::TakeOver { raise: RaiseNumber(0) };
    let refused = decide(shop, at, &Hand::alone(id.clone()), &lead, None).err().unwrap_or_default();
    let today = shop.zone.day(at).to_string();
    let on = [("person", id.as_str()), ("on", today.as_str())];
    for refusal in refused {
        let (says, way) = match refusal {
            Refusal::NotInstructed(_)
            | Refusal::InstructionLapsed(..)
            | Refusal::InstructedBeforeClock(_) => {
                let pairs = [on[0], on[1], ("subject", "two-post lifts")];
                let says = format!("{name} is not instructed on lifts, or not lately");
                (says, Some(Way::form("Record the instruction", Act::Instruct, "instruction", &pairs)))
            }
            Refusal::NotAuthorised(_) => {
                let says = format!("{name} is not authorised in writing");
                (says, Some(Way::form("Authorise", Act::ManagePeople, "authorisation", &on)))
            }
            Refusal::AgeUnknown(_) => (
                format!("{name}'s 18th birthday is not in the book"),
                Some(Way::form("Give the day", Act::ManagePeople, "age", &on[..1])),
            ),
            Refusal::TooYoung(_, day) => (format!("{name} is 18 on {day}"), None),
            _ => continue,
        };
        lines.push(Line { says, way });
    }
    lines
}

/// Why a lift may not be used now, each with what mends it.
pub(crate) fn of_lift(shop: &Shop, lift: &LiftId, caller: &Caller, at: Timestamp) -> Vec<Line> {
    let why = match fitness(shop, lift, at) {
        Fitness::Fit => vec![],
        Fitness::Unfit(why) => why,
    };
    let line = |why: &Why| Line {
        says: sheets::words::capital(&why.to_string()),
        way: mended(why, shop, lift, caller, at),
    };
    why.iter().map(line).collect()
}

/// The same, and what is to be taken off it first.
pub(crate) fn lacks(shop: &Shop, lift: &LiftId, caller: &Caller, at: Timestamp) -> Vec<Line> {
    of_lift(shop, lift, caller, at).into_iter().chain(left_on(shop, lift)).collect()
}

/// What is on a lift without a raise, in the words of the board, with what ends that.
pub(crate) fn left_on(shop: &Shop, lift: &LiftId) -> Vec<Line> {
    let left = shop.lifts.get(lift).and_then(|lift| told::board::left_there(shop, lift));
    let line = |left: String| Line { says: format!("On it: {left}"), way: Some(returned(lift)) };
    left.map(line).into_iter().collect()
}

/// The check before use of today, if that is missing: it is asked for every morning.
pub(crate) fn check_of_today(shop: &Shop, lift: &LiftId, caller: &Caller, at: Timestamp) -> Option<Markup> {
    let Fitness::Unfit(why) = fitness(shop, lift, at) else { return None };
    let unchecked = |why: &Why| matches!(why, Why::NotChecked(_) | Why::NotCheckedSinceReturned(_));
    let Way { says, to, act } = why.iter().any(unchecked).then(|| check(lift))?;
    let lacks = caller.person().map(|person| of_person(shop, person, at)).unwrap_or_default();
    let button = |to: &str, says: &str| html! { p { a.button href=(to) { (says) } } };
    Some(match caller.role(shop).map(|role| may(role, act)) {
        None => html! {
            (button(&sign_in::address(&to), "Sign in to check it"))
            p.note { "By whoever is instructed on lifts, and authorised in writing." }
        },
        Some(May::No) => html! { p.note { (says) ": " (who_may(act)) "." } },
        Some(May::Yes) if !lacks.is_empty() => html! {
            p.note { "It is checked by whoever is instructed on lifts, and authorised in writing." @for line in &lacks { " " (line.says) "." } }
        },
        Some(_) => button(&to, says),
    })
}

fn check(lift: &LiftId) -> Way {
    Way::form("Check it now", Act::CheckBeforeUse, "check", &[("lift", lift.as_str())])
}

fn returned(lift: &LiftId) -> Way {
    Way::form("Return it to service", Act::ReturnToService, "return", &[("lift", lift.as_str())])
}

fn mended(why: &Why, shop: &Shop, lift: &LiftId, caller: &Caller, at: Timestamp) -> Option<Way> {
    Some(match why {
        Why::Unknown | Why::FirstUseUnknown(_) => return None,
        Why::NeverExamined(kind) | Why::Overdue(kind, _) | Why::Lapsed(kind) => {
            examination(&stored(kind), shop, lift, caller, at)
        }
        Why::FoundUnfit(_) | Why::AlteredSince(_) => examination("regular", shop, lift, caller, at),
        Why::NotConfirmed(number) => Way {
            says: "Look at the report, and confirm it",
            to: format!("/lift/{lift}#examination-{number}"),
            act: Act::ConfirmExamination,
        },
        Why::Defect(number, _) => {
            let repaired = shop.lifts.get(lift)?.defects.get(number)?.repaired.is_some();
            let number = number.to_string();
            match repaired {
                true => returned(lift),
                false => {
                    Way::form("Report its repair", Act::Repair, "repair", &[("defect", number.as_str())])
                }
            }
        }
        Why::Tagged(_) => returned(lift),
        Why::NotChecked(_) | Why::NotCheckedSinceReturned(_) => check(lift),
    })
}

fn stored<T: serde::Serialize>(value: T) -> String {
    serde_json::to_value(value).ok().and_then(|v| v.as_str().map(str::to_owned)).unwrap_or_default()
}

/// With what the book knows of the lift; what the examiner found is theirs to write.
fn examination(kind: &str, shop: &Shop, lift: &LiftId, caller: &Caller, at: Timestamp) -> Way {
    let today = shop.zone.day(at).to_string();
    let mut pairs: Vec<(String, String)> = vec![
        ("lift".into(), lift.to_string()),
        ("on".into(), today),
        ("kind".into(), kind.into()),
        (stored(ReportField::Owner), shop.name.clone()),
    ];
    if let Some(lift) = shop.lifts.get(lift) {
        let sheet = &lift.sheet;
        let last = lift.examinations.values().map(|e| e.report.on).max();
        pairs.extend([
            (stored(ReportField::Location), sheet.bay.clone()),
            (stored(ReportField::Identity), format!("{} {}, {}", sheet.maker, sheet.model, sheet.serial)),
            (stored(ReportField::WorkingLoad), sheet.capacity.clone()),
            (
                stored(ReportField::LastExamination),
                last.map_or("none is in the book".into(), |day| day.to_string()),
            ),
        ]);
    }
    let examiner = caller.person().and_then(|id| shop.people.get(id)).filter(|p| p.role == Role::Examiner);
    pairs.extend(examiner.map(|person| (stored(ReportField::Examiner), person.name.clone())));
    let pairs: Vec<(&str, &str)> = pairs.iter().map(|(k, v)| (k.as_str(), v.as_str())).collect();
    Way::form("Report the examination", Act::Examine, "examination", &pairs)
}

/// Each with the way to it, for who may; else who may is said.
pub(crate) fn told(lines: &[Line], shop: &Shop, caller: &Caller) -> Markup {
    let role = caller.role(shop);
    html! {
        ul {
            @for Line { says, way } in lines {
                li { (says) ". "
                    @if let Some(Way { says, to, act }) = way {
                        @if role.is_some_and(|role| may(role, *act) != May::No) { a.button.small href=(to) { (says) } }
                        @else { span.note { (says) ": " (who_may(*act)) "." } }
                    }
                }
            }
        }
    }
}

/// Of the role table, in words.
fn who_may(act: Act) -> String {
    let able: Vec<String> =
        Role::ALL.iter().filter(|role| may(**role, act) == May::Yes).map(ToString::to_string).collect();
    format!("by {}", able.join(" or "))
}
