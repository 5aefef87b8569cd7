//! Raises led at random, with everything that can go wrong: what must hold at every moment holds.

#![allow(clippy::expect_used, clippy::panic, reason = "a test ends where it fails")]

mod common;

use HoldPoint as P;
use common::*;
use records::*;

struct Chance(u64);

impl Chance {
    fn below(&mut self, n: u64) -> u64 {
        // Marsaglia, Xorshift RNGs, 2003.
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        self.0 % n
    }

    fn outline(&mut self) -> Outline {
        let (mut states, mut parts) = (vec![], vec![]);
        let mut off: Vec<u64> = vec![];
        for n in 0..self.below(6) {
            let (part, how) = match self.below(2) == 0 {
                true if !off.is_empty() => {
                    (off.remove(usize::try_from(self.below(2)).expect("small") % off.len()), "on")
                }
                _ => (n, "off"),
            };
            if how == "off" {
                off.push(part);
            }
            states.push(format!("part {part} {how}"));
            parts.push(format!("{part} kg"));
        }
        let steps = states.len() as u64;
        let from = self.below(steps + 1);
        let to = from + 1 + self.below(3);
        let number = |n: u64| u16::try_from(n).expect("small");
        let stands = (to <= steps).then(|| (number(from), number(to)));
        let lock = (self.below(4) > 0).then_some(3);
        let mut later = vec![];
        for after in 0..=number(steps) {
            let held = stands.is_some_and(|(from, to)| from < after && after < to);
            while lock.is_some() && !held && self.below(3) == 0 {
                later.push(LaterLock { after, lock: number(1 + self.below(6)) });
            }
        }
        Outline {
            recheck: (0..4).filter(|_| self.below(2) == 0).collect(),
            lock,
            steps: states,
            parts,
            stands,
            test_raise_millimetres: 200,
            first_lock_millimetres: [None, Some(100), Some(400)]
                [usize::from(self.below(2) == 0) + usize::from(self.below(2) == 0)],
            later,
            backwards: [None, Some(false), Some(true)]
                [usize::from(self.below(2) == 0) + usize::from(self.below(2) == 0)],
        }
    }
}

impl Chance {
    /// A check that passes, and now and then leads elsewhere.
    fn check(&mut self, now: &Progress) -> Judgement {
        let led = &now.outline;
        let mut outline = led.clone();
        if self.below(2) == 0 {
            outline.recheck = (0..4).filter(|_| self.below(2) == 0).collect();
            outline.test_raise_millimetres = [200, 320, 380][usize::try_from(self.below(3)).expect("small")];
        }
        if self.below(4) == 0 {
            outline.lock = led.lock.map(|lock| lock + 1);
        }
        if self.below(4) == 0 {
            outline.later.pop();
        }
        Judgement { outline: Some(outline), ..judged(now, true) }
    }
}

/// The parts that are off after so many steps.
fn off_after(outline: &Outline, steps: u16) -> Vec<&str> {
    let mut off: Vec<&str> = vec![];
    for state in &outline.steps[..usize::from(steps)] {
        match state.strip_suffix(" on") {
            Some(part) => off.retain(|state| state.strip_suffix(" off") != Some(part)),
            None => off.push(state),
        }
    }
    off
}

/// What is confirmed is possible where the vehicle is.
fn possible(before: &Progress, point: P) {
    let (up, position) = (before.is_up(), before.position);
    let may_be = before.steps_done..=before.steps_done + u16::from(before.step_may_be_begun);
    let relieved = before.outline.stands.is_some_and(|(from, to)| {
        let off = |steps| off_after(&before.outline, steps);
        may_be.into_iter().any(|steps| from < steps && steps < to && off(steps) != off(from))
    });
    let test = matches!(position, Position::TestRaising | Position::TestHeight);
    let low = test && before.outline.test_raise_reaches_a_lock();
    let good = match point {
        P::Spotted => position == Position::Away,
        P::PadsSeated | P::ArmLocksEngaged | P::ArmsClear => position == Position::Floor,
        P::TestRaised => position == Position::TestRaising,
        P::Shaken => position == Position::TestHeight,
        // Newly named by a check while it may be on its way up already.
        P::PadRechecked(_) => matches!(position, Position::TestHeight | Position::Raising),
        P::Raised => position == Position::Raising,
        P::HeightReached(n) => {
            let direct = before.locks_done == n || before.locks_done == n + 1;
            direct && position == Position::Raised && !before.stands_set && !relieved
        }
        P::OnLocks => position == Position::Raised,
        P::StepDone(n) => {
            n == before.steps_done && (position == Position::OnLocks || before.outline.lock.is_none())
        }
        P::StepUndone(n) => {
            let is_off = off_after(&before.outline, n + 1) == off_after(&before.outline, before.steps_done);
            let there = is_off || n == before.steps_done && before.step_may_be_begun;
            there
                && before.stands_set
                && before.is_coming_down()
                && (position == Position::OnLocks || before.outline.lock.is_none())
        }
        P::StandsSet => !before.stands_set && up,
        P::StandsAway => before.stands_set && !relieved,
        P::AreaClear => up && !before.stands_set,
        P::OffLocks => low || matches!(position, Position::Raising | Position::Raised | Position::OnLocks),
        P::LocksReleased => low || position == Position::Raised,
        P::FullyDown => up && !before.stands_set,
        P::DrivenOff => position == Position::Floor && before.unfinished().is_none(),
        P::LeftOnFloor => position == Position::Floor && before.unfinished().is_some(),
    };
    assert!(good, "{point} from {before:?}");
}

/// A raise by its own events alone, as it is walked through afterwards.
fn replayed(events: &[Event]) -> Option<Raise> {
    let begun = events.iter().position(|event| Raise::begun(event).is_some())?;
    let (_, mut raise) = Raise::begun(&events[begun])?;
    events[begun + 1..].iter().for_each(|event| raise.follow(event));
    Some(raise)
}

#[test]
fn whatever_goes_wrong_it_comes_down_by_possible_steps() {
    let mut chance = Chance(0x5eed);
    let mut seen = [0_u32; 9];
    for _ in 0..2400 {
        let mut world = World::ready();
        let outline = chance.outline();
        world.must("tech", &Command::BeginRaise(NewPlan { outline, ..plan() }));
        let raise = RaiseNumber(1);
        for moment in 0.. {
            assert!(moment < 500, "it comes to an end: {:?}", world.progress());
            let words = "random".to_owned();
            // Later only the steps: what goes wrong for ever need not end.
            let what = if moment < 60 { chance.below(12) } else { 11 };
            let gone_wrong = match what {
                0 => Command::Upset { raise, sign: Sign::Moved, words },
                1 if chance.below(4) == 0 => Command::BringDown { raise, words },
                2 => Command::LockNotHeard { raise, words },
                // The course stays, and is looked at again from the last time that nobody was under it.
                3 => {
                    world.must("tech", &Command::NotRight { raise, words });
                    continue;
                }
                4 => {
                    let (what, value, how) = ("wheelbase".into(), "2.5 m".into(), words);
                    let measured = Measurement { vehicle: vehicle("hatchback"), what, value, how };
                    world.must("tech", &Command::Measure(measured));
                    continue;
                }
                _ => {
                    let now = world.progress();
                    let check = now.asks_for_judgement().then(|| chance.check(now));
                    let led =
                        check.as_ref().and_then(|check| check.outline.as_ref()).map(|o| now.by_check(o));
                    let before = match led {
                        None => now.clone(),
                        Some(Ok(led)) => led,
                        // What it asks for comes too late.
                        Some(Err(_)) => {
                            assert!(!now.is_coming_down() || now.position == Position::OnLocks);
                            seen[5] += 1;
                            world.must("tech", &Command::BringDown { raise, words });
                            continue;
                        }
                    };
                    let point = before.next().expect("something comes next");
                    seen[6] += u32::from(before.outline != now.outline);
                    seen[7] += u32::from(before.next() != now.next());
                    world.must("tech", &confirm(point, check));
                    possible(&before, point);
                    seen[3] += 1;
                    seen[4] += u32::from(matches!(point, P::HeightReached(_)));
                    seen[8] += u32::from(matches!(point, P::StepUndone(_)));
                    if world.shop.raises.is_empty() {
                        break;
                    }
                    continue;
                }
            };
            if moment % 7 == 0 {
                assert_eq!(replayed(&world.events).as_ref(), world.shop.raises.get(&raise));
            }
            if world.act("tech", &gone_wrong).is_ok() {
                seen[usize::try_from(what).expect("small")] += 1;
            }
            if world.shop.raises.is_empty() {
                break;
            }
        }
    }
    assert!(seen.iter().all(|n| *n > 20), "everything happened: {seen:?}");
}
