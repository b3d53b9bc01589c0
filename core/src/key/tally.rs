//! The running sum: what every hypothesis has gained or lost by what was seen. Adding and taking back are inverse.

use super::build::Key;
use super::question::Worth;
use crate::observe::{About, Observation, Value};

/// Sums of one reel. Order of the observations never matters.
#[derive(Debug, Clone)]
pub struct Tally {
    /// Nats of each variant and of a reel like it that is not in the packs, prior and all.
    pub(super) nats: Vec<[f32; 2]>,
    /// Nats of an unknown reel of each kind.
    pub(super) at_large: Vec<f32>,
    pub(super) features: Vec<Counted>,
    pub(super) marks: super::lettering::Readings,
}

#[derive(Debug, Clone)]
pub(super) struct Counted {
    pub question: usize,
    pub seen: Observation,
    /// Empty when the answer tells nothing.
    pub worth: Worth,
}

impl Tally {
    pub fn new(key: &Key) -> Self {
        Tally {
            nats: key.prior.clone(),
            at_large: vec![0.0; key.kinds.len()],
            features: Vec::new(),
            marks: super::lettering::Readings::default(),
        }
    }

    /// Adds one observation; a feature answered before is answered anew.
    ///
    /// # Errors
    /// A sentence where the observation does not go with the packs; the sums are then unchanged.
    pub fn add(&mut self, key: &Key, seen: &Observation) -> Result<(), String> {
        match &seen.about {
            About::Feature(id) => {
                let question = key.question(id).ok_or_else(|| format!("No question is called “{id}”."))?;
                let worth = key.questions[question].judge(seen)?.unwrap_or_default();
                self.take_back(key, &seen.about);
                self.sum(key, question, &worth, 1.0);
                self.features.push(Counted { question, seen: seen.clone(), worth });
            }
            About::Mark(place) => {
                if !key.places.iter().any(|known| known == place) {
                    return Err(format!("No mark place is called “{place}”."));
                }
                if !matches!(seen.value, Value::Text(_) | Value::Absent | Value::Unclear) {
                    return Err(format!("What is read at “{place}” must be lettering, “not there” or “can't tell”."));
                }
                self.marks.add(key, seen);
            }
        }
        Ok(())
    }

    /// Takes back everything answered to a question or read at a place.
    pub fn take_back(&mut self, key: &Key, about: &About) {
        match about {
            About::Feature(_) => {
                while let Some(at) = self.features.iter().position(|c| c.seen.about == *about) {
                    let counted = self.features.remove(at);
                    self.sum(key, counted.question, &counted.worth, -1.0);
                }
            }
            About::Mark(place) => self.marks.take_back(key, place),
        }
    }

    fn sum(&mut self, key: &Key, question: usize, worth: &Worth, sign: f32) {
        if worth.is_empty() {
            return;
        }
        let signed: Worth = worth.iter().map(|[own, like]| [own * sign, like * sign]).collect();
        for (nats, code) in self.nats.iter_mut().zip(&key.questions[question].code) {
            let worth = signed[usize::from(*code)];
            nats[0] += worth[0];
            nats[1] += worth[1];
        }
        for (nats, worth) in self.at_large.iter_mut().zip(&signed) {
            *nats += worth[0];
        }
    }

    pub(super) fn answered(&self, feature: &str) -> bool {
        self.features.iter().any(|c| c.seen.about.id() == feature)
    }
}
