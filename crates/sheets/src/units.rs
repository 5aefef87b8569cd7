//! Figures in the reader's units. Metric: mm, kg, degrees. US: inches in eighths, lb, degrees.
//!
//! One system a reader, never two on a line. Loads are shown as the mass that weighs as much,
//! because that is what plates say. A figure that is a bound is rounded to its safe side ([`Round`]): a room, an assured
//! distance or what is withstood down, a load, a need or a tolerance up.

use planner::checks::{RESERVE_MOST, told};
use planner::plan::{Sense, Unit};
use statics::{Angle, Force, Length, Mass};

/// The system that the reader chose.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Units {
    /// Millimetres and kilograms.
    Metric,
    /// Inches and pounds.
    Us,
}

/// To which side a figure is rounded.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Round {
    /// What was measured, set or estimated.
    Nearest,
    /// What there is at least, or may be at most.
    Down,
    /// What there may come to at most, or must be at least.
    Up,
}

impl Round {
    /// The sides of a demand and of its limit: to the nearest where they are the same.
    pub(crate) fn of_pair([demand, limit]: [f64; 2], sense: Sense) -> [Self; 2] {
        match sense {
            _ if same(demand, limit) => [Self::Nearest; 2],
            Sense::AtLeast => [Self::Down, Self::Up],
            Sense::AtMost => [Self::Up, Self::Down],
        }
    }
    /// To whole steps; what is whole but for the last bits stays.
    fn steps(self, value: f64) -> f64 {
        const LAST_BITS: f64 = 1e-6;
        match self {
            Self::Nearest => value.round(),
            Self::Down => (value + LAST_BITS).floor(),
            Self::Up => (value - LAST_BITS).ceil(),
        }
    }
    /// To so many decimals.
    pub(crate) fn decimals(self, value: f64, places: usize) -> String {
        if self == Self::Nearest {
            return decimals(value, places);
        }
        let scale = (0..places).fold(1.0, |scale, _| scale * 10.0);
        decimals(self.steps(value * scale) / scale, places)
    }
}

/// Whether a figure is its limit, but for the last bits.
fn same(demand: f64, limit: f64) -> bool {
    (demand - limit).abs() <= 1e-9 * limit.abs().max(1e-3)
}

impl Units {
    /// A length as a tape shows it: whole millimetres, or inches to the nearest eighth.
    #[must_use]
    pub fn length(self, length: Length) -> String {
        self.length_to(length, Round::Nearest)
    }

    /// The same, rounded to one side.
    #[must_use]
    pub fn length_to(self, length: Length, round: Round) -> String {
        match self {
            Self::Metric => format!("{} mm", round.decimals(length.to_millimetres(), 0)),
            Self::Us => format!("{} in", eighths(round.steps(length.to_inches() * 8.0))),
        }
    }

    /// A length with decimals: tenths of a millimetre, or hundredths of an inch.
    #[must_use]
    pub fn fine_length(self, length: Length) -> String {
        match self {
            Self::Metric => format!("{} mm", decimals(length.to_millimetres(), 1)),
            Self::Us => format!("{} in", decimals(length.to_inches(), 2)),
        }
    }

    /// A mass, whole kilograms or pounds.
    #[must_use]
    pub fn mass(self, mass: Mass) -> String {
        self.mass_to(mass, Round::Nearest)
    }

    /// The same, rounded to one side.
    #[must_use]
    pub fn mass_to(self, mass: Mass, round: Round) -> String {
        match self {
            Self::Metric => format!("{} kg", round.decimals(mass.to_kilograms(), 0)),
            Self::Us => format!("{} lb", round.decimals(mass.to_pounds(), 0)),
        }
    }

    /// What may be carried at most: rounded down.
    #[must_use]
    pub fn rating(self, rated: Mass) -> String {
        self.mass_to(rated, Round::Down)
    }

    /// A rated load that will do, as plates give it: rounded up to 50 kg or 100 lb.
    #[must_use]
    pub fn plate(self, rated: Mass) -> String {
        let step = match self {
            Self::Metric => Mass::kilograms(50.0),
            Self::Us => Mass::pounds(100.0),
        };
        self.mass(step * Round::Up.steps(rated / step))
    }

    /// A load, as the mass that weighs as much.
    #[must_use]
    pub fn load(self, load: Force) -> String {
        self.mass(load.as_mass())
    }

    /// The same, rounded to one side.
    #[must_use]
    pub fn load_to(self, load: Force, round: Round) -> String {
        self.mass_to(load.as_mass(), round)
    }

    /// From the least to the greatest load that there may be, rounded outwards, the unit said once.
    #[must_use]
    pub fn load_range(self, [least, greatest]: [Force; 2]) -> String {
        let first = self.load_to(least, Round::Down);
        let number = first.split(' ').next().unwrap_or_default();
        format!("{number} to {}", self.load_to(greatest, Round::Up))
    }

    /// A range of loads that must be kept: rounded inwards.
    #[must_use]
    pub fn load_kept(self, [least, greatest]: [Force; 2]) -> [String; 2] {
        [self.load_to(least, Round::Up), self.load_to(greatest, Round::Down)]
    }

    /// A push or pull, in newtons or pounds-force.
    #[must_use]
    pub fn push(self, force: Force) -> String {
        self.push_to(force, Round::Nearest)
    }

    /// The same, rounded to one side.
    #[must_use]
    pub fn push_to(self, force: Force, round: Round) -> String {
        match self {
            Self::Metric => format!("{} N", round.decimals(force.to_newtons(), 0)),
            Self::Us => format!("{} lbf", round.decimals(force.to_pounds_force(), 0)),
        }
    }

    /// An angle in degrees, to a tenth.
    #[must_use]
    pub fn angle(self, angle: Angle) -> String {
        format!("{}°", decimals(angle.to_degrees(), 1))
    }

    /// The same, whole degrees.
    #[must_use]
    pub fn whole_angle(self, angle: Angle) -> String {
        format!("{}°", whole(angle.to_degrees()))
    }

    /// How far something turns at least: whole degrees, rounded down.
    #[must_use]
    pub fn whole_angle_at_least(self, angle: Angle) -> String {
        format!("{}°", Round::Down.decimals(angle.to_degrees(), 0))
    }

    /// An acceleration in g that is withstood: hundredths, rounded down.
    #[must_use]
    pub fn tip(self, ratio: f64) -> String {
        self.figure_to(ratio, Unit::Gravity, 0, Round::Down)
    }

    /// An SI figure of some unit.
    #[must_use]
    pub fn figure(self, value: f64, unit: Unit) -> String {
        self.figure_to(value, unit, 0, Round::Nearest)
    }

    /// A value of a limit: a push is read in newtons or pounds-force.
    #[must_use]
    pub fn limit(self, value: f64, unit: Unit) -> String {
        self.limit_to(value, unit, Round::Nearest)
    }

    /// From the least to the greatest that something may be, rounded outwards, each as a limit's value.
    #[must_use]
    pub fn between(self, [least, greatest]: [f64; 2], unit: Unit) -> [String; 2] {
        [self.limit_to(least, unit, Round::Down), self.limit_to(greatest, unit, Round::Up)]
    }

    fn limit_to(self, value: f64, unit: Unit, round: Round) -> String {
        match unit {
            Unit::Newton => self.push_to(Force::newtons(value), round),
            unit => self.figure_to(value, unit, 0, round),
        }
    }

    /// A demand beside its limit, each rounded so that the demand never looks better than it is, as finely as it takes
    /// to read them as they are: apart where they differ, met where it is met, the limit itself within a twentieth.
    #[must_use]
    pub fn pair(self, figures: [f64; 2], unit: Unit, sense: Sense) -> [String; 2] {
        let [demand, limit, _] = self.pair_and_gap(figures, unit, sense);
        [demand, limit]
    }

    /// The same with what lies between the two as they are printed, so that a sentence with all three adds up.
    #[must_use]
    pub fn pair_and_gap(self, [demand, limit]: [f64; 2], unit: Unit, sense: Sense) -> [String; 3] {
        const FINEST: usize = 4;
        const OF_LIMIT: f64 = 0.05;
        let gap = demand - limit;
        let same = same(demand, limit);
        let meets = same || (gap > 0.0) == (sense == Sense::AtLeast);
        let sides = Round::of_pair([demand, limit], sense);
        let at = |more| {
            let scale = self.scale(unit, more);
            let [d, l] = [scale.steps(demand, sides[0]), scale.steps(limit, sides[1])];
            let reads = (d - l).total_cmp(&0.0);
            let met = reads.is_eq() || reads.is_gt() == (sense == Sense::AtLeast);
            let near = (scale.value(l) - limit).abs() <= OF_LIMIT * limit.abs() || unit != Unit::Metre;
            (
                near && (same || reads.is_ne() && met == meets),
                [d, l, (d - l).abs()].map(|steps| scale.text(steps)),
            )
        };
        (0..FINEST).map(at).find(|(reads_true, _)| *reads_true).unwrap_or_else(|| at(FINEST)).1
    }

    /// The same with a decimal more, for working something out.
    #[must_use]
    pub fn fine_figure(self, value: f64, unit: Unit) -> String {
        self.figure_to(value, unit, 1, Round::Nearest)
    }

    /// The same, rounded to one side.
    pub(crate) fn fine_figure_to(self, value: f64, unit: Unit, round: Round) -> String {
        self.figure_to(value, unit, 1, round)
    }

    /// The same with two decimals more again.
    #[must_use]
    pub fn finest_figure(self, value: f64, unit: Unit) -> String {
        self.figure_to(value, unit, 3, Round::Nearest)
    }

    fn figure_to(self, value: f64, unit: Unit, more: usize, round: Round) -> String {
        let scale = self.scale(unit, more);
        match (scale.step, round) {
            (Step::Decimals(places), Round::Nearest) => {
                format!("{}{}", decimals(value * scale.per, places), scale.name)
            }
            _ => scale.text(scale.steps(value, round)),
        }
    }

    /// How a unit is printed, with so many decimals more than usual.
    fn scale(self, unit: Unit, more: usize) -> Scale {
        let (per, least, name) = match (unit, self) {
            (Unit::Metre, Self::Metric) => (1000.0, 0, " mm"),
            (Unit::Metre, Self::Us) => (1.0 / statics::quantity::INCH, 1, " in"),
            (Unit::Radian, _) => (1.0_f64.to_degrees(), 1, "°"),
            (Unit::Newton, Self::Metric) => (Force::newtons(1.0).as_mass().to_kilograms(), 0, " kg"),
            (Unit::Newton, Self::Us) => (Force::newtons(1.0).as_mass().to_pounds(), 0, " lb"),
            (Unit::Kilogram, Self::Metric) => (1.0, 0, " kg"),
            (Unit::Kilogram, Self::Us) => (Mass::kilograms(1.0).to_pounds(), 0, " lb"),
            (Unit::Ratio, _) => (100.0, 0, " %"),
            (Unit::Push, Self::Metric) => (1.0, 0, " N"),
            (Unit::Push, Self::Us) => (Force::newtons(1.0).to_pounds_force(), 0, " lbf"),
            (Unit::Gravity, _) => (1.0, 2, " g"),
            (Unit::NewtonPerMetre, Self::Metric) => (1.0 / 1000.0, 0, " N/mm"),
            (Unit::NewtonPerMetre, Self::Us) => {
                (statics::quantity::INCH / statics::quantity::POUND_FORCE, 0, " lbf/in")
            }
        };
        let step = match (unit, self, more) {
            (Unit::Metre, Self::Us, 0) => Step::Eighths,
            _ => Step::Decimals(least + more),
        };
        Scale { per, step, name }
    }
}

/// How a figure is printed.
#[derive(Clone, Copy, Debug)]
struct Scale {
    /// Printed units in one of SI.
    per: f64,
    step: Step,
    name: &'static str,
}

/// What it is printed in whole ones of.
#[derive(Clone, Copy, Debug)]
enum Step {
    Eighths,
    Decimals(usize),
}

impl Scale {
    /// Steps in one printed unit.
    fn fineness(&self) -> f64 {
        match self.step {
            Step::Eighths => 8.0,
            Step::Decimals(places) => (0..places).fold(1.0, |scale, _| scale * 10.0),
        }
    }
    fn steps(&self, value: f64, round: Round) -> f64 {
        round.steps(value * self.per * self.fineness())
    }
    fn value(&self, steps: f64) -> f64 {
        steps / self.fineness() / self.per
    }
    fn text(&self, steps: f64) -> String {
        match self.step {
            Step::Eighths => format!("{}{}", eighths(steps), self.name),
            Step::Decimals(places) => format!("{}{}", decimals(steps / self.fineness(), places), self.name),
        }
    }
}

/// How far inside its limit a check is, never rounded up.
#[must_use]
pub fn reserve(reserve: f64) -> String {
    if reserve >= RESERVE_MOST {
        return "900 % or more".into();
    }
    let told = told(reserve);
    let size = told.abs();
    let percent = format!("{} %", decimals(size, usize::from(size < 10.0)));
    match told {
        f64::NEG_INFINITY => "fails by over 100 %".into(),
        t if t < 0.0 => format!("fails by {percent}"),
        _ => percent,
    }
}

/// The same within a sentence: "reserve 12 %", "fails by 3 %".
#[must_use]
pub fn reserve_in_words(left: f64) -> String {
    let told = reserve(left);
    if left < 0.0 { told } else { format!("reserve {told}") }
}

/// Of the least of several: "least reserve 12 %", "fails by 3 %".
#[must_use]
pub fn least_reserve(left: f64) -> String {
    let told = reserve_in_words(left);
    if left < 0.0 { told } else { format!("least {told}") }
}

/// What a sense asks for, before the figure of the limit.
#[must_use]
pub fn sense(sense: Sense) -> &'static str {
    match sense {
        Sense::AtLeast => "at least",
        Sense::AtMost => "at most",
    }
}

/// Before the worst of several figures.
#[must_use]
pub(crate) const fn farthest(sense: Sense) -> &'static str {
    match sense {
        Sense::AtLeast => "down to ",
        Sense::AtMost => "up to ",
    }
}

fn whole(value: f64) -> String {
    decimals(value, 0)
}

/// What meeting a limit is, after its figure.
#[must_use]
pub fn demanded(sense: Sense, binding: bool) -> &'static str {
    match (sense, binding) {
        (_, false) => "is advised",
        (Sense::AtLeast, true) => "is required",
        (Sense::AtMost, true) => "is allowed",
    }
}

/// The words of a text, a figure and its unit kept as one.
pub(crate) fn words_of(text: &str) -> Vec<String> {
    const UNITS: [&str; 8] = ["mm", "kg", "in", "lb", "lbf", "N", "%", "g"];
    let bare = |word: &str| word.trim_end_matches([',', '.', ';', ')', ':']).to_owned();
    let is_number = |word: &str| word.ends_with(|c: char| c.is_ascii_digit());
    let mut words: Vec<String> = Vec::new();
    for word in text.split_whitespace() {
        match words.last_mut() {
            Some(last)
                if last.ends_with('\u{b1}')
                    || is_number(last) && (UNITS.contains(&bare(word).as_str()) || word.contains('/')) =>
            {
                last.push(' ');
                last.push_str(word);
            }
            _ => words.push(word.to_owned()),
        }
    }
    words
}

/// Decimals without "-0" and without a tail of zeros.
pub(crate) fn decimals(value: f64, places: usize) -> String {
    let text = format!("{value:.places$}");
    let text = if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.') } else { &text };
    let text = if text == "-0" { "0" } else { text };
    text.replace('-', "\u{2212}")
}

/// Inches of so many whole eighths.
fn eighths(of: f64) -> String {
    let sign = if of < 0.0 { "\u{2212}" } else { "" };
    let total = of.abs();
    let (full, part) = ((total / 8.0).floor(), total % 8.0);
    let fraction = match part {
        1.0 => "1/8",
        2.0 => "1/4",
        3.0 => "3/8",
        4.0 => "1/2",
        5.0 => "5/8",
        6.0 => "3/4",
        7.0 => "7/8",
        _ => return format!("{sign}{full:.0}"),
    };
    if full > 0.0 { format!("{sign}{full:.0} {fraction}") } else { format!("{sign}{fraction}") }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn inches_come_in_eighths() {
        for (inches, text) in [
            (0.0, "0 in"),
            (0.06, "0 in"),
            (0.07, "1/8 in"),
            (41.13, "41 1/8 in"),
            (41.97, "42 in"),
            (-0.02, "0 in"),
            (-3.5, "\u{2212}3 1/2 in"),
        ] {
            assert_eq!(Units::Us.length(Length::inches(inches)), text);
        }
    }

    #[test]
    fn a_reserve_is_never_rounded_up() {
        for (value, text) in [
            (0.359, "35 %"),
            (0.0999, "9.9 %"),
            (-0.001, "fails by 0.1 %"),
            (-14.4, "fails by over 100 %"),
            (0.0, "0 %"),
            (12.0, "900 % or more"),
        ] {
            assert_eq!(reserve(value), text);
        }
    }

    /// What to measure next rests on it: a gain that is told shows.
    #[test]
    fn reserves_read_alike_only_where_they_are_told_alike() {
        let values: Vec<f64> = (-2000..=10_000).map(|k| f64::from(k) * 0.000_983).collect();
        for pair in values.windows(2) {
            let [low, high] = [pair[0], pair[1]];
            assert!(told(low) <= told(high));
            assert_eq!(told(low) < told(high), reserve(low) != reserve(high), "{low} {high}");
        }
    }

    #[test]
    fn a_figure_keeps_its_unit() {
        assert_eq!(
            words_of("load of 794 kg, \u{b1} 3 1/8 in more"),
            ["load", "of", "794 kg,", "\u{b1} 3 1/8 in", "more"]
        );
    }

    #[test]
    fn figures_that_differ_read_differently() {
        let pair = |units: Units, pair, unit, sense| units.pair(pair, unit, sense);
        for (units, figures, unit, sense, told) in [
            (Units::Metric, [0.1002, 0.1], Unit::Metre, Sense::AtLeast, ["100.2 mm", "100 mm"]),
            (Units::Metric, [0.0998, 0.1], Unit::Metre, Sense::AtLeast, ["99 mm", "100 mm"]),
            (Units::Us, [0.1002, 0.1], Unit::Metre, Sense::AtMost, ["4 in", "3 7/8 in"]),
            (Units::Us, [0.012, 0.01], Unit::Metre, Sense::AtLeast, ["0.47 in", "0.4 in"]),
            (Units::Us, [0.01, 0.01], Unit::Metre, Sense::AtLeast, ["3/8 in", "3/8 in"]),
            (Units::Us, [0.0089, 0.01], Unit::Metre, Sense::AtLeast, ["0.35 in", "0.4 in"]),
            (Units::Metric, [0.62, 0.6], Unit::Ratio, Sense::AtMost, ["62 %", "60 %"]),
            (Units::Metric, [0.5961, 0.6], Unit::Ratio, Sense::AtMost, ["59.7 %", "60 %"]),
            (Units::Metric, [0.1, 0.1], Unit::Metre, Sense::AtMost, ["100 mm", "100 mm"]),
        ] {
            assert_eq!(pair(units, figures, unit, sense), told);
        }
    }

    /// Whatever the figures: what is met reads as met, what is not as not, and the three add up.
    #[test]
    fn a_printed_pair_tells_the_same_as_the_figures() {
        let number = |text: &str| -> f64 {
            let number = text.trim_start_matches('\u{2212}');
            let sign = if number == text { 1.0 } else { -1.0 };
            let parts = number.split(' ').filter(|part| part.starts_with(|c: char| c.is_ascii_digit()));
            let read = |part: &str| match part.split_once('/') {
                Some((over, under)) => over.parse::<f64>().unwrap() / under.parse::<f64>().unwrap(),
                None => part.parse::<f64>().unwrap(),
            };
            sign * parts.map(read).sum::<f64>()
        };
        for limit in [0.005, 0.01, 0.02, 0.05, 0.1, 0.15, 0.4] {
            for demand in (-40..400).map(|k| limit * f64::from(k) * 0.01) {
                for (units, sense) in [
                    (Units::Us, Sense::AtLeast),
                    (Units::Us, Sense::AtMost),
                    (Units::Metric, Sense::AtLeast),
                    (Units::Metric, Sense::AtMost),
                ] {
                    let texts = units.pair_and_gap([demand, limit], Unit::Metre, sense);
                    let [d, l, gap] = [0, 1, 2].map(|k| number(&texts[k]));
                    let meets = |d: f64, l: f64| match sense {
                        Sense::AtLeast => d >= l - 1e-9,
                        Sense::AtMost => d <= l + 1e-9,
                    };
                    assert_eq!(meets(d, l), meets(demand, limit), "{demand} {limit}: {texts:?}");
                    assert!(((d - l).abs() - gap).abs() < 1e-9, "{texts:?}");
                }
            }
        }
    }

    #[test]
    fn a_bound_is_rounded_to_its_safe_side() {
        let (edge, load) = (Length::metres(0.1996), Mass::kilograms(404.4));
        assert_eq!(Units::Metric.length_to(edge, Round::Down), "199 mm");
        assert_eq!(Units::Us.length_to(edge, Round::Down), "7 3/4 in");
        assert_eq!(Units::Metric.length_to(edge, Round::Up), "200 mm");
        assert_eq!(Units::Us.length_to(edge, Round::Up), "7 7/8 in");
        assert_eq!(Units::Us.length_to(-edge, Round::Down), "\u{2212}7 7/8 in");
        assert_eq!(Units::Metric.mass_to(load, Round::Up), "405 kg");
        assert_eq!(Units::Us.mass_to(load, Round::Up), "892 lb");
        assert_eq!(Units::Us.rating(Mass::kilograms(800.0)), "1763 lb");
        assert_eq!(Units::Metric.push_to(Force::newtons(149.9), Round::Down), "149 N");
        assert_eq!(Units::Metric.tip(1.139), "1.13 g");
        assert_eq!(Units::Us.load_range([load, load].map(Mass::weight)), "891 to 892 lb");
    }

    #[test]
    fn what_is_whole_stays_whichever_way_it_is_rounded() {
        for whole in (0..4000).map(f64::from) {
            for round in [Round::Nearest, Round::Down, Round::Up] {
                assert_eq!(Units::Us.rating(Mass::pounds(whole)), format!("{whole} lb"));
                assert_eq!(Units::Metric.length_to(Length::millimetres(whole), round), format!("{whole} mm"));
                let eighths = Length::inches(whole / 8.0);
                assert_eq!(Units::Us.length_to(eighths, round), Units::Us.length(eighths));
            }
        }
    }
}
