//! Cells of a table that a spreadsheet must take for text.

/// What a spreadsheet takes for a formula, and the mark that says that it is none.
const FORMULA: [char; 6] = ['=', '+', '-', '@', '\t', '\r'];
const MARK: char = '\'';

/// As it is written into a table: what would be taken for a formula gets the mark that spreadsheets know (common practice).
pub(crate) fn guarded(text: &str) -> String {
    let marked = |c: char| FORMULA.contains(&c) || c == MARK;
    if text.starts_with(marked) { format!("{MARK}{text}") } else { text.to_owned() }
}

/// As it was before it was guarded.
pub(crate) fn unguarded(cell: &str) -> &str {
    let marked = |rest: &&str| rest.starts_with(|c: char| FORMULA.contains(&c) || c == MARK);
    cell.strip_prefix(MARK).filter(marked).unwrap_or(cell)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_guarded_comes_back() {
        for text in ["", "a", "=1+1", "+1", "-5 kg", "@x", "'=1", "'", "'a", "\tx", "\rx", "2-1"] {
            let cell = guarded(text);
            assert!(!cell.starts_with(FORMULA), "{cell:?}");
            assert_eq!(unguarded(&cell), text);
        }
        assert_eq!(unguarded("'90s workshop"), "'90s workshop");
    }
}
