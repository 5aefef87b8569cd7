//! Writing: to standard output and error, and whole files or none.

use std::cell::Cell;
use std::collections::BTreeSet;
use std::fmt;
use std::fs;
use std::io::{self, Write};
use std::path::{Path, PathBuf};
use std::sync::{Mutex, MutexGuard, PoisonError};

use records::is_hidden;

use crate::cli::UNREADABLE;

thread_local! {
    static SILENT: Cell<bool> = const { Cell::new(false) };
}

/// Runs something that prints, without printing.
pub(crate) fn silently<T>(run: impl FnOnce() -> T) -> T {
    SILENT.set(true);
    let done = run();
    SILENT.set(false);
    done
}

/// Whether nothing is printed now.
pub(crate) fn is_silent() -> bool {
    SILENT.get()
}

/// Prints, and gives the exit status: the one asked for, or that of what cannot be read if not all could
/// be printed. A reader that has gone away (`| head`) is no error.
pub(crate) fn out(text: &str, code: u8) -> u8 {
    if SILENT.get() {
        return code;
    }
    let mut out = io::stdout().lock();
    match out.write_all(text.as_bytes()).and_then(|()| out.flush()) {
        Err(fault) if fault.kind() != io::ErrorKind::BrokenPipe => {
            err(&format!(
                "error: standard output: the answer cannot be written: {fault}\n  help: check the room that is left where it goes\n"
            ));
            UNREADABLE
        }
        _ => code,
    }
}

/// Prints to standard error.
pub(crate) fn err(text: &str) {
    if SILENT.get() {
        return;
    }
    let _ = io::stderr().lock().write_all(text.as_bytes());
}

/// Replaces a file whole: written beside, then renamed. What is no file, such as a device or a pipe, is
/// written to and stays what it is; a link keeps pointing where it does.
pub(crate) fn whole(path: &Path, content: impl AsRef<[u8]>) -> io::Result<()> {
    let mut growing = Growing::begin(path)?;
    growing.write_all(content.as_ref())?;
    growing.finish()
}

/// Where files grow now.
static GROWING: Mutex<BTreeSet<PathBuf>> = Mutex::new(BTreeSet::new());

fn growing() -> MutexGuard<'static, BTreeSet<PathBuf>> {
    GROWING.lock().unwrap_or_else(PoisonError::into_inner)
}

/// What becomes of a file that stands in the place already.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum There {
    Replaced,
    /// There is none, and one that another program made meanwhile stays.
    Kept,
}

/// Removes what has not taken its place. As long as what it gives is held, nothing grows or takes its place.
#[cfg(unix)]
pub(crate) fn discard_growing() -> impl Sized {
    let growing = growing();
    growing.iter().for_each(|beside| discard(beside));
    growing
}

/// A file that is written bit by bit, and takes its place only as a whole, as [`whole`] says. Dropped before its end it
/// leaves nothing.
#[derive(Debug)]
pub(crate) struct Growing {
    file: io::BufWriter<fs::File>,
    /// Where it grows, and the place that it takes; `None` = it is written to where it is.
    places: Option<[PathBuf; 2]>,
    there: There,
}

/// Read by all whom the system lets, as usual, or by its owner alone.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Readers {
    Usual,
    Owner,
}

impl Growing {
    pub(crate) fn begin(path: &Path) -> io::Result<Self> {
        let path = match fs::metadata(path) {
            Ok(there) if there.is_dir() => return Err(io::ErrorKind::IsADirectory.into()),
            Ok(there) if !there.is_file() => {
                let file = fs::OpenOptions::new().write(true).open(path)?;
                return Ok(Self { file: io::BufWriter::new(file), places: None, there: There::Replaced });
            }
            Ok(_) => path.canonicalize()?,
            Err(_) => path.to_owned(),
        };
        Self::beside(path, There::Replaced, Readers::Usual)
    }

    /// One that must not exist yet, nor when it takes its place.
    pub(crate) fn begin_new(path: &Path, readers: Readers) -> io::Result<Self> {
        if path.symlink_metadata().is_ok() {
            return Err(io::ErrorKind::AlreadyExists.into());
        }
        Self::beside(path.to_owned(), There::Kept, readers)
    }

    fn beside(path: PathBuf, there: There, readers: Readers) -> io::Result<Self> {
        #[cfg(unix)]
        outlive_size_limits();
        let mut growing = growing();
        let beside = beside_of(&path)?;
        let file = io::BufWriter::new(made(&beside, readers)?);
        growing.insert(beside.clone());
        Ok(Self { file, places: Some([beside, path]), there })
    }

    pub(crate) fn finish(mut self) -> io::Result<()> {
        self.file.flush()?;
        let Some([beside, path]) = &self.places else { return Ok(()) };
        self.file.get_ref().sync_all()?;
        let mut growing = growing();
        match self.there {
            There::Replaced => fs::rename(beside, path)?,
            There::Kept => name(beside, path)?,
        }
        growing.remove(beside);
        drop(growing);
        let flushed = flush_folder(path);
        self.places = None;
        flushed
    }
}

/// Gives a file a name that nobody else has taken: a link replaces nothing, as a rename would.
fn name(beside: &Path, path: &Path) -> io::Result<()> {
    match fs::hard_link(beside, path) {
        Ok(()) => discard(beside),
        // Where there are no links the name is taken first, by an empty file.
        Err(fault)
            if matches!(fault.kind(), io::ErrorKind::Unsupported | io::ErrorKind::PermissionDenied) =>
        {
            made(path, Readers::Owner)?;
            fs::rename(beside, path).inspect_err(|_| discard(path))?;
        }
        Err(fault) => return Err(fault),
    }
    Ok(())
}

/// Its name is on the disk as well. A folder that may not be read, or that its system does not flush, is left as it is.
fn flush_folder(path: &Path) -> io::Result<()> {
    let folder = path.parent().filter(|folder| !folder.as_os_str().is_empty()).unwrap_or(Path::new("."));
    match fs::File::open(folder).map(|folder| folder.sync_all()) {
        Ok(Err(fault)) if fault.kind() != io::ErrorKind::InvalidInput => Err(fault),
        _ => Ok(()),
    }
}

/// A file that nobody made before.
fn made(path: &Path, readers: Readers) -> io::Result<fs::File> {
    let mut options = fs::OpenOptions::new();
    options.write(true).create_new(true);
    #[cfg(unix)]
    if readers == Readers::Owner {
        std::os::unix::fs::OpenOptionsExt::mode(&mut options, 0o600);
    }
    #[cfg(not(unix))]
    let _ = readers;
    options.open(path)
}

/// Where a file is or would be, whatever its name says.
pub(crate) fn written_at(path: &Path) -> PathBuf {
    let folder = path.parent().filter(|folder| !folder.as_os_str().is_empty()).unwrap_or(Path::new("."));
    let beside = || Some(folder.canonicalize().ok()?.join(path.file_name()?));
    path.canonicalize().ok().or_else(beside).unwrap_or_else(|| path.to_owned())
}

impl Write for Growing {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        self.file.write(bytes)
    }

    fn flush(&mut self) -> io::Result<()> {
        self.file.flush()
    }
}

impl Drop for Growing {
    fn drop(&mut self) {
        if let Some([beside, _]) = &self.places {
            let mut growing = growing();
            discard(beside);
            growing.remove(beside);
        }
    }
}

/// Makes a file that only its owner may read; what is there already is left as it is.
pub(crate) fn private(path: &Path, text: &str) -> io::Result<()> {
    made(path, Readers::Owner)?.write_all(text.as_bytes())
}

/// Why something cannot be written, as one sentence with its cure.
pub(crate) fn why_not(fault: &io::Error) -> String {
    let (what, cure) = match fault.kind() {
        io::ErrorKind::NotFound => {
            ("there is no such folder".into(), "make the folder, or give another name")
        }
        io::ErrorKind::PermissionDenied => {
            ("not allowed to write there".into(), "give a name in a folder that you may write to")
        }
        io::ErrorKind::ReadOnlyFilesystem => {
            ("nothing can be written there".into(), "give a name in a folder that you may write to")
        }
        io::ErrorKind::IsADirectory | io::ErrorKind::InvalidInput | io::ErrorKind::NotADirectory => {
            ("it is no name of a file".into(), "give the name of a file, not of a folder")
        }
        _ => (fault.to_string(), "check that the folder exists, may be written to and has room"),
    };
    format!("{what}\n  help: {cure}\n")
}

/// Writes a file that must not exist yet.
pub(crate) fn fresh(path: &Path, text: &str) -> io::Result<()> {
    let mut growing = Growing::begin_new(path, Readers::Usual)?;
    growing.write_all(text.as_bytes())?;
    growing.finish()
}

/// What a file or folder is called until it takes its place: a name that nothing has.
pub(crate) fn beside_of(path: &Path) -> io::Result<PathBuf> {
    let name = path.file_name().ok_or(io::ErrorKind::InvalidInput)?;
    let numbered = |n: u32| {
        let mut part = std::ffi::OsString::from(".");
        part.push(name);
        part.push(format!(".{}-{n}.standfast-tmp", std::process::id()));
        path.with_file_name(part)
    };
    let free = (0..1000).map(numbered).find(|beside| beside.symlink_metadata().is_err());
    free.ok_or_else(|| io::ErrorKind::AlreadyExists.into())
}

/// Makes a limit of the size of files (`ulimit -f`) an error of the write. Its signal would end the program, and leave
/// behind what it had begun to write.
#[cfg(unix)]
pub(crate) fn outlive_size_limits() {
    use tokio::signal::unix::{SignalKind, signal};
    /// SIGXFSZ; on the systems where it has another number nothing changes.
    const TOO_LARGE: i32 = 25;
    // Once somebody listens the signal ends nothing any more; nobody need go on listening.
    if tokio::runtime::Handle::try_current().is_ok() {
        drop(signal(SignalKind::from_raw(TOO_LARGE)));
    } else if let Ok(runtime) = tokio::runtime::Builder::new_current_thread().enable_io().build() {
        let _inside = runtime.enter();
        drop(signal(SignalKind::from_raw(TOO_LARGE)));
    }
}

fn discard(path: &Path) {
    let _ = fs::remove_file(path);
}

/// Only texts of JSON hold signs that are not seen: written as numbers there, they reach no terminal.
fn seen(json: &str) -> String {
    let mut shown = String::with_capacity(json.len());
    for sign in json.chars() {
        if sign != '\n' && is_hidden(sign) {
            for unit in sign.encode_utf16(&mut [0; 2]) {
                let _ = fmt::Write::write_fmt(&mut shown, format_args!("\\u{unit:04x}"));
            }
        } else {
            shown.push(sign);
        }
    }
    shown
}

/// Prints as JSON; gives the exit status as [`out`].
pub(crate) fn json(value: &impl serde::Serialize, code: u8) -> u8 {
    match serde_json::to_string_pretty(value) {
        Ok(text) => out(&(seen(&text) + "\n"), code),
        Err(fault) => {
            err(&format!("error: the answer cannot be written as JSON: {fault}\n"));
            UNREADABLE
        }
    }
}
