//! A book under another name, in another place, or read on another machine.

#![cfg(unix)]
#![allow(clippy::unwrap_used, clippy::panic, reason = "a test ends where it fails")]

mod shop;

use std::process::Command;

use shop::{Shop, said};

/// The time zone of a machine whose data say something else: one offset for ever. RFC 8536, version 2.
fn always(footer: &str, seconds: i32) -> Vec<u8> {
    let mut block = b"TZif2".to_vec();
    block.extend([0; 15]);
    // Counts: of leap seconds and transitions none, one type, four letters of its name.
    block.extend([0_u32, 0, 0, 0, 1, 4].iter().flat_map(|count| count.to_be_bytes()));
    block.extend(seconds.to_be_bytes());
    block.extend([0, 0]);
    block.extend(b"OWN\0");
    [block.clone(), block, format!("\n{footer}\n").into_bytes()].concat()
}

/// Days are those of the zone that the program brings: a machine with other data tells the same book.
#[test]
fn a_book_is_the_same_on_a_machine_with_other_zones() {
    let shop = Shop::ready();
    shop.lead(&["enter", "zone", "Europe/Berlin"]);
    shop.fine("t-ash", &["raise", "start", "--lift", "north-bay", "--vehicle", "hatchback"]);
    let looks = [["book", "show"], ["book", "day"], ["book", "verify"]];
    let here = looks.map(|look| shop.look(&look));
    assert!(here[2].contains("as it was written"), "{}", here[2]);
    // Of these two one is always on another day than Berlin.
    for (footer, hours) in [("<-12>12", -12), ("<+14>-14", 14)] {
        let zones = tempfile::tempdir().unwrap();
        std::fs::create_dir(zones.path().join("Europe")).unwrap();
        std::fs::write(zones.path().join("Europe/Berlin"), always(footer, hours * 3600)).unwrap();
        let there = looks.map(|look| {
            let output = shop.command("", &look).env("TZDIR", zones.path()).output();
            let said = said(output.unwrap());
            said.out + &said.err
        });
        assert_eq!(there, here, "{footer}");
    }
}

/// A shell that may mount, in a space of its own: what it mounts is gone when it ends.
#[cfg(target_os = "linux")]
fn mounting(shop: &Shop, script: &str) -> Option<shop::Said> {
    let unshare = |how: &str, script: &str| {
        let mut command = Command::new("unshare");
        command.args([how, "sh", "-c", script]).current_dir(shop.folder.path());
        command.env_remove("STANDFAST_BOOK").env("PROGRAM", env!("CARGO_BIN_EXE_standfast")).output().ok()
    };
    let probe = "mkdir -p m && mount --bind m m";
    let way =
        ["-m", "-Urm"].into_iter().find(|way| unshare(way, probe).is_some_and(|o| o.status.success()))?;
    Some(said(unshare(way, script).unwrap()))
}

/// Beside the second path SQLite would keep a second log, and the file has one link all the same.
#[cfg(target_os = "linux")]
#[test]
fn a_file_that_is_mounted_by_itself_is_refused() {
    let shop = Shop::ready();
    let mounted = |script: &str| mounting(&shop, &format!("set -e\n{script}"));
    let by_file = "touch b.book\nmount --bind standfast.book b.book\n";
    let Some(by_itself) = mounted(&format!("{by_file}\"$PROGRAM\" book show --book b.book")) else {
        eprintln!("skipped: this system lets nobody mount here, neither root nor in a user's own space");
        return;
    };
    assert_eq!(by_itself.code, 2, "{}", by_itself.out);
    for words in ["mounted by itself", "Nothing was read or written", "mount the folder"] {
        assert!(by_itself.err.contains(words), "{}", by_itself.err);
    }
    for verb in ["verify", "day"] {
        let refused =
            mounted(&format!("{by_file}ln -s b.book {verb}\n\"$PROGRAM\" book {verb} --book {verb}"));
        let refused = refused.unwrap();
        assert!(refused.code == 2 && refused.err.contains("mounted by itself"), "{}", refused.err);
    }
    // By the name that it has in its folder, and in a folder that is mounted, it is one book with one log.
    let by_folder = "mkdir f\nmount --bind . f\n";
    for place in ["standfast.book", "f/standfast.book"] {
        let fine = mounted(&format!("rm -rf f\n{by_folder}\"$PROGRAM\" book verify --book {place}")).unwrap();
        assert!(fine.code == 0 && fine.out.contains("as it was written"), "{place}: {}", fine.err);
    }
}
