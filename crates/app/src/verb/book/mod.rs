//! `book`: the shop's book as a whole.

mod copy;
mod export;
mod import;
mod print;
mod verify;

use std::path::PathBuf;

use clap::Subcommand;
use jiff::civil::Date;
use jiff::{Timestamp, ToSpan};
use records::{Admission, Book, Hall, LiftId, Opening, PersonId, Role};

pub(crate) use export::{JOBS, LIFTS, VEHICLES};
pub(crate) use import::named;

use crate::cli::{FINE, free_text};
use crate::desk::{self, Before, Done, Ended, PIN, Place, new_pin};
use crate::verb::enter::Chosen;
use crate::{told, write};

/// The shop's book: begun, shown, verified, kept safe.
#[derive(Debug, Subcommand)]
pub(crate) enum What {
    /// Begin a book, with its first lead. The lead's PIN is asked for, or read from STANDFAST_PIN.
    New {
        #[command(flatten)]
        place: Place,
        /// The shop's name.
        #[arg(long, value_name = "TEXT", value_parser = free_text, allow_hyphen_values = true)]
        shop: String,
        /// IANA name of its time zone, such as Europe/Berlin.
        #[arg(long)]
        zone: String,
        #[command(flatten)]
        chosen: Chosen,
        /// The first lead's name in the book: small letters, digits, hyphens.
        #[arg(long, value_name = "PERSON")]
        lead: PersonId,
        /// The first lead's name.
        #[arg(long, value_name = "TEXT", value_parser = free_text, allow_hyphen_values = true)]
        name: String,
        /// The day of the lead's 18th birthday, YYYY-MM-DD.
        #[arg(long, value_name = "DAY", value_parser = crate::cli::day)]
        of_age: Option<Date>,
    },
    /// Today's board: bays, what is on them, what is due, what is out of service and why, who may operate.
    Show {
        #[command(flatten)]
        place: Place,
        /// Answer as JSON.
        #[arg(long)]
        json: bool,
    },
    /// Find anything altered, missing or out of place. Exit 1 if there is.
    Verify {
        #[command(flatten)]
        place: Place,
        /// An end of the book that was noted before, as `backup` tells it: NUMBER:HASH.
        #[arg(long, value_name = "NUMBER:HASH", value_parser = verify::head)]
        head: Option<records::Head>,
        /// Compute every kept plan, and every kept check of a raise, again, too: it must give the same bytes.
        #[arg(long)]
        plans: bool,
    },
    /// Copy the whole book into a file, while it is in use. The file holds hashes of PINs: keep it as safe as the book.
    Backup {
        #[command(flatten)]
        place: Place,
        /// The file to write; never overwritten.
        file: PathBuf,
    },
    /// Make a book of a backup, where there is none yet, and verify it.
    Restore {
        #[command(flatten)]
        place: Place,
        /// The backup.
        file: PathBuf,
        /// It is what `salvage` wrote: this lead makes a book of what is whole of it. What else could be read is kept apart,
        /// and every lift is out of service until somebody has looked. Asks for their PIN.
        #[arg(long, value_name = "LEAD")]
        salvaged_by: Option<PersonId>,
    },
    /// Write what can still be read of a damaged book; the book itself is not touched.
    Salvage {
        #[command(flatten)]
        place: Place,
        /// The file to write; never overwritten.
        file: PathBuf,
    },
    /// Everything as CSV and JSON lines, with every document, in a new folder.
    Export {
        #[command(flatten)]
        place: Place,
        /// The folder to make.
        folder: PathBuf,
    },
    /// Lifts, vehicles and jobs from their files, or from CSV with a row for each; the shop's limits from their file.
    Import {
        #[command(flatten)]
        at: Before,
        /// Files of lifts, vehicles, jobs and limits (TOML), or CSV files with a column `lift`, `vehicle` or `job`, whose other
        /// columns name a file or say what was measured; docs/book.md tells them, `standfast new vehicles` writes them.
        #[arg(required = true)]
        files: Vec<PathBuf>,
    },
    /// Print the report of an examination, a raise as it was done, or the sheet of a plan that the book holds.
    Print {
        #[command(flatten)]
        place: Place,
        #[command(flatten)]
        what: print::What,
        #[command(flatten)]
        how: print::How,
    },
    /// All that happened on a day.
    Day {
        #[command(flatten)]
        place: Place,
        /// YYYY-MM-DD; left out = today.
        #[arg(value_parser = crate::cli::day)]
        day: Option<Date>,
    },
    /// A lift's record: examinations, checks, defects, and every raise with its hold points.
    Record {
        #[command(flatten)]
        place: Place,
        /// Which lift.
        lift: LiftId,
        /// From which day on, YYYY-MM-DD; left out = the last 14 days.
        #[arg(long, value_name = "DAY", value_parser = crate::cli::day)]
        since: Option<Date>,
    },
}

pub(crate) fn run(what: &What) -> u8 {
    desk::run(async {
        match what {
            What::New { place, shop, zone, chosen, lead, name, of_age } => {
                let lead =
                    Admission { person: lead.clone(), name: name.clone(), role: Role::Lead, of_age: *of_age };
                let opening = Opening {
                    shop: shop.clone(),
                    zone: zone.clone(),
                    rules: chosen.rules()?,
                    pin: new_pin(&lead.person, PIN)?,
                    lead,
                };
                begin(place, opening).await
            }
            What::Show { place, json } => show(place, *json).await,
            What::Verify { place, head, plans } => verify::verify(place, *head, *plans).await,
            What::Backup { place, file } => copy::backup(place, file).await,
            What::Restore { place, file, salvaged_by: None } => copy::restore(place, file).await,
            What::Restore { place, file, salvaged_by: Some(lead) } => {
                copy::restore_salvaged(place, file, lead).await
            }
            What::Salvage { place, file } => copy::salvage(place, file).await,
            What::Export { place, folder } => export::export(place, folder).await,
            What::Import { at, files } => import::import(at, files).await,
            What::Print { place, what, how } => print::print(place, what, how).await,
            What::Day { place, day } => self::day(place, *day).await,
            What::Record { place, lift, since } => record(place, lift, *since).await,
        }
    })
}

async fn begin(place: &Place, opening: Opening) -> Done {
    let shop = opening.shop.clone();
    desk::on_the_desk(Book::create(&place.text(), Timestamp::now(), opening).await?);
    Ok(write::out(&format!("The book of {shop} was begun at {}.\n", place.shown()), FINE))
}

async fn show(place: &Place, json: bool) -> Done {
    let book = place.open().await?;
    let board = told::board::board(&*book.hall().await?, Timestamp::now());
    Ok(if json { write::json(&board, FINE) } else { write::out(&told::board::text(&board), FINE) })
}

async fn day(place: &Place, day: Option<Date>) -> Done {
    let book = place.open().await?;
    let shop = book.hall().await?;
    let day = day.unwrap_or_else(|| shop.today(Timestamp::now()));
    let events = book.events_on(day).await?;
    let beside = told::Beside::of(&book, &shop, &events).await?;
    let lines = told::lines(&events, &beside, told::units(&shop));
    let lines = if lines.is_empty() { "Nothing is in the book of that day.\n".into() } else { lines };
    Ok(write::out(&format!("{}, {day}\n\n{lines}", shop.name), FINE))
}

async fn record(place: &Place, id: &LiftId, since: Option<Date>) -> Done {
    let book = place.open().await?;
    let shop = book.hall().await?;
    let Some(lift) = shop.lifts.get(id) else {
        return Err(Ended::Book(records::Failure::Refused(vec![records::Refusal::UnknownLift(id.clone())])));
    };
    let fortnight = || shop.today(Timestamp::now()).checked_sub(14.days()).unwrap_or(Date::MIN);
    let since = since.unwrap_or_else(fortnight);
    let events = book.record_of(id, book.first_since(since).await?).await?;
    let beside = told::Beside::of(&book, &shop, &events).await?;
    let lines = told::lines(&events, &beside, told::units(&shop));
    let lines = if lines.is_empty() { "Nothing.\n".into() } else { lines };
    let sheet = &lift.sheet;
    let known = |text: &Option<String>| text.clone().unwrap_or_else(|| "not known".into());
    let year = if sheet.year == 0 { "not known".into() } else { sheet.year.to_string() };
    let head = [
        ("Lift", id.to_string()),
        ("Bay", sheet.bay.clone()),
        ("Maker", sheet.maker.clone()),
        ("Type", sheet.model.clone()),
        ("Serial number", sheet.serial.clone()),
        ("Year of make", year),
        ("May carry", sheet.capacity.clone()),
        ("Split of the load", known(&sheet.load_split)),
        ("First used", known(&sheet.first_used.map(|d| d.to_string()))),
    ];
    let head: String = head.iter().map(|(what, text)| format!("{what:18} {}\n", told::plain(text))).collect();
    let examinations = examinations(&book, &shop, lift, since).await?;
    Ok(write::out(&format!("{head}{examinations}\nSince {since}\n{lines}"), FINE))
}

/// Whenever they were, with what their reports say; the paper of the last, and of those since that day.
async fn examinations(book: &Book, shop: &Hall, lift: &records::Lift, since: Date) -> Result<String, Ended> {
    let mut text = String::new();
    let all = lift.all_examinations();
    let last = all.keys().next_back();
    for (seq, examined) in &all {
        let report = &examined.report;
        let fit = if report.fit { "fit for use" } else { "NOT fit for use" };
        let confirmed = if examined.confirmed.is_some() { ", confirmed" } else { "" };
        let number = examined.number.to_string();
        text += &format!("Examination {number:6} {}, {}, {fit}{confirmed}\n", report.on, report.thoroughness);
        if let Some(correction) = shop.corrected.get(seq) {
            text += &format!(
                "  STRUCK OUT, counts no more: {}\n",
                told::plain(&told::struck_by(book, *correction, |event| event.by.to_string()).await?)
            );
        }
        for (field, says) in told::report(report) {
            text += &format!("  {field:30} {says}\n");
        }
        let Some(paper) = told::paper(book, *seq).await? else { continue };
        text += "  paper\n";
        if Some(seq) == last || report.on >= since {
            for line in paper.text().lines() {
                text += &format!("    | {}\n", told::plain(line));
            }
        } else {
            text += &format!("    document {}; --since {} shows it\n", paper.digest(), report.on);
        }
    }
    Ok(text)
}
