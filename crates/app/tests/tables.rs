//! Lifts and vehicles out of a shop's spreadsheet: a row each, its columns the keys of their files.

#![cfg(unix)]
#![allow(clippy::unwrap_used, reason = "a test ends where it fails")]

mod shop;

use std::collections::BTreeMap;

use shop::{Shop, demo};

const HEAD: &str = "vehicle;description;class;drive;wheelbase (mm by tape II);weight.front_axle (kg by scale III e=1 kg);weight.rear_axle (kg by scale III e=1 kg);front.aft (mm);front.left (mm);rear.aft (mm);rear.left (mm);wheels.track_front;sill_height;keep_outs;doors.1.name;doors.1.side;doors.1.hinge.aft;doors.1.hinge.left;doors.1.length;doors.1.opens;outline.mirror_width;outline.mirror_aft";

fn write(shop: &Shop, name: &str, text: &str) {
    std::fs::write(shop.folder.path().join(name), text).unwrap();
}

/// What the book has of vehicles or lifts, as exported: the files by their names.
fn files(shop: &Shop, kind: &str, folder: &str) -> BTreeMap<String, String> {
    shop.look(&["book", "export", folder]);
    let entries = std::fs::read_dir(shop.folder.path().join(folder).join(kind)).unwrap();
    let read = |entry: std::fs::DirEntry| {
        (entry.file_name().into_string().unwrap(), std::fs::read_to_string(entry.path()).unwrap())
    };
    entries.map(|entry| read(entry.unwrap())).collect()
}

const GOOD: &str = "TW-AB 12;Light hatchback;Hatchback;front;2520;712;438;570;710;1930;710;1.50 m;185 mm;none;front door;both;0.38 m;0.80 m;1.10 m;65 deg;1.96 m;0.55 m";

#[test]
fn a_row_of_a_spreadsheet_is_a_vehicle() {
    let shop = Shop::ready();
    let table = format!("\u{feff}{HEAD}\r\n{GOOD}\r\n;;;;;;;;;;;;;;;;;;;;;\r\n");
    write(&shop, "fleet.csv", &table);
    let said = shop.run("r-holt", &["book", "import", "fleet.csv"]);
    assert!(
        said.code == 0 && said.out.contains("fleet.csv: row 2: vehicle tw-ab-12 entered."),
        "{} {}",
        said.out,
        said.err
    );
    assert!(said.out.contains("1 entered, 0 skipped."), "{}", said.out);
    let made = files(&shop, "vehicles", "out")["tw-ab-12.toml"].clone();
    let made: toml::Table = made.parse().unwrap();
    for (key, value) in [
        ("name", "TW-AB 12, Light hatchback"),
        ("class", "hatchback"),
        ("wheelbase", "2520 mm by tape II"),
        ("sill_height", "185 mm"),
        ("keep_outs", "none"),
    ] {
        assert_eq!(made[key].as_str(), Some(value), "{key}");
    }
    assert_eq!(made["weight"]["front_axle"].as_str(), Some("712 kg by scale III e=1 kg"));
    assert_eq!(made["wheels"]["track_front"].as_str(), Some("1.50 m"));
    assert_eq!(made["outline"]["mirror_width"].as_str(), Some("1.96 m"));
    assert_eq!(made["doors"][0]["hinge"][1].as_str(), Some("0.80 m"));
    assert_eq!(made["lift_areas"][1]["at"][0].as_str(), Some("1930 mm"));
    // It is planned with as any other.
    let planned = shop.run("r-holt", &["raise", "keep", "--lift", "north-bay", "--vehicle", "tw-ab-12"]);
    assert!(planned.code == 0, "{} {}", planned.out, planned.err);
    // Out and in again, to the byte.
    let other = Shop::new();
    let out = shop.folder.path().join("out/vehicles.csv");
    other.lead(&["book", "import", out.to_str().unwrap()]);
    assert_eq!(files(&other, "vehicles", "again"), files(&shop, "vehicles", "out2"));
    // The same table again changes no file.
    shop.lead(&["book", "import", "fleet.csv"]);
    assert_eq!(files(&shop, "vehicles", "out3"), files(&shop, "vehicles", "out4"));
}

/// Every fault of every row, with its column; the good ones are in the book as if the bad ones were not there.
#[test]
fn a_bad_row_changes_no_other() {
    let shop = Shop::ready();
    let row = |changes: &[(usize, &str)]| {
        let mut cells: Vec<&str> = GOOD.split(';').collect();
        changes.iter().for_each(|(at, text)| cells[*at] = text);
        cells.join(";")
    };
    let rows = [
        row(&[(0, "one")]),
        row(&[(0, "no-unit"), (11, "1500"), (12, "banana"), (19, "65")]),
        row(&[(0, "lacks"), (2, ""), (4, ""), (7, "")]),
        row(&[(0, "ONE")]),
        row(&[(0, "comma"), (4, "2,52"), (6, "4380")]),
        row(&[(0, "both-ways"), (13, "brake line")]),
        "short;x".to_owned(),
        row(&[(0, "---"), (1, "\u{202e}x")]),
        row(&[(0, "odd"), (5, "1712")]),
        row(&[(0, "two")]),
        row(&[(0, "open"), (1, "\"not closed")]),
        row(&[(0, "never-read")]),
    ];
    write(&shop, "fleet.csv", &format!("{HEAD}\n{}\n", rows.join("\n")));
    let said = shop.run("r-holt", &["book", "import", "fleet.csv"]);
    assert_eq!(said.code, 2, "{}", said.err);
    let told = |row: usize| {
        let from = said.err.split(&format!("fleet.csv: row {row}: skipped.\n")).nth(1).unwrap_or_default();
        from.split("\nfleet.csv: row ").next().unwrap().to_owned()
    };
    for (row, all) in [
        (3, &["`wheels.track_front`: ", "`sill_height`: ", "`doors.1.opens`: “65” has no unit"][..]),
        (4, &["`class` is needed", "`wheelbase` is needed", "`front.aft` is needed"]),
        (5, &["vehicle one stands in fleet.csv: row 2 already"]),
        (6, &["`wheelbase`: ", "comma"]),
        (7, &["`keep_outs`: “brake line”, and only \"none\" is said here"]),
        (8, &["it has 2 cells, and row 1 has 22"]),
        (9, &["U+202E"]),
        (12, &["a quotation mark may not be closed"]),
    ] {
        for words in all {
            assert!(told(row).contains(words), "row {row}, {words}:\n{}", said.err);
        }
    }
    let made = files(&shop, "vehicles", "out");
    let alone = Shop::ready();
    write(&alone, "fleet.csv", &format!("{HEAD}\n{}\n{}\n{}\n", rows[0], rows[8], rows[9]));
    let odd = alone.run("r-holt", &["book", "import", "fleet.csv"]);
    assert_eq!(files(&alone, "vehicles", "out"), made, "{}", odd.err);
    assert!(made.contains_key("one.toml") && made.contains_key("two.toml"), "{:?}", made.keys());
}

#[test]
fn columns_that_cannot_be_meant_are_told_before_any_row() {
    let shop = Shop::ready();
    for (table, all) in [
        (
            "vehicle,wheelbse,class\na,2.5 m,van\n",
            &["row 1: no such column: wheelbse", "did you mean `wheelbase`?"][..],
        ),
        ("vehicle,class,class\na,van,suv\n", &["row 1: `class` stands twice"]),
        ("vehicle,customer\na,b\n", &["row 1: no such column: customer"]),
        ("wheelbase,class\n2.5 m,van\n", &["none of the columns `lift`, `vehicle`, `job`"]),
        ("", &["is empty"]),
    ] {
        write(&shop, "fleet.csv", table);
        let said = shop.run("r-holt", &["book", "import", "fleet.csv"]);
        assert_eq!(said.code, 2);
        for words in all {
            assert!(said.err.contains(words), "{words}: {}", said.err);
        }
    }
    // As a spreadsheet saves it that does not ask.
    std::fs::write(shop.folder.path().join("latin.csv"), b"vehicle,description,file\na,Gr\xfcn,x.toml\n")
        .unwrap();
    let said = shop.run("r-holt", &["book", "import", "latin.csv"]);
    assert!(
        said.code == 2 && said.err.contains("latin.csv: row 2: skipped.\nerror: a cell is not UTF-8"),
        "{}",
        said.err
    );
    // What says one thing twice, or a file and what stands in one.
    write(
        &shop,
        "twice.csv",
        "vehicle,file,class,drive,wheelbase,weight.total,weight.front_axle,weight.rear_axle,front.aft,front.left,rear.aft,rear.left\n\
         a,x.toml,van,rear,,,,,,,,\n\
         b,,van,rear,3 m,2000 kg,1000 kg,1000 kg,0.5 m,0.6 m,2.5 m,0.6 m\n\
         c,,,,,,,,,,,\n",
    );
    let said = shop.run("r-holt", &["book", "import", "twice.csv"]);
    for words in [
        "`file` names a file, and `class` says what stands in one",
        "`weight.total`: does not go with what else the row gives",
        "`file` is empty, and so is every column",
    ] {
        assert!(said.err.contains(words), "{words}: {}", said.err);
    }
    assert!(said.out.contains("0 entered, 3 skipped."), "{}", said.out);
}

/// The demonstration's north bay, by columns: the same lift as by its file.
#[test]
fn a_row_of_a_spreadsheet_is_a_lift() {
    let shop = Shop::new();
    let cells = [
        ("lift", "North 2"),
        ("maker", "Own make"),
        ("year", "2019"),
        ("rated", "3200 kg"),
        ("headroom", "4.10 m"),
        ("backwards", "No"),
        ("split_rule", "condition"),
        ("columns.inside", "2.76 m"),
        ("columns.front_face_ahead", "0.15 m"),
        ("columns.rear_face_behind", "0.15 m"),
        ("bay.ahead", "3.40 m"),
        ("bay.behind", "4.00 m"),
        ("arms.front.pivot_ahead", "0.26 m"),
        ("arms.front.pivot_out", "1.25 m"),
        ("arms.front.reach_in", "0.56 m"),
        ("arms.front.reach_out", "1.12 m"),
        ("arms.front.stages", "3"),
        ("arms.front.swing_from", "-5 deg"),
        ("arms.front.swing_to", "100 deg"),
        ("arms.front.tooth_steps", "60"),
        ("arms.front.beam_width", "110 mm"),
        ("arms.front.beam_top", "98 mm"),
        ("pads.diameter", "120 mm"),
        ("pads.lowest", "100 mm"),
        ("pads.travel", "55 mm"),
        ("pads.surface", "rubber"),
        ("pads.stack_most", "1"),
        ("pads.adapters.1.height", "45 mm"),
        ("pads.adapters.1.count", "4"),
        ("pads.adapters.2.height", "90 mm"),
        ("pads.adapters.2.count", "4"),
        (
            "rise.locks (m)",
            "0.35; 0.45; 0.55; 0.65; 0.75; 0.85; 0.95; 1.05; 1.15; 1.25; 1.35; 1.45; 1.55; 1.65; 1.75; 1.85",
        ),
        ("rise.most", "1.90 m"),
        ("plate.wheel_tolerance", "25 mm"),
        ("plate.bands.1.mark", "A"),
        ("plate.bands.1.wheelbase", "under 105 in"),
        ("plate.bands.1.front_wheel_ahead", "1.10 m"),
        ("plate.bands.2.mark", "B"),
        ("plate.bands.2.wheelbase", "105 in to 127 in"),
        ("plate.bands.2.front_wheel_ahead", "1.15 m"),
        ("plate.bands.3.mark", "C"),
        ("plate.bands.3.wheelbase", "over 127 in"),
        ("plate.bands.3.front_wheel_ahead", "1.62 m"),
    ];
    let [head, row] = [cells.map(|c| c.0), cells.map(|c| c.1)].map(|all| all.join(","));
    let bad = row
        .replace("0.26 m", "banana")
        .replace("North 2", "bad")
        .replace(",2019,", ",soon,")
        .replace("1.10 m", "x m");
    write(&shop, "lifts.csv", &format!("{head}\n{row}\n{bad}\n"));
    let said = shop.run("r-holt", &["book", "import", "lifts.csv"]);
    assert!(
        said.out.contains("row 2: lift north-2 entered") && said.out.contains("1 entered, 1 skipped"),
        "{} {}",
        said.out,
        said.err
    );
    for words in ["`year`: ", "`arms.front.pivot_ahead`: ", "`plate.bands.1.front_wheel_ahead`: "] {
        assert!(said.err.contains(words), "{words}: {}", said.err);
    }
    let made: toml::Table = files(&shop, "lifts", "out")["north-2.toml"].parse().unwrap();
    let mut wanted: toml::Table =
        std::fs::read_to_string(demo("lifts/north-bay.toml")).unwrap().parse().unwrap();
    wanted.remove("teaches");
    wanted.insert("name".into(), "North 2".into());
    assert_eq!(made, wanted);
    let table = std::fs::read_to_string(shop.folder.path().join("out/lifts.csv")).unwrap();
    assert!(table.contains("north-2,North 2,Own make,not known,not known,2019,3200 kg,"), "{table}");
}

/// What `new` writes is read as it is, every column of it.
#[test]
fn a_table_to_fill_in() {
    let shop = Shop::ready();
    for kind in ["lifts", "vehicles"] {
        let file = format!("{kind}.csv");
        shop.look(&["new", kind, &file]);
        let said = shop.run("r-holt", &["book", "import", &file]);
        assert!(said.code == 0 && said.out.contains("0 entered, 0 skipped."), "{}{}", said.out, said.err);
        let head = std::fs::read_to_string(shop.folder.path().join(&file)).unwrap();
        let row = head.trim_end().replace(|c| c != ',', "");
        write(&shop, &file, &format!("{head}a{row}\n"));
        let said = shop.run("r-holt", &["book", "import", &file]);
        assert!(said.err.contains("`file` is empty, and so is every column"), "{}", said.err);
    }
}

/// The demonstration's pickup by columns, with its strips, parts and places for stands from a file beside the table.
#[test]
fn what_no_column_says_stands_in_a_file_beside_the_table() {
    let shop = Shop::ready();
    let whole = std::fs::read_to_string(demo("vehicles/pickup.toml")).unwrap();
    let tables = |names: &[&str]| -> String {
        let table = |text: &&str| names.iter().any(|name| text.starts_with(&format!("{name}]]")));
        whole.split("\n[[").filter(table).map(|text| format!("[[{text}\n")).collect()
    };
    write(&shop, "pickup-more.toml", &tables(&["lift_areas", "parts", "stand_places"]));
    write(&shop, "parts.toml", &tables(&["parts"]));
    let head = "vehicle,more,class,drive,frame,wheelbase,wheelbase_right,weight.front_axle,weight.rear_axle,sill_height,droop,\
                outline.length,outline.front_overhang,outline.width,outline.roof,doors,front.aft,front.left,rear.aft,rear.left";
    let rest = "pickup,rear,frame rails,3.570 m by tape II,3.572 m by tape II,1275 kg by scale III e=1 kg,905 kg by scale III e=1 kg,\
                330 mm,140 mm +- 30 mm,5.78 m,0.95 m,1.98 m,1.92 m,none";
    let points = "0.9 m,0.47 m,2.3 m,0.50 m";
    let rows = [
        format!("p-1,pickup-more.toml,{rest},,,,"),
        format!("p-2,pickup-more.toml,{rest},,,,"),
        format!("p-3,parts.toml,{rest},{points}"),
    ];
    write(&shop, "fleet.csv", &format!("{head}\n{}\n", rows.join("\n")));
    let said = shop.lead(&["book", "import", "fleet.csv"]);
    assert!(said.contains("3 entered, 0 skipped."), "{said}");
    let made = files(&shop, "vehicles", "out");
    assert!(
        made["p-1.toml"].contains("name = \"front of the rail\"")
            && made["p-1.toml"].contains("\"load bed\"")
    );
    assert!(
        made["p-3.toml"].contains("\"front lifting point\"") && made["p-3.toml"].contains("\"load bed\"")
    );
    // The job of the whole file: its parts come off in their order.
    let job = demo("jobs/rear-axle-off.toml");
    let job = job.to_str().unwrap();
    let keep = |vehicle: &str| {
        shop.run("r-holt", &["raise", "keep", "--lift", "mill-bay", "--vehicle", vehicle, "--job", job]).out
    };
    for by_row in [keep("p-1"), keep("p-3")] {
        assert!(by_row.contains("MAY BE RAISED") && by_row.contains("Rear axle off"), "{by_row}");
    }
    // Every fault with its row, its column, and the line of the file.
    write(
        &shop,
        "light.toml",
        "[[parts]]\nname = \"seat\"\nmass = \"heavy\"\nat = [\"1.9 m\", \"0 m\", \"0.5 m\"]\n",
    );
    write(&shop, "key.toml", "wheelbase = \"3 m\"\n");
    write(&shop, "empty.toml", "# nothing\n");
    write(&shop, "broken.toml", "[[parts]]\nname = \n");
    write(&shop, "one-end.toml", &tables(&["lift_areas"]).replace("end = \"rear\"", "end = \"front\""));
    let rows = [
        format!("a,light.toml,{rest},{points}"),
        format!("b,key.toml,{rest},{points}"),
        format!("c,empty.toml,{rest},{points}"),
        format!("d,broken.toml,{rest},{points}"),
        format!("e,pickup-more.toml,{rest},{points}"),
        format!("f,../parts.toml,{rest},{points}"),
        format!("g,one-end.toml,{rest},,,,"),
        format!("h,gone.toml,{rest},{points}"),
        format!("i,light.toml,{},{points}", rest.replace("pickup,rear", "pickup,sideways")),
    ];
    write(&shop, "bad.csv", &format!("{head}\n{}\n", rows.join("\n")));
    let said = shop.run("r-holt", &["book", "import", "bad.csv"]);
    assert!(said.code == 2 && said.out.contains("0 entered, 9 skipped."), "{}{}", said.out, said.err);
    for (row, words) in [
        (2, &["`more`: light.toml, line 3: "][..]),
        (
            3,
            &[
                "`more`: key.toml says `wheelbase`, and only `lift_areas`, `parts`, `stand_places` are told there",
            ],
        ),
        (4, &["`more`: empty.toml says nothing"]),
        (5, &["`more`: broken.toml, line 2: "]),
        (6, &["`front.aft`: does not go with what else the row gives", "`rear.left`: does not go"]),
        (7, &["`more`: \"../parts.toml\" is no TOML or JSON file in the table's folder"]),
        (8, &["`more`: one-end.toml, line "]),
        (9, &["`more`: ", "gone.toml"]),
        (10, &["`drive`: ", "`more`: light.toml, line 3: "]),
    ] {
        let from = said.err.split(&format!("bad.csv: row {row}: skipped.\n")).nth(1).unwrap_or_default();
        let told = from.split("\nbad.csv: row ").next().unwrap();
        for words in words {
            assert!(told.contains(words), "row {row}, {words}:\n{}", said.err);
        }
    }
    // A survey reads the same table.
    let survey =
        shop.run("", &["survey", "--lifts", demo("lifts").to_str().unwrap(), "--vehicles", "fleet.csv"]);
    assert!(survey.code == 0 && survey.out.contains("3 vehicles"), "{}{}", survey.out, survey.err);
}
