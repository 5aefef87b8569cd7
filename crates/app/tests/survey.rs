//! Many vehicles on many lifts: the same answers as plans give, the same bytes however they are asked, and no bad row changes another.

#![cfg(unix)]
#![allow(clippy::unwrap_used, clippy::panic, reason = "a test ends where it fails")]

mod fleets;

use std::fs;
use std::path::Path;
use std::process::Command;
use std::sync::Arc;

use fleets::{demo, ran, row, survey, table};
use parquet::basic::{Compression, GzipLevel, LogicalType, Repetition, Type as Physical, ZstdLevel};
use parquet::data_type::{BoolType, ByteArray, ByteArrayType, DoubleType, Int32Type};
use parquet::file::properties::WriterProperties;
use parquet::file::reader::SerializedFileReader;
use parquet::file::writer::SerializedFileWriter;
use parquet::record::Field;
use parquet::schema::types::Type;

fn read(folder: &Path, name: &str) -> Vec<u8> {
    fs::read(folder.join(name)).unwrap_or_else(|e| panic!("{name}: {e}"))
}

fn left(folder: &Path) -> Vec<String> {
    let mut names: Vec<String> =
        fs::read_dir(folder).unwrap().map(|e| e.unwrap().file_name().into_string().unwrap()).collect();
    names.sort();
    names
}

#[test]
fn every_pair_is_told_as_it_is_planned() {
    let folder = tempfile::tempdir().unwrap();
    let vehicles = demo("vehicles").display().to_string();
    let (code, out, err) = ran(survey(folder.path(), &vehicles, &["--jsonl", "all.jsonl"]));
    assert_eq!(code, 0, "{err}");
    assert!(out.starts_with("6 vehicles on 3 lifts, only raised and lowered: 18 pairs.\n"), "{out}");
    let lines = String::from_utf8(read(folder.path(), "all.jsonl")).unwrap();
    let rows: Vec<serde_json::Value> = lines.lines().map(|l| serde_json::from_str(l).unwrap()).collect();
    assert_eq!(rows.len(), 18);
    for row in rows {
        let (vehicle, lift) = (row["vehicle"].as_str().unwrap(), row["lift"].as_str().unwrap());
        let mut plan = Command::new(env!("CARGO_BIN_EXE_standfast"));
        plan.arg("plan").arg("--lift").arg(demo(&format!("lifts/{lift}.toml")));
        plan.arg("--vehicle").arg(demo(&format!("vehicles/{vehicle}.toml"))).arg("--json");
        let plan: serde_json::Value = serde_json::from_slice(&plan.output().unwrap().stdout).unwrap();
        assert_eq!(row["verdict"], plan["verdict"], "{vehicle} on {lift}");
        let checks = plan["checks"].as_array().unwrap();
        let id = row["check"].as_str().unwrap();
        let told = row["reserve"].as_f64().unwrap();
        let is_it = |c: &&serde_json::Value| {
            let reserve = c["reserve"].as_f64().unwrap();
            c["id"] == id && told <= reserve && reserve < told + 1.1e-6
        };
        assert!(checks.iter().any(|c| is_it(&c)), "{vehicle} on {lift}: {id} {told} is none of {checks:?}");
        if row["verdict"] != "do-not-raise" {
            let near = |told: &serde_json::Value, metres: &serde_json::Value| {
                let (told, mm) = (told.as_f64().unwrap(), metres.as_f64().unwrap() * 1000.0);
                assert!((told - mm).abs() <= 0.0501, "{vehicle} on {lift}: {told} against {mm}");
            };
            near(&row["spot_mm"], &plan["spot_m"]);
            for (arm, pad) in row["arms"].as_array().unwrap().iter().zip(plan["pads"].as_array().unwrap()) {
                near(&arm["reach_mm"], &pad["reach_m"]);
                near(&arm["height_mm"], &pad["pad_height_m"]);
                assert_eq!([&arm["arm"], &arm["tooth"]], [&pad["arm"], &pad["tooth"]], "{vehicle} on {lift}");
            }
        }
    }
}

#[test]
fn the_answer_does_not_depend_on_threads_or_order_of_work() {
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join("fleet.csv"), table(60)).unwrap();
    let all = |threads: &str| {
        let files = ["--csv", "a.csv", "--jsonl", "a.jsonl", "--parquet", "a.parquet", "--threads", threads];
        let (code, out, err) = ran(survey(folder.path(), "fleet.csv", &files));
        assert_eq!(code, 0, "{err}");
        (out, ["a.csv", "a.jsonl", "a.parquet"].map(|name| read(folder.path(), name)))
    };
    let one = all("1");
    assert_eq!(one, all("2"));
    assert_eq!(one, all("7"));
    // All are told, in the order in which they came.
    let csv = String::from_utf8(one.1[0].clone()).unwrap();
    let told: Vec<String> = csv.lines().skip(1).map(|l| l.split(',').next().unwrap().to_owned()).collect();
    let wanted: Vec<String> = (0..60).flat_map(|k| vec![format!("v{k:05}"); 3]).collect();
    assert_eq!(told, wanted);
    assert!(one.0.contains("lifting points were guessed"), "{}", one.0);
    assert!(!csv.contains(",raise,"), "none that is guessed is raised without conditions");
    assert!(csv.contains(",raise-with-conditions,"));
    // Parquet holds what the table holds.
    let file = fs::File::open(folder.path().join("a.parquet")).unwrap();
    let rows: Vec<_> = SerializedFileReader::new(file).unwrap().into_iter().map(Result::unwrap).collect();
    assert_eq!(rows.len(), 180);
    let mut reader = csv::Reader::from_reader(csv.as_bytes());
    for (row, record) in rows.iter().zip(reader.records()) {
        let record = record.unwrap();
        for ((name, field), cell) in row.get_column_iter().zip(record.iter()) {
            let text = match field {
                Field::Null => String::new(),
                Field::Str(text) => text.clone(),
                Field::Double(value) => value.to_string(),
                Field::Int(value) => value.to_string(),
                other => panic!("{name}: {other}"),
            };
            assert_eq!(text, cell, "{name}");
        }
    }
}

#[test]
fn a_bad_row_is_told_counted_and_changes_no_other() {
    let folder = tempfile::tempdir().unwrap();
    let bad = [
        ("v,2500,,4300,1750,1450,sedan,front", &["`mass` is empty"][..]),
        ("w,250000,1200,4300,1750,1450,sedan,front", &["`wheelbase` is ", "cannot be"]),
        (
            "x,2500,1200,4300,1750,1450,spaceship,up",
            &["`class`: there is no \"spaceship\"", "`drive`: there is no \"up\""],
        ),
        (
            "v00001,2500,1200,4300,1750,1450,sedan,front",
            &["vehicle v00001 stands in fleet.csv: row 3 already"],
        ),
        ("y,2500,1200", &["it has 3 cells, and row 1 has 8"]),
        (",2500,1200,4300,1750,1450,sedan,front", &["it has no name"]),
        ("z,abc,-4,4300,1750,1450,sedan,front", &["`wheelbase`: ", "`mass` is "]),
        ("o,2500,1200,2000,1750,1450,sedan,front", &["`wheelbase` does not fit into `length`"]),
    ];
    let mut text = table(3);
    for (line, _) in &bad {
        text += line;
        text.push('\n');
    }
    text += &row(3);
    fs::write(folder.path().join("fleet.csv"), text).unwrap();
    fs::write(folder.path().join("good.csv"), table(4)).unwrap();
    let (code, out, err) = ran(survey(folder.path(), "fleet.csv", &["--csv", "a.csv"]));
    assert_eq!(code, 2);
    assert!(
        out.starts_with("4 vehicles on 3 lifts") && out.contains("Skipped, as told on standard error: 8."),
        "{out}"
    );
    for (k, (_, words)) in bad.iter().enumerate() {
        let from = err.split(&format!("fleet.csv: row {}: skipped.\n", k + 5)).nth(1).unwrap_or_default();
        let told = from.split("fleet.csv: row ").next().unwrap_or_default();
        // The row of which it is a second one is named as well.
        let told = if words[0].contains("already") { from } else { told };
        for word in *words {
            assert!(told.contains(word), "row {}: {word}: {err}", k + 5);
        }
    }
    let (code, _, err) = ran(survey(folder.path(), "good.csv", &["--csv", "b.csv"]));
    assert_eq!(code, 0, "{err}");
    assert_eq!(read(folder.path(), "a.csv"), read(folder.path(), "b.csv"));
}

/// A slip of the pen is no vehicle that no lift takes.
#[test]
fn absurd_values_are_told_and_skipped() {
    let folder = tempfile::tempdir().unwrap();
    let head = "id,wheelbase (m),mass (kg),length (m),width (m),height (m),front_share (%)\n";
    let bad = [
        ("2.6,1400,4.3,1.8,1.5,150", "`front_share`"),
        ("0.1,1400,4.3,1.8,1.5,60", "`wheelbase`"),
        ("20,1400,,1.8,1.5,60", "`wheelbase`"),
        ("2.6,1400,4.3,0.5,1.5,60", "`width`"),
        ("2.6,1400,4.3,5,1.5,60", "`width`"),
        ("2.6,1400,4.3,1.8,0.3,60", "`height`"),
        ("2.6,1400,4.3,1.8,15,60", "`height`"),
        ("2.6,1400,43,1.8,1.5,60", "`length`"),
    ];
    let rows = bad.iter().enumerate().map(|(k, (cells, _))| format!("b{k},{cells}\n"));
    let text = format!("{head}\n\n{}good,2.6,1400,4.3,1.8,1.5,60\n", rows.collect::<String>());
    fs::write(folder.path().join("fleet.csv"), text).unwrap();
    let (code, out, err) = ran(survey(folder.path(), "fleet.csv", &[]));
    assert!(code == 2 && out.starts_with("1 vehicle on 3 lifts"), "{out}{err}");
    for (k, (cells, column)) in bad.iter().enumerate() {
        // Two rows are empty.
        let told = err.split(&format!("fleet.csv: row {}: skipped.\n", k + 4)).nth(1).unwrap_or_default();
        let told = told.split("fleet.csv: ").next().unwrap_or_default();
        assert!(told.contains(column) && told.contains("cannot be"), "{cells}: {err}");
    }
}

#[test]
fn each_row_that_is_skipped_is_named_however_many() {
    let folder = tempfile::tempdir().unwrap();
    let rows: String = (0..250).map(|k| format!("b{k},,1200,4300,1750,1450,sedan,front\n")).collect();
    fs::write(folder.path().join("fleet.csv"), table(1) + &rows).unwrap();
    let (code, out, err) = ran(survey(folder.path(), "fleet.csv", &[]));
    assert!(code == 2 && out.contains("Skipped, as told on standard error: 250."), "{out}");
    for row in 3..253 {
        assert!(err.contains(&format!("fleet.csv: row {row}: skipped.\n")), "{row}: {err}");
    }
}

#[test]
fn what_is_no_table_of_vehicles_is_told() {
    let folder = tempfile::tempdir().unwrap();
    for (text, words) in [
        ("", "it is empty"),
        ("number,wheelbase\n1,2\n", "none of the columns `id`, `vehicle`"),
        ("id,wheelbase,mas\n1,2,3\n", "did you mean `mass`?"),
        ("id,mass,mass\n1,2,3\n", "`mass` stands twice"),
        ("id,wheelbase,mass\n1,2500,3\n", "`wheelbase`: "),
    ] {
        fs::write(folder.path().join("fleet.csv"), text).unwrap();
        let (code, _, err) = ran(survey(folder.path(), "fleet.csv", &[]));
        assert!(code == 2 && err.contains(words) && err.contains("help: "), "{text:?}: {err}");
    }
    let (code, _, err) = ran(survey(folder.path(), "nowhere", &[]));
    assert!(code == 2 && err.contains("nowhere: there is no such file or folder"), "{err}");
}

/// A table of measured vehicles and lifts: the same columns as those of the book.
#[test]
fn measured_rows_and_files_are_asked_together() {
    let folder = tempfile::tempdir().unwrap();
    let head = "vehicle,class,drive,wheelbase (mm by tape II),weight.front_axle (kg by scale III e=1 kg),weight.rear_axle (kg by scale III e=1 kg),front.aft (mm),front.left (mm),rear.aft (mm),rear.left (mm),keep_outs,file\n";
    let rows = "tw-ab 12,hatchback,front,2520,712,438,570,710,1930,710,none,\nfrom a file,,,,,,,,,,,hatchback.toml\n";
    fs::write(folder.path().join("fleet.csv"), format!("{head}{rows}lacks,hatchback,front,,,,,,,,,\n"))
        .unwrap();
    fs::copy(demo("vehicles/hatchback.toml"), folder.path().join("hatchback.toml")).unwrap();
    let mut command = survey(folder.path(), "fleet.csv", &[]);
    command.arg("hatchback.toml").args(["--csv", "a.csv"]);
    // The file comes after `--vehicles fleet.csv`, so it is one of them.
    let (code, out, err) = ran(command);
    assert_eq!(code, 2, "{out}{err}");
    assert!(err.contains("fleet.csv: row 4: skipped.") && err.contains("`wheelbase` is needed"), "{err}");
    let csv = String::from_utf8(read(folder.path(), "a.csv")).unwrap();
    let of = |name: &str| -> Vec<String> {
        let own = csv.lines().filter(|l| l.starts_with(&format!("{name},")));
        own.map(|l| l.split_once(',').unwrap().1.to_owned()).collect()
    };
    assert_eq!(of("from a file").len(), 3);
    assert_eq!(of("from a file"), of("hatchback"));
    assert_eq!(of("tw-ab 12").len(), 3);
    assert!(of("tw-ab 12").iter().all(|row| !row.contains("place of the lifting points")));
}

/// Writes a table of three columns as Parquet, the last of a type that is asked for.
fn parquet_table(path: &Path, last: Physical, name: &str) {
    compressed_table(path, last, name, Compression::UNCOMPRESSED);
}

fn compressed_table(path: &Path, last: Physical, name: &str, compression: Compression) {
    let field = |name: &str, physical, logical| {
        let built = Type::primitive_type_builder(name, physical)
            .with_repetition(Repetition::REQUIRED)
            .with_logical_type(logical)
            .build();
        Arc::new(built.unwrap())
    };
    let fields = vec![
        field("id", Physical::BYTE_ARRAY, Some(LogicalType::String)),
        field("wheelbase (m)", Physical::DOUBLE, None),
        field("class", Physical::BYTE_ARRAY, Some(LogicalType::String)),
        field(name, last, None),
    ];
    let schema = Type::group_type_builder("fleet").with_fields(fields).build().unwrap();
    let file = fs::File::create(path).unwrap();
    let properties = WriterProperties::builder().set_compression(compression).build();
    let mut writer = SerializedFileWriter::new(file, Arc::new(schema), Arc::new(properties)).unwrap();
    let mut group = writer.next_row_group().unwrap();
    let text = |texts: [&str; 3]| texts.map(ByteArray::from);
    let mut column = group.next_column().unwrap().unwrap();
    column.typed::<ByteArrayType>().write_batch(&text(["a", "b", "a"]), None, None).unwrap();
    column.close().unwrap();
    let mut column = group.next_column().unwrap().unwrap();
    column.typed::<DoubleType>().write_batch(&[2.65, f64::NAN, 2.7], None, None).unwrap();
    column.close().unwrap();
    let mut column = group.next_column().unwrap().unwrap();
    column.typed::<ByteArrayType>().write_batch(&text(["suv", "suv", "suv"]), None, None).unwrap();
    column.close().unwrap();
    let mut column = group.next_column().unwrap().unwrap();
    match last {
        Physical::INT32 => column.typed::<Int32Type>().write_batch(&[1500, 1500, 1500], None, None).unwrap(),
        Physical::BOOLEAN => {
            column.typed::<BoolType>().write_batch(&[true, false, true], None, None).unwrap()
        }
        other => panic!("{other}"),
    };
    column.close().unwrap();
    group.close().unwrap();
    writer.close().unwrap();
}

#[test]
fn a_table_may_be_parquet() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("fleet.parquet");
    parquet_table(&path, Physical::INT32, "mass (kg)");
    let (code, _, err) = ran(survey(folder.path(), "fleet.parquet", &["--csv", "a.csv"]));
    assert_eq!(code, 2, "{err}");
    assert!(err.contains("fleet.parquet: row 2: skipped.") && err.contains("`wheelbase`: "), "{err}");
    assert!(err.contains("vehicle a stands in fleet.parquet: row 1 already"), "{err}");
    fs::write(folder.path().join("fleet.csv"), "id,wheelbase,class,mass\na,2.65 m,suv,1500 kg\n").unwrap();
    let (code, _, err) = ran(survey(folder.path(), "fleet.csv", &["--csv", "b.csv"]));
    assert_eq!(code, 0, "{err}");
    assert_eq!(read(folder.path(), "a.csv"), read(folder.path(), "b.csv"));
    let table = read(folder.path(), "a.csv");
    for compression in [
        Compression::SNAPPY,
        Compression::GZIP(GzipLevel::default()),
        Compression::LZ4_RAW,
        Compression::ZSTD(ZstdLevel::default()),
    ] {
        compressed_table(&path, Physical::INT32, "mass (kg)", compression);
        let (code, _, err) = ran(survey(folder.path(), "fleet.parquet", &["--csv", "a.csv"]));
        assert!(code == 2 && read(folder.path(), "a.csv") == table, "{compression}: {err}");
    }
    // What is spoilt ends the file, once; what stands beside it is asked.
    let mut spoilt = read(folder.path(), "fleet.parquet");
    spoilt[4..60].fill(0xff);
    fs::write(&path, spoilt).unwrap();
    let mut beside = survey(folder.path(), "fleet.parquet", &["--csv", "a.csv"]);
    beside.args(["--vehicles", "fleet.csv"]);
    let (code, _, err) = ran(beside);
    assert!(code == 2 && err.matches("fleet.parquet: row 1: skipped.").count() == 1, "{err}");
    assert!(err.contains("nor any of the 2 after it can be read"), "{err}");
    assert_eq!(read(folder.path(), "a.csv"), table);
    // Types that are neither text nor number, and no Parquet at all.
    parquet_table(&path, Physical::BOOLEAN, "mass (kg)");
    let (code, _, err) = ran(survey(folder.path(), "fleet.parquet", &[]));
    assert!(code == 2 && err.contains("column \"mass (kg)\" is of type BOOLEAN"), "{err}");
    parquet_table(&path, Physical::INT32, "mass");
    let (code, _, err) = ran(survey(folder.path(), "fleet.parquet", &[]));
    assert!(code == 2 && err.contains("`mass`: "), "{err}");
    fs::write(&path, "PAR1 and no more").unwrap();
    let (code, _, err) = ran(survey(folder.path(), "fleet.parquet", &[]));
    assert!(code == 2 && err.contains("whole Parquet file"), "{err}");
}

/// A page's own checksum is asked. The table was written by another library (pyarrow, `write_page_checksum=True`,
/// uncompressed): ours writes none.
#[test]
fn a_page_whose_checksum_is_wrong_is_told() {
    let folder = tempfile::tempdir().unwrap();
    let mut bytes = include_bytes!("fleets/checked.parquet").to_vec();
    let path = folder.path().join("fleet.parquet");
    fs::write(&path, &bytes).unwrap();
    let (code, out, err) = ran(survey(folder.path(), "fleet.parquet", &["--csv", "a.csv"]));
    assert!(code == 0 && out.starts_with("2 vehicles on 3 lifts"), "{out}{err}");
    assert!(String::from_utf8(read(folder.path(), "a.csv")).unwrap().contains(",1777,"));
    let (mass, spoilt) = (1777_i32.to_le_bytes(), 1111_i32.to_le_bytes());
    let at = bytes.windows(4).position(|four| four == mass).unwrap();
    bytes[at..at + 4].copy_from_slice(&spoilt);
    fs::write(&path, &bytes).unwrap();
    let (code, out, err) = ran(survey(folder.path(), "fleet.parquet", &["--csv", "a.csv"]));
    assert!(code == 2 && err.contains("fleet.parquet: row 1: skipped.") && err.contains("CRC"), "{out}{err}");
    assert!(out.starts_with("0 vehicles on 3 lifts"), "{out}");
}

/// A table in groups of rows, each of so many.
fn grouped_table(path: &Path, groups: usize, each: usize) {
    let field = |name: &str, physical, logical| {
        let built = Type::primitive_type_builder(name, physical)
            .with_repetition(Repetition::REQUIRED)
            .with_logical_type(logical)
            .build();
        Arc::new(built.unwrap())
    };
    let fields = vec![
        field("id", Physical::BYTE_ARRAY, Some(LogicalType::String)),
        field("wheelbase (mm)", Physical::INT32, None),
        field("mass (kg)", Physical::INT32, None),
    ];
    let schema = Type::group_type_builder("fleet").with_fields(fields).build().unwrap();
    let properties = WriterProperties::builder().set_dictionary_enabled(false).build();
    let file = fs::File::create(path).unwrap();
    let mut writer = SerializedFileWriter::new(file, Arc::new(schema), Arc::new(properties)).unwrap();
    for group in 0..groups {
        let ids: Vec<ByteArray> =
            (0..each).map(|k| ByteArray::from(format!("g{group}-{k:04}").as_str())).collect();
        let mut into = writer.next_row_group().unwrap();
        let mut column = into.next_column().unwrap().unwrap();
        column.typed::<ByteArrayType>().write_batch(&ids, None, None).unwrap();
        column.close().unwrap();
        for value in [2600, 1500] {
            let mut column = into.next_column().unwrap().unwrap();
            column.typed::<Int32Type>().write_batch(&vec![value; each], None, None).unwrap();
            column.close().unwrap();
        }
        into.close().unwrap();
    }
    writer.close().unwrap();
}

/// What is lost with a row is counted, or said where nobody can count it: at the end and on the picture.
#[test]
fn what_is_lost_with_a_row_is_told() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("fleet.parquet");
    grouped_table(&path, 4, 100);
    let mut bytes = fs::read(&path).unwrap();
    let id = bytes.windows(7).position(|name| name == b"g1-0000").unwrap();
    // How long the first name is.
    bytes[id - 4..id].fill(0xff);
    fs::write(&path, bytes).unwrap();
    let told = |name: &str, words: &str| {
        let (code, out, err) = ran(survey(folder.path(), name, &["--svg", "a.svg"]));
        assert_eq!(code, 2, "{err}");
        assert!(out.ends_with(&format!("\nSkipped, as told on standard error: {words}.\n")), "{out}{err}");
        let svg = String::from_utf8(read(folder.path(), "a.svg")).unwrap();
        assert!(svg.contains(&format!("Skipped, as they could not be read: {words}.")), "{svg}");
        (out, err)
    };
    let (out, err) = told("fleet.parquet", "300");
    assert!(out.starts_with("100 vehicles on 3 lifts"), "{out}");
    assert!(err.contains("row 101: skipped.") && err.contains("nor any of the 299 after it"), "{err}");
    // A quotation mark that is not closed, to the end of the table and to the next one; in the last cell as well.
    let good = table(50);
    let open = good.replacen("\nv00010,", "\n\"v00010,", 1);
    fs::write(folder.path().join("fleet.csv"), &open).unwrap();
    told("fleet.csv", "1, and all after row 12 of fleet.csv");
    fs::write(folder.path().join("fleet.csv"), open.replacen("\nv00015,", "\nv00015\",", 1)).unwrap();
    told("fleet.csv", "1, and 5 lines after row 12 of fleet.csv");
    let last = good.lines().nth(11).unwrap().rsplit_once(',').unwrap();
    let open = good.replacen(&format!("{},{}", last.0, last.1), &format!("{},\"{}", last.0, last.1), 1);
    fs::write(folder.path().join("fleet.csv"), open).unwrap();
    told("fleet.csv", "1, and all after row 12 of fleet.csv");
    // A table that is not read at all.
    fs::write(folder.path().join("bad.csv"), good.replacen("mass", "mas", 1)).unwrap();
    let (_, out, err) = ran(survey(folder.path(), "bad.csv", &["fleet.parquet"]));
    assert!(out.ends_with("standard error: 301, and all of bad.csv.\n"), "{out}{err}");
    // Parts say the same.
    let more = ["fleet.csv", "fleet.parquet", "--parts", "parts"];
    for _ in 0..2 {
        let (_, out, _) = ran(survey(folder.path(), "bad.csv", &more));
        let words = "standard error: 302, and all of bad.csv, and all after row 12 of fleet.csv.\n";
        assert!(out.ends_with(words), "{out}");
    }
}

/// Few pairs are those that were asked, however many rows were skipped.
#[test]
fn a_small_survey_is_small_whatever_was_skipped() {
    let folder = tempfile::tempdir().unwrap();
    let rows: String = (0..18).map(|k| format!("b{k},,1200,4300,1750,1450,sedan,front\n")).collect();
    fs::write(folder.path().join("fleet.csv"), table(6) + &rows).unwrap();
    let (_, out, err) = ran(survey(folder.path(), "fleet.csv", &[]));
    assert!(out.starts_with("6 vehicles on 3 lifts"), "{out}{err}");
    assert!(
        out.contains("front wheel    held by\n") && out.contains("Which one change would gain most:"),
        "{out}"
    );
    fs::write(folder.path().join("fleet.csv"), table(20)).unwrap();
    let (_, out, _) = ran(survey(folder.path(), "fleet.csv", &[]));
    assert!(out.contains("held by\n"), "60 pairs are few: {out}");
    fs::write(folder.path().join("fleet.csv"), table(21)).unwrap();
    let (_, out, _) = ran(survey(folder.path(), "fleet.csv", &[]));
    assert!(!out.contains("held by\n") && !out.contains("Which one change"), "{out}");
}

#[test]
fn a_full_disk_leaves_nothing_half_written() {
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join("fleet.csv"), table(200)).unwrap();
    fs::write(folder.path().join("old.csv"), "vehicle,lift,verdict,\nkept\n").unwrap();
    let before = left(folder.path());
    for [option, file] in [["--csv", "old.csv"], ["--jsonl", "a.jsonl"], ["--parquet", "a.parquet"]] {
        // Files may hold 10 blocks of 512 bytes or of 1024, by the shell.
        let line = format!(
            "ulimit -f 10; exec {} survey --lifts {} --vehicles fleet.csv {option} {file}",
            env!("CARGO_BIN_EXE_standfast"),
            demo("lifts").display()
        );
        let mut command = Command::new("sh");
        command.current_dir(folder.path()).args(["-c", &line]);
        let (code, _, err) = ran(command);
        assert!(
            code == 2 && err.contains(&format!("{file}: it cannot be written")),
            "{option}: {code} {err}"
        );
        assert_eq!(left(folder.path()), before, "{option}");
    }
    assert_eq!(read(folder.path(), "old.csv"), b"vehicle,lift,verdict,\nkept\n");
    let (code, _, err) = ran(survey(folder.path(), "fleet.csv", &["--csv", "/dev/full"]));
    assert!(code == 2 && err.contains("/dev/full: it cannot be written"), "{err}");
}

#[test]
fn one_file_under_two_names_is_one_file() {
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join("fleet.csv"), table(1)).unwrap();
    for files in [["--csv", "a", "--svg", "./a"], ["--csv", "./a", "--jsonl", "a"]] {
        let (code, _, err) = ran(survey(folder.path(), "fleet.csv", &files));
        assert!(code == 2 && err.contains("something else goes into the same file"), "{err}");
    }
    assert_eq!(left(folder.path()), ["fleet.csv"]);
}

#[test]
#[cfg(target_os = "linux")]
fn an_answer_that_cannot_be_written_is_no_success() {
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join("fleet.csv"), table(1)).unwrap();
    let full = fs::File::options().write(true).open("/dev/full").unwrap();
    let mut asked = survey(folder.path(), "fleet.csv", &[]);
    let ended = asked.stdout(full).stderr(std::process::Stdio::piped()).spawn().unwrap().wait_with_output();
    let ended = ended.unwrap();
    assert_eq!(ended.status.code(), Some(2));
    assert!(String::from_utf8(ended.stderr).unwrap().contains("the answer cannot be written"));
}

#[test]
fn what_is_there_is_not_overwritten() {
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join("fleet.csv"), table(1)).unwrap();
    fs::write(folder.path().join("notes.txt"), "notes").unwrap();
    for (more, words) in [
        (["--csv", "fleet.csv"], "one of the files of the survey"),
        (["--csv", "notes.txt"], "is no survey; it is not overwritten"),
        (["--parquet", "-"], "it goes into a file"),
        (["--jsonl", "nowhere/a.jsonl"], "no such folder"),
    ] {
        let (code, _, err) = ran(survey(folder.path(), "fleet.csv", &more));
        assert!(code == 2 && err.contains(words), "{more:?}: {err}");
    }
    assert_eq!(read(folder.path(), "notes.txt"), b"notes");
}
