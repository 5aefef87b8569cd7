//! Body sizes of the planner against the measured ones of ANSUR II: statures row by row, and each share of the
//! stature with a tolerance that has its reason.

#![expect(clippy::expect_used, reason = "a test ends where it fails")]

mod table;

use std::collections::BTreeSet;

use planner::person::{Body, Group, share, stature};
use statics::Length;
use table::{number, table};

const GROUPS: [(&str, Group); 2] = [("female", Group::Women), ("male", Group::Men)];
const PERCENTILES: [(&str, f64); 7] =
    [("p1", 1.0), ("p5", 5.0), ("p25", 25.0), ("p50", 50.0), ("p75", 75.0), ("p95", 95.0), ("p99", 99.0)];

fn of_percentile(group: Group, at: f64) -> f64 {
    stature(group, at).expect("from 1 to 99").value.to_metres()
}

/// To the table's last place.
#[test]
fn statures_are_those_of_the_table() {
    let rows = table("body-size-percentiles.csv");
    for (sex, group) in GROUPS {
        let row = rows.iter().find(|r| r["sex"] == sex && r["measure"] == "stature_m").expect("the row");
        for (key, at) in PERCENTILES {
            let (found, told) = (of_percentile(group, at), number(row, key));
            assert!((found - told).abs() < 1e-9, "{sex} {key}: {found}, not {told}");
        }
        // Between its entries it lies between them, and the mean is near the middle.
        let near = (of_percentile(group, 50.0) - number(row, "mean")).abs();
        assert!(near < 0.05 * number(row, "sd"), "{sex}: {near}");
        let all: Vec<f64> = (1_u8..=99).map(|p| of_percentile(group, f64::from(p))).collect();
        assert!(all.windows(2).all(|w| w[0] < w[1]), "{sex}");
    }
    for at in [0.0, 0.99, 99.01, 100.0, -5.0, f64::NAN] {
        assert!(stature(Group::Women, at).is_none(), "{at}");
    }
}

/// A share that the planner uses, the measure that it stands for, how far they may be apart, and why so far.
const USED: [(&str, f64, &str, f64, &str); 12] = [
    (
        "shoulder",
        share::SHOULDER,
        "acromialheight_m",
        0.003,
        "decides arms overhead: 5 mm of a stature of 1.75 m",
    ),
    (
        "elbow",
        share::ELBOW,
        "elbow_height_standing_derived_m",
        0.003,
        "decides the height of a hub: as the shoulder",
    ),
    (
        "elbow, seated",
        share::ELBOW_SEATED,
        "elbowrestheight_m",
        0.003,
        "decides the height of a hub: as the shoulder",
    ),
    (
        "eye",
        share::EYE,
        "eye_height_standing_derived_m",
        0.004,
        "drawn only; the measured one adds two measures",
    ),
    ("wrist", share::WRIST, "wristheight_m", 0.004, "drawn only; from memory"),
    (
        "upper arm",
        share::UPPER_ARM,
        "acromionradialelength_m",
        0.006,
        "between joints, measured between bones' ends: 10 mm",
    ),
    (
        "forearm",
        share::FOREARM,
        "radialestylionlength_m",
        0.007,
        "between joints, measured between bones' ends: 11 mm; men have the longer",
    ),
    ("hand", share::HAND, "handlength_m", 0.004, "wrist's joint against its crease"),
    ("foot", share::FOOT, "footlength_m", 0.003, "drawn only"),
    (
        "knee",
        share::KNEE,
        "kneeheightmidpatella_m",
        0.010,
        "drawn only; the joint lies above the middle of the kneecap",
    ),
    (
        "hip",
        share::HIP,
        "trochanterionheight_m",
        0.018,
        "where a trunk leans from; the joint lies above the trochanter",
    ),
    ("ankle", share::ANKLE, "lateralmalleolusheight_m", 0.003, "drawn only"),
];

/// Measures of the table that the planner has no use for.
const NOT_USED: [&str; 24] = [
    "abdominalextensiondepthsitting_m",
    "axillaheight_m",
    "biacromialbreadth_m",
    "bideltoidbreadth_m",
    "cervicaleheight_m",
    "chestdepth_m",
    "chestheight_m",
    "crotchheight_m",
    "eyeheightsitting_m",
    "forearmhandlength_m",
    "functionalleglength_m",
    "headbreadth_m",
    "headlength_m",
    "hipbreadth_m",
    "iliocristaleheight_m",
    "overhead_fingertip_reach_standing_derived_m",
    "overheadfingertipreachsitting_m",
    "palmlength_m",
    "shoulderelbowlength_m",
    "sittingheight_m",
    "span_m",
    "thumbtipreach_m",
    "tibialheight_m",
    "waistheightomphalion_m",
];

#[test]
fn shares_of_the_stature_are_near_the_measured_ones() {
    let rows = table("body-size-ratios.csv");
    let mut wrong = Vec::new();
    for (name, used, measure, tolerance, why) in USED {
        for (sex, _) in GROUPS {
            let row = rows.iter().find(|r| r["sex"] == sex && r["measure"] == measure).expect("the row");
            let (mean, sd) = (number(row, "ratio_mean"), number(row, "ratio_sd"));
            let off = used - mean;
            println!("{name:14} {sex:6} {used:.3}, measured {mean:.4}, off {off:+.4}, {:+.1} sd", off / sd);
            if off.abs() > tolerance {
                wrong.push(format!("{name} {sex}: {used}, measured {mean}, may be {tolerance} off ({why})"));
            }
            assert!(tolerance < 2.0 * sd, "{name} {sex}: a tolerance that says less than people differ");
        }
    }
    assert!(wrong.is_empty(), "{wrong:#?}");
    // No row is dropped silently.
    let measured: BTreeSet<&str> = rows.iter().map(|r| r["measure"].as_str()).collect();
    let told: BTreeSet<&str> = USED.iter().map(|u| u.2).chain(NOT_USED).collect();
    assert_eq!(measured, told);
    assert_eq!(rows.len(), 2 * measured.len());
}

/// Shoulder, elbow and eye of the person of a percentile against that percentile of the height itself: within a
/// quarter of what usual locks are apart, 100 mm, as a height's percentile is not quite the stature's.
#[test]
fn heights_of_a_percentile_are_near_the_measured_ones() {
    let rows = table("body-size-percentiles.csv");
    let used = USED.iter().filter(|u| ["shoulder", "elbow", "eye"].contains(&u.0));
    for (name, used, measure, ..) in used {
        for (sex, group) in GROUPS {
            let row = rows.iter().find(|r| r["sex"] == sex && r["measure"] == *measure).expect("the row");
            for (key, at) in PERCENTILES {
                let body = Body::barefoot(Length::metres(of_percentile(group, at)));
                let off = body.height(*used).to_metres() - number(row, key);
                assert!(off.abs() < 0.025, "{name} {sex} {key}: {:.0} mm off", off * 1000.0);
            }
        }
    }
}
