//! The questions a reel can be asked.

use serde::{Deserialize, Serialize};

use super::{PackInfo, Sources};

/// What answering costs: a glance 1, handling 2, measuring 3, opening 8, stripping 20.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum EffortId {
    #[default]
    Glance,
    Handle,
    Measure,
    Open,
    Strip,
}

impl EffortId {
    pub fn words(self) -> &'static str {
        match self {
            Self::Glance => "a glance",
            Self::Handle => "in the hand",
            Self::Measure => "measure",
            Self::Open => "open a side",
            Self::Strip => "strip it down",
        }
    }
}

#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Effort {
    pub id: EffortId,
    pub cost: f64,
}

#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct MarkPlace {
    pub id: String,
    pub label: String,
    /// What it takes to read it; the packs' default is handling.
    #[serde(default = "handle")]
    pub effort: EffortId,
}

fn handle() -> EffortId {
    EffortId::Handle
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum FeatureType {
    Choice,
    Count,
    Measure,
}

#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct State {
    pub id: String,
    pub label: String,
    /// What it looks like, in plain words.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub look: Option<String>,
}

/// One question.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Feature {
    pub id: String,
    pub ask: String,
    #[serde(rename = "type")]
    pub kind: FeatureType,
    pub effort: EffortId,
    /// States of a choice; empty for counts and measures.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub states: Vec<State>,
    /// Kinds of reel it can be asked of; empty means all.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub applies_to: Vec<String>,
    /// `mm` or `g` for measures; left out for a bare ratio.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub unit: Option<String>,
    /// Least and most that a reel can show, in the unit.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub plausible: Option<[f64; 2]>,
    /// Owners change this part, so it weighs less.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub replaceable: bool,
    /// Pairs of states that people mistake for each other.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub easily_confused: Vec<[String; 2]>,
    /// How to tell, in plain words.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub how: Option<String>,
    /// Mark place where one looks for it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub place: Option<String>,
}

impl Feature {
    pub fn state(&self, id: &str) -> Option<&State> {
        self.states.iter().find(|state| state.id == id)
    }
    pub fn applies_to(&self, kind: &str) -> bool {
        self.applies_to.is_empty() || self.applies_to.iter().any(|k| k == kind)
    }
}

#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct QuestionsPack {
    pub format: String,
    pub id: String,
    pub title: String,
    #[serde(default)]
    pub about: String,
    #[serde(default)]
    pub sources: Sources,
    pub efforts: Vec<Effort>,
    pub mark_places: Vec<MarkPlace>,
    pub features: Vec<Feature>,
}

impl QuestionsPack {
    pub fn info(&self) -> PackInfo {
        PackInfo { id: self.id.clone(), title: self.title.clone(), about: self.about.clone(), invented: false }
    }
    pub fn cost(&self, effort: EffortId) -> f64 {
        self.efforts.iter().find(|e| e.id == effort).map_or(1.0, |e| e.cost)
    }
}
