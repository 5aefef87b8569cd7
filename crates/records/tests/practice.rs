//! Situations to practise on, and attempts.

#![allow(clippy::expect_used, clippy::panic, reason = "a test ends where it fails")]

mod common;

use common::*;
use records::*;

#[test]
fn a_situation_is_kept_with_its_files_and_tried_by_anybody() {
    let mut world = World::ready();
    let facts = world.must("teach", &Command::SetPractice(practice()));
    let [Fact::PracticeSet { practice: number, situation }] = facts.as_slice() else { panic!("{facts:?}") };
    assert_eq!(*number, PracticeNumber(1));
    assert_eq!(situation.inputs["vehicle"], Digest::of("the vehicle's file"));
    assert_eq!(facts[0].documents(), situation.inputs.values().copied().collect::<Vec<_>>());
    // A learner alone, neither authorised nor with a second person: nothing moves.
    let facts = world.must("learn", &attempt(Practised::Set(*number)));
    assert_eq!(facts[0].subjects(), [Subject::Practice(Practised::Set(PracticeNumber(1)))]);
    assert_eq!(facts[0].documents(), [Digest::of("the setup")]);
    world.must("learn", &attempt(Practised::Invented("a-first-spot".into())));
}

#[test]
fn what_is_no_situation_is_refused_for_every_reason() {
    let mut world = World::ready();
    let empty = NewPractice { name: " ".into(), inputs: [].into(), ..practice() };
    let why = world.refused("teach", &Command::SetPractice(empty));
    assert_eq!(
        why,
        [Refusal::Blank("name"), Refusal::PracticeLacks("lift"), Refusal::PracticeLacks("vehicle")]
    );
    let none = attempt(Practised::Set(PracticeNumber(1)));
    assert_eq!(world.refused("learn", &none), [Refusal::NoSuchPractice(PracticeNumber(1))]);
}

#[test]
fn a_situation_struck_out_is_gone_and_its_number_is_not_given_again() {
    let mut world = World::ready();
    world.must("teach", &Command::SetPractice(practice()));
    let event = world.shop.head.seq;
    world.must("lead", &Command::Correct { event, words: "wrong vehicle".into() });
    assert!(world.shop.practices.is_empty());
    let first = attempt(Practised::Set(PracticeNumber(1)));
    assert_eq!(world.refused("learn", &first), [Refusal::NoSuchPractice(PracticeNumber(1))]);
    let facts = world.must("teach", &Command::SetPractice(practice()));
    assert!(matches!(facts[0], Fact::PracticeSet { practice: PracticeNumber(2), .. }));
}
