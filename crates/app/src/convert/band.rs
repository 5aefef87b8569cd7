//! The plate's bands of wheelbase, from text: "under 105 in", "105 in to 127 in", "over 127 in".

use planner::lift::{Band, BandEnd};
use statics::Length;

use super::expect::BAND;
use super::plain;
use crate::input::quantity::{Quantity, show_like};
use crate::input::{At, Problems, Text};

/// Lower and upper end.
pub(crate) type Ends = (Option<BandEnd>, Option<BandEnd>);

/// Reads the text of one band.
pub(crate) fn ends(text: &At<String>, problems: &mut Problems) -> Option<Ends> {
    let mut end = |part: &str, included: bool| {
        plain(&Text::<Length>::new(text.span.clone(), part.trim()), &BAND, problems)
            .map(|wheelbase| BandEnd { wheelbase, included })
    };
    let words = text.value.trim();
    if let Some(rest) = words.strip_prefix("under ") {
        return Some((None, Some(end(rest, false)?)));
    }
    if let Some(rest) = words.strip_prefix("up to ") {
        return Some((None, Some(end(rest, true)?)));
    }
    if let Some(rest) = words.strip_prefix("over ") {
        return Some((Some(end(rest, false)?), None));
    }
    if let Some(rest) = words.strip_prefix("from ")
        && !rest.contains(" to ")
    {
        return Some((Some(end(rest, true)?), None));
    }
    if let Some((low, high)) = words.strip_prefix("from ").unwrap_or(words).split_once(" to ") {
        let (low, high) = (end(low, true), end(high, true));
        let (low, high) = (low?, high?);
        if low.wheelbase >= high.wheelbase {
            problems.error(
                text.span.clone(),
                format!("{:?} ends before it begins", text.value),
                "write the smaller wheelbase first",
            );
            return None;
        }
        return Some((Some(low), Some(high)));
    }
    problems.error(
        text.span.clone(),
        format!("{:?} is not a band of wheelbases", text.value),
        "write \"under 105 in\", \"105 in to 127 in\" (both ends belong to it), \"over 127 in\", \"up to 105 in\" or \"from 105 in\"",
    );
    None
}

/// Says where bands are out of order, and where two leave a gap or overlap.
pub(crate) fn ascending(mut bands: Vec<(Band, &At<String>)>, problems: &mut Problems) -> Vec<Band> {
    let low = |b: &Band| b.from.map_or(f64::NEG_INFINITY, |e| e.wheelbase.to_metres());
    let early = bands.windows(2).find_map(|w| match w {
        [(a, _), (b, text)] if low(b) < low(a) => Some((b, text)),
        _ => None,
    });
    if let Some((band, text)) = early {
        problems.error(
            text.span.clone(),
            format!("the band {:?} is for shorter wheelbases than the one before it", band.mark),
            "write the bands from the shortest wheelbase to the longest",
        );
    }
    bands.sort_by(|(a, _), (b, _)| low(a).total_cmp(&low(b)));
    for pair in bands.windows(2) {
        let [(below, _), (above, text)] = pair else { continue };
        let shown = |end: BandEnd| show_like(Length::KIND, end.wheelbase.to_metres(), &text.value);
        let verdict = match (below.to, above.from) {
            (Some(to), Some(from)) if to.wheelbase < from.wheelbase => Some(("leave a gap between", from)),
            (Some(to), Some(from)) if to.wheelbase > from.wheelbase => Some(("overlap at", from)),
            (Some(to), Some(from)) if to.included && from.included => Some(("both hold", from)),
            (Some(to), Some(from)) if !to.included && !from.included => Some(("both leave out", from)),
            (Some(_), Some(_)) => None,
            (None, Some(end)) | (Some(end), None) => Some(("overlap at", end)),
            (None, None) => {
                problems.error(
                    text.span.clone(),
                    format!("the bands {:?} and {:?} hold the same wheelbases", below.mark, above.mark),
                    "each wheelbase belongs to one mark",
                );
                None
            }
        };
        if let Some((how, end)) = verdict {
            let place = match below.to {
                Some(to) if how.starts_with("leave") => {
                    format!("{} and {}", shown(to), shown(end))
                }
                _ => shown(end),
            };
            problems.error(
                text.span.clone(),
                format!("the bands {:?} and {:?} {how} {place}", below.mark, above.mark),
                "every wheelbase must belong to exactly one mark: \"under 105 in\", \"105 in to 127 in\", \"over 127 in\"",
            );
        }
    }
    bands.into_iter().map(|(band, _)| band).collect()
}
