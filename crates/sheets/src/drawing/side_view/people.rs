//! Who works at the lock of the view, drawn to size.

use planner::frames::DrivenIn;
use planner::height::{AtWork, TaskHeight};
use planner::job::{Posture, Step, Task};
use statics::Length;

use super::View;
use crate::drawing::area::At;
use crate::drawing::board::Board;
use crate::drawing::figure::{Figure, figure};
use crate::drawing::labels::{Key, Label, Labels, NAME};
use crate::drawing::style::Style;
use crate::{Scene, words};

/// Somebody with a place in the view.
pub(super) struct Standing<'a> {
    task: &'a TaskHeight,
    at: &'a AtWork,
    figure: Figure,
    /// Place of the hip along the bay.
    hip: f64,
    /// 1 = faces ahead, to the left of the view.
    faces: f64,
}

/// At a wheel there is room for so many: before and behind each of the two that are seen.
const AT_WHEELS: usize = 4;

/// Everybody who works at the view's lock, the tallest first, once in each posture.
pub(super) fn standing<'a>(scene: &Scene<'a>) -> Vec<Standing<'a>> {
    let mut postures: Vec<&'a TaskHeight> = Vec::new();
    for task in &scene.plan.height.tasks {
        if !postures.iter().any(|known| known.posture == task.posture) {
            postures.push(task);
        }
    }
    let (mut found, mut at_wheels) = (Vec::new(), 0);
    let rear = works_at_rear(scene, &postures);
    for task in postures {
        let mut people: Vec<&AtWork> = task.people.iter().collect();
        people.sort_by(|a, b| b.body.stature.to_metres().total_cmp(&a.body.stature.to_metres()));
        let of = people.len();
        for (k, at) in people.into_iter().enumerate() {
            let figure = figure(&at.body, &at.pose);
            let place = if task.posture == Posture::StandingUnder {
                Some(under(scene, k, of))
            } else {
                at_wheels += 1;
                (at_wheels <= AT_WHEELS).then(|| at_wheel(scene, rear, at_wheels - 1, figure.grip[0]))
            };
            found.extend(place.map(|(hip, faces)| Standing { task, at, figure, hip, faces }));
        }
    }
    found
}

/// Who finds no room at a wheel; the others stand or sit there in the same way.
pub(super) fn not_drawn<'a>(scene: &Scene<'a>) -> Vec<&'a str> {
    let drawn = standing(scene);
    let everybody = scene.plan.height.tasks.iter().flat_map(|t| &t.people).map(|p| p.name.as_str());
    let mut found: Vec<&str> = Vec::new();
    for name in everybody.filter(|name| !drawn.iter().any(|p| p.at.name == *name)) {
        if !found.contains(&name) {
            found.push(name);
        }
    }
    found
}

/// Between the pads, back to back by twos: hip, and which way they face.
fn under(scene: &Scene<'_>, k: usize, of: usize) -> (f64, f64) {
    const APART: f64 = 0.48;
    let count = |n: usize| (0..n).fold(0.0, |sum, _| sum + 1.0_f64);
    let pads: Vec<f64> =
        scene.plan.pads.iter().filter(|p| p.arm.is_left()).map(|p| p.bay.to_metres()[0]).collect();
    let middle = pads.iter().sum::<f64>() / count(pads.len()).max(1.0);
    if of == 1 {
        return (middle, 1.0);
    }
    let hip = middle + (count(k) - (count(of) - 1.0) / 2.0) * APART;
    (hip, if k.is_multiple_of(2) { -1.0 } else { 1.0 })
}

/// Whether the work at the wheels is at the vehicle's rear ones: as its forces, else the parts that come off while it is
/// done, are nearer to them; where nothing tells, as the wheels are behind the column line.
fn works_at_rear(scene: &Scene<'_>, tasks: &[&TaskHeight]) -> bool {
    let (job, base) = (scene.job, scene.vehicle.wheelbase.value.to_metres());
    let named = tasks.iter().filter(|t| t.posture != Posture::StandingUnder);
    let tasks: Vec<&Task> = named.filter_map(|t| job.tasks.get(t.task?)).collect();
    let forces = tasks.iter().flat_map(|task| &task.forces).map(|force| force.at.to_metres()[0]);
    let parts = job.steps.iter().map(Step::part).filter(|part| {
        let names = ["off", "on"].map(|way| format!("{} {way}", part.name));
        tasks.iter().any(|task| task.during.iter().any(|state| names.contains(state)))
    });
    let places: Vec<f64> = forces.chain(parts.map(|part| part.at.to_metres()[0])).collect();
    let count = places.iter().fold(0.0, |n, _| n + 1.0_f64);
    if places.is_empty() {
        return scene.plan.placement.driven_in == DrivenIn::Forwards;
    }
    places.iter().sum::<f64>() / count > base / 2.0
}

/// On both sides of the wheel that is worked at, the one facing ahead first where it stands behind; then of the other
/// wheel; grip at the hub.
fn at_wheel(scene: &Scene<'_>, rear: bool, k: usize, grip: f64) -> (f64, f64) {
    let x = |aft: Length| super::along(scene, aft.to_metres());
    let axles = [x(Length::ZERO), x(scene.vehicle.wheelbase.value)];
    let [near, far] = if rear { [axles[1], axles[0]] } else { axles };
    let out = if near < far { 1.0 } else { -1.0 };
    let (hub, faces) = [(near, out), (near, -out), (far, -out), (far, out)][k % AT_WHEELS];
    (hub - faces * grip, faces)
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
    pub(super) fn name(&self, board: &mut Board, key: &mut Key, labels: &mut Labels, view: &View<'_, '_>) {
        let task = self.task;
        let rims = self.figure.parts.iter().flat_map(|part| part.iter().step_by(3));
        let at: Vec<At> = rims.map(|&p| self.on_page(view, p)).collect();
        // Who is assumed is told with the assumptions.
        let tall = if task.people_assumed {
            String::new()
        } else {
            format!("{} tall", view.units.length(self.at.stature.value))
        };
        let gives = words::at_work(task, self.at, view.units);
        let says = [self.at.name.as_str(), &tall, &gives];
        let says: Vec<&str> = says.into_iter().filter(|s| !s.is_empty()).collect();
        labels.place(board, key, &Label::plain(&at, &says, NAME));
    }
}
