//! Why something is not done: every reason, with its data.

use std::fmt;

use jiff::civil::Date;

use crate::checklist::CheckItem;
use crate::course::HoldPoint;
use crate::fitness::Why;
use crate::names::{
    DefectNumber, ExaminationNumber, JobId, LiftId, PersonId, PracticeNumber, RaiseNumber, Seq, VehicleId,
};
use crate::role::{Act, Role};
use crate::rules::ReportField;

/// One reason.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Refusal {
    /// Nobody of that name.
    UnknownPerson(PersonId),
    /// They no longer belong to the shop.
    HasLeft(PersonId),
    /// Their role does not do that.
    RoleMayNot(PersonId, Role, Act),
    /// A learner's act needs a second person.
    SecondNeeded(Act),
    /// The second person is the first.
    SecondIsTheSame,
    /// The second person may not do it alone either.
    SecondMayNot(PersonId, Role, Act),
    /// Too young to operate a lift until that day.
    TooYoung(PersonId, Date),
    /// Nobody wrote down whether they are of age.
    AgeUnknown(PersonId),
    /// Never instructed.
    NotInstructed(PersonId),
    /// The instruction counted until that day.
    InstructionLapsed(PersonId, Date),
    /// The instruction was given before the clock was set back, and had lapsed by the day that counted then.
    InstructedBeforeClock(PersonId),
    /// Not authorised in writing.
    NotAuthorised(PersonId),
    /// They belong to the shop already.
    AlreadyAdmitted(PersonId),
    /// Somebody who has left has that name in the book.
    NameOfAnother(PersonId),
    /// Somebody else who belongs to the shop has that full name.
    NameTwice(String, PersonId),
    /// The shop would be without a lead.
    LastLead(PersonId, Vec<PersonId>),
    /// Something was left blank.
    Blank(&'static str),
    /// A text with a sign that is not seen, by the name of its field.
    HiddenSign(String, char),
    /// A text that is too long: its field, its length, and the most that fits.
    TooLong(String, usize, usize),
    /// A document with a zero byte: not every store keeps it.
    NotText,
    /// A day that has not come yet.
    NotYet(Date),
    /// Rules that cannot be kept.
    SenselessRules(&'static str),
    /// The zone is not known on this machine.
    UnknownZone(String),
    /// The clock is not behind.
    ClockNotBehind,
    /// No such lift.
    UnknownLift(LiftId),
    /// No such vehicle.
    UnknownVehicle(VehicleId),
    /// No such job.
    UnknownJob(JobId),
    /// No such examination.
    UnknownExamination(ExaminationNumber),
    /// It was confirmed before.
    ExaminationConfirmed(ExaminationNumber),
    /// No such open defect.
    UnknownDefect(DefectNumber),
    /// It was repaired before.
    AlreadyRepaired(DefectNumber),
    /// Defects that stop its use and are not repaired.
    NotRepaired(Vec<DefectNumber>),
    /// The last examination found it unfit.
    FoundUnfit(LiftId, ExaminationNumber),
    /// It is in service.
    InService(LiftId),
    /// Items without an answer.
    CheckIncomplete(Vec<CheckItem>),
    /// Fields that the rules ask for.
    ReportIncomplete(Vec<ReportField>),
    /// The next examination, due on the first day, would be due before this one, of the second day, was made.
    DueBeforeExamined(Date, Date),
    /// The plan does not allow the raise.
    PlanForbids,
    /// The plan was made with another file than the book holds.
    PlanOutOfDate(&'static str),
    /// The plan was made with limits that the shop has not entered, by somebody who may not set them.
    OtherLimits(PersonId, Role),
    /// Something was measured of the vehicle since, or a measurement was struck out.
    MeasuredSince(VehicleId),
    /// The same since a check of the vehicle in a raise was computed.
    CheckedBefore(VehicleId),
    /// A file was changed while the raise was under way.
    FileChanged(&'static str),
    /// Its outline contradicts itself.
    OutlineUnsound,
    /// The lift may not be used.
    LiftUnfit(LiftId, Vec<Why>),
    /// A raise on it has not ended.
    LiftBusy(LiftId, RaiseNumber),
    /// The vehicle is on a lift.
    VehicleBusy(VehicleId, RaiseNumber),
    /// On the lift another vehicle was left by that raise.
    LiftHolds(LiftId, VehicleId, RaiseNumber),
    /// The vehicle was left on another lift by that raise.
    StandsElsewhere(VehicleId, LiftId, RaiseNumber),
    /// That raise left the vehicle with these parts off, and the plan has no such state.
    NotWhole(VehicleId, Option<RaiseNumber>, String),
    /// What a vehicle weighs is told by its file as it is whole, and that raise left it with these parts off.
    WeighedNotWhole(VehicleId, Option<RaiseNumber>, String),
    /// The same of a raise that has not ended.
    WeighedInRaise(VehicleId, RaiseNumber, String),
    /// It is said to be whole, and a raise under way has it so.
    NotWholeInRaise(VehicleId, RaiseNumber, String),
    /// The book does not say otherwise.
    IsWhole(VehicleId),
    /// No such raise, or it has ended.
    NoSuchRaise(RaiseNumber),
    /// Somebody else leads it, and they may take it over.
    NotLeader(RaiseNumber, PersonId),
    /// Somebody else leads it, and they may not lead one.
    LedByAnother(RaiseNumber, PersonId),
    /// They lead it already.
    LeadsAlready(RaiseNumber),
    /// It went on since it was shown to whoever confirms.
    WentOn(RaiseNumber),
    /// Another hold point comes first.
    NotNext {
        /// What was to be confirmed.
        asked: HoldPoint,
        /// What comes next.
        next: HoldPoint,
    },
    /// Before this point the vehicle as it is then must be checked.
    JudgementMissing(HoldPoint),
    /// That check fails.
    JudgementFails(HoldPoint),
    /// By a check this pad is to be rechecked by hand, and it is raised past that.
    PadNotRechecked(String),
    /// By a check it works at other locks, and it is past where that can be followed.
    OtherLocks,
    /// It was planned driven in backwards, or forwards, and stands the other way.
    DrivenInOtherwise(bool),
    /// As it was measured before this point it must not be raised, and nobody says what was changed since.
    StandsWrong(HoldPoint),
    /// The lift is not on its way up.
    NotGoingUp(RaiseNumber),
    /// It is on its way down for good already.
    ComesDown(RaiseNumber),
    /// No such situation to practise on, or it is struck out.
    NoSuchPractice(PracticeNumber),
    /// A situation without a lift or a vehicle.
    PracticeLacks(&'static str),
    /// No such event.
    NoSuchEvent(Seq),
    /// It stays written, with the way back that there is instead.
    NotStruckOut(Seq, &'static str),
    /// It is struck out already.
    AlreadyCorrected(Seq),
}

fn list<T: fmt::Display>(all: &[T]) -> String {
    all.iter().map(ToString::to_string).collect::<Vec<_>>().join("; ")
}

impl fmt::Display for Refusal {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::UnknownPerson(p) => write!(f, "There is nobody called {p} in the book."),
            Self::HasLeft(p) => write!(f, "{p} no longer belongs to the shop."),
            Self::RoleMayNot(p, role, act) => write!(f, "{p} is {role} and may not {act}."),
            Self::SecondNeeded(act) => {
                write!(f, "A learner may {act} only with a second person who may do it alone.")
            }
            Self::SecondIsTheSame => write!(f, "The second person must be somebody else."),
            Self::SecondMayNot(p, role, act) => {
                write!(f, "{p} is {role} and may not {act} alone, so cannot be the second person.")
            }
            Self::TooYoung(p, day) => write!(f, "{p} may operate a lift from {day} on."),
            Self::AgeUnknown(p) => {
                write!(f, "The book does not say from which day {p} is 18; a lead gives it with `enter age`.")
            }
            Self::NotInstructed(p) => write!(f, "No instruction of {p} is in the book."),
            Self::InstructionLapsed(p, day) => write!(f, "The last instruction of {p} counted until {day}."),
            Self::InstructedBeforeClock(p) => write!(
                f,
                "The last instruction of {p} had lapsed before the clock was set back; instruct {p} again, and enter it with \
                 `enter instruction`."
            ),
            Self::NotAuthorised(p) => write!(f, "{p} is not authorised in writing to operate lifts."),
            Self::AlreadyAdmitted(p) => write!(f, "{p} belongs to the shop already."),
            Self::NameOfAnother(p) => {
                write!(
                    f,
                    "{p} is the name in the book of somebody who has left, and stays theirs; give another."
                )
            }
            Self::NameTwice(name, p) => write!(
                f,
                "{name} is the full name of {p} already, and records name people by it: write what tells the two apart, as on \
                 paper, such as a second name, or “junior”."
            ),
            Self::LastLead(p, others) if others.is_empty() => {
                write!(f, "{p} is the only lead; name another first.")
            }
            Self::LastLead(p, others) => {
                let others: Vec<&str> = others.iter().map(PersonId::as_str).collect();
                let others = others.join(", ");
                write!(
                    f,
                    "{p} is the only lead who can sign. In the book is no PIN of: {others}. Set it first with `enter pin`."
                )
            }
            Self::Blank(what) => match what.strip_prefix("what ") {
                Some(rest) => write!(f, "What {rest} must not be blank."),
                None => write!(f, "The {what} must not be blank."),
            },
            Self::HiddenSign(what, sign) => write!(
                f,
                "The text of “{what}” holds the sign U+{:04X}, which is not seen and may change what is read; write it without.",
                u32::from(*sign)
            ),
            Self::TooLong(what, long, most) => {
                write!(f, "The text of “{what}” is {long} signs long; at most {most} fit.")
            }
            Self::NotText => write!(f, "A document contains a zero byte, so it is no text."),
            Self::NotYet(day) => write!(f, "{day} has not come yet by the clock of this machine."),
            Self::SenselessRules(what) => write!(f, "These rules cannot be kept: {what}."),
            Self::UnknownZone(zone) => {
                write!(
                    f,
                    "The time zone “{zone}” is not known on every machine; one is written like Europe/Berlin."
                )
            }
            Self::ClockNotBehind => write!(f, "The clock does not stand before the last event."),
            Self::UnknownLift(l) => write!(f, "There is no lift called {l} in the book."),
            Self::UnknownVehicle(v) => write!(f, "There is no vehicle called {v} in the book."),
            Self::UnknownJob(j) => write!(f, "There is no job called {j} in the book."),
            Self::UnknownExamination(n) => write!(f, "There is no examination {n}."),
            Self::ExaminationConfirmed(n) => write!(f, "Examination {n} is confirmed already."),
            Self::UnknownDefect(n) => write!(f, "There is no open defect {n}."),
            Self::AlreadyRepaired(n) => write!(f, "Defect {n} is repaired already."),
            Self::NotRepaired(all) => write!(f, "Not repaired yet: defect {}.", list(all)),
            Self::FoundUnfit(l, n) => write!(
                f,
                "Examination {n} found {l} unfit for use: repair it, then report an examination that finds it fit with \
                 `enter examination`; a finding that was wrong an examiner strikes out with `enter correction`."
            ),
            Self::InService(l) => write!(f, "{l} is not out of service."),
            Self::CheckIncomplete(all) => write!(f, "Not answered: {}.", list(all)),
            Self::ReportIncomplete(all) => write!(f, "The report lacks: {}.", list(all)),
            Self::DueBeforeExamined(due, on) => write!(
                f,
                "The next examination cannot be due by {due}, before the day of this one, {on}; look which of the two days is \
                 wrong."
            ),
            Self::PlanForbids => write!(f, "The plan says that it must not be raised."),
            Self::PlanOutOfDate(what) => {
                write!(f, "The plan was made with another {what} file than the book holds; plan again.")
            }
            Self::OtherLimits(p, role) => write!(
                f,
                "The plan was made with limits that the shop has not entered, and {p} is {role} and may not set the shop's \
                 limits; plan without them, or have a lead enter them with `enter limits`."
            ),
            Self::MeasuredSince(v) => {
                write!(f, "The plan was made with other measurements of {v} than the book holds; plan again.")
            }
            Self::CheckedBefore(v) => write!(
                f,
                "Something was measured of {v}, or struck out, while the check was computed; nothing was confirmed: look where it \
                 stands now."
            ),
            Self::FileChanged(what) => {
                write!(
                    f,
                    "The {what} file was changed since the raise was planned; bring it down, and plan again."
                )
            }
            Self::OutlineUnsound => write!(f, "The plan's outline contradicts itself."),
            Self::LiftUnfit(l, why) => write!(f, "{l} may not be used: {}.", list(why)),
            Self::LiftBusy(l, n) => write!(f, "Raise {n} on {l} has not ended."),
            Self::VehicleBusy(v, n) => write!(f, "{v} is in raise {n}, which has not ended."),
            Self::LiftHolds(l, v, n) => {
                write!(
                    f,
                    "Raise {n} left {v} on {l}: once it is clear, a lead or an examiner returns the lift to service."
                )
            }
            Self::StandsElsewhere(v, l, n) => {
                write!(
                    f,
                    "Raise {n} left {v} on {l}: once that is clear, a lead or an examiner returns the lift to service."
                )
            }
            Self::NotWhole(v, Some(n), state) => write!(
                f,
                "Raise {n} left {v} with {state}: it is raised by a plan that comes to this before anything else comes off or goes on, \
                 with parts as heavy and in the same place (what a part weighed was measured since: that is struck out), and sets no stands before it comes to this; or, once it is as its file says, or its file was \
                 entered anew as it is, say that it is whole again (`enter whole`)."
            ),
            Self::NotWhole(v, None, state) => write!(
                f,
                "The book was salvaged, and {v} may stand with {state}: look, and once it is as its file says, say that it is whole \
                 again (`enter whole`)."
            ),
            Self::WeighedNotWhole(v, raise, state) => {
                let left = raise.map_or_else(
                    || format!("{v} may stand with {state}, as the book was salvaged"),
                    |n| format!("Raise {n} left {v} with {state}"),
                );
                write!(
                    f,
                    "{left}, and a measurement takes the place of what its file says of it whole: weigh it once it is as its file says and that it is whole again was said (`enter whole`), or enter its file anew as it is."
                )
            }
            Self::WeighedInRaise(v, raise, state) => write!(
                f,
                "In raise {raise} {v} is, or may be, with {state}, and a measurement takes the place of what its file says of it \
                 whole: weigh it before parts come off, or once it is as its file says again."
            ),
            Self::NotWholeInRaise(v, raise, state) => {
                write!(
                    f,
                    "In raise {raise} {v} is, or may be, with {state}: its own points say when it is whole."
                )
            }
            Self::IsWhole(v) => write!(f, "Nothing in the book says that {v} is not as its file says."),
            Self::NoSuchRaise(n) => write!(f, "There is no raise {n}, or it has ended."),
            Self::NotLeader(n, p) => write!(f, "{p} leads raise {n}; take it over first."),
            Self::LedByAnother(n, p) => {
                write!(
                    f,
                    "{p} leads raise {n}: only {p} confirms its points, or whoever may lead one and takes it over."
                )
            }
            Self::LeadsAlready(n) => write!(f, "They lead raise {n} already."),
            Self::WentOn(n) => write!(
                f,
                "Raise {n} went on since this was shown, here or elsewhere; nothing was confirmed: look where it stands now."
            ),
            Self::NotNext { asked, next } => write!(f, "{asked} cannot be confirmed; next is {next}."),
            Self::JudgementMissing(point) => {
                write!(f, "Before {point} the vehicle as it is then must be checked.")
            }
            Self::JudgementFails(point) => write!(f, "The check before {point} fails."),
            Self::PadNotRechecked(pad) => write!(
                f,
                "By the check the {pad} is to be rechecked by hand, as a shake does not prove it, and it is raised past that: bring \
                 it down, and begin anew."
            ),
            Self::OtherLocks => write!(
                f,
                "By the check it is to be brought to other locks, and it is past where that can be led: bring it down, and begin anew."
            ),
            Self::DrivenInOtherwise(backwards) => {
                let [planned, other] =
                    if *backwards { ["backwards", "forwards"] } else { ["forwards", "backwards"] };
                write!(
                    f,
                    "It is planned driven in {planned}: drive it in so, or end this raise and plan it driven in {other}."
                )
            }
            Self::StandsWrong(point) => write!(
                f,
                "What was measured at {point} was refused: set it right and measure it again, or confirm with words that say what \
                 was changed."
            ),
            Self::NotGoingUp(n) => {
                write!(f, "Raise {n} is not on its way to its locks; bring it down, or tag the lift.")
            }
            Self::ComesDown(n) => write!(f, "Raise {n} is being brought down already."),
            Self::NoSuchPractice(n) => write!(f, "There is no situation {n} to practise on."),
            Self::PracticeLacks(what) => write!(f, "The situation has no {what}."),
            Self::NoSuchEvent(n) => write!(f, "There is no event {n}."),
            Self::NotStruckOut(n, instead) => write!(f, "Event {n} is not struck out: {instead}."),
            Self::AlreadyCorrected(n) => write!(f, "Event {n} is struck out already."),
        }
    }
}
