//! Every limit in one table: name, value, range, source and the reason for its size.

/// One limit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Limit {
    /// Which it is.
    pub name: Name,
    /// What it is called in reports.
    pub title: &'static str,
    /// Default, SI.
    pub value: f64,
    /// SI unit.
    pub unit: crate::plan::Unit,
    /// Least and greatest value that a shop may choose.
    pub range: (f64, f64),
    /// Where it comes from.
    pub source: &'static str,
    /// Why it is this size.
    pub reason: &'static str,
}

macro_rules! limits {
    ($($(#[$doc:meta])* $name:ident $title:literal $value:literal $unit:ident [$least:literal $most:literal] $source:literal $reason:literal;)*) => {
        /// Names of the limits.
        #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
        pub enum Name { $($(#[$doc])* $name),* }

        /// The table.
        pub const TABLE: &[Limit] = &[$(Limit {
            name: Name::$name, title: $title, value: $value, unit: crate::plan::Unit::$unit,
            range: ($least, $most), source: $source, reason: $reason,
        }),*];
    };
}

limits! {
    /// How far a pad centre may land from where it was meant.
    Placing "pad placing tolerance" 0.010 Metre [0.002 0.05] "project default" "a pad set by hand and eye under a sill";
    /// Air between the pad's rim and a keep-out.
    PadClearance "pad to keep-out" 0.010 Metre [0.0 0.1] "project default" "room for a brake line's clip";
    /// Margin of reach against the arm's stops.
    ReachSetting "reach setting tolerance" 0.010 Metre [0.002 0.05] "project default" "an arm pulled out by hand to a mark";
    /// Margin of swing against the arm's stops.
    SwingSetting "swing setting tolerance" 0.017453292519943295 Radian [0.002 0.1] "project default" "1 degree, about 15 mm at the pad";
    /// Air between an arm's beam and a tyre.
    BeamToTyre "arm to tyre" 0.020 Metre [0.0 0.1] "project default" "a tyre bulges at its contact patch";
    /// Air between an arm's beam and a keep-out.
    BeamToKeepOut "arm to keep-out" 0.010 Metre [0.0 0.1] "project default" "as the pad's";
    /// Air between two arms.
    BeamToBeam "arm to arm" 0.020 Metre [0.0 0.1] "project default" "arms must swing free of each other";
    /// Air between an arm's top and the sill that it passes under.
    BeamToSill "arm under sill" 0.010 Metre [0.0 0.1] "project default" "arms flex and floors are uneven";
    /// Air between a pad and the underside while the arm is swung in.
    PadEntry "pad under vehicle" 0.005 Metre [0.0 0.1] "project default" "the pad must slide in without lifting";
    /// How far the contact plane may be out of level.
    Level "level" 0.017453292519943295 Radian [0.001 0.05] "DGUV-I 208-015 sec. 5: less than 1 degree" "carriages out of step";
    /// Least assured edge distance.
    EdgeDistance "edge distance" 0.10 Metre [0.0 0.5] "project default" "room for what no file knows";
    /// Least share of the weight on any pad.
    PadShare "least load on a pad" 0.05 Ratio [0.0 0.2] "project default" "a pad that carries nearly nothing can be knocked out (ASME DETC99 19753)";
    /// Greatest share of the rated load on one pair of pads, lifts to 3500 kg.
    PairShareSmall "pair of pads, lifts to 3500 kg" 0.6 Ratio [0.5 1.0] "DGUV-I 208-015 sec. 3: 3:2" "the weaker half of a lift to 3500 kg";
    /// The same, lifts above 3500 kg.
    PairShareLarge "pair of pads, lifts above 3500 kg" 0.75 Ratio [0.5 1.0] "DGUV-I 208-015 sec. 3: 3:1" "the weaker half of a lift above 3500 kg";
    /// Opening that a driver needs to get out.
    DoorWay "door to get out" 0.5235987755982988 Radian [0.1 1.4] "common practice, no source" "30 degrees lets a person out sideways";
    /// Air on each side of the mirrors or body between the columns.
    ColumnAir "air beside the vehicle" 0.05 Metre [0.0 0.3] "project default" "a hand's breadth while driving in";
    /// Air above the roof.
    RoofAir "air above the roof" 0.10 Metre [0.0 0.5] "project default" "aerials and sagging pipes";
    /// Air under each tyre at the test raise.
    TestRaise "tyres clear at the test raise" 0.05 Metre [0.02 0.3] "BGI 689 (former): shake just off the floor" "enough to see all four clear";
    /// Push that a person gives in a shake.
    ShakePush "push of one person" 200.0 Newton [50.0 400.0] "HSE L23 / INDG143 push guideline" "what a shake can show";
    /// Height at which a person shakes the vehicle.
    ShakeHeight "height of the shake" 0.9 Metre [0.3 1.5] "common practice, no source" "the top of a wing, vehicle just off the floor";
    /// Vehicle to wall or line along the bay.
    BayAir "air ahead and behind" 0.10 Metre [0.0 1.0] "project default" "a door must still pass";
}

/// The limits in force: the table's defaults or the shop's own.
#[derive(Clone, Debug, PartialEq)]
pub struct Limits {
    values: Vec<f64>,
}

impl Default for Limits {
    fn default() -> Self {
        Self { values: TABLE.iter().map(|l| l.value).collect() }
    }
}

impl Limits {
    /// The value of a limit, SI.
    #[must_use]
    pub fn get(&self, name: Name) -> f64 {
        self.values[name as usize]
    }

    /// Sets a limit. Returns whether the value is in the limit's range; if not, nothing changes.
    pub fn set(&mut self, name: Name, value: f64) -> bool {
        let (least, most) = TABLE[name as usize].range;
        let legal = (least..=most).contains(&value);
        if legal {
            self.values[name as usize] = value;
        }
        legal
    }
}

impl Name {
    /// Its row of the table.
    #[must_use]
    pub const fn row(self) -> &'static Limit {
        &TABLE[self as usize]
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn rows_are_in_the_order_of_their_names_and_within_their_ranges() {
        for (i, row) in TABLE.iter().enumerate() {
            assert_eq!(row.name as usize, i);
            assert!((row.range.0..=row.range.1).contains(&row.value), "{}", row.title);
        }
    }
}
