//! The key as laid out from the pack, for one kind of reel.

use std::collections::BTreeMap;

use super::words::Variants;
use crate::reference::{BenchCheck, Cause, CauseType, FaultsPack, Reference, Symptom, applies, role_words};

/// Share of complaints whose cause stands in no pack: a judgement.
pub(super) const SOMETHING_ELSE: f64 = 0.15;
/// A cause that does not name a symptom meets it so often all the same: by chance, or from a second fault.
const BY_THE_WAY: f64 = 0.05;
/// A check that a cause does not name gives its plain result so often.
const PLAIN: f64 = 0.75;
/// Nothing is less likely than this.
const LEAST: f64 = 0.02;

/// What words can speak of.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Topic {
    Symptom(usize),
    /// Check and result.
    Result(usize, usize),
    Cause(usize),
}

/// Words that speak of a topic, as numbered tokens.
#[derive(Debug, Clone)]
pub(super) struct Phrase {
    pub topic: Topic,
    pub tokens: Vec<u32>,
    pub weight: f64,
}

/// Built once for a kind of reel; every complaint is then judged against it.
#[derive(Debug, Clone)]
pub struct FaultKey<'a> {
    pub(super) reference: &'a Reference,
    pub(super) kind: String,
    pub(super) symptoms: Vec<&'a Symptom>,
    pub(super) checks: Vec<&'a BenchCheck>,
    pub(super) causes: Vec<&'a Cause>,
    /// Chance of each cause before anything is seen; with [`SOMETHING_ELSE`] they sum to 1.
    pub(super) prior: Vec<f64>,
    pub(super) variants: Variants,
    pub(super) phrases: Vec<Phrase>,
    pub(super) tokens: BTreeMap<String, u32>,
    /// How much a token tells, by its number.
    pub(super) telling: Vec<f64>,
    /// Tokens that deny: `not` and `missing` with their variants.
    pub(super) denials: Vec<u32>,
}

impl<'a> FaultKey<'a> {
    /// Lays the key out for a kind of reel; an empty kind takes in all.
    pub fn build(reference: &'a Reference, kind: &str) -> Self {
        let pack: &FaultsPack = &reference.faults;
        let causes: Vec<&Cause> = pack.causes.iter().filter(|cause| applies(&cause.kinds, kind)).collect();
        let total: f64 = causes.iter().map(|cause| cause.prior.weight()).sum::<f64>().max(1e-9);
        let prior = causes.iter().map(|cause| cause.prior.weight() / total * (1.0 - SOMETHING_ELSE)).collect();
        let mut key = Self {
            reference,
            kind: kind.to_owned(),
            symptoms: pack.symptoms.iter().filter(|symptom| applies(&symptom.kinds, kind)).collect(),
            checks: pack.checks.iter().filter(|check| applies(&check.kinds, kind)).collect(),
            causes,
            prior,
            variants: Variants::of(&pack.variants),
            phrases: Vec::new(),
            tokens: BTreeMap::new(),
            telling: Vec::new(),
            denials: Vec::new(),
        };
        key.lay_out_words();
        key
    }

    /// Chance that a cause shows a symptom.
    pub(super) fn shows(&self, cause: usize, symptom: &str) -> f64 {
        match self.causes[cause].symptoms.get(symptom) {
            Some(often) => often.chance().max(LEAST),
            None => BY_THE_WAY,
        }
    }

    /// Chances of a check's results under a cause; `None` is something else.
    pub(super) fn results(&self, cause: Option<usize>, check: usize) -> Vec<f64> {
        let check = self.checks[check];
        let plain = check.results.iter().position(|(id, _)| *id == check.normal);
        let count = check.results.len() as f64;
        let others = (count - 1.0).max(1.0);
        let unnamed: Vec<f64> = (0..check.results.len())
            .map(|at| match plain {
                None => 1.0 / count,
                Some(plain) if plain == at => PLAIN,
                Some(_) => (1.0 - PLAIN) / others,
            })
            .collect();
        let Some(named) = cause.and_then(|cause| self.causes[cause].checks.get(&check.id)) else {
            return unnamed;
        };
        let told: Vec<Option<f64>> =
            check.results.iter().map(|(id, _)| named.get(id).map(|often| often.chance())).collect();
        let sum: f64 = told.iter().flatten().sum();
        // What the named results leave goes to the others; where all leave nothing, a little does.
        let left = (1.0 - sum).max(0.05);
        let free: f64 = told.iter().zip(&unnamed).filter(|(told, _)| told.is_none()).map(|(_, share)| share).sum();
        let mut chances: Vec<f64> = told
            .iter()
            .zip(&unnamed)
            .map(|(told, share)| told.unwrap_or(if free > 0.0 { left * share / free } else { 0.0 }).max(LEAST))
            .collect();
        let total: f64 = chances.iter().sum();
        chances.iter_mut().for_each(|chance| *chance /= total);
        chances
    }

    /// Mean over all causes, by how likely each is before anything is seen.
    pub(super) fn at_large(&self, of: impl Fn(usize) -> f64) -> f64 {
        let known: f64 = (0..self.causes.len()).map(|cause| self.prior[cause] * of(cause)).sum();
        known / (1.0 - SOMETHING_ELSE)
    }

    fn lay_out_words(&mut self) {
        let mut all: Vec<(Topic, String)> = Vec::new();
        for (at, symptom) in self.symptoms.iter().enumerate() {
            let topic = Topic::Symptom(at);
            all.extend(symptom.say.iter().map(|say| (topic, say.clone())));
            all.push((topic, symptom.finds.clone()));
        }
        for (at, check) in self.checks.iter().enumerate() {
            for (result, (id, label)) in check.results.iter().enumerate() {
                if *id != check.normal && !check.tells_nothing.contains(id) {
                    all.push((Topic::Result(at, result), format!("{} {label}", check.label)));
                }
            }
        }
        for (at, cause) in self.causes.iter().enumerate() {
            let topic = Topic::Cause(at);
            all.push((topic, cause.label.clone()));
            let trouble = match cause.sort {
                CauseType::Missing => "missing",
                CauseType::Damage => "bent",
                CauseType::Corrosion => "corroded",
                CauseType::Wear => "worn",
                CauseType::Dirt => "dirty",
                _ => continue,
            };
            all.extend(cause.parts.iter().map(|part| (topic, format!("{} {trouble}", role_words(part)))));
        }
        let mut seen_in: Vec<f64> = Vec::new();
        let mut phrases: Vec<(Topic, Vec<u32>)> = Vec::new();
        for (topic, words) in all {
            let mut numbers = Vec::new();
            for token in self.variants.tokens(&words) {
                let next = self.tokens.len() as u32;
                let number = *self.tokens.entry(token).or_insert(next);
                if number as usize == seen_in.len() {
                    seen_in.push(0.0);
                }
                seen_in[number as usize] += 1.0;
                numbers.push(number);
            }
            if !numbers.is_empty() {
                numbers.sort_unstable();
                phrases.push((topic, numbers));
            }
        }
        let denials = ["not", "missing"].iter().filter_map(|word| self.variants.token_of(word));
        self.denials = denials.filter_map(|token| self.tokens.get(&token).copied()).collect();
        let count = phrases.len() as f64;
        // A word in few phrases tells more; squared, as in the cosine of two texts.
        self.telling = seen_in.iter().map(|seen| ((count + 1.0) / (seen + 1.0)).ln().max(0.3).powi(2)).collect();
        self.phrases = phrases
            .into_iter()
            .map(|(topic, tokens)| {
                let weight = tokens.iter().map(|token| self.telling[*token as usize]).sum();
                Phrase { topic, tokens, weight }
            })
            .collect();
    }
}
