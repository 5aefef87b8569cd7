//! Who works at the lock of the first task, drawn to size.

use planner::height::{AtWork, TaskHeight};
use planner::job::Posture;
use statics::Length;

use super::View;
use crate::drawing::area::At;
use crate::drawing::board::Board;
use crate::drawing::figure::{Figure, figure};
use crate::drawing::labels::{Key, Label, Labels, NAME};
use crate::drawing::style::Style;
use crate::words;

/// Somebody with a place in the view.
pub(super) struct Standing<'a> {
    at: &'a AtWork,
    figure: Figure,
    /// Place of the hip along the bay.
    hip: f64,
    /// 1 = faces ahead, to the left of the view.
    faces: f64,
}

/// The tallest and the shortest of the first task: back to back under the vehicle, or one at each wheel.
pub(super) fn standing<'a>(view: &View<'_, 'a>) -> Vec<Standing<'a>> {
    let Some(task) = view.scene.plan.height.tasks.first() else { return vec![] };
    let by_stature =
        |a: &&AtWork, b: &&AtWork| a.body.stature.to_metres().total_cmp(&b.body.stature.to_metres());
    let tallest = task.people.iter().max_by(by_stature);
    let shortest = task.people.iter().min_by(by_stature);
    let (Some(tallest), Some(shortest)) = (tallest, shortest) else { return vec![] };
    let alone = tallest == shortest;
    let mut people = vec![place(view, task, tallest, true, alone)];
    if !alone {
        people.push(place(view, task, shortest, false, alone));
    }
    people
}

fn place<'a>(
    view: &View<'_, '_>,
    task: &TaskHeight,
    at: &'a AtWork,
    rear: bool,
    alone: bool,
) -> Standing<'a> {
    let figure = figure(&at.body, &at.pose);
    let x = |aft: Length| super::along(view.scene, aft.to_metres());
    let (axle_a, axle_b) = (x(Length::ZERO), x(view.scene.vehicle.wheelbase.value));
    let (front, back) = (axle_a.max(axle_b), axle_a.min(axle_b));
    match task.posture {
        Posture::StandingUnder => {
            let near: Vec<f64> = view
                .scene
                .plan
                .pads
                .iter()
                .filter(|p| p.arm.is_left())
                .map(|p| p.bay.to_metres()[0])
                .collect();
            let middle = near.iter().sum::<f64>() / near.iter().fold(0.0, |n, _| n + 1.0_f64).max(1.0);
            let apart = if alone { 0.0 } else { 0.24 };
            let (hip, faces) = if rear { (middle - apart, -1.0) } else { (middle + apart, 1.0) };
            Standing { at, figure, hip, faces: if alone { 1.0 } else { faces } }
        }
        // Behind the rear wheel facing ahead, ahead of the front wheel facing back: grip at the hub.
        Posture::StandingAtWheel | Posture::SeatedAtWheel => {
            let (hub, faces) = if rear { (back, 1.0) } else { (front, -1.0) };
            let hip = hub - faces * figure.grip[0];
            Standing { at, figure, hip, faces }
        }
    }
}

impl Standing<'_> {
    fn on_page(&self, view: &View<'_, '_>, [ahead, up]: [f64; 2]) -> At {
        view.at([self.hip + self.faces * ahead, up])
    }

    /// One figure: the rims of all parts first, all parts on top of them.
    pub(super) fn draw(&self, board: &mut Board, view: &View<'_, '_>) {
        let on_page = |part: &Vec<[f64; 2]>| part.iter().map(|&p| self.on_page(view, p)).collect::<Vec<_>>();
        for part in &self.figure.stool {
            board.polygon(&on_page(part), Style::Stool);
        }
        for style in [Style::PersonRim, Style::Person] {
            for part in &self.figure.parts {
                board.polygon(&on_page(part), style);
            }
        }
    }

    /// Who it is and what they give up.
    pub(super) fn name(
        &self,
        board: &mut Board,
        key: &mut Key,
        labels: &mut Labels,
        view: &View<'_, '_>,
        task: &TaskHeight,
    ) {
        let rims = self.figure.parts.iter().flat_map(|part| part.iter().step_by(3));
        let at: Vec<At> = rims.map(|&p| self.on_page(view, p)).collect();
        // Who is assumed is told with the assumptions.
        let tall = if task.people_assumed {
            String::new()
        } else {
            format!("{} tall", view.units.length(self.at.body.stature))
        };
        let gives = words::at_work(task, self.at, view.units);
        let says = [self.at.name.as_str(), &tall, &gives];
        let says: Vec<&str> = says.into_iter().filter(|s| !s.is_empty()).collect();
        labels.place(board, key, &Label::plain(&at, &says, NAME));
    }
}
