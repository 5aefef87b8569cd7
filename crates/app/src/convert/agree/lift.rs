//! Dimensions of a lift that contradict each other.

use super::{Figure, metres, more, no_less, si};
use crate::convert::expect::{self, Expect};
use crate::input::quantity::{Quantity, show, show_like};
use crate::input::{At, Problems, Text};
use crate::wire::lift as wire;
use statics::{Angle, Length, Mass};

/// How far outside the inner face of its column a pivot may be: as much as columns are deep, metres; common
/// practice, no source, widened.
const BEYOND_THE_FACE: f64 = 0.30;
/// The farthest apart that the two stops of an arm may be: beyond half a turn it would swing through its column.
const STOPS_APART: f64 = core::f64::consts::PI;

/// What teeth of a restraint are apart, degrees; common practice, no source, widened.
const TOOTH: (f64, f64) = (0.5, 10.0);

const ARM_HELP: &str =
    "measure from the middle of the pivot pin to the middle of the pad, pushed fully in and pulled fully out";

pub(in crate::convert) fn lift(file: &wire::Lift, problems: &mut Problems) {
    let inside = Figure::of("inside", &file.columns.inside, &expect::INSIDE);
    let a = &file.arms.value;
    let all = [
        (&a.front, "front"),
        (&a.front_left, "front_left"),
        (&a.front_right, "front_right"),
        (&a.rear, "rear"),
        (&a.rear_left, "rear_left"),
        (&a.rear_right, "rear_right"),
    ];
    for (given, _) in all {
        if let Some(item) = given {
            arm(&item.value, inside.as_ref(), problems);
            under_its_pad(&item.value, &file.pads, problems);
        }
    }
    pivots(a, problems);
    ratings(file, problems);
    heights(file, problems);
    floor(file, problems);
    adapters(&file.pads, problems);
    if let Some(plate) = &file.plate {
        marks(plate, file.bay.as_ref(), problems);
    }
}

fn arm(arm: &wire::Arm, inside: Option<&Figure<'_>>, problems: &mut Problems) {
    let reach_in = Figure::of("reach_in", &arm.reach_in, &expect::REACH_IN);
    let reach_out = Figure::of("reach_out", &arm.reach_out, &expect::REACH_OUT);
    more(reach_out.as_ref(), reach_in.as_ref(), ARM_HELP, problems);
    more(
        inside,
        reach_in.as_ref(),
        "an arm pushed fully in must fit between the columns: measure both again",
        problems,
    );
    let beam = Figure::of("beam_width", &arm.beam_width, &expect::BEAM_WIDTH);
    more(reach_in.as_ref(), beam.as_ref(), "no arm is as wide as it is long: measure both again", problems);
    if let (Some(short), Some(long)) = (&reach_in, &reach_out)
        && long.si > short.si
        && long.si > short.si * f64::from(arm.stages)
    {
        let tubes = if arm.stages == 1 { "1 tube" } else { &format!("{} tubes", arm.stages) };
        problems.error(
            long.span.clone(),
            format!(
                "reach_out is {:?}, and {tubes} of {:?} (stages, reach_in) do not reach so far",
                long.text, short.text
            ),
            "`stages` counts the tubes that slide in one another, the fixed one too; measure the reach again",
        );
    }
    stops(arm, problems);
    let out = Figure::of("pivot_out", &arm.pivot_out, &expect::PIVOT_OUT);
    if let (Some(out), Some(inside)) = (out, inside)
        && out.si > inside.si / 2.0 + BEYOND_THE_FACE
    {
        let span = if inside.is_odd() && !out.is_odd() { &inside.span } else { &out.span };
        problems.error(
            span.clone(),
            format!(
                "pivot_out is {:?}, and with inside {:?} a column's inner face is only {} from the middle of the bay",
                out.text,
                inside.text,
                show_like(Length::KIND, inside.si / 2.0, &out.text)
            ),
            "`pivot_out` is from the middle of the bay to the pin, not from pin to pin",
        );
    }
}

/// A beam that stands higher than its pad would touch the vehicle first.
fn under_its_pad(arm: &wire::Arm, pads: &wire::Pads, problems: &mut Problems) {
    let top = Figure::of("beam_top", &arm.beam_top, &expect::BEAM_TOP);
    let lowest = Figure::of("lowest", &pads.lowest, &expect::PAD_LOWEST);
    if let (Some(top), Some(lowest)) = (top, lowest)
        && top.si > lowest.si
    {
        problems.warn(
            top.span.clone(),
            format!(
                "beam_top is {:?}, above the top of the pad at its lowest, {:?}, which is legal but odd",
                top.text, lowest.text
            ),
            "usual is a beam below its pad (common practice, no source): both are from the floor, carriage down, pad screwed down; leave it if it is right",
        );
    }
}

fn stops(arm: &wire::Arm, problems: &mut Problems) {
    let from = Figure::of("swing_from", &arm.swing_from, &expect::SWING);
    let to = Figure::of("swing_to", &arm.swing_to, &expect::SWING);
    more(
        to.as_ref(),
        from.as_ref(),
        "`swing_from` is the outer stop and `swing_to` the inner one, inwards positive: they may be swapped",
        problems,
    );
    if let (Some(from), Some(to)) = (from, to)
        && to.si - from.si > STOPS_APART + 1e-9
    {
        let at = if from.is_odd() && !to.is_odd() { &from } else { &to };
        problems.error(
            at.span.clone(),
            format!(
                "swing_from {:?} and swing_to {:?} are {} apart: the arm would swing through its column",
                from.text,
                to.text,
                show_like(Angle::KIND, to.si - from.si, &to.text)
            ),
            "measure each stop as the angle of the arm from straight ahead (front) or straight behind (rear), inwards positive",
        );
    }
    teeth(arm, problems);
}

fn teeth(arm: &wire::Arm, problems: &mut Problems) {
    let sweep = si::<Angle>(&arm.swing_to).zip(si::<Angle>(&arm.swing_from)).map(|(to, from)| to - from);
    let steps = arm.tooth_steps.filter(|steps| *steps > 0);
    let (Some(sweep), Some(steps)) = (sweep.filter(|s| *s > 0.0), steps) else { return };
    let pitch = sweep.to_degrees() / f64::from(steps);
    let (least, most) = TOOTH;
    if !(least..=most).contains(&pitch) {
        problems.warn(
            arm.swing_to.span.clone(),
            format!("tooth_steps = {steps} from stop to stop makes teeth {} apart, which is legal but odd", show(Angle::degrees(pitch))),
            format!("usual is {least} deg to {most} deg (common practice, no source): count the clicks again; leave it if it is right"),
        );
    }
}

/// Ahead of the column line, as written.
fn ahead(arm: &wire::Arm) -> Option<(f64, &Text<Length>)> {
    match (&arm.pivot_ahead, &arm.pivot_behind) {
        (Some(text), None) => Some((si(text)?, text)),
        (None, Some(text)) => Some((-si(text)?, text)),
        _ => None,
    }
}

fn pivots(arms: &wire::Arms, problems: &mut Problems) {
    let sides = [
        (arms.front.as_ref().or(arms.front_left.as_ref()), arms.rear.as_ref().or(arms.rear_left.as_ref())),
        (arms.front.as_ref().or(arms.front_right.as_ref()), arms.rear.as_ref().or(arms.rear_right.as_ref())),
    ];
    let of = |arm: Option<&At<wire::Arm>>| arm.and_then(|a| ahead(&a.value).map(|(x, t)| (x, t.clone())));
    for (front, rear) in sides {
        if let (Some((front, _)), Some((rear, text))) = (of(front), of(rear))
            && front < rear
        {
            problems.error(
                text.span.clone(),
                format!(
                    "the front arm's pivot is {} ahead of the column line and the rear arm's {}: the front one must not be behind the rear one",
                    metres(front),
                    metres(rear)
                ),
                "front arms are those that reach ahead; write pivot_ahead or pivot_behind, whichever side of the line the pin is",
            );
        }
    }
}

fn ratings(file: &wire::Lift, problems: &mut Problems) {
    let a = &file.arms.value;
    let rated =
        |arm: &Option<At<wire::Arm>>| si::<Mass>(arm.as_ref()?.value.rated.as_ref()?).filter(|r| *r > 0.0);
    let pair =
        |both, left, right| rated(both).map(|r| 2.0 * r).or_else(|| Some(rated(left)? + rated(right)?));
    let front = pair(&a.front, &a.front_left, &a.front_right);
    let rear = pair(&a.rear, &a.rear_left, &a.rear_right);
    if let (Some(front), Some(rear), Some(whole)) = (front, rear, si(&file.rated))
        && front + rear < whole * (1.0 - 1e-9)
    {
        problems.warn(
            file.rated.span.clone(),
            format!(
                "rated is {:?}, and the four arms together are rated only {}, which is legal but odd",
                file.rated.text,
                show_like(Mass::KIND, front + rear, &file.rated.text)
            ),
            "usual is a lift's rated load or more for its four arms together (common practice, no source); leave it if the plate says so",
        );
    }
}

fn heights(file: &wire::Lift, problems: &mut Problems) {
    let most = Figure::of("most", &file.rise.most, &expect::RISE_MOST);
    let headroom = Text::<Length>::new(file.headroom.span.clone(), file.headroom.value.clone());
    let headroom = Figure::of("headroom", &headroom, &expect::HEADROOM);
    let lowest = si::<Length>(&file.pads.lowest);
    if let (Some(most), Some(headroom), Some(lowest)) = (most, headroom, lowest)
        && most.si + lowest >= headroom.si
    {
        let at = if most.is_odd() && !headroom.is_odd() { &most } else { &headroom };
        problems.error(
            at.span.clone(),
            format!(
                "headroom is {:?}, and at the top (`most` {:?}) the pads alone stand {} above the floor",
                headroom.text,
                most.text,
                show_like(Length::KIND, most.si + lowest, &headroom.text)
            ),
            "`headroom` is from the floor to the lowest thing above the vehicle, `most` the rise of the carriage: measure both again",
        );
    }
}

fn floor(file: &wire::Lift, problems: &mut Problems) {
    let columns = &file.columns;
    let front = Figure::of("front_face_ahead", &columns.front_face_ahead, &expect::FRONT_FACE);
    let rear = Figure::of("rear_face_behind", &columns.rear_face_behind, &expect::REAR_FACE);
    if let (Some(front), Some(rear)) = (&front, &rear)
        && front.si + rear.si <= 0.0
    {
        problems.error(
            rear.span.clone(),
            "front_face_ahead and rear_face_behind are both nothing, and a column has some depth",
            "measure from the column line, which is the middle of the columns, to either face",
        );
    }
    let Some(bay) = &file.bay else { return };
    let expect = |what| Expect { what, ..expect::BAY };
    let ends = [expect("ahead"), expect("behind")];
    let help = "the bay is measured from the column line, past the columns: measure both again";
    more(Figure::of("ahead", &bay.ahead, &ends[0]).as_ref(), front.as_ref(), help, problems);
    more(Figure::of("behind", &bay.behind, &ends[1]).as_ref(), rear.as_ref(), help, problems);
}

fn adapters(pads: &wire::Pads, problems: &mut Problems) {
    if let Some(first) = pads.adapters.first().filter(|_| pads.stack_most == 0) {
        problems.warn(
            first.height.span.clone(),
            "adapters are listed, and stack_most = 0 lets none be used",
            "look into the lift's manual how many may be stacked on one pad, usually 1 or 2",
        );
    }
    let heights: Vec<Option<f64>> = pads.adapters.iter().map(|a| si(&a.height)).collect();
    for (k, own) in heights.iter().enumerate() {
        let twice = own.is_some_and(|h| heights[..k].iter().flatten().any(|o| (o - h).abs() < 1e-6));
        if twice {
            problems.error(
                pads.adapters[k].height.span.clone(),
                format!("adapters of height {:?} are listed twice", pads.adapters[k].height.text),
                "write each height once, with all of that height as its count",
            );
        }
    }
}

fn marks(plate: &wire::Plate, bay: Option<&wire::Bay>, problems: &mut Problems) {
    let of = |band: &wire::Band| match (&band.front_wheel_ahead, &band.front_wheel_behind) {
        (Some(text), None) => Some((si(text)?, text.clone())),
        (None, Some(text)) => Some((-si(text)?, text.clone())),
        _ => None,
    };
    let wheels: Vec<_> = plate.bands.iter().map(of).collect();
    if let Some(bay) = bay {
        for (x, text) in wheels.iter().flatten() {
            let name = if *x < 0.0 { "front_wheel_behind" } else { "front_wheel_ahead" };
            let end = if *x < 0.0 { ("behind", &bay.behind) } else { ("ahead", &bay.ahead) };
            let wall = Figure::of(end.0, end.1, &expect::BAY);
            let mark = Figure::of(name, text, &expect::FRONT_WHEEL);
            no_less(
                wall.as_ref(),
                mark.as_ref(),
                "the mark lies within the bay: measure both again",
                problems,
            );
        }
    }
    for pair in wheels.windows(2) {
        if let [Some((a, _)), Some((b, text))] = pair
            && b < a
        {
            problems.warn(
                text.span.clone(),
                format!(
                    "this mark is for longer wheelbases than the one before it and lies {} farther back, which is legal but odd",
                    metres(a - b)
                ),
                "usual is farther ahead for a longer wheelbase (common practice, no source); leave it if the plate says so",
            );
        }
    }
}
