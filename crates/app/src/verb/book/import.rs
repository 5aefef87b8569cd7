//! Lifts, vehicles, jobs and limits in: from their own files, or from a table with a row for each.

use std::path::{Component, Path};

use records::Command;

use crate::cli::{FINE, UNREADABLE};
use crate::desk::{self, Before, Desk, Done, Ended};
use crate::document::Document;
use crate::input::Source;
use crate::input::problem::render_unreadable;
use crate::intake::{self, Made, Names, Placed};
use crate::verb::raise::{AS_IN_FORCE, is_in_force};
use crate::write;

/// What came in, and what did not.
#[derive(Default)]
struct Count {
    entered: usize,
    skipped: usize,
}

pub(super) async fn import(at: &Before, files: &[std::path::PathBuf]) -> Done {
    let desk = at.open().await?;
    let (mut count, mut names) = (Count::default(), Names::default());
    for path in files {
        let shown = path.display().to_string();
        if path.extension().is_some_and(|e| e.eq_ignore_ascii_case("csv")) {
            for (place, made) in table(path, &shown)? {
                let made = names.once(&place, made);
                count.add(&place, entered(&desk, made).await)?;
            }
        } else {
            let made = whole_file(&desk, path).await;
            let made = names.once(&shown, made);
            count.add(&shown, entered(&desk, made).await)?;
        }
    }
    let code = if count.skipped == 0 { FINE } else { UNREADABLE };
    Ok(write::out(&format!("{} entered, {} skipped.\n", count.entered, count.skipped), code))
}

impl Count {
    /// What is wrong with one row or file is told, and the others go on; what is wrong with the book ends it.
    fn add(&mut self, place: &str, entered: Result<String, Ended>) -> Result<(), Ended> {
        match entered {
            Ok(what) => {
                self.entered += 1;
                write::out(&format!("{place}: {what} entered.\n"), FINE);
            }
            Err(ended) if ended.is_refusal() || matches!(ended, Ended::Said(..)) => {
                self.skipped += 1;
                write::err(&format!("{place}: skipped.\n"));
                desk::tell(&ended);
            }
            Err(ended) => return Err(ended),
        }
        Ok(())
    }
}

async fn entered(desk: &Desk, made: Result<Made, Ended>) -> Result<String, Ended> {
    let Made { what, command, warnings } = made?;
    write::err(&warnings);
    if let Command::EnterLimits { file } = &command
        && is_in_force(&desk.book, file.text()).await?
    {
        write::err(&format!("{AS_IN_FORCE}\n"));
        return Ok(what);
    }
    let outdated = intake::outdated(&desk.book.shop().await?, &command);
    desk.act(&command).await?;
    write::err(&outdated.map(|said| said + "\n").unwrap_or_default());
    Ok(what)
}

fn open(path: &Path) -> Result<Document, Ended> {
    let source = Source::read(path).map_err(|fault| Ended::Said(render_unreadable(&fault), UNREADABLE))?;
    Ok(Document::of(source))
}

async fn whole_file(desk: &Desk, path: &Path) -> Result<Made, Ended> {
    let document = open(path)?;
    let stem = path.file_stem().map(|s| s.to_string_lossy().into_owned()).unwrap_or_default();
    intake::whole_file(document, &stem, &desk.book.shop().await?)
}

/// A file that a row names: whoever wrote the table may not have others read by it.
pub(crate) fn named(folder: &Path, name: &str) -> Result<Document, Ended> {
    let path = folder.join(name);
    let below =
        Path::new(name).components().all(|part| matches!(part, Component::Normal(_) | Component::CurDir));
    // A link may lead elsewhere.
    let stays = match (path.canonicalize(), folder.canonicalize()) {
        (Ok(path), Ok(folder)) => path.starts_with(folder),
        // What is not there is said when it is opened.
        _ => true,
    };
    let is_one = path.extension().is_some_and(|e| e == "toml" || e == "json");
    if below && stays && is_one {
        return open(&path);
    }
    Err(Ended::bad(
        &format!("{name:?} is no TOML or JSON file in the table's folder or below"),
        "keep the files that a table names beside it",
    ))
}

fn table(path: &Path, shown: &str) -> Result<Vec<Placed>, Ended> {
    let text = std::fs::read(path).map_err(|fault| {
        Ended::bad(
            &format!("{shown}: {fault}"),
            "a table has a line of column names and commas between columns",
        )
    })?;
    let folder = path.parent().filter(|p| !p.as_os_str().is_empty()).unwrap_or(Path::new("."));
    intake::table(shown, &text, &|name| named(folder, name))
}
