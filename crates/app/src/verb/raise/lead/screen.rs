//! What somebody who leads a raise at a terminal is shown: where it stands, the plan's figures where they are set, what may
//! be answered now.

use std::fmt::Write as _;

use records::{HoldPoint, PersonId, Raise};
use sheets::words::{
    adapters_on, arm_name, capital, pad_height, spot, stance, stands_placed, stands_ticked, swing,
};
use sheets::{Scene, Units};

use crate::told::raise::{conditions_at, gone_to, sentence, text, typed};
use crate::verb::raise::not_right::NotRight;
use crate::wire::board as wire;

/// Narrowest and widest lines that are easy to read; own convention.
const COLUMNS: [usize; 2] = [40, 100];

/// All of it: the point, its figures, what comes after, what may be answered.
pub(super) fn whole(mut state: wire::Raise, raise: &Raise, by: &PersonId, figures: &[String]) -> String {
    // What to type where it is otherwise stands among the answers here.
    let other =
        raise.progress.next().and_then(|next| typed(next, &raise.progress.outline, gone_to(&raise.progress)));
    state.look_for.retain(|look| Some(look.as_str()) != other);
    let told = text(&state);
    let mut out = told.split("\nThen  ").next().unwrap_or_default().to_owned();
    for figure in figures.iter().filter(|_| !state.waits) {
        let _ = writeln!(out, "      {figure}");
    }
    if let Some(then) = told.split_once("\nThen  ") {
        let _ = write!(out, "\nThen  {}", then.1);
    }
    out + "\n" + &answers(raise, by, &state)
}

/// Only what is asked for, after what is known already.
pub(super) fn brief(raise: &Raise, next: HoldPoint, units: Units) -> String {
    format!("NEXT  {next}: {} (? shows all of it)\n", sentence(next, &raise.progress.outline, units))
}

/// What may be answered now, a line each.
fn answers(raise: &Raise, by: &PersonId, state: &wire::Raise) -> String {
    let progress = &raise.progress;
    let leads = raise.leader == *by;
    let confirms = leads && !state.waits;
    let changed = progress.asks_what_was_changed();
    let stands = progress.next() == Some(HoldPoint::StandsSet);
    let measured = matches!(progress.next(), Some(HoldPoint::Spotted | HoldPoint::PadsSeated));
    let with_words = progress.next().map(|next| format!("{next} WORDS")).unwrap_or_default();
    let with_words = with_words.as_str();
    let before = [
        (confirms && !changed && !stands, "done", "it is so"),
        (confirms && !changed && !stands, with_words, "it is so, with words that are to be kept"),
        (
            confirms && stands,
            with_words,
            "it is so: say the load that was read of each stand, as “253 kg” or “2480 N”",
        ),
        (confirms && changed, with_words, "it was set right: say what was changed, it is written down"),
        (
            leads && state.may_be_done_already,
            with_words,
            "the part is off or on already: say so, it is written down",
        ),
        (
            confirms && measured,
            "measured 1.11 m, 15 mm, 0.4 deg",
            "it stands so: spot, to the left, turned to the left; the plan is checked there",
        ),
    ];
    let after = [
        (!leads, "take-over", "lead it from here on"),
        (true, "leave", "end here; the raise stays where it is, `standfast raise lead` goes on"),
    ];
    let lines = |all: &[(bool, &str, &str)]| {
        let may = all.iter().filter(|(may, ..)| *may);
        may.map(|(_, word, says)| line(word, says)).collect::<String>()
    };
    let not_right = NotRight::offered(progress).map(|(what, then)| {
        let word = if what == NotRight::Other { "wrong" } else { what.name() };
        line(&format!("{word} WORDS"), &format!("{}: {then}", what.title(progress.is_up())))
    });
    lines(&before) + &not_right.collect::<String>() + &lines(&after)
}

fn line(word: &str, says: &str) -> String {
    format!("  {word:<12}  {says}\n")
}

/// The plan's figures at the points where something is set by them, and the conditions that are met there.
pub(crate) fn figures(scene: &Scene<'_>, point: HoldPoint, units: Units) -> Vec<String> {
    [set_at(scene, point, units), conditions_at(scene, point, units)].concat()
}

fn set_at(scene: &Scene<'_>, point: HoldPoint, units: Units) -> Vec<String> {
    match point {
        HoldPoint::Spotted => vec![
            format!("Front wheel: {}.", spot(scene, units)),
            format!("{}.", capital(&stance(scene, units))),
        ],
        HoldPoint::PadsSeated => {
            let mut pads: Vec<_> = scene.plan.pads.iter().collect();
            pads.sort_by_key(|pad| pad.arm);
            let arm = |pad: &planner::plan::PadSetting| {
                format!(
                    "{:<13} reach {}, swing {}, pad height {}, adapters {}",
                    capital(&arm_name(pad)) + ":",
                    units.length(pad.reach),
                    swing(pad, units),
                    pad_height(scene, pad, units),
                    adapters_on(scene, pad, units),
                )
            };
            pads.into_iter().map(arm).collect()
        }
        HoldPoint::StandsSet => {
            vec![stands_placed(scene, units), format!("{}.", stands_ticked(scene, units))]
        }
        _ => vec![],
    }
}

/// How wide the terminal is now, within what is easy to read.
pub(super) fn width() -> usize {
    let [least, most] = COLUMNS;
    #[cfg(unix)]
    let told = rustix::termios::tcgetwinsize(std::io::stdout()).map(|size| usize::from(size.ws_col)).ok();
    #[cfg(not(unix))]
    let told = None;
    told.filter(|columns| *columns > 0).unwrap_or(80).clamp(least, most)
}

/// No word is cut by the terminal's edge: what does not fit goes on below, as far in as its text began.
pub(super) fn wrapped(text: &str, width: usize) -> String {
    text.lines().map(|line| one_wrapped(line, width)).collect()
}

fn one_wrapped(line: &str, width: usize) -> String {
    let (indent, words) = line.split_at(line.len() - line.trim_start().len());
    // A label and what it says stand two blanks apart.
    let label = words.find("  ").map_or(0, |at| words[at..].len() - words[at..].trim_start().len() + at);
    let hang = (indent.len() + label).min(width / 2);
    let (mut out, mut now) = (String::new(), format!("{indent}{}", &words[..label]));
    for (k, word) in words[label..].split_whitespace().enumerate() {
        if k > 0 && now.chars().count() + 1 + word.chars().count() > width {
            out += &format!("{}\n", now.trim_end());
            now = " ".repeat(hang) + word;
        } else {
            now += if k > 0 { " " } else { "" };
            now += word;
        }
    }
    format!("{out}{}\n", now.trim_end())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lines_are_wrapped_beside_their_labels() {
        let text = "\nNEXT  raised\n      It is raised past lock 12; every lock was heard.\n  done          it is so, and more\n";
        let narrow = "\nNEXT  raised\n      It is raised past lock 12;\n      every lock was heard.\n  done          it is so, and\n                more\n";
        assert_eq!(wrapped(text, 32), narrow);
        assert_eq!(wrapped(text, 100), text);
        // A word that fits nowhere is not lost.
        assert_eq!(wrapped("      aaaaaaaaaaaaaaaaaaaa bb\n", 12), "      aaaaaaaaaaaaaaaaaaaa\n      bb\n");
    }
}
