//! What to look at next: the expected fall in entropy for the effort.

use super::build::Key;
use super::posterior::Posterior;
use super::question::{Answers, Question, Rows};
use super::tally::Tally;
use super::{Check, words};
use crate::observe::About;
use crate::order;
use crate::reference::Reference;

/// Checks offered.
const OFFERED: usize = 6;
/// Below this many bits a check is not worth a glance.
const WORTHWHILE_BITS: f64 = 0.02;
/// A struck mark can be read so often.
const LEGIBLE: f64 = 0.7;
/// Share of answers that tell nothing.
const SLIP: f64 = 0.04;

/// The most telling checks per effort, best first; none when nothing more would help.
pub fn next_checks(key: &Key, reference: &Reference, tally: &Tally, posterior: &Posterior) -> Vec<Check> {
    let mut checks: Vec<(f64, f64, usize, bool)> = Vec::new();
    let kinds = kind_masses(key, posterior);
    for (at, question) in key.questions.iter().enumerate() {
        if tally.answered(&question.id) || !asked_of(question, &kinds) {
            continue;
        }
        let gain = question_gain(key, question, posterior, &kinds);
        if gain >= WORTHWHILE_BITS {
            let cost = reference.questions.cost(reference.questions.features[at].effort);
            checks.push((gain / cost, gain, at, false));
        }
    }
    for (at, gain) in key.lettering.gains(key, posterior).into_iter().enumerate() {
        let place = &reference.questions.mark_places[at];
        if gain >= WORTHWHILE_BITS && !tally.marks.looked_at(&place.id) {
            checks.push((gain / reference.questions.cost(place.effort), gain, at, true));
        }
    }
    order::by(&mut checks, |a, b| b.0.total_cmp(&a.0).then(a.2.cmp(&b.2)));
    checks.truncate(OFFERED);
    checks
        .into_iter()
        .map(|(gain_per_effort, gain_bits, at, is_mark)| {
            if is_mark {
                let place = &reference.questions.mark_places[at];
                Check {
                    about: About::mark(&place.id),
                    ask: format!("What is struck here: {}?", words::lower_label(&place.label)),
                    effort: place.effort,
                    gain_bits,
                    gain_per_effort,
                    why: mark_why(key, reference, posterior, at),
                }
            } else {
                let feature = &reference.questions.features[at];
                Check {
                    about: About::feature(&feature.id),
                    ask: feature.ask.clone(),
                    effort: feature.effort,
                    gain_bits,
                    gain_per_effort,
                    why: why(key, reference, posterior, at),
                }
            }
        })
        .collect()
}

/// Chance of each kind, all hypotheses with one counted.
fn kind_masses(key: &Key, posterior: &Posterior) -> Vec<f64> {
    let mut masses = posterior.kinds.clone();
    let (weights, scale) = posterior.raw();
    for (row, weight) in key.rows.iter().zip(weights) {
        masses[row.kind as usize] += f64::from(weight[0] + weight[1]) * scale;
    }
    let total: f64 = masses.iter().sum::<f64>().max(1e-12);
    masses.iter_mut().for_each(|m| *m /= total);
    masses
}

/// Whether the question makes sense for what the reel probably is.
fn asked_of(question: &Question, kinds: &[f64]) -> bool {
    kinds.iter().zip(&question.applies).map(|(mass, applies)| if *applies { *mass } else { 0.0 }).sum::<f64>() > 0.5
}

/// Mutual information of the answer and which variant it is, in bits. Everything outside the packs counts as one.
fn question_gain(key: &Key, question: &Question, posterior: &Posterior, kinds: &[f64]) -> f64 {
    let (weights, scale) = posterior.raw();
    let rows = match &question.rows {
        Rows::Shares { width, shares } => shares.len() / width,
        Rows::Sizes(sizes) => sizes.len(),
    };
    // Mass of the packs' own variants by code.
    let mut mass = vec![0.0_f32; rows];
    for (code, weight) in question.code.iter().zip(weights) {
        mass[usize::from(*code)] += weight[0];
    }
    let active: Vec<(usize, f64)> = mass
        .iter()
        .enumerate()
        .map(|(code, mass)| (code, f64::from(*mass) * scale))
        .filter(|(_, mass)| *mass > 1e-5)
        .collect();
    let outside: Vec<(usize, f64)> =
        kinds.iter().enumerate().map(|(kind, mass)| (kind, mass * posterior.not_in_key)).collect();
    if active.iter().all(|(code, _)| *code < key.kinds.len()) {
        return 0.0;
    }
    match &question.rows {
        Rows::Shares { width, shares } => {
            let row = |code: usize| &shares[code * width..(code + 1) * width];
            gain(&active, &outside, *width, |code, chances| {
                for (chance, share) in chances.iter_mut().zip(row(code)) {
                    *chance = f64::from(*share);
                }
            })
        }
        Rows::Sizes(sizes) => {
            let unit = match &question.answers {
                Answers::Measure { unit } => unit.as_deref(),
                _ => None,
            };
            // Cells of five per cent about the sizes still possible.
            let values = active.iter().filter(|(code, _)| *code >= key.kinds.len()).map(|(code, _)| sizes[*code].value);
            let (least, most) = values.fold((f64::MAX, f64::MIN), |(l, m), v| (l.min(v.ln()), m.max(v.ln())));
            let cells = (((most - least) / 0.05).ceil() as usize + 9).min(96);
            gain(&active, &outside, cells, |code, chances| {
                let size = &sizes[code];
                let (mean, spread) = if code < key.kinds.len() {
                    (size.value, size.spread)
                } else {
                    let error = super::question::reading_error(size.value, crate::observe::How::Ruler, unit);
                    (size.value.ln(), (size.spread.hypot(error) / size.value).max(0.01))
                };
                for (cell, chance) in chances.iter_mut().enumerate() {
                    let z = (least + (cell as f64 - 4.0) * 0.05 - mean) / spread.max(0.025);
                    *chance = if z.abs() > 5.0 { 0.0 } else { (-0.5 * z * z).exp() } + 1e-9;
                }
            })
        }
    }
}

/// Bits that an answer among `width` tells about which `active` code it is, or outside.
fn gain(active: &[(usize, f64)], outside: &[(usize, f64)], width: usize, fill: impl Fn(usize, &mut [f64])) -> f64 {
    let mut all = vec![0.0; width];
    let mut one = vec![0.0; width];
    let mut unknown = vec![0.0; width];
    let mut within = 0.0;
    let mut total = 0.0;
    for (code, mass) in active {
        read(&fill, *code, &mut one);
        within += mass * entropy(&one);
        total += mass;
        all.iter_mut().zip(&one).for_each(|(all, one)| *all += mass * one);
    }
    let mut unknown_mass = 0.0;
    for (code, mass) in outside.iter().filter(|(_, mass)| *mass > 1e-5) {
        read(&fill, *code, &mut one);
        unknown_mass += mass;
        unknown.iter_mut().zip(&one).for_each(|(u, one)| *u += mass * one);
    }
    if unknown_mass > 0.0 {
        all.iter_mut().zip(&unknown).for_each(|(all, u)| *all += u);
        total += unknown_mass;
        unknown.iter_mut().for_each(|u| *u /= unknown_mass);
        within += unknown_mass * entropy(&unknown);
    }
    if total <= 0.0 {
        return 0.0;
    }
    all.iter_mut().for_each(|a| *a /= total);
    (entropy(&all) * total - within).max(0.0)
}

/// Chances of the answers from one code, slips included.
fn read(fill: &impl Fn(usize, &mut [f64]), code: usize, chances: &mut [f64]) {
    fill(code, chances);
    let total: f64 = chances.iter().sum();
    let even = SLIP / chances.len() as f64;
    chances.iter_mut().for_each(|c| *c = *c / total * (1.0 - SLIP) + even);
}

pub(super) fn entropy(chances: &[f64]) -> f64 {
    -chances.iter().filter(|c| **c > 0.0).map(|c| c * c.log2()).sum::<f64>()
}

/// Which candidates a question parts, in words.
fn why(key: &Key, reference: &Reference, posterior: &Posterior, at: usize) -> String {
    let feature = &reference.questions.features[at];
    let mut groups: Vec<(String, Vec<&str>)> = Vec::new();
    for (model, _) in posterior.top.iter().take(8) {
        let model = &reference.models[*model as usize];
        let row = key.spans[reference.models.iter().position(|m| m.id == model.id).unwrap_or(0)] as usize;
        let best =
            (0..model.variants.len()).max_by(|a, b| posterior.variant(row + a).total_cmp(&posterior.variant(row + b)));
        let Some(fact) = best.and_then(|best| model.variants[best].features.get(&feature.id)) else {
            continue;
        };
        let told = words::fact_words(feature, fact);
        match groups.iter_mut().find(|(words, _)| *words == told) {
            Some((_, models)) => models.push(words::model_name(model)),
            None => groups.push((told, vec![words::model_name(model)])),
        }
    }
    let named = |(told, models): &(String, Vec<&str>)| {
        let others = match models.len() {
            1 => String::new(),
            2 => " and 1 other".into(),
            n => format!(" and {} others", n - 1),
        };
        format!("{}{others} ({told})", models[0])
    };
    match groups.as_slice() {
        [] => "Tells whether it is one of these at all.".into(),
        [one] => format!("Tells {} from the rest.", named(one)),
        [a, b, ..] => format!("Parts {} from {}.", named(a), named(b)),
    }
}

fn mark_why(key: &Key, reference: &Reference, posterior: &Posterior, place: usize) -> String {
    for (at, _) in posterior.top.iter().take(8) {
        let model = &reference.models[*at as usize];
        let id = &key.places[place];
        let struck = model.variants.iter().flat_map(|v| &v.marks).find(|m| m.place == *id && !m.struck.is_empty());
        if let Some(mark) = struck {
            return format!(
                "{} bears “{}” there; lettering decides more than looks.",
                words::model_name(model),
                mark.struck
            );
        }
    }
    "Lettering decides more than looks.".into()
}

/// Bits told by reading a place: `codes` by mass, each with its chance of being read; anything else is silence.
pub(super) fn mark_gain(masses: &[f64]) -> f64 {
    let read: f64 = masses.iter().sum::<f64>() * LEGIBLE;
    let telling: Vec<f64> = masses.iter().map(|m| m * LEGIBLE).chain([1.0 - read]).collect();
    let noise = masses.iter().sum::<f64>() * entropy(&[LEGIBLE, 1.0 - LEGIBLE]);
    (entropy(&telling) - noise).max(0.0)
}
