//! Working forces, and what is left when one pad or one lock fails.

use super::page::Page;
use crate::words::work;
use crate::{Scene, Units};

pub(super) fn forces(page: &mut Page, scene: &Scene<'_>, units: Units) {
    if !scene.plan.work.is_empty() {
        let each = scene.plan.work.iter().map(|answer| work::force(scene, answer, units));
        page.list("Forces of the work, pads and level within their tolerances, held by friction alone", each);
    }
}

pub(super) fn losses(page: &mut Page, scene: &Scene<'_>, units: Units) {
    let (pads, locks) = (work::pads(scene, units), work::locks(scene, units));
    if !pads.is_empty() {
        page.list("If one pad does not carry", pads);
    }
    if !locks.is_empty() {
        page.list("If one arm's lock is not engaged", locks);
    }
}
