//! An invented shop, in memory and in both databases.

#![allow(dead_code, reason = "each test file uses what it needs")]

pub(crate) mod behind;
pub(crate) mod left;
pub(crate) mod place;

use std::collections::{BTreeMap, BTreeSet};

use jiff::Timestamp;
use jiff::civil::Date;
use records::*;

pub(crate) fn at(text: &str) -> Timestamp {
    text.parse().expect("a timestamp")
}

pub(crate) fn day(text: &str) -> Date {
    text.parse().expect("a day")
}

pub(crate) fn zone(text: &str) -> Zone {
    text.parse().expect("a zone")
}

pub(crate) fn person(text: &str) -> PersonId {
    text.parse().expect("a person")
}

pub(crate) fn lift(text: &str) -> LiftId {
    text.parse().expect("a lift")
}

pub(crate) fn vehicle(text: &str) -> VehicleId {
    text.parse().expect("a vehicle")
}

pub(crate) fn job(text: &str) -> JobId {
    text.parse().expect("a job")
}

/// The shop in memory: decided and folded, nothing stored.
pub(crate) struct World {
    pub(crate) shop: Shop,
    pub(crate) at: Timestamp,
    /// The first is event 1.
    pub(crate) events: Vec<Event>,
}

pub(crate) const MORNING: &str = "2026-03-02T08:00:00Z";

pub(crate) fn event(seq: u64, at: Timestamp, by: &str, fact: Fact) -> Event {
    let hash = Digest::of(&format!("{seq}"));
    Event {
        seq: Seq(seq),
        at,
        zone: zone("Europe/Berlin"),
        by: person(by),
        with: None,
        fact,
        before: Digest::NONE,
        hash,
    }
}

impl World {
    pub(crate) fn empty(rules: Rules) -> Self {
        let at = at(MORNING);
        let opened = Fact::ShopOpened {
            book: "b0".into(),
            name: "Lindenhof".into(),
            zone: zone("Europe/Berlin"),
            rules,
        };
        let first = event(1, at, "lead", opened);
        let shop = Shop::open(&first).expect("a beginning");
        let mut world = Self { shop, at, events: vec![first] };
        world.put("lead", Fact::PersonAdmitted(admission("lead", Role::Lead)));
        world.put("lead", Fact::PinSet { person: person("lead"), hash: None });
        world
    }

    /// With everybody instructed and authorised, a fit lift and a vehicle.
    pub(crate) fn ready() -> Self {
        let mut world = Self::empty(Rules::Germany);
        for (by, command) in making_ready() {
            world.must(by, &command);
        }
        world
    }

    pub(crate) fn with(
        &mut self,
        by: &str,
        second: Option<&str>,
        command: &Command,
    ) -> Result<Vec<Fact>, Vec<Refusal>> {
        let hand = Hand { by: person(by), with: second.map(person) };
        let struck = match command {
            Command::Correct { event, .. } => usize::try_from(event.0).ok().and_then(|n| n.checked_sub(1)),
            _ => None,
        };
        let struck = struck.and_then(|n| self.events.get(n)).map(|e| &e.fact);
        let decision = decide(&self.shop, self.at, &hand, command, struck)?;
        for fact in &decision.facts {
            self.put(by, fact.clone());
        }
        Ok(decision.facts)
    }

    /// As it stands in a book, whatever program wrote it.
    pub(crate) fn put(&mut self, by: &str, fact: Fact) {
        let next = event(self.shop.head.seq.0 + 1, self.at, by, fact);
        self.shop.apply(&next);
        self.events.push(next);
    }

    /// The place of the last event of a kind.
    pub(crate) fn last(&self, kind: &str) -> Seq {
        self.events.iter().rfind(|e| e.fact.kind() == kind).unwrap_or_else(|| panic!("no {kind}")).seq
    }

    pub(crate) fn act(&mut self, by: &str, command: &Command) -> Result<Vec<Fact>, Vec<Refusal>> {
        self.with(by, None, command)
    }

    pub(crate) fn must(&mut self, by: &str, command: &Command) -> Vec<Fact> {
        self.act(by, command).unwrap_or_else(|why| panic!("{by}, {command:?}: {why:?}"))
    }

    pub(crate) fn refused(&mut self, by: &str, command: &Command) -> Vec<Refusal> {
        let before = self.shop.clone();
        let why = self.act(by, command).expect_err("it is refused");
        assert_eq!(self.shop, before, "a refusal changes nothing");
        why
    }

    pub(crate) fn unfit(&self) -> Vec<Why> {
        match fitness(&self.shop, &lift("north-bay"), self.at) {
            Fitness::Fit => vec![],
            Fitness::Unfit(why) => why,
        }
    }

    pub(crate) fn progress(&self) -> &Progress {
        &self.shop.raises[&RaiseNumber(1)].progress
    }

    /// Confirms the next point, judged where it asks for that.
    pub(crate) fn next(&mut self, by: &str) -> HoldPoint {
        let point = self.progress().next().expect("something comes next");
        let judgement = self.progress().asks_for_judgement().then(|| judged(self.progress(), true));
        self.must(by, &confirm(point, judgement));
        point
    }

    /// Confirms points until it has ended.
    pub(crate) fn end(&mut self, by: &str) {
        while !self.shop.raises.is_empty() {
            self.next(by);
        }
    }

    /// Confirms points until this one has been.
    pub(crate) fn until(&mut self, by: &str, last: HoldPoint) {
        while self.next(by) != last {}
    }
}

pub(crate) fn admission(id: &str, role: Role) -> Admission {
    Admission { person: person(id), name: format!("{id} of the shop"), role, of_age: Some(day("2020-01-01")) }
}

pub(crate) fn instruction(id: &str, on: &str) -> Command {
    Command::Instruct(Instruction { person: person(id), on: day(on), subject: "two-post lifts".into() })
}

pub(crate) fn authorisation(id: &str) -> Command {
    Command::Authorise(Authorisation { person: person(id), on: day("2026-01-10"), paper: "folder 3".into() })
}

pub(crate) fn sheet() -> LiftSheet {
    LiftSheet {
        lift: lift("north-bay"),
        bay: "north bay".into(),
        maker: "Hebewerk".into(),
        model: "Z2".into(),
        serial: "0815".into(),
        year: 2019,
        capacity: "3500 kg".into(),
        load_split: Some("2:3 or 3:2".into()),
        first_used: Some(day("2019-05-01")),
    }
}

pub(crate) fn report(on: &str, fit: bool) -> Report {
    use ReportField as F;
    let all = [
        F::Scope,
        F::Defects,
        F::Retest,
        F::Examiner,
        F::ExaminerAddress,
        F::Qualifications,
        F::ExaminerEmployer,
        F::Signature,
        F::SignedFor,
        F::ReportDate,
        F::Owner,
        F::Location,
        F::Identity,
        F::LastExamination,
        F::WorkingLoad,
        F::Reason,
        F::Repair,
        F::Test,
    ];
    Report {
        lift: lift("north-bay"),
        on: day(on),
        thoroughness: Thoroughness::Regular,
        fit,
        next_due: None,
        fields: all.into_iter().map(|field| (field, "written down".to_owned())).collect(),
    }
}

pub(crate) fn examination(on: &str) -> Command {
    Command::ReportExamination { report: report(on, true), paper: Some(Document::new("the signed report")) }
}

pub(crate) fn findings() -> BTreeMap<CheckItem, Finding> {
    CheckItem::all().map(|item| (item, Finding::Right)).collect()
}

pub(crate) fn check() -> Command {
    Command::CheckLift { lift: lift("north-bay"), findings: findings() }
}

pub(crate) fn plan() -> NewPlan {
    NewPlan {
        lift: lift("north-bay"),
        vehicle: vehicle("hatchback"),
        job: "gearbox".into(),
        program: "standfast 0.1.0".into(),
        may_be_raised: true,
        inputs: BTreeMap::from([
            ("lift".to_owned(), Document::new("the lift's file")),
            ("vehicle".to_owned(), Document::new("the vehicle's file")),
            ("job".to_owned(), Document::new("the job's file")),
        ]),
        measured: BTreeSet::new(),
        answer: Document::new("the plan"),
        outline: outline(),
    }
}

pub(crate) fn practice() -> NewPractice {
    NewPractice {
        name: "heavy nose".into(),
        note: "where does it balance?".into(),
        inputs: BTreeMap::from([
            ("lift".to_owned(), Document::new("the lift's file")),
            ("vehicle".to_owned(), Document::new("the vehicle's file")),
        ]),
        hides: BTreeSet::from(Hidden::ALL),
    }
}

pub(crate) fn attempt(of: Practised) -> Command {
    Command::TryPractice { of, setup: Document::new("the setup"), end: PracticeEnd::MayBeRaised }
}

/// Of other parts, each of 10 kg.
pub(crate) fn led(steps: &[&str]) -> Outline {
    let (parts, steps) = (steps.iter().map(|_| "10 kg".to_owned()), steps.iter().map(|s| (*s).to_owned()));
    Outline { steps: steps.collect(), parts: parts.collect(), ..outline() }
}

pub(crate) fn outline() -> Outline {
    Outline {
        recheck: vec![0, 3],
        lock: Some(7),
        steps: vec!["gearbox off".into(), "gearbox on".into()],
        parts: vec!["10 kg".into(), "10 kg".into()],
        stands: None,
        test_raise_millimetres: 280,
        first_lock_millimetres: Some(331),
        later: vec![],
        backwards: Some(false),
    }
}

pub(crate) fn judgement(passes: bool) -> Judgement {
    let record = Document::new(format!("checked: {passes}"));
    let outline = passes.then(outline);
    Judgement { outline, record, least_reserve: None, as_found: true, doubt: None }
}

/// The same of a raise as it is now.
pub(crate) fn judged(now: &Progress, passes: bool) -> Judgement {
    Judgement { doubt: now.doubt, outline: passes.then(|| now.outline.clone()), ..judgement(passes) }
}

pub(crate) fn confirm(point: HoldPoint, judgement: Option<Judgement>) -> Command {
    Command::Confirm { raise: RaiseNumber(1), point, judgement, words: None, seen: None }
}

/// From a newly opened shop to one that may raise.
pub(crate) fn making_ready() -> Vec<(&'static str, Command)> {
    let mut all = vec![
        ("lead", Command::AdmitPerson(admission("tech", Role::Technician))),
        ("lead", Command::AdmitPerson(admission("tech-two", Role::Technician))),
        ("lead", Command::AdmitPerson(admission("exam", Role::Examiner))),
        ("lead", Command::AdmitPerson(admission("teach", Role::Instructor))),
        ("lead", Command::AdmitPerson(admission("learn", Role::Learner))),
    ];
    for id in ["lead", "tech", "tech-two", "exam", "teach", "learn"] {
        all.push(("lead", instruction(id, "2026-01-10")));
        if id != "learn" {
            all.push(("lead", authorisation(id)));
        }
    }
    all.extend([
        ("lead", Command::EnterLift { sheet: sheet(), file: Document::new("the lift's file") }),
        ("exam", examination("2026-02-01")),
        ("lead", Command::ConfirmExamination { number: ExaminationNumber(1) }),
        ("tech", check()),
        (
            "tech",
            Command::EnterVehicle {
                vehicle: vehicle("hatchback"),
                description: "light hatchback".into(),
                file: Document::new("the vehicle's file"),
            },
        ),
    ]);
    all
}

pub(crate) const PINS: [(&str, &str); 6] = [
    ("lead", "4711"),
    ("tech", "2580"),
    ("tech-two", "1357"),
    ("exam", "8642"),
    ("teach", "9753"),
    ("learn", "1470"),
];

pub(crate) fn opening() -> Opening {
    Opening {
        shop: "Lindenhof".into(),
        zone: "Europe/Berlin".into(),
        rules: Rules::Germany,
        lead: admission("lead", Role::Lead),
        pin: "4711".into(),
    }
}

pub(crate) type People = BTreeMap<&'static str, Signed>;

/// A book of a shop that may raise, and its people signed in: everything done by its commands.
pub(crate) async fn new_book(place: &str) -> (Book, People) {
    let now = at(MORNING);
    let book = Book::create(place, now, opening()).await.expect("a new book");
    let lead = book.check_pin(now, &person("lead"), "4711").await.expect("the lead's PIN");
    let mut signed = BTreeMap::from([("lead", lead.clone())]);
    for (by, command) in making_ready() {
        if !signed.contains_key(by) {
            for (id, pin) in PINS.iter().filter(|(id, _)| *id != "lead") {
                book.set_pin(now, &lead, &person(id), pin).await.expect("a PIN is set");
                signed.insert(id, book.check_pin(now, &person(id), pin).await.expect("the PIN is right"));
            }
        }
        book.act(now, &signed[by], &command).await.unwrap_or_else(|e| panic!("{by}: {command:?}: {e}"));
    }
    (book, signed)
}

/// The same, made once and restored: hashing PINs takes time on purpose.
pub(crate) async fn ready_book(place: &str) -> (Book, People) {
    static MADE: tokio::sync::OnceCell<(Vec<u8>, People)> = tokio::sync::OnceCell::const_new();
    let make = || async {
        let file = place::File::new();
        let (book, people) = new_book(&file.place()).await;
        let mut text = vec![];
        book.backup(&mut text).await.expect("written");
        (text, people)
    };
    let (text, people) = MADE.get_or_init(make).await;
    let restored = Book::restore(place, &mut std::io::BufReader::new(&text[..])).await.expect("restored");
    (restored.book, people.clone())
}
