//! The load of stands as somebody read it, held against what the plan gives.

use planner::plan::StandsAnswer;
use sheets::Units;
use statics::Mass;

use super::plan::Planned;
use crate::input::quantity::parse;

/// Why words with which stands are confirmed contradict the plan: a load in them that is less or more than it gives.
pub(super) fn against_the_plan(planned: &Planned, words: &str, units: Units) -> Option<String> {
    let Some(StandsAnswer::Serve(stands)) = &planned.plan.stands else { return None };
    let is_set_right = |load: &Mass| (stands.least..=stands.most).contains(&load.weight());
    let wrong = loads(words).into_iter().find(|load| !is_set_right(load))?;
    let [least, most] = units.load_kept([stands.least, stands.most]);
    Some(format!(
        "{} was read, and the plan gives {least} to {most} for each stand: no less, no more. Set it anew, and read it again; \
         where that cannot be, bring it down.",
        units.load(wrong.weight())
    ))
}

/// Every mass with its unit that stands in words.
fn loads(words: &str) -> Vec<Mass> {
    let sign = |c: char| c.is_alphanumeric() || matches!(c, '.' | ' ');
    let plain: String = words.chars().map(|c| if sign(c) { c } else { ' ' }).collect();
    let signs: Vec<&str> = plain.split_whitespace().map(|word| word.trim_end_matches('.')).collect();
    let two = signs.windows(2).map(|two| two.join(" "));
    let all = signs.iter().map(ToString::to_string).chain(two);
    all.filter_map(|text| parse::<Mass>(&text).ok()).map(|written| written.value).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn loads_are_found_in_words() {
        let kilograms = |words: &str| -> Vec<f64> {
            loads(words).iter().map(|load| (load.to_kilograms() * 10.0).round() / 10.0).collect()
        };
        assert_eq!(kilograms("253 kg"), [253.0]);
        assert_eq!(kilograms("left: 253.5kg, right 251 kg."), [253.5, 251.0]);
        assert_eq!(kilograms("560 lb each"), [254.0]);
        assert_eq!(kilograms("as the plan says, 2 stands"), [0.0; 0]);
    }
}
