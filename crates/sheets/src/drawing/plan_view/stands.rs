//! Supporting stands from above.

use super::View;
use crate::drawing::board::Board;
use crate::drawing::flow;
use crate::drawing::labels::{Key, Label, Labels, NAME};
use crate::words;

/// Half the side of the sign, mm.
const HALF: f64 = 1.9;

fn places(view: &View<'_, '_>) -> Vec<[f64; 2]> {
    words::stand_places(view.scene).into_iter().map(|at| view.place(at)).collect()
}

/// A square with its diagonals at each place.
pub(super) fn draw(board: &mut Board, view: &View<'_, '_>) {
    places(view).into_iter().for_each(|at| flow::stand(board, at, HALF));
}

/// What each stand must and may carry.
pub(super) fn name(board: &mut Board, key: &mut Key, labels: &mut Labels, view: &View<'_, '_>) {
    let Some(standing) = words::standing(view.scene) else { return };
    let [least, most] = view.units.load_kept([standing.least, standing.most]);
    let later =
        words::stand_later(standing, view.units).map_or_else(String::new, |later| format!(", {later}"));
    let says = format!("stand, {least} to {most}{later}");
    for at in places(view) {
        let rim = [[-HALF, 0.0], [HALF, 0.0], [0.0, -HALF], [0.0, HALF]].map(|[x, y]| [at[0] + x, at[1] + y]);
        labels.place(board, key, &Label::bold(&rim, &[&says], NAME));
    }
}
