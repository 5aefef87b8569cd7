//! Which bay takes which of the day's vehicles, and when.
//!
//! What is optimised, in this order: every vehicle that any bay takes has a bay; each stands in a bay whose reserve is of the
//! best class that any bay offers it ([`CLASSES`]); the waiting of all together is least; the reserves of all together
//! are largest. It begins with a simple day, the shortest first, made better visit by visit; then all orders that could be
//! better are looked at, in the order of beginning; of the same vehicles begun, what leaves no bay sooner and has waited no
//! less is passed over.

use std::collections::HashMap;

/// Where one class of reserves ends and a better one begins; project default. More than the last says nothing.
pub(crate) const CLASSES: [f64; 3] = [0.10, 0.25, 0.50];
/// States that are looked at before it is given up to prove that nothing is better.
/// Of 40 visits in up to four bays a second or so where the program is built without optimising, a tenth where it is with (one
/// core); some 20 MB.
const MOST_STATES: usize = 300_000;

/// Minutes of the day.
pub(crate) type Minutes = u32;

/// A vehicle that comes today.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Visit {
    /// Which vehicle, by its place among what must be free: after the bays.
    pub(crate) vehicle: usize,
    /// When it is there.
    pub(crate) from: Minutes,
    pub(crate) duration: Minutes,
    /// What each bay leaves in reserve; `None` = it must not be raised there.
    pub(crate) reserves: Vec<Option<f64>>,
}

/// Where and when it is raised.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Slot {
    pub(crate) bay: usize,
    pub(crate) start: Minutes,
}

/// The day.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Day {
    /// For each visit; `None` = no bay takes it.
    pub(crate) slots: Vec<Option<Slot>>,
    /// Of all together.
    pub(crate) waiting: Minutes,
    /// Whether nothing is better.
    pub(crate) proven: bool,
}

fn class(reserve: f64) -> usize {
    CLASSES.iter().filter(|end| reserve >= **end).count()
}

impl Visit {
    /// Bays of the best class that it is offered.
    pub(crate) fn bays(&self) -> Vec<usize> {
        let best = self.reserves.iter().flatten().map(|r| class(*r)).max();
        let all = self.reserves.iter().enumerate();
        all.filter(|(_, r)| r.is_some() && r.map(class) == best).map(|(bay, _)| bay).collect()
    }

    /// In millionths, so that sums do not depend on their order.
    #[expect(clippy::cast_possible_truncation, reason = "a reserve is 9 at most")]
    fn worth(&self, bay: usize) -> i64 {
        self.reserves[bay].map_or(0, |r| (r * 1e6).floor() as i64)
    }
}

/// Least waiting first, then most reserve.
type Cost = (Minutes, i64);

/// Visits with their bays, in the order of beginning: each begins as soon as bay, vehicle and clock allow.
type Order = Vec<(usize, usize)>;

struct Search<'a> {
    visits: &'a [Visit],
    bays: Vec<Vec<usize>>,
    /// Visits that some bay takes.
    count: usize,
    slots: Vec<Option<Slot>>,
    best: Option<(Cost, Vec<Option<Slot>>)>,
    /// By the visits that have begun: from when on what the others need is free, and cost so far.
    seen: HashMap<u64, Vec<(Vec<Minutes>, Cost)>>,
    states: usize,
}

impl<'a> Search<'a> {
    fn new(visits: &'a [Visit]) -> Self {
        let bays: Vec<Vec<usize>> = visits.iter().map(Visit::bays).collect();
        let count = bays.iter().filter(|bays| !bays.is_empty()).count();
        let slots = vec![None; visits.len()];
        Self { visits, bays, count, slots, best: None, seen: HashMap::new(), states: 0 }
    }

    /// Waiting that is certain for those that have not begun.
    fn still(&self, begun: u64, free: &[Minutes]) -> Minutes {
        let waiting = (0..self.visits.len()).filter(|v| begun >> v & 1 == 0 && !self.bays[*v].is_empty());
        waiting
            .map(|v| {
                let soonest = self.bays[v].iter().map(|bay| free[*bay]).min().unwrap_or(0);
                let soonest = soonest.max(free[self.visits[v].vehicle]);
                soonest.saturating_sub(self.visits[v].from)
            })
            .sum()
    }

    /// From when on what those need that have not begun is free: their bays and vehicles, none sooner than the first of them
    /// comes. What nobody needs any more tells two ways of beginning the others apart for nothing.
    fn needed(&self, begun: u64, free: &[Minutes]) -> Vec<Minutes> {
        let mut first: Vec<Option<Minutes>> = vec![None; free.len()];
        for v in (0..self.visits.len()).filter(|v| begun >> v & 1 == 0 && !self.bays[*v].is_empty()) {
            let visit = &self.visits[v];
            for needs in self.bays[v].iter().chain([&visit.vehicle]) {
                first[*needs] = Some(first[*needs].map_or(visit.from, |from| from.min(visit.from)));
            }
        }
        first.into_iter().zip(free).filter_map(|(from, free)| Some(from?.max(*free))).collect()
    }

    /// Whether something at least as good began the same visits; remembers this otherwise.
    fn is_beaten(&mut self, begun: u64, free: &[Minutes], cost: Cost) -> bool {
        let needed = self.needed(begun, free);
        let known = self.seen.entry(begun).or_default();
        let beats = |(other, theirs): &(Vec<Minutes>, Cost)| {
            *theirs <= cost && other.iter().zip(&needed).all(|(a, b)| a <= b)
        };
        if known.iter().any(beats) {
            return true;
        }
        known.retain(|(other, theirs)| !(cost <= *theirs && needed.iter().zip(other).all(|(a, b)| a <= b)));
        known.push((needed, cost));
        false
    }

    /// When a visit would begin in a bay.
    fn start(&self, (v, bay): (usize, usize), free: &[Minutes]) -> Minutes {
        let visit = &self.visits[v];
        free[bay].max(free[visit.vehicle]).max(visit.from)
    }

    /// Begins it, and gives when.
    fn begin(&self, at: (usize, usize), free: &mut [Minutes]) -> Minutes {
        let (start, visit) = (self.start(at, free), &self.visits[at.0]);
        [free[at.1], free[visit.vehicle]] = [start + visit.duration; 2];
        start
    }

    fn cost(&self, order: &[(usize, usize)], free: &[Minutes]) -> Cost {
        let mut free = free.to_vec();
        order.iter().fold((0, 0), |(waiting, worth), &(v, bay)| {
            let visit = &self.visits[v];
            (waiting + self.begin((v, bay), &mut free) - visit.from, worth - visit.worth(bay))
        })
    }

    /// What may begin soonest begins next; of several, the shortest.
    fn shortest_first(&self, free: &[Minutes]) -> Order {
        let (mut free, mut order) = (free.to_vec(), vec![]);
        let mut left: Vec<usize> = (0..self.visits.len()).filter(|v| !self.bays[*v].is_empty()).collect();
        let next = |left: &[usize], free: &[Minutes]| {
            let all = left.iter().flat_map(|v| self.bays[*v].iter().map(|bay| (*v, *bay)));
            all.min_by_key(|&(v, bay)| {
                let visit = &self.visits[v];
                (self.start((v, bay), free), visit.duration, -visit.worth(bay))
            })
        };
        while let Some(at) = next(&left, &free) {
            self.begin(at, &mut free);
            left.retain(|v| *v != at.0);
            order.push(at);
        }
        order
    }

    /// Each visit where among the others, and in which of its bays, it costs least, until no move of one gains.
    fn improved(&self, mut order: Order, free: &[Minutes]) -> (Cost, Order) {
        let mut cost = self.cost(&order, free);
        loop {
            let before = cost;
            for v in 0..self.visits.len() {
                let Some(at) = order.iter().position(|(other, _)| *other == v) else { continue };
                let mut others = order.clone();
                others.remove(at);
                let places = (0..=others.len()).flat_map(|k| self.bays[v].iter().map(move |bay| (k, *bay)));
                for (k, bay) in places {
                    let mut moved = others.clone();
                    moved.insert(k, (v, bay));
                    let costs = self.cost(&moved, free);
                    if costs < cost {
                        (cost, order) = (costs, moved);
                    }
                }
            }
            if cost == before {
                return (cost, order);
            }
        }
    }

    fn slots_of(&self, order: &[(usize, usize)], free: &[Minutes]) -> Vec<Option<Slot>> {
        let (mut free, mut slots) = (free.to_vec(), vec![None; self.visits.len()]);
        for &(v, bay) in order {
            slots[v] = Some(Slot { bay, start: self.begin((v, bay), &mut free) });
        }
        slots
    }

    fn go_on(&mut self, begun: u64, free: &mut Vec<Minutes>, cost: Cost) {
        if self.states == MOST_STATES {
            return;
        }
        self.states += 1;
        if begun.count_ones() as usize == self.count {
            if self.best.as_ref().is_none_or(|(best, _)| cost < *best) {
                self.best = Some((cost, self.slots.clone()));
            }
            return;
        }
        let certain = cost.0 + self.still(begun, free);
        // With as much waiting there may still be more reserve.
        if self.best.as_ref().is_some_and(|(best, _)| certain > best.0) || self.is_beaten(begun, free, cost) {
            return;
        }
        let mut next: Vec<(Minutes, Minutes, usize, usize)> = (0..self.visits.len())
            .filter(|v| begun >> v & 1 == 0)
            .flat_map(|v| self.bays[v].iter().map(move |bay| (v, *bay)))
            .map(|(v, bay)| (self.start((v, bay), free), self.visits[v].duration, v, bay))
            .collect();
        next.sort_unstable();
        for (start, _, v, bay) in next {
            let visit = &self.visits[v];
            let cost = (cost.0 + start - visit.from, cost.1 - visit.worth(bay));
            let (vehicle, before) = (visit.vehicle, [free[bay], free[visit.vehicle]]);
            self.begin((v, bay), free);
            self.slots[v] = Some(Slot { bay, start });
            self.go_on(begun | 1 << v, free, cost);
            self.slots[v] = None;
            [free[bay], free[vehicle]] = before;
        }
    }
}

/// The most visits of a day.
pub(crate) const MOST_VISITS: usize = 40;

/// The best day, its bays and after them its vehicles free from these times on. At most [`MOST_VISITS`].
pub(crate) fn best(visits: &[Visit], free: &[Minutes]) -> Day {
    let mut search = Search::new(visits);
    let (cost, order) = search.improved(search.shortest_first(free), free);
    search.best = Some((cost, search.slots_of(&order, free)));
    search.go_on(0, &mut free.to_vec(), (0, 0));
    let proven = search.states < MOST_STATES;
    let ((waiting, _), slots) = search.best.unwrap_or(((0, 0), vec![None; visits.len()]));
    Day { slots, waiting, proven }
}

/// "8:30", "08:30".
pub(crate) fn clock(text: &str) -> Option<Minutes> {
    let (hours, minutes) = text.trim().split_once(':')?;
    let (hours, minutes): (Minutes, Minutes) = (hours.parse().ok()?, minutes.parse().ok()?);
    (hours < 24 && minutes < 60).then_some(hours * 60 + minutes)
}

/// "90 min", "1:30", "1.5 h".
pub(crate) fn duration(text: &str) -> Option<Minutes> {
    let text = text.trim();
    let minutes = if let Some(number) = text.strip_suffix("min") {
        number.trim().parse().ok()?
    } else if let Some(number) = text.strip_suffix('h') {
        let hours: f64 = number.trim().parse().ok()?;
        let minutes = (hours * 60.0).round();
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "of a day at most")]
        let minutes = if (0.0..=1440.0).contains(&minutes) { minutes as Minutes } else { return None };
        minutes
    } else {
        clock(text)?
    };
    (1..=1440).contains(&minutes).then_some(minutes)
}

/// As a clock shows it, with the days after today's.
pub(crate) fn shown(minutes: Minutes) -> String {
    let clock = format!("{:02}:{:02}", minutes / 60 % 24, minutes % 60);
    match minutes / 1440 {
        0 => clock,
        days => format!("{clock} +{days} d"),
    }
}

#[cfg(test)]
mod tests {
    use std::path::Path;

    use super::super::engine::{Answer, Ask, Named};
    use super::super::fleet::{Entry, Fleet};
    use super::super::read;
    use super::super::row::Row;
    use super::*;
    use crate::measuring::Subject;

    struct Numbers(u64);

    impl Numbers {
        fn below(&mut self, n: u32) -> u32 {
            self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
            u32::try_from(self.0 >> 33).unwrap_or(0) % n
        }
    }

    /// Every order, and in it every bay for every visit.
    fn by_force(visits: &[Visit], free: &[Minutes]) -> Cost {
        fn rest(visits: &[Visit], left: &[usize], free: &[Minutes]) -> Cost {
            let ways = left.iter().flat_map(|v| visits[*v].bays().into_iter().map(move |bay| (*v, bay)));
            let costs = ways.map(|(v, bay)| {
                let visit = &visits[v];
                let start = visit.from.max(free[bay]).max(free[visit.vehicle]);
                let mut free = free.to_vec();
                [free[bay], free[visit.vehicle]] = [start + visit.duration; 2];
                let left: Vec<usize> = left.iter().copied().filter(|other| *other != v).collect();
                let (waiting, worth) = rest(visits, &left, &free);
                (waiting + start - visit.from, worth - visit.worth(bay))
            });
            costs.min().unwrap_or((0, 0))
        }
        let taken: Vec<usize> = (0..visits.len()).filter(|v| !visits[*v].bays().is_empty()).collect();
        rest(visits, &taken, free)
    }

    /// What a day costs, if nothing in it overlaps or begins too soon.
    fn cost(visits: &[Visit], free: &[Minutes], day: &Day) -> Cost {
        let mut at: Vec<Vec<(Minutes, Minutes)>> = free.iter().map(|open| vec![(0, *open)]).collect();
        let (mut waiting, mut worth) = (0, 0);
        for (visit, slot) in visits.iter().zip(&day.slots) {
            let Some(Slot { bay, start }) = *slot else {
                assert!(visit.bays().is_empty());
                continue;
            };
            assert!(visit.bays().contains(&bay) && start >= visit.from);
            let end = start + visit.duration;
            for taken in [bay, visit.vehicle] {
                assert!(at[taken].iter().all(|(from, to)| end <= *from || *to <= start), "{day:?}");
                at[taken].push((start, end));
            }
            waiting += start - visit.from;
            worth += visit.worth(bay);
        }
        (waiting, -worth)
    }

    /// By the search alone, with no good day to begin with.
    fn by_search(visits: &[Visit], free: &[Minutes]) -> Cost {
        let mut search = Search::new(visits);
        search.go_on(0, &mut free.to_vec(), (0, 0));
        search.best.unwrap().0
    }

    #[test]
    fn the_best_day_is_that_of_brute_force() {
        let mut numbers = Numbers(3);
        let mut with_waiting = 0;
        for case in 0..300 {
            let bays = 1 + numbers.below(3) as usize;
            let vehicles = 1 + numbers.below(4);
            let visits: Vec<Visit> = (0..1 + numbers.below(5))
                .map(|_| Visit {
                    vehicle: bays + numbers.below(vehicles) as usize,
                    from: 480 + 10 * numbers.below(20),
                    duration: 20 + 10 * numbers.below(12),
                    reserves: (0..bays)
                        .map(|_| (numbers.below(4) > 0).then(|| f64::from(numbers.below(100)) / 100.0))
                        .collect(),
                })
                .collect();
            let mut free: Vec<Minutes> = (0..bays).map(|_| 480 + 30 * numbers.below(4)).collect();
            free.resize_with(bays + vehicles as usize, || 480 + 30 * numbers.below(4));
            let day = best(&visits, &free);
            assert!(day.proven);
            let (found, wanted) = (cost(&visits, &free, &day), by_force(&visits, &free));
            assert_eq!(found, wanted, "case {case}: {visits:?} {free:?}");
            assert_eq!(day.waiting, wanted.0);
            assert_eq!(by_search(&visits, &free), wanted, "case {case}: {visits:?} {free:?}");
            with_waiting += usize::from(wanted.0 > 0);
        }
        assert!(with_waiting > 100, "{with_waiting}");
    }

    /// Vehicles that come again and again, in bays that are alike good: many ways of beginning the same visits.
    #[test]
    fn many_ways_of_beginning_the_same_are_that_of_brute_force() {
        let mut numbers = Numbers(17);
        for case in 0..600 {
            let vehicles = 2 + case % 3;
            let visits: Vec<Visit> = (0..6)
                .map(|_| Visit {
                    vehicle: 2 + numbers.below(vehicles) as usize,
                    from: 480 + 20 * numbers.below(12),
                    duration: 20 + 20 * numbers.below(6),
                    reserves: (0..2)
                        .map(|_| (numbers.below(3) > 0).then(|| f64::from(50 + numbers.below(50)) / 100.0))
                        .collect(),
                })
                .collect();
            let free = [480; 6];
            assert_eq!(by_search(&visits, &free), by_force(&visits, &free), "case {case}: {visits:?}");
        }
    }

    /// The demonstration's vehicles on its lifts, all of them and without each.
    #[test]
    fn the_day_of_the_demonstration_is_that_of_brute_force() {
        let demo = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../demo");
        let fleet = |subject, folder: &str| Fleet::of_paths(subject, &[demo.join(folder)]).unwrap();
        let lift = |entry: Entry| Named { lift: read::lift(&entry).unwrap().said, id: entry.id };
        let lifts: Vec<Named> = fleet(Subject::Lift, "lifts").entries().map(lift).collect();
        let limits = planner::Limits::default();
        let ask = Ask { lifts: &lifts, job: None, limits: &limits };
        let answers: Vec<Answer> =
            fleet(Subject::Vehicle, "vehicles").entries().map(|entry| ask.answer(&entry)).collect();
        let mut with_waiting = 0;
        for gone in (0..lifts.len()).map(Some).chain([None]) {
            let visits: Vec<Visit> = answers
                .iter()
                .zip(0..)
                .enumerate()
                .map(|(vehicle, (answer, k))| {
                    let Answer::Rows(read::Read { said: rows, .. }) = answer else { panic!("{answer:?}") };
                    let reserve =
                        |(bay, row): (usize, &Row)| row.reserve.filter(|_| row.takes() && Some(bay) != gone);
                    Visit {
                        vehicle: lifts.len() + vehicle,
                        from: if gone.is_some() { 630 } else { 480 + 15 * (k % 3) },
                        duration: 60 + 30 * (k % 4),
                        reserves: rows.iter().enumerate().map(reserve).collect(),
                    }
                })
                .collect();
            let free = vec![480; lifts.len() + visits.len()];
            let day = best(&visits, &free);
            assert!(day.proven);
            let wanted = by_force(&visits, &free);
            assert_eq!(cost(&visits, &free, &day), wanted, "without {gone:?}");
            assert_eq!(by_search(&visits, &free), wanted, "without {gone:?}");
            with_waiting += usize::from(day.waiting > 0);
        }
        assert!(with_waiting >= 2, "{with_waiting}");
    }

    fn crowd(seed: u64, count: u32, bays: usize) -> (Vec<Visit>, Vec<Minutes>) {
        let mut numbers = Numbers(seed);
        let visits = (0..count as usize).map(|k| Visit {
            vehicle: bays + k,
            from: 480 + 15 * numbers.below(8),
            duration: 15 + 15 * numbers.below(16),
            reserves: (0..bays)
                .map(|_| (numbers.below(4) > 0).then(|| f64::from(numbers.below(60)) / 100.0))
                .collect(),
        });
        (visits.collect(), [vec![480; bays], vec![0; count as usize]].concat())
    }

    /// Whenever something may begin, the shortest of what may begin then does.
    fn shortest_first(visits: &[Visit], free: &[Minutes]) -> Minutes {
        let (mut free, mut waiting) = (free.to_vec(), 0);
        let mut left: Vec<usize> = (0..visits.len()).filter(|v| !visits[*v].bays().is_empty()).collect();
        while !left.is_empty() {
            let mut ways = vec![];
            for v in &left {
                for bay in visits[*v].bays() {
                    let start = free[bay].max(free[visits[*v].vehicle]).max(visits[*v].from);
                    ways.push((start, visits[*v].duration, *v, bay));
                }
            }
            let (start, duration, v, bay) = ways.into_iter().min().unwrap();
            waiting += start - visits[v].from;
            [free[bay], free[visits[v].vehicle]] = [start + duration; 2];
            left.retain(|other| *other != v);
        }
        waiting
    }

    /// More than can be proven waits no longer than the simplest rule has it wait; mostly less.
    #[test]
    fn a_crowded_day_is_no_worse_than_the_shortest_first() {
        let mut better = 0;
        for (seed, bays) in [(2, 2), (3, 3), (5, 4)] {
            let (visits, free) = crowd(seed, 40, bays);
            let day = best(&visits, &free);
            assert_eq!(cost(&visits, &free, &day).0, day.waiting);
            let simple = shortest_first(&visits, &free);
            assert!(day.waiting <= simple, "{bays} bays: {} > {simple}", day.waiting);
            better += u32::from(day.waiting < simple);
        }
        assert!(better >= 2, "{better}");
    }

    /// What is remembered of visits begun stays short, as each state is compared with all of it: thousands were, while what nobody
    /// needed any more was compared as well.
    #[test]
    fn a_crowded_day_compares_little() {
        for (seed, bays) in [(2, 2), (5, 4)] {
            let (visits, mut free) = crowd(seed, 40, bays);
            let mut search = Search::new(&visits);
            search.go_on(0, &mut free, (0, 0));
            assert_eq!(search.states, MOST_STATES);
            let longest = search.seen.values().map(Vec::len).max().unwrap();
            assert!(longest <= 150, "{bays} bays: {longest}");
        }
    }

    /// A full day of a small shop is proven within the states that are looked at.
    #[test]
    fn a_full_day_is_proven() {
        let mut numbers = Numbers(11);
        let visits: Vec<Visit> = (0..14)
            .map(|k| Visit {
                vehicle: 3 + k,
                from: 480 + 15 * numbers.below(32),
                duration: 30 + 15 * numbers.below(8),
                reserves: (0..3).map(|_| Some(f64::from(numbers.below(90)) / 100.0)).collect(),
            })
            .collect();
        assert!(best(&visits, &[[480; 3].as_slice(), &[0; 14]].concat()).proven);
    }

    #[test]
    fn times_are_read_as_people_write_them() {
        assert_eq!(clock("8:30"), Some(510));
        assert_eq!([clock("24:00"), clock("8"), clock("8:60")], [None; 3]);
        assert_eq!(["90 min", "1:30", "1.5 h"].map(duration), [Some(90); 3]);
        assert_eq!(["0 min", "-5 min", "25 h", "soon"].map(duration), [None; 4]);
        assert_eq!([65, 2850].map(shown), ["01:05", "23:30 +1 d"]);
    }
}
