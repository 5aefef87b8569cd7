//! The views one by one, for a screen: the bay stays in its place while the vehicle and the pads are moved.

use planner::Plan;
use planner::frames::DrivenIn;
use planner::height::Height;
use planner::job::Posture;
use planner::lift::Corner;
use statics::Length;

use super::board::Board;
use super::labels::Key;
use super::{Area, Item, Style, plan_view, side_view, strip};
use crate::words::practice;
use crate::{Scene, Units};

/// What a screen shows of a bay, in bay axes: it is decided once, from the plan, and holds while somebody moves things.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Window {
    /// Rear and front, metres.
    pub along: [f64; 2],
    /// To the left and to the right, metres.
    pub sides: [f64; 2],
}

impl Window {
    /// In which both can be seen.
    #[must_use]
    pub fn with(&self, other: &Self) -> Self {
        let [rear, front] = self.along;
        let sides = [0, 1].map(|side| self.sides[side].max(other.sides[side]));
        Self { along: [rear.min(other.along[0]), front.max(other.along[1])], sides }
    }

    /// With so much more room ahead and behind, metres.
    #[must_use]
    pub fn roomier(&self, by: f64) -> Self {
        Self { along: [self.along[0] - by, self.along[1] + by], ..*self }
    }

    /// Between the arms: pads, columns and the front wheel's mark, larger than the whole vehicle would be, with room for the
    /// arrow to the front and its name.
    #[must_use]
    pub fn at_the_arms(scene: &Scene<'_>) -> Self {
        const ROOM: f64 = 0.4;
        const AHEAD: f64 = 0.75;
        let columns = &scene.lift.columns;
        let pads = scene.plan.pads.iter().map(|pad| pad.bay.to_metres()[0]);
        let others = [columns.front_face, columns.rear_face, scene.plan.placement.spot];
        let along = others.into_iter().map(Length::to_metres).chain(pads);
        let [rear, front] = along.fold([0.0_f64; 2], |[rear, front], x| [rear.min(x), front.max(x)]);
        let along = match scene.plan.placement.driven_in {
            DrivenIn::Forwards => [rear - ROOM, front + AHEAD],
            DrivenIn::Backwards => [rear - AHEAD, front + ROOM],
        };
        Self { along, sides: sides(scene) }
    }

    /// Of a plan, with room to move the vehicle; the front wheel's figure stands left of the columns.
    #[must_use]
    pub fn of(scene: &Scene<'_>) -> Self {
        const ROOM: f64 = 0.35;
        let [rear, front] = plan_view::extent(scene);
        Self { along: [rear - ROOM, front + ROOM], sides: sides(scene) }
    }
}

/// One view, placed, millimetres right of and below its own upper left corner.
#[derive(Clone, Debug, PartialEq)]
pub struct Picture {
    /// Width and height.
    pub size: [f64; 2],
    /// Where the middle between the columns lies; ahead is up, left is left.
    pub origin: [f64; 2],
    /// So long is a metre.
    pub per_metre: f64,
    /// What is on it, drawn in that order.
    pub items: Vec<Item>,
    /// Names that found no room, by their number on the picture.
    pub names: Vec<String>,
}

/// What must be seen left and right of the middle, metres.
fn sides(scene: &Scene<'_>) -> [f64; 2] {
    let wide = plan_view::half_width(scene) + 0.1;
    [wide.max(plan_view::outside_of_the_spot(scene, 1000.0 / ONE_TO)), wide]
}

/// On a screen of 360 points a millimetre is then four of them, and the smallest type 14.
const ONE_TO: f64 = 52.0;

/// From above. While something is moved names are left out: they would jump.
#[must_use]
pub fn from_above(scene: &Scene<'_>, units: Units, window: &Window, named: bool) -> Picture {
    above(scene, units, window, named, None)
}

/// The same with the edge over which it tips, if it does.
#[must_use]
pub fn as_it_ends(scene: &Scene<'_>, units: Units, window: &Window) -> Picture {
    let tips = practice::tip(scene).map(|tip| tip.edge);
    above(scene, units, window, true, tips)
}

fn above(
    scene: &Scene<'_>,
    units: Units,
    window: &Window,
    named: bool,
    tips: Option<[Corner; 2]>,
) -> Picture {
    let per_metre = 1000.0 / ONE_TO;
    let [rear, front] = window.along;
    let [left, right] = window.sides;
    let size = [(left + right) * per_metre, (front - rear) * per_metre];
    let origin = [left * per_metre, front * per_metre];
    let (mut board, mut key) = (Board::new(), Key::default());
    plan_view::draw_on_screen(&mut board, &mut key, scene, units, (size, origin, ONE_TO), named, tips);
    Picture { size, origin, per_metre, items: board.items, names: key.names }
}

/// One state of the job from above: what the pads span, what each carries, where the centre of gravity is and was.
#[must_use]
pub fn at_state(scene: &Scene<'_>, units: Units, k: usize) -> Picture {
    const SIZE: [f64; 2] = [82.0, 60.0];
    let mut board = Board::new();
    strip::alone(&mut board, scene, units, k, SIZE);
    Picture { size: SIZE, origin: [0.0, 0.0], per_metre: 0.0, items: board.items, names: vec![] }
}

/// How high a vehicle is drawn.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Raised {
    /// On its wheels, the arms down.
    Not,
    /// Just clear of the floor.
    ForTheTest,
    /// At a lock, counted from the lowest; `None` = at the full rise of a lift without locks. Nobody is under it.
    To(Option<usize>),
    /// Where it is worked on, with whoever works there.
    ForWork,
}

impl Raised {
    /// The plan's height as it is then.
    fn height(self, scene: &Scene<'_>) -> Height {
        let height = &scene.plan.height;
        let down = scene.plan.pads.iter().map(|pad| pad.height).reduce(Length::min).unwrap_or_default();
        let nobody = |lock, pad_height| Height { lock, pad_height, roof_room: None, tasks: vec![] };
        match self {
            Self::Not => nobody(None, down),
            Self::ForTheTest => nobody(None, down + scene.plan.test_raise),
            Self::To(lock) => {
                let locks = &scene.lift.rise.locks;
                let rise = lock.and_then(|k| locks.get(k)).copied().unwrap_or(scene.lift.rise.most);
                nobody(lock, down + rise)
            }
            Self::ForWork => height.clone(),
        }
    }
}

/// What stands under a vehicle as it is drawn.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Stands {
    /// What the plan has where it is worked on.
    AsPlanned,
    /// Those of the plan, and nobody under the vehicle.
    Set,
    /// None: they are not set yet, or away again.
    Away,
}

impl Stands {
    fn stand(self, plan: &mut Plan) {
        match self {
            Self::AsPlanned => {}
            Self::Set => plan.height.tasks.retain(|task| task.posture != Posture::StandingUnder),
            Self::Away => plan.stands = None,
        }
    }
}

/// From the left. On a screen of 360 points a millimetre is more than three of them, and the smallest type 11.
#[must_use]
pub fn from_the_left(scene: &Scene<'_>, units: Units, raised: Raised, stands: Stands) -> Picture {
    const WIDE: f64 = 100.0;
    let mut plan = Plan { height: raised.height(scene), ..scene.plan.clone() };
    stands.stand(&mut plan);
    let scene = &Scene { plan: &plan, ..*scene };
    let (mut board, mut key) = (Board::new(), Key::default());
    let (high, one_to) = side_view::narrow(scene, units, WIDE - 2.0);
    let area = Area { x: [1.0, WIDE - 1.0], y: [1.0, 1.0 + high] };
    side_view::draw_narrow(&mut board, &mut key, scene, units, area);
    let per_metre = 1000.0 / one_to;
    Picture { size: [WIDE, high + 2.0], origin: [0.0, 0.0], per_metre, items: board.items, names: key.names }
}

impl Picture {
    /// Of the plan view: with a ring around one pad, the one to look at.
    #[must_use]
    pub fn with_pad(mut self, scene: &Scene<'_>, corner: Corner) -> Self {
        let [ahead, left] = scene.plan.pads[corner.index()].bay.to_metres();
        let centre = [self.origin[0] - left * self.per_metre, self.origin[1] - ahead * self.per_metre];
        self.items.push(Item::Circle { centre, radius: 5.0, style: Style::LeastEdge });
        self
    }
}
