//! What is listed in an index and no longer true is damage as well: pages and records are found by it.

#![allow(clippy::expect_used, clippy::panic, reason = "a test ends where it fails")]

mod common;

use common::place::File;
use common::*;
use records::*;

/// Source: the SQLite documentation, "Database File Format": the first byte of a page tells what it is, 10 a leaf of an index;
/// cells fill it from its end.
const LEAF_OF_AN_INDEX: u8 = 10;

#[tokio::test(flavor = "multi_thread")]
async fn a_bit_flipped_in_an_index_is_found() {
    let file = File::new();
    ready_book(&file.place()).await.0.close().await;
    let whole = std::fs::read(file.path()).expect("read");
    let size = usize::from(u16::from_be_bytes([whole[16], whole[17]]));
    let mut tried = 0;
    for page in 1..whole.len() / size {
        let start = page * size;
        if whole[start] != LEAF_OF_AN_INDEX || u16::from_be_bytes([whole[start + 3], whole[start + 4]]) == 0 {
            continue;
        }
        let mut spoilt = whole.clone();
        // Within the text of the cell at the very end.
        spoilt[start + size - 3] ^= 4;
        std::fs::write(file.path(), &spoilt).expect("spoilt");
        let found = verify(&file.place(), None).await;
        assert!(found.is_err() || found.is_ok_and(|v| !v.faults.is_empty()), "page {page}");
        tried += 1;
    }
    assert!(tried >= 3, "{tried} indices");
}
