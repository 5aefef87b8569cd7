//! Files that are hardly text, or text of another system.

#![expect(clippy::unwrap_used, reason = "helpers of tests stop at what they did not expect")]

mod spoilt;

use spoilt::{folder, run};

#[test]
fn what_is_no_text_at_all() {
    let folder = folder();
    let cases: [(&str, Vec<u8>, &str); 4] = [
        ("noise.toml", noise(10 * 1024 * 1024), "larger than 4 MB"),
        ("binary.toml", noise(64 * 1024), "not UTF-8"),
        ("empty.toml", Vec::new(), "does not say what it is"),
        ("deep.json", "[".repeat(2_000_000).into_bytes(), "not JSON"),
    ];
    for (name, bytes, why) in cases {
        std::fs::write(folder.path().join(name), bytes).unwrap();
        let output = run(folder.path(), &["check", name]);
        let said = String::from_utf8(output.stderr).unwrap();
        assert_eq!(output.status.code(), Some(2), "{name}");
        assert!(said.contains(name) && said.contains(why) && said.contains("help: "), "{name}: {said}");
        assert!(said.len() < 100_000, "{name}");
    }
    for (name, why) in [("missing.toml", "there is no such file"), (".", "folder")] {
        let output = run(folder.path(), &["check", name]);
        let said = String::from_utf8(output.stderr).unwrap();
        assert_eq!(output.status.code(), Some(2), "{name}");
        assert!(said.contains(name) && said.contains(why) && said.contains("help: "), "{name}: {said}");
    }
}

/// Marks and line ends of other systems are no problem of the reader's, and lines are counted right.
#[test]
fn byte_order_marks_and_other_line_ends() {
    let folder = folder();
    let text = std::fs::read_to_string(folder.path().join("lift.toml")).unwrap();
    for (name, text) in [
        ("bom.toml", format!("\u{feff}{text}")),
        ("crlf.toml", text.replace('\n', "\r\n")),
        ("both.toml", format!("\u{feff}{}", text.replace('\n', "\r\n"))),
    ] {
        std::fs::write(folder.path().join(name), &text).unwrap();
        let output = run(folder.path(), &["check", name]);
        assert_eq!(output.status.code(), Some(0), "{name}: {}", String::from_utf8_lossy(&output.stderr));
        let line = 1 + text.lines().position(|l| l.starts_with("rated")).unwrap();
        std::fs::write(folder.path().join(name), text.replace("3200 kg", "3200")).unwrap();
        let output = run(folder.path(), &["check", name]);
        let said = String::from_utf8(output.stderr).unwrap();
        assert_eq!(output.status.code(), Some(2), "{name}");
        assert!(said.contains(&format!("{name}:{line}:9:")), "{name}: {said}");
    }
}

/// Legal UTF-8 noise just below the limit must not take long either.
#[test]
fn noise_in_letters() {
    let folder = folder();
    let letters: Vec<u8> =
        noise(3 * 1024 * 1024).into_iter().map(|b| b"ab=[]{}\"'\n.,#1 "[usize::from(b % 15)]).collect();
    for name in ["letters.toml", "letters.json"] {
        std::fs::write(folder.path().join(name), &letters).unwrap();
        let output = run(folder.path(), &["check", name]);
        assert_eq!(output.status.code(), Some(2), "{name}");
        assert!(String::from_utf8_lossy(&output.stderr).contains(&format!("error: {name}:")), "{name}");
    }
}

/// The bytes of a linear congruential generator (Knuth's MMIX constants), the same every time.
fn noise(size: usize) -> Vec<u8> {
    let mut state = 7u64;
    (0..size)
        .map(|_| {
            state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
            state.to_be_bytes()[0]
        })
        .collect()
}
