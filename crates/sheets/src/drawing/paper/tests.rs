mod record;
mod told;

use planner::plan::Verdict;

use super::super::style::Style;
use super::super::{Area, Item, Text};
use super::{Document, Edition, Page, Paper, Part, Printed};
use crate::fixtures::{self, Made};
use crate::{Units, font, words};

const BOTH: [(Units, Paper); 4] = [
    (Units::Metric, Paper::A4),
    (Units::Metric, Paper::Letter),
    (Units::Us, Paper::A4),
    (Units::Us, Paper::Letter),
];
const MARK: &str = "0123456789ab";

fn points(count: usize) -> Vec<String> {
    (0..count).map(|k| format!("Done: the part of number {k} off")).collect()
}

fn texts(page: &Page) -> Vec<&Text> {
    let items = page.parts.iter().flat_map(Part::items);
    items
        .filter_map(|item| match item {
            Item::Text(text) => Some(text),
            Item::Path { .. } | Item::Circle { .. } => None,
        })
        .collect()
}

fn text_of(item: &Item) -> Option<&Text> {
    match item {
        Item::Text(text) => Some(text),
        Item::Path { .. } | Item::Circle { .. } => None,
    }
}

fn points_of(item: &Item) -> Vec<[f64; 2]> {
    match item {
        Item::Path { points, .. } => points.clone(),
        Item::Text(text) => {
            let Area { x: [left, right], y: [top, bottom] } = text.area();
            vec![[left, top], [right, bottom]]
        }
        Item::Circle { .. } => vec![],
    }
}

/// No type is smaller, mm: 6.5 points.
const LEAST: f64 = 2.29;

fn said(document: &Document) -> String {
    let all = document.pages.iter().flat_map(texts).map(|text| text.says.clone());
    all.collect::<Vec<_>>().join(" ")
}

/// The room that it takes in ink: digits do not go below their line, small letters without arms not above.
fn ink(text: &Text) -> Area {
    let Area { x, y: [top, bottom] } = text.area();
    let says = |all: &str| text.says.chars().all(|sign| all.contains(sign));
    if says("0123456789\u{b0}+ /") {
        Area { x, y: [top, text.at[1]] }
    } else if says("acemnoqrsuvwxz ") {
        Area { x, y: [text.at[1] - 0.55 * text.size, bottom] }
    } else {
        Area { x, y: [top, bottom] }
    }
}

/// Without what wrapping does to it.
fn bare(text: &str) -> String {
    text.split_whitespace().collect()
}

fn is_whole(name: &str, document: &Document) {
    let size = document.paper.size();
    let page = Area::sized([0.0, 0.0], size).grown(-8.0);
    for (k, sheet) in document.pages.iter().enumerate() {
        let areas: Vec<(&str, Area)> = texts(sheet).iter().map(|t| (t.says.as_str(), ink(t))).collect();
        for (i, (says, area)) in areas.iter().enumerate() {
            assert!(page.grown(0.3).holds(area), "{name}, page {}: {says:?} leaves it: {area:?}", k + 1);
            for (other, there) in &areas[..i] {
                let apart = !area.grown(-0.15).overlaps(&there.grown(-0.15));
                assert!(apart, "{name}, page {}: {says:?} covers {other:?}", k + 1);
            }
        }
        // No text crosses a frame, none of another part stands in a figure, none is too small.
        let frames = sheet.parts.iter().flat_map(Part::items).filter_map(|item| match item {
            Item::Path { points, closed: true, style: Style::Frame } if points.len() == 4 => {
                Some(Area::around(points))
            }
            _ => None,
        });
        for frame in frames {
            for (says, area) in &areas {
                let within = frame.holds(area) || !frame.overlaps(&area.grown(-0.15));
                assert!(within, "{name}, page {}: {says:?} crosses a frame", k + 1);
            }
        }
        for part in &sheet.parts {
            let Part::Figure(what, items) = part else { continue };
            let drawn = Area::around(&items.iter().flat_map(points_of).collect::<Vec<_>>());
            let own: Vec<&Text> = items.iter().filter_map(text_of).collect();
            for (text, (says, area)) in texts(sheet).iter().zip(&areas) {
                let is_own = own.iter().any(|other| std::ptr::eq(*other, *text));
                let apart = is_own || !drawn.overlaps(&area.grown(-0.3));
                assert!(apart, "{name}, page {}: {says:?} stands in the figure {what:?}", k + 1);
            }
        }
        for text in texts(sheet) {
            assert!(text.size > LEAST - 1e-9, "{name}, page {}: {} mm: {:?}", k + 1, text.size, text.says);
        }
        for item in sheet.parts.iter().flat_map(Part::items) {
            if let Item::Path { points, style, .. } = item {
                let fits = points.iter().all(|&[x, y]| page.grown(3.0).holds(&Area { x: [x, x], y: [y, y] }));
                assert!(fits, "{name}: {style:?} leaves the page");
            }
        }
    }
}

fn bay(made: &Made, units: Units, paper: Paper, points: &[String]) -> Document {
    crate::bay_sheet(&made.scene(), units, &Printed { paper, mark: MARK, points })
}

fn goes_up(made: &Made) -> bool {
    made.plan.verdict != Verdict::DoNotRaise
}

#[test]
fn a_sheet_for_the_column_is_one_page_with_everything_on_it() {
    let points = points(18);
    for made in fixtures::all().iter().filter(|made| goes_up(made)) {
        for (units, paper) in BOTH {
            let name = format!("{} on {}, {units:?}, {paper:?}", made.vehicle.name, made.lift.name);
            let sheet = bay(made, units, paper, &points);
            assert_eq!(sheet.pages.len(), 1, "{name}");
            is_whole(&name, &sheet);
            let (scene, all) = (made.scene(), bare(&said(&sheet)));
            for pad in &made.plan.pads {
                for set in [units.length(pad.reach), words::swing(pad, units), units.length(pad.height)] {
                    assert!(digits_high(&sheet, &set) >= 8.0, "{name}: {set}");
                }
            }
            for reason in words::conditions(&scene).iter().chain(&words::watch(&scene)) {
                assert!(all.contains(&bare(&reason.short(&scene, units))), "{name}");
            }
            for point in &points {
                assert!(all.contains(&bare(point)), "{name}");
            }
            for caution in words::cautions() {
                assert!(all.contains(&bare(caution)), "{name}");
            }
            let items = sheet.pages[0].parts.iter().flat_map(Part::items);
            let boxes = items.filter(|item| match item {
                Item::Path { points, closed: true, style: Style::Lock } => {
                    let around = Area::around(points);
                    (around.width() - around.height()).abs() < 1e-9 && (2.0..4.0).contains(&around.width())
                }
                _ => false,
            });
            assert!(boxes.count() >= points.len() + made.plan.conditions.len().min(1), "{name}: boxes");
        }
    }
}

/// How high what is set is printed: its digits, or the whole where it has none.
fn digits_high(sheet: &Document, set: &str) -> f64 {
    let digits: Vec<&str> = set.split(' ').filter(|word| !word.contains(char::is_alphabetic)).collect();
    let says = if digits.is_empty() { set.to_owned() } else { digits.join(" ") };
    let sizes = texts(&sheet.pages[0]).into_iter().filter(|t| t.says == says && t.bold).map(|t| t.size);
    sizes.fold(0.0, f64::max) * font::digit_height()
}

/// Settings of two adapters: in more lines, and as high.
#[test]
fn settings_of_two_adapters_are_eight_millimetres_high() {
    let made = fixtures::one(0, 0);
    let mut plan = made.plan.clone();
    let stack = [31.75, 60.325].map(statics::Length::millimetres);
    plan.pads.iter_mut().for_each(|pad| pad.adapters = stack.to_vec());
    let (lift, vehicle, job, limits) =
        (made.lift.clone(), made.vehicle.clone(), made.job.clone(), made.limits.clone());
    let long = Made { lift, vehicle, job, limits, plan, origin: made.origin };
    for (units, paper) in BOTH {
        let sheet = bay(&long, units, paper, &points(14));
        is_whole("two adapters", &sheet);
        let digits = words::adapters(&stack, units).replace(" mm", "").replace(" in", "");
        assert!(bare(&said(&sheet)).contains(&bare(&digits)), "{digits}");
        for part in digits.split(" + ") {
            let shown =
                |t: &&Text| t.bold && t.says.split(" + ").any(|says| says.trim_matches(['+', ' ']) == part);
            let sizes = texts(&sheet.pages[0]).into_iter().filter(shown).map(|t| t.size);
            let high = sizes.fold(0.0, f64::max) * font::digit_height();
            assert!(high >= 8.0, "{units:?} {paper:?}: {part} {high} mm");
        }
    }
}

/// Whoever stands at the lift finds the arm by the name in the bay, and beside it which of the vehicle's corners is above.
#[test]
fn backwards_a_pad_is_named_by_its_arm_and_the_corner_above() {
    for made in fixtures::all().iter().filter(|made| goes_up(made)) {
        let mut plan = made.plan.clone();
        plan.placement.driven_in = planner::frames::DrivenIn::Backwards;
        plan.pads.iter_mut().for_each(|pad| pad.arm = pad.corner.turned());
        let (lift, vehicle, job, limits) =
            (made.lift.clone(), made.vehicle.clone(), made.job.clone(), made.limits.clone());
        let turned = Made { lift, vehicle, job, limits, plan, origin: made.origin };
        let all = bare(&said(&bay(&turned, Units::Metric, Paper::A4, &points(3))));
        for (arm, corner) in [("FRONT LEFT", "rear right"), ("REAR RIGHT", "front left")] {
            assert!(all.contains(&bare(&format!("{arm} arm, under the vehicle's {corner}"))), "{all}");
        }
        let front_left = words::pads_named(&turned.scene(), &[planner::lift::Corner::FrontLeft]);
        assert_eq!(front_left, "rear right arm pad (under the vehicle's front left corner)");
        for corner in planner::lift::Corner::ALL {
            let pad = bare(words::corner_name(corner)) + "pad";
            assert!(!all.to_lowercase().contains(&pad), "{pad}: {all}");
        }
    }
}

/// Nothing on it could be taken for a setting, and nothing is larger than that it must not be raised.
#[test]
fn a_refused_plan_prints_no_settings() {
    let refused: Vec<&Made> = fixtures::all().iter().filter(|made| !goes_up(made)).collect();
    assert!(!refused.is_empty());
    for made in refused {
        for (units, paper) in BOTH {
            let name = format!("{} on {}, {units:?}, {paper:?}", made.vehicle.name, made.lift.name);
            let sheet = bay(made, units, paper, &points(18));
            is_whole(&name, &sheet);
            let largest = texts(&sheet.pages[0]).into_iter().map(|t| t.size).fold(0.0, f64::max);
            let loud: Vec<&str> =
                texts(&sheet.pages[0]).iter().filter(|t| t.size > 10.0).map(|t| t.says.as_str()).collect();
            assert_eq!(loud, ["MUST NOT", "BE RAISED"], "{name}");
            assert!(largest > 25.0, "{name}: {largest}");
            let all = said(&sheet);
            for word in ["Reach", "Swing", "Adapters", "Front wheel,", "Spotted"] {
                assert!(!all.contains(word), "{name}: {word}");
            }
            for reason in words::refusals(&made.scene()) {
                assert!(bare(&all).contains(&bare(&reason.sentence(&made.scene(), units))), "{name}");
            }
        }
    }
}

/// With other names.
fn named(made: &Made, name: impl Fn(&str) -> String) -> Made {
    let (mut lift, mut vehicle, mut job) = (made.lift.clone(), made.vehicle.clone(), made.job.clone());
    let mut plan = made.plan.clone();
    lift.name = name("lift");
    vehicle.name = name("vehicle");
    job.name = name("job");
    plan.mark = plan.mark.map(|_| name("mark"));
    vehicle.keep_outs.iter_mut().for_each(|k| k.name = name("keep-out"));
    vehicle.doors.iter_mut().for_each(|d| d.name = name("door"));
    job.tasks.iter_mut().for_each(|t| t.name = name("task"));
    plan.states.iter_mut().enumerate().skip(1).for_each(|(k, s)| s.name = name(&format!("{k} off ")));
    Made { lift, vehicle, job, limits: made.limits.clone(), plan, origin: made.origin }
}

/// What is ticked and what must be met hang on the column, though the side view has to give way.
#[test]
fn long_names_leave_what_is_confirmed_on_the_first_page() {
    let long = |first: &str| {
        let all = format!("{first} of all that belongs to it and is fixed with bolts and nuts");
        all.chars().take(60).collect::<String>()
    };
    for made in fixtures::all().iter().filter(|made| goes_up(made)) {
        let made = named(made, long);
        let points: Vec<String> = (0..24).map(|k| long(&k.to_string())).collect();
        for (units, paper) in BOTH {
            let name = format!("{} with long names, {units:?}, {paper:?}", made.vehicle.name);
            let sheet = bay(&made, units, paper, &points);
            is_whole(&name, &sheet);
            let first = sheet.pages.iter().take(1).flat_map(texts).map(|t| t.says.as_str());
            let first = bare(&first.collect::<Vec<_>>().join(" "));
            let conditions = words::conditions(&made.scene());
            let met = conditions.iter().map(|reason| reason.short(&made.scene(), units));
            for says in points.iter().cloned().chain(met) {
                assert!(first.contains(&bare(&says)), "{name}: {says}");
            }
        }
    }
}

/// Names and points for which there is no room at the column: what must be met is on the first page, what is confirmed whole on
/// one page, the first or on top of the second, which the first says, and no page begins within a section that it does not name.
#[test]
fn what_is_confirmed_is_never_torn() {
    let wide = |first: &str| match first {
        "task" => first.to_owned(),
        _ => {
            format!("{first} OF THE LONG AND WINDING CARRYING STRUCTURE BELOW IT").chars().take(60).collect()
        }
    };
    let mut on_second = 0;
    for made in fixtures::all().iter().filter(|made| goes_up(made)) {
        let long = named(made, wide);
        let points: Vec<String> = (0..100)
            .map(|k| if k % 3 != 0 { wide(&k.to_string()) } else { format!("point {k} of all") })
            .collect();
        for (units, paper) in BOTH {
            let name = format!("{} with long names, {units:?}, {paper:?}", made.vehicle.name);
            let sheet = bay(&long, units, paper, &points);
            is_whole(&name, &sheet);
            let of_page = |page: &Page| bare(&texts(page).iter().map(|t| t.says.clone()).collect::<String>());
            let pages: Vec<String> = sheet.pages.iter().map(of_page).collect();
            for reason in words::conditions(&long.scene()) {
                assert!(pages[0].contains(&bare(&reason.short(&long.scene(), units))), "{name}");
            }
            let whole = pages.iter().position(|page| points.iter().all(|p| page.contains(&bare(p))));
            assert!(whole.is_some_and(|page| page < 2), "{name}: {whole:?}");
            let is_on_second = whole == Some(1);
            on_second += usize::from(is_on_second);
            let says = pages[0].contains(&bare("where the points to confirm are"));
            assert_eq!(says, is_on_second, "{name}");
            for page in &sheet.pages[1..] {
                let mut kinds = page.parts.iter().filter(|part| !matches!(part, Part::Ornament(_)));
                let second = kinds.nth(1);
                let begins_well = matches!(second, Some(Part::Heading(..) | Part::Figure(..)));
                assert!(begins_well, "{name}: {second:?}");
            }
        }
    }
    assert!(on_second > 0);
}

/// The longest names that a file may give, in the widest letters.
#[test]
fn the_longest_names_stay_on_the_sheets() {
    let wide = |first: &str| format!("{first}{}", "W".repeat(60 - first.len()));
    for made in fixtures::all() {
        let long = named(made, wide);
        let points: Vec<String> = (0..24).map(|k| wide(&format!("{k} "))).collect();
        for (units, paper) in BOTH {
            let name = format!("{} with long names, {units:?}, {paper:?}", made.vehicle.name);
            let sheet = bay(&long, units, paper, &points);
            is_whole(&name, &sheet);
            let all = bare(&said(&sheet));
            assert!(all.contains(&wide("vehicle")) && all.contains(&wide("lift")), "{name}");
            for reason in words::conditions(&long.scene()) {
                assert!(
                    !goes_up(&long) || all.contains(&bare(&reason.short(&long.scene(), units))),
                    "{name}"
                );
            }
            let told = |p: &String| all.contains(&bare(p));
            assert!(!goes_up(&long) || points.iter().all(told), "{name}");
            // The lock of the drawing is said in words, bold, and where to stop first.
            let lock = long.plan.height.lock.filter(|_| goes_up(&long)).map(|lock| lock + 1);
            let called = lock.map(|lock| format!("lock {lock} of {}", long.lift.rise.locks.len()));
            let drawn = |called: &String| {
                sheet.pages.iter().flat_map(texts).any(|text| text.bold && text.says == *called)
            };
            assert!(called.iter().all(drawn), "{name}: {called:?}");
            // Nothing is cut of what the drawings name.
            let (tasks, doors) = (&long.job.tasks, &long.vehicle.doors);
            let named = tasks.iter().map(|t| &t.name).chain(doors.iter().map(|d| &d.name));
            for named in named.chain(long.vehicle.keep_outs.iter().map(|k| &k.name)) {
                // Above a view its tasks begin sentences.
                let told = all.to_lowercase().contains(&bare(named).to_lowercase());
                assert!(!goes_up(&long) || told, "{name}: {named}");
            }
        }
    }
}

/// A job of thirty steps: nothing is lost, on one page or on more.
#[test]
fn the_longest_course_is_on_the_sheet() {
    let made = fixtures::all().iter().find(|m| goes_up(m) && m.plan.states.len() > 1).unwrap();
    let points = points(60);
    for (units, paper) in BOTH {
        let sheet = bay(made, units, paper, &points);
        is_whole("sixty points", &sheet);
        let all = bare(&said(&sheet));
        let told = |p: &String| all.contains(&bare(p));
        assert!(points.iter().all(told), "{units:?} {paper:?}");
    }
}

fn worked(made: &Made, units: Units, paper: Paper, edition: Edition) -> Document {
    crate::working_sheets(&made.scene(), units, &Printed { paper, mark: MARK, points: &[] }, edition)
}

fn kind(check: &planner::plan::Check) -> String {
    check.what.id().split(':').next().unwrap_or_default().to_owned()
}

#[test]
fn every_check_is_in_the_working() {
    for made in fixtures::all() {
        for (units, paper) in BOTH {
            let name = format!("{} on {}, {units:?}, {paper:?}", made.vehicle.name, made.lift.name);
            let document = worked(made, units, paper, Edition::Worked);
            is_whole(&name, &document);
            assert!(document.pages.len() <= 4, "{name}: {} pages", document.pages.len());
            // 8 points.
            let least = document.pages.iter().flat_map(texts).map(|t| t.size).fold(f64::INFINITY, f64::min);
            assert!(least >= 8.0 / 72.0 * 25.4, "{name}: {least} mm");
            let (scene, all) = (made.scene(), bare(&said(&document)).to_lowercase());
            for check in &made.plan.checks {
                let least = made.plan.checks.iter().filter(|c| c.what == check.what);
                let least = least.min_by(|a, b| a.reserve.total_cmp(&b.reserve)).unwrap();
                // What titles of a kind share is said once.
                for word in words::title_in_state(&scene, least).split(' ') {
                    let word = word.trim_matches([',', ':']).to_lowercase();
                    assert!(all.contains(&bare(&word)), "{name}: {word} of {}", check.what.id());
                }
                let [demand, _] = words::figures(least, units);
                let reserve = bare(&crate::units::reserve(least.reserve)).to_lowercase();
                let shown = [reserve.replace("900%ormore", "\u{2265}900%"), reserve.clone()];
                assert!(
                    shown.iter().any(|reserve| all.contains(reserve)),
                    "{name}: {reserve} of {}",
                    check.what.id()
                );
                let worst_of_kind = made.plan.checks.iter().filter(|c| kind(c) == kind(check));
                let worst = worst_of_kind.min_by(|a, b| a.reserve.total_cmp(&b.reserve)).unwrap();
                let likewise = worst.what != check.what;
                assert!(!likewise || all.contains(&bare(&demand).to_lowercase()), "{name}: {demand}");
                assert!(all.contains(&bare(&words::source(&scene, least)).to_lowercase()), "{name}");
            }
            for assumption in &made.plan.assumptions {
                assert!(all.contains(&bare(&words::assumption(assumption, units)).to_lowercase()), "{name}");
            }
        }
    }
}

/// However little room there is above: nothing that is measured from the side reaches beyond floor or ceiling, where words stand.
#[test]
fn no_measure_reaches_through_the_ceiling() {
    let mut measured = 0;
    for made in fixtures::all() {
        let (Some(headroom), Some(free)) = (made.lift.headroom, made.plan.height.roof_room) else { continue };
        let low = headroom - free + statics::Length::millimetres(150.0);
        let lift = planner::lift::Lift { headroom: Some(low), ..made.lift.clone() };
        let scene = crate::Scene { lift: &lift, ..made.scene() };
        for (units, paper) in BOTH {
            let sheet = crate::bay_sheet(&scene, units, &Printed { paper, mark: MARK, points: &points(18) });
            let parts = sheet.pages.iter().flat_map(|page| &page.parts);
            for part in parts.filter(|part| matches!(part, Part::Figure(..))) {
                let lines = |of: Style| {
                    let lines = part.items().filter_map(move |item| match item {
                        Item::Path { points, style, .. } if *style == of => Some(points),
                        _ => None,
                    });
                    lines.flatten().map(|at| at[1])
                };
                let Some(floor) = lines(Style::Ground).reduce(f64::max) else { continue };
                let ceiling = lines(Style::Ground).fold(floor, f64::min);
                for y in lines(Style::Dimension).chain(lines(Style::Arrow)) {
                    measured += 1;
                    let through = y < ceiling - 1e-9 || y > floor + 1e-9;
                    assert!(!through, "{} {paper:?}: {ceiling} {y} {floor}", made.vehicle.name);
                }
            }
        }
    }
    assert!(measured > 100, "{measured}");
}

/// Whatever the verdict, which it does not tell: every page says so, the first in large type.
#[test]
fn nobody_raises_by_the_paper_of_a_class() {
    const SAYS: &str = "Exercise. Set no lift by this paper.";
    let mut refused = [0, 0];
    for made in fixtures::all() {
        refused[usize::from(made.plan.verdict == Verdict::DoNotRaise)] += 1;
        for (units, paper) in BOTH {
            let document = worked(made, units, paper, Edition::Blanks);
            let first = texts(&document.pages[0]).into_iter().find(|text| text.says == SAYS);
            assert!(first.is_some_and(|text| text.bold && text.size > 4.0), "{}", made.vehicle.name);
            for page in &document.pages {
                let foot = texts(page).into_iter().filter(|text| text.says.starts_with(SAYS));
                assert!(foot.filter(|text| text.says != SAYS).count() == 1, "{}", page.name);
            }
            let worked = worked(made, units, paper, Edition::Worked);
            assert!(worked.pages.iter().flat_map(texts).all(|text| !text.says.contains(SAYS)));
            for page in &worked.pages {
                assert!(texts(page).iter().any(|text| text.says.contains("No lift is set by this paper")));
            }
        }
    }
    assert!(refused.iter().all(|count| *count > 0), "{refused:?}");
}

/// What a class is to find stands on the pages of answers alone.
#[test]
fn a_class_finds_blanks_and_at_the_end_the_answers() {
    for made in fixtures::all().iter().take(4) {
        let document = worked(made, Units::Metric, Paper::A4, Edition::Blanks);
        is_whole(&made.vehicle.name, &document);
        let first_answers = document
            .pages
            .iter()
            .position(|page| texts(page).iter().any(|text| text.says.starts_with("Answers")));
        let at = first_answers.unwrap();
        let on = |pages: &[Page]| {
            bare(&pages.iter().flat_map(texts).map(|t| t.says.clone()).collect::<Vec<_>>().join(" "))
        };
        let (questions, answers) = (on(&document.pages[..at]), on(&document.pages[at..]));
        // How a reserve is computed, with room for it; no loads and no centre given away.
        for asked in ["Reserve=result/limit\u{2212}1=___", "Reserve=limit/result\u{2212}1=___"] {
            assert!(questions.contains(asked), "{}: {asked}", made.vehicle.name);
        }
        assert!(!questions.contains("standarduncertainty") && !questions.contains("kg,assured"));
        assert!(!questions.contains(&bare(&words::verdict(&made.scene()))), "{}", made.vehicle.name);
        assert!(questions.contains("(2)") && answers.contains("(2)"));
        // A step that is like another has its blank too.
        let likes: Vec<&str> = questions
            .split("like(")
            .skip(1)
            .filter_map(|rest| rest.split_once(':'))
            .map(|(_, says)| says)
            .collect();
        assert!(
            likes.len() > 20
                && likes.iter().all(|says| says.chars().take(12).collect::<String>().contains("___"))
        );
        let worst = made.plan.worst_check();
        let told = bare(&crate::units::reserve(worst.reserve));
        let reserve = if worst.reserve < 0.0 { told } else { format!("reserve{told}") };
        assert!(answers.contains(&reserve) && !questions.contains(&reserve), "{reserve}");
    }
}

#[test]
fn the_same_plan_gives_the_same_bytes() {
    let made = fixtures::one(0, 0);
    let points = points(18);
    for (units, paper) in BOTH {
        let write = || crate::pdf(&bay(made, units, paper, &points)).unwrap();
        let bytes = write();
        assert!(bytes.starts_with(b"%PDF-1.7"));
        assert_eq!(bytes, write());
    }
}

/// Every sign that any sheet of any fixture prints.
#[test]
fn the_type_has_every_sign() {
    let mut wrong = vec![];
    for made in fixtures::all() {
        for units in [Units::Metric, Units::Us] {
            let printed = [
                said(&bay(made, units, Paper::A4, &points(3))),
                said(&worked(made, units, Paper::A4, Edition::Worked)),
                crate::report(&made.scene(), units),
            ];
            let signs = printed.iter().flat_map(|text| text.chars()).filter(|c| *c != '\n');
            wrong.extend(signs.filter(|c| [false, true].iter().any(|bold| font::glyph(*c, *bold).is_none())));
        }
    }
    wrong.sort_unstable();
    wrong.dedup();
    assert_eq!(wrong, Vec::<char>::new());
}

/// What a type does not have is drawn as a box, and the file is as sound as any.
#[test]
fn a_name_in_other_signs_is_printed() {
    let made = fixtures::one(0, 0);
    let mut vehicle = made.vehicle.clone();
    vehicle.name = "\u{8eca} \u{1f697} Kombi \u{1}\u{202e}".into();
    let (lift, job, limits, plan) =
        (made.lift.clone(), made.job.clone(), made.limits.clone(), made.plan.clone());
    let odd = Made { lift, vehicle, job, limits, plan, origin: made.origin };
    let sheet = bay(&odd, Units::Metric, Paper::A4, &points(3));
    assert!(crate::pdf(&sheet).is_ok());
    let all = bare(&said(&sheet));
    assert!(all.contains("nameofavehicle") && all.contains("U+8ECAU+1F697"), "{all}");
    assert!(!said(&bay(made, Units::Metric, Paper::A4, &points(3))).contains("boxes"));
}
