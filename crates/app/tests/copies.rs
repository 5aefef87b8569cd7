//! Backups and salvages as files: what stands beside them, or in their place, stays as it is.

#![cfg(unix)]
#![allow(clippy::unwrap_used, reason = "a test ends where it fails")]

mod shop;

use std::os::unix::fs::{PermissionsExt, symlink};
use std::path::Path;

use shop::{Shop, said};

fn names(shop: &Shop) -> Vec<String> {
    let entries = std::fs::read_dir(shop.folder.path()).unwrap();
    let mut names: Vec<_> = entries.map(|entry| entry.unwrap().file_name().into_string().unwrap()).collect();
    names.sort();
    names
}

fn mode(path: &Path) -> u32 {
    path.metadata().unwrap().permissions().mode() & 0o777
}

#[test]
fn a_book_of_any_name_stays() {
    let shop = Shop::ready();
    let at = |name: &str| shop.folder.path().join(name);
    let whole = std::fs::read(at("standfast.book")).unwrap();
    for (verb, name) in [("backup", "monday"), ("salvage", "left")] {
        let book = format!("{name}.part");
        std::fs::copy(at("standfast.book"), at(&book)).unwrap();
        shop.look(&["book", verb, name, "--book", &book]);
        shop.look(&["book", "verify", "--book", &book]);
        assert_eq!(std::fs::read(at(&book)).unwrap(), whole, "{verb}");
    }
    assert_eq!(names(&shop), ["left", "left.part", "monday", "monday.part", "standfast.book"]);
}

#[test]
fn what_another_put_beside_stays_and_only_the_owner_reads_the_copy() {
    let shop = Shop::ready();
    let at = |name: &str| shop.folder.path().join(name);
    for (n, verb) in ["backup", "salvage"].into_iter().enumerate() {
        let copy = format!("copy-{n}");
        std::fs::write(at("theirs"), "another's").unwrap();
        symlink("theirs", at(&format!("{copy}.part"))).unwrap();
        shop.look(&["book", verb, &copy]);
        assert_eq!(std::fs::read_to_string(at("theirs")).unwrap(), "another's");
        assert!(at(&format!("{copy}.part")).is_symlink());
        assert_eq!(mode(&at(&copy)), 0o600, "{verb}");
        let copy = format!("other-{n}");
        std::fs::write(at(&format!("{copy}.part")), "another's").unwrap();
        std::fs::set_permissions(at(&format!("{copy}.part")), PermissionsExt::from_mode(0o644)).unwrap();
        shop.look(&["book", verb, &copy]);
        assert_eq!(std::fs::read_to_string(at(&format!("{copy}.part"))).unwrap(), "another's");
        assert_eq!(mode(&at(&copy)), 0o600, "{verb}");
    }
    assert!(!names(&shop).iter().any(|name| name.ends_with("standfast-tmp")));
}

#[test]
fn no_copy_takes_the_place_of_the_books_own_files() {
    let shop = Shop::ready();
    let at = |name: &str| shop.folder.path().join(name);
    let whole = std::fs::read(at("standfast.book")).unwrap();
    symlink("standfast.book", at("link")).unwrap();
    symlink("standfast.book-wal", at("link-to-log")).unwrap();
    std::fs::create_dir(at("folder")).unwrap();
    let there = names(&shop);
    for verb in ["backup", "salvage"] {
        for place in ["standfast.book", "link"] {
            for end in ["", "-wal", "-shm", "-journal"] {
                for copy in [format!("standfast.book{end}"), format!("folder/../standfast.book{end}")] {
                    let said = shop.run("", &["book", verb, &copy, "--book", place]);
                    let told = said.err.contains("not overwritten");
                    assert!(said.code == 2 && told, "{verb} {copy}: {}{}", said.out, said.err);
                }
            }
            for copy in ["link", "link-to-log"] {
                let said = shop.run("", &["book", verb, copy, "--book", place]);
                assert!(said.code == 2 && said.err.contains("not overwritten"), "{}", said.err);
            }
            assert_eq!(names(&shop), there, "{verb} {place}");
            assert_eq!(std::fs::read(at("standfast.book")).unwrap(), whole);
        }
    }
}

/// Whoever comes later is refused, and what was confirmed is whole.
#[test]
fn of_backups_at_once_to_one_name_one_is_made() {
    let shop = Shop::ready();
    for n in 0..10 {
        shop.fine("t-ash", &["enter", "incident", &format!("{n} {}", "oil ".repeat(900))]);
    }
    for (n, verb) in [(0, "backup"), (1, "backup"), (2, "backup"), (3, "salvage")] {
        let copy = format!("monday-{n}");
        let begin = |_| {
            let mut command = shop.command("", &["book", verb, &copy]);
            command.stdout(std::process::Stdio::piped()).stderr(std::process::Stdio::piped());
            command.spawn().unwrap()
        };
        let all: Vec<_> = (0..4).map(begin).collect();
        let all: Vec<_> = all.into_iter().map(|child| said(child.wait_with_output().unwrap())).collect();
        let (made, refused): (Vec<_>, Vec<_>) = all.into_iter().partition(|said| said.code == 0);
        assert_eq!((made.len(), refused.len()), (1, 3), "{verb} {n}");
        for said in refused {
            assert!(said.code == 2 && said.err.contains("it is not overwritten"), "{}", said.err);
        }
        if verb == "backup" {
            let head = made[0].out.lines().last().unwrap().trim();
            let book = format!("{copy}.book");
            assert!(shop.look(&["book", "restore", &copy, "--book", &book]).contains(head));
        }
    }
    assert!(!names(&shop).iter().any(|name| name.ends_with("standfast-tmp")));
}

/// What a salvage lacks is told again by the book that is made of it, which is no full success.
#[test]
fn what_a_salvage_lost_is_told_again() {
    let shop = Shop::ready();
    let told = shop.look(&["book", "salvage", "all.jsonl"]);
    let lines = std::fs::read_to_string(shop.folder.path().join("all.jsonl")).unwrap();
    let restored = |name: &str, text: String| {
        std::fs::write(shop.folder.path().join(name), text).unwrap();
        let book = format!("{name}.book");
        let restore = ["book", "restore", name, "--book", &book, "--salvaged-by", "r-holt"];
        let said = said(shop.command("", &restore).env("STANDFAST_PIN", "2580").output().unwrap());
        (said.code, said.out, shop.look(&["book", "day", "--book", &book]))
    };
    let without = |what: &str| -> String {
        lines.lines().filter(|line| !line.contains(what)).map(|line| format!("{line}\n")).collect()
    };
    let (code, out, day) = restored("whole", lines.clone());
    assert!(code == 0 && !out.contains("LOST") && !day.contains("was given a PIN"), "{told}{out}{day}");
    let (code, out, day) = restored("no-pins", without("\"line\":\"pin\""));
    assert!(code == 1 && out.contains("LOST: the PINs of: l-fenn, m-quill, t-ash."), "{out}");
    assert!(out.contains("LOST: the PIN of r-holt. The new one was given to whoever typed it"), "{out}");
    assert!(day.contains("r-holt was given a PIN as the book was salvaged"), "{day}");
    assert!(day.contains("nobody proved to be r-holt"), "{day}");
    let end: u64 = lines.rsplit("\"end\":").next().unwrap().split(',').next().unwrap().parse().unwrap();
    let longer = lines.replace(&format!("\"end\":{end},"), &format!("\"end\":{},", end + 2));
    let (code, out, _) = restored("no-end", longer);
    let lost = format!("LOST: what stood after event {end}, up to event {}.", end + 2);
    assert!(code == 1 && out.contains(&lost), "{out}");
}
