//! Writing: to standard output and error, and whole files or none.

use std::fs;
use std::io::{self, Write};
use std::path::{Path, PathBuf};

/// Prints; a reader that has gone away (`| head`) is no error.
pub(crate) fn out(text: &str) {
    let _ = io::stdout().lock().write_all(text.as_bytes());
}

/// Prints to standard error.
pub(crate) fn err(text: &str) {
    let _ = io::stderr().lock().write_all(text.as_bytes());
}

/// Replaces a file whole: written beside, then renamed.
pub(crate) fn whole(path: &Path, text: &str) -> io::Result<()> {
    let beside = beside(path, text)?;
    fs::rename(&beside, path).inspect_err(|_| discard(&beside))
}

/// Writes a file that must not exist yet.
pub(crate) fn fresh(path: &Path, text: &str) -> io::Result<()> {
    if path.symlink_metadata().is_ok() {
        return Err(io::ErrorKind::AlreadyExists.into());
    }
    let beside = beside(path, text)?;
    // A link refuses to replace what another process made meanwhile; a rename would not.
    let linked = match fs::hard_link(&beside, path) {
        Err(fault)
            if fault.kind() == io::ErrorKind::Unsupported
                || fault.kind() == io::ErrorKind::PermissionDenied =>
        {
            return fs::rename(&beside, path).inspect_err(|_| discard(&beside));
        }
        linked => linked,
    };
    discard(&beside);
    linked
}

fn beside(path: &Path, text: &str) -> io::Result<PathBuf> {
    let name = path.file_name().ok_or(io::ErrorKind::InvalidInput)?;
    let mut part = std::ffi::OsString::from(".");
    part.push(name);
    part.push(format!(".{}.standfast-tmp", std::process::id()));
    let beside = path.with_file_name(part);
    let written = fs::File::create(&beside).and_then(|mut file| {
        file.write_all(text.as_bytes())?;
        file.sync_all()
    });
    match written {
        Ok(()) => Ok(beside),
        Err(fault) => {
            discard(&beside);
            Err(fault)
        }
    }
}

fn discard(path: &Path) {
    let _ = fs::remove_file(path);
}

/// Prints as JSON.
pub(crate) fn json(value: &impl serde::Serialize) {
    match serde_json::to_string_pretty(value) {
        Ok(text) => out(&(text + "\n")),
        Err(fault) => err(&format!("error: the answer cannot be written as JSON: {fault}\n")),
    }
}
