//! A PIN asked for at a terminal of the program's own.

#![cfg(target_os = "linux")]
#![allow(clippy::unwrap_used, clippy::panic, reason = "a test ends where it fails")]

mod shop;

use std::fs::File;
use std::io::{Read, Write};
use std::os::unix::process::ExitStatusExt;
use std::process::{Command, ExitStatus};

use rustix::termios::{LocalModes, tcgetattr};
use shop::Shop;

/// What a terminal shows and does with keys as it comes.
const USUAL: LocalModes = LocalModes::ECHO.union(LocalModes::ICANON).union(LocalModes::ISIG);

fn shown(terminal: &File) -> LocalModes {
    tcgetattr(terminal).unwrap().local_modes & USUAL
}

/// Types that when the PIN is asked for; how it ended, and all that the screen showed.
fn typed(keys: &str) -> (ExitStatus, String) {
    while_asked(keys, |keyboard, _| keyboard.write_all(keys.as_bytes()).unwrap())
}

/// The same after something else is done meanwhile, told the process.
fn while_asked(said: &str, done: impl FnOnce(&mut File, u32)) -> (ExitStatus, String) {
    let shop = Shop::ready();
    let (mut keyboard, terminal, path) = shop::terminal();
    assert_eq!(shown(&terminal), USUAL);
    let asked = shop.command("", &["enter", "incident", "a wrench fell", "--as", "r-holt"]);
    // What leads a session and opens a terminal has that for its own; as `login` does it, so that a shell gives nothing back.
    // Ctrl-C ends it even where these tests were begun by something that is not ended so.
    let mut command = Command::new("setsid");
    command
        .args(["env", "--default-signal=INT", "sh", "-c", "exec <>\"$0\" >&0 2>&0 \"$@\"", &path])
        .arg(asked.get_program());
    command.args(asked.get_args()).current_dir(shop.folder.path());
    for (name, value) in asked.get_envs() {
        match value {
            Some(value) => command.env(name, value),
            None => command.env_remove(name),
        };
    }
    let mut child = command.spawn().unwrap();
    let mut screen = String::new();
    let mut byte = [0];
    while !screen.ends_with("PIN of r-holt: ") {
        keyboard.read_exact(&mut byte).unwrap();
        screen.push(char::from(byte[0]));
    }
    assert_eq!(shown(&terminal), LocalModes::empty(), "what is typed is not shown");
    done(&mut keyboard, child.id());
    let ended = child.wait().unwrap();
    assert_eq!(shown(&terminal), USUAL, "after {said:?}, and {ended}");
    // A mark behind all that it said, as a terminal in use has no end.
    (&terminal).write_all(b"\0").unwrap();
    loop {
        keyboard.read_exact(&mut byte).unwrap();
        match byte[0] {
            0 => return (ended, screen),
            sign => screen.push(char::from(sign)),
        }
    }
}

#[test]
fn a_terminal_shows_again_what_is_typed_however_the_pin_prompt_ends() {
    let (ended, screen) = typed("25\x03");
    assert_eq!(ended.signal(), Some(2), "Ctrl-C ends it as it ends any program: {screen}");
    assert_eq!(screen, "PIN of r-holt: \r\n");
    let (ended, screen) = typed("2581\x7f0\r");
    assert_eq!(ended.code(), Some(0), "{screen}");
    assert!(screen.starts_with("PIN of r-holt: \r\n") && screen.contains("a wrench fell"), "{screen}");
    assert!(!screen.contains("258"), "{screen}");
    let (ended, screen) = typed("1111\r");
    assert_eq!(ended.code(), Some(1), "{screen}");
}

#[test]
fn a_signal_that_ends_it_leaves_the_terminal_as_it_was() {
    // What these tests were started to ignore (`nohup`) the program goes on ignoring.
    let status = std::fs::read_to_string("/proc/self/status").unwrap_or_default();
    let mask = status.lines().find_map(|line| line.strip_prefix("SigIgn:")).unwrap_or("0").trim();
    let ignored = u64::from_str_radix(mask, 16).unwrap();
    for (name, number) in [("TERM", 15), ("HUP", 1), ("INT", 2)] {
        if ignored >> (number - 1) & 1 == 1 {
            continue;
        }
        let (ended, screen) = while_asked(name, |_, process| {
            let sent = Command::new("kill").args(["-s", name, &process.to_string()]).status().unwrap();
            assert!(sent.success());
        });
        assert_eq!(ended.signal(), Some(number), "{screen}");
    }
}
