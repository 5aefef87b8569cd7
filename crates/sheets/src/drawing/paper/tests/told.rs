//! What a sheet tells of what is not known, of looser limits, and of what was worked out before.

use planner::limits::Name;
use planner::plan::{Assumption, Kind, Unit};
use planner::quick::{Guess, Taped, Unknown};
use planner::vehicle::Vehicle;
use statics::Length;

use super::super::super::Text;
use super::{BOTH, MARK, Made, Paper, Printed, bare, bay, fixtures, goes_up, points, said, texts};
use crate::drawing::paper::Edition;
use crate::drawing::paper::working::book::Book;
use crate::{OtherBay, Scene, Units, words, working};

fn with_vehicle(made: &Made, change: impl FnOnce(&mut Vehicle)) -> Made {
    let mut vehicle = made.vehicle.clone();
    change(&mut vehicle);
    let (lift, job, limits, plan) =
        (made.lift.clone(), made.job.clone(), made.limits.clone(), made.plan.clone());
    Made { lift, vehicle, job, limits, plan, origin: made.origin }
}

/// The undersides were guessed: no height is printed that could be set, and what is to be done instead is said whole.
#[test]
fn a_guessed_height_is_no_setting() {
    let first = fixtures::all().iter().find(|made| goes_up(made)).unwrap();
    let range = planner::priors::Range { least: Length::metres(0.13), greatest: Length::metres(0.26) };
    let guess = Guess { what: Taped::Undersides, used: range.least, range, source: "guessed here" };
    let mut made = with_vehicle(first, |vehicle| {
        vehicle.unmeasured.unknown = vec![Unknown::Undersides, Unknown::KeepOuts, Unknown::Doors];
        vehicle.unmeasured.guesses = vec![guess];
        vehicle.unmeasured.lift_points = Length::metres(0.01);
    });
    let open = made.vehicle.unmeasured.unknown.iter();
    made.plan.conditions.extend(open.map(|what| planner::plan::Remark::NotMeasured(*what)));
    for (units, paper) in BOTH {
        let sheet = bay(&made, units, paper, &points(14));
        super::is_whole("guessed undersides", &sheet);
        let large: Vec<&str> =
            texts(&sheet.pages[0]).into_iter().filter(|t| t.size > 5.9).map(|t| t.says.as_str()).collect();
        assert_eq!(large.iter().filter(|says| **says == "to touch").count(), 4, "{large:?}");
        assert_eq!(large.iter().filter(|says| **says == "as needed").count(), 4, "{large:?}");
        let all = bare(&said(&sheet));
        let [from, to] = [(0.13, crate::units::Round::Down), (0.26, crate::units::Round::Up)]
            .map(|(at, round)| units.length_to(Length::metres(at), round));
        for told in [
            "battery case",
            "Find the maker's mark at each (a pad's middle may be planned up to",
            "look along every arm and around every pad",
            &format!("undersides (taken from {from} to {to}). Screw all four pads up to touch"),
            "stop at the test raise unless level within 1\u{b0}",
            "drive out again if a person cannot get out",
        ] {
            assert!(all.contains(&bare(told)), "{told}: {all}");
        }
        let report = crate::report(&made.scene(), units);
        assert!(report.contains("to touch") && report.contains("as needed"), "{report}");
    }
}

/// A plan is the same sheet wherever it is printed, whatever other lifts lie beside.
#[test]
fn other_bays_are_not_on_the_sheet() {
    let made = fixtures::all().iter().find(|made| !goes_up(made)).unwrap();
    let others = [OtherBay { lift: "Another bay".into(), verdict: planner::plan::Verdict::Raise }];
    let printed = Printed { paper: Paper::A4, mark: MARK, points: &[] };
    let beside = Scene { other_bays: Some(&others), ..made.scene() };
    let alone = crate::bay_sheet(&made.scene(), Units::Metric, &printed);
    assert!(crate::bay_sheet(&beside, Units::Metric, &printed) == alone);
    assert!(crate::report(&beside, Units::Metric).contains("Another bay"), "the screen tells them");
}

/// A limit that was made looser is no guess: it stands by itself, and in the verdict's box.
#[test]
fn a_looser_limit_is_told_by_itself() {
    for made in fixtures::all() {
        let mut plan = made.plan.clone();
        let name = Name::PairShareSmall;
        plan.assumptions.push(Assumption {
            what: name.row().title.to_owned(),
            value: 1.0,
            least: 1.0,
            greatest: 1.0,
            unit: Unit::Ratio,
            source: "decided here".into(),
            kind: Kind::LooserLimit(name),
        });
        let scene = Scene { plan: &plan, ..made.scene() };
        let printed = Printed { paper: Paper::A4, mark: MARK, points: &points(14) };
        let sheet = crate::bay_sheet(&scene, Units::Metric, &printed);
        let all = bare(&said(&sheet));
        let heading = all.find(&bare("By own limits, looser than the default: may pass")).unwrap();
        let figures = all.find("OWNLIMITS,for").unwrap();
        let guessed = all.find(&bare("Guessed, not measured")).unwrap_or(all.len());
        assert!(heading < figures && figures < guessed, "{all}");
        assert_eq!(goes_up(made), all.contains("BYLOOSEROWNLIMITS"), "{all}");
        let report = bare(&crate::report(&scene, Units::Metric));
        assert_eq!(goes_up(made), report.contains("BYLOOSEROWNLIMITS"), "{report}");
        let first = report.find("OWNLIMITS,for").unwrap();
        assert!(first < report.find("Frontwheel").unwrap(), "{report}");
        let working = bare(&said(&crate::working_sheets(&scene, Units::Metric, &printed, Edition::Worked)));
        assert!(working.contains("OWNLIMITS,for"), "{working}");
        assert_eq!(goes_up(made), working.contains("bylooserownlimits"), "{working}");
    }
}

/// An exact value has no range, however it is rounded.
#[test]
fn an_exact_figure_has_no_range() {
    let exact = Assumption {
        what: "axle pulled free".into(),
        value: 200.0,
        least: 200.0,
        greatest: 200.0,
        unit: Unit::Push,
        source: "assumed here".into(),
        kind: Kind::Value,
    };
    for units in [Units::Metric, Units::Us] {
        let told = [words::short_assumption(&exact, units), words::assumption(&exact, units)].concat();
        assert!(!told.contains(" to ") && !told.contains("from"), "{told}");
        let between = Assumption { least: 100.0, ..exact.clone() };
        assert!(words::short_assumption(&between, units).contains(" to "));
    }
}

/// A label stands on the line of what it is of.
#[test]
fn labels_and_settings_stand_on_one_line() {
    for made in fixtures::all().iter().filter(|made| goes_up(made)) {
        let sheet = bay(made, Units::Metric, Paper::A4, &points(14));
        let all = texts(&sheet.pages[0]);
        let at = |says: &str| -> Vec<&Text> { all.iter().copied().filter(|t| t.says == says).collect() };
        for label in ["Reach", "Swing", "Height", "Adapters", "Load"] {
            for text in at(label) {
                let beside =
                    all.iter().filter(|t| (t.at[1] - text.at[1]).abs() < 1e-9 && t.at[0] > text.at[0]);
                assert!(beside.count() > 0, "{label} of {}", made.vehicle.name);
            }
        }
    }
}

/// Whoever computes on from a printed result computes on from that, to its last digit.
#[test]
fn later_checks_go_on_with_what_was_printed() {
    let mut others = 0;
    for made in fixtures::all() {
        for units in [Units::Metric, Units::Us] {
            let scene = made.scene();
            let mut book = Book::new(&scene, units, Edition::Worked);
            book.weights();
            for check in &made.plan.checks {
                let exact = working::worked(&scene, check, units).unwrap();
                let after = working::worked_after(&scene, check, units, book.earlier()).unwrap();
                for ((name, figure), (_, before)) in after.inputs.iter().zip(&exact.inputs) {
                    let of_state = name.ends_with("the vehicle by") || name.ends_with("in height by");
                    if of_state && !before.starts_with("0 ") {
                        assert!(book.gives(figure), "{}: {name} {figure}", made.vehicle.name);
                        others += usize::from(figure != before);
                    }
                }
            }
        }
    }
    assert!(others > 0, "in some of them the last digit is another");
}

/// A class is asked for what it is not told beside the blank.
#[test]
fn no_answer_stands_beside_its_blank() {
    for made in fixtures::all() {
        for (units, paper) in BOTH {
            let printed = Printed { paper, mark: MARK, points: &[] };
            let sheets = crate::working_sheets(&made.scene(), units, &printed, Edition::Blanks);
            let is_answers = |page: &&super::Page| texts(page)[0].says.starts_with("Answers");
            let asked = sheets.pages.iter().take_while(|page| !is_answers(page));
            let asked: String = asked.flat_map(texts).map(|t| format!("{} ", t.says)).collect();
            let asked = bare(&asked);
            for tyre in asked.split("Thetyrelies").skip(1) {
                assert!(tyre.starts_with('('), "{}", &tyre[..40]);
            }
            for by in asked.split("alongthevehicleby").skip(1) {
                assert!(by.starts_with('('), "{}", &by[..20]);
            }
        }
    }
}
