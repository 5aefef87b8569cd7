//! Every form of the book: what it asks, and the command that it makes.

use std::collections::BTreeMap;

use ::records::{
    Act, Admission, Authorisation, CheckItem, Command, DefectNumber, Document as Kept, ExaminationNumber,
    Finding, Instruction, LiftId, OwnRules, PersonId, RaiseNumber, Report, ReportField, Rules, Seq, Shop,
    Thoroughness, Units, VehicleId, Zone,
};

use super::{
    Field, Form, Kind, Said, defect, field, lift, may_be_left_out, person, role, stored, unconfirmed,
    vehicle, words, yes_or_no,
};
use crate::serve::begin::ZONES;
use crate::verb::enter::REPORT;
use crate::verb::raise::plain_keys;

/// Every item is answered: what is left open is no answer.
fn check_fields(shop: &Shop) -> Vec<Field> {
    let item = |item: CheckItem| {
        let answers = ["right", "wrong"].map(|answer| (answer.to_owned(), answer.to_owned())).to_vec();
        let says = sheets::words::capital(&item.to_string());
        let words = Field {
            name: format!("{}-words", stored(item)),
            ..field("", "If it is wrong: what is wrong", Kind::Text)
        };
        [field(&stored(item), &says, Kind::OneOf(answers)), may_be_left_out(words)]
    };
    [lift(shop)].into_iter().chain(CheckItem::all().flat_map(item)).collect()
}

fn check(said: &Said<'_>) -> Option<Command> {
    let lift = said.parsed("lift");
    let finding = |item: CheckItem| {
        let name = stored(item);
        let words = said.given(&format!("{name}-words"));
        let finding = match (said.text(&name).as_str(), words) {
            ("right", None) => Some(Finding::Right),
            ("wrong", Some(words)) => Some(Finding::Wrong { words }),
            (answer, _) => {
                let why = match answer {
                    "right" => "right, and yet something is said to be wrong",
                    "wrong" => "say what is wrong",
                    _ => "say right or wrong",
                };
                said.wrong(&name, why.into());
                None
            }
        };
        Some((item, finding?))
    };
    let findings: Vec<_> = CheckItem::all().map(finding).collect();
    Some(Command::CheckLift { lift: lift?, findings: findings.into_iter().collect::<Option<_>>()? })
}

fn examination_fields(shop: &Shop) -> Vec<Field> {
    let kinds = [Thoroughness::Routine, Thoroughness::Regular, Thoroughness::Major];
    let kinds = kinds.into_iter().map(|kind| (stored(kind), kind.to_string())).collect();
    let asked = shop.rules.rule_set().report_fields.value.to_vec();
    let next_due = match asked.contains(&ReportField::NextDue) {
        true => field("next_due", "Next one due by", Kind::Day),
        false => may_be_left_out(field("next_due", "Next one due by, if the examiner says so", Kind::Day)),
    };
    let asked = asked.into_iter().filter(|f| *f != ReportField::NextDue);
    let mut fields = vec![
        lift(shop),
        field("on", "Examined on", Kind::Day),
        field("kind", "Kind", Kind::OneOf(kinds)),
        yes_or_no("fit", "May it be used?"),
        next_due,
    ];
    fields.extend(asked.map(|f| field(&stored(f), &sheets::words::capital(&f.to_string()), Kind::Text)));
    fields.push(may_be_left_out(field("paper", "The report itself, as text", Kind::Words)));
    fields
}

fn examination(said: &Said<'_>) -> Option<Command> {
    let fields = REPORT.into_iter().filter_map(|field| Some((field, said.given(&stored(field))?))).collect();
    let (lift, on, next_due) = (said.parsed("lift"), said.parsed("on"), said.perhaps("next_due"));
    let (thoroughness, fit) = (said.word("kind"), said.yes("fit"));
    let report =
        Report { lift: lift?, on: on?, thoroughness: thoroughness?, fit: fit?, next_due: next_due?, fields };
    Some(Command::ReportExamination { report, paper: said.given("paper").map(Kept::new) })
}

fn on_lift(said: &Said<'_>, command: impl FnOnce(LiftId, String) -> Command) -> Option<Command> {
    Some(command(said.parsed("lift")?, said.text("words")))
}

/// All of them.
pub(crate) const ALL: &[Form] = &[
    Form {
        name: "check",
        title: "Check a lift before use",
        act: Act::CheckBeforeUse,
        fields: check_fields,
        command: check,
    },
    Form {
        name: "defect",
        title: "Report a defect",
        act: Act::ReportDefect,
        fields: |shop| {
            vec![
                lift(shop),
                words("What is wrong"),
                yes_or_no("stops_use", "Must the lift not be used with it?"),
            ]
        },
        command: |said| {
            let (lift, stops_use) = (said.parsed("lift"), said.yes("stops_use"));
            Some(Command::ReportDefect { lift: lift?, words: said.text("words"), stops_use: stops_use? })
        },
    },
    Form {
        name: "tag",
        title: "Take a lift out of service",
        act: Act::TagOut,
        fields: |shop| vec![lift(shop), words("Why")],
        command: |said| on_lift(said, |lift, words| Command::TagOut { lift, words }),
    },
    Form {
        name: "repair",
        title: "Report a repair",
        act: Act::Repair,
        fields: |shop| {
            vec![
                defect(shop),
                words("What was done"),
                yes_or_no("bears_load", "Does the repaired part bear load?"),
            ]
        },
        command: |said| {
            let (number, bears_load) = (said.parsed("defect").map(DefectNumber), said.yes("bears_load"));
            Some(Command::ReportRepair {
                number: number?,
                words: said.text("words"),
                bears_load: bears_load?,
            })
        },
    },
    Form {
        name: "return",
        title: "Return a lift to service",
        act: Act::ReturnToService,
        fields: |shop| vec![lift(shop), words("What was looked at")],
        command: |said| on_lift(said, |lift, words| Command::ReturnToService { lift, words }),
    },
    Form {
        name: "examination",
        title: "Report an examination",
        act: Act::Examine,
        fields: examination_fields,
        command: examination,
    },
    Form {
        name: "confirmation",
        title: "Confirm an examination",
        act: Act::ConfirmExamination,
        fields: |shop| vec![unconfirmed(shop)],
        command: |said| {
            Some(Command::ConfirmExamination { number: ExaminationNumber(said.parsed("examination")?) })
        },
    },
    Form {
        name: "alteration",
        title: "A lift was altered",
        act: Act::EnterLift,
        fields: |shop| vec![lift(shop), words("What was altered: it must be examined again")],
        command: |said| on_lift(said, |lift, words| Command::AlterLift { lift, words }),
    },
    Form {
        name: "person",
        title: "Enter a person",
        act: Act::ManagePeople,
        fields: |_| {
            vec![
                field("name", "Their name", Kind::Text),
                field("person", "Their name in the book: small letters, digits, hyphens", Kind::Text),
                role(),
                may_be_left_out(field("of_age", "18th birthday: no more of their age is kept", Kind::Day)),
            ]
        },
        command: |said| {
            let (person, role, of_age) = (said.parsed("person"), said.word("role"), said.perhaps("of_age"));
            let name = said.text("name");
            Some(Command::AdmitPerson(Admission { person: person?, name, role: role?, of_age: of_age? }))
        },
    },
    Form {
        name: "role",
        title: "Give another role",
        act: Act::ManagePeople,
        fields: |shop| vec![person(shop), role()],
        command: |said| {
            let (person, role) = (said.parsed("person"), said.word("role"));
            Some(Command::GiveRole { person: person?, role: role? })
        },
    },
    Form {
        name: "instruction",
        title: "Record an instruction",
        act: Act::Instruct,
        fields: |shop| {
            vec![person(shop), field("on", "Given on", Kind::Day), field("subject", "In what", Kind::Text)]
        },
        command: |said| {
            let (person, on) = (said.parsed("person"), said.parsed("on"));
            Some(Command::Instruct(Instruction { person: person?, on: on?, subject: said.text("subject") }))
        },
    },
    Form {
        name: "authorisation",
        title: "Authorise in writing",
        act: Act::ManagePeople,
        fields: |shop| {
            vec![
                person(shop),
                field("on", "From", Kind::Day),
                field("paper", "Where the signed paper is", Kind::Text),
            ]
        },
        command: |said| {
            let (person, on) = (said.parsed("person"), said.parsed("on"));
            Some(Command::Authorise(Authorisation { person: person?, on: on?, paper: said.text("paper") }))
        },
    },
    Form {
        name: "withdrawal",
        title: "Withdraw an authorisation",
        act: Act::ManagePeople,
        fields: |shop| vec![person(shop), words("Why")],
        command: |said| {
            let person: PersonId = said.parsed("person")?;
            Some(Command::WithdrawAuthorisation { person, words: said.text("words") })
        },
    },
    Form {
        name: "age",
        title: "Give somebody's 18th birthday",
        act: Act::ManagePeople,
        fields: |shop| {
            vec![person(shop), field("of_age", "18th birthday; no more of their age is kept", Kind::Day)]
        },
        command: |said| {
            let (person, of_age) = (said.parsed("person"), said.parsed("of_age"));
            Some(Command::GiveAge { person: person?, of_age: of_age? })
        },
    },
    Form {
        name: "leaving",
        title: "Somebody leaves",
        act: Act::ManagePeople,
        fields: |shop| vec![person(shop)],
        command: |said| Some(Command::PersonLeaves { person: said.parsed("person")? }),
    },
    Form {
        name: "measurement",
        title: "Record a measurement of a vehicle",
        act: Act::Measure,
        fields: |shop| {
            vec![
                vehicle(shop),
                field(
                    "what",
                    "What, by its key in the vehicle's file; of a part parts.NAME.mass",
                    Kind::Offered(plain_keys().collect()),
                ),
                field("value", "The value, with unit and tolerance", Kind::Text),
                field("how", "With what, and how", Kind::Text),
            ]
        },
        command: |said| {
            let vehicle: VehicleId = said.parsed("vehicle")?;
            let (what, value, how) = (said.text("what"), said.text("value"), said.text("how"));
            said.usable(&what, &value)?;
            Some(Command::Measure(::records::Measurement { vehicle, what, value, how }))
        },
    },
    Form {
        name: "whole",
        title: "A vehicle is whole again",
        act: Act::Measure,
        fields: |shop| vec![vehicle(shop), words("What was looked at, and what is on or off again")],
        command: |said| {
            Some(Command::SayWhole { vehicle: said.parsed("vehicle")?, words: said.text("words") })
        },
    },
    Form {
        name: "incident",
        title: "Report an incident",
        act: Act::ReportIncident,
        fields: |shop| {
            vec![
                words("What happened"),
                may_be_left_out(lift(shop)),
                may_be_left_out(field("raise", "Number of the raise", Kind::Number)),
            ]
        },
        command: |said| {
            let (lift, raise) = (said.perhaps("lift"), said.perhaps("raise"));
            Some(Command::ReportIncident {
                lift: lift?,
                raise: raise?.map(RaiseNumber),
                words: said.text("words"),
            })
        },
    },
    Form {
        name: "correction",
        title: "Strike an event out",
        act: Act::Correct,
        fields: |_| vec![field("event", "Number of the event", Kind::Number), words("Why")],
        command: |said| {
            Some(Command::Correct { event: Seq(said.parsed("event")?), words: said.text("words") })
        },
    },
    Form {
        name: "units",
        title: "Choose units",
        act: Act::RunShop,
        fields: |_| {
            let all = [Units::Metric, Units::Us].map(|units| (stored(units), units.to_string()));
            vec![field("units", "The shop reads in", Kind::OneOf(all.to_vec()))]
        },
        command: |said| Some(Command::ChooseUnits { units: said.word("units")? }),
    },
    Form {
        name: "zone",
        title: "Choose the zone",
        act: Act::RunShop,
        fields: |_| {
            let all = ZONES.map(str::to_owned).to_vec();
            vec![field("zone", "Days are those of", Kind::Offered(all))]
        },
        command: |said| {
            let zone = said.text("zone");
            if let Err(why) = Zone::chosen(&zone) {
                said.wrong("zone", format!("{why}; one is written like Europe/Berlin"));
            }
            Some(Command::ChooseZone { zone })
        },
    },
    Form {
        name: "rules",
        title: "Choose rules",
        act: Act::RunShop,
        fields: |_| {
            let all = Rules::OF_COUNTRIES.map(|r| (r.word().to_owned(), r.rule_set().title.into_owned()));
            vec![field("rules", "Rules for lifts", Kind::OneOf(all.to_vec()))]
        },
        command: |said| {
            let chosen = said.text("rules");
            let found = Rules::OF_COUNTRIES.into_iter().find(|rules| rules.word() == chosen);
            if found.is_none() {
                said.wrong("rules", "choose one".into());
            }
            Some(Command::ChooseRules { rules: found? })
        },
    },
    Form {
        name: "own-rules",
        title: "Go by the shop's own rules",
        act: Act::RunShop,
        fields: own_rules_fields,
        command: own_rules,
    },
    Form {
        name: "clock",
        title: "The clock is right now",
        act: Act::RunShop,
        fields: |_| vec![words("What was wrong with it")],
        command: |said| Some(Command::SetClock { words: said.text("words") }),
    },
];

/// What a report must say is ticked field by field.
fn own_rules_fields(_: &Shop) -> Vec<Field> {
    let mut fields = vec![
        field("source", "Where these rules come from", Kind::Text),
        field("examination_months", "Months between examinations", Kind::Number),
        field("check_each_day", "A check before use on each day", Kind::Tick),
        may_be_left_out(field("instruction_months", "Months for which an instruction counts", Kind::Number)),
    ];
    let asked = REPORT.into_iter().chain([ReportField::NextDue]);
    fields.extend(asked.map(|f| field(&stored(f), &format!("A report says: {f}"), Kind::Tick)));
    fields
}

fn own_rules(said: &Said<'_>) -> Option<Command> {
    let asked = REPORT.into_iter().chain([ReportField::NextDue]);
    let report_fields = asked.filter(|f| said.text(&stored(*f)) == "yes").collect();
    let (examination_months, instruction_months) =
        (said.parsed("examination_months"), said.perhaps("instruction_months"));
    Some(Command::ChooseRules {
        rules: Rules::Own(OwnRules {
            source: said.text("source"),
            examination_months: examination_months?,
            check_each_day: said.text("check_each_day") == "yes",
            instruction_months: instruction_months?,
            report_fields,
        }),
    })
}

/// The shop's own rules as they are filled in.
pub(crate) fn own_rules_filled(own: &OwnRules) -> BTreeMap<String, String> {
    let yes = || "yes".to_owned();
    let mut filled = BTreeMap::from([
        ("source".to_owned(), own.source.clone()),
        ("examination_months".to_owned(), own.examination_months.to_string()),
    ]);
    filled.extend(own.check_each_day.then(|| ("check_each_day".to_owned(), yes())));
    filled.extend(own.instruction_months.map(|months| ("instruction_months".to_owned(), months.to_string())));
    filled.extend(own.report_fields.iter().map(|field| (stored(*field), yes())));
    filled
}
