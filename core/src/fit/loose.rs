//! A loose part on the bench: which reels may it be from? Asked before it is thrown out.

use serde::Serialize;

use crate::observe::{About, Observation, Value};
use crate::order;
use crate::reference::Reference;

/// Less than this share of a variant's reels show what is seen: not worth a line.
const SHARE_MIN: f64 = 0.05;

/// A reel that the part may be from.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Loose {
    pub model: String,
    pub variant: String,
    /// Share of this variant's reels that show all of it.
    pub share: f64,
    /// 1 rare to 5 met every week.
    pub commonness: u8,
    pub words: String,
}

/// Reels that are known to have such a part. What is seen of the part must be among the questions that tell of it; further
/// answers, such as a kind of bail, say what the rest of the reel was like.
pub fn loose(reference: &Reference, role: &str, seen: &[Observation]) -> Vec<Loose> {
    let Some(known) = reference.parts.role(role) else { return Vec::new() };
    let mut found = Vec::new();
    for model in reference.models.iter().filter(|model| known.kinds.contains(&model.kind)) {
        for variant in &model.variants {
            let (mut share, mut told) = (1.0, false);
            for one in seen {
                let (About::Feature(feature), value) = (&one.about, &one.value) else { continue };
                if feature == "reel_kind" {
                    share *= f64::from(u8::from(*value == Value::State(model.kind.clone())));
                    continue;
                }
                let Some(fact) = variant.features.get(feature) else { continue };
                share *= match (value, fact.value) {
                    (Value::State(state), _) => fact.states.get(state).copied().unwrap_or(0.0),
                    (Value::Count(count), Some(value)) => near(f64::from(*count), value, fact.tol.unwrap_or(0.0)),
                    (Value::Measure { amount, unit }, Some(value)) => {
                        near(amount * unit.to_base(), value, fact.tol.unwrap_or(0.0).max(0.5))
                    }
                    _ => 1.0,
                };
                told |= known.tells.contains(feature);
            }
            if told && share >= SHARE_MIN {
                let name = super::model_words(reference, &format!("{}@{}", model.id, variant.id));
                let rare = if model.commonness <= 2 { " It is a rare reel." } else { "" };
                found.push(Loose {
                    model: model.id.clone(),
                    variant: variant.id.clone(),
                    share,
                    commonness: model.commonness,
                    words: format!("Possible {}: keep it.{rare}", name.trim()),
                });
            }
        }
    }
    order::by(&mut found, |a, b| b.share.total_cmp(&a.share).then(b.commonness.cmp(&a.commonness)));
    found
}

fn near(seen: f64, known: f64, tol: f64) -> f64 {
    if (seen - known).abs() <= tol { 1.0 } else { 0.0 }
}
