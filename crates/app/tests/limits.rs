//! `docs/limits.md` is the table of limits that the program uses, and nothing else.

use std::fmt::Write as _;
use std::path::Path;

use planner::limits::TABLE;
use sheets::Units;

const HEAD: &str = "\
# Limits

Every limit that a setup is held against, with the range that a shop may choose from. `standfast new limits FILE` writes a
file in which a shop sets its own, each by its key, and `plan --limits FILE` holds a setup against them; the plan says which
limits are the shop's, from where, and which of them may let a setup pass that the default would refuse.

Written from the table in `crates/planner/src/limits.rs` by the test in `crates/app/tests/limits.rs`:

    STANDFAST_WRITE=1 cargo test -p app --test limits

| limit | key | default | range | source | why this size |
|---|---|---|---|---|---|
";

fn page() -> String {
    let mut page = HEAD.to_owned();
    for limit in TABLE {
        let [value, least, most] =
            [limit.value, limit.range.0, limit.range.1].map(|v| Units::Metric.limit(v, limit.unit));
        let _ = writeln!(
            page,
            "| {} | `{}` | {value} | {least} to {most} | {} | {} |",
            limit.title,
            limit.name.key(),
            limit.source,
            limit.reason
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
