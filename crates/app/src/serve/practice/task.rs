//! What is practised on: situations that the program carries, and those of the book.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use records::{Hidden, Practice, PracticeNumber, Practised};

use crate::desk::kept;
use crate::serve::fault::Fault;
use crate::serve::house::House;
use crate::serve::shelf::{self, Worked, demo};

/// A situation with its plan.
pub(crate) struct Task {
    pub(crate) of: Practised,
    pub(crate) name: String,
    pub(crate) note: Option<String>,
    /// Whether it is told what the plate says.
    pub(crate) tells_plate: bool,
    pub(crate) hides: BTreeSet<Hidden>,
    pub(crate) worked: Arc<Worked>,
}

impl Task {
    pub(crate) fn hides(&self, what: Hidden) -> bool {
        self.hides.contains(&what)
    }
}

/// Where it is, below `/practice` and `/api/practice`.
pub(crate) fn below(of: &Practised) -> String {
    match of {
        Practised::Set(number) => format!("practice/{number}"),
        Practised::Invented(name) => format!("practice/invented/{name}"),
    }
}

/// A situation of the invented workshop.
pub(crate) struct Invented {
    pub(crate) id: &'static str,
    pub(crate) name: &'static str,
    pub(crate) note: &'static str,
    /// Whether the plate is told, where its mark is not shown.
    tells_plate: bool,
    lift: &'static str,
    vehicle: &'static str,
    job: &'static str,
    pub(crate) hides: &'static [Hidden],
}

/// From easy to hard.
pub(crate) const INVENTED: [Invented; 5] = [
    Invented {
        id: "a-first-spot",
        name: "A first spot",
        note: "Everything is shown. Put the front wheel where the plate says, then each pad into its lifting area.",
        tells_plate: false,
        lift: "north-bay",
        vehicle: "hatchback",
        job: "",
        hides: &[],
    },
    Invented {
        id: "without-the-plate",
        name: "Which mark is it?",
        note: "Which mark is not shown. What the plate says is: look for the wheelbase on it.",
        tells_plate: true,
        lift: "north-bay",
        vehicle: "sports-coupe",
        job: "",
        hides: &[Hidden::Mark, Hidden::Loads],
    },
    Invented {
        id: "where-it-balances",
        name: "Where does it balance?",
        note: "No plate on this lift, and nobody says where the weight is. Where is the engine?",
        tells_plate: false,
        lift: "mill-bay",
        vehicle: "hatchback",
        job: "engine-and-gearbox-out",
        hides: &[Hidden::CentreOfGravity, Hidden::Loads],
    },
    Invented {
        id: "a-heavy-nose",
        name: "A heavy nose",
        note: "The rear axle comes off. Think of the moment when it is gone.",
        tells_plate: false,
        lift: "mill-bay",
        vehicle: "pickup",
        job: "rear-axle-off",
        hides: &[Hidden::CentreOfGravity, Hidden::Loads],
    },
    Invented {
        id: "a-loaded-van",
        name: "A loaded van",
        note: "Loaded behind the rear axle. Nothing is shown: find the lifting areas from what you know of vans.",
        tells_plate: false,
        lift: "long-bay",
        vehicle: "long-van",
        job: "loaded-van-exhaust",
        hides: &[Hidden::CentreOfGravity, Hidden::Loads, Hidden::LiftAreas],
    },
];

/// One that the program carries.
pub(crate) async fn invented(house: &House, name: &str) -> Result<Task, Fault> {
    let nowhere = || Fault::NotFound(format!("There is no situation “{name}”."));
    let Invented { id, name, note, tells_plate, lift, vehicle, job, hides } =
        INVENTED.iter().find(|i| i.id == name).ok_or_else(nowhere)?;
    let all = [("lift", lift), ("vehicle", vehicle), ("job", job)];
    let texts =
        all.into_iter().filter_map(|(kind, id)| Some((kind.to_owned(), demo::text(kind, id)?.to_owned())));
    let worked = shelf::worked(house, texts.collect()).await?;
    Ok(Task {
        of: Practised::Invented((*id).to_owned()),
        name: (*name).to_owned(),
        note: Some((*note).to_owned()),
        tells_plate: *tells_plate,
        hides: hides.iter().copied().collect(),
        worked,
    })
}

/// One of the book, with the files that it was set with.
pub(crate) async fn of_the_book(house: &House, number: u64) -> Result<Task, Fault> {
    let (book, number) = (house.book().await?, PracticeNumber(number));
    let shop = book.shop().await?;
    let nowhere = || Fault::NotFound(format!("There is no situation {number}."));
    let Practice { situation, .. } = shop.practices.get(&number).ok_or_else(nowhere)?;
    let mut texts = BTreeMap::new();
    for kind in ["lift", "vehicle", "job"] {
        if let Some(digest) = situation.inputs.get(kind) {
            texts.insert(kind.to_owned(), kept(&book, *digest).await?.text().to_owned());
        }
    }
    Ok(Task {
        of: Practised::Set(number),
        name: situation.name.clone(),
        note: situation.note.clone(),
        tells_plate: false,
        hides: situation.hides.clone(),
        worked: shelf::worked(house, texts).await?,
    })
}
