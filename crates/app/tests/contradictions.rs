//! Files whose figures cannot all be true: each is refused at its line, with what it contradicts and a cure.

#![expect(clippy::unwrap_used, reason = "helpers of tests stop at what they did not expect")]

mod spoilt;

use spoilt::{PLAN, folder, run};

/// A figure that is changed, the line that is blamed, and parts of the message and its cure.
type Case = (&'static str, &'static str, &'static str, &'static str, &'static str);

/// What is said of a changed file: exit status and text.
fn said_of(file: &str, from: &str, to: &str, arguments: &[&str]) -> (Option<i32>, String) {
    let folder = folder();
    let path = folder.path().join(file);
    let text = std::fs::read_to_string(&path).unwrap();
    assert!(text.contains(from), "{file}: {from:?}");
    std::fs::write(&path, text.replacen(from, to, 1)).unwrap();
    let output = run(folder.path(), arguments);
    if output.status.code() == Some(2) {
        assert!(!folder.path().join("plan.svg").exists(), "{to}");
    }
    (output.status.code(), String::from_utf8(output.stderr).unwrap())
}

/// Whether a problem of that kind stands at that line with that message and that cure.
fn is_told(said: &str, word: &str, file: &str, (_, _, line, message, cure): &Case) -> bool {
    let head = format!("{word}: {file}:");
    said.match_indices(&head).map(|(at, _)| &said[at..]).any(|problem| {
        let mut lines = problem.lines();
        let [head, shown, help] = [0; 3].map(|_| lines.next().unwrap_or_default());
        head.contains(message)
            && shown.split_once(" | ").is_some_and(|(_, text)| text.trim().starts_with(line))
            && help.starts_with("  help: ")
            && help.contains(cure)
    })
}

fn check(file: &str, arguments: &[&str], word: &str, cases: &[Case]) {
    for case in cases {
        let (from, to, ..) = case;
        let (code, said) = said_of(file, from, to, arguments);
        assert_eq!(code == Some(2), word == "error", "{to}: {said}");
        assert!(is_told(&said, word, file, case), "{to}: {said}");
    }
}

#[test]
fn bodies() {
    const GROUND: &str = "heights above the ground";
    check(
        "vehicle.toml",
        &["check", "vehicle.toml"],
        "error",
        &[
            (
                "underside = \"200 mm\"",
                "underside = \"150 mm\"",
                "underside",
                "lower than sill_height \"185 mm\"",
                "the lowest of all",
            ),
            (
                "roof = \"1.46 m\"",
                "roof = \"0.18 m\"",
                "roof",
                "roof is \"0.18 m\", and must be more than sill_height \"185 mm\"",
                GROUND,
            ),
            (
                "sill_height = \"185 mm\"",
                "sill_height = \"1.85 m\"",
                "sill_height",
                "sill_height is \"1.85 m\", and must be less than roof",
                GROUND,
            ),
            (
                "underside = \"200 mm\"",
                "underside = \"2.00 m\"",
                "underside",
                "underside is \"2.00 m\", and must be less than roof",
                GROUND,
            ),
            (
                "roof = \"1.46 m\"",
                "roof = \"0.60 m\"",
                "roof",
                "more than tyre_diameter \"0.61 m\"",
                "highest point",
            ),
            (
                "droop = \"90 mm +- 20 mm\"",
                "droop = \"90 mm +- 95 mm\"",
                "droop",
                "off by more than it is",
                "92.5 mm +- 92.5 mm",
            ),
            (
                "droop = \"90 mm +- 20 mm\"",
                "droop = \"0.9 m +- 20 mm\"",
                "droop",
                "must be less than tyre_diameter",
                "no wheel drops",
            ),
            (
                "track_front = \"1.50 m\"",
                "track_front = \"1.80 m\"",
                "track_front",
                "must be less than width \"1.74 m\"",
                "widest of the body",
            ),
            (
                "width = \"1.74 m\"",
                "width = \"1.24 m\"",
                "width",
                "must be more than track_front \"1.50 m\"",
                "widest of the body",
            ),
            (
                "tyre_width = \"0.19 m\"",
                "tyre_width = \"0.69 m\"",
                "tyre_width",
                "must be less than tyre_diameter",
                "swapped",
            ),
            (
                "tyre_width = \"0.19 m\"",
                "tyre_width = \"1.9 m\"",
                "tyre_width",
                "must be less than track_front",
                "middles of the tyres",
            ),
            (
                "tyre_diameter = \"0.61 m\"",
                "tyre_diameter = \"6.1 m\"",
                "tyre_diameter",
                "must be less than wheelbase",
                "would touch",
            ),
            (
                "2.520 m by tape II\"\nwheelbase_right = \"2.523 m",
                "0.300 m by tape II\"\nwheelbase_right = \"0.300 m",
                "wheelbase_right",
                "must be more than tyre_diameter",
                "hub centre",
            ),
            (
                "front_overhang = \"0.81 m\"",
                "front_overhang = \"0.21 m\"",
                "front_overhang",
                "less than half of tyre_diameter",
                "tyres belong to the vehicle",
            ),
            (
                "length = \"4.02 m\"",
                "length = \"3.52 m\"",
                "length",
                "leaves 0.187 m behind the rear axle",
                "do not go together",
            ),
            (
                "length = \"4.02 m\"",
                "length = \"3.02 m\"",
                "wheelbase_right",
                "do not fit into length",
                "hub centre to hub centre",
            ),
            (
                "mirror_width = \"1.96 m\"",
                "mirror_width = \"0.96 m\"",
                "mirror_width",
                "must be no less than width",
                "if no mirror sticks out write",
            ),
            (
                "mirror_aft = \"0.55 m\"",
                "mirror_aft = \"5.5 m\"",
                "mirror_aft",
                "the vehicle ends 3.21 m behind it",
                "back to the mirrors",
            ),
            (
                "droop =",
                "cg_height = \"1.5 m\"\ndroop =",
                "cg_height",
                "must be less than roof \"1.46 m\"",
                "two fifths",
            ),
            (
                "droop =",
                "cg_height = \"0.18 m\"\ndroop =",
                "cg_height",
                "must be more than sill_height",
                "above the lowest underside",
            ),
            (
                "front_axle = \"712 kg by scale III e=1 kg\"\nrear_axle = \"438 kg by scale III e=1 kg\"",
                "total = \"1150 kg\"\nfront_share = \"104 %\"",
                "front_share",
                "the rear axle carries something too",
                "61 %",
            ),
            (
                "front_axle = \"712 kg by scale III e=1 kg\"\nrear_axle = \"438 kg by scale III e=1 kg\"",
                "total = \"1150 kg\"\nfront_share = \"98 % +- 3 %\"",
                "front_share",
                "within what it may be off, and the rear axle",
                "61 %",
            ),
        ],
    );
}

#[test]
fn places_on_vehicles() {
    const PLACES: &str = "[behind the front axle, left of centre]";
    check(
        "vehicle.toml",
        &["check", "vehicle.toml"],
        "error",
        &[
            (
                "from = [\"0.48 m\", \"0.71 m\"]",
                "from = [\"0.48 m\", \"7.1 m\"]",
                "strip",
                "left of centre is \"7.1 m\", which cannot be",
                "check the figure and its unit",
            ),
            (
                "to = [\"2.02 m\", \"0.71 m\"]",
                "to = [\"20.2 m\", \"0.71 m\"]",
                "strip",
                "behind the front axle is \"20.2 m\", which cannot be",
                "check the figure and its unit",
            ),
            (
                "from = [\"0.48 m\", \"0.71 m\"]",
                "from = [\"-0.98 m\", \"0.71 m\"]",
                "strip",
                "ahead of the front axle, and front_overhang is \"0.81 m\"",
                PLACES,
            ),
            (
                "width = \"1.74 m\"",
                "width = \"1.34 m\"",
                "width",
                "lies 0.745 m left of centre, and the vehicle ends at 0.67 m",
                PLACES,
            ),
            (
                "[\"0.48 m\", \"0.71 m\"], to = [\"0.66 m\"",
                "[\"1.98 m\", \"0.71 m\"], to = [\"2.16 m\"",
                "strip",
                "lies 2.07 m behind the front axle, and the rear one \"rear sill seam\" of the same side 1.93 m",
                "`end` may be swapped",
            ),
            (
                "side = \"both\"\nstrip = { from = [\"0.48 m\", \"0.71 m\"], to = [\"0.66 m\", \"0.71 m\"]",
                "side = \"both\"\nstrip = { from = [\"0.48 m\", \"-0.71 m\"], to = [\"0.66 m\", \"-0.71 m\"]",
                "strip",
                "a corner lies 0.675 m right of centre, and the area is on the left",
                "positive on the left",
            ),
            (
                "[\"0.45 m\", \"0.55 m\"], to = [\"2.05 m\", \"0.55 m\"]",
                "[\"0.45 m\", \"1.2 m\"], to = [\"2.05 m\", \"1.2 m\"]",
                "strip",
                "the whole keep-out \"fuel and brake lines\" lies",
                PLACES,
            ),
            (
                "hinge = [\"0.38 m\", \"0.80 m\"]",
                "hinge = [\"0.38 m\", \"0.98 m\"]",
                "hinge",
                "the hinge of \"front door\" lies 0.98 m left of centre",
                PLACES,
            ),
            (
                "hinge = [\"0.38 m\", \"0.80 m\"]",
                "hinge = [\"0.38 m\", \"0 m\"]",
                "hinge",
                "the door is not on that side",
                "negative on the right",
            ),
            (
                "length = \"1.10 m\"",
                "length = \"3.10 m\"",
                "length",
                "the free edge of \"front door\", shut, lies 3.48 m behind",
                "back to the free edge",
            ),
            ("opens = \"65 deg\"", "opens = \"190 deg\"", "opens", "180 deg at the most", "60 deg to 80 deg"),
            (
                "opens = \"65 deg\"",
                "opens = \"65 rad\"",
                "opens",
                "opens is \"65 rad\", which cannot be",
                "0.262 rad to 1.745 rad",
            ),
            (
                "[[parts]]",
                "[[doors]]\nname = \"front door left\"\nside = \"left\"\nhinge = [\"1.4 m\", \"0.8 m\"]\nlength = \"0.9 m\"\nopens = \"60 deg\"\n[[parts]]",
                "name = \"front door left\"",
                "two doors are called \"front door left\"",
                "a name of its own",
            ),
            (
                "[[parts]]",
                "[[stand_places]]\nname = \"sump\"\nside = \"both\"\nat = [\"0.2 m\", \"-0.1 m\"]\nunderside = \"200 mm\"\n[[parts]]",
                "at =",
                "that is not its side",
                "given on the left",
            ),
            (
                "[[parts]]",
                "[[stand_places]]\nname = \"sump\"\nat = [\"0.2 m\", \"1.1 m\"]\nunderside = \"200 mm\"\n[[parts]]",
                "at =",
                "the place for a stand \"sump\" lies 1.1 m left of centre",
                PLACES,
            ),
            (
                "[[parts]]",
                "[[stand_places]]\nname = \"sump\"\nat = [\"0.2 m\", \"0 m\"]\nunderside = \"2 m\"\n[[parts]]",
                "underside",
                "must be less than roof",
                "heights above the ground",
            ),
            (
                "at = [\"2.52 m\", \"0 m\", \"0.30 m\"]",
                "at = [\"5.52 m\", \"0 m\", \"0.30 m\"]",
                "at =",
                "the part \"rear axle beam\" lies 5.52 m behind",
                "middle of its weight",
            ),
            (
                "at = [\"2.52 m\", \"0 m\", \"0.30 m\"]",
                "at = [\"2.52 m\", \"0 m\", \"3.0 m\"]",
                "at =",
                "lies \"3.0 m\" above the ground, and the roof is at \"1.46 m\"",
                "middle of its weight",
            ),
        ],
    );
}

#[test]
fn lifts() {
    const ARM: &str = "middle of the pivot pin to the middle of the pad";
    const STOPS: &str = "inwards positive";
    check(
        "lift.toml",
        &["check", "lift.toml"],
        "error",
        &[
            (
                "reach_in = \"0.56 m\"",
                "reach_in = \"1.56 m\"",
                "reach_in = \"1.56 m\"",
                "must be less than reach_out \"1.12 m\"",
                ARM,
            ),
            (
                "reach_out = \"1.12 m\"",
                "reach_out = \"0.12 m\"",
                "reach_out = \"0.12 m\"",
                "must be more than reach_in \"0.56 m\"",
                ARM,
            ),
            (
                "reach_out = \"1.12 m\"",
                "reach_out = \"9 m\"",
                "reach_out",
                "3 tubes of \"0.56 m\" (stages, reach_in) do not reach so far",
                "the fixed one too",
            ),
            ("stages = 3", "stages = 1", "reach_out", "1 tube of \"0.56 m\"", "the fixed one too"),
            (
                "inside = \"2.76 m\"",
                "inside = \"0.50 m\"",
                "inside",
                "must be more than reach_in",
                "between the columns",
            ),
            (
                "beam_width = \"110 mm\"",
                "beam_width = \"1.1 m\"",
                "beam_width",
                "must be less than reach_in",
                "as wide as it is long",
            ),
            (
                "swing_from = \"-5 deg\"",
                "swing_from = \"105 deg\"",
                "swing_to",
                "swing_to is \"100 deg\", and must be more than swing_from \"105 deg\"",
                STOPS,
            ),
            (
                "swing_to = \"100 deg\"",
                "swing_to = \"-100 deg\"",
                "swing_to",
                "must be more than swing_from",
                STOPS,
            ),
            ("swing_to = \"100 deg\"", "swing_to = \"179 deg\"", "swing_to", "are 184 deg apart", STOPS),
            (
                "pivot_out = \"1.25 m\"",
                "pivot_out = \"2.50 m\"",
                "pivot_out",
                "inner face is only 1.38 m from the middle",
                "not from pin to pin",
            ),
            (
                "pivot_ahead = \"0.26 m\"",
                "pivot_ahead = \"-0.36 m\"",
                "pivot_behind",
                "must not be behind the rear one",
                "pivot_ahead or pivot_behind",
            ),
            (
                "headroom = \"4.10 m\"",
                "headroom = \"1.99 m\"",
                "headroom",
                "the pads alone stand 2 m above the floor",
                "lowest thing above the vehicle",
            ),
            (
                "most = \"1.90 m\"",
                "most = \"19.0 m\"",
                "most",
                "the pads alone stand 19.1 m",
                "rise of the carriage",
            ),
            (
                "most = \"1.90 m\"",
                "most = \"1.80 m\"",
                "\"1.15 m\"",
                "the highest lock \"1.85 m\" is above the top \"1.80 m\"",
                "at or above the highest lock",
            ),
            (
                "ahead = \"3.40 m\"",
                "ahead = \"0.14 m\"",
                "ahead",
                "must be more than front_face_ahead",
                "past the columns",
            ),
            (
                "behind = \"4.00 m\"",
                "behind = \"0.10 m\"",
                "behind",
                "must be more than rear_face_behind",
                "past the columns",
            ),
            (
                "front_face_ahead = \"0.15 m\"\nrear_face_behind = \"0.15 m\"",
                "front_face_ahead = \"0 m\"\nrear_face_behind = \"0 m\"",
                "rear_face_behind",
                "a column has some depth",
                "either face",
            ),
            (
                "height = \"90 mm\"",
                "height = \"45 mm\"",
                "height",
                "height \"45 mm\" are listed twice",
                "as its count",
            ),
            (
                "swing_to = \"100 deg\"",
                "swing_to = \"100 deg\"\nrated = \"4 t\"",
                "rated",
                "more than the whole lift",
                "all four arms together",
            ),
            (
                "front_wheel_ahead = \"1.10 m\"",
                "front_wheel_ahead = \"11.0 m\"",
                "front_wheel_ahead",
                "must be no more than ahead \"3.40 m\"",
                "within the bay",
            ),
            (
                "front_wheel_ahead = \"1.10 m\"",
                "front_wheel_behind = \"4.10 m\"",
                "front_wheel_behind",
                "must be no more than behind \"4.00 m\"",
                "within the bay",
            ),
            (
                "wheelbase = \"under 105 in\"",
                "wheelbase = \"over 127 in\"",
                "wheelbase = \"105 in to 127 in\"",
                "for shorter wheelbases than the one before it",
                "from the shortest",
            ),
            (
                "\"105 in to 127 in\"",
                "\"127 in to 105 in\"",
                "wheelbase",
                "ends before it begins",
                "smaller wheelbase first",
            ),
            (
                "\"over 127 in\"",
                "\"over 120 in\"",
                "wheelbase",
                "\"B\" and \"C\" overlap at 120 in",
                "exactly one mark",
            ),
            ("rated = \"3200 kg\"", "rated = \"32000 kg\"", "rated", "which cannot be", "2000 kg to 9100 kg"),
        ],
    );
}

/// What contradicts another file is said at the line of the file that is nearer to the work.
#[test]
fn jobs_and_setups() {
    check(
        "job.toml",
        &PLAN,
        "error",
        &[
            (
                "[[doors]]",
                "[[loads]]\nname = \"lead\"\nmass = \"4000 kg\"\nat = [\"3.1 m\", \"0 m\", \"0.6 m\"]\n[[doors]]",
                "[[loads]]",
                "would tip off its front wheels",
                "masses and places of the loads",
            ),
            (
                "[[doors]]",
                "opened_height = \"1.40 m\"\n[[doors]]",
                "opened_height",
                "must be no less than the roof \"1.46 m\"",
                "leave it out",
            ),
            (
                "opens = \"32 deg\"",
                "opens = \"70 deg\"",
                "opens",
                "opens 65 deg to its stop",
                "no more than the door can",
            ),
            ("opens = \"32 deg\"", "opens = \"200 deg\"", "opens", "180 deg at the most", "60 deg to 80 deg"),
            (
                "[[doors]]",
                "[[parts]]\nname = \"wing\"\nmass = \"8 kg\"\nat = [\"0 m\", \"7 m\", \"0.6 m\"]\n[[doors]]",
                "at =",
                "the part \"wing\" lies 7 m left of centre",
                "middle of its weight",
            ),
            (
                "[[doors]]",
                "[[loads]]\nname = \"trailer\"\nmass = \"10 kg\"\nat = [\"30 m\", \"0 m\", \"0.6 m\"]\n[[doors]]",
                "at =",
                "the load \"trailer\" lies 30 m behind the front axle",
                "middle of its weight",
            ),
            (
                "[[doors]]",
                "[[loads]]\nname = \"ladder\"\nmass = \"10 kg\"\nat = [\"1 m\", \"0 m\", \"2.6 m\"]\n[[doors]]",
                "at =",
                "the load \"ladder\" lies \"2.6 m\" above the ground, and the roof",
                "middle of its weight",
            ),
            (
                "[[doors]]",
                "[[parts]]\nname = \"block\"\nmass = \"900 kg\"\nat = [\"2.6 m\", \"0 m\", \"0.5 m\"]\n\
                 [[steps]]\noff = \"block\"\n[[doors]]",
                "mass = \"900 kg\"",
                "\"block\" cannot have this mass at this place: in state \"block off\" the centre of gravity of what is \
                 left would lie",
                "behind the front axle, left of centre",
            ),
            (
                "[[doors]]",
                "[[parts]]\nname = \"block\"\nmass = \"1140 kg\"\nat = [\"0.9 m\", \"0 m\", \"0.5 m\"]\n\
                 [[steps]]\noff = \"block\"\n[[doors]]",
                "mass = \"1140 kg\"",
                "In state \"block off\" nothing would be left to lift",
                "`mass` and `at` of this part",
            ),
            (
                "[[doors]]",
                "[[parts]]\nname = \"front wheels\"\nmass = \"60 kg\"\nat = [\"0 m\", \"0 m\", \"0.3 m\"]\n[[doors]]",
                "name = \"front wheels\"",
                "has a part \"front wheels\" of its own: 34 kg +- 2 kg at [0 m, 0 m, 0.305 m]; here it is 60 kg",
                "give it another name",
            ),
            (
                "[[doors]]",
                "[stands]\ncount = 0\nrated = \"2 t\"\nlowest = \"1 m\"\nhighest = \"2 m\"\n[[doors]]",
                "count = 0",
                "count is 0",
                "a whole number from 1 to 100",
            ),
            (
                "[[doors]]",
                "[stands]\ncount = 2\nrated = \"2 t\"\nlowest = \"2 m\"\nhighest = \"1 m\"\n[[doors]]",
                "highest",
                "below lowest",
                "screwed in",
            ),
        ],
    );
    check(
        "placed.toml",
        &PLAN,
        "error",
        &[
            (
                "offset = \"15 mm\"",
                "offset = \"1.5 m\"",
                "offset",
                "the columns of North bay stand 1.38 m",
                "middle of the bay",
            ),
            ("yaw = \"0.4 deg\"", "yaw = \"50 deg\"", "yaw", "across the bay", "driven_in"),
            (
                "[pads.front_left]",
                "[pads.front_left]\nheight = \"300 mm\"",
                "height",
                "no stack of the kit of North bay brings a pad there",
                "lift fully down",
            ),
            (
                "[pads.front_left]",
                "[pads.front_left]\nadapters = [\"90 mm\"]\nheight = \"150 mm\"",
                "height",
                "with those adapters a pad of North bay stands 0.19 m",
                "lift fully down",
            ),
            (
                "at = [\"0.57 m\", \"0.71 m\"]",
                "at = [\"0.57 m\", \"1.71 m\"]",
                "at",
                "not under the vehicle: 1.71 m beside the middle",
                "right of centre is negative",
            ),
            (
                "at = [\"0.57 m\", \"0.71 m\"]",
                "at = [\"-0.97 m\", \"0.71 m\"]",
                "at",
                "0.97 m ahead of the front axle",
                "behind the front axle",
            ),
            (
                "at = [\"1.95 m\", \"0.70 m\"]",
                "at = [\"3.95 m\", \"0.70 m\"]",
                "at",
                "3.95 m behind the front axle",
                "behind the front axle",
            ),
        ],
    );
}

/// Legal, but odd: said with what is usual, and a plan is made.
#[test]
fn odd_together() {
    check(
        "vehicle.toml",
        &["check", "vehicle.toml"],
        "warning",
        &[
            (
                "tyre_width = \"0.19 m\"",
                "tyre_width = \"0.29 m\"",
                "track_front",
                "the tyres stand 0.025 m out of the body",
                "over the tyres",
            ),
            (
                "droop =",
                "cg_height = \"0.80 m\"\ndroop =",
                "cg_height",
                "55 % of the roof height",
                "0.409 m to 0.73 m",
            ),
            ("712 kg", "212 kg", "front_axle", "the front axle carries 33 % of the weight", "55 % to 68 %"),
            (
                "712 kg",
                "442 kg",
                "front_axle",
                "the front axle carries 50 % of the weight",
                "68 measured cars",
            ),
            (
                "front_axle = \"712 kg by scale III e=1 kg\"\nrear_axle = \"438",
                "front_axle = \"438 kg by scale III e=1 kg\"\nrear_axle = \"712",
                "front_axle",
                "the front axle carries 38 % of the weight",
                "Swapped?",
            ),
            (
                "front_axle = \"712 kg by scale III e=1 kg\"\nrear_axle = \"438 kg by scale III e=1 kg\"",
                "total = \"1150 kg\"\nfront_share = \"38 %\"",
                "front_share",
                "the front axle carries 38 % of the weight",
                "Swapped?",
            ),
            ("drive = \"front\"", "drive = \"rear\"", "front_axle", "carries 62 %", "47 % to 60 %"),
        ],
    );
    check(
        "lift.toml",
        &["check", "lift.toml"],
        "warning",
        &[
            (
                "tooth_steps = 60",
                "tooth_steps = 6",
                "swing_to",
                "makes teeth 17.5 deg apart",
                "0.5 deg to 10 deg",
            ),
            (
                "stack_most = 1",
                "stack_most = 0",
                "height",
                "stack_most = 0 lets none be used",
                "usually 1 or 2",
            ),
            (
                "front_wheel_ahead = \"1.15 m\"",
                "front_wheel_ahead = \"1.05 m\"",
                "front_wheel_ahead",
                "lies 0.05 m farther back",
                "farther ahead for a longer wheelbase",
            ),
        ],
    );
    check(
        "job.toml",
        &PLAN,
        "warning",
        &[
            (
                "[[doors]]",
                "[[parts]]\nname = \"front wheels\"\nmass = \"35 kg +- 1 kg\"\nat = [\"0 m\", \"0 m\", \"0.3 m\"]\n[[doors]]",
                "name = \"front wheels\"",
                "34 kg +- 2 kg at [0 m, 0 m, 0.305 m]; here it is 35 kg +- 1 kg",
                "take it out of the job",
            ),
            (
                "[[doors]]",
                "[[loads]]\nname = \"bicycles\"\nmass = \"40 kg\"\nat = [\"3.5 m\", \"0 m\", \"0.9 m\"]\n[[doors]]",
                "at =",
                "the load \"bicycles\" lies 3.5 m behind",
                "within the outline",
            ),
        ],
    );
}

/// A setup measured on a lift whose file forbids to stand that way round is no setup to raise.
#[test]
fn backwards_where_it_is_not_allowed() {
    let folder = folder();
    let path = |file: &str| folder.path().join(file);
    let edit = |file: &str, from: &str, to: &str| {
        let text = std::fs::read_to_string(path(file)).unwrap();
        assert!(text.contains(from), "{file}: {from}");
        std::fs::write(path(file), text.replacen(from, to, 1)).unwrap();
    };
    let asked = || {
        let output = run(folder.path(), &PLAN);
        let answer = String::from_utf8(output.stdout).unwrap();
        (output.status.code(), answer.split_whitespace().collect::<Vec<_>>().join(" "))
    };
    const WHY: &str = "The vehicle stands backwards, and vehicles are driven in forwards only";
    assert!(!asked().1.contains(WHY));
    edit("placed.toml", "forwards", "backwards");
    let (code, answer) = asked();
    assert_eq!(code, Some(1));
    assert!(answer.contains(WHY), "{answer}");
    edit("lift.toml", "backwards = false", "backwards = true");
    assert!(!asked().1.contains(WHY));
}

/// One wrong figure among many right ones is blamed itself, not everything that lies about it.
#[test]
fn the_odd_figure_is_blamed_once() {
    let (code, said) =
        said_of("vehicle.toml", "width = \"1.74 m\"", "width = \"174 mm\"", &["check", "vehicle.toml"]);
    assert_eq!(code, Some(2));
    let errors: Vec<&str> = said.lines().filter(|l| l.starts_with("error: ")).collect();
    assert!(errors.len() <= 3 && errors.iter().all(|e| e.contains("vehicle.toml:16:9: ")), "{said}");
}

/// Lifting areas that are legal but odd: questioned at their line, and a condition of the plan, as the pads go there.
#[test]
fn odd_lifting_areas() {
    const FRONT: &str =
        "strip = { from = [\"0.48 m\", \"0.71 m\"], to = [\"0.66 m\", \"0.71 m\"], width = \"70 mm\" }";
    const REAR: &str =
        "strip = { from = [\"1.84 m\", \"0.71 m\"], to = [\"2.02 m\", \"0.71 m\"], width = \"70 mm\" }";
    let strip = |from: [&str; 2], to: [&str; 2]| {
        format!(
            "strip = {{ from = [\"{}\", \"{}\"], to = [\"{}\", \"{}\"], width = \"70 mm\" }}",
            from[0], from[1], to[0], to[1]
        )
    };
    for (from, to, tells, name) in [
        // Units mixed up.
        (REAR, strip(["1.84 ft", "0.71 m"], ["2.02 m", "0.71 m"]), "is 1.459 m long", "rear sill seam"),
        (
            REAR,
            strip(["1.84 ft", "0.71 m"], ["2.02 m", "0.71 m"]),
            "the rear one \"rear sill seam\" begins at",
            "front sill seam",
        ),
        (FRONT, strip(["0.48 m", "0.71 in"], ["0.66 m", "0.71 m"]), "runs 75 deg across", "front sill seam"),
        // Too near the middle, and too far back.
        (
            FRONT,
            strip(["0.48 m", "0.10 m"], ["0.66 m", "0.10 m"]),
            "from the centre plane",
            "front sill seam",
        ),
        (
            FRONT,
            strip(["1.30 m", "0.71 m"], ["1.50 m", "0.71 m"]),
            "in the front half of the wheelbase",
            "front sill seam",
        ),
        (
            REAR,
            strip(["0.90 m", "0.71 m"], ["1.20 m", "0.71 m"]),
            "in the rear half of the wheelbase",
            "rear sill seam",
        ),
        // At a wheel, ahead of the hub too; and the two ends far apart.
        (
            FRONT,
            "at = [\"-5 mm\", \"0.71 m\"]".into(),
            "lies 0.005 m ahead of the front axle",
            "front sill seam",
        ),
        (
            FRONT,
            "at = [\"58 mm\", \"0.71 m\"]".into(),
            "usual is between the tyres, 0.305 m to 2.218 m behind",
            "front sill seam",
        ),
        (REAR, "at = [\"2.40 m\", \"0.71 m\"]".into(), "lies 2.4 m behind the front axle", "rear sill seam"),
        (
            REAR,
            strip(["1.84 m", "0.40 m"], ["2.02 m", "0.40 m"]),
            "lies 0.4 m from the centre plane, and the front one \"front sill seam\" 0.71 m",
            "rear sill seam",
        ),
    ] {
        let (code, said) = said_of("vehicle.toml", from, &to, &["check", "vehicle.toml"]);
        assert_eq!(code, Some(0), "{to}: {said}");
        assert!(said.contains("warning: vehicle.toml:") && said.contains(tells), "{to}: {said}");
        let folder = folder();
        let path = folder.path().join("vehicle.toml");
        let text = std::fs::read_to_string(&path).unwrap();
        std::fs::write(&path, text.replacen(from, &to, 1)).unwrap();
        let output =
            run(folder.path(), &["plan", "--lift", "lift.toml", "--vehicle", "vehicle.toml", "--json"]);
        let answer: serde_json::Value = serde_json::from_slice(&output.stdout).unwrap();
        let conditions = answer["conditions"].to_string();
        assert!(conditions.contains("should be is odd") && conditions.contains(name), "{to}: {conditions}");
        assert_ne!(answer["verdict"], "raise", "{to}");
    }
    // Sides given one by one that differ.
    let left = format!("side = \"left\"\n{FRONT}");
    let folder = folder();
    let path = folder.path().join("vehicle.toml");
    let text =
        std::fs::read_to_string(&path).unwrap().replacen(&format!("side = \"both\"\n{FRONT}"), &left, 1);
    let right = "[[lift_areas]]\nname = \"front right\"\nend = \"front\"\nside = \"right\"\nstrip = { from = [\"0.98 m\", \"-0.71 m\"], to = [\"1.16 m\", \"-0.71 m\"], width = \"70 mm\" }\nunderside = \"195 mm\"\nseat = \"flat\"\n\n[[doors]]";
    std::fs::write(&path, text.replacen("[[doors]]", right, 1)).unwrap();
    let said = String::from_utf8(run(folder.path(), &["check", "vehicle.toml"]).stderr).unwrap();
    assert!(said.contains("lies 0.5 m from where the nearest of the other side would be"), "{said}");
}

/// A force acts on the vehicle, or within a bar's length of it.
#[test]
fn forces_far_from_the_vehicle() {
    const FORCE: &str = "\n[[tasks]]\nname = \"pull\"\nposture = \"standing under\"\n\n[[tasks.forces]]\ncommon = \"pry bar\"\nat = [AT]\n";
    for (at, tells) in [
        ("\"50 m\", \"0 m\", \"0.5 m\"", "which cannot be"),
        ("\"5.5 m\", \"0 m\", \"0.5 m\"", "the force \"pry bar\" lies 5.5 m behind"),
        ("\"1.2 m\", \"2.1 m\", \"0.5 m\"", "the force \"pry bar\" lies 2.1 m left of centre"),
        ("\"1.2 m\", \"0 m\", \"2.9 m\"", "the force \"pry bar\" lies \"2.9 m\" above the ground"),
        // A bar reaches beyond the sill.
        ("\"1.2 m\", \"1.5 m\", \"0.5 m\"", ""),
    ] {
        let folder = folder();
        let path = folder.path().join("job.toml");
        let text = std::fs::read_to_string(&path).unwrap() + &FORCE.replace("AT", at);
        std::fs::write(&path, text).unwrap();
        let output = run(folder.path(), &PLAN);
        let said = String::from_utf8(output.stderr).unwrap();
        assert_eq!(output.status.code() == Some(2), !tells.is_empty(), "{at}: {said}");
        assert!(said.contains(tells), "{at}: {said}");
    }
}

/// A beam that stands higher than its pad would touch first.
#[test]
fn beams_above_their_pads() {
    let case = (
        "beam_top = \"98 mm\"",
        "beam_top = \"112 mm\"",
        "beam_top",
        "above the top of the pad at its lowest, \"100 mm\"",
        "usual is a beam below its pad",
    );
    check("lift.toml", &["check", "lift.toml"], "warning", &[case]);
}
