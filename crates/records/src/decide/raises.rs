//! Vehicles, jobs, plans, raises, incidents.

use std::collections::BTreeMap;

use super::Case;
use crate::command::{Command, Judgement, NewPlan};
use crate::course::HoldPoint;
use crate::digest::Digest;
use crate::fact::{Fact, Judged, KeptPlan, Measurement};
use crate::fitness::stopped_by;
use crate::hall::{Hall, Raise};
use crate::left::in_the_way;
use crate::names::{IncidentNumber, LiftId, RaiseNumber, Seq, VehicleId};
use crate::refusal::Refusal;
use crate::role::{Act, May, may};

/// How the keys of a vehicle's file begin that parts off or on change.
const OF_THE_WHOLE: [&str; 2] = ["weight.", "cg_height"];

impl<'a> Case<'a> {
    pub(super) fn raises(&mut self, command: &Command) {
        match command {
            Command::EnterVehicle { vehicle, description, file } => {
                let description = self.words("description", description);
                let file = self.keep(file);
                self.say(Fact::VehicleEntered { vehicle: vehicle.clone(), description, file });
            }
            Command::EnterJob { job, description, file } => {
                let description = self.words("description", description);
                let file = self.keep(file);
                self.say(Fact::JobEntered { job: job.clone(), description, file });
            }
            Command::Measure(measurement) => self.measure(measurement),
            Command::SayWhole { vehicle, words } => {
                self.known_vehicle(vehicle);
                let whole = self.shop.found_not_whole(vehicle).is_empty();
                self.refuse_if(whole, Refusal::IsWhole(vehicle.clone()));
                let off = self.not_whole_in_a_raise(vehicle);
                self.refusals.extend(
                    off.map(|(raise, state)| Refusal::NotWholeInRaise(vehicle.clone(), raise, state)),
                );
                let words = self.words("what was looked at", words);
                self.say(Fact::VehicleWhole { vehicle: vehicle.clone(), words });
            }
            Command::KeepPlan(plan) => {
                let plan = self.plan(plan);
                self.say(Fact::PlanKept { plan });
            }
            Command::BeginRaise(plan) => self.begin(plan),
            Command::Confirm { raise, point, judgement, words, seen } => {
                self.is_as_seen(*raise, *seen);
                self.confirm(*raise, *point, judgement.as_ref(), words.as_deref());
            }
            Command::Upset { raise, sign, words } => {
                self.open_raise(*raise);
                let words = self.words("what was heard or seen", words);
                self.say(Fact::RaiseUpset { raise: *raise, sign: *sign, words });
            }
            Command::NotRight { raise, words } => {
                self.open_raise(*raise);
                let words = self.words("what is not right", words);
                self.say(Fact::NotRight { raise: *raise, words });
            }
            Command::LockNotHeard { raise, words } => self.lock_not_heard(*raise, words),
            Command::BringDown { raise, words } => {
                if let Some(open) = self.open_raise(*raise) {
                    self.refuse_if(open.progress.going_down, Refusal::ComesDown(*raise));
                }
                let words = self.words("reason", words);
                self.say(Fact::BroughtDown { raise: *raise, words });
            }
            Command::TakeOver { raise } => self.take_over(*raise),
            Command::AbandonRaise { raise, words } => self.abandon(*raise, words),
            Command::ReportIncident { lift, raise, words } => self.incident(lift.as_ref(), *raise, words),
            _ => {}
        }
    }

    fn known_vehicle(&mut self, vehicle: &VehicleId) {
        self.refuse_if(
            !self.shop.fleet.vehicles.contains_key(vehicle),
            Refusal::UnknownVehicle(vehicle.clone()),
        );
    }

    /// As what a raise under way has a vehicle by its own steps.
    fn not_whole_in_a_raise(&self, vehicle: &VehicleId) -> Option<(RaiseNumber, String)> {
        let raised = self.shop.raises.iter().filter(|(_, raise)| raise.plan.vehicle == *vehicle);
        raised.filter_map(|(number, raise)| Some((*number, raise.progress.not_whole()?))).next()
    }

    fn measure(&mut self, measurement: &Measurement) {
        self.known_vehicle(&measurement.vehicle);
        // Nobody knows whether it was weighed with the parts that are off, or without.
        if OF_THE_WHOLE.iter().any(|key| measurement.what.starts_with(key)) {
            let found = self.shop.found_not_whole(&measurement.vehicle);
            let found = found.first().map(|found| (found.raise, found.to_string()));
            let vehicle = &measurement.vehicle;
            self.refusals
                .extend(found.map(|(raise, state)| Refusal::WeighedNotWhole(vehicle.clone(), raise, state)));
            let off = self.not_whole_in_a_raise(vehicle);
            self.refusals
                .extend(off.map(|(raise, state)| Refusal::WeighedInRaise(vehicle.clone(), raise, state)));
        }
        self.words("what was measured", &measurement.what);
        self.words("value", &measurement.value);
        self.words("way of measuring", &measurement.how);
        self.say(Fact::VehicleMeasured(measurement.clone()));
    }

    pub(super) fn plan(&mut self, new: &NewPlan) -> KeptPlan {
        self.known_lift(&new.lift);
        self.known_vehicle(&new.vehicle);
        self.refuse_if(!new.outline.is_sound(), Refusal::OutlineUnsound);
        self.words("program", &new.program);
        let inputs: BTreeMap<String, Digest> =
            new.inputs.iter().map(|(what, document)| (what.clone(), self.keep(document))).collect();
        let others = inputs.get("limits").is_some_and(|limits| self.shop.limits.as_ref() != Some(limits));
        KeptPlan {
            lift: new.lift.clone(),
            vehicle: new.vehicle.clone(),
            job: new.job.clone(),
            program: new.program.clone(),
            may_be_raised: new.may_be_raised,
            inputs,
            answer: self.keep(&new.answer),
            outline: new.outline.clone(),
            other_limits_of: others.then(|| self.hand.by.clone()),
        }
    }

    fn begin(&mut self, new: &NewPlan) {
        let plan = self.plan(new);
        self.refuse_if(!plan.may_be_raised, Refusal::PlanForbids);
        if let Some(lift) = self.shop.lifts.get(&plan.lift) {
            self.refuse_if(plan.inputs.get("lift") != Some(&lift.file), Refusal::PlanOutOfDate("lift"));
            self.fit(&plan.lift);
        }
        if let Some(file) = self.shop.fleet.vehicles.get(&plan.vehicle) {
            self.refuse_if(plan.inputs.get("vehicle") != Some(file), Refusal::PlanOutOfDate("vehicle"));
        }
        let measured = self.shop.fleet.measurements(&plan.vehicle);
        self.refuse_if(new.measured != measured, Refusal::MeasuredSince(plan.vehicle.clone()));
        match (&self.shop.limits, &plan.other_limits_of) {
            (Some(limits), _) => {
                self.refuse_if(plan.inputs.get("limits") != Some(limits), Refusal::PlanOutOfDate("limits"));
            }
            // Nobody goes by limits of their own who may not set the shop's.
            (None, Some(whose)) => {
                let role = self.shop.people.get(whose).map(|p| p.role);
                let role = role.filter(|role| may(*role, Act::RunShop) != May::Yes);
                self.refusals.extend(role.map(|role| Refusal::OtherLimits(whose.clone(), role)));
            }
            (None, None) => {}
        }
        self.refusals.extend(in_the_way(self.shop, &plan.lift, &plan.vehicle, &plan.outline));
        for (number, raise) in &self.shop.raises {
            self.refuse_if(raise.plan.lift == plan.lift, Refusal::LiftBusy(plan.lift.clone(), *number));
            self.refuse_if(
                raise.plan.vehicle == plan.vehicle,
                Refusal::VehicleBusy(plan.vehicle.clone(), *number),
            );
        }
        self.say(Fact::RaiseBegun { raise: RaiseNumber(self.shop.counts.raises + 1), plan });
    }

    fn open_raise(&mut self, number: RaiseNumber) -> Option<&'a Raise> {
        let raise = self.shop.raises.get(&number);
        self.refuse_if(raise.is_none(), Refusal::NoSuchRaise(number));
        raise
    }

    fn led_raise(&mut self, number: RaiseNumber) -> Option<&'a Raise> {
        let raise = self.open_raise(number)?;
        if raise.leader != self.hand.by {
            let mut over = Case::new(self.shop, self.at, self.hand);
            over.permission(Act::Raise, true);
            let refusal = if over.refusals.is_empty() { Refusal::NotLeader } else { Refusal::LedByAnother };
            self.refuse(refusal(number, raise.leader.clone()));
        }
        Some(raise)
    }

    /// Who confirms by what was shown confirms nothing that came after.
    fn is_as_seen(&mut self, number: RaiseNumber, seen: Option<Seq>) {
        let last = self.shop.raises.get(&number).map(Raise::seen);
        self.refuse_if(seen.is_some() && last.is_some() && seen != last, Refusal::WentOn(number));
    }

    fn confirm(
        &mut self,
        number: RaiseNumber,
        point: HoldPoint,
        judgement: Option<&Judgement>,
        words: Option<&str>,
    ) {
        let words = words.map(str::trim).filter(|w| !w.is_empty()).map(str::to_owned);
        let mut is_so_already = false;
        if let Some(raise) = self.led_raise(number) {
            let checked = judgement.and_then(|j| j.outline.as_ref()).map(|o| raise.progress.by_check(o));
            let led = match &checked {
                Some(Ok(led)) => Raise { progress: led.clone(), ..raise.clone() },
                _ => raise.clone(),
            };
            let progress = &led.progress;
            let unsound = judgement.and_then(|j| j.outline.as_ref()).is_some_and(|o| !o.is_sound());
            self.refuse_if(unsound, Refusal::OutlineUnsound);
            match progress.next() {
                Some(next) if next != point => self.refuse(Refusal::NotNext { asked: point, next }),
                _ => {
                    let asked = raise.progress.asks_for_judgement() && judgement.is_none();
                    self.refuse_if(asked, Refusal::JudgementMissing(point));
                    let before = judgement.is_some_and(|j| j.doubt != raise.progress.doubt);
                    self.refuse_if(before, Refusal::CheckedBefore(raise.plan.vehicle.clone()));
                    let said = words.is_some() || judgement.is_some_and(|j| j.as_found);
                    let wrong = raise.progress.asks_what_was_changed() && !said;
                    self.refuse_if(wrong, Refusal::StandsWrong(point));
                    is_so_already = words.is_some() && self.is_held_up_with_a_part_off(raise);
                    if progress.waits_for_service() && !is_so_already {
                        let why = stopped_by(self.shop, raise, self.at);
                        self.refuse_if(!why.is_empty(), Refusal::LiftUnfit(raise.plan.lift.clone(), why));
                        self.refusals.extend(raise.in_the_way(self.shop));
                        self.refusals.extend(led.other_files(self.shop));
                    }
                    // The way down is never held up: what is put on again before stands are taken away is written down.
                    is_so_already |= progress.is_coming_down();
                    let unled =
                        checked.as_ref().and_then(|led| led.as_ref().err()).filter(|_| !is_so_already);
                    self.refusals.extend(unled.into_iter().flatten().cloned());
                }
            }
        }
        let fails = judgement.is_some_and(|j| !j.passes()) && !is_so_already;
        self.refuse_if(fails, Refusal::JudgementFails(point));
        let judged = judgement.map(|j| self.judged(j));
        self.say(Fact::PointConfirmed { raise: number, point, judged, words });
        let left = self.shop.raises.get(&number).filter(|_| point == HoldPoint::LeftOnFloor);
        if let Some(Raise { plan, progress, .. }) = left {
            let state =
                progress.unfinished().map(|state| format!(", not ended: {state}")).unwrap_or_default();
            let words = format!("raise {number} has left {} on its floor{state}", plan.vehicle);
            self.tag(&plan.lift, words);
        }
    }

    /// On a lift out of service, or off a vehicle that is not as it was planned or by another file than that was, no part comes off or goes on; that one is off or on already can be said all the same: who
    /// brings the vehicle down must know.
    fn is_held_up_with_a_part_off(&self, raise: &Raise) -> bool {
        let unfit = !stopped_by(self.shop, raise, self.at).is_empty();
        let others = || raise.in_the_way(self.shop).into_iter().chain(raise.other_files(self.shop));
        (unfit || others().next().is_some()) && raise.progress.may_be_done_already()
    }

    pub(super) fn judged(&mut self, judgement: &Judgement) -> Judged {
        let Judgement { outline, record, least_reserve, .. } = judgement;
        let (passes, outline, least_reserve) = (judgement.passes(), outline.clone(), *least_reserve);
        Judged { passes, record: self.keep(record), least_reserve, outline }
    }

    fn lock_not_heard(&mut self, number: RaiseNumber, words: &str) {
        let raise = self.open_raise(number);
        let words = self.words("what was not heard", words);
        let Some(raise) = raise else { return };
        self.refuse_if(!raise.progress.is_going_up(), Refusal::NotGoingUp(number));
        let tag = format!("raise {number}, a lock was not heard: {words}");
        self.say(Fact::LockNotHeard { raise: number, words });
        self.tag(&raise.plan.lift, tag);
    }

    /// The program's own sentence, of texts that were looked through or are in the book already: an older one may hold any,
    /// and that holds up no way down.
    fn tag(&mut self, lift: &LiftId, words: String) {
        self.decision.facts.push(Fact::TaggedOut { lift: lift.clone(), words });
    }

    fn take_over(&mut self, number: RaiseNumber) {
        let Some(raise) = self.open_raise(number) else { return };
        self.refuse_if(raise.leader == self.hand.by, Refusal::LeadsAlready(number));
        self.say(Fact::TakenOver { raise: number, from: raise.leader.clone() });
    }

    /// A lift that held a vehicle up, or one that is not whole, when its raise was abandoned is out of service until somebody has
    /// looked.
    fn abandon(&mut self, number: RaiseNumber, words: &str) {
        let raise = self.open_raise(number);
        let words = self.words("reason", words);
        let Some(raise) = raise else { return };
        let left = raise.progress.abandoned();
        let tag = left
            .map(|left| format!("raise {number} was abandoned, {} left {left}: {words}", raise.plan.vehicle));
        self.say(Fact::RaiseAbandoned { raise: number, words });
        if let Some(tag) = tag {
            self.tag(&raise.plan.lift, tag);
        }
    }

    fn incident(&mut self, lift: Option<&LiftId>, raise: Option<RaiseNumber>, words: &str) {
        if let Some(lift) = lift {
            self.known_lift(lift);
        }
        let unknown = raise.filter(|r| r.0 == 0 || r.0 > self.shop.counts.raises);
        if let Some(raise) = unknown {
            self.refuse(Refusal::NoSuchRaise(raise));
        }
        let words = self.words("what happened", words);
        let number = IncidentNumber(self.shop.counts.incidents + 1);
        self.say(Fact::IncidentReported { number, lift: lift.cloned(), raise, words });
    }
}

impl Raise {
    /// The files of the lift, the vehicle and the shop's limits that are others in the book than it was planned with, where by the
    /// next point it goes on: with those it goes no higher, and no part comes off.
    #[must_use]
    pub fn other_files(&self, shop: &Hall) -> Vec<Refusal> {
        if !self.progress.goes_on() {
            return vec![];
        }
        let planned = |what: &str| self.plan.inputs.get(what);
        let lift = planned("lift") != shop.lifts.get(&self.plan.lift).map(|lift| &lift.file);
        // Somebody's own limits stay theirs; those of the shop that are struck out are none any more.
        let limits = (shop.limits.is_some() || self.plan.other_limits_of.is_none())
            && planned("limits") != shop.limits.as_ref();
        let others = [("lift", lift), ("vehicle", self.progress.file_changed), ("limits", limits)];
        others.into_iter().filter(|(_, other)| *other).map(|(what, _)| Refusal::FileChanged(what)).collect()
    }
}
