//! `docs/limits.md` is the table of limits that the program uses, and nothing else.

use std::fmt::Write as _;
use std::path::Path;

use planner::limits::{Limit, TABLE};
use planner::plan::Unit;
use sheets::Units;
use statics::Force;

const HEAD: &str = "\
# Limits

Every limit that a setup is held against, with the range that a shop may choose from. No file sets them yet: the defaults
are always in force. Written from the table in `crates/planner/src/limits.rs` by the test in `crates/app/tests/limits.rs`:

    STANDFAST_WRITE=1 cargo test -p app --test limits

| limit | default | range | source | why this size |
|---|---|---|---|---|
";

fn figure(limit: &Limit, value: f64) -> String {
    match limit.unit {
        // A push is read in newtons; other forces as the mass that weighs as much.
        Unit::Newton => Units::Metric.push(Force::newtons(value)),
        unit => Units::Metric.figure(value, unit),
    }
}

fn page() -> String {
    let mut page = HEAD.to_owned();
    for limit in TABLE {
        let [value, least, most] = [limit.value, limit.range.0, limit.range.1].map(|v| figure(limit, v));
        let _ = writeln!(
            page,
            "| {} | {value} | {least} to {most} | {} | {} |",
            limit.title, limit.source, limit.reason
        );
    }
    page
}

#[test]
fn the_page_is_the_table() {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../docs/limits.md");
    if std::env::var_os("STANDFAST_WRITE").is_some() {
        std::fs::write(&path, page()).unwrap();
    }
    let written = std::fs::read_to_string(&path).unwrap();
    assert!(written == page(), "docs/limits.md is not the table: see its head for how to write it again");
}
