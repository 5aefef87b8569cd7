//! The lift and the vehicle from the left, at a lock to work at.

mod ladder;
mod lift;
mod measures;
mod people;
mod stands;
mod vehicle;

use planner::frames::DrivenIn;
use planner::height::{Height, TaskHeight};
use planner::job::Posture;
use planner::plan::{Plan, Verdict};

use super::Area;
use super::board::Board;
use super::labels::{Key, Labels};
use super::scale::Scale;
use super::text::{LEADING, SMALL, width, wrapped};
use crate::{Scene, Units, words};

/// Right of the vehicle, for the ladder of locks and its names: with one task, with several; on a narrow screen.
const LADDERS: [f64; 2] = [35.0, 50.0];
const NARROW_LADDER: f64 = 31.0;
/// It need not be larger, 1 to this; where the page is its own.
pub(super) const LARGEST: f64 = 40.0;
pub(super) const LARGEST_ALONE: f64 = 28.0;
/// Scale bar below the view, with one line beside it; most that the bar and its words take.
const FOOT: f64 = 7.0;
const BAR: f64 = 58.0;
/// Ahead of the vehicle and behind it, metres.
const AROUND: f64 = 0.25;

/// From the bay's X and Z to the page.
struct View<'s, 'a> {
    scene: &'s Scene<'a>,
    units: Units,
    scale: Scale,
    /// Where the column line meets the floor on the page.
    origin: [f64; 2],
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
        self.at([along(self.scene, aft), up + self.lifted])
    }
    /// Top of the lowest pad with the carriages fully down.
    fn pad_down(&self) -> f64 {
        pad_down(self.scene)
    }
    /// The lift's pads and arms at the lock to work at are so much above where they are fully down.
    fn rise(&self) -> f64 {
        rise(self.scene)
    }
}

/// Where along the bay something is that far behind the front axle.
fn along(scene: &Scene<'_>, aft: f64) -> f64 {
    let way = match scene.plan.placement.driven_in {
        DrivenIn::Forwards => 1.0,
        DrivenIn::Backwards => -1.0,
    };
    scene.plan.placement.spot.to_metres() - way * aft
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
    // Before the pads bear it stands on its wheels.
    (rise(scene) + gaps.iter().sum::<f64>() / count).max(0.0)
}

/// What must be seen, along the bay and up, metres.
fn extent(scene: &Scene<'_>) -> [[f64; 2]; 2] {
    let outline = &scene.vehicle.outline;
    let tail = (scene.vehicle.wheelbase.value + outline.rear_overhang).to_metres();
    let ends = [-outline.front_overhang.to_metres(), tail].map(|aft| along(scene, aft));
    let columns = &scene.lift.columns;
    let from = ends[0].min(ends[1]).min(columns.rear_face.to_metres()) - AROUND;
    let to = ends[0].max(ends[1]).max(columns.front_face.to_metres()) + AROUND;
    let roof = scene.job.opened_height.map_or(outline.roof, |h| h.max(outline.roof)).to_metres();
    let free = roof + lifted(scene) + 0.55;
    [[from, to], [0.0, scene.lift.headroom.map_or(free, |h| h.to_metres().max(free - 0.5) + 0.1)]]
}

/// Room for the ladder, where there is one: the scene with all tasks.
fn ladder_room(scene: Option<&Scene<'_>>) -> f64 {
    scene.map_or(0.0, |scene| LADDERS[usize::from(scene.plan.height.tasks.len() > 1)])
}

/// What is said above the view: its tasks, if any is named, and where.
fn caption(scene: &Scene<'_>, units: Units, wide: f64) -> Vec<String> {
    let named = shown(scene, 0).height.tasks;
    let says = named.iter().filter(|t| t.task.is_some()).map(|task| words::task_height(scene, task, units));
    says.flat_map(|says| wrapped(&says, SMALL, false, wide)).collect()
}

/// The tasks that one view shows together: at one lock and, where stands are set there, under the vehicle or not.
fn views<'a>(scene: &Scene<'a>) -> Vec<Vec<&'a TaskHeight>> {
    let stands = words::standing(scene).map(|s| s.lock);
    let together = |a: &TaskHeight, b: &TaskHeight| {
        let under = |t: &TaskHeight| t.lock == stands && t.posture == Posture::StandingUnder;
        a.lock == b.lock && under(a) == under(b)
    };
    let mut found: Vec<Vec<&TaskHeight>> = Vec::new();
    for task in &scene.plan.height.tasks {
        match found.iter_mut().find(|tasks| together(tasks[0], task)) {
            Some(tasks) => tasks.push(task),
            None => found.push(vec![task]),
        }
    }
    found
}

/// How many views it takes to show everybody at work.
pub(super) fn count(scene: &Scene<'_>) -> usize {
    views(scene).len()
}

/// The plan at the lock of one view, with what is done there alone.
pub(super) fn shown(scene: &Scene<'_>, view: usize) -> Plan {
    let tasks: Vec<TaskHeight> =
        views(scene).into_iter().nth(view).unwrap_or_default().into_iter().cloned().collect();
    let height = tasks.first().map_or_else(
        || scene.plan.height.clone(),
        |t| Height { lock: t.lock, pad_height: t.pad_height, roof_room: t.roof_room, tasks: tasks.clone() },
    );
    Plan { height, ..scene.plan.clone() }
}

fn top(scene: &Scene<'_>, units: Units, area: &Area) -> f64 {
    let lines = caption(scene, units, area.width());
    area.y[0] + lines.iter().fold(1.6, |y, _| y + SMALL * LEADING)
}

fn for_scale(scene: &Scene<'_>, units: Units, area: &Area, ladder: f64) -> Area {
    let bottom = area.y[1] - foot(scene, area.width());
    Area { x: [area.x[0], area.x[1] - ladder], y: [top(scene, units, area), bottom] }
}

/// What is said beside the scale bar: from where it is seen, and who is not drawn.
fn beside_bar(scene: &Scene<'_>, wide: f64) -> Vec<String> {
    let refused = scene.plan.verdict == Verdict::DoNotRaise;
    // In as few words as one line takes.
    let sides = ["from the left, drawn with no part off", "drawn with no part off", "no part off"];
    let fits = |says: &&str| width(says, SMALL, false) <= wide - BAR;
    let side = match scene.job.steps.is_empty() {
        true => "from the left",
        false => sides.into_iter().find(fits).unwrap_or(sides[2]),
    };
    let says = match (refused, people::not_drawn(scene).join(", ")) {
        (true, _) => "DO NOT USE".into(),
        (_, none) if none.is_empty() => side.into(),
        (_, others) => format!("{side}; there too, not drawn: {others}"),
    };
    wrapped(&says, SMALL, refused, wide - BAR)
}

/// What scale bar and words beside it take below the view.
fn foot(scene: &Scene<'_>, wide: f64) -> f64 {
    beside_bar(&Scene { plan: &shown(scene, 0), ..*scene }, wide)
        .iter()
        .skip(1)
        .fold(FOOT, |high, _| high + SMALL * LEADING)
}

fn scale(scene: &Scene<'_>, room: &Area, largest: f64) -> Scale {
    let spans = extent(scene).map(|[from, to]| to - from);
    Scale::fitting(spans, room).at_most(largest)
}

/// The largest scale of the first view in an area: 1 to this.
pub(super) fn one_to(scene: &Scene<'_>, units: Units, area: Area) -> f64 {
    scale(scene, &for_scale(scene, units, &area, ladder_room(Some(scene))), LARGEST_ALONE).one_to
}

/// How high any other view is at most, its width given, and no larger than 1 to `largest`.
pub(super) fn high_at(shown: &Scene<'_>, units: Units, wide: f64, largest: f64) -> f64 {
    let [[from, to], [_, up]] = extent(shown);
    let area = Area { x: [0.0, wide], y: [0.0, 0.0] };
    let one_to = ((to - from) * 1000.0 / wide).max(largest);
    top(shown, units, &area) + up * 1000.0 / one_to + foot(shown, wide)
}

/// The first view, at the lock to go to first, with the ladder of all locks.
pub(super) fn draw(board: &mut Board, key: &mut Key, scene: &Scene<'_>, units: Units, area: Area) {
    let plan = shown(scene, 0);
    let first = Scene { plan: &plan, ..*scene };
    drawn(board, key, (&first, LARGEST_ALONE), units, area, Some((scene, ladder_room(Some(scene)))));
}

/// The same on a narrow screen, as high as its width makes it.
pub(super) fn draw_narrow(board: &mut Board, key: &mut Key, scene: &Scene<'_>, units: Units, area: Area) {
    let plan = shown(scene, 0);
    let first = Scene { plan: &plan, ..*scene };
    drawn(board, key, (&first, LARGEST_ALONE), units, area, Some((scene, NARROW_LADDER)));
}

/// How high that is, and its scale, 1 to this.
pub(super) fn narrow(scene: &Scene<'_>, units: Units, wide: f64) -> (f64, f64) {
    let tall = Area { x: [0.0, wide], y: [0.0, 1000.0] };
    let room = for_scale(scene, units, &tall, NARROW_LADDER);
    let scale = scale(scene, &room, LARGEST_ALONE);
    let [_, [_, up]] = extent(scene);
    // A hair more than it takes: no rounding may make it the next smaller scale.
    (room.y[0] + up * scale.per_metre + foot(scene, wide) + 0.01, scale.one_to)
}

/// Any other view: of the scene as `shown` there, no larger than 1 to `largest`.
pub(super) fn draw_at(
    board: &mut Board,
    key: &mut Key,
    (shown, largest): (&Scene<'_>, f64),
    units: Units,
    area: Area,
) {
    drawn(board, key, (shown, largest), units, area, None);
}

fn drawn(
    board: &mut Board,
    key: &mut Key,
    (scene, largest): (&Scene<'_>, f64),
    units: Units,
    area: Area,
    ladder: Option<(&Scene<'_>, f64)>,
) {
    let [[from, to], _] = extent(scene);
    let room = for_scale(scene, units, &area, ladder.map_or(0.0, |(_, room)| room));
    let scale = scale(scene, &room, largest);
    // The ladder stands beside the vehicle, both in the middle together.
    let slack = (room.width() - (to - from) * scale.per_metre).max(0.0);
    let origin = [room.x[0] + slack / 2.0 + to * scale.per_metre, room.y[1]];
    let room = Area { x: [room.x[0], room.x[1] - slack * 0.4], ..room };
    let inner = Area { x: area.x, y: room.y };
    let view = View { scene, units, scale, origin, area: inner, lifted: lifted(scene) };
    let caption = caption(scene, units, area.width());
    board.say_lines([area.x[0], area.y[0] + 0.86 * SMALL], SMALL, false, &caption);

    measures::room(board, &view);
    lift::columns(board, &view);
    let people = people::standing(scene);
    vehicle::draw(board, &view);
    lift::arms(board, &view);
    stands::draw(board, &view);
    // Over the arms, so that heads are seen.
    people.iter().for_each(|p| p.draw(board, &view));
    measures::draw(board, &view);
    let bar = scale.bar(board, [area.x[0] + 1.0, area.y[1] - 0.6], units);
    let refused = scene.plan.verdict == Verdict::DoNotRaise;
    let free = area.x[1] - 3.0 - bar;
    let mut y = area.y[1] - 0.6;
    for says in beside_bar(scene, area.width()).iter().rev() {
        let size = SMALL.min(free / width(says, 1.0, refused));
        board.say_up_to([area.x[1] - 1.0, y], size, refused, says);
        y -= SMALL * LEADING;
    }

    if let Some((whole, _)) = ladder {
        let beside = Area { x: [room.x[1] + 2.0, area.x[1]], y: room.y };
        ladder::draw(board, key, &view, whole, beside);
    }
    let mut labels = Labels::over(board, Area { x: [area.x[0], room.x[1]], y: inner.y });
    measures::name(board, key, &mut labels, &view, room.x);
    stands::name(board, key, &mut labels, &view);
    people.iter().for_each(|p| p.name(board, key, &mut labels, &view));
    lift::name(board, &mut labels, &view);
}
