//! The value of a line of numbers, as a pocket calculator gives it: "√((3 − 1)² + 2.5²) / 2".
//!
//! Angles are in degrees. A minus before a power belongs to the whole power.

/// `None` where the line is not arithmetic.
pub(super) fn value(line: &str) -> Option<f64> {
    let mut rest: Vec<char> = line.chars().filter(|c| !c.is_whitespace()).rev().collect();
    let found = sum(&mut rest)?;
    (rest.is_empty() && found.is_finite()).then_some(found)
}

fn sum(rest: &mut Vec<char>) -> Option<f64> {
    let mut total = product(rest)?;
    loop {
        match rest.pop_if(|c| matches!(c, '+' | '\u{2212}')) {
            Some('+') => total += product(rest)?,
            Some(_) => total -= product(rest)?,
            None => return Some(total),
        }
    }
}

fn product(rest: &mut Vec<char>) -> Option<f64> {
    let mut total = signed(rest)?;
    loop {
        match rest.pop_if(|c| matches!(c, '\u{d7}' | '/')) {
            Some('/') => total /= signed(rest)?,
            Some(_) => total *= signed(rest)?,
            None => return Some(total),
        }
    }
}

fn signed(rest: &mut Vec<char>) -> Option<f64> {
    if rest.pop_if(|c| *c == '\u{2212}').is_some() {
        return Some(-signed(rest)?);
    }
    let base = single(rest)?;
    Some(match rest.pop_if(|c| matches!(c, '\u{b2}' | '\u{b3}')) {
        Some('\u{b2}') => base * base,
        Some(_) => base * base * base,
        None => base,
    })
}

fn single(rest: &mut Vec<char>) -> Option<f64> {
    match rest.pop()? {
        '(' => closed(rest, ')'),
        '|' => closed(rest, '|').map(f64::abs),
        '\u{221a}' => single(rest).map(f64::sqrt),
        c if c.is_ascii_digit() => {
            let mut text = String::from(c);
            while let Some(c) = rest.pop_if(|c| c.is_ascii_digit() || *c == '.') {
                text.push(c);
            }
            text.parse().ok()
        }
        c => {
            let mut name = String::from(c);
            while let Some(c) = rest.pop_if(|c| c.is_ascii_alphabetic()) {
                name.push(c);
            }
            function(&name, &list(rest)?)
        }
    }
}

fn closed(rest: &mut Vec<char>, end: char) -> Option<f64> {
    let inside = sum(rest)?;
    rest.pop_if(|c| *c == end).map(|_| inside)
}

fn list(rest: &mut Vec<char>) -> Option<Vec<f64>> {
    rest.pop_if(|c| *c == '(')?;
    let mut found = vec![sum(rest)?];
    loop {
        match rest.pop()? {
            ';' => found.push(sum(rest)?),
            ')' => return Some(found),
            _ => return None,
        }
    }
}

fn function(name: &str, of: &[f64]) -> Option<f64> {
    match (name, of) {
        ("sin", [x]) => Some(x.to_radians().sin()),
        ("cos", [x]) => Some(x.to_radians().cos()),
        ("tan", [x]) => Some(x.to_radians().tan()),
        ("atan", [x]) => Some(x.atan().to_degrees()),
        ("round", [x]) => Some(x.round()),
        ("least", _) => of.iter().copied().reduce(f64::min),
        ("greatest", _) => of.iter().copied().reduce(f64::max),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::value;

    #[test]
    fn lines_of_numbers_have_their_value() {
        for (line, expected) in [
            ("3 \u{2212} 1.5", Some(1.5)),
            ("(8 \u{2212} \u{2212}2) / 4 \u{2212} 1", Some(1.5)),
            ("|1 \u{2212} 3|", Some(2.0)),
            ("\u{2212}3\u{b2} + 2 \u{d7} 5 / 4", Some(-6.5)),
            ("\u{221a}(3\u{b2} + 4\u{b2})", Some(5.0)),
            ("2 \u{d7} tan(45) + greatest(1; 2; \u{2212}3)", Some(4.0)),
            ("180 \u{2212} atan(1)", Some(135.0)),
            ("3 +", None),
            ("(3", None),
            ("3 mm", None),
        ] {
            match (value(line), expected) {
                (Some(found), Some(expected)) => assert!((found - expected).abs() < 1e-12, "{line}"),
                (found, expected) => assert_eq!(found, expected, "{line}"),
            }
        }
    }
}
