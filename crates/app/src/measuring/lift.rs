//! What is asked of a lift: everything that a tape and its plate tell.

use statics::{Angle, Length, Mass};

use super::question::{
    Answers, Cell, Column, Filled, Kind, Question, Said, Write, chosen, figure, one_word, rows, said,
};
use super::written::{self, Value, Written, quoted};
use crate::input::quantity::{Quantity, Share};

const LENGTH: Kind = Kind::Figure { of: Length::KIND, doubt: false };
const ANGLE: Kind = Kind::Figure { of: Angle::KIND, doubt: false };
const MASS: Kind = Kind::Figure { of: Mass::KIND, doubt: false };
const PIVOT: Kind =
    Kind::Sided { of: Length::KIND, ways: [("ahead of the column line", "ahead"), ("behind it", "behind")] };
const YES_NO: Kind = Kind::OneOf(&[("yes", "Yes"), ("no", "No")]);
const ALIKE: &str = "arms.alike";
const ADAPTERS: &[Column] = &[
    Column { key: "height", label: "Raises the pad by", cell: Cell::Figure(Length::KIND) },
    Column { key: "count", label: "How many of it", cell: Cell::Count },
];
const BANDS: &[Column] = &[
    Column { key: "mark", label: "Mark", cell: Cell::Words },
    Column { key: "wheelbase", label: "For wheelbases", cell: Cell::Words },
    Column { key: "front_wheel", label: "Column line to the front hub", cell: Cell::Figure(Length::KIND) },
    Column { key: "", label: "", cell: Cell::OneOf(&[("ahead", "ahead"), ("behind", "behind")]) },
];
const SHARES: &[Column] = &[
    Column { key: "least", label: "At least in front", cell: Cell::Figure(Share::KIND) },
    Column { key: "greatest", label: "At most in front", cell: Cell::Figure(Share::KIND) },
];
const MARKS_OF_PLATE: &str = "Spotting mark";
const KITS: usize = 4;
const MARKS: usize = 5;

/// Arms that are asked for, and arms that are written the same.
fn groups(answers: &Answers) -> Vec<(&'static str, &'static [&'static str], &'static str)> {
    match chosen(answers, ALIKE) {
        Some("pairs") => vec![("front", &["front"], "Front arms"), ("rear", &["rear"], "Rear arms")],
        Some("none") => vec![
            ("front_left", &["front_left"], "Front left arm"),
            ("front_right", &["front_right"], "Front right arm"),
            ("rear_left", &["rear_left"], "Rear left arm"),
            ("rear_right", &["rear_right"], "Rear right arm"),
        ],
        _ => vec![("front", &["front", "rear"], "Arms")],
    }
}

/// In the order in which somebody goes round the lift.
pub(crate) fn questions(answers: &Answers) -> Vec<Question> {
    let mut all = vec![];
    let mut part = |part: &'static str, questions: Vec<Question>| {
        let asks_how = |kind: Kind| match kind {
            // What the plate says of its own marks is no measurement.
            _ if part == MARKS_OF_PLATE => false,
            Kind::Figure { of, .. } => of.name != Mass::KIND.name,
            Kind::Sided { .. } | Kind::List(_) => true,
            Kind::Count | Kind::OneOf(_) | Kind::Rows(..) => false,
        };
        all.extend(questions.into_iter().map(|q| Question { part, asks_how: asks_how(q.kind), ..q }));
    };
    let q = Question::new;
    part("Plate and manual", vec![
        q("rated", "Rated load", "It stands on the lift's plate, for all four arms together. No plate, or not legible: do not use the lift.", MASS),
        q("backwards", "May vehicles be driven in backwards?", "Look into the lift's manual. If it does not say: no.", Kind::OneOf(&[("false", "No"), ("true", "Yes")])),
        q("permitted_front_share", "Split of the load between front and rear", "Only if the maker gives it: the least and the greatest share of the load on the front arms, in per cent.", Kind::Rows(1, SHARES))
            .or("The maker gives none", "the rule of the trade is looked at instead").goes(Write::Elsewhere),
        q("split_rule", "Load outside 2:3 to 3:2", "Front to rear, on lifts to 3500 kg; 1:3 to 3:1 above. DGUV-I 208-015 asks for it; your own rules decide what follows.", Kind::OneOf(&[("condition", "Say so in the plan"), ("binding", "Refuse the raise")]))
            .or("No rule here", "nothing is said of it"),
    ]);
    part(
        "Columns and bay",
        vec![
            q(
                "columns.inside",
                "Clear width between the columns",
                "Lift fully down, bay empty. Tape from the inner face of one column to that of the other, at the height of a car's doors.",
                LENGTH,
            ),
            q(
                "columns.front_face_ahead",
                "Column line to the front face",
                "Chalk the column line first: from the middle of one column to the middle of the other. Tape from the line ahead to the front face of a column. Ahead is the way vehicles usually face.",
                LENGTH,
            ),
            q(
                "columns.rear_face_behind",
                "Column line to the rear face",
                "From the same line back to the rear face of a column.",
                LENGTH,
            ),
            q(
                "headroom",
                "Floor to the lowest thing above",
                "To the ceiling, crossbar, lamp or pipe, whichever is lowest above the vehicle.",
                LENGTH,
            )
            .or_writes("Open sky", "nothing is above", "\"open sky\""),
            q(
                "bay.ahead",
                "Column line to what is ahead",
                "Along the floor to whatever a vehicle must not reach: wall, bench, door, painted line.",
                LENGTH,
            )
            .or("Not measured", "whether a vehicle fits along the bay is not checked"),
        ],
    );
    if let Said::Answer(_) = said(answers, "bay.ahead") {
        part(
            "Columns and bay",
            vec![q("bay.behind", "Column line to what is behind", "The same to the rear.", LENGTH)],
        );
    }
    part(
        "Arms",
        vec![
            q(
                ALIKE,
                "Which arms are alike?",
                "Compare reach and pivots. Left and right are usually alike; front arms are often shorter.",
                Kind::OneOf(&[("all", "All four"), ("pairs", "Front pair and rear pair"), ("none", "None")]),
            )
            .goes(Write::Nowhere),
        ],
    );
    for (group, _, called) in groups(answers) {
        let key = |name: &str| format!("arms.{group}.{name}");
        part(called, vec![
            q(&key("pivot"), "Column line to the pivot pin", "The pivot is the pin on which the arm swings. Hang a plumb line from its middle, mark the floor, tape from the column line to the mark. All four alike: measure a front one; the rear ones mirror it.", PIVOT).goes(Write::Elsewhere),
            q(&key("pivot_out"), "Middle of the bay to the pivot pin", "From the centre line, midway between the columns, out to the same mark. Not from pin to pin.", LENGTH).goes(Write::Elsewhere),
            q(&key("reach_in"), "Reach, pushed fully in", "From the middle of the pin to the middle of the pad.", LENGTH).goes(Write::Elsewhere),
            q(&key("reach_out"), "Reach, pulled fully out", "The same, pulled out to its stop.", LENGTH).goes(Write::Elsewhere),
            q(&key("stages"), "Tubes that slide in one another", "Count them, the fixed one too: usually two or three.", Kind::Count).goes(Write::Elsewhere),
            q(&key("swing_from"), "Outer swing stop", "Swing the arm out to its stop. The angle from straight ahead (rear arms: from straight behind), towards the other column positive, away from it negative.", ANGLE).goes(Write::Elsewhere),
            q(&key("swing_to"), "Inner swing stop", "The same at the inner stop. No gauge: mark the pad's middle on the floor; the sine of the angle is its distance from the line straight ahead of the pin, over its distance from the pin.", ANGLE).goes(Write::Elsewhere),
            q(&key("tooth_steps"), "Clicks of the restraint from stop to stop", "Swing the arm slowly from one stop to the other and count.", Kind::Count)
                .or("It locks at any angle", "no teeth").goes(Write::Elsewhere),
            q(&key("beam_width"), "Widest part of the arm", "Across the arm, seen from above.", LENGTH).goes(Write::Elsewhere),
            q(&key("beam_top"), "Floor to the top of the arm", "Lift fully down: the highest part of the arm that goes under the vehicle.", LENGTH).goes(Write::Elsewhere),
            q(&key("rated"), "Load for one arm", "Only if the plate gives a load for each arm.", MASS)
                .or("The plate gives none", "a quarter of the rated load is used").goes(Write::Elsewhere),
        ]);
    }
    part(
        "Pads",
        vec![
            q("pads.diameter", "Across the pad", "Over the disc.", LENGTH),
            q(
                "pads.lowest",
                "Floor to the top of the pad",
                "Lift fully down, pad screwed fully down, no adapter.",
                LENGTH,
            ),
            q(
                "pads.travel",
                "How far the screw raises the pad",
                "From fully down to fully up; nothing if it has no screw.",
                LENGTH,
            ),
            q(
                "pads.surface",
                "Face of the pads",
                "It decides the grip that is counted on. Painted metal is smooth.",
                Kind::OneOf(&[
                    ("rubber", "Rubber, in good order"),
                    ("rough metal", "Rough metal"),
                    ("smooth metal", "Smooth or painted metal"),
                    ("oily", "Oily"),
                ]),
            ),
            q(
                "pads.stack_most",
                "Adapters that may be stacked on one pad",
                "As the manual says; 0 if none.",
                Kind::Count,
            ),
            q(
                "pads.adapters",
                "Adapters in the kit",
                "A row for each height: how much it raises the pad, and how many there are.",
                Kind::Rows(KITS, ADAPTERS),
            )
            .or("No adapters", "pads are used as they are")
            .goes(Write::Elsewhere),
        ],
    );
    part(
        "Rise",
        vec![
            q(
                "rise.locks",
                "Rise to each lock",
                "Mark the carriage when fully down. Raise the empty lift, let it down onto each lock, tape from the mark. All of them, lowest first.",
                Kind::List(Length::KIND),
            ),
            q("rise.most", "Rise to the top", "The same at the very top.", LENGTH),
        ],
    );
    part(
        MARKS_OF_PLATE,
        vec![
            q(
                "plate",
                "Does the plate say where the front wheel stands?",
                "Some plates give a mark on the floor for each band of wheelbases.",
                YES_NO,
            )
            .goes(Write::Nowhere),
        ],
    );
    if chosen(answers, "plate") == Some("yes") {
        part(MARKS_OF_PLATE, vec![
            q("plate.bands", "Marks and their wheelbases", "As on the plate, shortest first: under 105 in, 105 in to 127 in, over 127 in. Tape from the column line to the mark.", Kind::Rows(MARKS, BANDS)).goes(Write::Elsewhere),
            q("plate.wheel_tolerance", "How far the wheel may be from its mark", "As the plate says.", LENGTH)
                .or("It does not say", "25 mm, project default"),
        ]);
    }
    all
}

/// What does not stand under the key of its question.
pub(crate) fn rest(written: &mut Written, questions: &[Question], answers: &Answers) {
    for (group, arms, _) in groups(answers) {
        let prefix = format!("arms.{group}.");
        for arm in arms {
            for question in questions.iter().filter(|q| q.key.starts_with(&prefix)) {
                let name = question.key.trim_start_matches(prefix.as_str());
                let key = format!("arms.{arm}.{name}");
                match said(answers, &question.key) {
                    // Where all four are alike the rear pins mirror the front ones.
                    Said::Answer(answer) if name == "pivot" => {
                        let ahead = answer.get("way").is_none_or(|way| way == "ahead");
                        let way = if ahead == (*arm == group) { "ahead" } else { "behind" };
                        written.put(&format!("{}{key}_{way} = ", written::heading(question, answers)));
                        written.value(&question.key, &quoted(&figure(answer)));
                        written.put("\n");
                    }
                    _ => written.line(question, &key, answers),
                }
            }
        }
    }
    table(written, answers, "permitted_front_share", (1, SHARES), |written, key, rows| {
        written.put("permitted_front_share = [");
        for (cell, column) in rows.iter().flat_map(|row| &row.1).zip(SHARES) {
            written.cell((key, 0), column.key, &quoted(cell));
            written.put(", ");
        }
        written.put("]\n");
    });
    table(written, answers, "pads.adapters", (KITS, ADAPTERS), |written, key, rows| {
        written.put("pads.adapters = [\n");
        for (number, row) in rows {
            written::row(
                written,
                (key, *number),
                &[("height", Value::Text(&row[0])), ("count", Value::Count(&row[1]))],
            );
        }
        written.put("]\n");
    });
    if chosen(answers, "plate") == Some("yes") {
        if !matches!(said(answers, "plate.bands"), Said::Answer(_)) {
            written.put("plate.bands = [{ mark = \"A\", front_wheel_ahead = \"1 m\", wheelbase = ");
            written.open("plate.bands");
            written.put(" }]\n");
        }
        table(written, answers, "plate.bands", (MARKS, BANDS), |written, key, rows| {
            written.put("plate.bands = [\n");
            for (number, row) in rows {
                let way = if row[3] == "behind" { "front_wheel_behind" } else { "front_wheel_ahead" };
                let cells = [("mark", &row[0]), ("wheelbase", &row[1]), (way, &row[2])];
                written::row(written, (key, *number), &cells.map(|(name, text)| (name, Value::Text(text))));
            }
            written.put("]\n");
        });
    }
}

/// What the other answers say of those that steer what is asked.
pub(crate) fn steer(answers: &mut Answers) {
    let given = |begins: &str| answers.keys().any(|key| key.starts_with(begins));
    let sides = ["arms.front_left.", "arms.front_right.", "arms.rear_left.", "arms.rear_right."];
    let alike = if sides.into_iter().any(given) {
        "none"
    } else if given("arms.rear.") {
        "pairs"
    } else {
        "all"
    };
    let plate = if given("plate.") { "yes" } else { "no" };
    answers.insert(ALIKE.to_owned(), one_word(alike));
    answers.insert("plate".to_owned(), one_word(plate));
}

/// Answers with which, one after another, everything is asked.
pub(crate) fn ways() -> Vec<Answers> {
    let ahead = ("bay.ahead".to_owned(), one_word("3 m"));
    let plate = ("plate".to_owned(), one_word("yes"));
    ["pairs", "none"]
        .map(|alike| [ahead.clone(), plate.clone(), (ALIKE.to_owned(), one_word(alike))].into())
        .into()
}

/// The rows of an answer, if there are any.
pub(crate) fn table(
    written: &mut Written,
    answers: &Answers,
    key: &str,
    (count, columns): (usize, &[Column]),
    put: impl FnOnce(&mut Written, &str, &[Filled]),
) {
    if let Said::Answer(answer) = said(answers, key) {
        put(written, key, &rows(answer, count, columns));
    }
}
