//! What sellers say in words: rare, works, complete, original, mint, first model.

use crate::observe::{About, Value};
use crate::reference::PhraseKind;

use super::super::evidence::{Evidence, Standing, feature_name, value_words};
use super::super::{Claim, Finding, Ground, Meaning, Reason, Speaks};
use super::eras::{copy_fit, sources};
use super::{Told, turned};

pub(super) fn reels(evidence: &Evidence) -> Told {
    let mut reasons = Vec::new();
    if let Some((copy, _)) = copy_fit(evidence) {
        let words = format!("Several alike are usual with {}: {}.", copy.name, copy.words);
        reasons
            .push(Reason::new(Speaks::Neither, Ground::Model, words).sourced(sources(evidence.reference, &copy.src)));
    }
    reasons.push(Reason::new(Speaks::Neither, Ground::Trade, "How many there are the photos must show: count them."));
    (Finding::NotShown, reasons)
}

pub(super) fn said(evidence: &Evidence, claim: &Claim, id: &str) -> Told {
    let Some(phrase) = evidence.reference.selling.phrase(id) else {
        let words = "The packs do not know these words.";
        return (Finding::CantBeJudged, vec![Reason::new(Speaks::Neither, Ground::Trade, words)]);
    };
    if let Some(other) = clash(evidence, claim, id) {
        let words = format!("The text itself says “{}”.", shown(other));
        return (Finding::Contradicted, vec![Reason::new(Speaks::Against, Ground::Text, words)]);
    }
    for [feature, state] in &phrase.against {
        let Some(feature) = evidence.reference.feature(feature) else { continue };
        let Some(seen) = evidence.answer(&feature.id) else { continue };
        if matches!(&seen.value, Value::State(saw) if saw == state) {
            let words = format!("{}: {} was seen.", feature_name(feature), value_words(feature, seen));
            return (turned(claim, Finding::Contradicted), vec![Reason::new(Speaks::Against, Ground::Seen, words)]);
        }
    }
    match phrase.kind {
        PhraseKind::AgeProof => {
            if let Some((copy, _)) = copy_fit(evidence).filter(|(copy, fit)| copy.patina && *fit > 0) {
                let words = format!("What was seen fits {}: {}.", copy.name, copy.words);
                let reason =
                    Reason::new(Speaks::Against, Ground::Model, words).sourced(sources(evidence.reference, &copy.src));
                return (Finding::Contradicted, vec![reason]);
            }
        }
        PhraseKind::Version => {
            if let Some(told) = first_version(evidence, claim) {
                return told;
            }
        }
        _ => {}
    }
    let mut reasons = Vec::new();
    if phrase.kind == PhraseKind::Special {
        reasons.extend(missing_marks(evidence));
    }
    reasons.push(
        Reason::new(Speaks::Neither, Ground::Trade, phrase.why.clone())
            .sourced(sources(evidence.reference, &phrase.src)),
    );
    (Finding::NotShown, reasons)
}

fn shown(claim: &Claim) -> String {
    if claim.denied { format!("no {}", claim.quote) } else { claim.quote.clone() }
}

/// Another saying of the text that can't hold beside this one: a clash listed in the pack, or the same denied.
fn clash<'a>(evidence: &Evidence<'a>, claim: &Claim, id: &str) -> Option<&'a Claim> {
    let selling = &evidence.reference.selling;
    let clashes = |a: &str, b: &str| selling.phrase(a).is_some_and(|phrase| phrase.clashes.iter().any(|id| id == b));
    evidence.claims.iter().find(|other| match &other.meaning {
        Meaning::Said(said) => {
            // Only what praises is contradicted by what owns up.
            let listed = clashes(id, said) && !claim.denied && !other.denied;
            let same = said == id && claim.denied != other.denied;
            listed || same
        }
        _ => false,
    })
}

/// "First model": against the years and features of the model's first version.
fn first_version(evidence: &Evidence, claim: &Claim) -> Option<Told> {
    if evidence.standing == Standing::Against || evidence.variants.len() < 2 {
        return None;
    }
    // Versions of one model; by its years.
    let model = evidence.variants.first()?.0;
    let versions = || evidence.variants.iter().filter(|(of, _, _)| of.id == model.id);
    let (_, first, _) = versions().min_by_key(|(_, variant, _)| variant.years.from.unwrap_or(i32::MAX))?;
    let last = first.years.to?;
    for (when, ground) in [(&evidence.when_seen, Ground::Dating), (&evidence.when_text, Ground::Text)] {
        if let Some(year) = when.not_before.filter(|year| *year > last) {
            let words = format!(
                "The first version ({}) was made until {last}, and this reel is not older than {year}.",
                first.name
            );
            let mut reasons = vec![Reason::new(Speaks::Against, ground, words)];
            reasons.extend(when.reasons.iter().filter(|found| found.from == Some(year)).take(1).map(|found| {
                Reason::new(Speaks::Against, ground, format!("{}: {}", found.what, found.words))
                    .sourced(found.sources.clone())
            }));
            return Some((turned(claim, Finding::Contradicted), reasons));
        }
    }
    let total: f64 = versions().map(|(_, _, p)| p).sum();
    let share =
        versions().filter(|(_, variant, _)| variant.id == first.id).map(|(_, _, p)| p).sum::<f64>() / total.max(1e-9);
    if evidence.standing == Standing::Named && share >= 0.9 {
        let words = format!("What was seen goes with the first version: {}.", first.name);
        return Some((turned(claim, Finding::BorneOut), vec![Reason::new(Speaks::For, Ground::Seen, words)]));
    }
    None
}

/// Marks that the model usually bears and that were looked for in vain.
fn missing_marks(evidence: &Evidence) -> Option<Reason> {
    let absent = |place: &str| {
        evidence
            .answers
            .iter()
            .any(|seen| matches!(&seen.about, About::Mark(id) if id == place) && seen.value == Value::Absent)
    };
    let (_, variant, _) = evidence.variants.iter().max_by(|a, b| a.2.total_cmp(&b.2))?;
    let marks: Vec<&str> = variant
        .marks
        .iter()
        .filter(|mark| absent(&mark.place))
        .map(|mark| if mark.struck.is_empty() { mark.words.as_str() } else { mark.struck.as_str() })
        .collect();
    if marks.is_empty() {
        return None;
    }
    let words = format!("Marks that usually stand on the {} are missing: {}.", evidence.model_name(), marks.join(", "));
    Some(Reason::new(Speaks::For, Ground::Model, words))
}
