//! Who may do what: one table.

use std::fmt;

use serde::{Deserialize, Serialize};

/// What a person is in the shop.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Role {
    /// Works on vehicles.
    Technician,
    /// Answers for the shop.
    Lead,
    /// Examines lifts: the competent person.
    Examiner,
    /// Teaches and instructs.
    Instructor,
    /// Learns the trade.
    Learner,
}

impl Role {
    /// All, in the order of the table's columns.
    pub const ALL: [Self; 5] =
        [Self::Technician, Self::Lead, Self::Examiner, Self::Instructor, Self::Learner];
}

impl fmt::Display for Role {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Technician => "technician",
            Self::Lead => "lead",
            Self::Examiner => "examiner",
            Self::Instructor => "instructor",
            Self::Learner => "learner",
        })
    }
}

/// What can be done in the book, as far as it matters who does it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Act {
    /// Choose rule set, zone, units and the shop's own limits, set the clock right.
    RunShop,
    /// Admit people, give roles and authorisations, set others' PINs.
    ManagePeople,
    /// Record that somebody was instructed.
    Instruct,
    /// Enter or alter a lift.
    EnterLift,
    /// The check before use.
    CheckBeforeUse,
    /// Report an examination.
    Examine,
    /// Confirm an examination's report as the employer.
    ConfirmExamination,
    /// Report a defect.
    ReportDefect,
    /// Take a lift out of service.
    TagOut,
    /// Report a repair.
    Repair,
    /// Return a lift to service.
    ReturnToService,
    /// Enter a vehicle.
    EnterVehicle,
    /// Enter a job.
    EnterJob,
    /// Put another file in the place of that of a vehicle or a job.
    Replace,
    /// Record what was measured of a vehicle, or that it is as its file says.
    Measure,
    /// Keep a plan.
    KeepPlan,
    /// Begin a raise, confirm its hold points, take it over.
    Raise,
    /// Say that something is not right at a raise, bring it down.
    StopRaise,
    /// End a raise out of its course.
    AbandonRaise,
    /// Report an incident.
    ReportIncident,
    /// Set a situation to practise on, and see what everybody made of it.
    SetPractice,
    /// Practise.
    Practise,
    /// Strike an event out.
    Correct,
}

/// Answer of the table.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum May {
    /// Alone.
    Yes,
    /// Only with a second person who may alone.
    WithSecond,
    /// Not at all.
    No,
}

const PRACTICE: &str = "common practice, no source";
const ANYBODY: &str = "whoever sees a danger may stop it: common practice, no source";
const OPERATORS: &str = "DGUV Information 208-015 sections 4 and 9: instructed and authorised operators; the second person: common practice";

use May::{No as N, WithSecond as S, Yes as Y};

/// Act; technician, lead, examiner, instructor, learner; source.
const TABLE: [(Act, [May; 5], &str); 23] = [
    (Act::RunShop, [N, Y, N, N, N], PRACTICE),
    (
        Act::ManagePeople,
        [N, Y, N, N, N],
        "DGUV Information 208-015 section 9: the employer authorises in writing",
    ),
    (
        Act::Instruct,
        [N, Y, N, Y, N],
        "DGUV Information 208-015 section 9: documented instruction; by whom: common practice",
    ),
    (Act::EnterLift, [N, Y, Y, N, N], PRACTICE),
    (Act::CheckBeforeUse, [Y, Y, Y, Y, S], OPERATORS),
    (Act::Examine, [N, N, Y, N, N], "DGUV Regel 100-500 chapter 2.10 section 2.9: a competent person"),
    (
        Act::ConfirmExamination,
        [N, Y, N, N, N],
        "DGUV Regel 100-500 chapter 2.10 section 2.9.4: the employer confirms",
    ),
    (Act::ReportDefect, [Y, Y, Y, Y, Y], ANYBODY),
    (Act::TagOut, [Y, Y, Y, Y, Y], ANYBODY),
    (Act::Repair, [Y, Y, N, N, N], PRACTICE),
    (Act::ReturnToService, [N, Y, Y, N, N], PRACTICE),
    (Act::EnterVehicle, [Y, Y, N, Y, Y], PRACTICE),
    (Act::EnterJob, [Y, Y, N, Y, Y], PRACTICE),
    (Act::Replace, [Y, Y, N, Y, S], "others plan with what it takes the place of: own convention"),
    (Act::Measure, [Y, Y, N, Y, S], PRACTICE),
    (Act::KeepPlan, [Y, Y, N, Y, Y], PRACTICE),
    (Act::Raise, [Y, Y, N, Y, S], OPERATORS),
    (Act::StopRaise, [Y, Y, Y, Y, Y], ANYBODY),
    (Act::AbandonRaise, [N, Y, N, N, N], PRACTICE),
    (Act::ReportIncident, [Y, Y, Y, Y, Y], ANYBODY),
    (Act::SetPractice, [N, Y, N, Y, N], "who may instruct: own convention"),
    (Act::Practise, [Y, Y, Y, Y, Y], "it moves nothing: own convention"),
    (Act::Correct, [Y, Y, Y, Y, S], "a correction only takes away what it strikes out: own convention"),
];

impl Act {
    /// All.
    pub fn all() -> impl Iterator<Item = Self> {
        TABLE.iter().map(|row| row.0)
    }

    /// Whether it moves a lift, so that the person must be instructed and authorised.
    #[must_use]
    pub const fn operates(self) -> bool {
        matches!(self, Self::CheckBeforeUse | Self::Raise)
    }

    /// Where the row comes from.
    #[must_use]
    pub fn source(self) -> &'static str {
        TABLE.iter().find(|row| row.0 == self).map_or("", |row| row.2)
    }
}

impl fmt::Display for Act {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::RunShop => "run the shop",
            Self::ManagePeople => "manage people",
            Self::Instruct => "record an instruction",
            Self::EnterLift => "enter a lift",
            Self::CheckBeforeUse => "check a lift before use",
            Self::Examine => "report an examination",
            Self::ConfirmExamination => "confirm an examination",
            Self::ReportDefect => "report a defect",
            Self::TagOut => "take a lift out of service",
            Self::Repair => "report a repair",
            Self::ReturnToService => "return a lift to service",
            Self::EnterVehicle => "enter a vehicle",
            Self::EnterJob => "enter a job",
            Self::Replace => "replace a vehicle's or a job's file",
            Self::Measure => "record a measurement",
            Self::KeepPlan => "keep a plan",
            Self::Raise => "lead a raise",
            Self::StopRaise => "stop a raise or bring it down",
            Self::AbandonRaise => "abandon a raise",
            Self::ReportIncident => "report an incident",
            Self::SetPractice => "set a situation to practise on",
            Self::Practise => "practise",
            Self::Correct => "correct an event",
        })
    }
}

/// What the table says.
#[must_use]
pub fn may(role: Role, act: Act) -> May {
    let column = Role::ALL.iter().position(|r| *r == role);
    let row = TABLE.iter().find(|row| row.0 == act);
    row.zip(column).map_or(May::No, |(row, column)| row.1[column])
}
