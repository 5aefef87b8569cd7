//! What can be wrong with a book.

use std::fmt;

use crate::digest::Digest;
use crate::event::Head;
use crate::names::{PersonId, Seq};

/// One thing that is wrong, named by its place.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Fault {
    /// Events are missing, from the first to the last of these.
    Missing(Seq, Seq),
    /// An event does not say what was written.
    Altered(Seq),
    /// An event stands where another was written.
    Moved {
        /// Where it stands.
        stands: Seq,
        /// Where it was written.
        written: Seq,
    },
    /// An event and the one before do not belong together: one of the two was put in the other's company.
    NotChained(Seq),
    /// An event is as written, but this program cannot read it.
    Unreadable(Seq, String),
    /// An event is as written, and goes by a zone of this name that nothing here knows: its day cannot be told.
    UnknownZone(Seq, String),
    /// The book ends elsewhere than it says.
    EndsElsewhere {
        /// What it says.
        said: Head,
        /// Where it ends.
        found: Head,
    },
    /// An event that was known from elsewhere (a backup, a paper) is not in the book as it was.
    NotAsKnown(Head),
    /// The book ends before an event that was known from elsewhere.
    EndsBefore {
        /// What was known.
        known: Head,
        /// The last event that is in it.
        last: Seq,
    },
    /// A document that an event refers to is not there.
    DocumentMissing(Seq, Digest),
    /// A document does not say what was written.
    DocumentAltered(Digest),
    /// What finds an event again, its day or what it is about, is not as the event says.
    WronglyListed(Seq),
    /// Something is listed under an event that is not there.
    ListedUnderNone(Seq),
    /// A document cannot be read.
    DocumentUnreadable(Digest, String),
    /// A PIN is not the one that was set.
    PinAltered(PersonId),
    /// A PIN that was set is not there.
    PinMissing(PersonId),
    /// Of somebody fewer than no wrong PINs or locks are counted.
    PinCount(String),
    /// A PIN of somebody whom nobody gave one.
    PinPlanted(String),
    /// The database lacks something that the program makes.
    Lacks(String),
    /// The database has something that no program of ours makes.
    Strange(String),
    /// The kept fold is not what the events come to, though it bears its own sum.
    FoldDiffers(Seq),
    /// The kept fold does not bear its own sum.
    FoldNotBelieved(Seq),
    /// It holds no event: what was to be written there was not.
    NoEvent,
    /// The book does not begin by opening a shop.
    NoBeginning,
    /// The log beside a file, in which what was confirmed last may stand alone, is not as it was written.
    Log,
    /// The database itself says that it is damaged.
    Store(String),
}

impl Fault {
    /// Of events, documents or PINs themselves, which a backup holds; anything else is made anew with a book.
    #[must_use]
    pub const fn is_of_what_is_kept(&self) -> bool {
        !matches!(
            self,
            Self::WronglyListed(_)
                | Self::ListedUnderNone(_)
                | Self::Lacks(_)
                | Self::Strange(_)
                | Self::FoldDiffers(_)
                | Self::FoldNotBelieved(_)
        )
    }
}

impl fmt::Display for Fault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Missing(from, to) if from == to => write!(f, "event {from} is missing"),
            Self::Missing(from, to) => write!(f, "events {from} to {to} are missing"),
            Self::Altered(seq) => write!(f, "event {seq} was altered"),
            Self::Moved { stands, written } => write!(f, "event {stands} was written as event {written}"),
            Self::NotChained(seq) => {
                write!(f, "event {seq} does not follow on the one before: one of the two was replaced")
            }
            Self::Unreadable(seq, why) => write!(f, "event {seq} cannot be read: {why}"),
            Self::UnknownZone(seq, zone) => {
                write!(
                    f,
                    "event {seq} goes by the time zone “{zone}”, which is not known here: its day cannot be told"
                )
            }
            Self::EndsElsewhere { said, found } => {
                write!(f, "the book says that it ends with event {}, and ends with {}", said.seq, found.seq)
            }
            Self::NotAsKnown(head) => write!(f, "event {} is not the one known as {}", head.seq, head.hash),
            Self::EndsBefore { known, last } => {
                write!(
                    f,
                    "the book ends with event {last}: event {}, known as {}, is not in it",
                    known.seq, known.hash
                )
            }
            Self::DocumentMissing(seq, digest) => write!(f, "document {digest} of event {seq} is missing"),
            Self::DocumentAltered(digest) => write!(f, "document {digest} was altered"),
            Self::WronglyListed(seq) => {
                write!(f, "event {seq} is listed under another day or subject than its own")
            }
            Self::ListedUnderNone(seq) => {
                write!(f, "something is listed under event {seq}, which is not in the book")
            }
            Self::DocumentUnreadable(digest, why) => write!(f, "document {digest} cannot be read: {why}"),
            Self::PinAltered(person) => write!(f, "the PIN of {person} is not the one that was set"),
            Self::PinMissing(person) => write!(f, "the PIN of {person} was set, and is missing"),
            Self::PinCount(person) => {
                write!(
                    f,
                    "what is counted of wrong PINs of “{person}” is less than none: somebody altered it"
                )
            }
            Self::PinPlanted(person) => write!(f, "there is a PIN of “{person}”, which nobody set"),
            Self::Lacks(what) => write!(f, "the database lacks the {what}"),
            Self::Strange(what) => {
                write!(f, "the database has something that no program of ours makes: {what}")
            }
            Self::FoldDiffers(seq) => {
                write!(
                    f,
                    "the shop as it was kept aside at event {seq} is not what its events come to; `standfast book backup` and \
                     `restore` make a book of its events alone"
                )
            }
            Self::FoldNotBelieved(seq) => write!(
                f,
                "the shop as it was kept aside at event {seq} is not what its events come to; it is not believed, and is computed \
                 anew when the book is opened next"
            ),
            Self::NoEvent => write!(
                f,
                "the book holds no event: its making broke off, or all was taken out of it; restore it anew, or begin another"
            ),
            Self::NoBeginning => write!(f, "the book does not begin by opening a shop"),
            Self::Log => write!(
                f,
                "the log beside the book (-wal), in which alone what was confirmed last may stand, is not as it was written. Nothing \
                 was opened or changed; whatever else opens the book may delete the log: copy both files first"
            ),
            Self::Store(words) => write!(f, "the database is damaged: {words}"),
        }
    }
}
