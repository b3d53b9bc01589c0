//! What is wrong with it, and what is to be done? A diagnostic key over symptoms and checks.
//!
//! The same idea as [`key`](crate::key): each thing seen is worth so many nats to each cause, by how often it goes with
//! it, against how often it is seen at all on this kind of reel. A symptom looked for and not found is evidence; one
//! nobody looked for is none. Two causes may be at work at once. What fits no cause is left to “something else”. Symptoms
//! alone never settle a cause: only a check can.
//!
//! How often things go together are judgements in words (`always` … `never`), not counts; the chances that come of them
//! put causes in order and are no more exact than that.

mod checks;
mod joint;
mod judge;
mod key;
mod remedy;
mod said;
mod words;

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};

use crate::reference::{BenchCaution, CauseType, Confidence, Disagreement, EffortId};

pub use checks::between;
pub use judge::judge;
pub use key::FaultKey;
pub use remedy::remedy;
pub use said::symptoms_in;

/// Whether a symptom was found. One that is not listed was not looked for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Seen {
    Present,
    Absent,
}

/// What was told and seen of a reel that has something wrong with it.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct Observed {
    /// State of `reel_kind`; empty where nobody said, and then every kind counts.
    pub kind: String,
    /// The owner's own words.
    pub said: String,
    /// By id of the symptom.
    pub symptoms: BTreeMap<String, Seen>,
    /// Result by id of the check.
    pub checks: BTreeMap<String, String>,
}

/// A symptom that the owner's words may mean, to be offered as a choice.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Heard {
    pub symptom: String,
    pub finds: String,
    /// How to look for it.
    pub how: String,
    /// The words it was found in.
    pub words: String,
    /// From 0 to 1: how much of the words is shared.
    pub likeness: f64,
}

/// One thing that speaks for a cause or against it.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Reason {
    pub words: String,
    /// For it above nothing, against it below.
    pub nats: f64,
}

/// A cause and how likely it is.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct RankedCause {
    pub cause: String,
    pub label: String,
    pub sort: CauseType,
    /// Chance that it is there, alone or with another: with two faults these sum to more than 1.
    pub p: f64,
    pub speaks_for: Vec<Reason>,
    pub speaks_against: Vec<Reason>,
    pub remedy: Remedy,
}

/// What to do about a cause. Its cautions are part of it and are shown with it.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Remedy {
    pub explain: String,
    pub steps: Vec<String>,
    /// Role and its words.
    pub parts: Vec<(String, String)>,
    pub consumables: Vec<Product>,
    pub cautions: Vec<BenchCaution>,
    pub disagreements: Vec<Disagreement>,
    /// True where nothing is broken: explain it and mend nothing.
    pub nothing_to_mend: bool,
    pub confidence: Confidence,
    /// Keys of the faults pack's sources.
    pub src: Vec<String>,
}

/// A consumable and where it must not go.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Product {
    pub id: String,
    pub label: String,
    #[serde(rename = "use")]
    pub for_what: String,
    #[serde(skip_serializing_if = "String::is_empty")]
    pub not_on: String,
}

/// What a next look is about.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Look {
    Symptom(String),
    Check(String),
}

/// What to look at or try next.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct NextLook {
    pub about: Look,
    pub ask: String,
    pub how: String,
    pub effort: EffortId,
    pub gain_bits: f64,
    pub gain_per_effort: f64,
    /// What the results would point to.
    pub why: String,
    /// Id and label of each answer; for a symptom, `present` and `absent`.
    pub answers: Vec<(String, String)>,
    pub cautions: Vec<BenchCaution>,
}

/// How firmly the best cause may be put.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case", tag = "is", content = "cause")]
pub enum Finding {
    /// A check bears it out.
    Found(String),
    /// More likely than all else, and no check has borne it out yet.
    Likely(String),
    /// Several causes are left, or nothing was told.
    Undecided,
    /// Nothing in the pack fits what was seen.
    SomethingElse,
}

/// A fault beside the first: what the best cause leaves unexplained, and what would explain it.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Second {
    pub unexplained: Vec<String>,
    /// The best cause for that; none where nothing in the pack stands out.
    pub cause: Option<RankedCause>,
}

/// The answer.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Judged {
    pub finding: Finding,
    /// Best first, those of any weight.
    pub causes: Vec<RankedCause>,
    /// Chance that nothing of the pack is the matter.
    pub something_else: f64,
    pub second: Option<Second>,
    pub next: Vec<NextLook>,
    /// What the owner's words may mean: offer these as choices.
    pub heard: Vec<Heard>,
    /// What was handed in and could not be used.
    pub problems: Vec<String>,
}

#[cfg(test)]
mod tests;
