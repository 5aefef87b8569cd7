//! What a person asks of the book.

use std::collections::{BTreeMap, BTreeSet};

use jiff::civil::Date;

use crate::checklist::CheckItem;
use crate::course::{HoldPoint, Outline};
use crate::digest::Document;
use crate::fact::{Admission, Authorisation, Finding, Instruction, LiftSheet, Measurement, Report, Sign};
use crate::names::{DefectNumber, ExaminationNumber, JobId, LiftId, PersonId, RaiseNumber, Seq, VehicleId};
use crate::practice::{Hidden, PracticeEnd, Practised};
use crate::role::{Act, Role};
use crate::rules::Rules;
use crate::units::Units;

/// Something to be done. Words say why or what, and are never blank.
#[derive(Clone, Debug, PartialEq, Eq)]
#[expect(missing_docs, reason = "the fields are named as what they hold")]
pub enum Command {
    /// Go by another rule set.
    ChooseRules { rules: Rules },
    /// Read in these units.
    ChooseUnits { units: Units },
    /// Go by the days of another zone.
    ChooseZone { zone: String },
    /// The clock is right now, though an event before stands later: due days are reckoned from now again.
    SetClock { words: String },
    /// Somebody new. A name in the book is one person's for good: who left and is back has another. Nobody else who belongs to
    /// the shop has the same full name.
    AdmitPerson(Admission),
    /// Another role.
    GiveRole { person: PersonId, role: Role },
    /// The day of somebody's 18th birthday, which the book did not know or has wrong.
    GiveAge { person: PersonId, of_age: Date },
    /// Somebody leaves the shop.
    PersonLeaves { person: PersonId },
    /// Record an instruction that was given.
    Instruct(Instruction),
    /// Record a written authorisation.
    Authorise(Authorisation),
    /// Withdraw it.
    WithdrawAuthorisation { person: PersonId, words: String },
    /// A new lift, or more that is known of one.
    EnterLift { sheet: LiftSheet, file: Document },
    /// A lift was altered in what bears load: it must be examined.
    AlterLift { lift: LiftId, words: String },
    /// The check before use of today: every item answered.
    CheckLift { lift: LiftId, findings: BTreeMap<CheckItem, Finding> },
    /// The report of an examination.
    ReportExamination { report: Report, paper: Option<Document> },
    /// The employer confirms it.
    ConfirmExamination { number: ExaminationNumber },
    /// A defect.
    ReportDefect { lift: LiftId, words: String, stops_use: bool },
    /// A defect was repaired. A part that bears load asks for an examination.
    ReportRepair { number: DefectNumber, words: String, bears_load: bool },
    /// Out of service.
    TagOut { lift: LiftId, words: String },
    /// In service again.
    ReturnToService { lift: LiftId, words: String },
    /// A new vehicle, or more that is known of one.
    EnterVehicle { vehicle: VehicleId, description: String, file: Document },
    /// A job that the shop does, or more that is known of it.
    EnterJob { job: JobId, description: String, file: Document },
    /// The shop's own limits, in the place of those before.
    EnterLimits { file: Document },
    /// Something was measured.
    Measure(Measurement),
    /// A vehicle that was left with parts off or on, or may have been, is as its file says.
    SayWhole { vehicle: VehicleId, words: String },
    /// Keep a plan without raising by it.
    KeepPlan(NewPlan),
    /// Begin a raise by a plan.
    BeginRaise(NewPlan),
    /// Confirm the next hold point; `seen` = `Raise::seen` when it was shown to whoever confirms, if it was.
    Confirm {
        raise: RaiseNumber,
        point: HoldPoint,
        judgement: Option<Judgement>,
        words: Option<String>,
        seen: Option<Seq>,
    },
    /// There was a noise, or something moved.
    Upset { raise: RaiseNumber, sign: Sign, words: String },
    /// Something else is not right.
    NotRight { raise: RaiseNumber, words: String },
    /// A lock was not heard on the way up.
    LockNotHeard { raise: RaiseNumber, words: String },
    /// Bring it down before its time.
    BringDown { raise: RaiseNumber, words: String },
    /// Lead it from here on.
    TakeOver { raise: RaiseNumber },
    /// End it out of its course.
    AbandonRaise { raise: RaiseNumber, words: String },
    /// Something happened that must not.
    ReportIncident { lift: Option<LiftId>, raise: Option<RaiseNumber>, words: String },
    /// Set a situation to practise on.
    SetPractice(NewPractice),
    /// Keep an attempt at one.
    TryPractice { of: Practised, setup: Document, end: PracticeEnd },
    /// Strike an event out: what it gave counts no more, what it changed goes back. What took something away stays.
    Correct { event: Seq, words: String },
}

/// A plan to be kept.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct NewPlan {
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
    /// The exact inputs; `lift` and `vehicle` must be the files that the book holds now, and `limits` where it holds any.
    pub inputs: BTreeMap<String, Document>,
    /// The events of what was measured of the vehicle that it was made with: those that count now.
    pub measured: BTreeSet<Seq>,
    /// The answer.
    pub answer: Document,
    /// What the raise goes by.
    pub outline: Outline,
}

/// A situation to be practised on.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct NewPractice {
    /// What it is called.
    pub name: String,
    /// A word to the learner; blank = none.
    pub note: String,
    /// The exact inputs, `lift`, `vehicle` and what else there is: of the shop or invented.
    pub inputs: BTreeMap<String, Document>,
    /// What the learner is not shown.
    pub hides: BTreeSet<Hidden>,
}

/// What the planner said of the vehicle as it is, or of a state.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Judgement {
    /// What leads the raise from here on; `None` = it fails.
    pub outline: Option<Outline>,
    /// What was checked, and the answer.
    pub record: Document,
    /// The least reserve of the states on both sides, in thousandths.
    pub least_reserve: Option<i64>,
    /// Whether it is of the vehicle as it was measured just now, and not as it was confirmed before or planned.
    pub as_found: bool,
    /// What put the raise in doubt (`Progress::doubt`) as it was computed: what was measured since, it knows nothing of.
    pub doubt: Option<Seq>,
}

impl Judgement {
    /// Whether it passes.
    #[must_use]
    pub const fn passes(&self) -> bool {
        self.outline.is_some()
    }
}

/// Whose hands: who acts, and the second person, if one is there. In the book both have given their PIN.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Hand {
    /// Who acts.
    pub by: PersonId,
    /// The second person.
    pub with: Option<PersonId>,
}

impl Hand {
    /// One person alone.
    #[must_use]
    pub const fn alone(by: PersonId) -> Self {
        Self { by, with: None }
    }
}

impl Command {
    /// The row of the role table that it falls under; of a hold point on the way up.
    #[must_use]
    pub const fn act(&self) -> Act {
        match self {
            Self::ChooseRules { .. }
            | Self::ChooseUnits { .. }
            | Self::ChooseZone { .. }
            | Self::SetClock { .. }
            | Self::EnterLimits { .. } => Act::RunShop,
            Self::AdmitPerson(_)
            | Self::GiveRole { .. }
            | Self::GiveAge { .. }
            | Self::PersonLeaves { .. }
            | Self::Authorise(_)
            | Self::WithdrawAuthorisation { .. } => Act::ManagePeople,
            Self::Instruct(_) => Act::Instruct,
            Self::EnterLift { .. } | Self::AlterLift { .. } => Act::EnterLift,
            Self::CheckLift { .. } => Act::CheckBeforeUse,
            Self::ReportExamination { .. } => Act::Examine,
            Self::ConfirmExamination { .. } => Act::ConfirmExamination,
            Self::ReportDefect { .. } => Act::ReportDefect,
            Self::ReportRepair { .. } => Act::Repair,
            Self::TagOut { .. } => Act::TagOut,
            Self::ReturnToService { .. } => Act::ReturnToService,
            Self::EnterVehicle { .. } => Act::EnterVehicle,
            Self::EnterJob { .. } => Act::EnterJob,
            Self::Measure(_) | Self::SayWhole { .. } => Act::Measure,
            Self::KeepPlan(_) => Act::KeepPlan,
            Self::BeginRaise(_) | Self::Confirm { .. } | Self::TakeOver { .. } => Act::Raise,
            Self::Upset { .. }
            | Self::NotRight { .. }
            | Self::LockNotHeard { .. }
            | Self::BringDown { .. } => Act::StopRaise,
            Self::AbandonRaise { .. } => Act::AbandonRaise,
            Self::ReportIncident { .. } => Act::ReportIncident,
            Self::SetPractice(_) => Act::SetPractice,
            Self::TryPractice { .. } => Act::Practise,
            Self::Correct { .. } => Act::Correct,
        }
    }
}
