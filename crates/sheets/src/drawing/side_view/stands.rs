//! Supporting stands from the side.

use super::View;
use crate::drawing::board::Board;
use crate::drawing::labels::{Label, Labels};
use crate::drawing::style::Style;
use crate::drawing::text::SMALL;
use crate::words;

/// Half the foot and half the post of the sign, metres.
const FOOT: f64 = 0.22;
const POST: f64 = 0.04;

/// A post on a foot from the floor up to its place, with its height.
pub(super) fn draw(board: &mut Board, view: &View<'_, '_>, labels: &mut Labels) {
    let Some(standing) = words::standing(view.scene) else { return };
    let mut said: Vec<f64> = Vec::new();
    for (k, height) in standing.places.iter().zip(&standing.heights) {
        let Some(place) = view.scene.vehicle.stand_places.get(*k) else { continue };
        let x = view.scene.plan.placement.to_bay(place.at).to_metres()[0];
        let top = height.to_metres();
        let foot = [[x - FOOT, 0.0], [x - POST, 0.3], [x + POST, 0.3], [x + FOOT, 0.0]];
        let post = [[x - POST, 0.0], [x - POST, top], [x + POST, top], [x + POST, 0.0]];
        board.polygon(&post.map(|p| view.at(p)), Style::Stand);
        board.polygon(&foot.map(|p| view.at(p)), Style::Stand);
        let line = [view.at([x, 0.0]), view.at([x, top])];
        labels.avoid_line(&line);
        // One behind the other is said once.
        if said.iter().any(|known| (known - x).abs() < POST) {
            continue;
        }
        said.push(x);
        let at = view.at([x, top * 0.6]);
        let figure = view.units.length(*height);
        let lines = ["stand", figure.as_str()];
        labels.place(board, &Label { at: &[at], lines: &lines, bold: true, size: SMALL, pointed: true });
    }
}
