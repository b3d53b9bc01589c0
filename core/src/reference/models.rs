//! Models, each as the variants it was made in.

use std::collections::BTreeMap;

use serde::Serialize;

use super::read::{fields, words};
use super::{Confidence, FeatureType, PackInfo, Reference, Said, Sources, Years};
use crate::observe::{About, Observation, Unit, Value};

#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum HowOften {
    Always,
    #[default]
    Usual,
    Sometimes,
}

words!(HowOften { "always" => Always, "usual" => Usual, "sometimes" => Sometimes });

impl HowOften {
    /// Share of the reels of the variant that bear the mark: a judgement, to be learned from the shop's own finds.
    pub fn share(self) -> f64 {
        match self {
            Self::Always => 0.97,
            Self::Usual => 0.75,
            Self::Sometimes => 0.3,
        }
    }
}

/// Lettering of a variant.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize)]
pub struct StruckMark {
    /// Mark place id.
    pub place: String,
    /// As struck, in the marks language; empty where only `words` describe it.
    #[serde(skip_serializing_if = "String::is_empty")]
    pub struck: String,
    /// Description of a mark whose wording was not found.
    #[serde(skip_serializing_if = "String::is_empty")]
    pub words: String,
    pub how_often: HowOften,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub src: Vec<String>,
    pub confidence: Confidence,
}

fields!(StruckMark { place, struck, words, how_often, src, confidence });

/// How a variant answers one question: weights over states, or a value with its spread in the question's unit.
#[derive(Debug, Clone, Default, PartialEq, Serialize)]
pub struct FeatureFact {
    /// Weight per state id; they sum to 1. `absent` may stand here for a thing that is not there.
    #[serde(skip_serializing_if = "BTreeMap::is_empty")]
    pub states: BTreeMap<String, f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub value: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub tol: Option<f64>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub src: Vec<String>,
    pub confidence: Confidence,
}

fields!(FeatureFact { states, value, tol, src, confidence });

/// One form in which a model was made.
#[derive(Debug, Clone, Default, PartialEq, Serialize)]
pub struct Variant {
    pub id: String,
    pub name: String,
    pub years: Years,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub marks: Vec<StruckMark>,
    #[serde(skip_serializing_if = "BTreeMap::is_empty")]
    pub features: BTreeMap<String, FeatureFact>,
}

fields!(Variant { id, name, years, marks, features });

#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize)]
pub struct LookAlike {
    /// Model id.
    pub model: String,
    /// What decides, in plain words.
    pub deciding: String,
    /// The one question that decides, if one does.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub feature: Option<String>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub src: Vec<String>,
    pub confidence: Confidence,
}

fields!(LookAlike { model, deciding, feature, src, confidence });

/// One part of one model in another: a fact of the packs, used by the parts side.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize)]
pub struct Fitment {
    pub role: String,
    pub of: String,
    pub into: String,
    pub verdict: String,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub except: Option<String>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub src: Vec<String>,
    pub confidence: Confidence,
}

fields!(Fitment { role, of, into, verdict, except, src, confidence });

#[derive(Debug, Clone, Default, PartialEq, Serialize)]
pub struct Model {
    pub id: String,
    /// Who truly made it.
    pub maker: String,
    /// The name it was sold under, if another's.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub brand: Option<String>,
    pub name: String,
    /// Catalogue numbers: never years.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub numbers: Vec<String>,
    /// State of `reel_kind`.
    pub kind: String,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub family: Option<String>,
    /// 1 rare to 5 met every week: a judgement.
    pub commonness: u8,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub note: Option<String>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub look_alikes: Vec<LookAlike>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub fitments: Vec<Fitment>,
    /// Facts of every variant, written once; a variant's own fact for the same question wins.
    #[serde(skip_serializing_if = "BTreeMap::is_empty")]
    pub features: BTreeMap<String, FeatureFact>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub marks: Vec<StruckMark>,
    pub variants: Vec<Variant>,
    #[serde(skip)]
    pub pack: String,
}

fields!(Model { id, maker, brand, name, numbers, kind, family, commonness, note, look_alikes, fitments, features, marks, variants } skip pack);

impl Model {
    /// Copies the facts of all variants into each, so that readers look in one place.
    pub(crate) fn spread_shared_facts(&mut self) {
        for variant in &mut self.variants {
            for (feature, fact) in &self.features {
                variant.features.entry(feature.clone()).or_insert_with(|| fact.clone());
            }
            variant.marks.extend(self.marks.iter().cloned());
        }
    }

    /// The reel as its first variant usually looks, as if it had been seen: for drawing it.
    pub fn typical(&self, reference: &Reference) -> Vec<Observation> {
        let mut seen = vec![Observation::state("reel_kind", &self.kind)];
        let Some(variant) = self.variants.first() else { return seen };
        for (id, fact) in &variant.features {
            let Some(feature) = reference.feature(id) else { continue };
            let value = match (fact.value, feature.kind) {
                (Some(value), FeatureType::Count) => Value::Count(value.round().max(0.0) as u32),
                (Some(amount), _) => Value::Measure {
                    amount,
                    unit: if feature.unit.as_deref() == Some("g") { Unit::G } else { Unit::Mm },
                },
                (None, _) => match fact.states.iter().max_by(|a, b| a.1.total_cmp(b.1)) {
                    Some((state, _)) => Value::State(state.clone()),
                    None => continue,
                },
            };
            seen.push(Observation::of(About::feature(id.as_str()), value));
        }
        seen
    }

    pub fn variant(&self, id: &str) -> Option<&Variant> {
        self.variants.iter().find(|variant| variant.id == id)
    }
}

/// Models that are mixed up in practice.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize)]
pub struct Family {
    pub id: String,
    pub name: String,
    pub members: Vec<String>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub number_key: Vec<Said>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub notes: Vec<Said>,
}

fields!(Family { id, name, members, number_key, notes });

#[derive(Debug, Clone, Default, PartialEq, Serialize)]
pub struct ModelsPack {
    pub format: String,
    pub id: String,
    pub title: String,
    pub about: String,
    #[serde(skip_serializing_if = "std::ops::Not::not")]
    pub invented: bool,
    pub sources: Sources,
    pub families: Vec<Family>,
    pub models: Vec<Model>,
}

fields!(ModelsPack { format, id, title, about, invented, sources, families, models });

impl ModelsPack {
    pub fn info(&self) -> PackInfo {
        PackInfo { id: self.id.clone(), title: self.title.clone(), about: self.about.clone(), invented: self.invented }
    }
}
