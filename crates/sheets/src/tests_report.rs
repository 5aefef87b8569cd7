use crate::{Units, fixtures, report, working};

#[test]
fn show() {
    for (l, v) in [(0, 0), (1, 2), (0, 1)] {
        println!("{}\n=======", report(&fixtures::one(l, v).scene(), Units::Metric));
    }
    println!("{}", report(&fixtures::one(1, 1).scene(), Units::Us));
    for k in [
        "pad-rating",
        "edge-distance",
        "reach-in:front-left",
        "capacity",
        "share-most",
        "arm-under-sill",
        "level",
    ] {
        println!("{}", working(&fixtures::one(1, 2).scene(), k, Units::Us).unwrap());
    }
}

#[test]
fn write_all() {
    std::fs::create_dir_all("/tmp/sheets").unwrap();
    for l in 0..3 {
        for v in 0..4 {
            for (u, n) in [(Units::Metric, "m"), (Units::Us, "u")] {
                let text = crate::svg(&fixtures::one(l, v).scene(), u);
                std::fs::write(format!("/tmp/sheets/{l}{v}{n}.svg"), text).unwrap();
            }
        }
    }
}
