//! Lines of at most 100 columns.

const COLUMNS: usize = 100;
const LABEL: usize = 18;

/// Lines so far.
pub(crate) struct Page {
    lines: Vec<String>,
}

impl Page {
    pub(crate) const fn new() -> Self {
        Self { lines: Vec::new() }
    }

    pub(crate) fn line(&mut self, text: &str) {
        self.lines.push(text.trim_end().to_owned());
    }

    /// A blank line, never two.
    pub(crate) fn blank(&mut self) {
        if self.lines.last().is_some_and(|l| !l.is_empty()) {
            self.lines.push(String::new());
        }
    }

    /// A label and its text, wrapped beside it.
    pub(crate) fn entry(&mut self, label: &str, text: &str) {
        self.hanging(&format!("{label:<LABEL$}"), text);
    }

    /// A heading and numbered sentences under it.
    pub(crate) fn list(&mut self, heading: &str, sentences: impl IntoIterator<Item = String>) {
        self.blank();
        self.line(heading);
        for (i, sentence) in sentences.into_iter().enumerate() {
            self.hanging(&format!("{:>3}. ", i + 1), &sentence);
        }
    }

    /// Something and, wrapped beside it, a text.
    pub(crate) fn hanging(&mut self, first: &str, text: &str) {
        let indent = first.chars().count();
        for (i, line) in wrapped(text, COLUMNS - indent).into_iter().enumerate() {
            if i == 0 {
                self.line(&format!("{first}{line}"));
            } else {
                self.line(&format!("{:indent$}{line}", ""));
            }
        }
    }

    pub(crate) fn done(mut self) -> String {
        self.lines.push(String::new());
        self.lines.join("\n")
    }
}

/// Words in lines of at most that many characters; a longer word is cut.
fn wrapped(text: &str, width: usize) -> Vec<String> {
    let mut lines = vec![String::new()];
    let mut used = 0;
    for word in crate::units::words_of(text) {
        let mut rest: Vec<char> = word.chars().collect();
        if used > 0 && used + 1 + rest.len() > width {
            lines.push(String::new());
            used = 0;
        }
        while rest.len() > width {
            let head: String = rest.drain(..width).collect();
            if let Some(last) = lines.last_mut() {
                last.push_str(&head);
            }
            lines.push(String::new());
        }
        if let Some(last) = lines.last_mut() {
            if used > 0 {
                last.push(' ');
                used += 1;
            }
            used += rest.len();
            last.extend(rest);
        }
    }
    lines
}

/// At most that many characters, with a sign that something was cut.
pub(crate) fn fitted(text: &str, most: usize) -> String {
    if text.chars().count() <= most {
        return text.to_owned();
    }
    let head: String = text.chars().take(most - 4).collect();
    format!("{}... ", head.trim_end())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lines_stay_within_their_width() {
        let text = format!("a few words and {} then some more of them", "x".repeat(40));
        let lines = wrapped(&text, 16);
        assert!(lines.iter().all(|l| l.chars().count() <= 16), "{lines:?}");
        assert_eq!(lines.concat().replace(' ', ""), text.replace(' ', ""));
    }
}
