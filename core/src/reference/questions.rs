//! The questions a reel can be asked.

use serde::Serialize;

use super::read::{fields, words};
use super::{PackInfo, Sources};

/// What answering costs: a glance 1, handling 2, measuring 3, opening 8, stripping 20.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum EffortId {
    #[default]
    Glance,
    Handle,
    Measure,
    Open,
    Strip,
}

words!(EffortId { "glance" => Glance, "handle" => Handle, "measure" => Measure, "open" => Open, "strip" => Strip });

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

#[derive(Debug, Clone, Default, PartialEq, Serialize)]
pub struct Effort {
    pub id: EffortId,
    pub cost: f64,
}

fields!(Effort { id, cost });

#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct MarkPlace {
    pub id: String,
    pub label: String,
    /// What it takes to read it; left out, it is handling.
    pub effort: EffortId,
}

impl Default for MarkPlace {
    fn default() -> Self {
        Self { id: String::new(), label: String::new(), effort: EffortId::Handle }
    }
}

fields!(MarkPlace { id, label, effort });

#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum FeatureType {
    #[default]
    Choice,
    Count,
    Measure,
}

words!(FeatureType { "choice" => Choice, "count" => Count, "measure" => Measure });

#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize)]
pub struct State {
    pub id: String,
    pub label: String,
    /// What it looks like, in plain words.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub look: Option<String>,
}

fields!(State { id, label, look });

/// One question.
#[derive(Debug, Clone, Default, PartialEq, Serialize)]
pub struct Feature {
    pub id: String,
    pub ask: String,
    #[serde(rename = "type")]
    pub kind: FeatureType,
    pub effort: EffortId,
    /// States of a choice; empty for counts and measures.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub states: Vec<State>,
    /// Kinds of reel it can be asked of; empty means all.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub applies_to: Vec<String>,
    /// `mm` or `g` for measures; left out for a bare ratio.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub unit: Option<String>,
    /// Least and most that a reel can show, in the unit.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub plausible: Option<[f64; 2]>,
    /// Owners change this part, so it weighs less.
    #[serde(skip_serializing_if = "std::ops::Not::not")]
    pub replaceable: bool,
    /// Pairs of states that people mistake for each other.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub easily_confused: Vec<[String; 2]>,
    /// How to tell, in plain words.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub how: Option<String>,
    /// Mark place where one looks for it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub place: Option<String>,
}

fields!(Feature { id, ask, kind = "type", effort, states, applies_to, unit, plausible, replaceable, easily_confused, how, place });

impl Feature {
    pub fn state(&self, id: &str) -> Option<&State> {
        self.states.iter().find(|state| state.id == id)
    }
    pub fn applies_to(&self, kind: &str) -> bool {
        self.applies_to.is_empty() || self.applies_to.iter().any(|k| k == kind)
    }
}

#[derive(Debug, Clone, Default, PartialEq, Serialize)]
pub struct QuestionsPack {
    pub format: String,
    pub id: String,
    pub title: String,
    pub about: String,
    pub sources: Sources,
    pub efforts: Vec<Effort>,
    pub mark_places: Vec<MarkPlace>,
    pub features: Vec<Feature>,
}

fields!(QuestionsPack { format, id, title, about, sources, efforts, mark_places, features });

impl QuestionsPack {
    pub fn info(&self) -> PackInfo {
        PackInfo { id: self.id.clone(), title: self.title.clone(), about: self.about.clone(), invented: false }
    }
    pub fn cost(&self, effort: EffortId) -> f64 {
        self.efforts.iter().find(|e| e.id == effort).map_or(1.0, |e| e.cost)
    }
}
