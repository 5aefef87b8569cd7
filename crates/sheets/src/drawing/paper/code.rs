//! The plan's mark as a QR code (ISO/IEC 18004).

use qrcodegen::{QrCode, QrCodeEcc};

use super::super::Area;
use super::super::board::Board;
use super::super::style::Style;

/// White around it, in its squares.
const QUIET: i32 = 4;

/// Draws it in a square from its upper left corner; the white around it counts.
pub(super) fn draw(board: &mut Board, says: &str, at: [f64; 2], side: f64) {
    // Capitals take a smaller code; the book finds a mark in either.
    let Ok(code) = QrCode::encode_text(&says.to_uppercase(), QrCodeEcc::Quartile) else { return };
    let square = side / f64::from(code.size() + 2 * QUIET);
    let place = |k: i32, from: f64| from + f64::from(k + QUIET) * square;
    for row in 0..code.size() {
        let mut column = 0;
        while column < code.size() {
            let dark = |k: &i32| code.get_module(*k, row);
            let run = (column..code.size()).take_while(dark).fold(0, |n, _| n + 1);
            if run > 0 {
                let area = Area {
                    x: [place(column, at[0]), place(column + run, at[0])],
                    // A little into the next row, so that no viewer shows a seam.
                    y: [place(row, at[1]), place(row + 1, at[1]) + 0.02 * square],
                };
                board.rectangle(area, Style::ScaleDark);
            }
            column += run.max(1);
        }
    }
}
