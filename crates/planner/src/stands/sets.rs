//! Which places stands may be set at together.

use core::cmp::Ordering;

use crate::vehicle::StandPlace;

/// More sets of places than this are not tried.
const SETS_MOST: usize = 1000;

/// Sets of so many places, from front to rear whatever the order of the file; of two or more, those alike left
/// and right alone where there are any.
pub(super) fn sets(places: &[StandPlace], count: usize) -> Vec<Vec<usize>> {
    let mut order: Vec<usize> = (0..places.len()).collect();
    order.sort_by(|a, b| from_front_to_rear(&places[*a], &places[*b]));
    if count > 1 {
        let alike = choose(&alike(places, &order), count);
        if !alike.is_empty() {
            return alike;
        }
    }
    let each: Vec<Vec<usize>> = order.into_iter().map(|k| vec![k]).collect();
    choose(&each, count)
}

fn from_front_to_rear(a: &StandPlace, b: &StandPlace) -> Ordering {
    let figures = |p: &StandPlace| [p.at.x(), -p.at.y(), p.underside].map(|l| l.to_metres());
    let (first, second) = (figures(a), figures(b));
    let each = first.iter().zip(&second).map(|(a, b)| a.total_cmp(b));
    each.fold(Ordering::Equal, Ordering::then).then_with(|| a.name.cmp(&b.name))
}

/// Places on the centre line, and pairs opposite each other.
fn alike(places: &[StandPlace], order: &[usize]) -> Vec<Vec<usize>> {
    let near = |a: f64, b: f64| (a - b).abs() < 0.01;
    let at = |k: usize| places[k].at.to_metres();
    let opposite = |k: usize, other: usize| near(at(k)[0], at(other)[0]) && near(at(k)[1], -at(other)[1]);
    let mut found = Vec::new();
    for (i, k) in order.iter().enumerate() {
        if opposite(*k, *k) {
            found.push(vec![*k]);
        } else if let Some(other) = order[i + 1..].iter().find(|other| opposite(*k, **other)) {
            found.push(vec![*k, *other]);
        }
    }
    found
}

/// Groups that together are so many places.
fn choose(groups: &[Vec<usize>], count: usize) -> Vec<Vec<usize>> {
    // What was chosen, and the first group that may still join.
    let mut open: Vec<(Vec<usize>, usize)> = vec![(vec![], 0)];
    let mut found = Vec::new();
    while let Some((chosen, from)) = open.pop() {
        if chosen.len() == count {
            found.push(chosen);
            if found.len() == SETS_MOST {
                break;
            }
            continue;
        }
        let joined = (from..groups.len()).map(|g| {
            let places = chosen.iter().chain(&groups[g]).copied().collect::<Vec<_>>();
            (places, g + 1)
        });
        let joined: Vec<_> = joined.filter(|(places, _)| places.len() <= count).collect();
        open.extend(joined.into_iter().rev());
    }
    found
}

#[cfg(test)]
mod tests {
    use statics::{Length, Place};

    use super::sets;
    use crate::vehicle::StandPlace;

    fn place(name: &str, aft: f64, left: f64) -> StandPlace {
        StandPlace { name: name.into(), at: Place::metres([aft, left]), underside: Length::metres(0.2) }
    }

    fn named(places: &[StandPlace], count: usize) -> Vec<String> {
        let name = |set: Vec<usize>| set.iter().map(|k| places[*k].name.as_str()).collect();
        sets(places, count).into_iter().map(name).collect()
    }

    #[test]
    fn sets_are_the_same_whatever_the_order_of_the_file() {
        let mut places = vec![
            place("a", -0.4, 0.3),
            place("b", -0.4, -0.3),
            place("c", 2.0, 0.0),
            place("d", 3.0, 0.5),
            place("e", 3.0, -0.5),
        ];
        assert_eq!(named(&places, 1), ["a", "b", "c", "d", "e"]);
        assert_eq!(named(&places, 2), ["ab", "de"]);
        assert_eq!(named(&places, 3), ["abc", "cde"]);
        assert_eq!(named(&places, 4), ["abde"]);
        assert_eq!(named(&places, 6), Vec::<String>::new());
        for _ in 0..5 {
            places.rotate_left(1);
            places.swap(0, 2);
            assert_eq!(named(&places, 1), ["a", "b", "c", "d", "e"]);
            assert_eq!(named(&places, 2), ["ab", "de"]);
            assert_eq!(named(&places, 3), ["abc", "cde"]);
        }
        // Where nothing is alike left and right, every set.
        assert_eq!(named(&[place("d", 3.0, 0.5), place("a", 1.0, 0.3)], 2), ["ad"]);
    }
}
