//! Is it what they say? A seller's text is read for claims, and each claim is judged.
//!
//! [`read`] finds the claims; [`judge`] holds each against what was seen, what the text itself proves and what the packs
//! know of the model named, and says what to ask the seller for first. Words live in the pack of how sellers write.

mod asks;
mod eras;
mod evidence;
mod judging;
mod lexicon;
mod marks;
mod message;
mod names;
mod reading;
mod sizes;
mod text;
mod things;
mod verdicts;

use serde::Serialize;

use crate::observe::{About, Unit};
use crate::reference::EffortId;

pub use judging::judge;
pub use reading::{CLAIMS_MAX, Reader, read};

/// What a claim is about.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum ClaimKind {
    Maker,
    Brand,
    Model,
    Kind,
    Era,
    Material,
    Feature,
    Mark,
    Measure,
    Count,
    Completeness,
    Working,
    Originality,
    Condition,
    Damage,
    Rarity,
    Special,
    Version,
    AgeProof,
}

/// How firmly the seller puts it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Firm {
    /// Vouched for.
    Vouched,
    Stated,
    /// With "I think", "probably", a question mark.
    Guessed,
    /// "In the style of": not said to be it at all.
    Likeness,
}

/// What a claim says, in the packs' terms.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Meaning {
    /// Any of these makers, by id.
    Makers(Vec<String>),
    /// A name of a brand or seller, and the makers known to have supplied it.
    Brand {
        name: String,
        makers: Vec<String>,
    },
    /// Any of these models, by id; `number` as written, if a number told.
    Models {
        ids: Vec<String>,
        number: Option<String>,
    },
    Years {
        from: Option<i32>,
        to: Option<i32>,
    },
    /// Years of age.
    Age {
        at_least: Option<i32>,
        at_most: Option<i32>,
    },
    /// A time that means no years in particular.
    VagueAge,
    /// Any of these states of the question.
    Feature {
        feature: String,
        states: Vec<String>,
    },
    /// A number of things a question counts.
    Counted {
        feature: String,
        count: u32,
    },
    /// A material of the packs' list; no question asks for the part, or none shows it.
    Material(String),
    /// Lettering as quoted.
    Mark(String),
    /// A size or weight of one of these questions (none: of something else), in mm or g.
    Measure {
        features: Vec<String>,
        amount: f64,
        unit: Unit,
    },
    /// So many reels are offered; none told: several.
    Reels(Option<u32>),
    /// A phrase of the packs, by id.
    Said(String),
}

/// One claim, and the part of the text it was read from.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Claim {
    pub kind: ClaimKind,
    /// Bytes of the text: first, and one past the last.
    pub start: usize,
    pub end: usize,
    /// That part of the text.
    pub quote: String,
    pub meaning: Meaning,
    /// The seller says that it is not so, or owns to a fault.
    pub denied: bool,
    pub firm: Firm,
}

/// What became of a claim.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Finding {
    BorneOut,
    Contradicted,
    NotShown,
    CantBeJudged,
}

impl Finding {
    pub fn words(self) -> &'static str {
        match self {
            Self::BorneOut => "borne out",
            Self::Contradicted => "contradicted",
            Self::NotShown => "not shown",
            Self::CantBeJudged => "can't be judged",
        }
    }
}

/// Which way a reason points.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Speaks {
    For,
    Against,
    Neither,
}

/// Where a reason comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Ground {
    /// What was seen on the reel or its photos.
    Seen,
    /// The text itself.
    Text,
    /// What the packs know of the model, or of the maker.
    Model,
    /// Dated marks and works.
    Dating,
    /// What can and can't be told at all.
    Trade,
}

#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Reason {
    pub words: String,
    pub speaks: Speaks,
    pub ground: Ground,
    /// `pack/key` of each source.
    pub sources: Vec<String>,
}

impl Reason {
    pub(crate) fn new(speaks: Speaks, ground: Ground, words: impl Into<String>) -> Self {
        Self { words: words.into(), speaks, ground, sources: Vec::new() }
    }
    pub(crate) fn sourced(self, sources: Vec<String>) -> Self {
        Self { sources, ..self }
    }
}

/// The verdict on one claim: never without a reason.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Verdict {
    /// Place of the claim in the list that was judged.
    pub claim: usize,
    pub finding: Finding,
    pub reasons: Vec<Reason>,
}

/// Something to ask the seller for.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Ask {
    /// A sentence to send.
    pub request: String,
    /// What it would tell, for the buyer.
    pub why: String,
    /// The question or place it answers, if one does.
    pub about: Option<About>,
    pub effort: EffortId,
    /// Expected fall of doubt: in which model and version it is, or whether the claims hold.
    pub gain_bits: f64,
    pub gain_per_effort: f64,
    /// Claims it would help to judge.
    pub claims: Vec<usize>,
}

#[derive(Debug, Clone, Default, PartialEq, Serialize)]
pub struct Judged {
    /// One for each claim, in their order.
    pub verdicts: Vec<Verdict>,
    /// Best first.
    pub asks: Vec<Ask>,
    /// The first few asks as a message, ready to send; empty where nothing need be asked.
    pub message: String,
    /// Observations that could not be used, each with the reason.
    pub problems: Vec<String>,
}

#[cfg(test)]
mod tests;
