//! The path of a book's file, made once of what it was called: SQLite and everything that looks after the file go by it.

use std::ffi::OsStr;
use std::fs;
use std::path::{Path, PathBuf, is_separator};

use crate::failure::Failure;

/// Links that are followed one after the other, as systems do.
const MOST_LINKS: usize = 40;

/// The longest that SQLite writes behind the path of a file for what it keeps beside it.
const LONGEST_END: usize = "-journal".len();

/// The longest path that SQLite opens. Source: its source code, `MAX_PATHNAME` of `os_unix.c`.
const MOST_BYTES: usize = 512;

/// The longest name of a file. Source: Linux, `NAME_MAX` of `limits.h`; other file systems take as much.
const MOST_BYTES_OF_NAME: usize = 255;

/// Where a book's file is, or would be.
#[derive(Clone, Debug)]
pub(crate) struct BookPath {
    /// As it was called, from the root on: links on the way may lead elsewhere later.
    pub(super) called: PathBuf,
    /// Where that leads, whether a file is there or not: beside it SQLite keeps its log.
    pub(crate) path: PathBuf,
    /// The same, in the letters that SQLite is given it in.
    text: String,
}

impl BookPath {
    pub(crate) fn of(place: &str) -> Result<Self, Failure> {
        let refused = |why| Failure::NoFileName(place.to_owned(), why);
        if place.is_empty() {
            return Err(refused("it is empty"));
        }
        // What stands for a sign that could not be read would name another file.
        if place.contains(char::REPLACEMENT_CHARACTER) {
            return Err(refused("part of it is no UTF-8"));
        }
        // A path leaves out what a folder's name may end with.
        if place.rsplit(is_separator).next().is_some_and(|last| ["", ".", ".."].contains(&last)) {
            return Err(refused("it ends like the name of a folder"));
        }
        let called = std::path::absolute(place).map_err(|_| refused("this folder is gone"))?;
        let path = led_to(&called);
        let text = path.to_str().ok_or_else(|| refused("a folder on the way has a name that is no UTF-8"))?;
        if text.len() + LONGEST_END > MOST_BYTES {
            return Err(refused("with the folders on the way it is too long"));
        }
        if path.file_name().is_some_and(|name| name.len() + LONGEST_END > MOST_BYTES_OF_NAME) {
            return Err(refused("it is too long"));
        }
        Ok(Self { text: text.to_owned(), called, path })
    }

    /// As an address, of which nothing but the path itself is read: every sign that could mean something is written by its number.
    pub(super) fn address(&self, how: &str) -> String {
        let mut address = "sqlite:".to_owned();
        for byte in self.text.bytes() {
            match byte {
                b'a'..=b'z' | b'A'..=b'Z' | b'0'..=b'9' => address.push(char::from(byte)),
                other => address += &format!("%{other:02X}"),
            }
        }
        address + "?" + how
    }
}

fn led_to(called: &Path) -> PathBuf {
    let mut path = called.to_owned();
    for _ in 0..MOST_LINKS {
        let Ok(to) = fs::read_link(&path) else { break };
        path = path.parent().map_or_else(|| to.clone(), |folder| folder.join(&to));
    }
    let folder = path.parent().and_then(|folder| fs::canonicalize(folder).ok());
    let name: Option<&OsStr> = path.file_name();
    folder.zip(name).map_or_else(|| path.clone(), |(folder, name)| folder.join(name))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_address_holds_the_path_alone() {
        let path = BookPath::of("/nowhere/a b?c#d%41\t[é].book").expect("a path");
        assert_eq!(
            path.address("mode=rw"),
            "sqlite:%2Fnowhere%2Fa%20b%3Fc%23d%2541%09%5B%C3%A9%5D%2Ebook?mode=rw"
        );
    }
}
