//! Rule sets of countries, as data: how often a lift is examined and checked, what a report must say.

use std::borrow::Cow;
use std::fmt;

use jiff::ToSpan;
use jiff::civil::Date;
use serde::{Deserialize, Serialize};

/// How thorough an examination is. A more thorough one counts for a less thorough one.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Thoroughness {
    /// A routine inspection.
    Routine,
    /// The regular examination by a competent person, also the one after an alteration.
    Regular,
    /// The major one after many years.
    Major,
}

impl fmt::Display for Thoroughness {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Routine => "routine inspection",
            Self::Regular => "examination",
            Self::Major => "major inspection",
        })
    }
}

/// What a report of an examination must say, beside its date and whether the lift may be used.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum ReportField {
    /// What was examined.
    Scope,
    /// Defects that were found, or that there were none.
    Defects,
    /// Whether it must be examined again, and after what.
    Retest,
    /// Who examined it.
    Examiner,
    /// The examiner's address.
    ExaminerAddress,
    /// The examiner's qualifications.
    Qualifications,
    /// Whether the examiner is self-employed or, if not, name and address of the employer.
    ExaminerEmployer,
    /// The examiner's signature, or where the signed paper is.
    Signature,
    /// Name and address of whoever signs or authenticates the report on its author's behalf.
    SignedFor,
    /// Date of the report.
    ReportDate,
    /// Employer for whom it was examined.
    Owner,
    /// Where it stands.
    Location,
    /// What tells it from other lifts.
    Identity,
    /// Date of the last examination.
    LastExamination,
    /// Safe working load.
    WorkingLoad,
    /// Reason for the examination, and its type.
    Reason,
    /// Repair that is needed, and by when.
    Repair,
    /// Particulars of any test, or that there was none.
    Test,
    /// Date by which the next one is due.
    NextDue,
}

impl fmt::Display for ReportField {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Scope => "scope",
            Self::Defects => "defects",
            Self::Retest => "re-test",
            Self::Examiner => "examiner's name",
            Self::ExaminerAddress => "examiner's address",
            Self::Qualifications => "examiner's qualifications",
            Self::ExaminerEmployer => "self-employed, or employer's name and address",
            Self::Signature => "signature",
            Self::SignedFor => "who signs or authenticates it, and address",
            Self::ReportDate => "date of the report",
            Self::Owner => "owner",
            Self::Location => "location",
            Self::Identity => "identity",
            Self::LastExamination => "date of the last examination",
            Self::WorkingLoad => "safe working load",
            Self::Reason => "reason and type",
            Self::Repair => "repair and its date",
            Self::Test => "test, or that there was none",
            Self::NextDue => "next examination due",
        })
    }
}

/// A figure, with where it comes from.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Sourced<T> {
    /// The figure.
    pub value: T,
    /// Where it comes from.
    pub source: Cow<'static, str>,
}

const fn from<T>(value: T, source: &'static str) -> Sourced<T> {
    Sourced { value, source: Cow::Borrowed(source) }
}

/// An examination that comes back.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Due {
    /// Of what kind.
    pub thoroughness: Thoroughness,
    /// Every so many calendar months.
    pub months: Sourced<u16>,
    /// Whether the first interval begins when the lift is first used; otherwise one comes before first use.
    pub from_first_use: bool,
}

/// What a shop goes by.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct RuleSet {
    /// What it is called.
    pub title: Cow<'static, str>,
    /// Examinations.
    pub examinations: Vec<Due>,
    /// The check before use on each day.
    pub check_each_day: Option<Sourced<()>>,
    /// Months for which an instruction counts; `None` = one must have been, no interval is known.
    pub instruction_months: Option<Sourced<u16>>,
    /// Least age of an operator, in years.
    pub operator_age: Option<Sourced<u8>>,
    /// Whether the employer confirms the examination's report.
    pub employer_confirms: Option<Sourced<()>>,
    /// What the report must say.
    pub report_fields: Sourced<Vec<ReportField>>,
}

/// Which rule set a shop has chosen. The stored form.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(tag = "set", rename_all = "kebab-case")]
pub enum Rules {
    /// Germany.
    Germany,
    /// United Kingdom, lifts that people work under: six months.
    UnitedKingdom,
    /// United Kingdom, lifts that nobody works under: twelve months.
    UnitedKingdomTwelveMonths,
    /// United States.
    UnitedStates,
    /// Australia.
    Australia,
    /// The shop's own.
    Own(OwnRules),
}

/// A shop's own rules. The stored form.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub struct OwnRules {
    /// Where they come from.
    pub source: String,
    /// Months between examinations.
    pub examination_months: u16,
    /// Whether a lift is checked on each day of use.
    pub check_each_day: bool,
    /// Months for which an instruction counts.
    pub instruction_months: Option<u16>,
    /// What the report must say.
    pub report_fields: Vec<ReportField>,
}

fn regular(months: u16, source: &'static str) -> Due {
    Due { thoroughness: Thoroughness::Regular, months: from(months, source), from_first_use: false }
}

/// Report fields where no list is known.
const FEW: &[ReportField] = &[ReportField::Scope, ReportField::Defects, ReportField::Examiner];
const PRACTICE: &str = "common practice, no source";

impl Rules {
    /// Those that come with the program.
    pub const OF_COUNTRIES: [Self; 5] = [
        Self::Germany,
        Self::UnitedKingdom,
        Self::UnitedKingdomTwelveMonths,
        Self::UnitedStates,
        Self::Australia,
    ];

    /// Their word, as stored.
    #[must_use]
    pub const fn word(&self) -> &'static str {
        match self {
            Self::Germany => "germany",
            Self::UnitedKingdom => "united-kingdom",
            Self::UnitedKingdomTwelveMonths => "united-kingdom-twelve-months",
            Self::UnitedStates => "united-states",
            Self::Australia => "australia",
            Self::Own(_) => "own",
        }
    }

    /// The rules themselves.
    #[must_use]
    pub fn rule_set(&self) -> RuleSet {
        match self {
            Self::Germany => germany(),
            Self::UnitedKingdom => united_kingdom(
                regular(
                    6,
                    "LOLER 1998 regulation 9(3); HSE OC 803/69: six-monthly where people work under it",
                ),
                "United Kingdom, six months",
            ),
            Self::UnitedKingdomTwelveMonths => united_kingdom(
                regular(12, "LOLER 1998 regulation 9(3): twelve months where it lifts no persons"),
                "United Kingdom, twelve months",
            ),
            Self::UnitedStates => united_states(),
            Self::Australia => australia(),
            Self::Own(own) => own.rule_set(),
        }
    }
}

fn germany() -> RuleSet {
    use ReportField as F;
    RuleSet {
        title: "Germany".into(),
        examinations: vec![regular(
            12,
            "DGUV Regel 100-500 chapter 2.10 section 2.9.1; DGUV Information 208-015 section 8",
        )],
        check_each_day: Some(from((), "VBG 156: daily function test")),
        instruction_months: Some(from(12, "DGUV Information 208-015 section 9: at least once a year")),
        operator_age: Some(from(18, "DGUV Information 208-015 section 9")),
        employer_confirms: Some(from((), "DGUV Regel 100-500 chapter 2.10 section 2.9.4")),
        report_fields: from(
            vec![F::Scope, F::Defects, F::Retest, F::Examiner, F::ExaminerAddress, F::Signature],
            "DGUV Regel 100-500 chapter 2.10 section 2.9.4",
        ),
    }
}

fn united_kingdom(examination: Due, title: &'static str) -> RuleSet {
    use ReportField as F;
    RuleSet {
        title: title.into(),
        examinations: vec![examination],
        check_each_day: Some(from((), PRACTICE)),
        instruction_months: None,
        operator_age: None,
        employer_confirms: None,
        report_fields: from(
            vec![
                F::Owner,
                F::Location,
                F::Identity,
                F::LastExamination,
                F::WorkingLoad,
                F::Reason,
                F::Defects,
                F::Repair,
                F::NextDue,
                F::Test,
                F::Examiner,
                F::ExaminerAddress,
                F::Qualifications,
                F::ExaminerEmployer,
                F::SignedFor,
                F::ReportDate,
            ],
            "LOLER 1998 (SI 1998/2307) schedule 1; test, and who made and signed it, when: paragraphs 8(e), 9-11",
        ),
    }
}

fn united_states() -> RuleSet {
    RuleSet {
        title: "United States".into(),
        examinations: vec![regular(
            12,
            "ANSI/ALI ALOIM: yearly, by a qualified inspector (secondary outline)",
        )],
        check_each_day: Some(from((), "ANSI/ALI ALOIM: daily operator check (secondary outline)")),
        instruction_months: None,
        operator_age: None,
        employer_confirms: None,
        report_fields: from(FEW.to_vec(), PRACTICE),
    }
}

fn australia() -> RuleSet {
    const SOURCE: &str = "AS 2550.9 by Queensland's material";
    const CHECK: &str = "AS 2550.9 by Queensland's material: on each shift; the book asks on each day";
    let due = |thoroughness, months, from_first_use| Due {
        thoroughness,
        months: from(months, SOURCE),
        from_first_use,
    };
    RuleSet {
        title: "Australia".into(),
        examinations: vec![
            due(Thoroughness::Routine, 3, false),
            due(Thoroughness::Regular, 12, false),
            due(Thoroughness::Major, 120, true),
        ],
        check_each_day: Some(from((), CHECK)),
        instruction_months: None,
        operator_age: None,
        employer_confirms: None,
        report_fields: from(FEW.to_vec(), PRACTICE),
    }
}

impl OwnRules {
    fn rule_set(&self) -> RuleSet {
        let source = || Cow::Owned(self.source.clone());
        RuleSet {
            title: "the shop's own".into(),
            examinations: vec![Due {
                thoroughness: Thoroughness::Regular,
                months: Sourced { value: self.examination_months, source: source() },
                from_first_use: false,
            }],
            check_each_day: self.check_each_day.then(|| Sourced { value: (), source: source() }),
            instruction_months: self.instruction_months.map(|value| Sourced { value, source: source() }),
            operator_age: None,
            employer_confirms: None,
            report_fields: Sourced { value: self.report_fields.clone(), source: source() },
        }
    }
}

/// The day so many calendar months later, the last of the month where that day is missing (own convention).
/// At the end of the calendar the day itself: the stricter answer.
#[must_use]
pub fn months_after(day: Date, months: u16) -> Date {
    day.checked_add(i64::from(months).months()).unwrap_or(day)
}
