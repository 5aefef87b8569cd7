//! What is asked of a vehicle: few figures to begin, all others whenever somebody has the tape at hand.

use clap::ValueEnum;
use planner::vehicle::BodyClass;
use statics::{Angle, Length, Mass};

use super::lift::table;
use super::question::{Answer, Answers, Cell, Column, Kind, Question, Said, Write, chosen, one_word, said};
use super::written::{self, Value, Written, quoted};
use crate::convert;
use crate::input::quantity::{Quantity, Share};
use crate::wire::vehicle as wire;

const LENGTH: Kind = Kind::Figure { of: Length::KIND, doubt: false };
/// With how far it may be off.
const TAPED: Kind = Kind::Figure { of: Length::KIND, doubt: true };
const WEIGHED: Kind = Kind::Figure { of: Mass::KIND, doubt: true };
const WAY: &str = "weight.way";
/// Answered where a file beside the table tells all lifting areas.
const AREAS: &str = "lift-areas.told";
const SIDES: Cell = Cell::OneOf(&[("both", "both sides"), ("left", "left"), ("right", "right")]);
const KEEP_OUTS: &[Column] = &[
    Column { key: "name", label: "What", cell: Cell::Words },
    Column { key: "side", label: "Side", cell: SIDES },
    Column {
        key: "strip.from.aft",
        label: "Begins, behind the front axle",
        cell: Cell::Figure(Length::KIND),
    },
    Column { key: "strip.from.left", label: "Begins, left of the middle", cell: Cell::Figure(Length::KIND) },
    Column { key: "strip.to.aft", label: "Ends, behind the front axle", cell: Cell::Figure(Length::KIND) },
    Column { key: "strip.to.left", label: "Ends, left of the middle", cell: Cell::Figure(Length::KIND) },
    Column { key: "strip.width", label: "Width", cell: Cell::Figure(Length::KIND) },
];
const DOORS: &[Column] = &[
    Column { key: "name", label: "Which door", cell: Cell::Words },
    Column { key: "side", label: "Side", cell: SIDES },
    Column { key: "hinge.aft", label: "Hinge, behind the front axle", cell: Cell::Figure(Length::KIND) },
    Column { key: "hinge.left", label: "Hinge, left of the middle", cell: Cell::Figure(Length::KIND) },
    Column { key: "length", label: "Hinge to free edge", cell: Cell::Figure(Length::KIND) },
    Column { key: "opens", label: "Opens, degrees", cell: Cell::Figure(Angle::KIND) },
];
const ROWS: usize = 4;
/// Whether somebody looked, and what they wrote down if there was something.
const LOOKED_AT: [(&str, &[&str]); 3] = [
    ("keep-outs.looked", &["keep_outs"]),
    ("doors.looked", &["doors"]),
    ("mirrors.looked", &["outline.mirror_width", "outline.mirror_aft"]),
];
const LOOKED: &[(&str, &str)] = &[("some", "There are some"), ("none", "Looked: none")];
const FROM_CLASS: &str = "its class of body stands for it, at the end that serves the plan worst";

/// What a plan needs comes first.
pub(crate) fn questions(answers: &Answers) -> Vec<Question> {
    let mut all = vec![];
    let mut part = |part: &'static str, questions: Vec<Question>| {
        all.extend(questions.into_iter().map(|q| Question { part, ..q }));
    };
    let q = Question::new;
    part("To begin with", vec![
        q("class", "Class of body", "What nobody measured is taken from it, at its worst.", Kind::OneOf(&[
            ("hatchback", "Hatchback"), ("sedan", "Sedan"), ("wagon", "Wagon"), ("suv", "SUV"), ("minivan", "Minivan"),
            ("van", "Van"), ("pickup", "Pickup"), ("coupe", "Coupe"), ("convertible", "Convertible"),
        ])),
        q("drive", "Driven wheels", "For the split of the weight, where no axle is weighed.", Kind::OneOf(&[
            ("front", "Front"), ("rear", "Rear"), ("all", "All"), ("battery", "Battery vehicle, whichever wheels"),
        ])),
        q("wheelbase", "Wheelbase", "Vehicle level, wheels straight. From the middle of the front hub to the middle of the rear hub, left side. Never the overall length.", TAPED).goes(Write::Elsewhere),
        q(WAY, "What is known of the weight?", "The last is best. Unladen, tank as it is.", Kind::OneOf(&[
            ("total", "The whole vehicle"), ("share", "The whole, and the front axle's share"), ("axles", "Each axle on a scale"), ("wheels", "Each wheel on a scale"),
        ])).goes(Write::Nowhere),
    ]);
    let total =
        || q("weight.total", "Mass of the whole vehicle", "Unladen, from its papers or on a scale.", WEIGHED);
    part(
        "To begin with",
        match chosen(answers, WAY) {
            Some("axles") => vec![
                q(
                    "weight.front_axle",
                    "Front axle on the scale",
                    "Both front wheels on it, vehicle level.",
                    WEIGHED,
                ),
                q(
                    "weight.rear_axle",
                    "Rear axle on the scale",
                    "Both rear wheels on it, vehicle level.",
                    WEIGHED,
                ),
            ],
            Some("wheels") => vec![
                q(
                    "weight.front_left",
                    "Front left wheel on the scale",
                    "Its own left. The other three at the same height.",
                    WEIGHED,
                ),
                q(
                    "weight.front_right",
                    "Front right wheel on the scale",
                    "The other three at the same height.",
                    WEIGHED,
                ),
                q(
                    "weight.rear_left",
                    "Rear left wheel on the scale",
                    "The other three at the same height.",
                    WEIGHED,
                ),
                q(
                    "weight.rear_right",
                    "Rear right wheel on the scale",
                    "The other three at the same height.",
                    WEIGHED,
                ),
            ],
            Some("share") => vec![
                total(),
                q(
                    "weight.front_share",
                    "Front axle's share",
                    "Of the whole, in per cent.",
                    Kind::Figure { of: Share::KIND, doubt: true },
                ),
            ],
            _ => vec![total()],
        },
    );
    part("To begin with", vec![
        q("front.aft", "Front lifting point: behind the front hub", "From the vehicle maker's manual, never from the look of it. Along the left side, from the middle of the front hub back to the middle of the lifting point.", TAPED).goes(Write::Elsewhere),
        q("front.left", "Front lifting point: left of the middle", "From the vehicle's middle out to the lifting point: half of left point to right point.", TAPED).goes(Write::Elsewhere),
        q("rear.aft", "Rear lifting point: behind the front hub", "Still from the front hub: back to the middle of the rear lifting point.", TAPED).goes(Write::Elsewhere),
        q("rear.left", "Rear lifting point: left of the middle", "Half of left point to right point.", TAPED).goes(Write::Elsewhere),
    ]);
    let later = |q: Question| q.later();
    let guessed =
        |key: &str, title, how, kind| q(key, title, how, kind).or("Not measured", FROM_CLASS).later();
    part(
        "Under it",
        vec![
            guessed(
                "front.underside",
                "Ground to the front lifting point",
                "Vehicle on its wheels: from the ground up to where the pad will touch.",
                LENGTH,
            )
            .goes(Write::Elsewhere),
            guessed("rear.underside", "Ground to the rear lifting point", "The same at the rear.", LENGTH)
                .goes(Write::Elsewhere),
        ],
    );
    for (end, questions) in ["front", "rear"].into_iter().zip(bounds()) {
        let stretch = chosen(answers, &format!("{end}.shape")) == Some("stretch");
        part("Under it", questions.into_iter().take(if stretch { 5 } else { 1 }).collect());
    }
    part("Under it", vec![
        guessed("sill_height", "Lowest underside between the wheels", "From the ground, where the arms pass under.", LENGTH),
        guessed("droop", "How far the wheels drop", "Hub to wheel arch: lifted, and standing; the difference.", TAPED),
        q("seat", "How does the pad sit?", "A sill seam can stand in the slot of a pad.", Kind::OneOf(&[("flat", "Flat against flat"), ("seam in slot", "Seam in a slot")]))
            .or("Not known", "flat").goes(Write::Elsewhere).later(),
        q("keep-outs.looked", "Lines, tanks, plastic near the pads?", "Look around every lifting point and along the way of the arms: brake and fuel lines, plastic, a battery case.", Kind::OneOf(LOOKED))
            .or("Nobody looked", "the plan asks for a look before the raise").goes(Write::Nowhere).later(),
    ]);
    if chosen(answers, "keep-outs.looked") == Some("some") {
        part("Under it", vec![later(q("keep_outs", "Where nothing may press", "A strip for each: where its middle line begins and ends, and its width. Right of the middle is negative.", Kind::Rows(ROWS, KEEP_OUTS)).goes(Write::Elsewhere))]);
    }
    part(
        "Outside",
        vec![
            guessed("outline.length", "Overall length", "Bumper to bumper.", LENGTH),
            guessed(
                "outline.front_overhang",
                "Front hub to the front bumper",
                "From the middle of the front hub ahead to the foremost point.",
                LENGTH,
            ),
            guessed("outline.width", "Width without mirrors", "Over the widest part of the body.", LENGTH),
            guessed("outline.roof", "Ground to the roof", "To its highest point, aerial folded.", LENGTH),
            q(
                "mirrors.looked",
                "Do the mirrors stick out?",
                "As they are when driving in.",
                Kind::OneOf(LOOKED),
            )
            .or("Not measured", FROM_CLASS)
            .goes(Write::Nowhere)
            .later(),
        ],
    );
    if chosen(answers, "mirrors.looked") == Some("some") {
        part(
            "Outside",
            vec![
                later(q(
                    "outline.mirror_width",
                    "Width over both mirrors",
                    "As they are when driving in.",
                    LENGTH,
                )),
                later(q(
                    "outline.mirror_aft",
                    "Front hub back to the mirrors",
                    "Along the vehicle; negative if they are ahead of the hub.",
                    LENGTH,
                )),
            ],
        );
    }
    part(
        "Outside",
        vec![
            q(
                "doors.looked",
                "Doors beside a column?",
                "Those that must open while it stands between the columns.",
                Kind::OneOf(LOOKED),
            )
            .or("Not measured", "whether a door opens beside a column is not known")
            .goes(Write::Nowhere)
            .later(),
        ],
    );
    if chosen(answers, "doors.looked") == Some("some") {
        part(
            "Outside",
            vec![later(
                q(
                    "doors",
                    "Doors",
                    "Middle of the hinge, hinge to free edge, how wide it opens.",
                    Kind::Rows(ROWS, DOORS),
                )
                .goes(Write::Elsewhere),
            )],
        );
    }
    part(
        "Wheels",
        vec![
            guessed(
                "wheels.track_front",
                "Track in front",
                "Between the middles of the two front tyres.",
                LENGTH,
            ),
            guessed(
                "wheels.track_rear",
                "Track at the rear",
                "Between the middles of the two rear tyres.",
                LENGTH,
            ),
            guessed("wheels.tyre_diameter", "Height of a tyre", "Over the tyre, or from its size.", LENGTH),
            guessed("wheels.tyre_width", "Width of a tyre", "Across the tyre, at its widest.", LENGTH),
        ],
    );
    part(
        "More",
        vec![
            later(
                q(
                    "wheelbase_right",
                    "Wheelbase on the right side",
                    "The same as on the left, for a check of the tape, and of the axles.",
                    TAPED,
                )
                .or("Not measured", "the left side alone counts")
                .goes(Write::Elsewhere),
            ),
            guessed(
                "cg_height",
                "Height of the centre of gravity",
                "Only if it was found by weighing with one axle raised.",
                TAPED,
            ),
            q(
                "frame",
                "How is the body built?",
                "A ladder frame shows as two rails from front to rear.",
                Kind::OneOf(&[("unibody", "Self-supporting body"), ("frame rails", "On a ladder frame")]),
            )
            .or("Not known", "by its class")
            .later(),
        ],
    );
    if are_told_elsewhere(answers) {
        let of_areas = |key: &str| key.starts_with("front.") || key.starts_with("rear.") || key == "seat";
        all.retain(|question| !of_areas(&question.key));
    }
    all
}

/// Notes that a file beside the table tells all lifting areas.
pub(super) fn told_elsewhere(answers: &mut Answers) {
    answers.insert(AREAS.to_owned(), one_word("elsewhere"));
}

fn are_told_elsewhere(answers: &Answers) -> bool {
    answers.contains_key(AREAS)
}

/// How far a lifting point reaches, front and rear: what it is, where it begins and ends, its inner and its outer edge.
fn bounds() -> [Vec<Question>; 2] {
    const SHAPE: Kind =
        Kind::OneOf(&[("point", "One place for the pad"), ("stretch", "A stretch along the vehicle")]);
    const LOOK: &str = "From the vehicle maker's manual: one place, or a stretch of sill or rail along which the pad's middle may stand. Along a stretch the plan may choose.";
    const HOWS: [&str; 4] = [
        "From the middle of the front hub back to where the stretch begins. In doubt the shorter stretch: what it may be off is not counted here.",
        "From the middle of the front hub back to where it ends. In doubt the shorter stretch.",
        "From the vehicle's middle out to the inner edge on which the pad bears. In doubt farther out.",
        "From the vehicle's middle out to the outer edge on which the pad bears. In doubt farther in.",
    ];
    let asked = |keys: [&str; 5], titles: [&'static str; 5]| {
        let q =
            |k: usize, how, kind| Question::new(keys[k], titles[k], how, kind).goes(Write::Elsewhere).later();
        let shape =
            q(0, LOOK, SHAPE).or("Nobody looked", "the pad stands at its middle").goes(Write::Nowhere);
        [shape].into_iter().chain((1..5).zip(HOWS).map(|(k, how)| q(k, how, LENGTH))).collect()
    };
    [
        asked(
            ["front.shape", "front.begins", "front.ends", "front.inner", "front.outer"],
            [
                "Front lifting point: one place, or a stretch?",
                "Front lifting point: where it begins",
                "Front lifting point: where it ends",
                "Front lifting point: its inner edge",
                "Front lifting point: its outer edge",
            ],
        ),
        asked(
            ["rear.shape", "rear.begins", "rear.ends", "rear.inner", "rear.outer"],
            [
                "Rear lifting point: one place, or a stretch?",
                "Rear lifting point: where it begins",
                "Rear lifting point: where it ends",
                "Rear lifting point: its inner edge",
                "Rear lifting point: its outer edge",
            ],
        ),
    ]
}

fn areas(written: &mut Written, answers: &Answers) {
    written.put("lift_areas = [\n");
    for end in ["front", "rear"] {
        written.put(&format!("  {{ name = \"{end} lifting point\", end = \"{end}\", side = \"both\", "));
        let place = |written: &mut Written, [aft, left]: [&str; 2]| {
            written.put("[");
            written.figure(answers, &format!("{end}.{aft}"));
            written.put(", ");
            written.figure(answers, &format!("{end}.{left}"));
            written.put("]");
        };
        if chosen(answers, &format!("{end}.shape")) == Some("stretch") {
            written.put("corners = [");
            for corner in [["begins", "inner"], ["begins", "outer"], ["ends", "outer"], ["ends", "inner"]] {
                place(written, corner);
                written.put(", ");
            }
            written.put("]");
        } else {
            written.put("at = ");
            place(written, ["aft", "left"]);
        }
        let underside = format!("{end}.underside");
        if let Said::Answer(_) = said(answers, &underside) {
            written.put(", underside = ");
            written.figure(answers, &underside);
        }
        if let Some(seat) = chosen(answers, "seat") {
            written.put(", seat = ");
            written.value("seat", &quoted(seat));
        }
        written.put(" },\n");
    }
    written.put("]\n");
}

/// What does not stand under the key of its question.
pub(crate) fn rest(written: &mut Written, questions: &[Question], answers: &Answers) {
    // Where both sides are measured each has a key of its own.
    let both = matches!(said(answers, "wheelbase_right"), Said::Answer(_));
    for (question, key) in [
        ("wheelbase", if both { "wheelbase_left" } else { "wheelbase" }),
        ("wheelbase_right", "wheelbase_right"),
    ] {
        if let Some(question) = questions.iter().find(|q| q.key == question) {
            written.line(question, key, answers);
        }
    }
    // What nobody looked at is left out.
    for (looked, keys) in LOOKED_AT {
        if chosen(answers, looked) == Some("none") {
            written.put(&format!("{} = \"none\"\n", keys[0]));
        }
    }
    if !are_told_elsewhere(answers) {
        areas(written, answers);
    }
    let some = |key: &str| chosen(answers, key) == Some("some");
    let side = |text: &str| if text.is_empty() { "both".to_owned() } else { text.to_owned() };
    for (looked, key) in [("keep-outs.looked", "keep_outs"), ("doors.looked", "doors")] {
        if some(looked) && !matches!(said(answers, key), Said::Answer(_)) {
            written.missing(key);
        }
    }
    if some("keep-outs.looked") {
        table(written, answers, "keep_outs", (ROWS, KEEP_OUTS), |written, key, rows| {
            written.put("keep_outs = [\n");
            for (number, row) in rows {
                let strip = [("strip.from", [&row[2], &row[3]]), ("strip.to", [&row[4], &row[5]])];
                let strip = strip.map(|(name, [aft, left])| (name, Value::Place([aft, left])));
                let side = side(&row[1]);
                let cells = [("name", Value::Text(&row[0])), ("side", Value::Text(&side))].into_iter();
                let cells: Vec<_> =
                    cells.chain(strip).chain([("strip.width", Value::Text(&row[6]))]).collect();
                written::row(written, (key, *number), &cells);
            }
            written.put("]\n");
        });
    }
    if some("doors.looked") {
        table(written, answers, "doors", (ROWS, DOORS), |written, key, rows| {
            written.put("doors = [\n");
            for (number, row) in rows {
                let side = side(&row[1]);
                let cells = [
                    ("name", Value::Text(&row[0])),
                    ("side", Value::Text(&side)),
                    ("hinge", Value::Place([&row[2], &row[3]])),
                    ("length", Value::Text(&row[4])),
                    ("opens", Value::Text(&row[5])),
                ];
                written::row(written, (key, *number), &cells);
            }
            written.put("]\n");
        });
    }
}

/// What the other answers say of those that steer what is asked; "none" of what was looked at is no figure.
pub(crate) fn steer(answers: &mut Answers) {
    let given = |answers: &Answers, begins: &str| answers.keys().any(|key| key.starts_with(begins));
    let is_none = |answer: &Answer| {
        let said = answer.get("value").is_some_and(|text| text.eq_ignore_ascii_case("none"));
        said && answer.keys().all(|field| ["value", "unit"].contains(&field.as_str()))
    };
    for (looked, keys) in LOOKED_AT {
        if answers.get(keys[0]).is_some_and(is_none) {
            answers.remove(keys[0]);
            answers.insert(looked.to_owned(), one_word("none"));
        } else if keys.iter().any(|key| answers.contains_key(*key)) {
            answers.insert(looked.to_owned(), one_word("some"));
        }
    }
    let wheel = ["weight.front_left", "weight.front_right", "weight.rear_left", "weight.rear_right"];
    let way = if wheel.iter().any(|key| given(answers, key)) {
        "wheels"
    } else if given(answers, "weight.front_axle") || given(answers, "weight.rear_axle") {
        "axles"
    } else if given(answers, "weight.front_share") {
        "share"
    } else {
        "total"
    };
    answers.insert(WAY.to_owned(), one_word(way));
}

/// The question whether somebody looked for it.
pub(crate) fn looked(key: &str) -> Option<&'static str> {
    LOOKED_AT.iter().find(|(_, keys)| keys[0] == key).map(|(looked, _)| *looked)
}

/// Answers with which, one after another, everything is asked.
pub(crate) fn ways() -> Vec<Answers> {
    let looked = LOOKED_AT.map(|(looked, _)| (looked.to_owned(), one_word("some")));
    let way = |word: &str| looked.iter().cloned().chain([(WAY.to_owned(), one_word(word))]).collect();
    ["total", "share", "axles", "wheels"].map(way).into()
}

/// The class that a word of the file names.
pub(crate) fn class(word: &str) -> Option<BodyClass> {
    wire::Class::from_str(word, false).ok().map(convert::vehicle::class)
}
