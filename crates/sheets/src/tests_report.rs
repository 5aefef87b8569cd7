use crate::{Units, fixtures, report, working};

#[test]
fn show() {
    for (l, v) in [(0, 0), (1, 2), (0, 1)] {
        println!("{}\n=======", report(&fixtures::one(l, v).scene(), Units::Metric));
    }
    println!("{}", report(&fixtures::one(1, 1).scene(), Units::Us));
    for k in ["pad-rating", "edge-distance", "reach-in:front-left", "capacity", "split-rule"] {
        println!("{}", working(&fixtures::one(1, 2).scene(), k, Units::Us).unwrap());
    }
}
