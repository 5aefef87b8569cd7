//! A setup in numbers: for whoever has no pointer or no script, and to send what was dragged.

use std::collections::BTreeMap;

use planner::Plan;
use planner::frames::DrivenIn;
use planner::lift::Corner;
use sheets::{Units, words};

use crate::serve::fault::Fault;
use crate::serve::plan::placed::{PadPlace, Placed};

/// As a form sends it.
pub(crate) type Filled = BTreeMap<String, String>;

/// One number.
pub(crate) struct Field {
    pub(crate) name: String,
    pub(crate) label: String,
    pub(crate) value: String,
    pub(crate) step: &'static str,
}

/// Name of the unit, how many make a metre, digits after the point, step.
const fn lengths(units: Units) -> (&'static str, f64, usize, &'static str) {
    match units {
        Units::Metric => ("mm", 1000.0, 0, "5"),
        Units::Us => ("in", 1.0 / 0.0254, 2, "0.25"),
    }
}

/// The unit of its lengths.
pub(crate) const fn unit(units: Units) -> &'static str {
    lengths(units).0
}

fn key(corner: Corner, part: &str) -> String {
    format!("{}-{part}", corner.name())
}

/// Where the vehicle stands.
pub(crate) fn stance(plan: &Plan, units: Units) -> Vec<Field> {
    let at = Placed::of(plan);
    let (unit, per_metre, digits, step) = lengths(units);
    let length = |name: &str, label: &str, metres: f64| Field {
        name: name.to_owned(),
        label: format!("{label}, {unit}"),
        value: format!("{:.digits$}", metres * per_metre),
        step,
    };
    vec![
        length("spot", "Front wheel ahead of the column line", at.spot_m),
        length("offset", "Middle of the vehicle to the left", at.offset_m),
        Field {
            name: "yaw".into(),
            label: "Turned to the left, degrees".into(),
            value: format!("{:.2}", at.yaw_rad.to_degrees()),
            step: "0.25",
        },
    ]
}

/// Where a pad touches the vehicle.
pub(crate) fn pad(plan: &Plan, corner: Corner, units: Units) -> Vec<Field> {
    let [aft, left] = plan.pads[corner.index()].at.to_metres();
    let (unit, per_metre, digits, step) = lengths(units);
    let field = |part: &str, label: &str, metres: f64| Field {
        name: key(corner, part),
        label: format!("{label}, {unit}"),
        value: format!("{:.digits$}", metres * per_metre),
        step,
    };
    vec![
        field("aft", "Behind the front axle", aft),
        field("out", "Out from the middle", outwards(corner) * left),
    ]
}

const fn outwards(corner: Corner) -> f64 {
    if corner.is_left() { 1.0 } else { -1.0 }
}

/// Everything by its name.
pub(crate) fn values(plan: &Plan, units: Units) -> Filled {
    let pads = Corner::ALL.into_iter().flat_map(|corner| pad(plan, corner, units));
    let all = stance(plan, units).into_iter().chain(pads).map(|field| (field.name, field.value));
    let backwards = if Placed::of(plan).backwards { "backwards" } else { "forwards" };
    all.chain([("way".into(), backwards.into()), ("unit".into(), unit(units).into())]).collect()
}

/// The setup that was filled in, or everything that is wrong.
pub(crate) fn read(filled: &Filled) -> Result<Placed, Fault> {
    let units = match filled.get("unit").map(String::as_str) {
        Some("in") => Units::Us,
        Some("mm") => Units::Metric,
        _ => return Err(Fault::bad("The unit of the lengths is missing.")),
    };
    let per_metre = lengths(units).1;
    let mut wrong = Vec::new();
    let mut number = |name: &str, what: String| {
        let said = filled.get(name).map_or("", |text| text.trim());
        match said.parse::<f64>() {
            Ok(value) if value.is_finite() => value,
            _ => {
                wrong.push(format!("{}: “{said}” is no number.", words::capital(&what)));
                0.0
            }
        }
    };
    let spot_m = number("spot", "front wheel ahead of the column line".into()) / per_metre;
    let offset_m = number("offset", "middle of the vehicle to the left".into()) / per_metre;
    let yaw_rad = number("yaw", "turned to the left".into()).to_radians();
    let backwards = filled.get("way").is_some_and(|way| way == "backwards");
    let driven_in = if backwards { DrivenIn::Backwards } else { DrivenIn::Forwards };
    let pads = Corner::ALL.map(|corner| {
        let named = words::pads_as_driven(driven_in, &[corner]);
        let mut part = |part, what| number(&key(corner, part), format!("{named}, {what}")) / per_metre;
        let (aft_m, out) = (part("aft", "behind the front axle"), part("out", "out from the middle"));
        PadPlace::Vehicle { aft_m, left_m: outwards(corner) * out }
    });
    if wrong.is_empty() {
        Ok(Placed { spot_m, offset_m, yaw_rad, backwards, pads })
    } else {
        Err(Fault::Bad(wrong))
    }
}

/// As the query of an address.
pub(crate) fn query(plan: &Plan, units: Units) -> String {
    url::form_urlencoded::Serializer::new(String::new()).extend_pairs(values(plan, units)).finish()
}
