//! Checks of a raise under way: the setup as it stands, before each part comes off or goes on.

use std::collections::BTreeMap;

use clap::Args;
use planner::plan::StandsAnswer;
use planner::stands::ToldStands;
use planner::{Setup, Vehicle};
use records::{
    Book, Command, Document as Kept, Event, Fact, Failure, HoldPoint, Judgement, KeptPlan, Progress, Raise,
    RaiseNumber, Refusal, Seq, Subject,
};
use serde_json::{Value, json};
use sheets::{Origin, Scene, Units, units, words};
use statics::Force;
use std::path::PathBuf;

use super::measured;
use super::plan::{PROGRAM, Planned, Recomputed, in_led_order, text_of, texts};
use super::{Led, after, open_raise};
use crate::cli::{FINE, REFUSED, UNREADABLE};
use crate::desk::{Desk, Done, Ended, kept};
use crate::document::Document;
use crate::input::Source;
use crate::planning::Inputs;
use crate::told::{self, plain};
use crate::write;

const FORM: &str = "standfast/judgement/1";
const CORNERS: [&str; 4] = ["front_left", "front_right", "rear_left", "rear_right"];

/// What was measured on the floor.
#[derive(Args, Debug)]
pub(crate) struct AsFound {
    /// Column line to the front hub centres, ahead: "1.11 m".
    #[arg(long, allow_hyphen_values = true)]
    spot: Option<String>,
    /// Middle of the bay to the middle of the vehicle at its front axle, to the left: "15 mm".
    #[arg(long, allow_hyphen_values = true)]
    offset: Option<String>,
    /// Turn out of square, to the left: "0.4 deg".
    #[arg(long, allow_hyphen_values = true)]
    yaw: Option<String>,
    /// Vehicle and pads as measured, as an as-placed file, instead.
    #[arg(long, value_name = "FILE", conflicts_with_all = ["spot", "offset", "yaw"])]
    placed: Option<PathBuf>,
}

impl AsFound {
    /// All three, or which of them are missing.
    fn offsets(&self) -> Result<[String; 3], Ended> {
        let all = [("--spot", &self.spot), ("--offset", &self.offset), ("--yaw", &self.yaw)];
        let missing: Vec<&str> =
            all.iter().filter(|(_, said)| said.is_none()).map(|(name, _)| *name).collect();
        if missing.is_empty() {
            return Ok(all.map(|(_, said)| said.clone().unwrap_or_default()));
        }
        let (missing, is) = (missing.join(" and "), if missing.len() == 1 { "is" } else { "are" });
        Err(Ended::bad(
            &format!(
                "{missing} {is} missing: where it stands is said by all three, --spot, --offset and --yaw"
            ),
            "measure all three and give them together, \"0 mm\" and \"0 deg\" where it stands true; or give --placed FILE",
        ))
    }
}

/// A check, with what is told of it.
pub(crate) struct Judged {
    pub(crate) judgement: Judgement,
    /// `None` = by what was measured no plan can be made of it.
    pub(super) planned: Option<Planned>,
    pub(super) told: String,
    pub(super) reasons: Vec<String>,
}

impl Judged {
    /// What each stand is set to at the least and at the most.
    pub(super) fn loads(&self) -> Option<[Force; 2]> {
        match &self.planned.as_ref()?.plan.stands {
            Some(StandsAnswer::Serve(stands)) => Some([stands.least, stands.most]),
            _ => None,
        }
    }

    /// How the raise is led by it; why it is not.
    fn led(&self, progress: &Progress) -> Result<Progress, Vec<String>> {
        let outline = self.judgement.outline.as_ref().ok_or_else(|| self.reasons.clone())?;
        progress.by_check(outline).map_err(|why| why.iter().map(ToString::to_string).collect())
    }
}

/// Pads of the plan's answer as an as-placed file, where the plan puts the vehicle.
fn planned_setup(answer: &str) -> Result<Value, Ended> {
    let unreadable = || Ended::bad("the kept answer cannot be read", "standfast book verify");
    let answer: Value = serde_json::from_str(answer).map_err(|_| unreadable())?;
    let number = |value: &Value, key: &str| value.get(key).and_then(Value::as_f64).ok_or_else(unreadable);
    let metres = |value: f64| format!("{value} m");
    let mut pads = serde_json::Map::new();
    let list = answer.get("pads").and_then(Value::as_array).ok_or_else(unreadable)?;
    for (pad, corner) in list.iter().zip(CORNERS) {
        let adapters = pad.get("adapters_m").and_then(Value::as_array).ok_or_else(unreadable)?;
        let adapters: Vec<String> = adapters.iter().filter_map(Value::as_f64).map(metres).collect();
        let at = [metres(number(pad, "aft_m")?), metres(number(pad, "left_m")?)];
        let height = metres(number(pad, "pad_height_m")?);
        pads.insert(corner.to_owned(), json!({ "at": at, "adapters": adapters, "height": height }));
    }
    Ok(json!({
        "standfast": "as-placed/1",
        "spot": metres(number(&answer, "spot_m")?),
        "offset": metres(number(&answer, "offset_m")?),
        "yaw": format!("{} rad", number(&answer, "yaw_rad")?),
        "driven_in": answer.get("driven_in").cloned().unwrap_or_default(),
        "pads": pads,
    }))
}

/// The setup as it was measured on the floor, if it was; the one that was confirmed last.
pub(crate) async fn as_measured(book: &Book, number: RaiseNumber) -> Result<Option<String>, Ended> {
    as_measured_by(book, &book.events_about(&Subject::Raise(number)).await?).await
}

/// The same after these events of a raise.
pub(crate) async fn as_measured_by(book: &Book, events: &[Event]) -> Result<Option<String>, Ended> {
    match events.iter().rev().find_map(measured_there) {
        Some(judged) => Ok(Some(Record::of(book, judged).await?.as_placed)),
        None => Ok(None),
    }
}

/// The check of an event that says how the vehicle was found to stand.
pub(crate) const fn measured_there(event: &Event) -> Option<&records::Judged> {
    match &event.fact {
        Fact::PointConfirmed {
            point: HoldPoint::Spotted | HoldPoint::PadsSeated,
            judged: Some(judged),
            ..
        } => Some(judged),
        _ => None,
    }
}

/// A check as it is kept.
pub(crate) struct Record {
    /// How the vehicle stood.
    pub(crate) as_placed: String,
    /// What had been measured of the vehicle.
    measurements: Option<String>,
}

impl Record {
    pub(crate) async fn of(book: &Book, judged: &records::Judged) -> Result<Self, Ended> {
        let record: Option<Value> = serde_json::from_str(kept(book, judged.record).await?.text()).ok();
        let text = |key: &str| Some(record.as_ref()?.get(key)?.as_str()?.to_owned());
        let missing = || Ended::bad("the record of a check cannot be read", "standfast book verify");
        Ok(Self { as_placed: text("as_placed").ok_or_else(missing)?, measurements: text("measurements") })
    }

    /// How it stood, and the pads; `None` = this program cannot read it.
    pub(crate) fn setup(&self) -> Option<Setup> {
        Document::as_placed(&self.as_placed).setup()
    }

    /// Each value that took the place of the file's, as it was written.
    pub(crate) fn measured(&self) -> Vec<String> {
        self.measurements.as_deref().map(measured::sentences).unwrap_or_default()
    }
}

/// Where a kept plan puts the vehicle and the pads, as an as-placed file.
pub(crate) async fn setup_of(book: &Book, plan: &KeptPlan) -> Result<String, Ended> {
    Ok(text_of(&planned_setup(kept(book, plan.answer).await?.text())?))
}

/// The setup as it was last confirmed: measured at the spotting, else as planned.
pub(crate) async fn as_it_stands(book: &Book, number: RaiseNumber, raise: &Raise) -> Result<String, Ended> {
    match as_measured(book, number).await? {
        Some(text) => Ok(text),
        None => setup_of(book, &raise.plan).await,
    }
}

/// Checks the whole job, in the order that is led, with the vehicle and pads at that place and stands as the plan tells them,
/// by what was measured until now. With another file in the book the raise goes by the one that it began with.
pub(crate) async fn judge(
    book: &Book,
    (number, raise): (RaiseNumber, &Raise),
    point: HoldPoint,
    as_placed: &str,
    units: Units,
) -> Result<Judged, Ended> {
    let mut all = texts(book, &raise.plan).await?;
    all.insert("as-placed".to_owned(), as_placed.to_owned());
    let planned = all.remove(measured::INPUT);
    let of = (&raise.plan.vehicle, planned.as_ref());
    let measured = measured::of_a_raise(book, &book.shop().await?, number, of).await?;
    all.extend(measured.map(|text| (measured::INPUT.to_owned(), text)));
    let answer = kept(book, raise.plan.answer).await?;
    let plan = (&raise.plan, answer.text());
    let Checked { planned, outline, reasons, record } =
        Checked::of(plan, &point.to_string(), as_placed, &all, units)?;
    // Where it fails, what fails may be a later one.
    let states = match &planned {
        Some(planned) if outline.is_some() => states(planned, raise, point),
        Some(planned) => planned.plan.states.iter().collect(),
        None => vec![],
    };
    let mut least = states.iter().map(|s| s.worst_reserve).reduce(f64::min);
    // Of a setup that was measured everything was checked.
    if let (Some(planned), true) = (&planned, point.is_measured()) {
        least =
            planned.plan.checks.iter().filter(|c| c.binding).map(|c| c.reserve).chain(least).reduce(f64::min);
    }
    let told = states
        .iter()
        .map(|s| format!("Checked: {}, {}.\n", s.name, units::least_reserve(s.worst_reserve)))
        .collect();
    let least_reserve = least.and_then(thousandths);
    let doubt = raise.progress.doubt;
    let judgement = Judgement { outline, record: Kept::new(record), least_reserve, as_found: false, doubt };
    Ok(Judged { judgement, planned, told, reasons })
}

/// A raise as it is led now, with what a check says of it where that may be another than when it was checked last, on the way
/// down too, where stands are to be set, and once it passed one by what was measured since it began.
pub(crate) struct Now {
    /// What is still to come is led as that check has it, if it passes.
    pub(crate) raise: Raise,
    /// What fails; empty = nothing.
    pub(crate) fails: Vec<String>,
    /// What was checked, stands as the plan tells them, and whether it was found to stand there.
    checked: Option<(Planned, Origin)>,
}

impl Now {
    pub(crate) async fn of(
        book: &Book,
        number: RaiseNumber,
        raise: &Raise,
        units: Units,
    ) -> Result<Self, Ended> {
        let as_it_is = |checked| Self { raise: raise.clone(), fails: vec![], checked };
        let progress = &raise.progress;
        let Some(point) = progress.next() else { return Ok(as_it_is(None)) };
        let asked = progress.is_to_be_checked_again() || point == HoldPoint::StandsSet;
        let comes_down = progress.is_coming_down();
        let is_told = asked || comes_down && progress.in_doubt() && progress.is_up();
        let has_passed = !progress.in_doubt() && !comes_down;
        if !is_told && (!has_passed || !measured::is_since(book, number, &raise.plan).await?) {
            return Ok(as_it_is(None));
        }
        let (judged, origin) = match Self::judged(book, (number, raise), point, units).await {
            // It comes down all the same.
            Err(_) if comes_down => {
                let fails = "It is in doubt whether it holds as it is now, and no check of that can be made";
                return Ok(Self { fails: vec![fails.to_owned()], ..as_it_is(None) });
            }
            other => other?,
        };
        let led = judged.led(progress);
        if !asked && is_told {
            let fails = "A check of it as it is now fails".to_owned();
            let fails = led.err().map(|why| std::iter::once(fails).chain(why).collect());
            return Ok(Self { fails: fails.unwrap_or_default(), ..as_it_is(None) });
        }
        let checked = judged.planned.map(|planned| (planned, origin));
        if !asked {
            return Ok(as_it_is(checked));
        }
        let why = match led {
            Ok(progress) => {
                return Ok(Self { raise: Raise { progress, ..raise.clone() }, fails: vec![], checked });
            }
            Err(why) => why,
        };
        let fails = Refusal::JudgementFails(point).to_string();
        Ok(Self { fails: std::iter::once(fails).chain(why).collect(), ..as_it_is(checked) })
    }

    /// As it was last found to stand, else as planned; and which of both.
    async fn judged(
        book: &Book,
        (number, raise): (RaiseNumber, &Raise),
        point: HoldPoint,
        units: Units,
    ) -> Result<(Judged, Origin), Ended> {
        let found = as_measured(book, number).await?;
        let origin = if found.is_some() { Origin::AsPlaced } else { Origin::Planned };
        let as_placed = match found {
            Some(text) => text,
            None => setup_of(book, &raise.plan).await?,
        };
        Ok((judge(book, (number, raise), point, &as_placed, units).await?, origin))
    }

    /// What was checked.
    pub(crate) fn scene(&self) -> Option<Scene<'_>> {
        let (planned, origin) = self.checked.as_ref()?;
        Some(Scene { origin: *origin, ..planned.scene() })
    }
}

/// Rounded down; what is whole but for the last bits stays.
fn thousandths(share: f64) -> Option<i64> {
    const LAST_BITS: f64 = 1e-6;
    format!("{:.0}", (share * 1000.0 + LAST_BITS).floor()).parse().ok()
}

/// A check of a kept plan as the vehicle stands, as it is kept.
struct Checked {
    /// `None` = with those texts nothing can be planned.
    planned: Option<Planned>,
    /// What leads the raise from here on; `None` = it fails.
    outline: Option<records::Outline>,
    reasons: Vec<String>,
    record: String,
}

impl Checked {
    /// From the exact texts.
    fn of(
        (plan, answer): (&KeptPlan, &str),
        point: &str,
        as_placed: &str,
        all: &BTreeMap<String, String>,
        units: Units,
    ) -> Result<Self, Ended> {
        let led = &plan.outline;
        let told = Told::of(answer);
        let mut record = json!({
            "form": FORM,
            "program": PROGRAM,
            "point": point,
            "plan": plan.answer.to_string(),
            "as_placed": as_placed,
            "measurements": all.get(measured::INPUT),
            "steps": led.steps,
            "passes": false,
        });
        let mut said = String::new();
        let Some(planned) = Planned::led(all, led, &told, &mut said) else {
            let reasons = told::reasons(&said);
            record["not_planned"] = json!(reasons);
            return Ok(Self { planned: None, outline: None, reasons, record: text_of(&record) });
        };
        let other_order = planned.plan.order.as_ref().is_some_and(|o| o.adopted);
        let outline = records::Outline::of(&planned.plan, &planned.inputs.job, &planned.inputs.lift);
        let lock = match &planned.plan.stands {
            Some(StandsAnswer::Serve(standing)) => Some(standing.lock + 1),
            _ => None,
        };
        let other_stands = outline.stands != led.stands || lock != told.lock;
        let passes = planned.may_be_raised() && !other_order && !other_stands;
        let mut reasons: Vec<String> = {
            let scene = planned.scene();
            words::refusals(&scene).iter().map(|r| r.sentence(&scene, units)).collect()
        };
        if other_order {
            reasons.push("In the order that is led, a state fails as the vehicle stands.".to_owned());
        }
        if led.stands.is_some() && other_stands {
            let why = words::no_stands(&planned.scene(), units);
            let why = why.map(|why| format!("Stands: {why}"));
            reasons.push(why.unwrap_or_else(|| {
                "As the vehicle stands, the stands would have to stand at other times, or at another lock."
                    .to_owned()
            }));
        }
        record["passes"] = passes.into();
        record["answer"] = planned.answer()?;
        let record = text_of(&record);
        Ok(Self { planned: Some(planned), outline: passes.then_some(outline), reasons, record })
    }
}

/// Checks again what a raise's event says was checked, with the texts that it was checked with.
pub(crate) async fn checked_again(
    book: &Book,
    plan: &KeptPlan,
    judged: &records::Judged,
) -> Result<Recomputed, Ended> {
    let record = kept(book, judged.record).await?;
    let read: Option<Value> = serde_json::from_str(record.text()).ok();
    let text = |key: &str| read.as_ref().and_then(|r| r.get(key)?.as_str()).map(str::to_owned);
    let (Some(program), Some(point), Some(as_placed)) = (text("program"), text("point"), text("as_placed"))
    else {
        return Ok(Recomputed::NotPlanned("It is no record of a check.".to_owned()));
    };
    let mut all = texts(book, plan).await?;
    all.insert("as-placed".to_owned(), as_placed.clone());
    all.remove(measured::INPUT);
    all.extend(text("measurements").map(|text| (measured::INPUT.to_owned(), text)));
    let answer = kept(book, plan.answer).await?;
    let again = Checked::of((plan, answer.text()), &point, &as_placed, &all, Units::Metric)?;
    if let (None, None) = (&again.planned, read.as_ref().and_then(|read| read.get("not_planned"))) {
        return Ok(Recomputed::NotPlanned(again.reasons.join("\n")));
    }
    // An older program kept no outline.
    let as_led = judged.outline.is_none() || again.outline == judged.outline;
    let same = again.record == record.text() && again.outline.is_some() == judged.passes && as_led;
    Ok(Recomputed::of(same, &program))
}

/// The states on both sides of the point.
fn states<'a>(planned: &'a Planned, raise: &Raise, point: HoldPoint) -> Vec<&'a planner::plan::StateAnswer> {
    let now = usize::from(raise.progress.steps_done);
    let until = now + usize::from(raise.progress.step_may_be_begun);
    let (from, to) = match point {
        HoldPoint::StepDone(step) | HoldPoint::StepUndone(step) => (step.into(), usize::from(step) + 1),
        _ => (now, until),
    };
    planned.plan.states.iter().skip(from).take(to - from + 1).collect()
}

/// All of the book's reasons, then those of the check.
pub(super) fn refused(all: &[Refusal], reasons: &[String]) -> Ended {
    let all = all.iter().map(ToString::to_string).chain(reasons.iter().cloned());
    Ended::Said(all.map(|r| format!("refused: {}\n", plain(&r))).collect(), REFUSED)
}

/// The stands that a kept plan tells, as its answer has them.
#[derive(Default)]
struct Told {
    lock: Option<usize>,
    /// Name and place on the vehicle of each.
    places: Vec<(String, [f64; 2])>,
    /// What each is set to, newtons: at the least, to aim at, at the most.
    loads: Option<[f64; 3]>,
}

impl Told {
    fn of(answer: &str) -> Self {
        let answer: Value = serde_json::from_str(answer).unwrap_or_default();
        let stands = &answer["stands"];
        let place = |at: &Value| {
            Some((at["name"].as_str()?.to_owned(), [at["aft_m"].as_f64()?, at["left_m"].as_f64()?]))
        };
        let loads = ["load_least_n", "load_n", "load_greatest_n"].map(|key| stands[key].as_f64());
        Self {
            lock: stands["lock"].as_u64().and_then(|lock| usize::try_from(lock).ok()),
            places: stands["places"].as_array().into_iter().flatten().filter_map(place).collect(),
            loads: if let [Some(least), Some(load), Some(most)] = loads {
                Some([least, load, most])
            } else {
                None
            },
        }
    }

    /// On the vehicle; nothing where that has no such places.
    fn on(&self, vehicle: &Vehicle) -> Option<ToldStands> {
        let [least, load, most] = self.loads?.map(Force::newtons);
        let index = |(name, at): &(String, [f64; 2])| {
            // As a number is written and read again.
            let there = |at_place: [f64; 2]| at_place.iter().zip(at).all(|(a, b)| (a - b).abs() < 1e-6);
            vehicle.stand_places.iter().position(|p| p.name == *name && there(p.at.to_metres()))
        };
        let places = self.places.iter().map(index).collect::<Option<_>>()?;
        Some(ToldStands { places, least, load, most })
    }
}

impl Planned {
    /// The setup as placed, with the steps in the order that is led and stands as they were told.
    fn led(
        texts: &BTreeMap<String, String>,
        outline: &records::Outline,
        told: &Told,
        said: &mut String,
    ) -> Option<Self> {
        let read = super::plan::read(texts, said)?;
        let inputs = Inputs { job: in_led_order(&read.job, outline), ..read };
        Self::with(inputs, texts, said, |inputs| match &inputs.setup {
            Some(setup) => inputs.led(setup, told.on(&inputs.vehicle).as_ref()),
            None => inputs.plan(),
        })
    }
}

/// Confirms the spotting by what was measured, or the seating of the pads: after it moved it may stand elsewhere.
pub(super) async fn measured(led: &Led, measured: &AsFound) -> Done {
    let found = match &measured.placed {
        Some(path) => {
            Found::Placed(Document::open(path).ok_or(Ended::Said(String::new(), UNREADABLE))?.source.text)
        }
        None => Found::Offsets(measured.offsets()?),
    };
    let (desk, number) = led.open().await?;
    let units = told::units(&*desk.book.shop().await?);
    let judged = measured_at(&desk, number, found, None, units).await?;
    if let (Some(planned), false) = (&judged.planned, led.json) {
        write::out(&(sheets::report(&planned.scene(), units) + "\n"), FINE);
    }
    after(&desk, number, led.json).await
}

/// How a vehicle was found to stand.
pub(crate) enum Found {
    /// An as-placed file.
    Placed(String),
    /// Spot, offset and yaw, the pads on the vehicle as planned.
    Offsets([String; 3]),
}

/// Confirms the spotting as it was found, if the plan holds there too; `seen` = the raise's last event as it was shown.
pub(crate) async fn measured_at(
    desk: &Desk,
    number: RaiseNumber,
    found: Found,
    seen: Option<Seq>,
    units: Units,
) -> Result<Judged, Ended> {
    let shop = desk.book.shop().await?;
    let raise = open_raise(&shop, number)?;
    let seen = seen.or(Some(raise.seen()));
    let as_placed = match found {
        Found::Placed(text) => text,
        Found::Offsets(said) => {
            let mut setup = planned_setup(kept(&desk.book, raise.plan.answer).await?.text())?;
            for (key, said) in ["spot", "offset", "yaw"].into_iter().zip(said) {
                setup[key] = said.into();
            }
            text_of(&setup)
        }
    };
    let mut placed = Document::of(Source::new("what was measured", as_placed.as_str()));
    if placed.setup().is_none() {
        return Err(Ended::Said(placed.report(), UNREADABLE));
    }
    let point = match raise.progress.next() {
        Some(HoldPoint::PadsSeated) => HoldPoint::PadsSeated,
        _ => HoldPoint::Spotted,
    };
    let judged = judge(&desk.book, (number, raise), point, &as_placed, units).await?;
    if judged.planned.is_none() {
        return Err(Ended::Said(
            judged.reasons.iter().map(|why| format!("error: {}\n", plain(why))).collect(),
            UNREADABLE,
        ));
    }
    let judgement = Some(Judgement { as_found: true, ..judged.judgement.clone() });
    match desk.act(&Command::Confirm { raise: number, point, judgement, words: None, seen }).await {
        Err(Failure::Refused(all)) if !judged.judgement.passes() => Err(refused(&all, &judged.reasons)),
        Err(other) => Err(other.into()),
        Ok(_) => Ok(judged),
    }
}
