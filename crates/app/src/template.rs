//! The file of limits that `new` writes: every limit of the table, its default and source, as a comment.

use std::fmt::Write as _;

use planner::limits::TABLE;
use sheets::Units;

const HEAD: &str = "\
# The shop's own limits. Every limit of the program is below as a comment, with its default, what a shop may
# choose, and where the default comes from. Take the # away from those lines alone that the shop decides itself,
# and write down who decided it. The plan says which limits are the shop's own, and which of them may let a setup
# pass that the default would refuse.
#
#     standfast plan --limits FILE ...
standfast = \"limits/1\"
";

/// The whole text.
pub(crate) fn limits() -> String {
    let mut text = HEAD.to_owned();
    for limit in TABLE {
        let figure = |value| Units::Metric.limit(value, limit.unit);
        let (least, most) = limit.range;
        let _ = writeln!(
            text,
            "\n# {}: {}.\n# Default {} ({}); from {} to {}.\n# {} = {{ value = \"{}\", source = \"who decided it, and why\" }}",
            sheets::words::capital(limit.title),
            limit.reason,
            figure(limit.value),
            limit.source,
            figure(least),
            figure(most),
            limit.name.key(),
            figure(limit.value).replace('\u{b0}', " deg"),
        );
    }
    text
}
