//! Vehicles that raises left behind.

use records::*;

use super::*;

pub(crate) fn raise() -> RaiseNumber {
    RaiseNumber(1)
}

pub(crate) fn begun() -> World {
    let mut world = World::ready();
    world.must("tech", &Command::BeginRaise(plan()));
    world
}

/// A plan for another vehicle, or another job, than the one of `plan`.
pub(crate) fn other(vehicle_id: &str, steps: &[&str]) -> NewPlan {
    let mut new = plan();
    new.vehicle = vehicle(vehicle_id);
    new.outline = led(steps);
    new
}

pub(crate) fn enter(id: &str) -> Command {
    let file = Document::new("the vehicle's file");
    Command::EnterVehicle { vehicle: vehicle(id), description: "red".into(), file }
}

/// Led on by its own number, from wherever it stands.
pub(crate) fn lead_on(world: &mut World, number: u64, last: HoldPoint) {
    let raise = RaiseNumber(number);
    loop {
        let progress = &world.shop.raises[&raise].progress;
        let point = progress.next().expect("something comes next");
        let judgement = progress.asks_for_judgement().then(|| judged(progress, true));
        world.must("tech", &Command::Confirm { raise, point, judgement, words: None, seen: None });
        if point == last {
            return;
        }
    }
}

pub(crate) fn bring_down(number: u64) -> Command {
    Command::BringDown { raise: RaiseNumber(number), words: "closing time".into() }
}

pub(crate) fn back_to_service(world: &mut World) -> Seq {
    world.must("lead", &Command::ReturnToService { lift: lift("north-bay"), words: "clear".into() });
    world.must("tech", &check());
    world.last("returned-to-service")
}

pub(crate) fn say_whole() -> Command {
    Command::SayWhole { vehicle: vehicle("hatchback"), words: "looked at".into() }
}

/// As what raises left the vehicle, by the refusals of a raise by this plan.
pub(crate) fn states(world: &mut World, new: NewPlan) -> Vec<String> {
    let mut tried = World { shop: world.shop.clone(), at: world.at, events: vec![] };
    let why = tried.act("tech", &Command::BeginRaise(new)).err().unwrap_or_default();
    why.into_iter()
        .filter_map(|r| if let Refusal::NotWhole(_, _, state) = r { Some(state) } else { None })
        .collect()
}

/// A vehicle that was left with its gearbox off, and its lift clear again.
pub(crate) fn left_without_gearbox() -> World {
    let mut world = begun();
    world.until("tech", HoldPoint::StepDone(0));
    world.must("tech", &bring_down(1));
    world.until("tech", HoldPoint::LeftOnFloor);
    back_to_service(&mut world);
    world
}
