//! What was measured of a vehicle since its file was entered, in the place of what the file says.

use std::collections::{BTreeMap, BTreeSet};

use planner::Vehicle;
use planner::plan::{Assumption, Kind as Of, Unit};
use records::{Book, Event, Fact, KeptPlan, Measurement, RaiseNumber, Seq, Shop, Subject, VehicleId};
use serde::{Deserialize, Serialize};
use serde_json::{Map, Value};
use statics::{Length, Mass};

use crate::desk::{Ended, kept};
use crate::document::Document;
use crate::input::quantity::{Kind, Quantity, Share, parse_kind};
use crate::input::{Problems, Source, tree};
use crate::told;

/// What of a plan's inputs it is, beside `lift`, `vehicle` and so on.
pub(crate) const INPUT: &str = "measurements";

/// One value, as kept with a plan.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
struct Measured {
    /// Key of the vehicle's file; parts, lifting areas and places for stands by their names.
    what: String,
    value: String,
    how: String,
    by: String,
    on: String,
    event: u64,
}

const LENGTHS: [&str; 16] = [
    "wheelbase",
    "wheelbase_left",
    "wheelbase_right",
    "cg_height",
    "sill_height",
    "droop",
    "outline.length",
    "outline.front_overhang",
    "outline.width",
    "outline.roof",
    "outline.mirror_width",
    "outline.mirror_aft",
    "wheels.track_front",
    "wheels.track_rear",
    "wheels.tyre_diameter",
    "wheels.tyre_width",
];
const WHEELS: [&str; 4] =
    ["weight.front_left", "weight.front_right", "weight.rear_left", "weight.rear_right"];
const AXLES: [&str; 2] = ["weight.front_axle", "weight.rear_axle"];
const TOTAL: &str = "weight.total";
const SHARE: &str = "weight.front_share";
/// Of each list of a vehicle's file the value that can be measured of what is named.
const NAMED: [(&str, &str); 3] =
    [("parts", "mass"), ("lift_areas", "underside"), ("stand_places", "underside")];

/// Ways to say one thing, the one that says most first. A file says it in one way.
const WAYS: [&[&[&str]]; 2] = [
    &[&["wheelbase_left", "wheelbase_right"], &["wheelbase"]],
    &[&WHEELS, &AXLES, &[TOTAL, SHARE], &[TOTAL]],
];

/// What can be measured of any vehicle.
pub(crate) fn plain_keys() -> impl Iterator<Item = String> {
    LENGTHS.iter().chain(&WHEELS).chain(&AXLES).chain([&TOTAL, &SHARE]).map(ToString::to_string)
}

/// What can be measured, for a person.
pub(crate) fn keys() -> String {
    let named = NAMED.iter().map(|(list, key)| format!("{list}.NAME.{key}"));
    plain_keys().chain(named).collect::<Vec<_>>().join(", ")
}

fn kind(what: &str) -> Option<&'static Kind> {
    let named = |(list, key): &(&str, &str)| {
        what.strip_prefix(list)
            .is_some_and(|rest| rest.starts_with('.') && rest.ends_with(&format!(".{key}")))
    };
    if what == SHARE {
        return Some(Share::KIND);
    }
    if what == TOTAL || WHEELS.contains(&what) || AXLES.contains(&what) {
        return Some(Mass::KIND);
    }
    if LENGTHS.contains(&what) {
        return Some(Length::KIND);
    }
    NAMED.iter().find(|n| named(n)).map(|(list, _)| if *list == "parts" { Mass::KIND } else { Length::KIND })
}

/// Whether it is something that a plan can use; the error says what would be right.
pub(crate) fn usable(what: &str, value: &str) -> Result<(), Ended> {
    let Some(kind) = kind(what) else {
        return Err(Ended::bad(
            &format!("“{what}” is no value of a vehicle that can be measured"),
            &format!("one of {}", keys()),
        ));
    };
    parse_kind(kind, value).map(drop).map_err(|fault| Ended::bad(&fault.message, &fault.help))
}

/// The newest measurement of each value since the vehicle's present file was entered, as a text to be kept with the plan;
/// `None` = none.
pub(super) async fn in_force(book: &Book, shop: &Shop, vehicle: &VehicleId) -> Result<Option<String>, Ended> {
    let mut found: BTreeMap<String, Measured> = BTreeMap::new();
    for seq in shop.fleet.measurements(vehicle) {
        let Some(event) = book.event(seq).await? else { continue };
        found.extend(Measured::of(&event).map(|m| (m.what.clone(), m)));
    }
    text(found)
}

/// A vehicle by its file and what was measured of it since.
pub(crate) struct Known {
    /// `None` = no plan can be made of it so.
    pub(crate) vehicle: Option<Vehicle>,
    /// Why not.
    pub(crate) unusable: Vec<String>,
    /// What is legal but odd.
    pub(crate) odd: Vec<String>,
    /// Each value that took the place of the file's.
    pub(crate) measured: Vec<String>,
}

impl Known {
    fn of(file: &str, measured: Option<&String>) -> Self {
        let sentences = measured.map(|text| sentences(text)).unwrap_or_default();
        match with_measured(file, measured).map(Document::of) {
            Err(why) => {
                Self { vehicle: None, unusable: told::reasons(&why), odd: vec![], measured: sentences }
            }
            Ok(mut file) => {
                let vehicle = file.vehicle();
                let unusable = if vehicle.is_some() { vec![] } else { file.reasons() };
                Self { vehicle, unusable, odd: file.odd(), measured: sentences }
            }
        }
    }
}

/// As a vehicle of the book is known; `None` = the book holds none of that name.
pub(crate) async fn known(book: &Book, vehicle: &VehicleId) -> Result<Option<Known>, Ended> {
    let shop = book.shop().await?;
    let Some(file) = shop.fleet.vehicles.get(vehicle) else { return Ok(None) };
    let measured = in_force(book, &shop, vehicle).await?;
    Ok(Some(Known::of(kept(book, *file).await?.text(), measured.as_ref())))
}

/// What one measurement more would make of its vehicle that it is not without: unusable for plans, or odd.
pub(crate) async fn in_question(book: &Book, more: &Measurement) -> Result<[Vec<String>; 2], Ended> {
    let shop = book.shop().await?;
    let Some(file) = shop.fleet.vehicles.get(&more.vehicle) else { return Ok([vec![], vec![]]) };
    let file = kept(book, *file).await?;
    let now = in_force(book, &shop, &more.vehicle).await?;
    let all: Option<Vec<Measured>> = now.as_ref().and_then(|text| serde_json::from_str(text).ok());
    let others = all.into_iter().flatten().filter(|m| m.what != more.what);
    let one = Measured {
        what: more.what.clone(),
        value: more.value.clone(),
        how: more.how.clone(),
        by: String::new(),
        on: String::new(),
        event: u64::MAX,
    };
    let with = text(others.chain([one]).map(|m| (m.what.clone(), m)).collect())?;
    let (before, then) = (Known::of(file.text(), now.as_ref()), Known::of(file.text(), with.as_ref()));
    let odd = then.odd.into_iter().filter(|said| !before.odd.contains(said));
    let was = with_measured(file.text(), now.as_ref()).ok().and_then(|source| value_of(&source, &more.what));
    let other = was.and_then(|was| another(&more.what, &was, &more.value));
    Ok([then.unusable, odd.chain(other).collect()])
}

/// What was measured of the vehicle of a raise: with its plan, and since it began, whatever file was entered meanwhile; of
/// each value the newest that is not struck out.
pub(super) async fn of_a_raise(
    book: &Book,
    shop: &Shop,
    number: RaiseNumber,
    (vehicle, planned): (&VehicleId, Option<&String>),
) -> Result<Option<String>, Ended> {
    let planned: Option<Vec<Measured>> = planned.and_then(|text| serde_json::from_str(text).ok());
    let begun = book.beginning_of(number).await?.map(|event| event.seq);
    let events = book.events_about(&Subject::Vehicle(vehicle.clone())).await?;
    let since = events.iter().filter(|event| Some(event.seq) > begun).filter_map(Measured::of);
    let all = planned.into_iter().flatten().chain(since);
    let counts = all.filter(|m| !shop.corrected.contains_key(&Seq(m.event)));
    text(counts.map(|m| (m.what.clone(), m)).collect())
}

/// Whether other measurements count in a raise than those that it was planned with.
pub(super) async fn is_since(book: &Book, number: RaiseNumber, plan: &KeptPlan) -> Result<bool, Ended> {
    let planned = match plan.inputs.get(INPUT) {
        Some(digest) => Some(kept(book, *digest).await?.text().to_owned()),
        None => None,
    };
    let of = (&plan.vehicle, planned.as_ref());
    let now = of_a_raise(book, &book.shop().await?, number, of).await?;
    Ok(events(now.as_ref()) != events(planned.as_ref()))
}

fn text(found: BTreeMap<String, Measured>) -> Result<Option<String>, Ended> {
    if found.is_empty() {
        return Ok(None);
    }
    let found: Vec<Measured> = found.into_values().collect();
    let text = serde_json::to_string_pretty(&found);
    text.map(Some)
        .map_err(|fault| Ended::bad(&format!("what was measured cannot be written: {fault}"), "try again"))
}

/// The events of a text of measurements.
pub(super) fn events(measured: Option<&String>) -> BTreeSet<Seq> {
    let all: Option<Vec<Measured>> = measured.and_then(|text| serde_json::from_str(text).ok());
    all.into_iter().flatten().map(|m| Seq(m.event)).collect()
}

/// The vehicle's file with what was measured in it; every reason why not.
pub(super) fn merged(vehicle: &str, measured: &str) -> Result<Source, String> {
    let bad = |what: &dyn std::fmt::Display| {
        format!(
            "error: the vehicle's measurements cannot be used: {what}\n  help: measure what is missing too, or strike the measurement out with `standfast enter correction`\n"
        )
    };
    let measured: Vec<Measured> = serde_json::from_str(measured).map_err(|fault| bad(&fault))?;
    let source = Source::new("vehicle", vehicle);
    let mut problems = Problems::default();
    let Some(root) = tree(&source, &mut problems) else {
        return Err(problems.render(&source, false));
    };
    let mut file = root.to_json();
    let mut said = String::new();
    for ways in WAYS {
        if let Err(why) = choose(ways, &mut file, &measured) {
            said += &bad(&why);
        }
    }
    for m in &measured {
        if let Err(why) = put(&mut file, &m.what, &m.value) {
            said += &bad(&why);
        }
    }
    if said.is_empty() {
        Ok(Source::new("the vehicle with what was measured", format!("{file:#}")))
    } else {
        Err(said)
    }
}

/// Of several ways to say one thing the one of the newest measurement, if the file and what was measured are enough for it.
fn choose(ways: &[&[&str]], file: &mut Value, measured: &[Measured]) -> Result<(), String> {
    let all: Vec<&str> = ways.concat();
    let Some(newest) = measured.iter().filter(|m| all.contains(&m.what.as_str())).max_by_key(|m| m.event)
    else {
        return Ok(());
    };
    let is_measured = |key: &&str| measured.iter().any(|m| m.what == **key);
    let in_file = |key: &&str| get(file, key).is_some();
    let whole = |way: &&&[&str]| way.iter().all(|key| is_measured(key) || in_file(key));
    let said = ways.iter().position(|way| way.iter().all(in_file));
    let chosen = ways.iter().position(|way| way.contains(&newest.what.as_str()) && whole(&way));
    match (chosen, said) {
        (None, _) => Err(format!("{} alone says too little", newest.what)),
        (Some(chosen), Some(said)) if said < chosen => {
            Err(format!("{} says less than the file, which gives {}", newest.what, ways[said].join(", ")))
        }
        (Some(chosen), _) => {
            let others: Vec<&str> = all.into_iter().filter(|key| !ways[chosen].contains(key)).collect();
            others.iter().for_each(|key| remove(file, key));
            match measured.iter().find(|m| others.contains(&m.what.as_str())) {
                Some(older) => Err(format!("{} was measured and {} as well", older.what, newest.what)),
                None => Ok(()),
            }
        }
    }
}

fn get<'a>(file: &'a Value, what: &str) -> Option<&'a Value> {
    what.split('.').try_fold(file, |value, key| value.get(key))
}

/// The vehicle's file with what was measured in it, if anything was.
fn with_measured(vehicle: &str, measured: Option<&String>) -> Result<Source, String> {
    measured.map_or_else(|| Ok(Source::new("vehicle", vehicle)), |measured| merged(vehicle, measured))
}

/// A value as a file has it.
fn value_of(source: &Source, what: &str) -> Option<String> {
    let file = tree(source, &mut Problems::default())?.to_json();
    let list = NAMED.iter().find(|(list, _)| what.starts_with(&format!("{list}.")));
    let value = match list {
        None => get(&file, what)?,
        Some((list, key)) => {
            let name = what[list.len() + 1..].strip_suffix(&format!(".{key}"))?;
            let mut all = file.get(*list)?.as_array()?.iter();
            all.find(|item| item.get("name").and_then(Value::as_str) == Some(name))?.get(*key)?
        }
    };
    value.as_str().map(str::to_owned)
}

/// How far a measured value may be from the one before without a question, as a share of that. Own convention.
const USUAL_CHANGE: f64 = 0.1;

/// That a value is another than the one before, beyond what both may be off and beyond the usual.
fn another(what: &str, was: &str, now: &str) -> Option<String> {
    let kind = kind(what)?;
    let range = |text: &str| {
        let written = parse_kind(kind, text).ok()?;
        Some((written.value, written.tolerance.off().unwrap_or(0.0)))
    };
    let ((before, may_be), (then, may_be_then)) = (range(was)?, range(now)?);
    let apart = (then - before).abs();
    let is_another = apart > may_be + may_be_then && apart > USUAL_CHANGE * before.abs();
    is_another.then(|| {
        format!("It was “{was}” until now, and differs by more than a tenth: check the figure and its unit.")
    })
}

fn remove(file: &mut Value, what: &str) {
    let (table, key) = what.rsplit_once('.').map_or((None, what), |(table, key)| (Some(table), key));
    let table = match table {
        None => Some(file),
        Some(table) => file.get_mut(table),
    };
    if let Some(table) = table.and_then(Value::as_object_mut) {
        table.remove(key);
    }
}

fn put(file: &mut Value, what: &str, value: &str) -> Result<(), String> {
    let list = NAMED.iter().find(|(list, _)| what.starts_with(&format!("{list}.")));
    if let Some((list, key)) = list {
        let name = what[list.len() + 1..].strip_suffix(&format!(".{key}")).unwrap_or_default();
        let all = file.get_mut(*list).and_then(Value::as_array_mut).into_iter().flatten();
        let named = all.filter(|item| item.get("name").and_then(Value::as_str) == Some(name));
        let mut found = false;
        for item in named.filter_map(Value::as_object_mut) {
            item.insert((*key).to_owned(), value.into());
            found = true;
        }
        return if found { Ok(()) } else { Err(format!("the file names no “{name}” among its {list}")) };
    }
    let (table, key) = what.rsplit_once('.').map_or((None, what), |(table, key)| (Some(table), key));
    let table = match table {
        None => Some(&mut *file),
        Some(table) => file.get_mut(table),
    };
    let table: Option<&mut Map<String, Value>> = table.and_then(Value::as_object_mut);
    match table {
        Some(table) => drop(table.insert(key.to_owned(), value.into())),
        None => return Err(format!("the file has no place for {what}")),
    }
    Ok(())
}

/// Each measured value as what the plan assumes, with who measured it.
pub(super) fn assumptions(measured: &str) -> Vec<Assumption> {
    let all: Vec<Measured> = serde_json::from_str(measured).unwrap_or_default();
    all.into_iter().filter_map(|m| m.assumed()).collect()
}

/// Each measured value in a line.
pub(super) fn sentences(measured: &str) -> Vec<String> {
    let all: Vec<Measured> = serde_json::from_str(measured).unwrap_or_default();
    let line = |m: &Measured| {
        format!("{} is {}: {}, by {} on {}", m.what.replace(['.', '_'], " "), m.value, m.how, m.by, m.on)
    };
    all.iter().map(line).collect()
}

impl Measured {
    fn of(event: &Event) -> Option<Self> {
        let Fact::VehicleMeasured(m) = &event.fact else { return None };
        Some(Self {
            what: m.what.clone(),
            value: m.value.clone(),
            how: m.how.clone(),
            by: event.by.to_string(),
            on: told::time(event.at, &event.zone),
            event: event.seq.0,
        })
    }

    fn assumed(self) -> Option<Assumption> {
        let kind = kind(&self.what)?;
        let written = parse_kind(kind, &self.value).ok()?;
        let off = written.tolerance.off().unwrap_or(0.0);
        let unit = match kind.name {
            name if name == Mass::KIND.name => Unit::Kilogram,
            name if name == Share::KIND.name => Unit::Ratio,
            _ => Unit::Metre,
        };
        let Self { what, how, by, on, event, .. } = self;
        Some(Assumption {
            what: format!("{} as measured, not as in the vehicle's file", what.replace(['.', '_'], " ")),
            kind: Of::Value,
            value: written.value,
            unit,
            least: written.value - off,
            greatest: written.value + off,
            source: format!("{how}, by {by} on {on}, event {event} of the book").into(),
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn one(what: &str, value: &str, event: u64) -> Measured {
        let text = || "x".to_owned();
        Measured { what: what.into(), value: value.into(), how: text(), by: text(), on: text(), event }
    }

    fn merge(all: &[Measured]) -> Result<Value, String> {
        let file = include_str!("../../../../../demo/vehicles/hatchback.toml");
        let source = merged(file, &serde_json::to_string(all).unwrap_or_default())?;
        serde_json::from_str(&source.text).map_err(|fault| fault.to_string())
    }

    #[test]
    fn a_value_takes_the_place_of_the_files() -> Result<(), String> {
        let file = merge(&[
            one("wheelbase_left", "2.51 m", 1),
            one("cg_height", "0.55 m", 2),
            one("outline.roof", "1.50 m", 3),
            one("parts.drive shafts.mass", "17 kg", 4),
            one("lift_areas.rear sill seam.underside", "205 mm", 5),
        ])?;
        assert_eq!(file["wheelbase_left"], "2.51 m");
        assert_eq!(file["wheelbase_right"], "2.523 m by tape II");
        assert_eq!(file["cg_height"], "0.55 m");
        assert_eq!(file["outline"]["roof"], "1.50 m");
        assert_eq!(file["parts"][4]["mass"], "17 kg");
        assert_eq!(file["lift_areas"][1]["underside"], "205 mm");
        assert_eq!(file["lift_areas"][0]["underside"], "195 mm");
        Ok(())
    }

    #[test]
    fn a_thing_is_said_in_one_way() -> Result<(), String> {
        let wheels: Vec<Measured> = (1..).zip(WHEELS).map(|(n, key)| one(key, "300 kg", n)).collect();
        let file = merge(&wheels)?;
        assert_eq!(file["weight"].as_object().map(Map::len), Some(4));
        for (all, why) in [
            (vec![one("weight.front_left", "300 kg", 1)], "weight.front_left alone says too little"),
            (vec![one("weight.total", "1150 kg", 1)], "says less than the file"),
            (vec![one("wheelbase", "2.52 m", 1)], "says less than the file"),
            (vec![one("parts.hitch.mass", "20 kg", 1)], "no “hitch” among its parts"),
        ] {
            let said = merge(&all).err().unwrap_or_default();
            assert!(said.contains(why), "{said}");
        }
        Ok(())
    }

    #[test]
    fn only_what_a_file_can_say_is_measured() {
        assert!(usable("wheelbase", "2.52 m by tape II").is_ok());
        assert!(usable("weight.front_share", "61 % +- 2 %").is_ok());
        assert!(usable("parts.rear axle beam.mass", "58 kg").is_ok());
        for (what, value) in
            [("wheelbse", "2.52 m"), ("wheelbase", "2.52 kg"), ("parts", "5 kg"), ("name", "x")]
        {
            assert!(usable(what, value).is_err(), "{what} {value}");
        }
    }
}
