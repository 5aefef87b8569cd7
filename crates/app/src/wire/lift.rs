//! A lift file, `lift/1`.

use schemars::JsonSchema;
use serde::Deserialize;
use statics::{Angle, Length, Mass, Stiffness};

use crate::input::quantity::Share;
use crate::input::{At, Text};

/// A two-post lift as a technician measures it with a tape.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct Lift {
    /// What this file is and its version: "lift/1".
    #[expect(dead_code, reason = "read before the rest, to know what the file is")]
    pub(crate) standfast: String,
    /// True while the file still holds the values that `standfast new` wrote: no plan is made from them.
    pub(crate) example_values: Option<At<bool>>,
    /// What the shop calls the lift.
    pub(crate) name: At<String>,
    /// What it shows a learner, if it is demonstration data.
    #[schemars(length(max = 300))]
    pub(crate) teaches: Option<String>,
    /// Rated load on the lift's plate.
    pub(crate) rated: Text<Mass>,
    /// Lowest thing above the vehicle (ceiling, crossbar, lamp), above the floor; or "open sky".
    pub(crate) headroom: At<String>,
    /// Whether vehicles may also be driven in backwards; no if left out.
    pub(crate) backwards: Option<bool>,
    /// Least and greatest share of the load that the front pads may carry, only if the maker gives it.
    pub(crate) permitted_front_share: Option<[Text<Share>; 2]>,
    /// Whether the rule 2:3 (to 3500 kg) or 1:3 (above) of front to rear load is a "condition" or "binding" here.
    pub(crate) split_rule: Option<SplitRule>,
    /// The two columns.
    pub(crate) columns: Columns,
    /// Free floor of the bay.
    pub(crate) bay: Option<Bay>,
    /// The four arms; what is alike left and right is given once.
    pub(crate) arms: At<Arms>,
    /// The four pads, which are alike, and their adapters.
    pub(crate) pads: Pads,
    /// How the carriages go up.
    pub(crate) rise: Rise,
    /// The spotting rule on the lift's plate, if it has one.
    pub(crate) plate: Option<Plate>,
}

/// How the split rule counts.
#[derive(Clone, Copy, Debug, Deserialize, JsonSchema, PartialEq)]
#[serde(rename_all = "lowercase")]
pub(crate) enum SplitRule {
    /// Said as a condition.
    Condition,
    /// Refuses the raise.
    Binding,
}

/// The two columns, alike on both sides of the bay's centre line.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct Columns {
    /// Clear width between the inner faces of the columns.
    pub(crate) inside: Text<Length>,
    /// Column line (middle of the columns) to their front face.
    pub(crate) front_face_ahead: Text<Length>,
    /// Column line (middle of the columns) to their rear face.
    pub(crate) rear_face_behind: Text<Length>,
}

/// Free floor of the bay.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct Bay {
    /// Column line to the wall, door or line ahead.
    pub(crate) ahead: Text<Length>,
    /// Column line to the wall, door or line behind.
    pub(crate) behind: Text<Length>,
}

/// The arms: either `front` for both front arms, or `front_left` and `front_right`; the rear ones alike.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct Arms {
    /// Both front arms, mirrored.
    pub(crate) front: Option<At<Arm>>,
    /// Both rear arms, mirrored.
    pub(crate) rear: Option<At<Arm>>,
    /// The front left arm alone.
    pub(crate) front_left: Option<At<Arm>>,
    /// The front right arm alone.
    pub(crate) front_right: Option<At<Arm>>,
    /// The rear left arm alone.
    pub(crate) rear_left: Option<At<Arm>>,
    /// The rear right arm alone.
    pub(crate) rear_right: Option<At<Arm>>,
}

/// One arm.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct Arm {
    /// Column line to the middle of the pivot pin, if the pin is ahead of the line.
    pub(crate) pivot_ahead: Option<Text<Length>>,
    /// Column line to the middle of the pivot pin, if the pin is behind the line.
    pub(crate) pivot_behind: Option<Text<Length>>,
    /// Middle of the bay to the middle of the pivot pin.
    pub(crate) pivot_out: Text<Length>,
    /// Pivot pin to pad centre, arm pushed fully in.
    pub(crate) reach_in: Text<Length>,
    /// Pivot pin to pad centre, arm pulled fully out.
    pub(crate) reach_out: Text<Length>,
    /// Telescoping stages, two or three.
    #[schemars(range(min = 1, max = 4))]
    pub(crate) stages: u8,
    /// Outer swing stop: angle of the arm from straight ahead (front arm) or straight behind (rear arm), inwards positive.
    pub(crate) swing_from: Text<Angle>,
    /// Inner swing stop, measured in the same way.
    pub(crate) swing_to: Text<Angle>,
    /// Steps of the arm restraint from stop to stop (count the clicks); left out if it locks anywhere.
    #[schemars(range(min = 1, max = 255))]
    pub(crate) tooth_steps: Option<u8>,
    /// Widest part of the arm's beam.
    pub(crate) beam_width: Text<Length>,
    /// Floor to the top of the beam, carriage fully down.
    pub(crate) beam_top: Text<Length>,
    /// What this arm may carry, if the plate says; a quarter of the lift's rated load if left out.
    pub(crate) rated: Option<Text<Mass>>,
    /// Stiffness at the pad, arm fully out, if it was measured, and how far it may be off, each arm by itself: "400 N/mm +- 40 N/mm". Left out it is assumed, the same for all arms.
    pub(crate) stiffness_out: Option<Text<Stiffness>>,
}

/// The pads and their adapters.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct Pads {
    /// Diameter of the pad's disc.
    pub(crate) diameter: Text<Length>,
    /// Floor to the top of the pad: carriage down, pad screwed down, no adapter.
    pub(crate) lowest: Text<Length>,
    /// How much the pad's own screw or pin raises it.
    pub(crate) travel: Text<Length>,
    /// What the pads are faced with.
    pub(crate) surface: Surface,
    /// The most adapters that may be stacked on one pad.
    #[schemars(range(min = 0, max = 10))]
    pub(crate) stack_most: u8,
    /// The kit of adapters.
    #[serde(default)]
    pub(crate) adapters: Vec<Adapter>,
}

/// What the pads are faced with; it decides the friction that is counted on.
#[derive(Clone, Copy, Debug, Deserialize, JsonSchema)]
pub(crate) enum Surface {
    /// Rubber in good order.
    #[serde(rename = "rubber")]
    Rubber,
    /// Rough metal.
    #[serde(rename = "rough metal")]
    RoughMetal,
    /// Smooth or painted metal.
    #[serde(rename = "smooth metal")]
    SmoothMetal,
    /// Anything oily.
    #[serde(rename = "oily")]
    Oily,
}

/// A kind of adapter in the kit.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct Adapter {
    /// How much it raises the pad.
    pub(crate) height: Text<Length>,
    /// How many of it the kit holds.
    #[schemars(range(min = 1, max = 100))]
    pub(crate) count: u8,
}

/// How the carriages go up.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct Rise {
    /// Rise of the carriage from fully down to each lock, lowest first.
    #[schemars(length(min = 1))]
    pub(crate) locks: Vec<Text<Length>>,
    /// Rise of the carriage from fully down to the top.
    pub(crate) most: Text<Length>,
}

/// The spotting rule on the lift's plate.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct Plate {
    /// How far the front wheel may be from the mark; 25 mm, project default, if left out.
    pub(crate) wheel_tolerance: Option<Text<Length>>,
    /// The bands of wheelbase.
    #[schemars(length(min = 1))]
    pub(crate) bands: Vec<Band>,
}

/// One band of wheelbase and its mark on the floor.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct Band {
    /// Name of the mark, as on the floor.
    pub(crate) mark: At<String>,
    /// Which wheelbases: "under 105 in", "105 in to 127 in" (both ends belong to it), "over 127 in", "up to 105 in", "from 105 in".
    pub(crate) wheelbase: At<String>,
    /// Column line to the front hub centres on that mark, ahead.
    pub(crate) front_wheel_ahead: Option<Text<Length>>,
    /// Column line to the front hub centres on that mark, if it is behind the line.
    pub(crate) front_wheel_behind: Option<Text<Length>>,
}
