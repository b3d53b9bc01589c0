//! What the shop's own confirmed finds teach: how often each model comes in, and what its reels show.

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};

use crate::observe::{About, Observation, Value};

/// Confirmed finds of one model.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ModelFinds {
    pub finds: u32,
    /// How many of them showed each state, by feature.
    #[serde(default)]
    pub shown: BTreeMap<String, BTreeMap<String, u32>>,
}

/// Counts from confirmed finds, by model.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(transparent)]
pub struct Learned {
    pub models: BTreeMap<String, ModelFinds>,
}

impl Learned {
    /// Adds one confirmed find with what was seen on it.
    pub fn add(&mut self, model: &str, seen: &[&Observation]) {
        let entry = self.models.entry(model.to_owned()).or_default();
        entry.finds += 1;
        for observation in seen {
            let About::Feature(feature) = &observation.about else {
                continue;
            };
            let shown = match &observation.value {
                Value::State(state) => state.clone(),
                Value::Count(count) => count.to_string(),
                _ => continue,
            };
            *entry.shown.entry(feature.clone()).or_default().entry(shown).or_default() += 1;
        }
    }

    pub fn finds(&self, model: &str) -> u32 {
        self.models.get(model).map_or(0, |m| m.finds)
    }
    pub fn total(&self) -> u32 {
        self.models.values().map(|m| m.finds).sum()
    }
    pub(super) fn shown(&self, model: &str, feature: &str) -> Option<&BTreeMap<String, u32>> {
        self.models.get(model)?.shown.get(feature)
    }
}
