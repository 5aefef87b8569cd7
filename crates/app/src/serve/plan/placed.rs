//! A setup that somebody moved, as it is written in an address or sent while a finger moves.

use planner::frames::{DrivenIn, Placement};
use planner::{Plan, Setup, VehicleFrame};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use serde_json::json;
use statics::{Angle, Length, Place};

use crate::document::Document;
use crate::serve::fault::Fault;
use crate::serve::shelf::Worked;

/// Corners as an as-placed file names them.
const CORNERS: [&str; 4] = ["front_left", "front_right", "rear_left", "rear_right"];

/// What an address says: metres and degrees; left out = as planned.
#[derive(Clone, Debug, Default, Deserialize, Serialize)]
pub(crate) struct Moved {
    #[serde(default, skip_serializing_if = "Option::is_none")]
    spot: Option<String>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    offset: Option<String>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    yaw: Option<String>,
    /// Each pad as "behind the front axle, left of centre".
    #[serde(default, skip_serializing_if = "Option::is_none")]
    front_left: Option<String>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    front_right: Option<String>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    rear_left: Option<String>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    rear_right: Option<String>,
}

impl Moved {
    const fn pads(&self) -> [&Option<String>; 4] {
        [&self.front_left, &self.front_right, &self.rear_left, &self.rear_right]
    }

    /// A setup as an address says it.
    pub(crate) fn of(plan: &Plan) -> Self {
        let placed = Placed::of(plan);
        let metres = |value: f64| format!("{value:.4} m");
        let pads = plan.pads.each_ref().map(|pad| Some(pad.at.to_metres().map(metres).join(",")));
        let [front_left, front_right, rear_left, rear_right] = pads;
        Self {
            spot: Some(metres(placed.spot_m)),
            offset: Some(metres(placed.offset_m)),
            yaw: Some(format!("{:.5} rad", placed.yaw_rad)),
            front_left,
            front_right,
            rear_left,
            rear_right,
        }
    }

    /// What it says, by name.
    pub(crate) fn pairs(&self) -> impl Iterator<Item = (&'static str, &str)> {
        let said = [("spot", &self.spot), ("offset", &self.offset), ("yaw", &self.yaw)];
        let pads = CORNERS.into_iter().zip(self.pads());
        said.into_iter().chain(pads).filter_map(|(name, said)| Some((name, said.as_deref()?)))
    }

    /// The plan of the setup that it asks for; `None` = as planned.
    pub(crate) fn checked(&self, worked: &Worked) -> Result<Option<Plan>, Fault> {
        self.setup(worked.plan())?.map(|setup| worked.answered(&setup)).transpose()
    }

    fn setup(&self, plan: &Plan) -> Result<Option<Setup>, Fault> {
        let said = [&self.spot, &self.offset, &self.yaw].into_iter().chain(self.pads());
        if said.flatten().all(|text| text.trim().is_empty()) {
            return Ok(None);
        }
        let mut placed = Placed::of(plan).file();
        for (key, said) in [("spot", &self.spot), ("offset", &self.offset), ("yaw", &self.yaw)] {
            if let Some(text) = said.as_ref().filter(|text| !text.trim().is_empty()) {
                placed[key] = text.trim().into();
            }
        }
        for (corner, said) in CORNERS.iter().zip(self.pads()) {
            if let Some(text) = said.as_ref().filter(|text| !text.trim().is_empty()) {
                placed["pads"][*corner]["at"] = text.split(',').map(str::trim).collect();
            }
        }
        read(&placed).map(Some)
    }
}

/// A setup while it is moved, SI.
#[derive(Clone, Copy, Debug, Deserialize, Serialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct Placed {
    /// Column line to the front hub centres, ahead.
    pub(crate) spot_m: f64,
    /// Middle of the bay to the middle of the front axle, to the left.
    pub(crate) offset_m: f64,
    /// Turn out of square, anticlockwise from above.
    pub(crate) yaw_rad: f64,
    /// Whether it was driven in backwards.
    pub(crate) backwards: bool,
    /// The four pads: front left, front right, rear left, rear right of the vehicle.
    pub(crate) pads: [PadPlace; 4],
}

/// Where a pad is, on the vehicle or in the bay.
#[derive(Clone, Copy, Debug, Deserialize, Serialize, JsonSchema)]
#[serde(untagged)]
pub(crate) enum PadPlace {
    /// On the vehicle.
    Vehicle {
        /// Behind the front axle.
        aft_m: f64,
        /// Left of its centre.
        left_m: f64,
    },
    /// In the bay.
    Bay {
        /// Ahead of the column line.
        bay_x_m: f64,
        /// Left of the middle.
        bay_y_m: f64,
    },
}

impl Placed {
    /// Of a plan.
    pub(crate) fn of(plan: &Plan) -> Self {
        let placement = &plan.placement;
        Self {
            spot_m: placement.spot.to_metres(),
            offset_m: placement.offset.to_metres(),
            yaw_rad: placement.yaw.to_radians(),
            backwards: placement.driven_in == DrivenIn::Backwards,
            pads: plan.pads.each_ref().map(|pad| {
                let [aft_m, left_m] = pad.at.to_metres();
                PadPlace::Vehicle { aft_m, left_m }
            }),
        }
    }

    /// Of a plan, the pads where they are in the bay: they stay there while the vehicle moves.
    pub(crate) fn in_bay(plan: &Plan) -> Self {
        let pads = plan.pads.each_ref().map(|pad| {
            let [bay_x_m, bay_y_m] = pad.bay.to_metres();
            PadPlace::Bay { bay_x_m, bay_y_m }
        });
        Self { pads, ..Self::of(plan) }
    }

    fn placement(&self) -> Placement {
        Placement {
            spot: Length::metres(self.spot_m),
            offset: Length::metres(self.offset_m),
            yaw: Angle::radians(self.yaw_rad),
            driven_in: if self.backwards { DrivenIn::Backwards } else { DrivenIn::Forwards },
        }
    }

    /// As an as-placed file says it.
    pub(crate) fn file(&self) -> serde_json::Value {
        let metres = |value: f64| format!("{value} m");
        let placement = self.placement();
        let pads = CORNERS.iter().zip(&self.pads).map(|(corner, pad)| {
            let at: Place<VehicleFrame> = match *pad {
                PadPlace::Vehicle { aft_m, left_m } => Place::metres([aft_m, left_m]),
                PadPlace::Bay { bay_x_m, bay_y_m } => placement.to_vehicle(Place::metres([bay_x_m, bay_y_m])),
            };
            ((*corner).to_owned(), json!({ "at": at.to_metres().map(metres) }))
        });
        json!({
            "standfast": "as-placed/1",
            "spot": metres(self.spot_m),
            "offset": metres(self.offset_m),
            "yaw": format!("{} rad", self.yaw_rad),
            "driven_in": if self.backwards { "backwards" } else { "forwards" },
            "pads": pads.collect::<serde_json::Map<_, _>>(),
        })
    }

    /// The setup, read like a file, so that what is no setup is refused with the same words.
    pub(crate) fn setup(&self) -> Result<Setup, Fault> {
        read(&self.file())
    }
}

/// A setup as a file says it.
pub(crate) fn kept(text: &str) -> Result<Setup, Fault> {
    let mut document = Document::as_placed(text);
    let setup = document.setup();
    setup.ok_or_else(|| Fault::Bad(document.reasons()))
}

fn read(file: &serde_json::Value) -> Result<Setup, Fault> {
    kept(&file.to_string())
}
