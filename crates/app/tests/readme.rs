//! The README's commands run, and its excerpt is what the program prints.

#![cfg(unix)]
#![expect(clippy::unwrap_used, reason = "helpers of tests stop at what they did not expect")]

use std::path::{Path, PathBuf};
use std::process::{Command, Output};

fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../..").canonicalize().unwrap()
}

fn readme() -> String {
    std::fs::read_to_string(root().join("README.md")).unwrap()
}

/// Runs a line as a shell does, in a folder with the demonstration data, `standfast` on the path.
fn shell(line: &str, folder: &Path) -> Output {
    let bin = Path::new(env!("CARGO_BIN_EXE_standfast")).parent().unwrap();
    let path = format!("{}:{}", bin.display(), std::env::var("PATH").unwrap());
    Command::new("sh")
        .args(["-c", line])
        .current_dir(folder)
        .env("PATH", path)
        .env("STANDFAST_PIN", "2580")
        .env("STANDFAST_NEW_PIN", "2580")
        .output()
        .unwrap()
}

fn folder() -> tempfile::TempDir {
    let folder = tempfile::tempdir().unwrap();
    std::os::unix::fs::symlink(root().join("demo"), folder.path().join("demo")).unwrap();
    folder
}

#[test]
fn every_example_runs() {
    let folder = folder();
    let text = readme();
    let cells = text.lines().filter(|l| l.starts_with('|')).filter_map(|l| l.rsplit('`').nth(1));
    let examples: Vec<&str> = cells.filter(|c| c.starts_with("standfast ")).collect();
    for verb in ["plan", "survey", "solve", "check", "schema", "new", "weigh", "book", "enter", "raise"] {
        assert!(examples.iter().any(|e| e.split(' ').nth(1) == Some(verb)), "no example of {verb}");
    }
    for example in examples {
        let output = shell(example, folder.path());
        assert_eq!(output.status.code(), Some(0), "{example}: {}", String::from_utf8_lossy(&output.stderr));
        assert!(!output.stdout.is_empty(), "{example}");
    }
}

/// Settings of the arms may move by a millimetre from machine to machine: what stands above them may not.
#[test]
fn the_excerpt_is_what_is_printed() {
    let text = readme();
    let command = text.lines().find_map(|l| l.trim().strip_prefix("cargo run --release -- ")).unwrap();
    let output = shell(&format!("standfast {command}"), folder().path());
    let printed = String::from_utf8(output.stdout).unwrap();
    let shown = text.split("## What it prints").nth(1).unwrap().split("## Verbs").next().unwrap();
    let shown = shown.lines().filter_map(|l| l.strip_prefix("    "));
    let above: Vec<&str> = shown.take_while(|l| !l.starts_with("Front left")).collect();
    assert!(above.len() >= 6, "{above:?}");
    for line in above {
        assert!(printed.lines().any(|l| l == line), "not printed: {line}");
    }
}

/// From an empty folder to a raise that is under way, as written.
#[test]
fn the_commands_of_the_book_run_one_after_the_other() {
    let text = readme();
    let section = text.split("\n## The book\n").nth(1).unwrap().split("\n## ").next().unwrap();
    let script: Vec<&str> = section.lines().filter_map(|l| l.strip_prefix("    ")).collect();
    assert!(script.len() > 12, "{script:?}");
    // The examiner types a PIN of their own, and that from then on.
    const TYPED: &str = r#"set -e
        standfast() {
            case "$*" in
                *"pin m-quill --as m-quill") STANDFAST_NEW_PIN=7391 command standfast "$@" ;;
                *"--as m-quill") STANDFAST_PIN=7391 command standfast "$@" ;;
                *) command standfast "$@" ;;
            esac
        }"#;
    let output = shell(&format!("{TYPED}\n{}", script.join("\n")), folder().path());
    let said = String::from_utf8(output.stdout).unwrap();
    assert!(output.status.success(), "{said}{}", String::from_utf8_lossy(&output.stderr));
    for words in
        ["NEXT  pads-seated", "On it: raise 1, hatchback", "1 plan, computed again, gives the same bytes."]
    {
        assert!(said.contains(words), "{words}: {said}");
    }
}
