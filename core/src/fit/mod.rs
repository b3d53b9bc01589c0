//! What fits what: a part of one reel in another, by what somebody tried, measured, read or heard, and by measures.
//!
//! Facts are links from reel to reel. The best chain of links answers where no single fact does; its strength is the product
//! of what its links weigh, less with each further link. A “does not fit” for two reels outranks every chain that is no
//! stronger than itself, and so always hearsay. Every answer shows its chain.

mod answer;
mod fact;
mod graph;
mod loose;
pub mod plan;
mod serves;
mod shared;
mod sizes;
mod spares;
#[cfg(test)]
mod tests;
pub mod words;

use serde::{Deserialize, Serialize};

pub use answer::{Answer, Fits, Link, model_words};
pub use fact::{Fact, LINK_DECAY, evidence_words, of_packs, says_words, weight};
pub use loose::{Loose, loose};
pub use serves::{Served, Serves, serves};
pub use shared::{facts_to_share, shared_facts};
pub use sizes::{Compared, Reading, SizeMatch, compare, figure, running};
pub use spares::{Hit, search};

/// What is said of a part in a reel.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Verdict {
    Fits,
    /// Known to fit, but version or hand must be looked at first.
    FitsWithCheck,
    FitsWithWork,
    /// It fits if the sizes agree, or because they do.
    FitsBySize,
    DoesNotFit,
    /// Not as it is; a little work would cure it.
    DoesNotFitAsIs,
    NotKnown,
}

impl Verdict {
    pub fn words(self) -> &'static str {
        match self {
            Self::Fits => "fits",
            Self::FitsWithCheck => "fits, with a check first",
            Self::FitsWithWork => "fits with work",
            Self::FitsBySize => "fits by size",
            Self::DoesNotFit => "does not fit",
            Self::DoesNotFitAsIs => "does not fit as it is",
            Self::NotKnown => "not known",
        }
    }

    /// Good enough to put a need's hope in.
    pub fn may_serve(self) -> bool {
        matches!(self, Self::Fits | Self::FitsWithCheck | Self::FitsWithWork | Self::FitsBySize)
    }
}

/// How firmly it is said.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Trust {
    Unknown,
    Faint,
    Possible,
    Probable,
    Sure,
}

impl Trust {
    pub fn of(strength: f64) -> Self {
        match strength {
            s if s >= 0.9 => Self::Sure,
            s if s >= 0.6 => Self::Probable,
            s if s >= 0.3 => Self::Possible,
            s if s > 0.0 => Self::Faint,
            _ => Self::Unknown,
        }
    }

    pub fn words(self) -> &'static str {
        match self {
            Self::Unknown => "nothing known",
            Self::Faint => "faint",
            Self::Possible => "possible",
            Self::Probable => "probable",
            Self::Sure => "sure",
        }
    }
}
