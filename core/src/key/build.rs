//! The key as laid out from the packs.

use std::collections::BTreeMap;

use super::learned::Learned;
use super::lettering::Lettering;
use super::question::{Question, Scored};
use super::tally::Tally;
use crate::order;
use crate::reference::{Confidence, FeatureFact, Model, Reference};

/// The packs hold a small part of all reels ever made, so before anything is seen most of the chance lies outside
/// them. The four shares sum to 1; they are judgements.
const KNOWN: f64 = 0.25;
/// A reel that looks like one of the packs' variants without being it: a copy, or a model not yet entered.
const LIKE_KNOWN: f64 = 0.3;
/// Another model of a maker in the packs.
const OF_KNOWN_MAKER: f64 = 0.3;
/// Share of a maker's models that are of kinds not told of him.
const OTHER_KINDS: f64 = 0.15;
/// Anything else, by kind.
const UNKNOWN: f64 = 0.15;
/// The packs' own commonness counts as this many confirmed finds.
const PACK_FINDS: f64 = 60.0;

/// Told each fact of a variant, with the question it answers.
type Tell<'t, 'a> = dyn FnMut(&str, &'a FeatureFact) + 't;

/// One variant's place in the key.
#[derive(Debug, Clone, Copy)]
pub(super) struct Row {
    pub model: u32,
    pub variant: u32,
    pub kind: u32,
}

/// Built once from the packs; every reel is then judged against it.
#[derive(Debug, Clone)]
pub struct Key {
    pub(super) kinds: Vec<String>,
    pub(super) places: Vec<String>,
    pub(super) questions: Vec<Question>,
    index: BTreeMap<String, usize>,
    pub(super) rows: Vec<Row>,
    /// Rows of model `m` are `spans[m]..spans[m + 1]`.
    pub(super) spans: Vec<u32>,
    /// Natural logarithms, as everywhere below.
    pub(super) prior: Vec<[f32; 2]>,
    pub(super) kind_prior: Vec<f64>,
    pub(super) maker_prior: Vec<f64>,
    maker_kinds: Vec<Vec<usize>>,
    pub(super) lettering: Lettering,
    pub(super) learned: Learned,
}

impl Key {
    pub fn build(reference: &Reference, learned: &Learned) -> Key {
        let mut key = Self::of_features(reference, learned);
        key.add_lettering(reference);
        key
    }

    /// The first step of [`Key::build`], for one who lets a browser in between: it reads no lettering yet.
    pub fn of_features(reference: &Reference, learned: &Learned) -> Key {
        Self::laid_out(reference, learned, &mut |row, tell| {
            let facts = &reference.models[row.model as usize].variants[row.variant as usize].features;
            facts.iter().for_each(|(feature, fact)| tell(feature, fact));
        })
    }

    /// The rest of it.
    pub fn add_lettering(&mut self, reference: &Reference) {
        self.gather_lettering(reference);
        self.index_lettering(reference);
    }

    /// The second step: who bears which text.
    pub fn gather_lettering(&mut self, reference: &Reference) {
        self.lettering = Lettering::gather(reference, &self.rows, &self.spans);
    }

    /// The third: from here on lettering is read.
    pub fn index_lettering(&mut self, reference: &Reference) {
        self.lettering.index(reference);
    }

    /// Builds with the facts of each variant from elsewhere.
    pub(super) fn laid_out<'a>(
        reference: &Reference,
        learned: &Learned,
        facts_of: &mut dyn FnMut(&Row, &mut Tell<'_, 'a>),
    ) -> Key {
        let mut kinds: Vec<String> = reference
            .feature("reel_kind")
            .map(|feature| feature.states.iter().map(|state| state.id.clone()).collect())
            .unwrap_or_default();
        let mut rows = Vec::new();
        let mut spans = vec![0];
        for (at, model) in reference.models.iter().enumerate() {
            let kind = kinds.iter().position(|kind| *kind == model.kind).unwrap_or_else(|| {
                kinds.push(model.kind.clone());
                kinds.len() - 1
            });
            rows.extend((0..model.variants.len()).map(|variant| Row {
                model: at as u32,
                variant: variant as u32,
                kind: kind as u32,
            }));
            spans.push(rows.len() as u32);
        }
        let shares = model_shares(reference, learned);
        let share = |row: &Row| {
            let model = row.model as usize;
            shares[model] / f64::from(spans[model + 1] - spans[model])
        };
        let features = &reference.questions.features;
        let index = order::index(features.iter().map(|feature| feature.id.as_str()));
        // A variant has few facts, a question few variants that are scored on it: only those are looked at.
        let of_kind: Vec<FeatureFact> = kinds.iter().map(|kind| kind_fact(kind)).collect();
        let of_kinds = index.get("reel_kind").copied();
        let mut facts: Vec<Vec<(usize, &FeatureFact)>> = vec![Vec::new(); features.len()];
        for (at, row) in rows.iter().enumerate() {
            facts_of(row, &mut |feature, fact| {
                if let Some(feature) = index.get(feature) {
                    facts[*feature].push((at, fact));
                }
            });
            // What is told of a variant's kind goes before what its model says.
            if let Some(told) = of_kinds.map(|feature| &mut facts[feature])
                && told.last().is_none_or(|(last, _)| *last != at)
            {
                told.push((at, &of_kind[row.kind as usize]));
            }
        }
        let code: Vec<u16> = rows.iter().map(|row| row.kind as u16).collect();
        let mut questions = Vec::new();
        for (feature, facts) in features.iter().zip(&facts) {
            let scored: Vec<Scored> = facts
                .iter()
                .map(|(at, fact)| Scored {
                    row: *at,
                    kind: rows[*at].kind as usize,
                    weight: share(&rows[*at]) * rows.len() as f64,
                    fact,
                    shown: learned.shown(&reference.models[rows[*at].model as usize].id, &feature.id),
                })
                .collect();
            questions.push(Question::build(feature, &kinds, code.clone(), &scored));
        }
        let mut kind_share = vec![0.3 / kinds.len() as f64; kinds.len()];
        for row in &rows {
            kind_share[row.kind as usize] += 0.7 * share(row);
        }
        let (maker_prior, maker_kinds) = makers(reference, &kinds);
        Key {
            index,
            prior: rows
                .iter()
                .map(|row| [(KNOWN * share(row)).ln() as f32, (LIKE_KNOWN * share(row)).ln() as f32])
                .collect(),
            kind_prior: kind_share.iter().map(|share| (UNKNOWN * share).ln()).collect(),
            places: reference.questions.mark_places.iter().map(|place| place.id.clone()).collect(),
            lettering: Lettering::default(),
            learned: learned.clone(),
            kinds,
            questions,
            rows,
            spans,
            maker_prior,
            maker_kinds,
        }
    }

    pub(super) fn question(&self, id: &str) -> Option<usize> {
        self.index.get(id).copied()
    }

    /// Number of a mark place; the largest number for one that the packs don't hold.
    pub(super) fn place(&self, id: &str) -> u16 {
        self.places.iter().position(|place| place == id).map_or(u16::MAX, |at| at as u16)
    }

    /// Nats, prior and all, of an unknown reel of each maker.
    pub(super) fn maker_nats(&self, tally: &Tally) -> Vec<f64> {
        let marks = tally.marks.maker_nats();
        let at_large: Vec<f64> = tally.at_large.iter().map(|nats| f64::from(*nats)).collect();
        (0..self.maker_prior.len())
            .map(|maker| {
                let kinds = &self.maker_kinds[maker];
                let most = at_large.iter().fold(f64::MIN, |m, nats| m.max(*nats));
                let mean = |kinds: &mut dyn Iterator<Item = usize>, of: usize| {
                    kinds.map(|kind| (at_large[kind] - most).exp()).sum::<f64>() / of as f64
                };
                let own = mean(&mut kinds.iter().copied(), kinds.len());
                let any = mean(&mut (0..at_large.len()), at_large.len());
                let share = (1.0 - OTHER_KINDS) * own + OTHER_KINDS * any;
                self.maker_prior[maker] + most + share.ln() + marks.map_or(0.0, |marks| f64::from(marks[maker]))
            })
            .collect()
    }

    /// Number of variants.
    pub fn variants(&self) -> usize {
        self.rows.len()
    }
}

fn kind_fact(kind: &str) -> FeatureFact {
    FeatureFact {
        states: BTreeMap::from([(kind.to_owned(), 1.0)]),
        confidence: Confidence::High,
        ..FeatureFact::default()
    }
}

/// Share of each model among the known reels that come in: the packs' commonness, sharpened by the shop's own finds.
fn model_shares(reference: &Reference, learned: &Learned) -> Vec<f64> {
    let weight = |model: &Model| 3.0_f64.powf((f64::from(model.commonness.clamp(1, 5)) - 3.0) / 2.0);
    let total: f64 = reference.models.iter().map(weight).sum();
    let finds = f64::from(learned.total());
    let shared = |model: &Model| {
        (PACK_FINDS * weight(model) / total + f64::from(learned.finds(&model.id))) / (PACK_FINDS + finds)
    };
    reference.models.iter().map(shared).collect()
}

/// Prior and kinds of reel of each maker's models outside the packs. Sellers made none.
fn makers(reference: &Reference, kinds: &[String]) -> (Vec<f64>, Vec<Vec<usize>>) {
    let mut models = vec![1.0; reference.makers.len()];
    for model in &reference.models {
        if let Some(at) = reference.makers.iter().position(|maker| maker.id == model.maker) {
            models[at] += 1.0;
        }
    }
    for (weight, maker) in models.iter_mut().zip(&reference.makers) {
        if maker.seller_only {
            *weight = 1e-9;
        }
    }
    let total: f64 = models.iter().sum();
    let prior = models.iter().map(|weight| (OF_KNOWN_MAKER * weight / total).ln()).collect();
    let known = |maker: &crate::reference::Maker| {
        let own: Vec<usize> =
            maker.kinds.iter().filter_map(|kind| kinds.iter().position(|known| known == kind)).collect();
        if own.is_empty() { (0..kinds.len()).collect() } else { own }
    };
    (prior, reference.makers.iter().map(known).collect())
}
