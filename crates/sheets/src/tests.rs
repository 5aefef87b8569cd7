//! Tests over every made scene, and snapshots of what a person reads.

use std::collections::BTreeSet;

use planner::plan::{Check, Why};

use crate::{Units, figures, fixtures, report, svg, units, words, worked, working, workings};

const BOTH: [Units; 2] = [Units::Metric, Units::Us];

#[test]
fn what_a_person_reads() {
    let pass = fixtures::placed(fixtures::one(0, 0));
    let refused = fixtures::placed(fixtures::one(0, 1));
    insta::assert_snapshot!("report_under_conditions", report(&pass.scene(), Units::Metric));
    insta::assert_snapshot!("report_refused", report(&refused.scene(), Units::Us));
    let some =
        ["edge-distance", "pad-rating", "reach-in:front-left", "arm-under-sill", "split-rule", "door:1"];
    let worked: Vec<String> =
        some.iter().filter_map(|id| working(&pass.scene(), id, Units::Metric)).collect();
    assert_eq!(worked.len(), some.len());
    insta::assert_snapshot!("workings", worked.join("\n"));
    let some = ["centre:aft", "load:rear-left", "lock", "upper-arm", "pad-lost", "rock-push", "test-raise"];
    let worked: Vec<String> =
        some.iter().filter_map(|name| working(&pass.scene(), name, Units::Metric)).collect();
    assert_eq!(worked.len(), some.len());
    insta::assert_snapshot!("figures", worked.join("\n"));
    insta::assert_snapshot!("names", workings(&pass.scene()));
}

/// What is listed can be asked for, with its state too, and nothing is listed twice.
#[test]
fn every_figure_is_worked_out_by_its_name() {
    for made in fixtures::all() {
        let scene = made.scene();
        let list = workings(&scene);
        assert!(list.lines().all(|l| l.chars().count() <= 100), "{list}");
        let mut met = BTreeSet::new();
        for figure in figures(&scene) {
            let name = figure.name(&scene);
            assert!(list.lines().any(|l| l.split_whitespace().next() == Some(&name)), "{name} is not listed");
            let own = figure.state(&scene).map_or_else(|| name.clone(), |k| format!("{name}@{}", k + 1));
            assert!(met.insert(own.clone()), "{own} twice");
            for units in BOTH {
                let text = working(&scene, &own, units).unwrap();
                for part in ["Figure", "Formula", "Result", "Source", &own] {
                    assert!(text.contains(part), "{own}: no {part} in\n{text}");
                }
                assert!(text.lines().all(|l| l.chars().count() <= 100), "{text}");
                assert!(!text.contains("no figure"), "{text}");
            }
        }
        assert_eq!(working(&scene, "mass@99", Units::Metric), None);
        assert_eq!(working(&scene, "mass@0", Units::Metric), None);
        assert_eq!(working(&scene, "mass@", Units::Metric), None);
    }
}

/// A check may be asked for in any of its states.
#[test]
fn a_check_is_worked_out_in_the_state_that_is_named() {
    let made = fixtures::all().iter().find(|m| m.plan.states.len() > 1).unwrap();
    for check in made.plan.checks.iter().filter(|c| c.what.id() == "tip-ratio") {
        let asked = format!("tip-ratio@{}", check.state.unwrap() + 1);
        let text = working(&made.scene(), &asked, Units::Metric).unwrap();
        assert!(text.contains(&made.plan.states[check.state.unwrap()].name), "{text}");
    }
}

#[test]
fn every_check_is_worked_out() {
    let mut kinds = BTreeSet::new();
    for made in fixtures::all() {
        for check in &made.plan.checks {
            let id = check.what.id();
            for units in BOTH {
                let text = working(&made.scene(), &id, units).unwrap();
                for part in ["Formula", "Result", "Limit", "Reserve", "Source", check.source] {
                    let flat = text.split_whitespace().collect::<Vec<_>>().join(" ");
                    assert!(flat.contains(part), "{id}: no {part} in\n{text}");
                }
            }
            kinds.insert(id.split(':').next().unwrap_or_default().to_owned());
        }
    }
    for kind in &kinds {
        assert!(fixtures::all().iter().any(|m| working(&m.scene(), kind, Units::Metric).is_some()));
    }
    let expected = "arm-to-arm arm-to-keep-out arm-to-tyre arm-under-sill bay-ahead bay-behind between-columns \
                    capacity ceiling door edge-distance level pad-carries pad-entry pad-in-area pad-rating \
                    pad-to-keep-out pair-rating plate-spot reach-in reach-out share-least share-most split-rule \
                    swing-from swing-to tip-ratio tooth working-force";
    assert_eq!(kinds.into_iter().collect::<Vec<_>>().join(" "), expected);
}

/// A reader who has worked a load out goes on with it: the reserve is of that figure, to the last digit.
#[test]
fn the_reserve_goes_on_from_the_last_step() {
    let mut met = 0;
    for made in fixtures::all() {
        for check in made.plan.checks.iter().filter(|c| c.what.id().starts_with("pad-rating:")) {
            for units in BOTH {
                let worked = worked(&made.scene(), check, units).unwrap();
                let last = worked.steps().next_back().unwrap().result.clone();
                let scene = made.scene();
                let same = |c: &&Check| c.what == check.what && c.reserve < check.reserve;
                if scene.plan.checks.iter().any(|c| same(&c)) {
                    continue;
                }
                let text = working(&scene, &check.what.id(), units).unwrap();
                let line = text.lines().find(|l| l.contains("Reserve")).unwrap();
                assert!(!line.contains(" / ") || line.contains(&format!("/ {last} ")), "{last}: {line}");
                met += usize::from(line.contains(&last));
            }
        }
    }
    assert!(met > 10, "{met}");
}

#[test]
fn a_kind_alone_means_its_worst() {
    let made = fixtures::one(0, 0);
    let text = working(&made.scene(), "pad-rating", Units::Metric).unwrap();
    let ratings = made.plan.checks.iter().filter(|c| c.what.id().starts_with("pad-rating:"));
    let worst = ratings.min_by(|a, b| a.reserve.total_cmp(&b.reserve)).unwrap();
    assert!(text.contains(&worst.what.id()), "{text}");
    assert!(text.contains(&units::reserve(worst.reserve)), "{text}");
    assert_eq!(working(&made.scene(), "pad", Units::Metric), None);
    assert_eq!(working(&made.scene(), "", Units::Metric), None);
}

/// The last step gives the result, to the place in which it is printed.
#[test]
fn the_steps_give_the_result() {
    let number = |text: &str| {
        let end = text.find(|c: char| !(c.is_ascii_digit() || c == '.' || c == '\u{2212}'));
        text[..end.unwrap_or(text.len())].replace('\u{2212}', "-").parse::<f64>().unwrap()
    };
    for made in fixtures::all() {
        for check in &made.plan.checks {
            for units in BOTH {
                let working = worked(&made.scene(), check, units).unwrap();
                let last = number(&working.steps().next_back().unwrap().result);
                let told = &words::fine_figures(check, units)[0];
                let safe = match check.sense {
                    planner::plan::Sense::AtLeast => last - number(told),
                    planner::plan::Sense::AtMost => number(told) - last,
                };
                // The last place of the result, to its safe side, and what rounding on the way may add.
                assert!((-0.011..0.111).contains(&safe), "{last}, not {told}: {check:?}");
            }
        }
    }
}

#[test]
fn the_two_systems_are_not_mixed() {
    for made in fixtures::all() {
        let scene = made.scene();
        let texts = |units| {
            let names = made.plan.checks.iter().map(|c| c.what.id());
            let names = names.chain(figures(&scene).into_iter().map(|f| f.name(&scene)));
            let workings = names.filter_map(|name| working(&scene, &name, units));
            let drawn = svg(&scene, units).replace("mm\"", "");
            workings.chain([report(&scene, units), drawn]).collect::<Vec<_>>()
        };
        for (units, strangers) in
            [(Units::Metric, &[" in", " lb", " lbf"][..]), (Units::Us, &[" mm", " kg", " N", " N/mm"][..])]
        {
            for text in texts(units) {
                assert!(!text.contains("metre"), "{units:?}: a unit in words: {text}");
                for line in text.lines().filter(|l| !l.contains("Why ")) {
                    for unit in strangers {
                        assert!(!has_figure_in(line, unit), "{units:?}: {line}");
                    }
                }
            }
        }
    }
}

/// Whether a digit stands before the unit and no letter after it.
fn has_figure_in(line: &str, unit: &str) -> bool {
    line.match_indices(unit).any(|(at, _)| {
        let digit = line[..at].ends_with(|c: char| c.is_ascii_digit());
        let ends = !line[at + unit.len()..].starts_with(|c: char| c.is_alphanumeric());
        let noun = unit == " in" && line[at + unit.len()..].starts_with(" state");
        digit && ends && !noun
    })
}

#[test]
fn the_svg_is_sound_and_always_the_same() {
    for made in fixtures::all() {
        for units in BOTH {
            let text = svg(&made.scene(), units);
            assert_eq!(text, svg(&made.scene(), units));
            let page = roxmltree::Document::parse(&text).unwrap();
            let named = |name: &str| page.descendants().filter(|n| n.has_tag_name(name)).count();
            let inside =
                |name| page.descendants().find(|n| n.has_tag_name((SVG, name))).and_then(|n| n.text());
            assert!(inside("title").unwrap().contains(&made.vehicle.name));
            assert_eq!(named("script") + named("style") + named("image") + named("foreignObject"), 0);
            assert!(!text.contains("href"), "nothing from elsewhere");
        }
    }
}

const SVG: &str = "http://www.w3.org/2000/svg";

#[test]
fn a_guessed_figure_looks_guessed() {
    let made = fixtures::one(0, 0);
    let scene = made.scene();
    let [along, _, up] = words::centre_of_gravity(&scene, &made.plan.states[0], Units::Metric);
    for text in [along, up] {
        assert!(text.starts_with("about ") && text.contains("(assumed)"), "{text}");
    }
    let weighed = fixtures::one(0, 2);
    let [along, _, up] = words::centre_of_gravity(&weighed.scene(), &weighed.plan.states[0], Units::Metric);
    for text in [along, up] {
        assert!(!text.contains("about") && !text.contains("assumed"), "{text}");
    }
}

#[test]
fn every_reason_is_one_sentence_with_figure_and_source() {
    for made in fixtures::all() {
        let scene = made.scene();
        for reason in words::conditions(&scene).iter().chain(&words::refusals(&scene)) {
            let text = reason.sentence(&scene, Units::Metric);
            assert!(text.chars().any(|c| c.is_ascii_digit()), "{text}");
            assert!(text.contains('(') && text.ends_with('.'), "{text}");
        }
    }
}

/// A box that is ticked says what to do or to know.
#[test]
fn advice_that_is_missed_says_what_to_do() {
    let mut found = 0;
    for made in fixtures::all() {
        let scene = made.scene();
        for reason in words::conditions(&scene) {
            if let words::Reason::Fails(_) = reason {
                let short = reason.short(&scene, Units::Metric);
                assert!(short.contains("Look for lifting points nearer the heavier end"), "{short}");
                found += 1;
            }
        }
    }
    assert!(found > 0);
}

/// What this lift, vehicle and job do not allow is not offered as a cure.
#[test]
fn only_what_is_possible_is_offered() {
    for made in fixtures::all() {
        let scene = made.scene();
        let reasons = words::conditions(&scene).into_iter().chain(words::refusals(&scene));
        for text in reasons.map(|r| r.sentence(&scene, Units::Metric)) {
            let offers = |what: &str| text.to_lowercase().contains(what);
            assert!(
                !offers("other way round"),
                "a search has tried both ways where both are allowed: {text}"
            );
            assert!(made.lift.plate.is_none() || !offers("another spot would"), "{text}");
            assert!(made.lift.plate.is_none() || !offers("another spot or"), "{text}");
            assert!(!made.job.loads.is_empty() || !offers("load taken out"), "{text}");
            assert!(!made.job.steps.is_empty() || !offers("part left on"), "{text}");
            assert!(made.vehicle.outline.mirrors.is_some() || !offers("mirrors would"), "{text}");
        }
    }
}

/// No two sentences begin alike, nothing that fails is left unsaid, and the worst figure is the one told.
#[test]
fn what_is_of_one_kind_is_one_sentence() {
    let mut joined = 0;
    for made in fixtures::all() {
        let scene = made.scene();
        let reasons = words::refusals(&scene);
        let mut titles = BTreeSet::new();
        let mut told = 0;
        for reason in &reasons {
            let text = reason.sentence(&scene, Units::Metric);
            let title = text.split(':').next().unwrap_or_default().to_owned();
            assert!(titles.insert(title), "{text}");
            let words::Reason::Fails(checks) = reason else { continue };
            told += checks.len();
            joined += usize::from(checks.len() > 1);
            let worst = checks.iter().map(|c| c.reserve).fold(f64::INFINITY, f64::min);
            assert!((checks[0].reserve - worst).abs() < 1e-12);
            assert!(text.contains(&words::figures(checks[0], Units::Metric)[0]), "{text}");
        }
        let failing = made.plan.checks.iter().filter(|c| c.binding && c.reserve < 0.0);
        let (gives_way, stops): (Vec<&Check>, Vec<&Check>) =
            failing.partition(|c| c.why == Some(Why::GivesWay));
        assert_eq!(told, stops.len());
        let text = words::gives_way(&scene, Units::Metric).concat();
        for check in gives_way {
            assert!(text.contains(&words::figures(check, Units::Metric)[1]), "{check:?}: {text}");
        }
        let count = format!("for {} reason", reasons.len());
        assert_eq!(words::verdict(&scene).contains(&count), !reasons.is_empty());
    }
    assert!(joined > 2, "only {joined}");
}

/// What the nearest setup only gives way on may be worst of all, and is still not what forbids the raise.
#[test]
fn a_refused_plan_names_what_forbids_it() {
    let mut met = 0;
    for made in fixtures::all().iter().filter(|m| m.plan.forbidden_by().is_some()) {
        let mut plan = made.plan.clone();
        let forbids = plan.forbidden_by().unwrap().what;
        let Some(other) = plan.checks.iter().position(|c| c.binding && c.reserve >= 0.0) else { continue };
        plan.checks[other].reserve = -5.0;
        plan.checks[other].why = Some(Why::GivesWay);
        plan.worst = other;
        let scene = crate::Scene { plan: &plan, ..made.scene() };
        let (called, check) = words::deciding(&scene);
        assert_eq!((called, check.what), ("Forbidden by", forbids));
        let text = report(&scene, Units::Metric);
        let line = text.lines().find(|l| l.starts_with("Forbidden by")).unwrap();
        assert!(line.contains(&units::reserve(check.reserve)) && !text.contains("\nLeast reserve"), "{line}");
        assert!(svg(&scene, Units::Metric).contains("Forbidden by"));
        met += 1;
    }
    assert!(met > 3, "only {met}");
}
