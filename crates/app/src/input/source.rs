//! A file's text, its name, and where its lines begin.

use std::io::Read;
use std::ops::Range;
use std::path::Path;

use miette::{MietteError, MietteSpanContents, SourceCode, SourceSpan, SpanContents};

/// The largest file that is read, bytes. A lift or a vehicle needs a few thousand.
pub(crate) const MOST_BYTES: u64 = 4 * 1024 * 1024;

/// The text of one input.
#[derive(Clone, Debug)]
pub(crate) struct Source {
    pub(crate) name: String,
    pub(crate) text: String,
    must_be_json: bool,
    lines: Vec<usize>,
    /// Where the text stands for options of the command line.
    options: Vec<Given>,
}

/// An option of the command line, and the part of a text that stands for it.
#[derive(Clone, Debug)]
pub(crate) struct Given {
    pub(crate) span: Range<usize>,
    /// Such as `--front-axle`.
    pub(crate) option: &'static str,
    /// What was written after it.
    pub(crate) values: Vec<String>,
}

impl Source {
    pub(crate) fn new(name: impl Into<String>, text: impl Into<String>) -> Self {
        let text = text.into();
        let lines = std::iter::once(0).chain(text.match_indices('\n').map(|(i, _)| i + 1)).collect();
        Self { name: name.into(), text, must_be_json: false, lines, options: Vec::new() }
    }

    /// A text that stands for the options of a verb.
    pub(crate) fn of_options(verb: &str, text: impl Into<String>, options: Vec<Given>) -> Self {
        Self { options, ..Self::new(verb, text) }
    }

    /// Whether it stands for options, which have no lines.
    pub(crate) fn is_options(&self) -> bool {
        !self.options.is_empty()
    }

    /// The option that a byte belongs to.
    pub(crate) fn option(&self, byte: usize) -> Option<&Given> {
        self.options.iter().find(|o| o.span.contains(&byte))
    }

    /// Reads a file, or standard input for `-`. The error is a whole sentence with its cure.
    pub(crate) fn read(path: &Path) -> Result<Self, Unreadable> {
        let (name, bytes) = if path.as_os_str() == "-" {
            ("standard input".to_owned(), read_some(std::io::stdin().lock()))
        } else {
            // Opening a named pipe waits for whoever writes into it, perhaps for ever: looked at before.
            let file = std::fs::metadata(path).and_then(|is| regular(&is));
            (path.display().to_string(), file.and_then(|()| std::fs::File::open(path)).and_then(read_some))
        };
        let refuse =
            |what: String, cure: &str| Unreadable { name: name.clone(), what, cure: cure.to_owned() };
        let bytes = bytes.map_err(|fault| {
            refuse(why(&fault), "check the path; `standfast new` writes a file to start from")
        })?;
        if bytes.len() as u64 > MOST_BYTES {
            return Err(refuse(
                "larger than 4 MB".into(),
                "a lift, vehicle or job file is a few thousand bytes: is this the right file?",
            ));
        }
        match String::from_utf8(bytes) {
            Ok(text) => Ok(Self::new(name, text)),
            Err(fault) => {
                let upto = fault.utf8_error().valid_up_to();
                let line = 1 + fault.as_bytes()[..upto].iter().filter(|&&b| b == b'\n').count();
                Err(refuse(
                    format!("line {line}: byte {} is not UTF-8 text", upto + 1),
                    "save the file as UTF-8 text; if it is not text at all, it is the wrong file",
                ))
            }
        }
    }

    /// Reads it as JSON whatever it begins with.
    pub(crate) fn into_json(self) -> Self {
        Self { must_be_json: true, ..self }
    }

    pub(crate) fn is_json(&self) -> bool {
        self.must_be_json || self.text.trim_start().starts_with('{') || self.name.ends_with(".json")
    }

    /// Line of a byte, from 0, and where that line begins.
    fn line_of(&self, byte: usize) -> (usize, usize) {
        let line = self.lines.partition_point(|&start| start <= byte).saturating_sub(1);
        (line, self.lines.get(line).copied().unwrap_or(0))
    }

    /// The whole line that a byte is on.
    pub(crate) fn line(&self, byte: usize) -> &str {
        let (_, start) = self.line_of(byte);
        self.text.get(start..).and_then(|rest| rest.lines().next()).unwrap_or_default()
    }

    /// Line and column of a byte, from 1, as editors count.
    pub(crate) fn place(&self, byte: usize) -> (usize, usize) {
        let (line, start) = self.line_of(byte);
        let upto = self.text.get(start..byte).map_or(0, |t| t.chars().count());
        (line + 1, upto + 1)
    }

    /// The span cut to its first line: a whole table underlined says nothing.
    pub(crate) fn first_line(&self, span: &Range<usize>) -> Range<usize> {
        let start = span.start.min(self.text.len());
        let end = span.end.clamp(start, self.text.len());
        let cut = self.text.get(start..end).and_then(|t| t.find('\n')).map_or(end, |n| start + n);
        start..cut
    }
}

/// Why an input could not be read at all.
#[derive(Debug)]
pub(crate) struct Unreadable {
    pub(crate) name: String,
    pub(crate) what: String,
    pub(crate) cure: String,
}

fn read_some(from: impl Read) -> std::io::Result<Vec<u8>> {
    let mut bytes = Vec::new();
    from.take(MOST_BYTES + 1).read_to_end(&mut bytes)?;
    Ok(bytes)
}

fn regular(is: &std::fs::Metadata) -> std::io::Result<()> {
    match (is.is_dir(), is.is_file()) {
        (true, _) => Err(std::io::ErrorKind::IsADirectory.into()),
        (_, true) => Ok(()),
        _ => Err(std::io::Error::other("it is a pipe or a device, not a file")),
    }
}

fn why(fault: &std::io::Error) -> String {
    match fault.kind() {
        std::io::ErrorKind::NotFound => "there is no such file".into(),
        std::io::ErrorKind::PermissionDenied => "not allowed to read it".into(),
        std::io::ErrorKind::IsADirectory => "it is a folder, not a file".into(),
        _ => fault.to_string(),
    }
}

// miette's own sources search from the first byte for every label; this one knows its lines.
impl SourceCode for Source {
    fn read_span<'a>(
        &'a self,
        span: &SourceSpan,
        before: usize,
        after: usize,
    ) -> Result<Box<dyn SpanContents<'a> + 'a>, MietteError> {
        let end_byte = span.offset() + span.len();
        if end_byte > self.text.len() {
            return Err(MietteError::OutOfBounds);
        }
        let (at, _) = self.line_of(span.offset());
        let (last, _) = self.line_of(end_byte);
        let first = at.saturating_sub(before);
        let start = self.lines.get(first).copied().unwrap_or(0);
        let until = self.lines.get(last + after + 1).copied().unwrap_or(self.text.len());
        Ok(Box::new(MietteSpanContents::new_named(
            self.name.clone(),
            &self.text.as_bytes()[start..until],
            (start, until - start).into(),
            first,
            0,
            last - first + 1,
        )))
    }
}
