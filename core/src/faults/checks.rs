//! What to look at next: the expected fall in entropy for the effort, in checks and in symptoms nobody looked for.

use super::judge::Evidence;
use super::key::FaultKey;
use super::{Look, NextLook};
use crate::order;
use crate::reference::{BenchCaution, EffortId, Task};

/// Looks offered.
const OFFERED: usize = 6;
/// Below this many bits a look is not worth a glance.
const WORTHWHILE_BITS: f64 = 0.03;

/// The most telling looks per effort, best first.
pub(super) fn next_looks(key: &FaultKey, evidence: &[Evidence], chances: &[f64]) -> Vec<NextLook> {
    offer(key, chances, (1.0 - chances.iter().sum::<f64>()).max(0.0), |look| {
        evidence.iter().any(|one| one.about.as_ref() == Some(look))
    })
}

/// The checks that tell two causes apart, best first; none where a cause is not known for this kind of reel.
pub fn between(key: &FaultKey, a: &str, b: &str) -> Vec<NextLook> {
    let chances: Vec<f64> =
        key.causes.iter().map(|cause| if cause.id == a || cause.id == b { 0.5 } else { 0.0 }).collect();
    if chances.iter().sum::<f64>() < 0.9 {
        return Vec::new();
    }
    offer(key, &chances, 0.0, |_| false)
}

fn offer(key: &FaultKey, chances: &[f64], other: f64, known: impl Fn(&Look) -> bool) -> Vec<NextLook> {
    let active: Vec<(usize, f64)> = chances.iter().copied().enumerate().filter(|(_, chance)| *chance > 0.002).collect();
    // Bits per effort, bits, effort, and the place of a check or (true) a symptom.
    let mut found: Vec<(f64, f64, EffortId, usize, bool)> = Vec::new();
    let mut consider = |effort: EffortId, at: usize, is_symptom: bool, under: &dyn Fn(Option<usize>) -> Vec<f64>| {
        let bits = gain(&active, other, under);
        if bits >= WORTHWHILE_BITS {
            found.push((bits / key.reference.questions.cost(effort), bits, effort, at, is_symptom));
        }
    };
    for (at, check) in key.checks.iter().enumerate() {
        if !known(&Look::Check(check.id.clone())) {
            consider(check.effort, at, false, &|cause| key.results(cause, at));
        }
    }
    for (at, symptom) in key.symptoms.iter().enumerate() {
        if !known(&Look::Symptom(symptom.id.clone())) {
            let at_large = key.at_large(|cause| key.shows(cause, &symptom.id));
            consider(symptom.effort, at, true, &|cause| {
                let chance = cause.map_or(at_large, |cause| key.shows(cause, &symptom.id));
                vec![chance, 1.0 - chance]
            });
        }
    }
    order::by(&mut found, |a, b| b.0.total_cmp(&a.0).then(a.4.cmp(&b.4)).then(a.3.cmp(&b.3)));
    found.truncate(OFFERED);
    let told = |(gain_per_effort, gain_bits, effort, at, is_symptom): (f64, f64, EffortId, usize, bool)| {
        if is_symptom {
            let symptom = key.symptoms[at];
            NextLook {
                about: Look::Symptom(symptom.id.clone()),
                ask: symptom.finds.clone(),
                how: symptom.how.clone(),
                effort,
                gain_bits,
                gain_per_effort,
                why: symptom_why(key, &active, &symptom.id),
                answers: vec![("present".into(), "so".into()), ("absent".into(), "not so".into())],
                cautions: cautions(key, &symptom.how, &[], effort),
            }
        } else {
            let check = key.checks[at];
            NextLook {
                about: Look::Check(check.id.clone()),
                ask: check.label.clone(),
                how: check.how.clone(),
                effort,
                gain_bits,
                gain_per_effort,
                why: check_why(key, &active, at),
                answers: check.results.clone(),
                cautions: cautions(key, &format!("{} {}", check.label, check.how), &check.cautions, effort),
            }
        }
    };
    found.into_iter().map(told).collect()
}

fn cautions(key: &FaultKey, words: &str, named: &[String], effort: EffortId) -> Vec<BenchCaution> {
    let opens = matches!(effort, EffortId::Open | EffortId::Strip);
    let task = Task { kind: &key.kind, words, named, opens, ..Task::default() };
    key.reference.work.cautions_due(&task).into_iter().cloned().collect()
}

/// Mutual information of the answer and which cause it is, in bits; something else counts as one.
fn gain(active: &[(usize, f64)], other: f64, under: &dyn Fn(Option<usize>) -> Vec<f64>) -> f64 {
    let mut all: Vec<f64> = Vec::new();
    let (mut within, mut total) = (0.0, 0.0);
    let causes = active.iter().map(|(cause, mass)| (Some(*cause), *mass));
    for (cause, mass) in causes.chain([(None, other)]).filter(|(_, mass)| *mass > 0.0) {
        let chances = under(cause);
        all.resize(chances.len(), 0.0);
        within += mass * entropy(&chances);
        total += mass;
        all.iter_mut().zip(&chances).for_each(|(all, chance)| *all += mass * chance);
    }
    if total <= 0.0 {
        return 0.0;
    }
    all.iter_mut().for_each(|chance| *chance /= total);
    (entropy(&all) - within / total).max(0.0)
}

fn entropy(chances: &[f64]) -> f64 {
    -chances.iter().filter(|c| **c > 0.0).map(|c| c * c.log2()).sum::<f64>()
}

/// For the results that point somewhere, where to.
fn check_why(key: &FaultKey, active: &[(usize, f64)], at: usize) -> String {
    let check = key.checks[at];
    let mut told = Vec::new();
    for (result, (_, label)) in check.results.iter().enumerate() {
        let chance = |cause: usize| key.results(Some(cause), at)[result];
        let plain = key.results(None, at)[result];
        let best = active
            .iter()
            .filter(|(cause, _)| chance(*cause) > plain * 1.5)
            .max_by(|a, b| (a.1 * chance(a.0)).total_cmp(&(b.1 * chance(b.0))));
        if let Some((cause, mass)) = best {
            told.push((mass * chance(*cause), format!("“{label}” points to: {}", key.causes[*cause].label)));
        }
    }
    order::by(&mut told, |a, b| b.0.total_cmp(&a.0));
    told.truncate(2);
    match told.is_empty() {
        true => "Rules causes out rather than in.".into(),
        false => told.into_iter().map(|(_, words)| words).collect::<Vec<_>>().join("; ") + ".",
    }
}

fn symptom_why(key: &FaultKey, active: &[(usize, f64)], symptom: &str) -> String {
    let best = |shows: bool| {
        let mut fit: Vec<&(usize, f64)> =
            active.iter().filter(|(cause, _)| (key.shows(*cause, symptom) >= 0.5) == shows).collect();
        order::by(&mut fit, |a, b| b.1.total_cmp(&a.1));
        fit.first().map(|(cause, _)| key.causes[*cause].label.clone())
    };
    match (best(true), best(false)) {
        (Some(a), Some(b)) => format!("If so, it points to: {a}; if not, to: {b}."),
        (Some(a), None) => format!("If so, it points to: {a}."),
        _ => "Rules causes out rather than in.".into(),
    }
}
