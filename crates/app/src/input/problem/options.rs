//! Problems of options of the command line: named by the option, not by a line of a file that nobody wrote.

use std::fmt::Write as _;

use super::{Problem, Source};
use crate::input::source::Given;

/// The problem, the option as it was given, and the cure.
pub(super) fn report(word: &str, problem: &Problem, source: &Source) -> String {
    let said = |text: &str| options_for_keys(text);
    let Some(given) = source.option(problem.span.start) else {
        return format!(
            "{word}: {}: {}\n  help: {}\n",
            source.name,
            said(&problem.message),
            said(&problem.help)
        );
    };
    let mut out = format!("{word}: {}\n", named(given, &said(&problem.message)));
    let values = given.values.iter().map(|v| format!("{v:?}")).collect::<Vec<_>>().join(" ");
    let _ = writeln!(out, "  {} {values}", given.option);
    let _ = writeln!(out, "  help: {}", said(&problem.help));
    out
}

/// The message, beginning with the option: in place of the key that it stands for, or before everything.
fn named(given: &Given, message: &str) -> String {
    let key = given.option.trim_start_matches('-').replace('-', "_");
    match message.strip_prefix(key.as_str()).filter(|rest| rest.starts_with([' ', ':'])) {
        Some(rest) => format!("{}{rest}", given.option),
        None if message.starts_with(given.option) => message.to_owned(),
        None => format!("{}: {message}", given.option),
    }
}

/// A key in backquotes is an option in backquotes.
fn options_for_keys(text: &str) -> String {
    let parts = text.split('`').enumerate().map(|(k, part)| {
        let is_key = !part.is_empty() && part.chars().all(|c| c.is_ascii_lowercase() || c == '_');
        if k % 2 == 1 && is_key { format!("--{}", part.replace('_', "-")) } else { part.to_owned() }
    });
    parts.collect::<Vec<_>>().join("`")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_option_comes_first_and_once() {
        let given = Given { span: 0..9, option: "--front-axle", values: vec!["-3 kg".into()] };
        for (message, said) in [
            ("front_axle is \"-3 kg\", and must be more", "--front-axle is \"-3 kg\", and must be more"),
            ("front_axle: \"x\" has no number", "--front-axle: \"x\" has no number"),
            ("the readings contradict each other", "--front-axle: the readings contradict each other"),
            ("--front-axle has 2 figures", "--front-axle has 2 figures"),
        ] {
            assert_eq!(named(&given, message), said);
        }
        assert_eq!(options_for_keys("needs `wheel_radius` and `a b`"), "needs `--wheel-radius` and `a b`");
    }
}
