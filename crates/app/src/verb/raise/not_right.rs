//! What somebody who stands at a raise may say is not right, and what comes of it where the raise stands.

use records::{Command, HoldPoint, Progress, RaiseNumber, Sign};

/// What is not right, or that it is brought down.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum NotRight {
    Noise,
    Moved,
    Lock,
    Down,
    Other,
}

/// Where it is said.
#[derive(Clone, Copy, Debug)]
pub(crate) enum SaidAt {
    Terminal,
    Page,
    Program,
}

impl SaidAt {
    /// What stands in the book where no words were given.
    pub(crate) const fn no_words(self) -> &'static str {
        match self {
            Self::Terminal => "said at the terminal, without more words",
            Self::Page => "said on the page, without more words",
            Self::Program => "said by a program, without more words",
        }
    }
}

impl NotRight {
    /// In the order in which they are offered: what says nothing by itself comes last.
    const ALL: [Self; 5] = [Self::Noise, Self::Moved, Self::Lock, Self::Down, Self::Other];

    /// As a page or a program says it.
    pub(crate) const fn name(self) -> &'static str {
        match self {
            Self::Noise => "noise",
            Self::Moved => "moved",
            Self::Lock => "lock",
            Self::Down => "down",
            Self::Other => "other",
        }
    }

    pub(crate) fn named(name: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|one| one.name() == name)
    }

    /// Whether it says nothing without words.
    pub(crate) fn needs_words(self) -> bool {
        self == Self::Other
    }

    /// In words that begin a sentence or a line.
    pub(crate) const fn title(self, is_up: bool) -> &'static str {
        match self {
            Self::Noise => "there was a noise",
            Self::Moved => "the vehicle or a pad moved",
            Self::Lock => "a lock was not heard",
            Self::Down if is_up => "bring it down now",
            Self::Down => "it stays on the floor",
            Self::Other => "something else is not right",
        }
    }

    /// What comes of it where the raise stands; nothing where it is not offered there.
    fn then(self, progress: &Progress) -> Option<&'static str> {
        let is_to_come = progress.next() == Some(HoldPoint::Spotted);
        match self {
            Self::Noise | Self::Moved if is_to_come => None,
            Self::Noise | Self::Moved | Self::Other if progress.going_down => {
                Some(if progress.is_up() { "written down; the way down goes on" } else { "written down" })
            }
            Self::Noise | Self::Moved if progress.is_up() => {
                Some("down first, then the pads are seated again")
            }
            Self::Noise | Self::Moved => Some("the pads are seated again"),
            Self::Lock => {
                progress.is_going_up().then_some("only the way down is left, and the lift is out of service")
            }
            Self::Down if progress.going_down => None,
            Self::Down if is_to_come => Some("nothing is driven on, and the raise is ended"),
            Self::Down if progress.is_up() => Some("only the way down is left"),
            Self::Down => Some("nothing is raised, and the raise comes to its end"),
            Self::Other => Some("written down; the course stays"),
        }
    }

    /// What may be said where the raise stands, and what comes of it.
    pub(crate) fn offered(progress: &Progress) -> impl Iterator<Item = (Self, &'static str)> + '_ {
        Self::ALL.into_iter().filter_map(|one| Some((one, one.then(progress)?)))
    }

    /// What stops it is done at once, whether there was time for words or not.
    pub(crate) fn command(self, raise: RaiseNumber, words: &str, said: SaidAt) -> Command {
        let without = !self.needs_words() && words.trim().is_empty();
        let words = if without { said.no_words() } else { words }.to_owned();
        match self {
            Self::Noise => Command::Upset { raise, sign: Sign::Noise, words },
            Self::Moved => Command::Upset { raise, sign: Sign::Moved, words },
            Self::Lock => Command::LockNotHeard { raise, words },
            Self::Down => Command::BringDown { raise, words },
            Self::Other => Command::NotRight { raise, words },
        }
    }
}
