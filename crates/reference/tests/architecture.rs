//! Holds the picture of ARCHITECTURE.md: who may depend on whom, who may name which library.

#![expect(clippy::expect_used, reason = "a test ends where it fails")]

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::{Path, PathBuf};

use cargo_metadata::{DependencyKind, Metadata, MetadataCommand, Package};

/// Crate of ours, the crates of ours that it may depend on, and those that its tests may use besides.
const ARROWS: &[(&str, &[&str], &[&str])] = &[
    ("statics", &[], &[]),
    ("planner", &["statics"], &[]),
    ("sheets", &["statics", "planner"], &[]),
    ("records", &["statics", "planner"], &[]),
    ("app", &["statics", "planner", "sheets", "records"], &[]),
    ("reference", &["statics", "planner"], &["sheets", "app"]),
];

/// Library, and the crates that may name it outside tests. A library of formats or the command line
/// in the core would make the core a part of the program.
const ONLY_HERE: &[(&str, &[&str])] = &[
    ("clap", &["app"]),
    ("miette", &["app"]),
    ("toml", &["app"]),
    ("serde", &["app", "records"]),
    ("serde_json", &["app", "records"]),
    ("schemars", &["app"]),
    ("csv", &["app"]),
    ("indicatif", &["app"]),
    ("microlp", &["app"]),
    ("parquet", &["app"]),
    ("rpassword", &["app"]),
    ("rustix", &["app", "records"]),
    ("sqlx", &["records"]),
    ("argon2", &["records"]),
    ("sha2", &["records", "app"]),
    ("krilla", &["sheets"]),
    ("skrifa", &["sheets"]),
    ("qrcodegen", &["sheets"]),
];

/// What core and sheets must not do, as their clippy.toml names it.
const BANNED: &[(&str, &[&str])] = &[
    (
        "disallowed-types",
        &[
            "std::collections::HashMap",
            "std::collections::HashSet",
            "std::fs::File",
            "std::time::Instant",
            "std::time::SystemTime",
        ],
    ),
    (
        "disallowed-methods",
        &[
            "std::env::var",
            "std::env::args",
            "std::fs::read",
            "std::fs::read_to_string",
            "std::fs::write",
            "std::io::stdin",
            "std::io::stdout",
        ],
    ),
    ("disallowed-macros", &["std::print", "std::println", "std::eprint", "std::eprintln"]),
];

fn metadata() -> Metadata {
    MetadataCommand::new()
        .manifest_path(root().join("Cargo.toml"))
        .no_deps()
        .exec()
        .expect("cargo metadata answers")
}

fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../..").canonicalize().expect("the workspace is there")
}

fn named(package: &Package, kinds: &[DependencyKind]) -> BTreeSet<String> {
    package.dependencies.iter().filter(|d| kinds.contains(&d.kind)).map(|d| d.name.clone()).collect()
}

#[test]
fn the_crates_are_those_of_the_picture() {
    let found: BTreeSet<String> = metadata().packages.iter().map(|p| p.name.to_string()).collect();
    let drawn: BTreeSet<String> = ARROWS.iter().map(|(name, ..)| (*name).to_owned()).collect();
    assert_eq!(found, drawn);
    for package in metadata().packages {
        let folder = package.manifest_path.parent().expect("a manifest has a folder");
        assert_eq!(folder.file_name(), Some(package.name.as_str()), "folder name = package name");
    }
}

#[test]
fn arrows_point_one_way() {
    let packages = metadata().packages;
    let ours: BTreeSet<&str> = ARROWS.iter().map(|(name, ..)| *name).collect();
    let mut wrong = Vec::new();
    for (name, may, tests_may) in ARROWS {
        let package = packages.iter().find(|p| p.name.as_str() == *name).expect("every crate is there");
        let in_code = named(package, &[DependencyKind::Normal, DependencyKind::Build]);
        let in_tests = named(package, &[DependencyKind::Development]);
        wrong.extend(
            in_code
                .iter()
                .filter(|d| ours.contains(d.as_str()) && !may.contains(&d.as_str()))
                .map(|d| format!("{name} -> {d}")),
        );
        wrong.extend(
            in_tests
                .iter()
                .filter(|d| ours.contains(d.as_str()))
                .filter(|d| !may.contains(&d.as_str()) && !tests_may.contains(&d.as_str()))
                .map(|d| format!("tests of {name} -> {d}")),
        );
    }
    assert_eq!(wrong, Vec::<String>::new());
}

#[test]
fn the_core_stands_on_nothing_of_others() {
    for package in metadata().packages {
        if matches!(package.name.as_str(), "statics" | "planner") {
            let foreign: Vec<String> = named(&package, &[DependencyKind::Normal, DependencyKind::Build])
                .into_iter()
                .filter(|d| d != "statics")
                .collect();
            assert_eq!(foreign, Vec::<String>::new(), "{}", package.name);
        }
    }
}

#[test]
fn libraries_are_named_where_they_belong() {
    let owners: BTreeMap<&str, &[&str]> = ONLY_HERE.iter().copied().collect();
    let mut wrong = Vec::new();
    for package in metadata().packages {
        let mut used = named(&package, &[DependencyKind::Normal, DependencyKind::Build]);
        if package.name.as_str() != "reference" {
            used.extend(named(&package, &[DependencyKind::Development]));
        }
        for library in used {
            if owners.get(library.as_str()).is_some_and(|o| !o.contains(&package.name.as_str())) {
                wrong.push(format!("{} names {library}", package.name));
            }
        }
    }
    assert_eq!(wrong, Vec::<String>::new());
}

#[test]
fn core_and_sheets_are_held_to_their_arguments() {
    for krate in ["statics", "planner", "sheets"] {
        let path = root().join("crates").join(krate).join("clippy.toml");
        let text = fs::read_to_string(&path).unwrap_or_else(|e| panic!("{}: {e}", path.display()));
        let table: toml::Table = text.parse().unwrap_or_else(|e| panic!("{}: {e}", path.display()));
        for (list, wanted) in BANNED {
            let found: BTreeSet<&str> = table
                .get(*list)
                .and_then(toml::Value::as_array)
                .unwrap_or_else(|| panic!("{krate}: no {list}"))
                .iter()
                .filter_map(|v| v.as_str().or_else(|| v.get("path").and_then(toml::Value::as_str)))
                .collect();
            for path in *wanted {
                assert!(found.contains(path), "{krate}/clippy.toml does not ban {path}");
            }
        }
    }
}

/// A ban in clippy.toml bites only where the lint is on and the crate takes the workspace's lints.
#[test]
fn the_bans_are_switched_on() {
    let text = fs::read_to_string(root().join("Cargo.toml")).expect("workspace manifest");
    let table: toml::Table = text.parse().expect("workspace manifest is TOML");
    let lints = &table["workspace"]["lints"];
    for lint in ["disallowed_methods", "disallowed_types", "disallowed_macros", "unwrap_used", "float_cmp"] {
        assert!(lints["clippy"].get(lint).is_some(), "clippy lint {lint} is off");
    }
    assert_eq!(lints["rust"]["unsafe_code"].as_str(), Some("forbid"));
    for (krate, ..) in ARROWS {
        let text =
            fs::read_to_string(root().join("crates").join(krate).join("Cargo.toml")).expect("manifest");
        let table: toml::Table = text.parse().expect("manifest is TOML");
        assert_eq!(table["lints"]["workspace"].as_bool(), Some(true), "{krate} leaves the lints");
    }
}

#[test]
fn no_file_names_a_machine() {
    let folders = ["work", "root", "home", "Users", "tmp"].map(|f| format!("/{f}/"));
    let mut found = Vec::new();
    let mut read = 0;
    for path in files(&root()) {
        let Ok(text) = fs::read_to_string(&path) else { continue };
        read += 1;
        for (number, line) in text.lines().enumerate() {
            if folders.iter().any(|f| line.contains(f.as_str())) {
                found.push(format!("{}:{}: {}", path.display(), number + 1, line.trim()));
            }
        }
    }
    assert!(read > 30, "only {read} files were read");
    assert_eq!(found, Vec::<String>::new());
}

fn files(folder: &Path) -> Vec<PathBuf> {
    let mut all = Vec::new();
    for entry in fs::read_dir(folder).expect("a folder can be listed").flatten() {
        let (path, name) = (entry.path(), entry.file_name());
        if path.is_dir() {
            if name != "target" && name != ".git" && name != "corpus" && name != "artifacts" {
                all.extend(files(&path));
            }
        } else if name != ".git" && path.extension().is_none_or(|e| e != "lock") {
            all.push(path);
        }
    }
    all.sort();
    all
}
