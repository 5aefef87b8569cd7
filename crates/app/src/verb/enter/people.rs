//! People, rules, the clock.

use std::path::PathBuf;

use clap::Args;
use jiff::Timestamp;
use jiff::civil::Date;
use records::{Admission, Command, PersonId, Role};

use super::{act, word};
use crate::cli::{FINE, free_text};
use crate::desk::{Before, Done, Ended, NEW_PIN, new_pin};
use crate::write;

#[derive(Args, Debug)]
pub(crate) struct Person {
    #[command(flatten)]
    at: Before,
    /// Their name in the book: small letters, digits, hyphens.
    person: PersonId,
    /// Their full name, as it stands on paper; nobody else who belongs to the shop may have the same.
    #[arg(long, value_parser = free_text, allow_hyphen_values = true)]
    name: String,
    /// technician, lead, examiner, instructor or learner.
    #[arg(long, value_parser = word::<Role>)]
    role: Role,
    /// The day of their 18th birthday, YYYY-MM-DD; no more of their age is kept.
    #[arg(long, value_name = "DAY", value_parser = crate::cli::day)]
    of_age: Option<Date>,
}

impl Person {
    pub(super) async fn enter(&self) -> Done {
        let desk = self.at.open().await?;
        let Self { person, name, role, of_age, .. } = self;
        let admission =
            Admission { person: person.clone(), name: name.clone(), role: *role, of_age: *of_age };
        act(&desk, &Command::AdmitPerson(admission)).await
    }
}

#[derive(Args, Debug)]
pub(crate) struct RoleOf {
    #[command(flatten)]
    at: Before,
    /// Who.
    person: PersonId,
    /// technician, lead, examiner, instructor or learner.
    #[arg(value_parser = word::<Role>)]
    role: Role,
}

impl RoleOf {
    pub(super) async fn enter(&self) -> Done {
        let desk = self.at.open().await?;
        act(&desk, &Command::GiveRole { person: self.person.clone(), role: self.role }).await
    }
}

#[derive(Args, Debug)]
pub(crate) struct Age {
    #[command(flatten)]
    at: Before,
    /// Whose.
    person: PersonId,
    /// The day of their 18th birthday, YYYY-MM-DD; no more of their age is kept.
    #[arg(long, value_name = "DAY", value_parser = crate::cli::day)]
    of_age: Date,
}

impl Age {
    pub(super) async fn enter(&self) -> Done {
        let desk = self.at.open().await?;
        act(&desk, &Command::GiveAge { person: self.person.clone(), of_age: self.of_age }).await
    }
}

#[derive(Args, Debug)]
pub(crate) struct Leaving {
    #[command(flatten)]
    at: Before,
    /// Who.
    person: PersonId,
}

impl Leaving {
    pub(super) async fn enter(&self) -> Done {
        let desk = self.at.open().await?;
        act(&desk, &Command::PersonLeaves { person: self.person.clone() }).await
    }
}

#[derive(Args, Debug)]
pub(crate) struct Instruction {
    #[command(flatten)]
    at: Before,
    /// Who was instructed.
    person: PersonId,
    /// When, YYYY-MM-DD.
    #[arg(long, value_name = "DAY", value_parser = crate::cli::day)]
    on: Date,
    /// In what.
    #[arg(long, value_name = "TEXT", value_parser = free_text, allow_hyphen_values = true)]
    subject: String,
}

impl Instruction {
    pub(super) async fn enter(&self) -> Done {
        let desk = self.at.open().await?;
        let instruction =
            records::Instruction { person: self.person.clone(), on: self.on, subject: self.subject.clone() };
        act(&desk, &Command::Instruct(instruction)).await
    }
}

#[derive(Args, Debug)]
pub(crate) struct Authorisation {
    #[command(flatten)]
    at: Before,
    /// Who is authorised.
    person: PersonId,
    /// From when, YYYY-MM-DD.
    #[arg(long, value_name = "DAY", value_parser = crate::cli::day)]
    from: Date,
    /// Where the signed paper is.
    #[arg(long, value_name = "TEXT", value_parser = free_text, allow_hyphen_values = true)]
    paper: String,
}

impl Authorisation {
    pub(super) async fn enter(&self) -> Done {
        let desk = self.at.open().await?;
        let authorisation =
            records::Authorisation { person: self.person.clone(), on: self.from, paper: self.paper.clone() };
        act(&desk, &Command::Authorise(authorisation)).await
    }
}

#[derive(Args, Debug)]
pub(crate) struct Withdrawal {
    #[command(flatten)]
    at: Before,
    /// Whose authorisation.
    person: PersonId,
    /// Why.
    #[arg(value_parser = free_text, allow_hyphen_values = true)]
    words: String,
}

impl Withdrawal {
    pub(super) async fn enter(&self) -> Done {
        let desk = self.at.open().await?;
        let Self { person, words, .. } = self;
        act(&desk, &Command::WithdrawAuthorisation { person: person.clone(), words: words.clone() }).await
    }
}

#[derive(Args, Debug)]
pub(crate) struct Pin {
    #[command(flatten)]
    at: Before,
    /// Whose PIN.
    person: PersonId,
}

impl Pin {
    pub(super) async fn enter(&self) -> Done {
        let desk = self.at.open().await?;
        let pin = new_pin(&self.person, NEW_PIN)?;
        desk.book.set_pin(Timestamp::now(), &desk.by, &self.person, &pin).await?;
        let person = &self.person;
        let until = match person == desk.by.person() {
            true => String::new(),
            false => format!(
                " Until they set their own with `standfast enter pin {person} --as {person}`, what they sign says that {} set it.",
                desk.by.person()
            ),
        };
        Ok(write::out(&format!("{person} has a new PIN.{until}\n"), FINE))
    }
}

/// Which rules a shop goes by.
#[derive(Args, Debug)]
pub(crate) struct Chosen {
    /// germany, united-kingdom, united-kingdom-twelve-months, united-states or australia.
    #[arg(long = "rules", value_name = "SET", value_parser = rule_set, required_unless_present = "own_rules")]
    set: Option<records::Rules>,
    /// The shop's own, as a TOML file: source, examination-months, check-each-day, instruction-months, report-fields.
    #[arg(long, value_name = "FILE", conflicts_with = "set")]
    own_rules: Option<PathBuf>,
}

fn rule_set(text: &str) -> Result<records::Rules, String> {
    let found = records::Rules::OF_COUNTRIES.into_iter().find(|rules| rules.word() == text);
    found.ok_or_else(|| {
        let words = records::Rules::OF_COUNTRIES.map(|rules| rules.word());
        format!("one of {}; the shop's own with --own-rules FILE", words.join(", "))
    })
}

impl Chosen {
    pub(crate) fn rules(&self) -> Result<records::Rules, Ended> {
        match (&self.set, &self.own_rules) {
            (Some(set), _) => Ok(set.clone()),
            (None, None) => Err(Ended::bad("no rules are chosen", "give --rules or --own-rules")),
            (None, Some(path)) => {
                let shown = path.display();
                let bad = |why: &dyn std::fmt::Display| {
                    Ended::bad(&format!("{shown}: {why}"), "docs/book.md shows such a file")
                };
                let text = std::fs::read_to_string(path).map_err(|fault| bad(&fault))?;
                toml::from_str(&text).map(records::Rules::Own).map_err(|fault| bad(&fault.to_string().trim()))
            }
        }
    }
}

#[derive(Args, Debug)]
pub(crate) struct Rules {
    #[command(flatten)]
    at: Before,
    #[command(flatten)]
    chosen: Chosen,
}

impl Rules {
    pub(super) async fn enter(&self) -> Done {
        let rules = self.chosen.rules()?;
        let desk = self.at.open().await?;
        act(&desk, &Command::ChooseRules { rules }).await
    }
}

#[derive(Args, Debug)]
pub(crate) struct Units {
    #[command(flatten)]
    at: Before,
    /// metric or us.
    #[arg(value_parser = word::<records::Units>)]
    units: records::Units,
}

impl Units {
    pub(super) async fn enter(&self) -> Done {
        let desk = self.at.open().await?;
        act(&desk, &Command::ChooseUnits { units: self.units }).await
    }
}

#[derive(Args, Debug)]
pub(crate) struct Zone {
    #[command(flatten)]
    at: Before,
    /// IANA name, such as Europe/Berlin.
    zone: String,
}

impl Zone {
    pub(super) async fn enter(&self) -> Done {
        let desk = self.at.open().await?;
        act(&desk, &Command::ChooseZone { zone: self.zone.clone() }).await
    }
}

#[derive(Args, Debug)]
pub(crate) struct Clock {
    #[command(flatten)]
    at: Before,
    /// What was wrong with the clock.
    #[arg(value_parser = free_text, allow_hyphen_values = true)]
    words: String,
}

impl Clock {
    pub(super) async fn enter(&self) -> Done {
        let desk = self.at.open().await?;
        act(&desk, &Command::SetClock { words: self.words.clone() }).await
    }
}
