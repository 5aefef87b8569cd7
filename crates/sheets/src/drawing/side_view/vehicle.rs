//! The vehicle from the side.

use statics::Length;

use super::View;
use crate::drawing::board::Board;
use crate::drawing::silhouette::silhouette;
use crate::drawing::style::Style;

/// Body, window and wheels, the wheels as they hang.
pub(super) fn draw(board: &mut Board, view: &View<'_, '_>) {
    let vehicle = view.scene.vehicle;
    let [body, window] = silhouette(vehicle);
    let on_body = |points: &[[f64; 2]]| points.iter().map(|&p| view.on_body(p)).collect::<Vec<_>>();
    board.polygon(&on_body(&body), Style::Body);
    board.polygon(&on_body(&window), Style::Glass);
    let radius = vehicle.wheels.tyre_diameter / 2.0;
    // No lower than the floor.
    let hang = (radius - vehicle.droop.value).to_metres().max(radius.to_metres() - view.lifted);
    for aft in [Length::ZERO, vehicle.wheelbase.value] {
        let centre = view.on_body([aft.to_metres(), hang]);
        let paper = radius.to_metres() * view.scale.per_metre;
        board.circle(centre, paper, Style::Tyre);
        board.circle(centre, paper * 0.6, Style::Wheel);
    }
}
