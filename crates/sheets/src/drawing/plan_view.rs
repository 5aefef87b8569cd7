//! The lift and the vehicle from above, ahead at the top.

mod lift;
mod marks;
mod stands;
mod vehicle;

use planner::VehicleFrame;
use planner::lift::Corner;
use planner::plan::Verdict;
use statics::{Length, Place};

use super::Area;
use super::board::Board;
use super::labels::{Key, Label, Labels, NAME};
use super::scale::Scale;
use super::text::SMALL;
use crate::{Scene, Units};
use marks::Marks;

/// Depth to which a column is drawn beyond its inner face; its outer face is on no plate.
const COLUMN_DEPTH: f64 = 0.24;
/// Left and right of the columns, for dimensions, mm.
const BESIDE: f64 = 5.0;
/// Scale bar below the view.
const FOOT: f64 = 5.5;

/// From the bay to the page.
struct View<'s, 'a> {
    scene: &'s Scene<'a>,
    units: Units,
    scale: Scale,
    /// Where the bay's origin lies on the page.
    origin: [f64; 2],
    area: Area,
}

impl View<'_, '_> {
    /// Ahead is up, left is left.
    fn bay(&self, [x, y]: [f64; 2]) -> [f64; 2] {
        [self.origin[0] - y * self.scale.per_metre, self.origin[1] - x * self.scale.per_metre]
    }
    fn place(&self, place: Place<VehicleFrame>) -> [f64; 2] {
        self.bay(self.scene.plan.placement.to_bay(place).to_metres())
    }
    /// Behind the front axle, left of the centre plane.
    fn on_vehicle(&self, at: [f64; 2]) -> [f64; 2] {
        self.place(Place::metres(at))
    }
    fn paper(&self, length: Length) -> f64 {
        length.to_metres() * self.scale.per_metre
    }

    /// All lines and surfaces, the bay's centre line from one end to the other.
    fn draw(&self, board: &mut Board, ends: [f64; 2]) -> Marks {
        marks::axes(board, self, ends);
        vehicle::draw(board, self);
        marks::support(board, self);
        vehicle::doors(board, self);
        lift::draw(board, self);
        vehicle::mirrors(board, self);
        stands::draw(board, self);
        marks::draw(board, self)
    }

    /// Figures and names, where they cover nothing of it.
    fn name(&self, board: &mut Board, key: &mut Key, marks: &Marks) {
        let mut labels = Labels::over(board, self.area);
        marks.name(board, key, &mut labels, self);
        stands::name(board, key, &mut labels, self);
        vehicle::names(board, key, &mut labels, self);
    }
}

fn scale(scene: &Scene<'_>, area: &Area) -> Scale {
    let [low, high] = extent(scene);
    let room = Area { x: [area.x[0] + BESIDE, area.x[1] - BESIDE], y: [area.y[0], area.y[1] - FOOT] };
    Scale::fitting([2.0 * half_width(scene), high - low], &room)
}

/// The largest scale in an area: 1 to this.
pub(super) fn one_to(scene: &Scene<'_>, area: &Area) -> f64 {
    scale(scene, area).one_to
}

/// How the centre of gravity is drawn.
#[derive(Clone, Copy)]
pub(super) struct Centres {
    /// At several places, for the states of the job.
    pub(super) several: bool,
    /// Whether its tolerance box sticks out of its sign.
    pub(super) box_shows: bool,
}

/// Draws it in an area of the page.
pub(super) fn draw(board: &mut Board, key: &mut Key, scene: &Scene<'_>, units: Units, area: Area) -> Centres {
    let inner = Area { x: area.x, y: [area.y[0], area.y[1] - FOOT] };
    let [low, high] = extent(scene);
    let scale = scale(scene, &area);
    let middle = inner.middle();
    let origin = [middle[0], middle[1] + (low + high) / 2.0 * scale.per_metre];
    let view = View { scene, units, scale, origin, area: inner };
    let marks = view.draw(board, [low, high]);
    scale.bar(board, [area.x[0] + 1.0, area.y[1] - 0.4], units);
    let refused = scene.plan.verdict == Verdict::DoNotRaise;
    let says = if refused { "DO NOT USE" } else { "from above" };
    board.say_up_to([area.x[1] - 1.0, area.y[1] - 0.4], SMALL, refused, says);
    view.name(board, key, &marks);
    Centres { several: marks.centres.len() > 1, box_shows: marks.box_shows }
}

/// The whole bay in a size of its own: width and height, where the bay's origin is, 1 to what.
pub(super) fn draw_on_screen(
    board: &mut Board,
    key: &mut Key,
    scene: &Scene<'_>,
    units: Units,
    (size, origin, one_to): ([f64; 2], [f64; 2], f64),
    named: bool,
    tips: Option<[Corner; 2]>,
) {
    let area = Area { x: [0.0, size[0]], y: [0.0, size[1]] };
    let scale = Scale::of(one_to);
    let view = View { scene, units, scale, origin, area };
    let [low, high] = [origin[1] - size[1], origin[1]].map(|paper| paper / scale.per_metre);
    let marks = view.draw(board, [low, high]);
    let tips = tips.map(|edge| marks::tipping(board, &view, edge));
    if named {
        let mut labels = Labels::over(board, area);
        if let Some(arrow) = tips {
            labels.place(board, key, &Label::bold(&arrow, &["TIPS THIS WAY"], NAME));
        }
        view.name(board, key, &marks);
    }
}

/// Along the bay: what must be seen, rear and front.
pub(super) fn extent(scene: &Scene<'_>) -> [f64; 2] {
    let outline = &scene.vehicle.outline;
    let nose = Place::metres([-outline.front_overhang.to_metres() - 0.28, 0.0]);
    let tail = (scene.vehicle.wheelbase.value + outline.rear_overhang).to_metres() + 0.08;
    let ends = [nose, Place::metres([tail, 0.0])].map(|p| scene.plan.placement.to_bay(p).to_metres()[0]);
    let columns = &scene.lift.columns;
    [
        ends[0].min(ends[1]).min(columns.rear_face.to_metres() - 0.2),
        ends[0].max(ends[1]).max(columns.front_face.to_metres() + 0.2),
    ]
}

/// As far left as the spot's figure and its line stand, metres, where a metre is so long on the paper.
pub(super) fn outside_of_the_spot(scene: &Scene<'_>, per_metre: f64) -> f64 {
    scene.lift.columns.inside.to_metres() / 2.0 + COLUMN_DEPTH + (BESIDE + 1.0) / per_metre
}

/// To the outside of the columns, or as far as a door swings.
pub(super) fn half_width(scene: &Scene<'_>) -> f64 {
    let columns = scene.lift.columns.inside.to_metres() / 2.0 + COLUMN_DEPTH;
    let doors = scene.vehicle.doors.iter().enumerate().map(|(index, door)| {
        let open = vehicle::opens(scene, index, door).min(std::f64::consts::FRAC_PI_2);
        let edge = vehicle::on_door(door, open, 1.0);
        let outward = scene.plan.placement.to_bay(Place::metres(edge)).to_metres()[1].abs();
        // They may use what is left beside the columns.
        outward - 0.15
    });
    doors.fold(columns, f64::max)
}
