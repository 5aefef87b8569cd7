//! How a growing push ends, where friction or equilibrium leaves nothing to spare (derived).

#![expect(clippy::unwrap_used, reason = "helpers of tests stop at what they did not expect")]

use statics::{
    Angle, Body, Contact, Force, Heading, Length, LimitedBy, Mass, Point, Push, Resists, Stiffness,
    SupportSet,
};

fn set(friction: f64, resists: Resists) -> SupportSet {
    let contact = |x: f64, y: f64| Contact {
        at: Point::metres([x, y, 0.2]),
        place_tolerance: Length::ZERO,
        stiffness: Stiffness::newtons_per_metre(350_000.0),
        gap: Length::ZERO,
        friction,
        rated: None,
        resists,
    };
    SupportSet::new(vec![contact(0.8, 0.7), contact(-0.8, 0.7), contact(-0.8, -0.7), contact(0.8, -0.7)])
        .unwrap()
}

fn body(x: f64, y: f64) -> Body {
    Body {
        mass: Force::newtons(10_000.0).as_mass(),
        mass_tolerance: Mass::ZERO,
        cg: Point::metres([x, y, 0.6]),
        cg_tolerance: [Length::ZERO; 3],
        tilt_tolerance: Angle::ZERO,
    }
}

/// Upwards at the left edge: tips about the right edge at W b / 2 b = W / 2, whatever the friction.
#[test]
fn a_vertical_push_tips_even_where_nothing_grips() {
    let along = Resists::OnlyAlong(Heading::along([1.0, 0.0]).unwrap());
    let push = Push::new(Point::metres([0.0, 0.7, 0.3]), [0.0, 0.0, 1.0]).unwrap();
    for set in [set(0.0, Resists::EveryDirection), set(0.3, Resists::EveryDirection), set(0.2, along)] {
        let found = set.working_force(&body(0.0, 0.0), &push);
        assert!((found.withstands.unwrap().to_newtons() - 5_000.0).abs() < 1.0, "{found:?}");
        assert_eq!(found.limited_by, Some(LimitedBy::Tipping));
    }
}

/// Along the floor on friction: slides at mu W.
#[test]
fn a_level_push_slides() {
    let push = Push::new(Point::metres([0.0, 0.0, 0.2]), [1.0, 0.0, 0.0]).unwrap();
    let found = set(0.2, Resists::EveryDirection).working_force(&body(0.0, 0.0), &push);
    assert!((found.withstands.unwrap().to_newtons() - 2_000.0).abs() < 2.0, "{found:?}");
    assert_eq!(found.limited_by, Some(LimitedBy::Sliding));
}

/// With the centre on an edge, any push outward ends the balance at once: nothing unloads at a push
/// that nothing holds, and none is withstood.
#[test]
fn on_the_edge_no_push_is_left() {
    let out = Push::new(Point::metres([0.0, 1.2, 0.2]), [0.0, 0.0, -1.0]).unwrap();
    let set = set(0.2, Resists::EveryDirection);
    assert_eq!(set.first_unloading(&body(0.0, 0.7), &out), None);
    assert_eq!(set.working_force(&body(0.0, 0.7), &out).withstands, Some(Force::ZERO));
}
