//! The lift and the vehicle from the left, at the lock to work at.

mod lift;
mod measures;
mod people;
mod stands;

use planner::frames::DrivenIn;
use planner::job::Posture;
use statics::Length;

use super::Area;
use super::board::Board;
use super::labels::Labels;
use super::scale::Scale;
use super::silhouette::silhouette;
use super::style::Style;
use super::text::SMALL;
use crate::{Scene, Units};

/// From the bay's X and Z to the page.
struct View<'s, 'a> {
    scene: &'s Scene<'a>,
    units: Units,
    scale: Scale,
    /// Where the column line meets the floor on the page.
    origin: [f64; 2],
    /// Right of the vehicle, where the ladder of locks stands.
    ladder: f64,
    area: Area,
    /// How far the body is above its ride height.
    lifted: f64,
}

impl View<'_, '_> {
    /// Seen from the left: ahead is to the left.
    fn at(&self, [x, z]: [f64; 2]) -> [f64; 2] {
        [self.origin[0] - x * self.scale.per_metre, self.origin[1] - z * self.scale.per_metre]
    }
    /// A point of the raised body: behind the front axle, above its ground at ride height.
    fn on_body(&self, [aft, up]: [f64; 2]) -> [f64; 2] {
        self.at([self.along(aft), up + self.lifted])
    }
    /// Where along the bay something is that far behind the front axle.
    fn along(&self, aft: f64) -> f64 {
        let way = match self.scene.plan.placement.driven_in {
            DrivenIn::Forwards => 1.0,
            DrivenIn::Backwards => -1.0,
        };
        self.scene.plan.placement.spot.to_metres() - way * aft
    }
    /// Top of the lowest pad with the carriages fully down.
    fn pad_down(&self) -> f64 {
        pad_down(self.scene)
    }
}

fn pad_down(scene: &Scene<'_>) -> f64 {
    scene.plan.pads.iter().map(|p| p.height.to_metres()).fold(f64::INFINITY, f64::min)
}

/// Rise of the carriages from fully down at the lock to work at.
fn rise(scene: &Scene<'_>) -> f64 {
    let lock = scene.plan.height.lock.and_then(|l| scene.lift.rise.locks.get(l));
    lock.map_or(scene.plan.height.pad_height.to_metres() - pad_down(scene), |l| l.to_metres())
}

/// How far the body has risen: pads against the undersides that they carry, on average.
fn lifted(scene: &Scene<'_>) -> f64 {
    let gap = |pad: &planner::plan::PadSetting| {
        let area = scene.vehicle.lift_areas.get(pad.area)?;
        Some((pad.height - area.underside).to_metres())
    };
    let gaps: Vec<f64> = scene.plan.pads.iter().filter_map(gap).collect();
    let count = gaps.iter().fold(0.0, |n, _| n + 1.0_f64).max(1.0);
    rise(scene) + gaps.iter().sum::<f64>() / count
}

pub(super) fn draw(board: &mut Board, scene: &Scene<'_>, units: Units, area: Area) {
    let inner = Area { x: [area.x[0], area.x[1] - 4.0], y: [area.y[0] + 1.6, area.y[1] - 7.0] };
    let lifted = lifted(scene);
    let roof =
        scene.job.opened_height.map_or(scene.vehicle.outline.roof, |h| h.max(scene.vehicle.outline.roof));
    let top = scene.lift.headroom.map_or(roof.to_metres() + lifted + 0.55, |h| h.to_metres() + 0.08);
    let outline = &scene.vehicle.outline;
    let long = (outline.front_overhang + scene.vehicle.wheelbase.value + outline.rear_overhang).to_metres();
    let ladder_room = 34.0;
    let scale =
        Scale::fitting([long + 0.2, top], &Area { x: [inner.x[0], inner.x[1] - ladder_room], y: inner.y });
    let spot = scene.plan.placement.spot.to_metres();
    let foremost = match scene.plan.placement.driven_in {
        DrivenIn::Forwards => spot + outline.front_overhang.to_metres(),
        DrivenIn::Backwards => spot + long - outline.front_overhang.to_metres(),
    };
    let slack = inner.width() - ladder_room - (long + 0.2) * scale.per_metre;
    let left = inner.x[0] + slack * 0.5 + 0.1 * scale.per_metre;
    let origin = [left + foremost * scale.per_metre, inner.y[1]];
    let ladder = left + long * scale.per_metre + slack * 0.25 + 7.0;
    let view = View { scene, units, scale, origin, ladder, area: inner, lifted };
    let mut labels = Labels::new(board, inner);
    measures::room(board, &view, &mut labels);
    lift::columns(board, &view);
    vehicle(board, &view, &mut labels);
    let people = people::standing(&view);
    // Under the vehicle they stand between the arms, at a wheel on this side of it.
    let under = scene.plan.height.tasks.first().is_some_and(|t| t.posture == Posture::StandingUnder);
    if under {
        people.iter().for_each(|p| p.draw(board, &view, &mut labels));
    }
    lift::arms(board, &view, &mut labels);
    if !under {
        people.iter().for_each(|p| p.draw(board, &view, &mut labels));
    }
    stands::draw(board, &view, &mut labels);
    lift::locks(board, &view, &mut labels);
    measures::draw(board, &view, &mut labels);
    if let Some(task) = scene.plan.height.tasks.first() {
        people.iter().for_each(|p| p.name(board, &view, &mut labels, task));
    }
    scale.bar(board, [area.x[0] + 1.0, area.y[1] - 0.6], units);
    board.say_up_to([area.x[1] - 6.0, area.y[1] - 0.6], SMALL, false, "from the left");
}

/// Body, window and wheels, the wheels as they hang.
fn vehicle(board: &mut Board, view: &View<'_, '_>, labels: &mut Labels) {
    let vehicle = view.scene.vehicle;
    let [body, window] = silhouette(vehicle);
    let mut points: Vec<[f64; 2]> = body.iter().map(|&p| view.on_body(p)).collect();
    board.polygon(&points, Style::Body);
    points.extend(points.first().copied());
    labels.avoid_line(&points);
    board.polygon(&window.iter().map(|&p| view.on_body(p)).collect::<Vec<_>>(), Style::Glass);
    let radius = vehicle.wheels.tyre_diameter / 2.0;
    let hang = radius - vehicle.droop.value;
    for aft in [Length::ZERO, vehicle.wheelbase.value] {
        let centre = view.on_body([aft.to_metres(), hang.to_metres()]);
        let paper = radius.to_metres() * view.scale.per_metre;
        board.circle(centre, paper, Style::Tyre);
        board.circle(centre, paper * 0.6, Style::CgLight);
        labels.avoid(Area {
            x: [centre[0] - paper, centre[0] + paper],
            y: [centre[1] - paper, centre[1] + paper],
        });
    }
}
