//! Leading a raise at the terminal: one question a hold point.

mod screen;

#[cfg(test)]
pub(crate) use screen::figures as figures_at;

use std::io::{BufRead, IsTerminal};

use jiff::Timestamp;
use records::{Book, Command, Failure, HoldPoint, PinFailure, Raise, RaiseNumber, Seq};
use sheets::{Scene, Units};

use super::judge::{Found, Now, measured_at};
use super::not_right::{NotRight, SaidAt};
use super::plan::{Planned, texts};
use super::{Led, as_measured, confirm_at, wrote_since};
use crate::cli::{FINE, REFUSED};
use crate::desk::{self, Desk, Done, Ended};
use crate::told::raise::{stands_left_alone, state, text};
use crate::told::{self, plain};
use crate::write;

const ANSWERS: &str = "POINT [WORDS] | measured SPOT, OFFSET, YAW | noise WORDS | moved WORDS | lock WORDS (not heard) | wrong WORDS | down WORDS | take-over | leave";

/// What was typed.
#[derive(Debug, PartialEq, Eq)]
#[expect(clippy::large_enum_variant, reason = "one is read at a time and acted on at once")]
enum Answer {
    Confirm(HoldPoint, Option<String>),
    Measured([String; 3]),
    Do(Command),
    Leave,
    /// To be shown everything again.
    Show,
    /// Nothing that can be done, and why.
    Nothing(String),
}

/// Reads an answer. "done" says which point only where it was read on the screen: from a file or a pipe it might be meant
/// for another, so each answer names its point there.
fn answer(line: &str, raise: RaiseNumber, next: HoldPoint, at_terminal: bool) -> Answer {
    let (word, words) = line.trim().split_once(char::is_whitespace).unwrap_or((line.trim(), ""));
    let words = words.trim().to_owned();
    let said = Some(words.clone()).filter(|words| !words.is_empty());
    let not_right = |what: NotRight| Answer::Do(what.command(raise, &words, SaidAt::Terminal));
    let small = word.to_lowercase();
    match small.as_str() {
        "leave" => Answer::Leave,
        "" | "?" | "help" if at_terminal => Answer::Show,
        // Whoever writes more names the point: beside a mere "done" it may be what is wrong.
        "done" if at_terminal && said.is_some() => Answer::Nothing(format!(
            "“done” takes no words: write what is not right after “wrong”, or what is to be kept after the point’s name, {next}"
        )),
        "done" if at_terminal => Answer::Confirm(next, None),
        "done" => Answer::Nothing(format!("“done” names no point; next is {next}")),
        "measured" => {
            match words.split(',').map(|part| part.trim().to_owned()).collect::<Vec<_>>().try_into() {
                Ok(measured) => Answer::Measured(measured),
                Err(_) => Answer::Nothing("write it as: measured 1.11 m, 15 mm, 0.4 deg".to_owned()),
            }
        }
        "wrong" => not_right(NotRight::Other),
        "noise" | "moved" | "lock" | "down" => NotRight::named(&small).map_or(Answer::Show, not_right),
        "take-over" => Answer::Do(Command::TakeOver { raise }),
        other => match other.parse() {
            Ok(point) => Answer::Confirm(point, said),
            Err(_) if at_terminal => {
                Answer::Nothing(format!("“{word}” is no answer here; ? shows what may be answered"))
            }
            Err(_) => Answer::Nothing(format!("“{word}” is none of: {ANSWERS}")),
        },
    }
}

/// Shows each point and does what is typed, until the raise ends or the person leaves. Exit 1 if anything was refused. A
/// script ends with what was refused or could not be read: what it says next was meant for another course.
pub(super) async fn lead(led: &Led) -> Done {
    let (desk, number) = led.open().await?;
    let at_terminal = std::io::stdin().is_terminal();
    let mut typed = std::io::stdin().lock();
    let mut code = FINE;
    let mut shown: Option<(Raise, [Vec<String>; 2])> = None;
    loop {
        let shop = desk.book.shop().await?;
        let ended = || Ok(write::out(&format!("Raise {number} has ended.\n"), code));
        let Some(raise) = shop.raises.get(&number) else { return ended() };
        let seen = Some(raise.seen());
        let units = told::units(&shop);
        let checked = Now::of(&desk.book, number, raise, units).await?;
        let raise = &checked.raise;
        let Some(next) = raise.progress.next() else { return ended() };
        if at_terminal {
            let mut state = state(&shop, Timestamp::now(), number, raise, units, Some(&checked.fails));
            state.look_for.splice(..0, wrote_since(&desk.book, number, raise, units).await?);
            let now = (raise.clone(), [state.held_up.clone(), state.look_for.clone()]);
            // What was read already is not shown again: what was refused would be out of sight above it.
            let screen = if shown.as_ref() == Some(&now) {
                screen::brief(raise, next, units)
            } else {
                let figures = figures(&desk.book, number, &checked, next, units).await?;
                format!("\n{}", screen::whole(state, raise, desk.by.person(), &figures))
            };
            write::out(&screen::wrapped(&screen, screen::width()), FINE);
            shown = Some(now);
            forget_typed_ahead();
        } else {
            let now = super::told_now(&desk.book, &shop, number, &checked, units).await?;
            write::out(&format!("\n{}\n{ANSWERS}\n", text(&now)), FINE);
        }
        write::out("> ", FINE);
        let mut line = String::new();
        let read = typed.read_line(&mut line).map_err(|fault| {
            Ended::bad(&format!("nothing can be typed: {fault}"), "standfast raise confirm does each point")
        })?;
        let done = match answer(&line, number, next, at_terminal) {
            _ if read == 0 => return Ok(code),
            Answer::Leave => return Ok(code),
            Answer::Show => {
                shown = None;
                Ok(())
            }
            // Who sees the screen types it again; in a script the answer is missing.
            Answer::Nothing(why) if at_terminal => {
                desk::tell(&Ended::refused(&plain(&why)));
                Ok(())
            }
            Answer::Nothing(why) => Err(Ended::refused(&plain(&why))),
            Answer::Confirm(point, words) => confirm_at(&desk, number, point, words, (seen, units)).await,
            Answer::Measured(found) => measured(&desk, number, found, seen).await,
            Answer::Do(command) => desk.act(&command).await.map(drop).map_err(Ended::from),
        };
        code = told(done, code)?;
        if code != FINE && !at_terminal {
            return Ok(code);
        }
    }
}

/// The plan's figures that are set at a point, its conditions there and how the load of its stands changes; of a vehicle that
/// stands elsewhere, as it was measured. Stands are set as they were checked.
pub(super) async fn figures(
    book: &Book,
    number: RaiseNumber,
    checked: &Now,
    point: HoldPoint,
    units: Units,
) -> Result<Vec<String>, Ended> {
    let has_some = matches!(
        point,
        HoldPoint::Spotted
            | HoldPoint::PadsSeated
            | HoldPoint::TestRaised
            | HoldPoint::StandsSet
            | HoldPoint::StepDone(_)
            | HoldPoint::AreaClear
    );
    let progress = &checked.raise.progress;
    if !has_some && !progress.stands_set {
        return Ok(vec![]);
    }
    let told = |scene: &Scene<'_>| {
        let stands = stands_left_alone(scene, progress, units);
        screen::figures(scene, point, units).into_iter().chain(stands).collect()
    };
    if let Some(scene) = checked.scene() {
        return Ok(told(&scene));
    }
    if point == HoldPoint::StandsSet {
        return Ok(vec![]);
    }
    let mut texts = texts(book, &checked.raise.plan).await?;
    let measured = as_measured(book, number).await?;
    texts.extend(measured.map(|text| ("as-placed".to_owned(), text)));
    // What an older program planned may be read no more: the raise goes on without.
    let planned = Planned::of(&texts, &mut String::new());
    Ok(planned.map(|planned| told(&planned.scene())).unwrap_or_default())
}

/// What was typed before a point was shown was typed for none.
fn forget_typed_ahead() {
    #[cfg(unix)]
    let _ = rustix::termios::tcflush(std::io::stdin(), rustix::termios::QueueSelector::IFlush);
}

async fn measured(
    desk: &Desk,
    number: RaiseNumber,
    found: [String; 3],
    seen: Option<Seq>,
) -> Result<(), Ended> {
    let units = told::units(&*desk.book.shop().await?);
    let judged = measured_at(desk, number, Found::Offsets(found), seen, units).await?;
    if let Some(planned) = &judged.planned {
        write::out(&sheets::report(&planned.scene(), units), FINE);
    }
    Ok(())
}

/// What is refused or cannot be read is told, and the raise goes on; what is wrong with the book ends the leading, not the
/// raise.
fn told(done: Result<(), Ended>, code: u8) -> Result<u8, Ended> {
    match done {
        Ok(()) => Ok(code),
        // Nothing more is taken from whoever has another PIN by now.
        Err(ended @ Ended::Book(Failure::Pin(PinFailure::SetSince(_)))) => Err(ended),
        Err(ended) if ended.is_refusal() || matches!(ended, Ended::Said(..)) => {
            desk::tell(&ended);
            Ok(REFUSED)
        }
        Err(ended) => Err(ended),
    }
}

#[cfg(test)]
mod tests {
    use records::Sign;

    use super::*;

    const NO_WORDS: &str = SaidAt::Terminal.no_words();

    #[test]
    fn every_answer_is_read() {
        let raise = RaiseNumber(3);
        let read = |line| answer(line, raise, HoldPoint::Shaken, true);
        let words = || "knock, rear".to_owned();
        assert_eq!(read("done\n"), Answer::Confirm(HoldPoint::Shaken, None));
        assert_eq!(read("shaken twice \n"), Answer::Confirm(HoldPoint::Shaken, Some("twice".into())));
        assert!(matches!(read("done spotted but not square"), Answer::Nothing(_)));
        // Another point is the book's to refuse.
        assert_eq!(read("raised"), Answer::Confirm(HoldPoint::Raised, None));
        assert_eq!(read("take-over"), Answer::Do(Command::TakeOver { raise }));
        assert_eq!(read("lock knock, rear"), Answer::Do(Command::LockNotHeard { raise, words: words() }));
        assert_eq!(read("down knock, rear"), Answer::Do(Command::BringDown { raise, words: words() }));
        assert_eq!(read("wrong knock, rear"), Answer::Do(Command::NotRight { raise, words: words() }));
        for (bare, sign) in [("noise", Sign::Noise), ("NOISE", Sign::Noise), ("moved\n", Sign::Moved)] {
            let words = NO_WORDS.to_owned();
            assert_eq!(read(bare), Answer::Do(Command::Upset { raise, sign, words }));
        }
        let none = || NO_WORDS.to_owned();
        assert_eq!(read("lock"), Answer::Do(Command::LockNotHeard { raise, words: none() }));
        assert_eq!(read("down"), Answer::Do(Command::BringDown { raise, words: none() }));
        let measured = ["1.11 m", "-15 mm", "0.4 deg"].map(str::to_owned);
        assert_eq!(read("measured 1.11 m, -15 mm, 0.4 deg"), Answer::Measured(measured));
        for show in ["", "?", "help\n"] {
            assert_eq!(read(show), Answer::Show);
        }
        assert!(matches!(answer("", raise, HoldPoint::Shaken, false), Answer::Nothing(_)));
        for nothing in ["yes", "measured 1.11 m"] {
            assert!(matches!(read(nothing), Answer::Nothing(_)), "{nothing}");
        }
        assert!(matches!(answer("done", raise, HoldPoint::Shaken, false), Answer::Nothing(_)));
    }
}
