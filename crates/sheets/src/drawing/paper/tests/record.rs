//! Records of a book on paper.

use super::super::super::Text;
use super::{Page, Paper, Part, bare, is_whole, said, text_of, texts};
use crate::drawing::paper::{Record, Section};

/// What a type does not have is drawn as a box, and the record says where.
#[test]
fn a_record_in_other_signs_says_so() {
    let row = |text: &str| ("Serial number".to_owned(), text.to_owned());
    let record = |title: &str, text: &str| Record {
        title: title.into(),
        sections: vec![Section { heading: "The lift".into(), rows: vec![row("12"), row(text)] }],
        signed: vec![],
        foot: "From a book".into(),
    };
    let odd = record("Examination 1 of \u{8eca}", "first line\n\u{645}\u{631}");
    assert_eq!(odd.not_printed(), ["the title (U+8ECA)", "\u{201c}Serial number\u{201d} (U+0645 U+0631)"]);
    let all = bare(&said(&crate::record_sheets(&odd, Paper::A4)));
    assert!(all.contains("Cannotbeprinted") && all.contains("thetitle(U+8ECA)"), "{all}");
    let plain = record("Examination 1", "first line\nsecond \u{d7} \u{e9}");
    assert!(plain.not_printed().is_empty());
    assert!(!said(&crate::record_sheets(&plain, Paper::A4)).contains("Cannot be printed"));
}

/// Nobody signs a page that says nothing: what is signed has the end of what it is about above it, and no page more is taken for
/// that than smaller type can save.
#[test]
fn what_is_signed_never_stands_alone() {
    let row = |k: usize| (format!("label {k}"), "text that is said ".repeat(1 + k % 9));
    let mut saved = 0;
    for paper in [Paper::A4, Paper::Letter] {
        for (count, long) in (1..70).flat_map(|count| [(count, 0), (count, 40)]) {
            let mut rows: Vec<_> = (0..count).map(row).collect();
            rows.push(("the last".into(), "words that go on ".repeat(long + 1)));
            let record = Record {
                title: "A record".into(),
                sections: vec![Section { heading: "Rows".into(), rows }],
                signed: vec!["Examiner".into(), "For the shop".into()],
                foot: "From a book".into(),
            };
            let document = crate::record_sheets(&record, paper);
            is_whole("record", &document);
            let signs = |page: &Page| texts(page).iter().filter(|text| text.says == "Day").count();
            let last = document.pages.last().unwrap();
            assert_eq!(signs(last), 2, "{paper:?}, {count}, {long}");
            let has_rows = last.parts.iter().any(|part| matches!(part, Part::Table(_)));
            assert!(has_rows, "{paper:?}, {count}, {long}: the signatures stand alone");
            let sizes =
                texts(last).into_iter().filter(|text| text.says.contains("words that")).map(|t| t.size);
            saved += usize::from(sizes.fold(f64::INFINITY, f64::min) < 3.4);
        }
    }
    assert!(saved > 0, "smaller type saves a page somewhere");
}

/// The longest names make the title longer, not smaller than what stands below it.
#[test]
fn a_long_title_is_wrapped() {
    let record = |title: String| Record {
        title,
        sections: vec![Section { heading: "Rows".into(), rows: vec![("label".into(), "text".into())] }],
        signed: vec![],
        foot: "From a book".into(),
    };
    for paper in [Paper::A4, Paper::Letter] {
        let title = format!("Raise 1: {} on {}", "W".repeat(60), "LONG NAME ".repeat(6));
        let document = crate::record_sheets(&record(title.trim().to_owned()), paper);
        is_whole("a long title", &document);
        let heading =
            document.pages[0].parts.iter().find(|part| matches!(part, Part::Heading(1, _))).unwrap();
        let lines: Vec<&Text> = heading.items().filter_map(text_of).collect();
        assert!(lines.len() > 1 && lines.iter().all(|line| line.size >= 5.0), "{lines:?}");
        let short = crate::record_sheets(&record("Raise 1".into()), paper);
        let lines = short.pages[0].parts[0].items().filter_map(text_of).map(|text| text.size);
        assert_eq!(lines.collect::<Vec<_>>(), [7.5]);
    }
}

#[test]
fn a_record_goes_on_as_long_as_it_must() {
    let row =
        |k: usize| (format!("label {k} that is rather long and wraps"), format!("text {k} ").repeat(40));
    let record = Record {
        title: "A record".into(),
        sections: vec![
            Section { heading: "None".into(), rows: vec![] },
            Section { heading: "Many".into(), rows: (0..40).map(row).collect() },
            Section { heading: "One long".into(), rows: vec![("long".into(), "marmalade ".repeat(1500))] },
        ],
        signed: vec!["Examiner".into(), "For the shop".into()],
        foot: "From a book".into(),
    };
    for paper in [Paper::A4, Paper::Letter] {
        let document = crate::record_sheets(&record, paper);
        is_whole("record", &document);
        let all = bare(&said(&document));
        assert!(!all.contains("None") && all.contains("page1of"));
        for (label, text) in record.sections.iter().flat_map(|s| &s.rows) {
            assert!(all.contains(&bare(label)), "{label}");
            assert_eq!(all.matches("marmalade").count(), 1500, "nothing is lost");
            assert!(text.starts_with("marmalade") || all.contains(bare(text).get(..12).unwrap()), "{text}");
        }
        assert!(crate::pdf(&document).is_ok());
    }
}
