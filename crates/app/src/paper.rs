//! What is printed: the sheets of a plan, with its mark and the hold points of its raise; papers of the book.

pub(crate) mod record;

use std::cmp::Ordering;
use std::fmt;

use records::{HoldPoint, LaterLock, Outline, Progress};
use sheets::units::Round;
use sheets::{Paper, PdfFault, Printed, Scene, Units};

use crate::told;
use crate::verb::raise::digest;

/// A sheet that cannot be made: a fault of this program.
#[derive(Debug)]
pub(crate) struct NotPrinted(String);

impl fmt::Display for NotPrinted {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}

impl From<PdfFault> for NotPrinted {
    fn from(fault: PdfFault) -> Self {
        Self(fault.to_string())
    }
}

impl From<serde_json::Error> for NotPrinted {
    fn from(fault: serde_json::Error) -> Self {
        Self(format!("the plan has no mark: {fault}"))
    }
}

/// By which the book finds the plan, if it keeps it.
pub(crate) fn mark(scene: &Scene<'_>) -> Result<String, NotPrinted> {
    Ok(told::mark(digest(scene)?))
}

/// What of a plan is printed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Edition {
    /// The sheet that hangs on the column.
    Bay,
    /// Every check worked out.
    Working,
    /// The same with blanks, and the answers at the end.
    Class,
}

/// A plan's sheet, as PDF.
pub(crate) fn plan(
    scene: &Scene<'_>,
    units: Units,
    paper: Paper,
    edition: Edition,
) -> Result<Vec<u8>, NotPrinted> {
    let mark = mark(scene)?;
    let points = points(scene, units);
    let printed = Printed { paper, mark: &mark, points: &points };
    let document = match edition {
        Edition::Bay => sheets::bay_sheet(scene, units, &printed),
        Edition::Working => sheets::working_sheets(scene, units, &printed, sheets::Edition::Worked),
        Edition::Class => sheets::working_sheets(scene, units, &printed, sheets::Edition::Blanks),
    };
    Ok(sheets::pdf(&document)?)
}

/// Where signs stand as boxes on paper, to be told beside it; nothing where all can be printed.
pub(crate) fn boxes(not_printed: &[String]) -> String {
    let told = |place: &String| {
        format!("caution: signs that the sheet cannot show are printed as boxes in {}\n", told::plain(place))
    };
    not_printed.iter().map(told).collect()
}

/// What is confirmed along the way, as the book leads it.
fn points(scene: &Scene<'_>, units: Units) -> Vec<String> {
    let outline = Outline::of(scene.plan, scene.job, scene.lift);
    let test = units.length_to(scene.plan.test_raise, Round::Up);
    let mut told = vec![];
    let mut said = |point: &HoldPoint| match point {
        HoldPoint::StandsSet => sheets::words::stands_ticked(scene, units),
        point => {
            let lock = lock_of(*point, &outline).filter(|lock| !told.contains(lock));
            told.extend(lock);
            let work = lock.map_or_else(String::new, |lock| work_at(scene, lock));
            short(*point, &outline, &test) + &work
        }
    };
    Progress::new(outline.clone()).ahead.iter().map(&mut said).collect()
}

/// The lock to which a hold point leads.
fn lock_of(point: HoldPoint, outline: &Outline) -> Option<u16> {
    match point {
        HoldPoint::Raised => outline.lock,
        HoldPoint::HeightReached(later) => outline.later.get(usize::from(later)).map(|later| later.lock),
        _ => None,
    }
}

/// What is done at a lock, where a job works at more than one.
fn work_at(scene: &Scene<'_>, lock: u16) -> String {
    let tasks = &scene.plan.height.tasks;
    if tasks.iter().all(|task| task.lock == scene.plan.height.lock) {
        return String::new();
    }
    let here = tasks.iter().filter(|task| task.lock.is_some_and(|l| l + 1 == usize::from(lock)));
    let named = here.filter_map(|task| Some(scene.job.tasks.get(task.task?)?.name.as_str()));
    let named: Vec<&str> = named.collect();
    if named.is_empty() { String::new() } else { format!(", for {}", named.join("; ")) }
}

/// A hold point in a few words, to be ticked.
fn short(point: HoldPoint, outline: &Outline, test: &str) -> String {
    match point {
        HoldPoint::Spotted => "Spotted".into(),
        HoldPoint::PadsSeated => "All four pads seated".into(),
        HoldPoint::ArmLocksEngaged => "All four arms locked".into(),
        HoldPoint::TestRaised if outline.test_raise_reaches_a_lock() => {
            format!("Raised {test}: tyres clear, locks heard")
        }
        HoldPoint::TestRaised => format!("Raised {test}: tyres clear"),
        HoldPoint::Shaken => "Shaken: still and silent".into(),
        HoldPoint::PadRechecked(pad) => {
            format!("{} tight by hand", sheets::words::capital(&outline.pad_name(pad)))
        }
        HoldPoint::Raised => match outline.lock {
            Some(lock) => format!("Up past lock {lock}, each lock heard"),
            None => "Up at working height".into(),
        },
        HoldPoint::OnLocks => "Rests on both locks".into(),
        HoldPoint::StepDone(step) => {
            let done = outline.steps.get(usize::from(step)).map_or("unknown step", String::as_str);
            // By which the drawings name what it leaves; the first state is as raised.
            format!("State {}: {done}", step + 2)
        }
        HoldPoint::StepUndone(step) => format!("Back to state {}", step + 1),
        HoldPoint::HeightReached(later) => match outline.later.get(usize::from(later)) {
            Some(LaterLock { lock, .. }) => match outline.way_to(later) {
                Some(Ordering::Greater) => format!("Up to lock {lock}, each lock heard"),
                Some(_) => format!("Down to lock {lock}, both carriages alike"),
                None => format!("At lock {lock}; going up, each heard"),
            },
            None => "At another height".into(),
        },
        HoldPoint::StandsSet => "Stands set".into(),
        HoldPoint::StandsAway => "Stands away; nobody was under".into(),
        HoldPoint::AreaClear => "Nobody, nothing under it".into(),
        HoldPoint::OffLocks => "Off the locks".into(),
        HoldPoint::LocksReleased => "Locks held open by hand".into(),
        HoldPoint::FullyDown => "Fully down".into(),
        HoldPoint::ArmsClear => "Arms swung clear".into(),
        HoldPoint::DrivenOff => "Driven off".into(),
        HoldPoint::LeftOnFloor => "Left on the floor".into(),
    }
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeSet;

    use super::*;

    #[test]
    fn a_pad_to_be_ticked_is_named_as_it_is_found_at_the_lift() {
        let told =
            |backwards| short(HoldPoint::PadRechecked(0), &Outline { backwards, ..Outline::default() }, "");
        assert_eq!(told(Some(false)), "Front left pad tight by hand");
        assert_eq!(told(Some(true)), "Rear right arm's pad (under the vehicle's front left) tight by hand");
        assert_eq!(told(None), "Pad under the vehicle's front left tight by hand");
    }

    const JOBS: [[&str; 3]; 9] = [
        ["mill-bay", "hatchback", "brakes"],
        ["mill-bay", "hatchback", "engine-and-gearbox-out"],
        ["mill-bay", "pickup", "rear-axle-off"],
        ["long-bay", "battery-hatch", "battery-pack-out"],
        ["long-bay", "long-van", "loaded-van-exhaust"],
        ["north-bay", "long-van", "loaded-van-exhaust"],
        ["north-bay", "sports-coupe", "strip-the-shell"],
        ["north-bay", "sports-coupe", "front-end-off"],
        ["north-bay", "sports-coupe", "front-end-off-on-stands"],
    ];

    /// Locks in a text, in its order.
    fn locks(text: &str) -> Vec<u16> {
        let mut words = text.split(|c: char| !c.is_alphanumeric());
        let mut found = vec![];
        while let Some(word) = words.next() {
            if word.eq_ignore_ascii_case("lock") {
                found.extend(words.next().and_then(|n| n.parse::<u16>().ok()));
            }
        }
        found
    }

    /// Of each state in turn the locks that the words of a report lead to.
    fn worded(report: &str, states: &[planner::plan::StateAnswer]) -> Vec<Vec<u16>> {
        let lines = report.lines().skip_while(|line| *line != "Height, step by step").skip(1);
        let mut said: Vec<String> = vec![];
        for line in lines.take_while(|line| !line.is_empty()) {
            let begins = states.get(said.len()).is_some_and(|s| line.starts_with(&format!("  {}", s.name)));
            match said.last_mut().filter(|_| !begins) {
                Some(last) => *last += line,
                None => said.push(line.into()),
            }
        }
        assert_eq!(said.len(), states.len(), "{report}");
        said.iter().map(|text| locks(text)).collect()
    }

    /// The same of what is confirmed on the sheet.
    fn ticked(points: &[String]) -> Vec<Vec<u16>> {
        let mut found = vec![vec![]];
        for point in points {
            if point.starts_with("State ") {
                found.push(vec![]);
            } else if ["At lock", "Up to lock", "Down to lock", "Up past"]
                .iter()
                .any(|way| point.starts_with(way))
            {
                found.last_mut().expect("one at the least").extend(locks(point));
            }
        }
        found
    }

    /// Each lock but those where it rests already.
    fn moves(states: Vec<Vec<u16>>) -> Vec<(usize, u16)> {
        let mut all: Vec<(usize, u16)> = states
            .into_iter()
            .enumerate()
            .flat_map(|(k, locks)| locks.into_iter().map(move |l| (k, l)))
            .collect();
        all.dedup_by_key(|(_, lock)| *lock);
        all
    }

    /// Plans a job of the demonstration, and looks at it.
    fn planned<T>([bay, vehicle, job]: [&str; 3], look: impl FnOnce(&Scene<'_>, &Outline) -> T) -> T {
        let root = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("../../demo");
        let file = |kind: &str, name: &str| root.join(kind).join(format!("{name}.toml"));
        let job = file("jobs", job);
        let read =
            crate::document::read_files(&file("lifts", bay), &file("vehicles", vehicle), Some(job.as_path()));
        let (lift, vehicle, job) = read.expect("demonstration files are legal");
        let limits = planner::Limits::default();
        let plan = planner::plan(&lift, &vehicle, &job, &limits).expect("and go together");
        let scene = Scene {
            lift: &lift,
            vehicle: &vehicle,
            job: &job,
            limits: &limits,
            plan: &plan,
            origin: sheets::Origin::Planned,
            other_bays: None,
            chances: None,
            measure_next: None,
        };
        look(&scene, &Outline::of(&plan, &job, &lift))
    }

    fn said(document: &sheets::Document) -> String {
        let items =
            document.pages.iter().flat_map(|page| &page.parts).flat_map(sheets::drawing::paper::Part::items);
        let texts = items.filter_map(|item| match item {
            sheets::drawing::Item::Text(text) => Some(text.says.as_str()),
            _ => None,
        });
        texts.collect::<Vec<_>>().join(" ")
    }

    /// Numbers of steps that nothing has and nothing points to. Where the next is far, as of a year, it is of no step.
    fn left_out(said: &str) -> Vec<usize> {
        let in_brackets = |text: &str| text.split_once(')')?.0.parse::<usize>().ok();
        let mut all: BTreeSet<usize> = said.split('(').skip(1).filter_map(in_brackets).collect();
        for (from, to) in
            said.match_indices(")\u{2013}(").map(|(at, dash)| (&said[..at], &said[at + dash.len()..]))
        {
            let from = from.rsplit('(').next().and_then(|number| number.parse().ok());
            all.extend(from.zip(in_brackets(to)).into_iter().flat_map(|(from, to)| from..=to));
        }
        let pairs = all.iter().zip(all.iter().skip(1));
        pairs.filter(|(one, next)| **next - **one < 4).flat_map(|(one, next)| one + 1..*next).collect()
    }

    /// The sheet of every job is one page and has every hold point; where work is done at several locks they are named with it;
    /// no working has more than four pages.
    #[test]
    fn every_job_has_a_sheet_of_one_page() {
        let bare = |text: &str| text.split_whitespace().collect::<String>();
        for job in JOBS {
            planned(job, |scene, _| {
                for (units, paper) in [Units::Metric, Units::Us]
                    .into_iter()
                    .flat_map(|units| [Paper::A4, Paper::Letter].map(|paper| (units, paper)))
                {
                    let points = points(scene, units);
                    let printed = Printed { paper, mark: "0123456789ab", points: &points };
                    let sheet = sheets::bay_sheet(scene, units, &printed);
                    assert_eq!(sheet.pages.len(), 1, "{job:?} {units:?} {paper:?}");
                    let all = bare(&said(&sheet));
                    let refused = scene.plan.verdict == planner::plan::Verdict::DoNotRaise;
                    for point in points.iter().filter(|_| !refused) {
                        assert!(all.contains(&bare(point)), "{job:?} {units:?} {paper:?}: {point}");
                    }
                    let working = sheets::working_sheets(scene, units, &printed, sheets::Edition::Worked);
                    assert!((2..=4).contains(&working.pages.len()), "{job:?} {units:?} {paper:?}");
                    let missing = left_out(&said(&working));
                    assert!(missing.is_empty(), "{job:?} {units:?} {paper:?}: steps {missing:?}");
                }
            });
        }
        let points = planned(JOBS[0], |scene, _| points(scene, Units::Metric));
        assert!(
            points.contains(&"Up past lock 7, each lock heard, for wheels off and on".to_owned()),
            "{points:?}"
        );
    }

    /// Who asks for inches and pounds reads no millimetre and no kilogram, not even in the source of a figure.
    #[test]
    fn units_are_not_mixed() {
        let metric = ["mm", "cm", "m", "kg", "kN"];
        for job in JOBS {
            planned(job, |scene, _| {
                let points = points(scene, Units::Us);
                let printed = Printed { paper: Paper::Letter, mark: "0123456789ab", points: &points };
                let working = |edition| said(&sheets::working_sheets(scene, Units::Us, &printed, edition));
                for all in [
                    sheets::report(scene, Units::Us),
                    said(&sheets::bay_sheet(scene, Units::Us, &printed)),
                    working(sheets::Edition::Worked),
                    working(sheets::Edition::Blanks),
                ] {
                    let words: Vec<&str> = all.split(|c: char| !c.is_alphanumeric() && c != '.').collect();
                    let mixed = words.windows(2).find(|two| {
                        two[0].ends_with(|c: char| c.is_ascii_digit())
                            && metric.contains(&two[1].trim_end_matches('.'))
                    });
                    assert_eq!(mixed, None, "{job:?}");
                }
            });
        }
    }

    /// The load of a stand is told where it is set, not only that it bears.
    #[test]
    fn a_stand_is_set_to_the_load_of_the_plan() {
        let told = planned(JOBS[8], |scene, outline| {
            let looks = told::raise::look_for(HoldPoint::StandsSet, outline, None, None).concat();
            assert!(
                !looks.contains("until it bears") && looks.contains("the load that the plan gives"),
                "{looks}"
            );
            let ticked = points(scene, Units::Metric);
            let ticked = ticked.iter().find(|point| point.starts_with("Stand set, ")).cloned();
            let shown = crate::verb::raise::figures_at(scene, HoldPoint::StandsSet, Units::Metric);
            (ticked.expect("a stand is set"), shown)
        });
        assert_eq!(told.1.last(), Some(&format!("{}.", told.0)));
        assert!(told.1[0].contains("at lock 6, head "), "{:?}", told.1);
        assert!(told.0.contains(" kg (") && told.0.ends_with("until it is away"), "{}", told.0);
    }

    /// A force that may lift a pad empty: the step where it may says so, with what to do, and so does the sheet.
    #[test]
    fn a_pad_that_may_come_free_is_told_at_its_step() {
        planned(JOBS[0], |scene, _| {
            let mut plan = scene.plan.clone();
            let needed = statics::Force::newtons(3000.0);
            let answer = plan.work.iter().find(|w| w.states.iter().any(|s| s.first_unloads.is_some()));
            let answer = answer.expect("some force lifts some pad").clone();
            let each = answer.states.iter().filter_map(|s| Some((s.state, s.first_unloads?)));
            let (state, (corner, at)) =
                each.min_by(|a, b| a.1.1.to_newtons().total_cmp(&b.1.1.to_newtons())).expect("so it does");
            let of = (answer.task, answer.force);
            plan.conditions.push(planner::plan::Remark::Unloads { of, state, corner, at, needed });
            let scene = Scene { plan: &plan, ..*scene };
            let step = u16::try_from(state).expect("few states");
            let shown =
                crate::verb::raise::figures_at(&scene, HoldPoint::StepDone(step), Units::Metric).concat();
            let printed = Printed { paper: Paper::A4, mark: "0123456789ab", points: &[] };
            let sheet = said(&sheets::bay_sheet(&scene, Units::Metric, &printed));
            for told in [shown, sheet] {
                for what in ["3000 N", "stop as soon as it does", "on three", &plan.states[state].name] {
                    assert!(told.contains(what), "{what}: {told}");
                }
            }
        });
    }

    /// Nobody measured the undersides: pads are screwed up to touch first, so the vehicle goes up as far as the carriages do.
    #[test]
    fn guessed_undersides_count_as_screwed_up_to_touch() {
        planned(JOBS[0], |scene, _| {
            let mut vehicle = scene.vehicle.clone();
            vehicle.unmeasured.undersides = statics::Length::millimetres(130.0);
            vehicle.unmeasured.unknown.push(planner::quick::Unknown::Undersides);
            let plan =
                planner::plan(scene.lift, &vehicle, scene.job, scene.limits).expect("they go together");
            let headroom = scene.lift.headroom.expect("on file") - vehicle.outline.roof;
            for task in &plan.height.tasks {
                let rise = scene.lift.rise.locks[task.lock.expect("it has locks")];
                let off = task.roof_room.expect("on file") - (headroom - rise);
                assert!(off.to_millimetres().abs() < 1e-6, "{off:?}");
                let hub = vehicle.wheels.tyre_diameter / 2.0 - vehicle.droop.value + rise;
                assert!((task.work - hub).to_millimetres().abs() < 1e-6, "{:?}", task.work);
            }
            let ceiling = plan.checks.iter().find(|c| c.what == planner::checks::What::Ceiling);
            let least = headroom - scene.lift.rise.locks[0];
            assert!((ceiling.expect("checked").demand - least.to_metres()).abs() < 1e-9);
            let touching = "rise of the carriages at which the pads touch";
            assert!(plan.assumptions.iter().any(|a| a.what == touching && a.greatest > 0.0));
            let scene = Scene { vehicle: &vehicle, plan: &plan, ..*scene };
            for point in [HoldPoint::PadsSeated, HoldPoint::TestRaised] {
                let shown = crate::verb::raise::figures_at(&scene, point, Units::Metric).concat();
                assert!(shown.contains("Screw all four pads up to touch before raising"), "{shown}");
                assert!(shown.contains("unless level within"), "{shown}");
            }
        });
    }

    /// What a class is to find stands nowhere before its answers.
    #[test]
    fn a_class_is_not_told_what_it_is_to_find() {
        planned(JOBS[8], |scene, _| {
            let printed = Printed { paper: Paper::A4, mark: "0123456789ab", points: &[] };
            let class = sheets::working_sheets(scene, Units::Metric, &printed, sheets::Edition::Blanks);
            let all = said(&class);
            let (asked, answers) = all.split_once("Answers: ").expect("they come last");
            let (_, answers) = answers.split_once("Stands: ").expect("there are some of stands");
            let figures = answers.split_whitespace().take_while(|word| *word != "cautions");
            let exact =
                figures.filter(|word| word.rsplit_once('.').is_some_and(|(_, after)| after.len() == 3));
            let exact: Vec<&str> = exact.filter(|word| word.parse::<f64>().is_ok()).collect();
            assert!(exact.len() > 10, "{answers}");
            for figure in exact {
                assert!(!asked.split([' ', ';', ',', ':', '(', ')']).any(|word| word == figure), "{figure}");
            }
            let mass = Units::Metric.mass(scene.plan.states[0].mass.value);
            assert!(!asked.contains(&format!("{mass} \u{b1}")), "{mass}");
        });
    }

    /// Words, sheet and led raise go to the same locks in the same states, whichever demonstration job it is.
    #[test]
    fn words_and_sheet_go_to_the_same_locks() {
        for job in JOBS {
            planned(job, |scene, outline| {
                let first = scene.plan.height.lock.map(|lock| u16::try_from(lock + 1).expect("few locks"));
                let mut worded = worded(&sheets::report(scene, Units::Metric), &scene.plan.states);
                worded[0].splice(0..0, first);
                assert!(outline.is_sound(), "{job:?}: {outline:?}");
                let ticked = ticked(&points(scene, Units::Metric));
                assert_eq!(moves(worded), moves(ticked), "{job:?}");
            });
        }
    }
}
