//! Dimensions of a vehicle that contradict each other.

use super::outline::Outline;
use super::{Figure, TAPE, metres, more, no_less};
use crate::convert::expect;
use crate::input::{OrNone, Problems};
use crate::wire::vehicle as wire;

/// Height of the centre of gravity as a share of the roof's: 0.32 to 0.43 among 635 measured vehicles (NHTSA,
/// `reference/data/cg-height-measured.csv`), widened.
const SHARE_OF_ROOF: (f64, f64) = (0.28, 0.50);
/// The most that bodies have behind the rear axle, metres; project default, no data.
const REAR_OVERHANG: f64 = 2.0;

const FROM_THE_GROUND: &str = "both are heights above the ground: measure both again";
const WIDTH_HELP: &str =
    "`width` is the widest of the body with its wings, tracks are between the middles of the tyres";
const OVERHANG_HELP: &str =
    "`length`, `front_overhang` and `wheelbase` do not go together: the tyres belong to the vehicle";

pub(super) fn body(file: &wire::Vehicle, outline: &Outline<'_>, problems: &mut Problems) {
    let roof = outline.roof.as_ref();
    let sill = Figure::if_given("sill_height", file.sill_height.as_ref(), &expect::SILL);
    more(roof, sill.as_ref(), FROM_THE_GROUND, problems);
    if let Some(text) = &file.cg_height {
        let cg = Figure::of("cg_height", text, &expect::CG_HEIGHT);
        more(
            roof,
            cg.as_ref(),
            "the centre of gravity of a car is near two fifths of its roof height",
            problems,
        );
        more(cg.as_ref(), sill.as_ref(), "the centre of gravity lies above the lowest underside", problems);
        unusual_height(cg.as_ref(), roof, sill.as_ref(), problems);
    }
    for area in &file.lift_areas.value {
        let underside = Figure::if_given("underside", area.value.underside.as_ref(), &expect::UNDERSIDE);
        more(roof, underside.as_ref(), FROM_THE_GROUND, problems);
    }
    for place in &file.stand_places {
        let underside = Figure::of("underside", &place.value.underside, &expect::UNDERSIDE);
        more(roof, underside.as_ref(), FROM_THE_GROUND, problems);
    }
    wheels(file, outline, problems);
    overhangs(file, outline, problems);
    mirrors(&file.outline, outline, problems);
}

fn unusual_height(
    cg: Option<&Figure<'_>>,
    roof: Option<&Figure<'_>>,
    sill: Option<&Figure<'_>>,
    problems: &mut Problems,
) {
    let (Some(cg), Some(roof), Some(sill)) = (cg, roof, sill) else { return };
    let share = cg.si / roof.si;
    let (least, most) = SHARE_OF_ROOF;
    if cg.si > sill.si && share < 1.0 && !(least..=most).contains(&share) {
        problems.warn(
            cg.span.clone(),
            format!("cg_height is {:?}, {:.0} % of the roof height, which is legal but odd", cg.text, 100.0 * share),
            format!(
                "usual is {} to {} under this roof (28 % to 50 %; measured vehicles 32 % to 43 %, NHTSA); leave it if it is right",
                metres(least * roof.si),
                metres(most * roof.si)
            ),
        );
    }
}

fn wheels(file: &wire::Vehicle, outline: &Outline<'_>, problems: &mut Problems) {
    let w = &file.wheels;
    let of = Figure::if_given;
    let tracks = [("track_front", &w.track_front), ("track_rear", &w.track_rear)];
    let tracks = tracks.map(|(name, text)| of(name, text.as_ref(), &expect::TRACK));
    let diameter = of("tyre_diameter", w.tyre_diameter.as_ref(), &expect::TYRE_DIAMETER);
    let tyre_width = of("tyre_width", w.tyre_width.as_ref(), &expect::TYRE_WIDTH);
    let droop = of("droop", file.droop.as_ref(), &expect::DROOP);
    more(
        outline.roof.as_ref(),
        diameter.as_ref(),
        "the roof is the highest point, and the tyres belong to the vehicle: measure both again",
        problems,
    );
    more(
        diameter.as_ref(),
        tyre_width.as_ref(),
        "no tyre is as wide as it is high: they may be swapped",
        problems,
    );
    more(
        outline.wheelbase.as_ref(),
        diameter.as_ref(),
        "front and rear tyres would touch: measure hub centre to hub centre, and across the tyre",
        problems,
    );
    more(
        diameter.as_ref(),
        droop.as_ref(),
        "no wheel drops by as much as its own size: hub to wheel arch, lifted and standing; the difference",
        problems,
    );
    for track in tracks.iter().flatten() {
        more(
            Some(track),
            tyre_width.as_ref(),
            "left and right tyre would touch: measure between the middles of the tyres",
            problems,
        );
        more(outline.width.as_ref(), Some(track), WIDTH_HELP, problems);
        if let (Some(width), Some(tyre)) = (&outline.width, &tyre_width)
            && width.si > track.si
            && track.si + tyre.si > width.si + TAPE
        {
            problems.warn(
                track.span.clone(),
                format!(
                    "with {} {:?} and tyre_width {:?} the tyres stand {} out of the body on each side, which is legal but odd",
                    track.name,
                    track.text,
                    tyre.text,
                    metres((track.si + tyre.si - width.si) / 2.0)
                ),
                "what is widest must pass between the columns: write `width` over the tyres if they do stand out",
            );
        }
    }
}

fn overhangs(file: &wire::Vehicle, outline: &Outline<'_>, problems: &mut Problems) {
    let diameter = file.wheels.tyre_diameter.as_ref();
    let Some(radius) = Figure::if_given("tyre_diameter", diameter, &expect::TYRE_DIAMETER) else { return };
    if let Some(front) = outline.front_overhang.as_ref().filter(|f| f.si < radius.si / 2.0 - TAPE) {
        problems.error(
            front.span.clone(),
            format!(
                "front_overhang is {:?}, less than half of tyre_diameter {:?}: the tyre would stand out ahead of the foremost point",
                front.text, radius.text
            ),
            OVERHANG_HELP,
        );
    }
    let (Some(rear), Some(length)) = (outline.rear_overhang(), &outline.length) else { return };
    if (0.0..radius.si / 2.0 - TAPE).contains(&rear) {
        problems.error(
            length.span.clone(),
            format!(
                "length is {:?}, which leaves {} behind the rear axle, less than half of tyre_diameter {:?}",
                length.text,
                metres(rear),
                radius.text
            ),
            OVERHANG_HELP,
        );
    }
    if rear > REAR_OVERHANG {
        problems.warn(
            length.span.clone(),
            format!(
                "length is {:?}, which leaves {} behind the rear axle, which is legal but odd",
                length.text,
                metres(rear)
            ),
            format!(
                "usual is {} to {} (project default, no data); leave it if it is right",
                metres(radius.si / 2.0),
                metres(REAR_OVERHANG)
            ),
        );
    }
}

fn mirrors(file: &wire::Outline, outline: &Outline<'_>, problems: &mut Problems) {
    let over = match &file.mirror_width {
        Some(OrNone::Is(text)) => Some(text),
        Some(OrNone::None) | None => None,
    };
    let mirrors = Figure::if_given("mirror_width", over, &expect::MIRROR_WIDTH);
    no_less(
        mirrors.as_ref(),
        outline.width.as_ref(),
        "`mirror_width` is over both mirrors; if no mirror sticks out write mirror_width = \"none\" and no mirror_aft",
        problems,
    );
    let aft = Figure::if_given("mirror_aft", file.mirror_aft.as_ref(), &expect::MIRROR_AFT);
    if let Some(aft) = aft
        && let Some(outside) = outline.beyond_the_ends(aft.si)
    {
        const HELP: &str =
            "measure from the front hub centre back to the mirrors; negative if they are ahead of it";
        Outline::say(&outside, "the mirror", &aft.span, HELP, problems);
    }
}
