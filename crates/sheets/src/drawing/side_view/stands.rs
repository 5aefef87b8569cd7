//! Supporting stands from the side.

use planner::job::Posture;
use statics::Length;

use super::View;
use crate::drawing::area::{At, between};
use crate::drawing::board::Board;
use crate::drawing::labels::{Key, Label, Labels, NAME};
use crate::drawing::style::Style;
use crate::words;

/// Half the foot and half the post of the sign, metres.
const FOOT: f64 = 0.22;
const POST: f64 = 0.04;

/// Place along the bay and height of each, where the vehicle is drawn at their lock.
fn stands(view: &View<'_, '_>) -> Vec<(f64, Length)> {
    // Nobody is under the vehicle while they are.
    let under = view.scene.plan.height.tasks.iter().any(|t| t.posture == Posture::StandingUnder);
    let standing =
        words::standing(view.scene).filter(|s| view.scene.plan.height.lock == Some(s.lock) && !under);
    let each = standing.iter().flat_map(|s| s.places.iter().zip(&s.heights));
    let found = each.filter_map(|(k, height)| {
        let place = view.scene.vehicle.stand_places.get(*k)?;
        Some((view.scene.plan.placement.to_bay(place.at).to_metres()[0], *height))
    });
    found.collect()
}

/// A post on a foot from the floor up to its place.
pub(super) fn draw(board: &mut Board, view: &View<'_, '_>) {
    for (x, height) in stands(view) {
        let top = height.to_metres();
        let foot = [[x - FOOT, 0.0], [x - POST, 0.3], [x + POST, 0.3], [x + FOOT, 0.0]];
        let post = [[x - POST, 0.0], [x - POST, top], [x + POST, top], [x + POST, 0.0]];
        board.polygon(&post.map(|p| view.at(p)), Style::Stand);
        board.polygon(&foot.map(|p| view.at(p)), Style::Stand);
    }
}

/// Its height; one behind the other is said once.
pub(super) fn name(board: &mut Board, key: &mut Key, labels: &mut Labels, view: &View<'_, '_>) {
    let mut said: Vec<f64> = Vec::new();
    for (x, height) in stands(view) {
        if said.iter().any(|known| (known - x).abs() < POST) {
            continue;
        }
        said.push(x);
        let side = |by: f64| {
            let (low, high) = (view.at([x + by, 0.35]), view.at([x + by, height.to_metres()]));
            [0.1, 0.3, 0.5, 0.7, 0.9].map(|part| between(low, high, part))
        };
        let at: Vec<At> = [side(-POST), side(POST)].concat();
        let says = format!("stand {}", view.units.length(height));
        labels.place(board, key, &Label::bold(&at, &[&says], NAME));
    }
}
