//! How the load on a stand changes of itself, and by what.

use statics::{Length, Mass};

use super::{Accounts, Bend, Whose};
use crate::plan::{Plan, StandsAnswer};
use crate::stands::{Change, changes};

/// The greatest change of the load on a stand, to less or to more, since it was set.
#[derive(Clone, Debug)]
pub struct StandChange {
    /// The state in which it is.
    pub state: usize,
    /// Which of the stands.
    pub stand: usize,
    /// How the arm of each pad bends there.
    pub bends: [Bend; 4],
    /// The other stand that gives way not at all; those that are not named give way without end.
    pub other: Option<usize>,
    /// How far all stand off their places, ahead and left.
    pub off: [Length; 2],
    /// What came or went since.
    pub changes: Vec<Came>,
}

/// A mass that came, or went.
#[derive(Clone, Debug)]
pub struct Came {
    /// Whose, as it is counted; a part that came off and went on again is counted no more.
    pub whose: Whose,
    /// Whether what is told is counted since; else no more.
    pub counted: bool,
    /// What the weight grew by; negative = it came to be less.
    pub mass: Mass,
    /// How far that may be off.
    pub mass_off: Mass,
    /// Its place in the bay.
    pub at: [Length; 2],
    /// How far that may be off.
    pub at_off: [Length; 2],
}

impl Accounts<'_> {
    /// The greatest change of the load on a stand to less or to more, over all states; `None` where there is none, and
    /// where three stands or more together decide it.
    #[must_use]
    pub fn stand_change(&self, plan: &Plan, more: bool) -> Option<StandChange> {
        let StandsAnswer::Serve(standing) = plan.stands.as_ref()? else { return None };
        let end = |d: &[statics::Force; 2]| d[usize::from(more)].abs().to_newtons();
        let each = standing.drift.iter().enumerate();
        let each = each.flat_map(|(k, all)| all.iter().enumerate().map(move |(s, d)| (end(d), k, s)));
        let (most, k, stand) = each.reduce(|a, b| if b.0 > a.0 { b } else { a })?;
        if most <= 0.0 {
            return None;
        }
        let state = standing.from + k;
        let ledgers = self.situation.ledgers(plan.order.as_ref());
        let changes = changes(&self.stand, ledgers.get(standing.from)?, ledgers.get(state)?);
        let posts = self.situation.posts(&self.stand, &self.pads, &standing.places)?;
        let gives = posts.farthest(&changes, stand, more)?;
        let bends = self.situation.bends(&self.stand, &self.pads);
        let others: Vec<usize> = gives.rigid.iter().copied().filter(|s| *s != stand).collect();
        let alone = |k: usize| self.counted(&Plan { stands: None, ..plan.clone() }, k);
        let [before, after] = [standing.from, state].map(alone);
        let came = |change: &Change| {
            let (counted, index) = change.of;
            let whose = if counted { &after } else { &before }.get(index)?.whose.clone();
            Some(Came {
                whose,
                counted,
                mass: Mass::kilograms(change.mass),
                mass_off: Mass::kilograms(change.tolerance),
                at: change.at.map(Length::metres),
                at_off: change.off.map(Length::metres),
            })
        };
        (others.len() <= 1).then_some(())?;
        Some(StandChange {
            state,
            stand,
            bends: gives.models.iter().map(|k| bends[*k]).collect::<Vec<_>>().try_into().ok()?,
            other: others.first().copied(),
            off: gives.off.map(Length::metres),
            changes: changes.iter().map(came).collect::<Option<_>>()?,
        })
    }
}
