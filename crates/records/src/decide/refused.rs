//! What of a refusal is written down.

use jiff::Timestamp;

use super::{Case, Decision};
use crate::command::{Command, Hand};
use crate::fact::Fact;
use crate::refusal::Refusal;
use crate::shop::Shop;

/// That a raise was asked for and refused, and that a check of the vehicle as it stands, or the state of the lift, held one
/// up. `None` = not written down: a slip of the order, of the leader or of a name.
#[must_use]
pub fn refused(
    shop: &Shop,
    at: Timestamp,
    hand: &Hand,
    command: &Command,
    reasons: &[Refusal],
) -> Option<Decision> {
    let mut case = Case::new(shop, at, hand);
    case.clock();
    case.present(&hand.by);
    let sentences = reasons.iter().map(ToString::to_string).collect();
    let fact = match command {
        Command::BeginRaise(new) => Fact::RaiseRefused { plan: case.plan(new), reasons: sentences },
        Command::Confirm { raise, point, judgement, .. } => {
            let open = shop.raises.get(raise)?;
            let was_next = open.leader == hand.by
                && open.progress.next() == Some(*point)
                && !reasons.iter().any(|r| matches!(r, Refusal::WentOn(_) | Refusal::CheckedBefore(_)));
            let held_up = |r: &Refusal| {
                matches!(
                    r,
                    Refusal::JudgementFails(_)
                        | Refusal::PadNotRechecked(_)
                        | Refusal::OtherLocks
                        | Refusal::DrivenInOtherwise(_)
                        | Refusal::LiftUnfit(..)
                        | Refusal::FileChanged(_)
                        | Refusal::NotWhole(..)
                        | Refusal::LiftHolds(..)
                        | Refusal::StandsElsewhere(..)
                )
            };
            if !was_next || !reasons.iter().any(held_up) {
                return None;
            }
            let judged = judgement.as_ref().map(|j| case.judged(j));
            Fact::PointRefused { raise: *raise, point: *point, judged, reasons: sentences }
        }
        _ => return None,
    };
    case.say(fact);
    // What refers to a lift, vehicle or person that the book does not know is not kept.
    case.refusals.is_empty().then_some(case.decision)
}
