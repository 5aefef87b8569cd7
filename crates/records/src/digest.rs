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
        // Each event that is read compares hashes as texts.
        const DIGITS: &[u8; 16] = b"0123456789abcdef";
        let mut text = [0; 64];
        for (pair, byte) in text.chunks_exact_mut(2).zip(self.0) {
            pair[0] = DIGITS[usize::from(byte >> 4)];
            pair[1] = DIGITS[usize::from(byte & 15)];
        }
        f.write_str(std::str::from_utf8(&text).unwrap_or_default())
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
        let digit = |b: u8| match b {
            b'0'..=b'9' => Some(b - b'0'),
            b'a'..=b'f' => Some(b - b'a' + 10),
            _ => None,
        };
        if text.len() != 64 {
            return Err(wrong());
        }
        let mut bytes = [0; 32];
        for (byte, pair) in bytes.iter_mut().zip(text.as_bytes().chunks_exact(2)) {
            let (high, low) = digit(pair[0]).zip(digit(pair[1])).ok_or_else(wrong)?;
            *byte = high << 4 | low;
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
