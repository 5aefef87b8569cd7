//! The picture that stands at a hold point.

use maud::{Markup, html};
use planner::lift::Corner;
use records::{HoldPoint, Position, Progress};
use sheets::drawing::screen::{self, Raised, Stands, Window};
use sheets::{Origin, Scene, Units};

use crate::serve::{picture, plan};
use crate::told;

/// What helps at a hold point.
enum Pictured {
    /// The bay from above, with one pad marked.
    Above(Option<Corner>),
    /// The lift from the left.
    Left(Raised),
    /// Nothing of the plan: the vehicle leaves the lift, or nobody knows where it is.
    Nothing,
}

impl Pictured {
    /// The state in which the vehicle is when the point is confirmed; people only where it rests on its locks for work.
    fn of(next: HoldPoint, progress: &Progress) -> Self {
        let outline = &progress.outline;
        let index = |lock: Option<u16>| lock.and_then(|number| number.checked_sub(1)).map(usize::from);
        let later = |k: u16| outline.later.get(usize::from(k)).map(|later| later.lock);
        let now = index(told::raise::gone_to(progress));
        let is_up = matches!(progress.position, Position::Raising | Position::Raised | Position::OnLocks);
        match next {
            _ if progress.position == Position::Unknown => Self::Nothing,
            HoldPoint::Spotted
            | HoldPoint::PadsSeated
            | HoldPoint::ArmLocksEngaged
            | HoldPoint::StandsSet
            | HoldPoint::StandsAway => Self::Above(None),
            HoldPoint::PadRechecked(pad) => Self::Above(Corner::ALL.get(usize::from(pad)).copied()),
            HoldPoint::TestRaised | HoldPoint::Shaken => Self::Left(Raised::ForTheTest),
            HoldPoint::Raised => Self::Left(Raised::To(index(outline.lock))),
            HoldPoint::HeightReached(k) => Self::Left(Raised::To(index(later(k)))),
            HoldPoint::StepDone(_) if now == index(outline.lock) => Self::Left(Raised::ForWork),
            HoldPoint::AreaClear | HoldPoint::OffLocks | HoldPoint::LocksReleased if !is_up => {
                Self::Left(Raised::ForTheTest)
            }
            HoldPoint::OnLocks
            | HoldPoint::StepDone(_)
            | HoldPoint::StepUndone(_)
            | HoldPoint::AreaClear
            | HoldPoint::OffLocks
            | HoldPoint::LocksReleased => Self::Left(Raised::To(now)),
            HoldPoint::FullyDown => Self::Left(Raised::Not),
            HoldPoint::ArmsClear | HoldPoint::DrivenOff | HoldPoint::LeftOnFloor => Self::Nothing,
        }
    }
}

/// The picture of a hold point, and at the setting of the arms what each is set to.
pub(crate) fn pictures(
    scene: &Scene<'_>,
    window: &Window,
    next: HoldPoint,
    progress: &Progress,
    units: Units,
) -> Markup {
    let how = match scene.origin {
        Origin::Planned => "as planned",
        Origin::AsPlaced => "as it was measured on the floor",
    };
    let still = match Pictured::of(next, progress) {
        Pictured::Nothing => return html! {},
        Pictured::Above(pad) => {
            let at_the_arms = !matches!(next, HoldPoint::StandsSet | HoldPoint::StandsAway);
            let window = if at_the_arms { &Window::at_the_arms(scene) } else { window };
            let picture = screen::from_above(scene, units, window, true);
            let picture = match pad {
                Some(corner) => picture.with_pad(scene, corner),
                None => picture,
            };
            picture::still(&picture, &format!("From above, {how}"))
        }
        Pictured::Left(raised) => {
            // Who is told that the stands are away must not see one there, nor miss one that stands.
            let stands = if progress.stands_set { Stands::Set } else { Stands::Away };
            let picture = screen::from_the_left(scene, units, raised, stands);
            picture::still(&picture, &format!("From the left, {how}"))
        }
    };
    html! {
        figure.picture.set[next == HoldPoint::PadsSeated] {
            (still)
            @if matches!(next, HoldPoint::PadsSeated | HoldPoint::Spotted) {
                div.arms { @for pad in plan::by_arm(scene) { (plan::arm(scene, pad, units)) } }
            }
        }
    }
}
