//! The value of a line such as "√((3 − 1)² + 2.5²) / 2", by operator precedence; angles in degrees.

/// Something on the line.
#[derive(Clone, Debug, PartialEq)]
pub enum Token {
    /// A number, as written.
    Number(String),
    /// A name of a function, or a root sign.
    Name(String),
    /// Anything else.
    Sign(char),
}

/// The line cut up.
#[must_use]
pub fn tokens(line: &str) -> Vec<Token> {
    let mut found: Vec<Token> = Vec::new();
    let mut joins = false;
    for c in line.chars() {
        match (found.last_mut(), c) {
            (Some(Token::Number(n)), '0'..='9' | '.') if joins => n.push(c),
            (Some(Token::Name(n)), 'a'..='z') if joins => n.push(c),
            (_, '0'..='9' | '.') => found.push(Token::Number(c.into())),
            (_, 'a'..='z' | '\u{221a}') => found.push(Token::Name(c.into())),
            (_, ' ') => {}
            _ => found.push(Token::Sign(c)),
        }
        joins = c != ' ';
    }
    found
}

/// Its value; none where it is no arithmetic.
#[must_use]
pub fn value(line: &str) -> Option<f64> {
    let all = tokens(line);
    let (found, rest) = binding(&all, 0)?;
    (rest.is_empty() && found.is_finite()).then_some(found)
}

/// The value of what binds at least so strongly (0 sums, 1 products, 2 powers), and what is left.
fn binding(all: &[Token], strength: u8) -> Option<(f64, &[Token])> {
    let (mut total, mut rest) = match all.split_first()? {
        (Token::Sign('\u{2212}'), rest) => {
            let (v, rest) = binding(rest, 2)?;
            (-v, rest)
        }
        (Token::Number(n), rest) => (n.parse().ok()?, rest),
        (Token::Sign('('), rest) => up_to(rest, ')')?,
        (Token::Sign('|'), rest) => {
            let (v, rest) = up_to(rest, '|')?;
            (v.abs(), rest)
        }
        (Token::Name(name), rest) => call(name, rest)?,
        _ => return None,
    };
    while let Some((Token::Sign(sign), after)) = rest.split_first() {
        match sign {
            '\u{b2}' => (total, rest) = (total.powi(2), after),
            '\u{b3}' => (total, rest) = (total.powi(3), after),
            '\u{d7}' | '/' if strength <= 1 => {
                let (v, left) = binding(after, 2)?;
                total = if *sign == '/' { total / v } else { total * v };
                rest = left;
            }
            '+' | '\u{2212}' if strength == 0 => {
                let (v, left) = binding(after, 1)?;
                total = if *sign == '+' { total + v } else { total - v };
                rest = left;
            }
            _ => break,
        }
    }
    Some((total, rest))
}

fn up_to(all: &[Token], end: char) -> Option<(f64, &[Token])> {
    let (v, rest) = binding(all, 0)?;
    let (last, rest) = rest.split_first()?;
    (*last == Token::Sign(end)).then_some((v, rest))
}

fn call<'a>(name: &str, mut rest: &'a [Token]) -> Option<(f64, &'a [Token])> {
    let mut of = Vec::new();
    let (open, after) = rest.split_first()?;
    if *open != Token::Sign('(') {
        return None;
    }
    rest = after;
    loop {
        let (v, after) = binding(rest, 0)?;
        of.push(v);
        let (sign, after) = after.split_first()?;
        rest = after;
        match sign {
            Token::Sign(';') => {}
            Token::Sign(')') => break,
            _ => return None,
        }
    }
    let first = *of.first()?;
    let one = match name {
        "\u{221a}" => first.sqrt(),
        "sin" => first.to_radians().sin(),
        "cos" => first.to_radians().cos(),
        "tan" => first.to_radians().tan(),
        "atan" => first.atan().to_degrees(),
        "round" => first.round(),
        "least" => return Some((of.into_iter().fold(f64::INFINITY, f64::min), rest)),
        "greatest" => return Some((of.into_iter().fold(f64::NEG_INFINITY, f64::max), rest)),
        _ => return None,
    };
    (of.len() == 1).then_some((one, rest))
}

#[cfg(test)]
mod tests {
    use super::value;

    #[test]
    fn lines_have_their_value() {
        for (line, expected) in [
            ("8 \u{2212} 3 \u{2212} 2", Some(3.0)),
            ("\u{2212}3\u{b2} + 2 \u{d7} 5 / 4", Some(-6.5)),
            ("2 \u{d7} \u{2212}(1 + 2)", Some(-6.0)),
            ("\u{221a}(3\u{b2} + 4\u{b2}) \u{2212} |1 \u{2212} 3|", Some(3.0)),
            ("greatest(1; 2) + least(4; 5; 3) \u{d7} tan(45)", Some(5.0)),
            ("1 2", None),
            ("1 mm", None),
        ] {
            match (value(line), expected) {
                (Some(found), Some(expected)) => {
                    assert!((found - expected).abs() < 1e-12, "{line} = {found}")
                }
                (found, expected) => assert_eq!(found, expected, "{line}"),
            }
        }
    }
}
