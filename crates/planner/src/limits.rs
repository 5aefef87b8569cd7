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
    /// On which side of the default a setup may pass that would not with it.
    pub looser: Side,
    /// Where it comes from.
    pub source: &'static str,
    /// Why it is this size.
    pub reason: &'static str,
}

/// A side of a value.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Side {
    /// Smaller values.
    Below,
    /// Larger values.
    Above,
    /// Either: it holds one check and widens another.
    Either,
    /// Neither: no setup is held against it.
    Neither,
}

macro_rules! limits {
    ($($(#[$doc:meta])* $name:ident $title:literal $value:literal $unit:ident [$least:literal $most:literal] looser $looser:ident $source:literal $reason:literal;)*) => {
        /// Names of the limits.
        #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
        pub enum Name { $($(#[$doc])* $name),* }

        /// The table.
        pub const TABLE: &[Limit] = &[$(Limit {
            name: Name::$name, title: $title, value: $value, unit: crate::plan::Unit::$unit,
            range: ($least, $most), looser: Side::$looser, source: $source, reason: $reason,
        }),*];
    };
}

limits! {
    /// How far a pad centre may land from where it was meant.
    Placing "pad placing tolerance" 0.010 Metre [0.002 0.05] looser Below "project default" "a pad set by hand and eye under a sill";
    /// Air between the pad's rim and a keep-out.
    PadClearance "pad to keep-out" 0.010 Metre [0.0 0.1] looser Below "project default" "room for a brake line's clip";
    /// Margin of reach against the arm's stops.
    ReachSetting "reach setting tolerance" 0.010 Metre [0.002 0.05] looser Below "project default" "an arm pulled out by hand to a mark";
    /// Margin of swing against the arm's stops.
    SwingSetting "swing setting tolerance" 0.017453292519943295 Radian [0.0017453292519943296 0.08726646259971647] looser Either "project default" "1 degree, about a sixtieth of the reach at the pad";
    /// Air between an arm's beam and a tyre.
    BeamToTyre "arm to tyre" 0.020 Metre [0.0 0.1] looser Below "project default" "a tyre bulges at its contact patch";
    /// Air between an arm's beam and a keep-out.
    BeamToKeepOut "arm to keep-out" 0.010 Metre [0.0 0.1] looser Below "project default" "as the pad's";
    /// Air between two arms.
    BeamToBeam "arm to arm" 0.020 Metre [0.0 0.1] looser Below "project default" "arms must swing free of each other";
    /// Air between an arm's top and the sill that it passes under.
    BeamToSill "arm under sill" 0.010 Metre [0.0 0.1] looser Below "project default" "arms flex and floors are uneven";
    /// Air between a pad and the underside while the arm is swung in.
    PadEntry "pad under vehicle" 0.005 Metre [0.0 0.1] looser Below "project default" "the pad must slide in without lifting";
    /// How far the contact plane may be out of level.
    Level "level" 0.017453292519943295 Radian [0.0017453292519943296 0.05235987755982989] looser Either "DGUV-I 208-015 sec. 5: less than 1 degree" "carriages out of step";
    /// Least assured edge distance.
    EdgeDistance "edge distance" 0.10 Metre [0.0 0.5] looser Below "project default" "room for what no file knows";
    /// Least assured tip ratio.
    TipRatio "tip ratio" 0.15 Gravity [0.0 0.5] looser Below "project default" "a light car then takes the shove of several people at the height of its centre of gravity";
    /// Least share of the weight on any pad.
    PadShare "least load on a pad" 0.05 Ratio [0.0 0.2] looser Below "project default" "a pad that carries nearly nothing can be knocked out (ASME DETC99 19753)";
    /// Greatest share of the rated load on one pair of pads, lifts to 3500 kg.
    PairShareSmall "pair of pads, smaller lifts" 0.6 Ratio [0.5 1.0] looser Above "DGUV-I 208-015 sec. 3: 3:2" "the weaker half of a lift in the smaller class of that rule";
    /// The same, lifts above 3500 kg.
    PairShareLarge "pair of pads, larger lifts" 0.75 Ratio [0.5 1.0] looser Above "DGUV-I 208-015 sec. 3: 3:1" "the weaker half of a lift in the larger class of that rule";
    /// Opening that a driver needs to get out.
    DoorWay "door to get out" 0.5235987755982988 Radian [0.08726646259971647 1.3962634015954636] looser Below "common practice, no source" "30 degrees lets a person out sideways";
    /// Air on each side of the mirrors or body between the columns.
    ColumnAir "air beside the vehicle" 0.05 Metre [0.0 0.3] looser Below "project default" "a hand's breadth while driving in";
    /// Air above the roof.
    RoofAir "air above the roof" 0.10 Metre [0.0 0.5] looser Below "project default" "aerials and sagging pipes";
    /// Air under each tyre at the test raise.
    TestRaise "tyres clear at the test raise" 0.05 Metre [0.02 0.3] looser Below "BGI 689 (former): shake just off the floor" "enough to see all four clear";
    /// Push that a person gives in a shake.
    ShakePush "push of one person" 200.0 Newton [50.0 400.0] looser Above "HSE L23 / INDG143 push guideline" "what a shake can show";
    /// Height at which a person shakes the vehicle.
    ShakeHeight "height of the shake" 0.9 Metre [0.3 1.5] looser Above "common practice, no source" "the top of a wing, vehicle just off the floor";
    /// Vehicle to wall or line along the bay.
    BayAir "air ahead and behind" 0.10 Metre [0.0 1.0] looser Below "project default" "a door must still pass";
    /// Underside above the head of who stands under it.
    HeadAir "head room to work under" 0.05 Metre [0.0 0.3] looser Neither "project default" "a cap and a nod; half of what usual locks are apart";
    /// Seat of the stool on which wheels are worked at.
    StoolHeight "height of the work stool" 0.40 Metre [0.2 0.8] looser Neither "common practice, no source" "a low stool on castors";
}

/// The limits in force: the table's defaults or the shop's own.
#[derive(Clone, Debug, PartialEq)]
pub struct Limits {
    values: Vec<f64>,
    own: Vec<Own>,
}

/// A limit that the shop set itself.
#[derive(Clone, Debug, PartialEq)]
pub struct Own {
    /// Which.
    pub name: Name,
    /// Its value, SI.
    pub value: f64,
    /// Where the shop says that it comes from.
    pub source: Option<String>,
}

impl Own {
    /// Whether a setup may pass that would not with the default.
    #[must_use]
    pub fn is_looser(&self) -> bool {
        let row = self.name.row();
        match row.looser {
            Side::Below => self.value < row.value,
            Side::Above => self.value > row.value,
            Side::Either => (self.value - row.value).abs() > 0.0,
            Side::Neither => false,
        }
    }
}

impl Default for Limits {
    fn default() -> Self {
        Self { values: TABLE.iter().map(|l| l.value).collect(), own: Vec::new() }
    }
}

impl Limits {
    /// The value of a limit, SI.
    #[must_use]
    pub fn get(&self, name: Name) -> f64 {
        self.values[name as usize]
    }

    /// Sets a limit to the shop's own value. Returns whether that is in the limit's range; if not, nothing
    /// changes.
    pub fn set(&mut self, own: Own) -> bool {
        let (least, most) = own.name.row().range;
        let legal = (least..=most).contains(&own.value);
        if legal {
            self.values[own.name as usize] = own.value;
            self.own.retain(|o| o.name != own.name);
            self.own.push(own);
            self.own.sort_by_key(|o| o.name);
        }
        legal
    }

    /// The limits that the shop set itself, in the order of the table.
    #[must_use]
    pub fn all_own(&self) -> &[Own] {
        &self.own
    }

    /// The shop's own limit of that name, if it set one.
    #[must_use]
    pub fn own(&self, name: Name) -> Option<&Own> {
        self.own.iter().find(|o| o.name == name)
    }
}

impl Name {
    /// Its key in a file of limits: its name in small letters, words joined by `_`.
    #[must_use]
    pub fn key(self) -> String {
        let mut key = String::new();
        for letter in format!("{self:?}").chars() {
            if letter.is_ascii_uppercase() && !key.is_empty() {
                key.push('_');
            }
            key.push(letter.to_ascii_lowercase());
        }
        key
    }

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

    #[test]
    fn a_limit_of_the_shop_is_set_within_its_range_and_known_to_be_looser() {
        let own = |name, value| Own { name, value, source: None };
        let mut limits = Limits::default();
        assert!(!limits.set(own(Name::EdgeDistance, 0.6)) && limits == Limits::default());
        assert!(limits.set(own(Name::EdgeDistance, 0.05)));
        assert!((limits.get(Name::EdgeDistance) - 0.05).abs() < 1e-15);
        assert!(limits.set(own(Name::EdgeDistance, 0.15)) && limits.all_own().len() == 1);
        assert!(!limits.own(Name::EdgeDistance).unwrap().is_looser());
        assert!(own(Name::EdgeDistance, 0.05).is_looser() && own(Name::Level, 0.03).is_looser());
        // A smaller limit of level is a smaller tilt to be counted with.
        assert!(own(Name::Level, 0.01).is_looser() && limits.own(Name::Level).is_none());
        assert_eq!(Name::PairShareSmall.key(), "pair_share_small");
    }
}
