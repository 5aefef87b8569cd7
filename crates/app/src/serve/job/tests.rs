//! What a page makes is what a file says.

use ::records::{JobId, Role};
use axum::http::{Method, StatusCode};
use sheets::Units;

use super::fields::{Filled, of_file};
use super::file::made;
use crate::document::Document;
use crate::input::{self, Problems, Source};
use crate::serve::shelf::demo;
use crate::serve::tests::Shop;

fn filled(text: &str) -> Filled {
    of_file(&input::tree(&Source::new("job", text), &mut Problems::default()).unwrap())
}

/// Every job of the demonstration, filled into the form and made into a file again, is the same job.
#[test]
fn a_file_through_the_form_is_the_same_job() {
    let mut looked_at = 0;
    let new = include_str!("../../template/job.toml").replace("example_values = true", "");
    let jobs = demo::ALL.iter().filter(|d| d.0 == "job").map(|d| d.2);
    for text in jobs.chain([new.as_str()]) {
        let read = Document::of(Source::new("job", text)).job(None).unwrap();
        let made = made(&filled(text), Units::Metric, None);
        assert_eq!(made.problems, [], "{}", made.text);
        assert_eq!(made.job.as_ref(), Some(&read), "{}", made.text);
        looked_at +=
            read.steps.len() + read.tasks.len() + read.people.len() + usize::from(read.stands.is_some());
    }
    assert!(looked_at > 40, "{looked_at}");
}

/// A number without a unit is in the unit that the page says.
#[test]
fn a_bare_number_is_in_the_pages_unit() {
    let form = |mass: &str| -> Filled {
        [
            ("name", "boot"),
            ("loads.0.name", "tools"),
            ("loads.0.mass", mass),
            ("loads.0.at.0", "100"),
            ("loads.0.at.1", "0"),
            ("loads.0.at.2", "24"),
        ]
        .map(|(name, text)| (name.to_owned(), text.to_owned()))
        .into()
    };
    for (units, kilograms) in [(Units::Metric, 40.0), (Units::Us, 18.14)] {
        let made = made(&form("40 +- 2"), units, None);
        let mass = made.job.as_ref().map(|job| job.loads[0].mass.value.to_kilograms());
        assert!(
            mass.is_some_and(|mass| (mass - kilograms).abs() < 0.01),
            "{units:?}: {mass:?} {:?}",
            made.problems
        );
    }
}

const HATCHBACK: &str = "vehicle=hatchback&units=metric&name=Brakes+and+boot";

/// Each slip is told at the field that it was made in, and nothing is entered.
#[tokio::test]
async fn what_is_wrong_stands_at_its_field() {
    let shop = Shop::with_lifts(&[]).await;
    let before = shop.house.book().await.unwrap().shop().await.unwrap().jobs.clone();
    let cookie = shop.cookie(Role::Technician).await;
    for (fields, name, says) in [
        (
            "loads.0.name=tools&loads.0.mass=heavy&loads.0.at.0=1&loads.0.at.1=0&loads.0.at.2=1",
            "loads.0.mass",
            "heavy",
        ),
        (
            "loads.0.name=tools&loads.0.mass=4+kg&loads.0.at.0=1+m&loads.0.at.2=1+m",
            "loads.0.at.1",
            "no number",
        ),
        (
            "tasks.0.name=pads+off&tasks.0.posture=standing+under&tasks.0.during.0=drive+shafts+off",
            "tasks.0.during.0",
            "no state of this job",
        ),
        ("steps.0.way=off&steps.0.part=gear+box", "steps.0.part", "not a part of the vehicle"),
        ("doors.0.door=front+door&doors.0.opens=700", "doors.0.opens", "opens"),
        ("people.0.name=fitter&people.0.percentile=120&people.0.of=men", "people.0.percentile", "1 to 99"),
        ("tasks.0.name=pads+off", "tasks.0", "posture"),
        ("stands.0.count=2", "stands.0", "rated"),
    ] {
        let (status, page) =
            shop.ask(&Method::POST, "/make/job", &cookie, &format!("{HATCHBACK}&do=enter&{fields}")).await;
        assert_eq!(status, StatusCode::UNPROCESSABLE_ENTITY, "{fields}");
        let made = made(
            &url::form_urlencoded::parse(fields.as_bytes()).into_owned().collect::<Filled>(),
            Units::Metric,
            None,
        );
        let field = page.find(&format!("name=\"{name}\""));
        let told = page.find("class=\"wrong\"").map(|at| &page[at..]);
        assert!(
            told.is_some_and(|told| told.split("</p>").next().unwrap().contains(says)),
            "{fields}: {says}: {:?}",
            made.problems
        );
        // Beside its own field, before the next one.
        if let Some(field) = field {
            let rest = &page[field..];
            let next = rest[1..].find(" name=\"").map_or(rest.len(), |at| at + 1);
            assert!(rest[..next].contains("class=\"wrong\"") || name.contains("during"), "{fields}: {name}");
        }
        assert!(page.contains("value=\"Brakes and boot\""), "what was typed stays");
    }
    assert_eq!(shop.house.book().await.unwrap().shop().await.unwrap().jobs, before);
}

/// A technician makes a job for a vehicle with parts by their names, changes it, and a plan goes by it.
#[tokio::test]
async fn a_job_is_made_changed_and_planned() {
    let shop = Shop::with_lifts(&["north-bay"]).await;
    let cookie = shop.cookie(Role::Technician).await;
    let (_, page) = shop.ask(&Method::GET, "/make/job?vehicle=hatchback", &cookie, "").await;
    assert!(
        page.contains("<option value=\"drive shafts\">") && page.contains("<option value=\"front door\">"),
        "{page}"
    );
    let steps = "steps.0.way=off&steps.0.part=front+wheels&steps.1.way=on&steps.1.part=front+wheels";
    let tasks = "tasks.0.name=shafts+out+and+in&tasks.0.posture=standing+under&tasks.0.during.0=as+raised\
        &tasks.0.forces.0.common=pry+bar&tasks.0.forces.0.at.0=0&tasks.0.forces.0.at.1=300&tasks.0.forces.0.at.2=300";
    let people = "people.0.name=fitter&people.0.stature=1780";
    let all = format!("{HATCHBACK}&{steps}&{tasks}&{people}");
    // Looked at, nothing is entered, and there is room for more; the states follow from the steps.
    let (status, page) = shop.ask(&Method::POST, "/make/job", &cookie, &format!("{all}&do=look")).await;
    assert_eq!(status, StatusCode::OK);
    assert!(page.contains("name=\"steps.2.part\"") && page.contains("value=\"front wheels off\""), "{page}");
    assert!(!page.contains("class=\"wrong\""), "{page}");
    let to = shop.form("/make/job", &cookie, &format!("{all}&do=enter")).await.unwrap();
    assert_eq!(to, "/job/brakes-and-boot?vehicle=hatchback");
    let (_, record) = shop.ask(&Method::GET, &to, &cookie, "").await;
    assert!(
        record.contains("off = &quot;front wheels&quot;") && record.contains("job=brakes-and-boot"),
        "{record}"
    );
    let id: JobId = "brakes-and-boot".parse().unwrap();
    let first = shop.house.book().await.unwrap().shop().await.unwrap().jobs[&id];
    // The same name again is asked about.
    let again = format!(
        "{all}&do=enter&loads.0.name=tools&loads.0.mass=20+kg&loads.0.at.0=2.6+m&loads.0.at.1=0&loads.0.at.2=600"
    );
    assert!(shop.form("/make/job", &cookie, &again).await.unwrap_err().contains("in the book already"));
    shop.form("/make/job", &cookie, &format!("{again}&again=yes")).await.unwrap();
    assert_ne!(shop.house.book().await.unwrap().shop().await.unwrap().jobs[&id], first);
    let (_, change) =
        shop.ask(&Method::GET, "/make/job?job=brakes-and-boot&vehicle=hatchback", &cookie, "").await;
    assert!(change.contains("value=\"20 kg\"") && change.contains("value=\"1780 mm\""), "{change}");
    let (_, plan) = shop
        .ask(&Method::GET, "/plan?lift=north-bay&vehicle=hatchback&job=brakes-and-boot", &cookie, "")
        .await;
    assert!(plan.contains("front wheels off") || plan.contains("Front wheels off"), "{plan}");
}
