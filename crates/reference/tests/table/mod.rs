//! Tables of `reference/data` with a header line and no quotes.

use std::collections::BTreeMap;
use std::fs;
use std::path::Path;

pub(crate) type Row = BTreeMap<String, String>;

pub(crate) fn table(file: &str) -> Vec<Row> {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("data").join(file);
    let text = fs::read_to_string(path).expect("the data is there");
    let mut lines = text.lines();
    let header: Vec<&str> = lines.next().expect("a header").split(',').collect();
    lines
        .map(|line| header.iter().zip(line.split(',')).map(|(k, v)| ((*k).into(), v.into())).collect())
        .collect()
}

pub(crate) fn number(row: &Row, key: &str) -> f64 {
    row[key].parse().expect("a number")
}
