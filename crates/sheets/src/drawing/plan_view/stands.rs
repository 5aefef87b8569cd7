//! Supporting stands from above.

use super::View;
use crate::drawing::Area;
use crate::drawing::board::Board;
use crate::drawing::labels::{Label, Labels};
use crate::drawing::style::Style;
use crate::drawing::text::SMALL;
use crate::words;

/// Half the side of the sign, mm.
const HALF: f64 = 1.9;

/// A square with its diagonals at each place, and what each stand must and may carry.
pub(super) fn draw(board: &mut Board, view: &View<'_, '_>, labels: &mut Labels) {
    let Some(standing) = words::standing(view.scene) else { return };
    let [least, most] = view.units.load_kept([standing.least, standing.most]);
    let says = [format!("{least} to"), most];
    for place in standing.places.iter().filter_map(|k| view.scene.vehicle.stand_places.get(*k)) {
        let [x, y] = view.place(place.at);
        let area = Area { x: [x - HALF, x + HALF], y: [y - HALF, y + HALF] };
        board.rectangle(area, Style::Stand);
        board.line(&[[x - HALF, y - HALF], [x + HALF, y + HALF]], Style::Frame);
        board.line(&[[x - HALF, y + HALF], [x + HALF, y - HALF]], Style::Frame);
        labels.avoid(area);
        let lines = ["stand", says[0].as_str(), says[1].as_str()];
        labels.place(board, &Label { at: &[[x, y]], lines: &lines, bold: true, size: SMALL, pointed: true });
    }
}
