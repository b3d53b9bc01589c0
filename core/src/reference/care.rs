//! What to look at first at a stall, and what can hurt or be against the law.

use serde::Serialize;

use super::read::fields;
use super::{Confidence, PackInfo, Reference, Sources};
use crate::observe::{About, Observation, Value};

/// One step of the two minutes at a stall, in the order given.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize)]
pub struct StallStep {
    pub id: String,
    pub look: String,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub how: Option<String>,
}

fields!(StallStep { id, look, how });

/// A caution shown where an answer speaks of what it warns of.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize)]
pub struct UseCaution {
    pub id: String,
    pub when: String,
    pub text: String,
    /// Who knows better: an authority or a licensed trade.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub defer_to: Option<String>,
    /// `[feature, state]` pairs; any of them shows the caution.
    pub shown_by: Vec<[String; 2]>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub src: Vec<String>,
    pub confidence: Confidence,
}

fields!(UseCaution { id, when, text, defer_to, shown_by, src, confidence });

#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize)]
pub struct CarePack {
    pub format: String,
    pub id: String,
    pub title: String,
    pub about: String,
    pub sources: Sources,
    pub stall: Vec<StallStep>,
    pub cautions: Vec<UseCaution>,
}

fields!(CarePack { format, id, title, about, sources, stall, cautions });

impl CarePack {
    pub fn info(&self) -> PackInfo {
        PackInfo { id: self.id.clone(), title: self.title.clone(), about: self.about.clone(), invented: false }
    }
}

impl Reference {
    /// The cautions due for what was seen. Even a guess calls for care.
    pub fn cautions_for(&self, seen: &[Observation]) -> Vec<&UseCaution> {
        let shows = |pair: &[String; 2]| {
            seen.iter().any(|o| {
                matches!((&o.about, &o.value), (About::Feature(f), Value::State(s)) if *f == pair[0] && *s == pair[1])
            })
        };
        self.care.cautions.iter().filter(|caution| caution.shown_by.iter().any(shows)).collect()
    }
}
