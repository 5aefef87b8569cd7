//! SHA-256 of what is kept.

use std::fmt;
use std::fmt::Write as _;
use std::str::FromStr;

use serde::{Deserialize, Serialize};
use sha2::{Digest as _, Sha256};

/// A SHA-256, written as 64 hexadecimal digits.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(try_from = "String", into = "String")]
pub struct Digest([u8; 32]);

impl Digest {
    /// Before the first event.
    pub const NONE: Self = Self([0; 32]);

    /// Of one text.
    #[must_use]
    pub fn of(text: &str) -> Self {
        Self(Sha256::digest(text.as_bytes()).into())
    }

    /// Of several parts, each with its length before it, so that no two lists give the same bytes.
    #[must_use]
    pub fn of_parts(parts: &[&str]) -> Self {
        let mut sum = Sha256::new();
        for part in parts {
            sum.update((part.len() as u64).to_be_bytes());
            sum.update(part.as_bytes());
        }
        Self(sum.finalize().into())
    }
}

impl fmt::Display for Digest {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.0.iter().try_for_each(|b| write!(f, "{b:02x}"))
    }
}

impl fmt::Debug for Digest {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        fmt::Display::fmt(self, f)
    }
}

/// A text that is no SHA-256.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct NotADigest(String);

impl fmt::Display for NotADigest {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "“{}” is not 64 hexadecimal digits", self.0)
    }
}

impl std::error::Error for NotADigest {}

impl FromStr for Digest {
    type Err = NotADigest;
    fn from_str(text: &str) -> Result<Self, NotADigest> {
        let wrong = || NotADigest(text.to_owned());
        if text.len() != 64 || !text.bytes().all(|b| b.is_ascii_digit() || (b'a'..=b'f').contains(&b)) {
            return Err(wrong());
        }
        let mut bytes = [0; 32];
        for (byte, at) in bytes.iter_mut().zip((0..64).step_by(2)) {
            *byte = u8::from_str_radix(&text[at..at + 2], 16).map_err(|_| wrong())?;
        }
        Ok(Self(bytes))
    }
}

impl TryFrom<String> for Digest {
    type Error = NotADigest;
    fn try_from(text: String) -> Result<Self, NotADigest> {
        text.parse()
    }
}

impl From<Digest> for String {
    fn from(digest: Digest) -> Self {
        let mut text = Self::with_capacity(64);
        let _ = write!(text, "{digest}");
        text
    }
}

/// A text kept under its SHA-256: inputs and answer of a plan, a report.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Document {
    digest: Digest,
    text: String,
}

impl Document {
    /// From its text.
    #[must_use]
    pub fn new(text: impl Into<String>) -> Self {
        let text = text.into();
        Self { digest: Digest::of(&text), text }
    }

    /// What it is kept under.
    #[must_use]
    pub const fn digest(&self) -> Digest {
        self.digest
    }

    /// What it says.
    #[must_use]
    pub fn text(&self) -> &str {
        &self.text
    }
}
