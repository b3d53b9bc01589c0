//! One error for the whole core: what went wrong, in a sentence a person can act on.

use std::fmt;

/// What a caller may want to tell apart. New kinds may be added.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[non_exhaustive]
pub enum Kind {
    /// The text is not JSON of the expected shape.
    Malformed,
    /// It names a feature, state, place, maker or model that the packs don't hold.
    Unknown,
    /// It can be read, but its figures or words make no sense.
    Invalid,
}

/// An error of the core. Its text names the place and the trouble.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Error {
    kind: Kind,
    message: String,
}

impl Error {
    pub(crate) fn new(kind: Kind, message: impl Into<String>) -> Self {
        Self { kind, message: message.into() }
    }
    pub fn malformed(message: impl Into<String>) -> Self {
        Self::new(Kind::Malformed, message)
    }
    pub fn unknown(message: impl Into<String>) -> Self {
        Self::new(Kind::Unknown, message)
    }
    pub fn invalid(message: impl Into<String>) -> Self {
        Self::new(Kind::Invalid, message)
    }
    pub fn kind(&self) -> Kind {
        self.kind
    }
}

impl fmt::Display for Error {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.message)
    }
}

impl std::error::Error for Error {}

pub type Result<T> = std::result::Result<T, Error>;
