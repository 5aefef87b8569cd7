//! What can stand in the book. These are the stored forms: a form that changes gets a new kind, and the old kind stays.

use std::collections::{BTreeMap, BTreeSet};

use jiff::Timestamp;
use jiff::civil::Date;
use serde::{Deserialize, Serialize};

use crate::checklist::CheckItem;
use crate::course::{HoldPoint, Outline};
use crate::digest::Digest;
use crate::event::Head;
use crate::names::{
    DefectNumber, ExaminationNumber, IncidentNumber, JobId, LiftId, PersonId, PracticeNumber, RaiseNumber,
    Seq, VehicleId,
};
use crate::practice::{Attempt, Practised, Situation};
use crate::role::Role;
use crate::rules::{ReportField, Rules, Thoroughness};
use crate::units::Units;
use crate::zone::Zone;

/// Something that happened.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(tag = "kind", rename_all = "kebab-case", rename_all_fields = "kebab-case")]
#[expect(
    missing_docs,
    reason = "the fields are named as what they hold, each is described at its command or type"
)]
pub enum Fact {
    /// The book was begun. `book` is random: it tells two books apart that begin alike.
    ShopOpened { book: String, name: String, zone: Zone, rules: Rules },
    /// Another rule set holds from here.
    RulesChosen { rules: Rules },
    /// The shop reads in these units.
    UnitsChosen { units: Units },
    /// The shop's days are those of another zone from here.
    ZoneChosen { zone: Zone },
    /// The clock's reading of this event is right, whatever stood before it.
    ClockSet { words: String },
    /// The clock stood before the last event.
    ClockBehind { last: Timestamp },
    /// Somebody belongs to the shop.
    PersonAdmitted(Admission),
    /// Somebody has another role.
    RoleGiven { person: PersonId, role: Role },
    /// The day of somebody's 18th birthday, in the place of what was known of it.
    AgeGiven { person: PersonId, of_age: Date },
    /// Somebody no longer belongs to the shop.
    PersonLeft { person: PersonId },
    /// Somebody was instructed.
    Instructed(Instruction),
    /// Somebody may operate lifts, in writing.
    Authorised(Authorisation),
    /// Somebody may no longer.
    AuthorisationWithdrawn { person: PersonId, words: String },
    /// Somebody has another PIN; `hash` is the digest of what is kept of it, outside the chain.
    PinSet {
        person: PersonId,
        #[serde(default, skip_serializing_if = "Option::is_none")]
        hash: Option<Digest>,
    },
    /// Somebody was given a PIN as the book was salvaged, as theirs was lost: nobody proved to be them.
    PinGiven { person: PersonId, hash: Digest },
    /// Too many wrong PINs.
    PinLocked { person: PersonId, until: Timestamp },
    /// A lift, or what is newly known of it.
    LiftEntered { sheet: LiftSheet, file: Digest },
    /// A lift was altered: it must be examined again.
    LiftAltered { lift: LiftId, words: String },
    /// A lift was checked before use.
    LiftChecked { lift: LiftId, day: Date, findings: BTreeMap<CheckItem, Finding> },
    /// A lift was examined.
    LiftExamined { number: ExaminationNumber, report: Report, paper: Option<Digest> },
    /// The employer confirmed it.
    ExaminationConfirmed { number: ExaminationNumber },
    /// A defect was found.
    DefectFound { number: DefectNumber, lift: LiftId, words: String, stops_use: bool },
    /// It was repaired.
    DefectRepaired { number: DefectNumber, words: String, bears_load: bool },
    /// A lift is out of service.
    TaggedOut { lift: LiftId, words: String },
    /// It is in service again.
    ReturnedToService { lift: LiftId, words: String },
    /// A vehicle, or what is newly known of it.
    VehicleEntered { vehicle: VehicleId, description: String, file: Digest },
    /// Something was measured of it.
    VehicleMeasured(Measurement),
    /// It was left with parts off or on, or may have been, and is as its file says again.
    VehicleWhole { vehicle: VehicleId, words: String },
    /// A job that the shop does, or what is newly known of it.
    JobEntered { job: JobId, description: String, file: Digest },
    /// The shop's own limits, in the place of those before.
    LimitsEntered { file: Digest },
    /// A plan was kept.
    PlanKept { plan: KeptPlan },
    /// A raise began.
    RaiseBegun { raise: RaiseNumber, plan: KeptPlan },
    /// A raise was asked for and refused, for these reasons.
    RaiseRefused { plan: KeptPlan, reasons: Vec<String> },
    /// A hold point was confirmed.
    PointConfirmed { raise: RaiseNumber, point: HoldPoint, judged: Option<Judged>, words: Option<String> },
    /// A hold point was to be confirmed and was refused, by a check or by the lift's state.
    PointRefused { raise: RaiseNumber, point: HoldPoint, judged: Option<Judged>, reasons: Vec<String> },
    /// Noise, or the vehicle moved.
    RaiseUpset { raise: RaiseNumber, sign: Sign, words: String },
    /// Something else was not right.
    NotRight { raise: RaiseNumber, words: String },
    /// A lock was not heard on the way up.
    LockNotHeard { raise: RaiseNumber, words: String },
    /// It is brought down before its time.
    BroughtDown { raise: RaiseNumber, words: String },
    /// Somebody else leads it.
    TakenOver { raise: RaiseNumber, from: PersonId },
    /// It was ended out of its course.
    RaiseAbandoned { raise: RaiseNumber, words: String },
    /// Something happened that must not.
    IncidentReported {
        number: IncidentNumber,
        lift: Option<LiftId>,
        raise: Option<RaiseNumber>,
        words: String,
    },
    /// The book is what was whole of a damaged one, up to that head; what else could be read of it is a document.
    /// Of these vehicles nobody knows which parts are off or on; an older program wrote none down.
    Salvaged {
        intact: Head,
        others: u64,
        rest: Digest,
        #[serde(default, skip_serializing_if = "BTreeSet::is_empty")]
        vehicles: BTreeSet<VehicleId>,
    },
    /// A situation to practise on was set.
    PracticeSet { practice: PracticeNumber, situation: Situation },
    /// Somebody tried one.
    PracticeTried { of: Practised, attempt: Attempt },
    /// An event is struck out.
    Corrected { event: Seq, words: String },
}

/// A person as admitted.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub struct Admission {
    /// Their name in the book.
    pub person: PersonId,
    /// Their name.
    pub name: String,
    /// What they are.
    pub role: Role,
    /// The day of their 18th birthday, if known: no more of their age is kept.
    pub of_age: Option<Date>,
}

/// An instruction.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub struct Instruction {
    /// Who was instructed.
    pub person: PersonId,
    /// When.
    pub on: Date,
    /// In what.
    pub subject: String,
}

/// A written authorisation to operate lifts.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub struct Authorisation {
    /// Who is authorised.
    pub person: PersonId,
    /// From when.
    pub on: Date,
    /// Where the paper is.
    pub paper: String,
}

/// What identifies a lift (fields of the master sheet: DGUV Grundsatz 308-002 annex 2).
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub struct LiftSheet {
    /// Its name in the book.
    pub lift: LiftId,
    /// Where it stands.
    pub bay: String,
    /// Who made it.
    pub maker: String,
    /// Its type.
    pub model: String,
    /// Its serial number.
    pub serial: String,
    /// Year of make.
    pub year: u16,
    /// What it may carry, with unit.
    pub capacity: String,
    /// How the load may be split between front and rear, if the plate says.
    pub load_split: Option<String>,
    /// When it was first used, if known.
    pub first_used: Option<Date>,
}

/// What was found at one item of the check before use.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(tag = "found", rename_all = "kebab-case")]
pub enum Finding {
    /// It is right.
    Right,
    /// It is not.
    Wrong {
        /// What is wrong.
        words: String,
    },
}

/// The report of an examination.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub struct Report {
    /// Of which lift.
    pub lift: LiftId,
    /// When it was examined.
    pub on: Date,
    /// How thoroughly.
    pub thoroughness: Thoroughness,
    /// Whether it may be used.
    pub fit: bool,
    /// By when the next one is due, if the examiner says so.
    pub next_due: Option<Date>,
    /// What else it says.
    pub fields: BTreeMap<ReportField, String>,
}

/// A measured value of a vehicle, as written: the book does not compute with it.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub struct Measurement {
    /// Of which vehicle.
    pub vehicle: VehicleId,
    /// What, by its key in the vehicle's file.
    pub what: String,
    /// The value with unit and tolerance.
    pub value: String,
    /// With what, and how.
    pub how: String,
}

/// A plan as kept: enough to lead by, and to compute it again to the byte.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub struct KeptPlan {
    /// On which lift.
    pub lift: LiftId,
    /// Of which vehicle.
    pub vehicle: VehicleId,
    /// The job's name.
    pub job: String,
    /// The program that planned it, with version.
    pub program: String,
    /// Whether the plan allows the raise.
    pub may_be_raised: bool,
    /// The exact inputs, by what they are: `lift`, `vehicle`, and what else there was.
    pub inputs: BTreeMap<String, Digest>,
    /// The answer.
    pub answer: Digest,
    /// What the raise goes by.
    pub outline: Outline,
    /// Who gave the limits that it was planned with, where the shop had not entered them.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub other_limits_of: Option<PersonId>,
}

/// What a check of the setup as it is, or of a state, said.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub struct Judged {
    /// Whether it passes.
    pub passes: bool,
    /// What was checked, and the answer.
    pub record: Digest,
    /// The least reserve of the states on both sides, in thousandths.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub least_reserve: Option<i64>,
    /// What leads the raise from here on, if it passes; an older program did not write it down.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub outline: Option<Outline>,
}

/// What sends a raise back to the seating of its pads.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Sign {
    /// A noise.
    Noise,
    /// The vehicle or a pad moved.
    Moved,
}

impl Fact {
    /// The word of its kind, as stored.
    #[must_use]
    pub fn kind(&self) -> String {
        serde_json::to_value(self)
            .ok()
            .and_then(|v| v.get("kind").and_then(|k| k.as_str().map(str::to_owned)))
            .unwrap_or_default()
    }

    /// Whether it is about one raise.
    #[must_use]
    pub fn is_of_a_raise(&self) -> bool {
        self.subjects().iter().any(|subject| matches!(subject, Subject::Raise(_)))
    }

    /// What it is about, for finding it again.
    #[must_use]
    pub fn subjects(&self) -> Vec<Subject> {
        let lift = |l: &LiftId| Subject::Lift(l.clone());
        let person = |p: &PersonId| Subject::Person(p.clone());
        match self {
            Self::ShopOpened { .. }
            | Self::RulesChosen { .. }
            | Self::UnitsChosen { .. }
            | Self::ZoneChosen { .. }
            | Self::ClockSet { .. }
            | Self::LimitsEntered { .. }
            | Self::Salvaged { .. }
            | Self::ClockBehind { .. } => vec![],
            Self::PersonAdmitted(Admission { person: p, .. })
            | Self::Instructed(Instruction { person: p, .. })
            | Self::Authorised(Authorisation { person: p, .. })
            | Self::RoleGiven { person: p, .. }
            | Self::AgeGiven { person: p, .. }
            | Self::PersonLeft { person: p }
            | Self::AuthorisationWithdrawn { person: p, .. }
            | Self::PinSet { person: p, .. }
            | Self::PinGiven { person: p, .. }
            | Self::PinLocked { person: p, .. } => vec![person(p)],
            Self::LiftEntered { sheet, .. } => vec![lift(&sheet.lift)],
            Self::LiftExamined { number, report, .. } => {
                vec![lift(&report.lift), Subject::Examination(*number)]
            }
            Self::ExaminationConfirmed { number } => vec![Subject::Examination(*number)],
            Self::DefectFound { number, lift: l, .. } => vec![lift(l), Subject::Defect(*number)],
            Self::DefectRepaired { number, .. } => vec![Subject::Defect(*number)],
            Self::LiftAltered { lift: l, .. }
            | Self::LiftChecked { lift: l, .. }
            | Self::TaggedOut { lift: l, .. }
            | Self::ReturnedToService { lift: l, .. } => vec![lift(l)],
            Self::VehicleEntered { vehicle, .. } | Self::VehicleWhole { vehicle, .. } => {
                vec![Subject::Vehicle(vehicle.clone())]
            }
            Self::VehicleMeasured(m) => vec![Subject::Vehicle(m.vehicle.clone())],
            Self::JobEntered { job, .. } => vec![Subject::Job(job.clone())],
            Self::PlanKept { plan } | Self::RaiseRefused { plan, .. } => {
                vec![lift(&plan.lift), Subject::Vehicle(plan.vehicle.clone())]
            }
            Self::RaiseBegun { raise, plan } => {
                vec![Subject::Raise(*raise), lift(&plan.lift), Subject::Vehicle(plan.vehicle.clone())]
            }
            Self::PointConfirmed { raise, .. }
            | Self::PointRefused { raise, .. }
            | Self::RaiseUpset { raise, .. }
            | Self::NotRight { raise, .. }
            | Self::LockNotHeard { raise, .. }
            | Self::BroughtDown { raise, .. }
            | Self::TakenOver { raise, .. }
            | Self::RaiseAbandoned { raise, .. } => vec![Subject::Raise(*raise)],
            Self::IncidentReported { lift: l, raise, .. } => {
                l.iter().map(lift).chain(raise.iter().map(|r| Subject::Raise(*r))).collect()
            }
            Self::PracticeSet { practice, .. } => vec![Subject::Practice(Practised::Set(*practice))],
            Self::PracticeTried { of, .. } => vec![Subject::Practice(of.clone())],
            Self::Corrected { event, .. } => vec![Subject::Event(*event)],
        }
    }

    /// The documents that it refers to.
    #[must_use]
    pub fn documents(&self) -> Vec<Digest> {
        match self {
            Self::LiftEntered { file, .. }
            | Self::VehicleEntered { file, .. }
            | Self::JobEntered { file, .. }
            | Self::LimitsEntered { file } => vec![*file],
            Self::LiftExamined { paper, .. } => paper.iter().copied().collect(),
            Self::Salvaged { rest, .. } => vec![*rest],
            Self::PlanKept { plan } | Self::RaiseBegun { plan, .. } | Self::RaiseRefused { plan, .. } => {
                plan.inputs.values().copied().chain([plan.answer]).collect()
            }
            Self::PointConfirmed { judged, .. } | Self::PointRefused { judged, .. } => {
                judged.iter().map(|j| j.record).collect()
            }
            Self::PracticeSet { situation, .. } => situation.inputs.values().copied().collect(),
            Self::PracticeTried { attempt, .. } => vec![attempt.setup],
            _ => vec![],
        }
    }
}

/// What an event is about.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Subject {
    /// A person.
    Person(PersonId),
    /// A lift.
    Lift(LiftId),
    /// A vehicle.
    Vehicle(VehicleId),
    /// A job.
    Job(JobId),
    /// A raise.
    Raise(RaiseNumber),
    /// A defect.
    Defect(DefectNumber),
    /// An examination.
    Examination(ExaminationNumber),
    /// A situation to practise on.
    Practice(Practised),
    /// Another event.
    Event(Seq),
}

impl std::fmt::Display for Subject {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::Person(id) => write!(f, "person {id}"),
            Self::Lift(id) => write!(f, "lift {id}"),
            Self::Vehicle(id) => write!(f, "vehicle {id}"),
            Self::Job(id) => write!(f, "job {id}"),
            Self::Raise(n) => write!(f, "raise {n}"),
            Self::Defect(n) => write!(f, "defect {n}"),
            Self::Examination(n) => write!(f, "examination {n}"),
            Self::Practice(of) => write!(f, "practice {of}"),
            Self::Event(n) => write!(f, "event {n}"),
        }
    }
}
