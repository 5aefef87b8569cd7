//! People, lifts, jobs and raises as they are now: all of the shop but its vehicles.

use std::collections::{BTreeMap, BTreeSet};

use jiff::Timestamp;
use jiff::civil::Date;
use serde::{Deserialize, Serialize};

use crate::checklist::CheckItem;
use crate::course::HoldPoint;
use crate::digest::Digest;
use crate::event::{Event, Head};
use crate::fact::{Admission, Authorisation, Fact, Finding, Instruction, KeptPlan, LiftSheet, Report};
use crate::left::{self, Left, NotWhole};
use crate::names::{
    DefectNumber, ExaminationNumber, JobId, LiftId, PersonId, PracticeNumber, RaiseNumber, Seq, VehicleId,
};
use crate::practice::Situation;
use crate::progress::{Position, Progress};
use crate::role::Role;
use crate::rules::Rules;
use crate::set_back::{Behind, SetBack};
use crate::units::Units;
use crate::zone::Zone;

/// Version of what the fold keeps: a kept fold of another version is computed again.
pub(crate) const FOLD: i64 = 23;

/// All of the shop but its vehicles.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Hall {
    /// Its name.
    pub name: String,
    /// IANA name of its zone.
    pub zone: Zone,
    /// In which units it reads.
    pub units: Units,
    /// The rules that it goes by.
    pub rules: Rules,
    /// Every choice of them, by its event; never empty.
    pub chosen: Vec<(Seq, Rules)>,
    /// The latest reading of the clock in the book.
    pub latest: Timestamp,
    /// That the clock last stood before that.
    pub behind: Option<Behind>,
    /// Every time that it went back.
    pub set_back: Vec<SetBack>,
    /// The event that says that the book was salvaged.
    pub salvaged: Option<Seq>,
    /// Last event.
    pub head: Head,
    /// Everybody who ever belonged to it.
    pub people: BTreeMap<PersonId, Person>,
    /// Its lifts.
    pub lifts: BTreeMap<LiftId, Lift>,
    /// Jobs, with the digest of their present file.
    pub jobs: BTreeMap<JobId, Digest>,
    /// Every file of each job, by its event.
    pub jobs_entered: BTreeMap<JobId, Vec<(Seq, Digest)>>,
    /// The file of the shop's own limits, if it has any.
    pub limits: Option<Digest>,
    /// Every file of them, by its event.
    pub limits_entered: Vec<(Seq, Digest)>,
    /// Raises that have not ended.
    pub raises: BTreeMap<RaiseNumber, Raise>,
    /// Vehicles that are not as their files say, or may not be: all that is known of each, also what somebody said is past,
    /// as that may be struck out.
    pub not_whole: BTreeMap<VehicleId, Vec<NotWhole>>,
    /// Which lift has which defect, while it is open.
    pub defects: BTreeMap<DefectNumber, LiftId>,
    /// Situations to practise on.
    pub practices: BTreeMap<PracticeNumber, Practice>,
    /// Events struck out, each with the event that did.
    pub corrected: BTreeMap<Seq, Seq>,
    /// How many of each there were.
    pub counts: Counts,
}

/// How many there were.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Counts {
    /// Raises.
    pub raises: u64,
    /// Defects.
    pub defects: u64,
    /// Examinations.
    pub examinations: u64,
    /// Incidents.
    pub incidents: u64,
    /// Situations to practise on.
    pub practices: u64,
}

/// A situation to practise on.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Practice {
    /// Its event.
    pub set: Seq,
    /// Who set it.
    pub by: PersonId,
    /// What it is.
    pub situation: Situation,
}

/// A person.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Person {
    /// Their name.
    pub name: String,
    /// What they are.
    pub role: Role,
    /// Every role that they were given, by its event; never empty.
    pub roles: Vec<(Seq, Role)>,
    /// The day of their 18th birthday, if known.
    pub of_age: Option<Date>,
    /// What was ever known of it, by its event; never empty.
    pub ages: Vec<(Seq, Option<Date>)>,
    /// Whether they have left.
    pub left: bool,
    /// Instructions, by their event.
    pub instructions: BTreeMap<Seq, Instruction>,
    /// Authorisations since the last was withdrawn, by their event.
    pub authorisations: BTreeMap<Seq, Authorisation>,
    /// The event that set their PIN, and the digest of what is kept of it; an older program wrote none.
    pub pin: Option<(Seq, Option<Digest>)>,
    /// Who set each PIN that they had, by its event.
    pub pins_by: Vec<(Seq, PersonId)>,
    /// The event by which too many wrong PINs last locked theirs, and what the clock read then; where it was set right since,
    /// that event, and from when by the right clock.
    pub locked: Option<(Seq, Timestamp)>,
}

impl Person {
    /// The authorisation in force on a day; one of a later day counts from then on, beside those before.
    #[must_use]
    pub fn authorised(&self, on: Date) -> Option<&Authorisation> {
        self.authorisations.values().filter(|a| a.on <= on).max_by_key(|a| a.on)
    }
}

/// A lift.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Lift {
    /// What identifies it.
    pub sheet: LiftSheet,
    /// The event that last entered it.
    pub entered: Seq,
    /// Digest of its present file.
    pub file: Digest,
    /// Examinations, by their event.
    pub examinations: BTreeMap<Seq, Examined>,
    /// Those that are struck out: they count no more, and are shown.
    pub struck_out: BTreeMap<Seq, Examined>,
    /// The last alteration: its event and day.
    pub altered: Option<(Seq, Date)>,
    /// Checks before use of the last day on which there was one.
    pub checks: BTreeMap<Seq, Checked>,
    /// Whether a check, an examination or its confirmation was struck out since a raise last began on it.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub struck_since: bool,
    /// Defects that are not closed.
    pub defects: BTreeMap<DefectNumber, Defect>,
    /// Why it is out of service.
    pub tags: BTreeMap<Seq, String>,
    /// When it was last returned to service.
    pub returned: Option<Seq>,
    /// The raise that ended with its vehicle left there, until the lift is returned to service or raises again.
    pub left: Option<Left>,
    /// Whether what is on it is not known, as the book was salvaged, until the lift is returned to service.
    #[serde(default)]
    pub lost_sight_of: bool,
    /// What of that its last return to service took away, until a vehicle is spotted on it: struck out, it is there again.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub left_before: Option<Left>,
    /// The same of what is not known.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub lost_sight_of_before: bool,
}

impl Lift {
    /// Every examination, those that are struck out as well.
    #[must_use]
    pub fn all_examinations(&self) -> BTreeMap<Seq, &Examined> {
        self.examinations.iter().chain(&self.struck_out).map(|(seq, e)| (*seq, e)).collect()
    }
}

/// An examination.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Examined {
    /// Its number.
    pub number: ExaminationNumber,
    /// What the report says.
    pub report: Report,
    /// The day on which it was entered, by the clock as it stood.
    pub entered: Date,
    /// The event by which the employer confirmed it.
    pub confirmed: Option<Seq>,
}

/// A check before use.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Checked {
    /// The day that counted in the shop's zone.
    pub day: Date,
    /// The day by the clock as it stood: an earlier one, if it stood behind.
    pub by_clock: Date,
    /// Whether the clock went back since to a day before that one: once it comes, this check is of another.
    pub is_of_a_day_to_come: bool,
    /// What was found.
    pub findings: BTreeMap<CheckItem, Finding>,
}

/// A defect that is not closed.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Defect {
    /// What is wrong.
    pub words: String,
    /// Whether the lift may not be used with it.
    pub stops_use: bool,
    /// The event of its repair; the lift is still to be returned to service.
    pub repaired: Option<Seq>,
}

/// A raise that has not ended.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Raise {
    /// What it goes by.
    pub plan: KeptPlan,
    /// Who leads it.
    pub leader: PersonId,
    /// Where it stands.
    pub progress: Progress,
    /// The last event about it.
    pub last: Seq,
}

/// Why a book's first event cannot be read as one.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct NotABeginning;

impl Hall {
    /// The rules that the shop went by at an event.
    #[must_use]
    pub fn rules_at(&self, seq: Seq) -> &Rules {
        self.chosen.iter().rfind(|(chosen, _)| *chosen <= seq).map_or(&self.rules, |(_, rules)| rules)
    }

    /// From the first event.
    ///
    /// # Errors
    /// If it does not open a shop.
    pub fn open(first: &Event) -> Result<Self, NotABeginning> {
        let Fact::ShopOpened { name, zone, rules, .. } = &first.fact else { return Err(NotABeginning) };
        Ok(Self {
            name: name.clone(),
            zone: zone.clone(),
            units: Units::default(),
            rules: rules.clone(),
            chosen: vec![(first.seq, rules.clone())],
            latest: first.at,
            behind: None,
            set_back: vec![],
            salvaged: None,
            head: first.head(),
            people: BTreeMap::new(),
            lifts: BTreeMap::new(),
            jobs: BTreeMap::new(),
            jobs_entered: BTreeMap::new(),
            limits: None,
            limits_entered: vec![],
            raises: BTreeMap::new(),
            not_whole: BTreeMap::new(),
            defects: BTreeMap::new(),
            practices: BTreeMap::new(),
            corrected: BTreeMap::new(),
            counts: Counts::default(),
        })
    }

    /// As what a vehicle was left, if that was not whole and nobody has said that it is again.
    #[must_use]
    pub fn found_not_whole(&self, vehicle: &VehicleId) -> Vec<&NotWhole> {
        self.not_whole.get(vehicle).into_iter().flatten().filter(|found| found.counts()).collect()
    }

    /// The time that counts: the later of the clock and the last event, so that a clock set back makes nothing fit.
    #[must_use]
    pub fn now(&self, at: Timestamp) -> Timestamp {
        at.max(self.latest)
    }

    /// The day of that time in the shop's zone.
    #[must_use]
    pub fn today(&self, at: Timestamp) -> Date {
        day_in(&self.zone, self.now(at))
    }

    /// The sooner of that day and the day by the clock: what begins on a day has not begun before, whichever of them is wrong.
    #[must_use]
    pub fn sooner_today(&self, at: Timestamp) -> Date {
        self.today(at).min(day_in(&self.zone, at))
    }

    /// Who else set the PIN that somebody had at an event, if it was not themselves: whoever set it may have used it.
    #[must_use]
    pub fn pin_of_another(&self, person: &PersonId, at: Seq) -> Option<&PersonId> {
        let pins = &self.people.get(person)?.pins_by;
        let (_, by) = pins.iter().rfind(|(set, _)| *set < at)?;
        (by != person).then_some(by)
    }

    /// Adds one event.
    pub fn apply(&mut self, event: &Event) {
        self.head = event.head();
        self.read_clock(event);
        let seq = event.seq;
        match event.fact.clone() {
            Fact::ShopOpened { .. } | Fact::ClockBehind { .. } => {}
            Fact::PinLocked { person, .. } => self.person(&person, |p| p.locked = Some((seq, event.at))),
            Fact::VehicleWhole { vehicle, .. } => {
                for found in self.not_whole.get_mut(&vehicle).into_iter().flatten() {
                    found.whole.insert(seq);
                }
                self.tell_raises();
            }
            Fact::PlanKept { .. } | Fact::RaiseRefused { .. } => {}
            Fact::RulesChosen { rules } => {
                self.chosen.push((seq, rules.clone()));
                self.rules = rules;
            }
            Fact::UnitsChosen { units } => self.units = units,
            Fact::ZoneChosen { zone } => self.choose_zone(seq, zone),
            Fact::ClockSet { .. } => self.set_clock(event),
            Fact::PersonAdmitted(admission) => self.admit(seq, admission),
            Fact::PinSet { person, hash } => self.set_pin(event, &person, hash),
            Fact::PinGiven { person, hash } => self.set_pin(event, &person, Some(hash)),
            Fact::Salvaged { vehicles, .. } => self.salvage(event, vehicles),
            Fact::RoleGiven { person, role } => self.person(&person, |p| {
                p.roles.push((seq, role));
                p.role = role;
            }),
            Fact::AgeGiven { person, of_age } => self.person(&person, |p| {
                p.ages.push((seq, Some(of_age)));
                p.of_age = Some(of_age);
            }),
            Fact::PersonLeft { person } => self.person(&person, |p| p.left = true),
            Fact::Instructed(i) => {
                self.person(&i.person.clone(), |p| drop(p.instructions.insert(seq, i)));
            }
            Fact::Authorised(a) => {
                self.person(&a.person.clone(), |p| drop(p.authorisations.insert(seq, a)));
            }
            Fact::AuthorisationWithdrawn { person, .. } => {
                self.person(&person, |p| p.authorisations.clear());
            }
            Fact::LiftEntered { sheet, file } => self.enter_lift(seq, sheet, file),
            Fact::LiftAltered { lift, .. } => {
                let day = day_in(&self.zone, event.at);
                self.lift(&lift, |l| l.altered = Some((seq, day)));
            }
            Fact::LiftChecked { lift, day, findings } => {
                let by_clock = self.day_by_clock(event.at);
                self.lift(&lift, |l| {
                    l.checks.retain(|_, c| c.day == day);
                    let checked = Checked { day, by_clock, is_of_a_day_to_come: false, findings };
                    l.checks.insert(seq, checked);
                });
            }
            Fact::LiftExamined { number, report, .. } => {
                self.counts.examinations = number.0;
                let entered = day_in(&self.zone, event.at);
                self.lift(&report.lift.clone(), |l| {
                    l.examinations.insert(seq, Examined { number, report, entered, confirmed: None });
                });
            }
            Fact::ExaminationConfirmed { number } => {
                let all = self.lifts.values_mut().flat_map(|l| l.examinations.values_mut());
                all.filter(|e| e.number == number).for_each(|e| e.confirmed = Some(seq));
            }
            Fact::DefectFound { number, lift, words, stops_use } => {
                self.counts.defects = number.0;
                self.defects.insert(number, lift.clone());
                self.lift(&lift, |l| {
                    l.defects.insert(number, Defect { words, stops_use, repaired: None });
                });
            }
            Fact::DefectRepaired { number, bears_load, .. } => self.repair(event, number, bears_load),
            Fact::TaggedOut { lift, words } => self.lift(&lift, |l| drop(l.tags.insert(seq, words))),
            Fact::ReturnedToService { lift, .. } => self.return_to_service(seq, &lift),
            Fact::JobEntered { job, file, .. } => {
                self.jobs_entered.entry(job.clone()).or_default().push((seq, file));
                self.jobs.insert(job, file);
            }
            Fact::LimitsEntered { file } => {
                self.limits_entered.push((seq, file));
                self.limits = Some(file);
            }
            Fact::VehicleMeasured(_) => self.raises.values_mut().for_each(|r| r.follow(event)),
            Fact::VehicleEntered { vehicle, file, .. } => {
                self.raises.values_mut().for_each(|r| r.follow(event));
                self.enter_file(&vehicle, file);
            }
            Fact::RaiseBegun { raise, plan } => {
                self.counts.raises = raise.0;
                self.lifts.entry(plan.lift.clone()).and_modify(|lift| lift.struck_since = false);
                self.raises.extend(Raise::begun(event));
                self.tell_raises();
            }
            Fact::PointConfirmed { raise, point, .. } => {
                if point == HoldPoint::Spotted {
                    self.spot(raise);
                }
                self.raise(raise, |r| r.follow(event));
            }
            Fact::PointRefused { raise, .. }
            | Fact::RaiseUpset { raise, .. }
            | Fact::NotRight { raise, .. }
            | Fact::LockNotHeard { raise, .. }
            | Fact::BroughtDown { raise, .. }
            | Fact::TakenOver { raise, .. } => self.raise(raise, |r| r.follow(event)),
            Fact::RaiseAbandoned { raise, .. } => {
                self.raise(raise, |r| r.follow(event));
                self.end(raise);
            }
            Fact::IncidentReported { number, raise, .. } => {
                self.counts.incidents = number.0;
                if let Some(raise) = raise {
                    self.raise(raise, |r| r.follow(event));
                }
            }
            Fact::PracticeSet { practice, situation } => {
                self.counts.practices = practice.0;
                self.practices.insert(practice, Practice { set: seq, by: event.by.clone(), situation });
            }
            Fact::PracticeTried { .. } => {}
            Fact::Corrected { event, .. } => self.strike_out(event, seq),
        }
        self.raises.values_mut().for_each(|raise| raise.hear(event));
    }

    fn admit(&mut self, seq: Seq, admission: Admission) {
        let Admission { person, name, role, of_age } = admission;
        // Whoever was back had the PIN that they had, in books of older programs.
        let before = self.people.get(&person);
        let (pin, pins_by) = before.map_or((None, vec![]), |p| (p.pin, p.pins_by.clone()));
        let (instructions, authorisations) = (BTreeMap::new(), BTreeMap::new());
        let (roles, ages) = (vec![(seq, role)], vec![(seq, of_age)]);
        let (left, locked) = (false, None);
        let new = Person {
            name,
            role,
            roles,
            of_age,
            ages,
            left,
            instructions,
            authorisations,
            pin,
            pins_by,
            locked,
        };
        self.people.insert(person, new);
    }

    fn set_pin(&mut self, event: &Event, person: &PersonId, hash: Option<Digest>) {
        self.person(person, |p| {
            p.pin = Some((event.seq, hash));
            p.pins_by.push((event.seq, event.by.clone()));
        });
    }

    fn enter_lift(&mut self, seq: Seq, sheet: LiftSheet, file: Digest) {
        if let Some(lift) = self.lifts.get_mut(&sheet.lift) {
            (lift.sheet, lift.entered, lift.file) = (sheet, seq, file);
            return;
        }
        let new = Lift {
            sheet,
            entered: seq,
            file,
            examinations: BTreeMap::new(),
            struck_out: BTreeMap::new(),
            altered: None,
            checks: BTreeMap::new(),
            struck_since: false,
            defects: BTreeMap::new(),
            tags: BTreeMap::new(),
            returned: None,
            left: None,
            lost_sight_of: false,
            left_before: None,
            lost_sight_of_before: false,
        };
        self.lifts.insert(new.sheet.lift.clone(), new);
    }

    fn repair(&mut self, event: &Event, number: DefectNumber, bears_load: bool) {
        let day = day_in(&self.zone, event.at);
        let Some(lift) = self.defects.get(&number).and_then(|l| self.lifts.get_mut(l)) else { return };
        if let Some(defect) = lift.defects.get_mut(&number) {
            defect.repaired = Some(event.seq);
        }
        if bears_load {
            lift.altered = Some((event.seq, day));
        }
    }

    /// Tags off, repaired defects closed; a defect that does not stop use stays open until it is repaired.
    fn return_to_service(&mut self, seq: Seq, lift: &LiftId) {
        let Some(lift) = self.lifts.get_mut(lift) else { return };
        lift.tags.clear();
        lift.returned = Some(seq);
        // Returned twice, what the first took away is not known better by the second.
        lift.left_before = lift.left.take().or(lift.left_before.take());
        lift.lost_sight_of_before |= std::mem::take(&mut lift.lost_sight_of);
        lift.defects.retain(|_, d| d.repaired.is_none());
        let open: BTreeSet<DefectNumber> = lift.defects.keys().copied().collect();
        let id = &lift.sheet.lift;
        self.defects.retain(|number, of| of != id || open.contains(number));
    }

    /// What came after is lost: where a raise stands now is not known, nor what is on a lift or which parts of a vehicle are
    /// off, and a PIN may be lost as well.
    fn salvage(&mut self, event: &Event, mut vehicles: BTreeSet<VehicleId>) {
        self.salvaged = Some(event.seq);
        self.lifts.values_mut().for_each(|lift| lift.lost_sight_of = true);
        self.raises.values_mut().for_each(|raise| raise.follow(event));
        // An older program wrote none of them down.
        vehicles.extend(self.raises.values().map(|raise| raise.plan.vehicle.clone()));
        for vehicle in vehicles {
            let known = self.not_whole.entry(vehicle).or_default();
            if !known.iter().any(|found| found.raise.is_none() && found.counts()) {
                known.push(NotWhole::lost());
            }
        }
        self.tell_raises();
    }

    /// Its vehicle stands there from here on, and whatever was there before does not.
    fn spot(&mut self, raise: RaiseNumber) {
        let Some(KeptPlan { lift, vehicle, .. }) = self.raises.get(&raise).map(|r| &r.plan) else { return };
        for (id, other) in &mut self.lifts {
            if id == lift {
                (other.left, other.left_before, other.lost_sight_of_before) = (None, None, false);
            }
            other.left_before.take_if(|left| left.vehicle == *vehicle);
        }
    }

    /// Of a vehicle that is not whole: what a raise under way is past is told by its own steps, and whether they are by that file.
    fn enter_file(&mut self, vehicle: &VehicleId, file: Digest) {
        let Some(known) = self.not_whole.get_mut(vehicle) else { return };
        for Raise { progress, .. } in self.raises.values().filter(|raise| raise.plan.vehicle == *vehicle) {
            known.retain(|found| !found.is_past(&progress.outline, progress.steps_done));
        }
        known.iter_mut().for_each(|found| found.file_now = Some(file));
        self.tell_raises();
    }

    /// What is known of their vehicles besides counts for raises under way.
    pub(crate) fn tell_raises(&mut self) {
        for raise in self.raises.values_mut() {
            let known = self.not_whole.get(&raise.plan.vehicle).into_iter().flatten();
            raise.progress.find(known.filter(|found| found.counts()).cloned().collect());
        }
    }

    fn person(&mut self, person: &PersonId, change: impl FnOnce(&mut Person)) {
        self.people.get_mut(person).map(change).unwrap_or_default();
    }

    fn lift(&mut self, lift: &LiftId, change: impl FnOnce(&mut Lift)) {
        self.lifts.get_mut(lift).map(change).unwrap_or_default();
    }

    fn raise(&mut self, number: RaiseNumber, change: impl FnOnce(&mut Raise)) {
        let Some(raise) = self.raises.get_mut(&number) else { return };
        change(raise);
        if raise.progress.next().is_none() {
            self.end(number);
        }
    }

    /// Where its vehicle has not left the lift, the lift knows.
    fn end(&mut self, number: RaiseNumber) {
        let Some(ended) = self.raises.remove(&number) else { return };
        let Raise { plan, progress, .. } = &ended;
        let known = self.not_whole.remove(&plan.vehicle).unwrap_or_default();
        let known = left::after(number, &ended, known);
        if !known.is_empty() {
            self.not_whole.insert(plan.vehicle.clone(), known);
        }
        if progress.position != Position::Away {
            let left = Left { raise: number, vehicle: plan.vehicle.clone(), on_stands: progress.stands_set };
            self.lift(&plan.lift, |l| l.left = Some(left));
        }
    }
}

/// The day in a zone.
pub(crate) fn day_in(zone: &Zone, at: Timestamp) -> Date {
    zone.day(at)
}
