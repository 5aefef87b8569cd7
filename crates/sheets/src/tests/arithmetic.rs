//! The value of a line of numbers such as "(2800 mm \u{2212} 1960 mm) / 2 \u{2212} 0 mm"; units are left out.

pub(super) fn value(line: &str) -> f64 {
    let mut rest: Vec<char> = line.replace('\u{2212}', "-").chars().filter(|c| !c.is_whitespace()).collect();
    rest.retain(|c| !c.is_alphabetic() && *c != '°' && *c != '%');
    rest.reverse();
    sum(&mut rest)
}

fn sum(rest: &mut Vec<char>) -> f64 {
    let mut total = quotient(rest);
    while rest.last() == Some(&'-') {
        rest.pop();
        total -= quotient(rest);
    }
    total
}

fn quotient(rest: &mut Vec<char>) -> f64 {
    let mut total = single(rest);
    while rest.last() == Some(&'/') {
        rest.pop();
        total /= single(rest);
    }
    total
}

fn single(rest: &mut Vec<char>) -> f64 {
    match rest.pop() {
        Some('(') => {
            let inside = sum(rest);
            rest.pop();
            inside
        }
        Some('|') => {
            let inside = sum(rest);
            rest.pop();
            inside.abs()
        }
        Some('-') => -single(rest),
        Some(c) => {
            let mut text = String::from(c);
            while let Some(c) = rest.pop_if(|c| c.is_ascii_digit() || *c == '.') {
                text.push(c);
            }
            text.parse().unwrap_or(f64::NAN)
        }
        None => f64::NAN,
    }
}

#[test]
fn lines_of_numbers_have_their_value() {
    for (line, expected) in [
        ("3 mm \u{2212} 1.5 mm", 1.5),
        ("(8 in \u{2212} \u{2212}2 in) / 4 \u{2212} 1 in", 1.5),
        ("|1 \u{2212} 3|", 2.0),
    ] {
        assert!((value(line) - expected).abs() < 1e-12, "{line}");
    }
}
