//! How a question looks on a page.

use maud::{Markup, PreEscaped, html};
use sheets::Units;
use sheets::words::capital;

use super::draft::Draft;
use super::question::{
    Answer, Answers, Cell, Column, HOW, Kind, Question, Said, Write, doubts, field, figure, list, needs_off,
    rows, said, units, ways_to_measure,
};
use super::written::{Looked, Problem};
use super::{END, Subject, drawing, is_said_to_be_right};
use crate::input::quantity::Kind as Quantity;
use crate::serve::written::{help, of_it, sentence};

/// A question among the others.
pub(super) struct Shown<'a> {
    pub(super) subject: Subject,
    pub(super) questions: &'a [Question],
    pub(super) at: usize,
    pub(super) draft: &'a Draft,
    pub(super) looked: &'a Looked,
    pub(super) then: &'a str,
    pub(super) units: Units,
}

/// The question, where the tape goes, the answer, the way on and back.
pub(super) fn question(shown: &Shown<'_>) -> Markup {
    let question = &shown.questions[shown.at];
    let none = Answer::new();
    let answer = shown.draft.answers.get(&question.key).unwrap_or(&none);
    let title = if shown.subject == Subject::Lift { "Measure a lift" } else { "Measure a vehicle" };
    // What a plan needs first, then the rest: progress is of the part that somebody is in.
    let stretch: Vec<usize> =
        (0..shown.questions.len()).filter(|k| shown.questions[*k].first == question.first).collect();
    let place = stretch.iter().position(|k| *k == shown.at).map_or(1, |k| k + 1);
    let to = shown.subject.address(&question.key);
    html! {
        p.note { (title) " · " (question.part) " · " (place) " of " (stretch.len()) @if !question.first { ", as many as you like" } }
        progress value=(place) max=(stretch.len()) aria-label="How far along" {}
        div.measure {
            (stage(shown.subject, &shown.draft.answers, question))
            form.sheet method="post" action=(to) data-measure=(shown.subject.word()) data-step=(question.key) {
                h1 { (question.title) }
                p.where { (question.how) }
                (problems(shown.looked.about(&question.key), &shown.draft.answers, shown.questions, &question.key))
                (fields(question, answer, shown.draft, shown.units))
                input type="hidden" name="then" value=(shown.then);
                div.on {
                    @if !matches!(question.kind, Kind::OneOf(_)) || field(answer, "value").is_some() {
                        button.main name="do" value="on" { "Next" }
                    }
                    @if let Some(out) = question.out { button name="do" value="out" formnovalidate { (out.says) } }
                    button name="do" value="back" formnovalidate { "Back" }
                }
                @if let Some(out) = question.out { p.note { (out.says) ": " (out.then) "." } }
            }
        }
        (elsewhere(shown))
        (so_far(shown.subject, &shown.draft.answers, shown.questions))
    }
}

fn stage(subject: Subject, answers: &Answers, question: &Question) -> Markup {
    let drawn = drawing::picture(subject, answers, &question.key);
    let [wide, high] = drawn.size;
    html! {
        figure.tape {
            svg #stage viewBox={ "0 0 " (wide) " " (high) } role="img" aria-label={ "Heavy, with arrows: " (question.title) ". Dashed: not measured yet." } {
                (PreEscaped(sheets::svg_patterns()))
                rect.paper width=(wide) height=(high) {}
                g #picture { (PreEscaped(sheets::svg_items(&drawn.items))) }
            }
            figcaption.note { "To scale. Dashed: not measured yet, drawn as usual." @if !question.how.is_empty() { " Heavy: the one asked for." } }
        }
    }
}

/// What is wrong with an answer; what is only odd can be said to be right.
fn problems<'a>(
    all: impl Iterator<Item = &'a Problem>,
    answers: &Answers,
    questions: &[Question],
    key: &str,
) -> Markup {
    let right = is_said_to_be_right(answers, key);
    let all: Vec<&Problem> = all.filter(|p| p.is_error || !right).collect();
    let errors = all.iter().any(|p| p.is_error);
    html! {
        @if !all.is_empty() {
            section.told.refused[errors].odd[!errors] role="alert" {
                h2 { @if errors { "This cannot be used" } @else { "Look again" } }
                ul { @for problem in &all { li { (sentence(&capital(&of_it(problem, labels(questions))))) (help(problem)) } } }
                @if !errors { button name="do" value="right" { "It is right, go on" } }
            }
        }
    }
}

/// What each question is called, with the key of its answer.
pub(super) fn labels(questions: &[Question]) -> impl Iterator<Item = (&str, &str)> {
    questions.iter().map(|question| (question.key.as_str(), question.title))
}

/// What is wrong with other answers: each with the way to it.
fn elsewhere(shown: &Shown<'_>) -> Markup {
    let own = &shown.questions[shown.at].key;
    let others: Vec<(&Question, &Problem)> = shown
        .looked
        .problems
        .iter()
        .filter(|p| p.is_error && p.field.as_ref() != Some(own))
        .filter_map(|p| Some((shown.questions.iter().find(|q| Some(&q.key) == p.field.as_ref())?, p)))
        .collect();
    html! {
        @if !others.is_empty() {
            section.told.refused { h2 { "To look at again" } ul {
                @for (question, problem) in others {
                    li { a href=(shown.subject.address(&question.key)) { (question.title) } ": " (sentence(&of_it(problem, labels(shown.questions)))) (help(problem)) }
                }
            } }
        }
    }
}

fn fields(question: &Question, answer: &Answer, draft: &Draft, shown: Units) -> Markup {
    let own = own_fields(question, answer, draft, shown);
    match question.kind {
        Kind::Figure { of, .. } | Kind::Sided { of, .. } | Kind::List(of) if question.asks_how => {
            html! { (own) (how_measured(of, answer, draft)) }
        }
        _ => own,
    }
}

/// How a figure was measured that the file takes as it stands.
fn how_measured(of: &'static Quantity, answer: &Answer, draft: &Draft) -> Markup {
    let habit = draft.habits.get(of.name).and_then(|habit| habit.get(HOW));
    let now = answer.get(HOW).or(habit).map_or("", String::as_str);
    html! {
        label { "How was it measured?"
            select name=(HOW) { @for (word, says) in ways_to_measure(of) { option value=(word) selected[*word == now] { (says) } } }
        }
    }
}

fn own_fields(question: &Question, answer: &Answer, draft: &Draft, shown: Units) -> Markup {
    match question.kind {
        Kind::Figure { of, doubt } => html! {
            (value(question, of, answer, draft, shown))
            @if doubt { (how_sure(of, answer, draft)) }
        },
        Kind::Sided { of, ways } => html! {
            (value(question, of, answer, draft, shown))
            fieldset.ways { legend { "On which side?" }
                @for (k, (says, way)) in ways.iter().enumerate() {
                    @let picked = field(answer, "way").map_or(k == 0, |said| said == *way);
                    label.choice { input type="radio" name="way" value=(way) checked[picked]; (says) }
                }
            }
        },
        Kind::Count => html! {
            label { "How many" input name="value" inputmode="numeric" autocomplete="off" autofocus value=(field(answer, "value").unwrap_or_default()); }
        },
        Kind::OneOf(words) => html! {
            fieldset.ways { legend.skip { (question.title) }
                @for (word, says) in words {
                    button name="value" value=(word) aria-pressed=(field(answer, "value") == Some(word)) { (says) }
                }
            }
        },
        Kind::List(of) => html! {
            label { "One after another, a line each or with spaces between"
                textarea name="value" rows="4" autocomplete="off" autofocus { (answer.get("value").map_or("", String::as_str)) }
            }
            (unit(of, answer, draft, shown))
        },
        Kind::Rows(count, columns) => html! {
            div.rows {
                @for row in 0..count {
                    fieldset.row { legend { (row + 1) }
                        @for (k, column) in columns.iter().enumerate() { (cell(answer, row, k, column)) }
                    }
                }
            }
            @if columns.iter().any(|c| matches!(c.cell, Cell::Figure(of) if of.name == "length")) {
                (unit(<statics::Length as crate::input::quantity::Quantity>::KIND, answer, draft, shown))
            }
        },
    }
}

fn value(question: &Question, of: &'static Quantity, answer: &Answer, draft: &Draft, shown: Units) -> Markup {
    let metric = !matches!(unit_now(of, answer, draft, shown), "in" | "ft");
    let read_off = match question.kind {
        Kind::Figure { doubt: true, .. } if of.name == "mass" => "On the scale or the papers",
        _ if of.name == "mass" => "On the plate or in the manual",
        _ => "It is",
    };
    html! {
        div.figure {
            label { (read_off)
                input name="value" autocomplete="off" autofocus inputmode=(if metric { "decimal" } else { "text" })
                    value=(answer.get("value").map_or("", String::as_str)) aria-label=(question.title);
            }
            (unit(of, answer, draft, shown))
        }
    }
}

/// The unit that was used last for such a thing, else the first that this tablet shows.
fn unit_now<'a>(of: &'static Quantity, answer: &'a Answer, draft: &'a Draft, shown: Units) -> &'a str {
    let habit = || draft.habits.get(of.name).and_then(|habit| field(habit, "unit"));
    field(answer, "unit")
        .or_else(habit)
        .unwrap_or_else(|| units(of, shown).first().copied().unwrap_or_default())
}

fn unit(of: &'static Quantity, answer: &Answer, draft: &Draft, shown: Units) -> Markup {
    let all = units(of, shown);
    let now = unit_now(of, answer, draft, shown);
    html! {
        label.unit { "Unit"
            select name="unit" { @for unit in all { option value=(unit) selected[unit == now] { (unit) } } }
        }
    }
}

/// How it was measured: of that the plan makes how far it may be off.
fn how_sure(of: &'static Quantity, answer: &Answer, draft: &Draft) -> Markup {
    let habit = draft.habits.get(of.name);
    let now = answer.get("doubt").or_else(|| habit?.get("doubt")).map_or(doubts(of)[0].0, String::as_str);
    let off = answer.get("off").or_else(|| habit?.get("off")).map_or("", String::as_str);
    let needs = needs_off(now);
    html! {
        div.sure {
            label { "How was it measured?"
                select name="doubt" { @for (word, says) in doubts(of) { option value=(word) selected[*word == now] { (says) } } }
            }
            label.off[!needs] { "±, or the scale's step e" input name="off" inputmode="decimal" autocomplete="off" value=(off); }
        }
    }
}

fn cell(answer: &Answer, row: usize, k: usize, column: &Column) -> Markup {
    let name = format!("r{row}c{k}");
    let now = answer.get(&name).map_or("", String::as_str);
    html! {
        @match column.cell {
            Cell::OneOf(words) => {
                label { (if column.label.is_empty() { "of the line" } else { column.label })
                    select name=(name) { @for (word, says) in words { option value=(word) selected[*word == now] { (says) } } }
                }
            },
            Cell::Figure(_) | Cell::Count => { label { (column.label) input name=(name) inputmode="decimal" autocomplete="off" value=(now); } },
            Cell::Words => { label { (column.label) input name=(name) autocomplete="off" value=(now); } },
        }
    }
}

/// An answer as a person reads it.
pub(super) fn in_words(answers: &Answers, question: &Question) -> String {
    match (said(answers, &question.key), question.kind) {
        (Said::Nothing, _) => "not measured yet".into(),
        (Said::Out, _) => question.out.map_or_else(String::new, |out| out.says.to_lowercase()),
        (Said::Answer(answer), Kind::OneOf(words)) => {
            let word = field(answer, "value").unwrap_or_default();
            words.iter().find(|w| w.0 == word).map_or(word, |w| w.1).to_lowercase()
        }
        (Said::Answer(answer), Kind::Sided { ways, .. }) => {
            let way = ways.iter().find(|w| field(answer, "way") == Some(w.1)).unwrap_or(&ways[0]);
            format!("{} {}", figure(answer), way.0)
        }
        (Said::Answer(answer), Kind::List(_)) => list(answer).join(", "),
        (Said::Answer(answer), Kind::Rows(count, columns)) => {
            rows(answer, count, columns).iter().map(|(_, row)| row.join(" ")).collect::<Vec<_>>().join("; ")
        }
        (Said::Answer(answer), _) => figure(answer),
    }
}

/// Everything measured so far, each with the way back to it.
pub(super) fn so_far(subject: Subject, answers: &Answers, questions: &[Question]) -> Markup {
    let measured: Vec<&Question> =
        questions.iter().filter(|q| !matches!(said(answers, &q.key), Said::Nothing)).collect();
    html! {
        @if !measured.is_empty() {
            details {
                summary { "Measured so far: " (measured.len()) }
                (listed(subject, answers, &measured))
                p { a.button href=(subject.address(END)) { "To the end: name it and enter it" } }
            }
        }
    }
}

pub(super) fn listed(subject: Subject, answers: &Answers, questions: &[&Question]) -> Markup {
    html! {
        dl.facts {
            @for question in questions {
                div {
                    dt { (question.part) ": " a href={ (subject.address(&question.key)) "?then=" (END) } { (question.title) } }
                    dd { (in_words(answers, question)) @if let Some(how) = question.how_measured(answers) { span.note { " " (how) } } }
                }
            }
        }
    }
}

/// Somebody measured before: go on, or begin anew.
pub(super) fn going_on(subject: Subject, answers: &Answers, questions: &[Question], next: &str) -> Markup {
    let measured = questions.iter().filter(|q| !matches!(said(answers, &q.key), Said::Nothing)).count();
    html! {
        h1 { "You were measuring a " (subject.word()) }
        p { (measured) " of " (questions.len()) " answers are here. They stay until you enter them into the book, begin anew, or the program is stopped." }
        p { a.button.main href=(next) { "Go on" } }
        form method="post" action={ "/measure/" (subject.word()) } { button { "Begin anew: forget them" } }
        (so_far(subject, answers, questions))
    }
}

/// Where whole things are looked at, nothing is asked for.
pub(super) fn whole(subject: Subject, answers: &Answers) -> Markup {
    let none =
        Question::new("", "everything measured so far, to scale", "", Kind::Count).goes(Write::Nowhere);
    stage(subject, answers, &none)
}
