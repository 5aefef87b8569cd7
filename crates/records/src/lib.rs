//! The shop's book: who did what, when, on which lift, in a chain of events that nothing can quietly change.
//!
//! A [`Command`] is decided against the [`Shop`] (pure, every rule of the shop), its facts are written as events, and the
//! shop is the fold of all events. [`Book`] keeps them in SQLite or PostgreSQL; nothing else here does more than compute.
//!
//! ```no_run
//! # async fn example(now: jiff::Timestamp) -> Result<(), Box<dyn std::error::Error>> {
//! use records::{Book, Command, Fitness, HoldPoint, RaiseNumber, fitness};
//! let book = Book::open("shop.book").await?; // or "postgres://user@server/shop"
//! let signed = book.check_pin(now, &"r-holt".parse()?, "2580").await?;
//! let shop = book.shop().await?;
//! if fitness(&shop, &"north-bay".parse()?, now) == Fitness::Fit {
//!     let point = HoldPoint::Spotted;
//!     let raise = RaiseNumber(1);
//!     // Every reason against it comes back as `Failure::Refused`.
//!     book.act(now, &signed, &Command::Confirm { raise, point, judgement: None, words: None, seen: None }).await?;
//! }
//! # Ok(()) }
//! ```
//!
//! It runs on a tokio runtime with time and input/output enabled. One book is one shop; several shops on one server are
//! several databases. What a person may do once their PIN was right lasts as long as the [`Signed`] that proves it is kept.

mod book;
mod checked;
mod checklist;
mod command;
mod course;
mod decide;
mod digest;
mod event;
mod fact;
mod failure;
mod fault;
mod fitness;
mod fleet;
mod hall;
mod left;
mod names;
mod practice;
mod progress;
mod refusal;
mod replay;
mod role;
mod rules;
mod set_back;
mod shop;
mod store;
mod struck;
mod text;
mod units;
mod zone;

pub use book::{
    Book, FIRST_LOCK, Held, Opening, Remade, Restored, Salvaged, Signed, Verification, WRONG_PINS, salvage,
    verify,
};
pub use checklist::CheckItem;
pub use command::{Command, Hand, Judgement, NewPlan, NewPractice};
pub use course::{HoldPoint, LaterLock, NotAHoldPoint, Outline};
pub use decide::{Decision, decide, refused};
pub use digest::{Digest, Document, NotADigest};
pub use event::{Event, Head};
pub use fact::{
    Admission, Authorisation, Fact, Finding, Instruction, Judged, KeptPlan, LiftSheet, Measurement, Report,
    Sign, Subject,
};
pub use failure::{Failure, PinFailure};
pub use fault::Fault;
pub use fitness::{Fitness, Why, due_after, due_days, fitness, stopped_by, why_due_sooner};
pub use fleet::Fleet;
pub use hall::{Checked, Counts, Defect, Examined, Hall, Lift, NotABeginning, Person, Practice, Raise};
pub use left::{Left, NotWhole, Part, Parts, in_the_way};
pub use names::{
    DefectNumber, ExaminationNumber, IncidentNumber, JobId, LiftId, NotAName, PersonId, PracticeNumber,
    RaiseNumber, Seq, VehicleId,
};
pub use practice::{Attempt, Hidden, PracticeEnd, Practised, Situation};
pub use progress::{Position, Progress};
pub use refusal::Refusal;
pub use role::{Act, May, Role, may};
pub use rules::{Due, OwnRules, ReportField, RuleSet, Rules, Sourced, Thoroughness, months_after};
pub use set_back::{Behind, CLOCKS_DIFFER, SetBack, WentBack};
pub use shop::Shop;
pub use store::parts::{AtWork, PartsDone, Taken};
pub use store::shown as shown_place;
pub use text::is_hidden;
pub use units::Units;
pub use zone::{UnknownZone, Zone};
