//! Drawings and answers that cannot be written where they were asked for.

#![expect(clippy::unwrap_used, reason = "helpers of tests stop at what they did not expect")]

mod spoilt;

use std::process::Command;

use spoilt::{SHORT, folder, run};

#[test]
fn a_drawing_that_cannot_be_written() {
    let folder = folder();
    std::fs::create_dir(folder.path().join("folder")).unwrap();
    for (path, why) in [
        ("nowhere/plan.svg", "there is no such folder"),
        ("folder", "no name of a file"),
        (".", "no name of a file"),
    ] {
        let output = run(folder.path(), &[&SHORT[..], &["--svg", path]].concat());
        let said = String::from_utf8(output.stderr).unwrap();
        assert_eq!(output.status.code(), Some(2), "{path}: {said}");
        assert_eq!(output.stdout, b"", "{path}");
        assert!(said.contains(why) && said.contains(path) && said.contains("help: "), "{path}: {said}");
    }
    let left = std::fs::read_dir(folder.path()).unwrap().count();
    assert_eq!(left, 5, "nothing is left beside");
}

#[test]
fn a_drawing_never_replaces_what_is_no_drawing() {
    let folder = folder();
    std::fs::write(folder.path().join("notes.txt"), "my notes").unwrap();
    for file in ["lift.toml", "notes.txt"] {
        let before = std::fs::read_to_string(folder.path().join(file)).unwrap();
        let output = run(folder.path(), &[&SHORT[..], &["--svg", file]].concat());
        let said = String::from_utf8(output.stderr).unwrap();
        assert_eq!(output.status.code(), Some(2), "{said}");
        assert!(said.contains("is not overwritten"), "{said}");
        assert_eq!(std::fs::read_to_string(folder.path().join(file)).unwrap(), before);
    }
    // An older drawing is replaced.
    std::fs::write(folder.path().join("old.svg"), "<svg/>").unwrap();
    let output = run(folder.path(), &[&SHORT[..], &["--svg", "old.svg"]].concat());
    assert_ne!(output.status.code(), Some(2));
    assert!(std::fs::read_to_string(folder.path().join("old.svg")).unwrap().len() > 1000);
}

/// What a link points to is replaced, not the link.
#[cfg(unix)]
#[test]
fn a_drawing_through_a_link() {
    let folder = folder();
    let (link, real) = (folder.path().join("link.svg"), folder.path().join("real.svg"));
    std::fs::write(&real, "<svg/>").unwrap();
    std::os::unix::fs::symlink("real.svg", &link).unwrap();
    let output = run(folder.path(), &[&SHORT[..], &["--svg", "link.svg"]].concat());
    assert_eq!(output.status.code(), Some(0));
    assert!(link.symlink_metadata().unwrap().is_symlink());
    assert!(std::fs::read_to_string(real).unwrap().ends_with("</svg>\n"));
}

/// A pipe is written to, not replaced by a file.
#[cfg(unix)]
#[test]
fn a_drawing_into_a_pipe() {
    use std::os::unix::fs::FileTypeExt;
    let folder = folder();
    let pipe = folder.path().join("pipe");
    assert!(Command::new("mkfifo").arg(&pipe).status().unwrap().success());
    let reader = std::thread::spawn({
        let pipe = pipe.clone();
        move || std::fs::read_to_string(pipe).unwrap()
    });
    let output = run(folder.path(), &[&SHORT[..], &["--svg", "pipe"]].concat());
    assert_eq!(output.status.code(), Some(0), "{}", String::from_utf8_lossy(&output.stderr));
    assert!(reader.join().unwrap().ends_with("</svg>\n"));
    assert!(pipe.symlink_metadata().unwrap().file_type().is_fifo());
}

/// A reader that goes away is no error; a full disk is one.
#[cfg(target_os = "linux")]
#[test]
fn an_answer_that_cannot_be_printed() {
    use std::process::Stdio;
    let folder = folder();
    let start = |out: Stdio, arguments: &[&str]| {
        let mut command = Command::new(env!("CARGO_BIN_EXE_standfast"));
        command.current_dir(folder.path()).args(arguments).stdout(out).stderr(Stdio::piped()).spawn().unwrap()
    };
    for more in [&[][..], &["--json"], &["--show-working", "pad-rating"]] {
        let mut child = start(Stdio::piped(), &[&SHORT[..], more].concat());
        drop(child.stdout.take());
        let output = child.wait_with_output().unwrap();
        assert_eq!(String::from_utf8_lossy(&output.stderr), "");
        assert_eq!(output.status.code(), Some(0));

        let full = std::fs::OpenOptions::new().write(true).open("/dev/full").unwrap();
        let output = start(full.into(), &[&SHORT[..], more].concat()).wait_with_output().unwrap();
        let said = String::from_utf8(output.stderr).unwrap();
        assert_eq!(output.status.code(), Some(2), "{said}");
        assert!(said.contains("standard output") && said.contains("help: "), "{said}");
    }
}

/// A limit of the size of files ends the writing, not the program, and nothing is left beside.
#[cfg(target_os = "linux")]
#[test]
fn a_drawing_larger_than_a_file_may_be() {
    let folder = folder();
    let mut command = Command::new("bash");
    command.current_dir(folder.path()).arg("-c").arg("ulimit -f 8; exec \"$0\" \"$@\"");
    command.arg(env!("CARGO_BIN_EXE_standfast")).args(SHORT).args(["--svg", "plan.svg"]);
    let output = command.output().unwrap();
    let said = String::from_utf8(output.stderr).unwrap();
    assert_eq!(output.status.code(), Some(2), "{said}");
    assert!(said.contains("the drawing cannot be written"), "{said}");
    assert_eq!(std::fs::read_dir(folder.path()).unwrap().count(), 4, "nothing is left beside");
}
