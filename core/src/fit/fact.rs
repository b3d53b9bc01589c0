//! One fact on what fits what, and how much it weighs.

use serde::{Deserialize, Serialize};

use crate::reference::{Confidence, Evidence, PackFit, Reference, Says, end_parts};

/// Parts of one reel in another. The direction counts: nothing is said of the way back.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct Fact {
    /// Roles by id or by the trade's words; none: every part but `except_roles`.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub roles: Vec<String>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub except_roles: Vec<String>,
    /// The reel the part is from: `model` or `model@version`.
    pub of: String,
    /// The reel it goes into.
    pub into: String,
    pub verdict: Says,
    #[serde(skip_serializing_if = "String::is_empty")]
    pub note: String,
    pub evidence: Evidence,
    /// Sizes in which both reels must agree first: ids of questions, or words.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub if_same: Vec<String>,
    #[serde(skip_serializing_if = "String::is_empty")]
    pub who: String,
    #[serde(skip_serializing_if = "String::is_empty")]
    pub when: String,
    /// Where it is from; a fact stays as long as one of them counts.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub sources: Vec<String>,
}

/// How far one piece of evidence carries, from 0 to 1. Judgements, to be replaced by counts once a shop has any.
pub fn weight(evidence: Evidence) -> f64 {
    match evidence {
        Evidence::Tried => 0.95,
        Evidence::Measured => 0.85,
        Evidence::Catalogue => 0.75,
        Evidence::Hearsay => 0.4,
    }
}

/// What is left of the strength with each further link of a chain.
pub const LINK_DECAY: f64 = 0.8;

pub fn evidence_words(evidence: Evidence) -> &'static str {
    match evidence {
        Evidence::Tried => "tried on the bench",
        Evidence::Measured => "measured",
        Evidence::Catalogue => "from a printed list",
        Evidence::Hearsay => "hearsay",
    }
}

pub fn says_words(says: Says) -> &'static str {
    match says {
        Says::Fits => "fits",
        Says::FitsWithWork => "fits with work",
        Says::DoesNotFit => "does not fit",
    }
}

/// All facts of the packs, one for each pair of ends.
pub fn of_packs(reference: &Reference) -> Vec<Fact> {
    let mut facts = Vec::new();
    for fit in &reference.parts.fitments {
        spread(fit, &reference.parts.id, &mut facts);
    }
    for model in &reference.models {
        for fitment in &model.fitments {
            let low = fitment.confidence == Confidence::Low;
            facts.push(Fact {
                roles: vec![fitment.role.clone()],
                of: fitment.of.clone(),
                into: fitment.into.clone(),
                verdict: match fitment.verdict.as_str() {
                    "fits" => Says::Fits,
                    "fits-with-work" => Says::FitsWithWork,
                    _ => Says::DoesNotFit,
                },
                note: fitment.except.clone().unwrap_or_default(),
                evidence: if low { Evidence::Hearsay } else { Evidence::Catalogue },
                sources: if fitment.src.is_empty() {
                    vec![model.pack.clone()]
                } else {
                    fitment.src.iter().map(|key| format!("{}/{key}", model.pack)).collect()
                },
                ..Fact::default()
            });
        }
    }
    facts
}

fn spread(fit: &PackFit, pack: &str, facts: &mut Vec<Fact>) {
    let ends = |ends: &[String]| -> Vec<String> {
        ends.iter()
            .flat_map(|end| match end_parts(end) {
                (model, versions) if versions.is_empty() => vec![model.to_owned()],
                (model, versions) => versions.iter().map(|version| format!("{model}@{version}")).collect(),
            })
            .collect()
    };
    let (of, into) = (ends(&fit.of), ends(&fit.into));
    let pairs =
        of.iter().flat_map(|a| into.iter().map(move |b| (a, b))).filter(|(a, b)| a != b || of == [(*b).clone()]);
    for (a, b) in pairs {
        for (of, into) in [(a, b), (b, a)].into_iter().take(if fit.both_ways { 2 } else { 1 }) {
            facts.push(Fact {
                roles: fit.roles.clone(),
                except_roles: fit.except_roles.clone(),
                of: of.clone(),
                into: into.clone(),
                verdict: fit.verdict,
                note: fit.note.clone(),
                evidence: fit.evidence,
                if_same: fit.if_same.clone(),
                who: String::new(),
                when: String::new(),
                sources: fit.src.iter().map(|key| format!("{pack}/{key}")).collect(),
            });
        }
    }
}
