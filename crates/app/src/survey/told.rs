//! What is said of rows and files on standard error, and how many there were of each.

use super::tally::{Losses, Lost};
use crate::cli::{FINE, UNREADABLE};
use crate::write;

/// What is wrong is told whole of so many; of the others where they stand. The same of what is odd.
const MOST_TOLD: u64 = 100;

/// What was told.
#[derive(Default)]
pub(crate) struct Told {
    skipped: u64,
    odd: u64,
    lost: Losses,
}

fn say(count: u64, what: &str) {
    if count <= MOST_TOLD {
        write::err(what);
    } else {
        let place = what.lines().next().unwrap_or_default();
        write::err(&format!("{place}\n"));
    }
}

impl Told {
    /// That one is skipped, and why: where it stands comes first, in a line.
    pub(crate) fn skip(&mut self, why: &str, lost: &Lost) {
        self.skipped += 1;
        self.lost.add(lost);
        say(self.skipped, why);
    }

    /// What is odd about one that is asked all the same.
    pub(crate) fn odd(&mut self, what: &str) {
        self.odd += 1;
        say(self.odd, what);
    }

    /// The exit status.
    pub(crate) const fn end(&self) -> u8 {
        if self.skipped > 0 { UNREADABLE } else { FINE }
    }

    /// How many there were, for the end of an answer.
    pub(crate) fn counted(&self) -> String {
        let odd = (self.odd > 0).then(|| {
            format!("\nLegal but odd, as told on standard error, and asked as they stand: {}.\n", self.odd)
        });
        let lost = self.lost.told().map(|lost| format!("\nSkipped, as told on standard error: {lost}.\n"));
        [odd, lost].into_iter().flatten().collect()
    }
}
