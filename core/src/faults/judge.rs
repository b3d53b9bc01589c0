//! From what was told and seen to causes in order.

use super::checks::next_looks;
use super::joint;
use super::key::{FaultKey, SOMETHING_ELSE, Topic};
use super::remedy::remedy_of;
use super::said::{listen, symptoms_in};
use super::{Finding, Judged, Look, Observed, RankedCause, Reason, Second, Seen};
use crate::order;

/// What a person ticked is taken to be so.
const TICKED: f64 = 0.97;
/// What was read out of free words is never quite sure.
const HEARD: f64 = 0.9;
/// Likeness at which words mean nothing yet, and how fast they come to mean something above it: judgements.
const UNLIKE: f64 = 0.25;
const SURER: f64 = 1.7;
/// An owner who names the cause is so much more often right than by chance.
const NAMED: f64 = 12.0;
/// From here on a cause counts as likely, and borne out by a check as found.
const LIKELY: f64 = 0.5;
const FOUND: f64 = 0.85;
/// Nats that a check must be worth to bear a cause out.
const BORNE_OUT: f64 = 1.0;
/// Less than this is neither for nor against.
const TELLING: f64 = 0.2;
/// Causes listed at most, and the least chance listed.
const LISTED: usize = 8;
const LEAST: f64 = 0.01;

/// One thing seen and what it is worth to each cause. Something else is worth nothing either way.
pub(super) struct Evidence {
    pub about: Option<Look>,
    pub words: String,
    /// A symptom that is there and has to be explained.
    present: bool,
    /// Of two faults, one is enough to bring it. Not so where nothing is wrong in this place: that either must bear with.
    pub either_speaks: bool,
    /// Nats by which a check's result is more usual with each cause than where nothing is wrong; empty for all else.
    bears_out: Vec<f64>,
    pub nats: Vec<f64>,
}

/// Judges what was told and seen.
pub fn judge(key: &FaultKey, seen: &Observed) -> Judged {
    let mut problems = Vec::new();
    let evidence = gather(key, seen, &mut problems);
    let heard = symptoms_in(key, &seen.said);
    let joint::Chances { there, shares, something_else } = joint::chances(key, &evidence);
    let mut places: Vec<usize> = (0..key.causes.len()).collect();
    order::by(&mut places, |a, b| there[*b].total_cmp(&there[*a]));
    let causes: Vec<RankedCause> = places
        .iter()
        .filter(|_| !evidence.is_empty())
        .take(LISTED)
        .filter(|at| there[**at] >= LEAST)
        .map(|at| ranked(key, &evidence, *at, there[*at]))
        .collect();
    let finding = match causes.first() {
        _ if something_else >= LIKELY && !evidence.is_empty() => Finding::SomethingElse,
        Some(best) if best.p >= FOUND && borne_out(&evidence, places[0]) => Finding::Found(best.cause.clone()),
        Some(best) if best.p >= LIKELY => Finding::Likely(best.cause.clone()),
        _ => Finding::Undecided,
    };
    let second = causes.first().and_then(|_| second(key, &evidence, places[0]));
    let next = if evidence.is_empty() { Vec::new() } else { next_looks(key, &evidence, &shares) };
    Judged { finding, causes, something_else, second, next, heard, problems }
}

/// Everything that was told, as evidence.
fn gather(key: &FaultKey, seen: &Observed, problems: &mut Vec<String>) -> Vec<Evidence> {
    let mut all = Vec::new();
    for (id, state) in &seen.symptoms {
        let Some(symptom) = key.symptoms.iter().find(|symptom| symptom.id == *id) else {
            problems.push(not_here(key.reference.faults.symptom(id).is_some(), "symptom", id, &key.kind));
            continue;
        };
        let present = *state == Seen::Present;
        let chance = |cause: usize| if present { key.shows(cause, id) } else { 1.0 - key.shows(cause, id) };
        all.push(Evidence {
            about: Some(Look::Symptom(id.clone())),
            words: symptom.finds.clone(),
            present,
            either_speaks: present,
            bears_out: Vec::new(),
            nats: worth(key, chance, TICKED),
        });
    }
    for (id, result) in &seen.checks {
        let Some(at) = key.checks.iter().position(|check| check.id == *id) else {
            problems.push(not_here(key.reference.faults.check(id).is_some(), "check", id, &key.kind));
            continue;
        };
        let check = key.checks[at];
        let either_speaks = *result != check.normal;
        let Some(result) = check.results.iter().position(|(known, _)| known == result) else {
            let known: Vec<&str> = check.results.iter().map(|(id, _)| id.as_str()).collect();
            problems.push(format!("The check {id} has no result “{result}”; it can be {}.", known.join(", ")));
            continue;
        };
        if check.tells_nothing.contains(&check.results[result].0) {
            continue;
        }
        let chance = |cause: usize| key.results(Some(cause), at)[result];
        let plain = key.results(None, at)[result];
        all.push(Evidence {
            about: Some(Look::Check(id.clone())),
            words: format!("{} — {}", check.label, check.results[result].1),
            present: false,
            either_speaks,
            bears_out: (0..key.causes.len()).map(|cause| (chance(cause) / plain).ln()).collect(),
            nats: worth(key, chance, TICKED),
        });
    }
    for piece in listen(key, &seen.said) {
        let answered = |topic: &Topic| match topic {
            Topic::Symptom(at) => seen.symptoms.contains_key(&key.symptoms[*at].id),
            Topic::Result(at, _) => seen.checks.contains_key(&key.checks[*at].id),
            Topic::Cause(_) => false,
        };
        // What was answered by hand counts once, there.
        if piece.topics.first().is_none_or(|(topic, _)| answered(topic)) {
            continue;
        }
        let topics: Vec<(Topic, f64)> = piece.topics.into_iter().filter(|(topic, _)| !answered(topic)).collect();
        all.push(Evidence {
            about: None,
            words: format!("“{}”", piece.words),
            present: true,
            either_speaks: true,
            bears_out: Vec::new(),
            nats: heard(key, &topics),
        });
    }
    all
}

fn not_here(known: bool, what: &str, id: &str, kind: &str) -> String {
    if known {
        format!("The {what} {id} is none of a reel of the kind {kind}, so it was not used.")
    } else {
        format!("There is no {what} “{id}”, so it was not used.")
    }
}

/// What a sure observation is worth to each cause, against how often it is met at large.
fn worth(key: &FaultKey, chance: impl Fn(usize) -> f64, sure: f64) -> Vec<f64> {
    let at_large = key.at_large(&chance).max(1e-6);
    (0..key.causes.len()).map(|cause| (sure * chance(cause) / at_large + (1.0 - sure)).ln()).collect()
}

/// What a piece of the owner's words is worth: it means one of the topics, the liker the likelier, or nothing known.
fn heard(key: &FaultKey, topics: &[(Topic, f64)]) -> Vec<f64> {
    let most = topics.first().map_or(0.0, |(_, likeness)| *likeness);
    let shares: Vec<f64> = topics.iter().map(|(_, likeness)| likeness.powi(6)).collect();
    let total: f64 = shares.iter().sum::<f64>().max(1e-9);
    let sure = ((most - UNLIKE) * SURER).clamp(0.0, HEARD);
    let mut factor = vec![1.0 - sure; key.causes.len()];
    for ((topic, _), share) in topics.iter().zip(&shares) {
        let share = sure * share / total;
        let chance = |cause: usize| match *topic {
            Topic::Symptom(at) => key.shows(cause, &key.symptoms[at].id),
            Topic::Result(at, result) => key.results(Some(cause), at)[result],
            Topic::Cause(at) if at == cause => NAMED,
            Topic::Cause(_) => 1.0,
        };
        let at_large = match topic {
            // Naming one cause says little against the others.
            Topic::Cause(_) => 1.0,
            _ => key.at_large(chance).max(1e-6),
        };
        for (cause, factor) in factor.iter_mut().enumerate() {
            *factor += share * chance(cause) / at_large;
        }
    }
    factor.into_iter().map(f64::ln).collect()
}

/// Chance of each cause to be the one that explains this evidence; one that is known already is left out.
fn chances(key: &FaultKey, evidence: &[Evidence], without: usize) -> Vec<f64> {
    let mut nats: Vec<f64> = key.prior.iter().map(|prior| prior.ln()).collect();
    for one in evidence {
        nats.iter_mut().zip(&one.nats).for_each(|(sum, nats)| *sum += nats);
    }
    nats[without] = f64::NEG_INFINITY;
    let most = nats.iter().copied().fold(SOMETHING_ELSE.ln(), f64::max);
    let weights: Vec<f64> = nats.iter().map(|nats| (nats - most).exp()).collect();
    let total: f64 = weights.iter().sum::<f64>() + (SOMETHING_ELSE.ln() - most).exp();
    weights.into_iter().map(|weight| weight / total).collect()
}

/// A check's result speaks for the cause, and none speaks against it.
fn borne_out(evidence: &[Evidence], cause: usize) -> bool {
    let checks = || evidence.iter().filter(|one| !one.bears_out.is_empty());
    checks().any(|one| one.bears_out[cause] >= BORNE_OUT) && !checks().any(|one| one.nats[cause] <= -BORNE_OUT)
}

fn ranked(key: &FaultKey, evidence: &[Evidence], at: usize, p: f64) -> RankedCause {
    let cause = key.causes[at];
    let mut reasons: Vec<Reason> = evidence
        .iter()
        .filter(|one| one.nats[at].abs() >= TELLING)
        .map(|one| Reason { words: reason_words(key, one, at), nats: one.nats[at] })
        .collect();
    order::by(&mut reasons, |a, b| b.nats.abs().total_cmp(&a.nats.abs()));
    let (speaks_for, speaks_against) = reasons.into_iter().partition(|reason| reason.nats > 0.0);
    RankedCause {
        cause: cause.id.clone(),
        label: cause.label.clone(),
        sort: cause.sort,
        p,
        speaks_for,
        speaks_against,
        remedy: remedy_of(key.reference, cause, &key.kind),
    }
}

fn reason_words(key: &FaultKey, one: &Evidence, at: usize) -> String {
    let cause = key.causes[at];
    match &one.about {
        Some(Look::Symptom(id)) => {
            let often = cause.symptoms.get(id).map(|often| often.words());
            match (one.present, often) {
                (true, Some(often)) => format!("{}: {often} so with this cause", one.words),
                (true, None) => format!("{}: this cause does not explain it", one.words),
                (false, Some(often)) => format!("Not found: {}; with this cause it {often} is", lower(&one.words)),
                (false, None) => format!("Not found: {}; this cause does not bring it", lower(&one.words)),
            }
        }
        Some(Look::Check(_)) if one.nats[at] > 0.0 => format!("{}: as with this cause", one.words),
        Some(Look::Check(_)) => format!("{}: not as with this cause", one.words),
        None if one.nats[at] > 0.0 => format!("{}: goes with this cause", one.words),
        None => format!("{}: this cause does not explain it", one.words),
    }
}

fn lower(words: &str) -> String {
    let mut letters = words.chars();
    letters.next().map_or(String::new(), |first| first.to_lowercase().collect::<String>() + letters.as_str())
}

/// What the best cause leaves unexplained, and the cause that explains most of that.
fn second(key: &FaultKey, evidence: &[Evidence], best: usize) -> Option<Second> {
    let left: Vec<&Evidence> = evidence.iter().filter(|one| one.nats[best] <= 0.0).collect();
    let unexplained: Vec<String> = left.iter().filter(|one| one.present).map(|one| one.words.clone()).collect();
    if unexplained.is_empty() {
        return None;
    }
    let left: Vec<Evidence> = left
        .into_iter()
        .map(|one| Evidence {
            about: one.about.clone(),
            words: one.words.clone(),
            bears_out: one.bears_out.clone(),
            nats: one.nats.clone(),
            present: one.present,
            either_speaks: one.either_speaks,
        })
        .collect();
    let chances = chances(key, &left, best);
    let at = (0..chances.len()).max_by(|a, b| chances[*a].total_cmp(&chances[*b]))?;
    let explains = left.iter().any(|one| one.present && one.nats[at] >= TELLING);
    let cause = (explains && chances[at] >= 0.03).then(|| ranked(key, &left, at, chances[at]));
    Some(Second { unexplained, cause })
}
