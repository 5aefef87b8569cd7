//! What the book says of lifts and vehicles as they are now; of what is in no book, nothing.

use jiff::Timestamp;
use records::{Fitness, Hall, Outline, Refusal, fitness, in_the_way};

/// The book, if one was asked. Lifts and vehicles are known by their names there, wherever their files lie.
#[derive(Clone, Copy)]
pub(crate) struct Shop<'a>(pub(crate) Option<&'a Hall>);

impl Shop<'_> {
    /// Why a lift may not be used now.
    pub(crate) fn unfit(&self, lift: &str) -> Option<String> {
        let (hall, lift) = (self.0?, lift.parse().ok()?);
        match fitness(hall, &lift, Timestamp::now()) {
            Fitness::Unfit(why) if hall.lifts.contains_key(&lift) => {
                let why: Vec<String> = why.iter().map(ToString::to_string).collect();
                Some(why.join("; "))
            }
            _ => None,
        }
    }

    /// What raises left behind that keeps the vehicle from being raised there. How it is raised is asked only where the
    /// vehicle is not whole, as a plan may come to the state in which it was left.
    pub(crate) fn left(
        &self,
        lift: &str,
        vehicle: &str,
        outline: impl FnOnce() -> Option<Outline>,
    ) -> Vec<Refusal> {
        let (Some(hall), Ok(lift), Ok(vehicle)) = (self.0, lift.parse(), vehicle.parse()) else {
            return vec![];
        };
        let is_whole = hall.found_not_whole(&vehicle).is_empty();
        let outline = if is_whole { None } else { outline() };
        in_the_way(hall, &lift, &vehicle, &outline.unwrap_or_default())
    }

    /// Raises that have not ended, of these lifts or vehicles: which, of which vehicle, on which lift.
    pub(crate) fn under_way(&self, is_asked: impl Fn(&str) -> bool) -> Vec<[String; 3]> {
        let all = self.0.into_iter().flat_map(|hall| &hall.raises);
        let named = all
            .map(|(n, raise)| [n.to_string(), raise.plan.vehicle.to_string(), raise.plan.lift.to_string()]);
        named.filter(|[_, vehicle, lift]| is_asked(vehicle) || is_asked(lift)).collect()
    }
}
