//! What may stand in the texts of the book: nothing that could pass for something else.

#![allow(clippy::expect_used, clippy::panic, reason = "a test ends where it fails")]

mod common;

use common::place::File;
use common::*;
use records::*;

#[test]
fn signs_that_are_not_seen_do_not_come_in() {
    let mut world = World::ready();
    for sign in ['\u{1b}', '\u{7}', '\u{202e}', '\u{200b}', '\u{2066}', '\0', '\r', '\u{9b}', '\u{feff}'] {
        let words = format!("oil{sign} on the floor");
        for (by, command, field) in [
            ("tech", Command::ReportIncident { lift: None, raise: None, words: words.clone() }, "words"),
            ("lead", Command::TagOut { lift: lift("north-bay"), words: words.clone() }, "words"),
            (
                "lead",
                Command::AdmitPerson(Admission { name: words.clone(), ..admission("new", Role::Lead) }),
                "name",
            ),
            (
                "lead",
                Command::EnterLift {
                    sheet: LiftSheet { load_split: Some(words.clone()), ..sheet() },
                    file: Document::new("file"),
                },
                "load split",
            ),
        ] {
            let found = world.refused(by, &command);
            assert!(found.contains(&Refusal::HiddenSign(field.into(), sign)), "{sign:?}: {found:?}");
            assert!(found.iter().all(|r| !r.to_string().contains(sign)), "it is not repeated");
        }
    }
}

#[test]
fn only_long_texts_have_lines() {
    let mut world = World::ready();
    let incident = |words: &str| Command::ReportIncident { lift: None, raise: None, words: words.into() };
    world.must("tech", &incident("a wrench fell\r\nnobody was hurt\n\tthe floor was"));
    let name = Admission { name: "T.\nAsh".into(), ..admission("new", Role::Technician) };
    let found = world.refused("lead", &Command::AdmitPerson(name));
    assert_eq!(found, [Refusal::HiddenSign("name".into(), '\n')]);
    let found = world.refused("tech", &incident(&"x".repeat(4001)));
    assert_eq!(found, [Refusal::TooLong("words".into(), 4001, 4000)]);
    world.must("tech", &incident(&"x".repeat(4000)));
    let name = Admission { name: "x".repeat(201), ..admission("new", Role::Technician) };
    let found = world.refused("lead", &Command::AdmitPerson(name));
    assert_eq!(found, [Refusal::TooLong("name".into(), 201, 200)]);
}

#[tokio::test]
async fn nor_at_the_beginning_of_a_book() {
    for (shop, name) in [("Linden\u{202e}hof", "lead"), ("Lindenhof", "lead\u{7}")] {
        let file = File::new();
        let lead = Admission { name: name.into(), ..admission("lead", Role::Lead) };
        let opening = Opening { shop: shop.into(), lead, ..opening() };
        let made = Book::create(&file.place(), at(MORNING), opening).await;
        assert!(matches!(made, Err(Failure::Refused(all)) if all.len() == 1), "{shop:?} {name:?}");
    }
}
