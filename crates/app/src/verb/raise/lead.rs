//! Leading a raise at the terminal: one question a hold point.

use std::io::BufRead;

use records::{Command, Sign};

use super::{Led, confirm_at, open_raise};
use crate::cli::FINE;
use crate::desk::{self, Done, Ended};
use crate::told::raise::{state, text};
use crate::write;

const ANSWERS: &str =
    "done | noise WORDS | moved WORDS | lock WORDS (not heard) | wrong WORDS | down WORDS | leave";

/// Shows each point and does what is typed, until the raise ends or the person leaves.
pub(super) async fn lead(led: &Led) -> Done {
    let (desk, number) = led.open().await?;
    let mut typed = std::io::stdin().lock();
    loop {
        let shop = desk.book.shop().await?;
        let Some(raise) = shop.raises.get(&number) else {
            return Ok(write::out(&format!("Raise {number} has ended.\n"), FINE));
        };
        write::out(&format!("\n{}\n{ANSWERS}\n> ", text(&state(number, raise))), FINE);
        let mut line = String::new();
        let read = typed.read_line(&mut line).map_err(|fault| {
            Ended::bad(&format!("nothing can be typed: {fault}"), "standfast raise confirm does each point")
        })?;
        let (word, words) = line.trim().split_once(' ').unwrap_or((line.trim(), ""));
        let words = words.trim().to_owned();
        let command = match word {
            _ if read == 0 => return Ok(FINE),
            "leave" => return Ok(FINE),
            "done" => {
                let Some(point) = open_raise(&shop, number)?.progress.next() else { continue };
                let words = Some(words).filter(|w| !w.is_empty());
                tell(confirm_at(&desk, number, point, words).await)?;
                continue;
            }
            "noise" => Command::Upset { raise: number, sign: Sign::Noise, words },
            "moved" => Command::Upset { raise: number, sign: Sign::Moved, words },
            "lock" => Command::LockNotHeard { raise: number, words },
            "wrong" => Command::NotRight { raise: number, words },
            "down" => Command::BringDown { raise: number, words },
            other => {
                write::err(&format!("“{other}” is none of: {ANSWERS}\n"));
                continue;
            }
        };
        tell(desk.act(&command).await.map(drop).map_err(Ended::from))?;
    }
}

/// What is refused is told, and the raise goes on; what fails ends the leading, not the raise.
fn tell(done: Result<(), Ended>) -> Result<(), Ended> {
    match done {
        Err(ended) if ended.is_refusal() => {
            desk::tell(&ended);
            Ok(())
        }
        other => other,
    }
}
