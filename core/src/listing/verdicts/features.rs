//! Does it have what they say, and is it of that size and stuff?

use crate::observe::{Observation, Unit, Value};
use crate::reference::{Confidence, Feature, FeatureFact};

use super::super::evidence::{Evidence, Standing, feature_name, fits, near, state_words, value_words};
use super::super::{Claim, ClaimKind, Finding, Ground, Meaning, Reason, Speaks};
use super::eras::sources;
use super::{Told, turned};

/// A state that the packs give less than this is one that a model does not have; more than the second, one it has.
const NOT_HAD: f64 = 0.05;
const HAD: f64 = 0.9;

pub(super) fn state(evidence: &Evidence, claim: &Claim, id: &str, states: &[String]) -> Told {
    let Some(feature) = evidence.reference.feature(id) else {
        let words = "No question of the packs asks for this.";
        return (Finding::CantBeJudged, vec![Reason::new(Speaks::Neither, Ground::Trade, words)]);
    };
    if let Some(told) = ruled_out(evidence, claim) {
        return told;
    }
    let mut reasons: Vec<Reason> = never_by_look(evidence, claim).into_iter().collect();
    if let Some(seen) = evidence.answer(id) {
        let name = feature_name(feature);
        let saw = value_words(feature, seen);
        match shows(feature, states, seen) {
            Some(true) if reasons.is_empty() => {
                let words = format!("{name}: {saw} was seen.");
                return (turned(claim, Finding::BorneOut), vec![Reason::new(Speaks::For, Ground::Seen, words)]);
            }
            Some(true) => reasons.push(Reason::new(Speaks::For, Ground::Seen, format!("{name}: {saw} was seen."))),
            Some(false) => {
                let said: Vec<String> = states.iter().take(3).map(|state| state_words(feature, state)).collect();
                let words = format!("{name}: {saw} was seen, not {}.", said.join(" or "));
                return (turned(claim, Finding::Contradicted), vec![Reason::new(Speaks::Against, Ground::Seen, words)]);
            }
            None => {
                let words = format!("{name}: {saw} was seen, which is easily taken for what is said.");
                reasons.push(Reason::new(Speaks::Neither, Ground::Seen, words));
            }
        }
    }
    if let Some(told) = said_both_ways(evidence, claim, id, states) {
        return told;
    }
    by_model(evidence, claim, feature, states, reasons)
}

/// Whether what was seen is one of the states; `None` where it is easily mistaken, or unclear.
fn shows(feature: &Feature, states: &[String], seen: &Observation) -> Option<bool> {
    let saw = match &seen.value {
        Value::State(state) => state.as_str(),
        Value::Absent => "none",
        _ => return None,
    };
    if states.iter().any(|state| state == saw) {
        return Some(true);
    }
    let confused = feature.easily_confused.iter().any(|[a, b]| {
        let other = if a == saw { b } else { a };
        (a == saw || b == saw) && states.contains(other)
    });
    (!confused).then_some(false)
}

/// What the packs know of the model named.
fn by_model(
    evidence: &Evidence,
    claim: &Claim,
    feature: &Feature,
    states: &[String],
    mut reasons: Vec<Reason>,
) -> Told {
    let model = evidence.model_name();
    let name = feature_name(feature);
    let possible = || evidence.variants.iter().filter(|(_, _, p)| *p > 0.01);
    let facts: Vec<Option<&FeatureFact>> = possible()
        .map(|(_, variant, _)| variant.features.get(&feature.id).filter(|fact| !fact.states.is_empty()))
        .collect();
    let share = |fact: &FeatureFact| states.iter().filter_map(|state| fact.states.get(state)).sum::<f64>();
    let known =
        !facts.is_empty() && facts.iter().all(|fact| fact.is_some_and(|fact| fact.confidence > Confidence::Low));
    let all = |wanted: &dyn Fn(f64) -> bool| known && facts.iter().flatten().all(|fact| wanted(share(fact)));
    let sources: Vec<String> = possible()
        .zip(&facts)
        .filter_map(|((model, _, _), fact)| fact.map(|fact| fact.src.iter().map(|key| format!("{}/{key}", model.pack))))
        .flatten()
        .collect::<std::collections::BTreeSet<_>>()
        .into_iter()
        .collect();
    let for_it = if claim.denied { Speaks::Against } else { Speaks::For };
    let against = if claim.denied { Speaks::For } else { Speaks::Against };
    if all(&|share| share >= HAD) {
        let words = format!("{name}: the {model} named has it so.");
        reasons.push(Reason::new(for_it, Ground::Model, words).sourced(sources));
        if !never(evidence, claim) && model_stands(evidence, claim.denied) {
            return (turned(claim, Finding::BorneOut), reasons);
        }
    } else if all(&|share| share <= NOT_HAD) {
        let had: Vec<String> = facts
            .iter()
            .flatten()
            .flat_map(|fact| fact.states.keys())
            .map(|state| state_words(feature, state))
            .collect::<std::collections::BTreeSet<_>>()
            .into_iter()
            .collect();
        let words = format!("{name}: the {model} named has {}.", had.join(" or "));
        reasons.push(Reason::new(against, Ground::Model, words).sourced(sources));
        if feature.replaceable && !claim.denied {
            let words = "The part is easily changed, so it may stand on this reel all the same.";
            reasons.push(Reason::new(Speaks::Neither, Ground::Trade, words));
        } else if model_stands(evidence, !claim.denied) && !likely_mistaken(feature, &facts, states) {
            return (turned(claim, Finding::Contradicted), reasons);
        }
    } else if let Some(reason) = of_another_time(evidence, feature, states) {
        reasons.push(reason);
    }
    if reasons.is_empty() {
        let words = format!("{name}: nothing seen shows it, and nothing known of a model named tells it.");
        reasons.push(Reason::new(Speaks::Neither, Ground::Seen, words));
    } else if reasons.iter().all(|reason| reason.speaks == Speaks::For) {
        let words = "It goes with the model named, but nothing seen shows it on this reel.";
        reasons.push(Reason::new(Speaks::Neither, Ground::Seen, words));
    }
    (Finding::NotShown, reasons)
}

/// Whether the model named may carry a verdict. To contradict, it is enough that nothing speaks against the model: then
/// the text clashes with itself. To bear out, the reel must show that it is the one.
fn model_stands(evidence: &Evidence, contradicts: bool) -> bool {
    match evidence.standing {
        Standing::Named | Standing::Agrees => true,
        Standing::Open => contradicts,
        Standing::Against => false,
    }
}

/// Materials that sellers take for what the model has: the word is wrong then, the reel may be right.
fn likely_mistaken(feature: &Feature, facts: &[Option<&FeatureFact>], states: &[String]) -> bool {
    facts.iter().flatten().flat_map(|fact| fact.states.keys()).any(|had| {
        feature.easily_confused.iter().any(|[a, b]| a == had && states.contains(b) || b == had && states.contains(a))
    })
}

/// A state that only variants of another time had.
fn of_another_time(evidence: &Evidence, feature: &Feature, states: &[String]) -> Option<Reason> {
    let has = |fact: Option<&FeatureFact>| {
        fact.is_some_and(|fact| states.iter().filter_map(|state| fact.states.get(state)).sum::<f64>() > 0.5)
    };
    let with: Vec<_> =
        evidence.variants.iter().filter(|(_, variant, _)| has(variant.features.get(&feature.id))).collect();
    let last = with.iter().map(|(_, variant, _)| variant.years.to).collect::<Option<Vec<i32>>>()?.into_iter().max()?;
    let likely = evidence.when_seen.likely.map(|(first, _)| first);
    let not_before = evidence.when_seen.not_before.or(evidence.when_text.not_before).or(likely)?;
    (not_before > last).then(|| {
        let changed =
            if feature.replaceable { " The part is easily changed: it may be made or fitted later." } else { "" };
        let words = format!(
            "{}: the {} had it so until {last}, and this reel seems not older than {not_before}.{changed}",
            feature_name(feature),
            evidence.model_name()
        );
        Reason::new(Speaks::Against, Ground::Model, words)
    })
}

/// Said once and denied once.
fn said_both_ways(evidence: &Evidence, claim: &Claim, id: &str, states: &[String]) -> Option<Told> {
    let other = evidence.claims.iter().find(|other| {
        other.denied != claim.denied
            && matches!(&other.meaning, Meaning::Feature { feature, states: others } if feature == id && others.iter().any(|state| states.contains(state)))
    })?;
    let words = format!("The text itself says “{}” and the contrary.", other.quote);
    Some((Finding::Contradicted, vec![Reason::new(Speaks::Against, Ground::Text, words)]))
}

pub(super) fn count(evidence: &Evidence, claim: &Claim, id: &str, count: u32) -> Told {
    compared(evidence, claim, &[id.to_owned()], &Value::Count(count), &format!("{count}"))
}

pub(super) fn measure(evidence: &Evidence, claim: &Claim, features: &[String], amount: f64, unit: Unit) -> Told {
    if features.is_empty() {
        let words = "No question of the packs asks for this size.";
        return (Finding::CantBeJudged, vec![Reason::new(Speaks::Neither, Ground::Trade, words)]);
    }
    compared(evidence, claim, features, &Value::Measure { amount, unit }, &format!("{amount} {}", unit.symbol()))
}

/// A number or size against what was seen, then against the model named. Any of the questions may be meant.
fn compared(evidence: &Evidence, claim: &Claim, ids: &[String], value: &Value, said: &str) -> Told {
    let counts = matches!(value, Value::Count(_));
    let denied = counts && claim.denied;
    let mut reasons = Vec::new();
    let asked: Vec<&Feature> = ids.iter().filter_map(|id| evidence.reference.feature(id)).collect();
    let mut differs: Vec<(&Feature, String)> = Vec::new();
    for feature in &asked {
        let Some(seen) = evidence.answer(&feature.id) else { continue };
        let same = match (value, &seen.value) {
            (Value::Count(a), Value::Count(b)) => a == b,
            _ => match (value.base_amount(), seen.value.base_amount()) {
                (Some(a), Some(b)) => near(a, b, None),
                _ => continue,
            },
        };
        if same {
            let words = format!(
                "{}: {} was {}.",
                feature_name(feature),
                value_words(feature, seen),
                if counts { "counted" } else { "measured" }
            );
            let finding = if denied { Finding::Contradicted } else { Finding::BorneOut };
            return (finding, vec![Reason::new(Speaks::For, Ground::Seen, words)]);
        }
        differs.push((feature, value_words(feature, seen)));
    }
    // Where the seller's size may be any of several, all must differ.
    if !differs.is_empty() && differs.len() == asked.len() {
        let words: Vec<String> =
            differs.iter().map(|(feature, saw)| format!("{}: {saw}", feature_name(feature))).collect();
        let words = format!("{} was found, not {said}.", words.join("; "));
        return (Finding::Contradicted, vec![Reason::new(Speaks::Against, Ground::Seen, words)]);
    }
    let model = evidence.model_name();
    for feature in &asked {
        let facts = evidence.variants.iter().filter_map(|(_, variant, _)| variant.features.get(&feature.id));
        let judged: Vec<bool> = facts.filter_map(|fact| fits(feature, fact, value)).collect();
        if judged.contains(&true) {
            let words = format!("{}: it is what the {model} has.", feature_name(feature));
            reasons.push(Reason::new(Speaks::For, Ground::Model, words));
        } else if !judged.is_empty() && judged.len() == evidence.variants.len() {
            let had = evidence.variants.iter().find_map(|(_, variant, _)| variant.features.get(&feature.id)?.value);
            let words = format!("{}: the {model} has {}, not {said}.", feature_name(feature), had.unwrap_or_default());
            reasons.push(Reason::new(Speaks::Against, Ground::Model, words));
        }
    }
    let for_it = reasons.iter().any(|reason| reason.speaks == Speaks::For);
    let against = !reasons.is_empty() && !for_it && reasons.len() == asked.len();
    if against && evidence.standing != Standing::Against {
        return (Finding::Contradicted, reasons);
    }
    if for_it {
        reasons.retain(|reason| reason.speaks == Speaks::For);
    }
    let words = format!("Nothing seen {} it on this reel.", if counts { "counts" } else { "measures" });
    reasons.push(Reason::new(Speaks::Neither, Ground::Seen, words));
    (Finding::NotShown, reasons)
}

/// A material that no question asks for at that part.
pub(super) fn material(evidence: &Evidence, claim: &Claim, id: &str) -> Told {
    if let Some(told) = ruled_out(evidence, claim) {
        return told;
    }
    let Some(material) = evidence.reference.selling.material(id) else {
        let words = "The packs do not know this material.";
        return (Finding::CantBeJudged, vec![Reason::new(Speaks::Neither, Ground::Trade, words)]);
    };
    let mut reasons = Vec::new();
    if !material.why.is_empty() && material.rules_out.is_empty() {
        let words = format!("{}.", material.why);
        reasons.push(
            Reason::new(Speaks::Against, Ground::Trade, words).sourced(sources(evidence.reference, &material.src)),
        );
    }
    reasons.push(Reason::new(Speaks::Neither, Ground::Seen, "Nothing seen shows what it is made of there."));
    (Finding::NotShown, reasons)
}

/// The material claimed, by the words of the claim.
fn claimed_material<'a>(evidence: &Evidence<'a>, claim: &Claim) -> Option<&'a crate::reference::MaterialWords> {
    if claim.kind != ClaimKind::Material {
        return None;
    }
    let quote: Vec<String> = super::super::text::words(&claim.quote).into_iter().map(|word| word.text).collect();
    let is =
        |words: &String| super::super::text::words(words).into_iter().map(|word| word.text).eq(quote.iter().cloned());
    evidence.reference.selling.materials.iter().find(|material| material.words.iter().any(is))
}

fn never(evidence: &Evidence, claim: &Claim) -> bool {
    claimed_material(evidence, claim).is_some_and(|material| material.never_by_look)
}

fn never_by_look(evidence: &Evidence, claim: &Claim) -> Option<Reason> {
    let material = claimed_material(evidence, claim).filter(|material| material.never_by_look)?;
    let words = format!("{}.", material.why);
    Some(Reason::new(Speaks::Neither, Ground::Trade, words).sourced(sources(evidence.reference, &material.src)))
}

/// Another material of the text, of what was seen or of the model, that this one can't be.
fn ruled_out(evidence: &Evidence, claim: &Claim) -> Option<Told> {
    let claimed = claimed_material(evidence, claim).filter(|_| !claim.denied)?;
    for material in evidence.reference.selling.materials.iter().filter(|m| m.rules_out.contains(&claimed.id)) {
        let why = format!("{}.", material.why);
        let told = |ground, words: String| {
            let reason =
                Reason::new(Speaks::Against, ground, words).sourced(sources(evidence.reference, &material.src));
            Some((Finding::Contradicted, vec![reason]))
        };
        let said = |other: &&Claim| {
            !other.denied
                && other.start != claim.start
                && claimed_material(evidence, other).is_some_and(|m| m.id == material.id)
        };
        if let Some(other) = evidence.claims.iter().find(said) {
            return told(Ground::Text, format!("The text itself says “{}”. {why}", other.quote));
        }
        for [feature, state] in &material.states {
            let Some(feature) = evidence.reference.feature(feature) else { continue };
            let label = state_words(feature, state);
            if evidence.answer(&feature.id).is_some_and(|seen| matches!(&seen.value, Value::State(s) if s == state)) {
                return told(Ground::Seen, format!("{}: {label} was seen. {why}", feature_name(feature)));
            }
            let has = |fact: Option<&FeatureFact>| {
                fact.is_some_and(|fact| {
                    fact.confidence > Confidence::Low && fact.states.get(state).is_some_and(|share| *share >= HAD)
                })
            };
            let all = !evidence.variants.is_empty()
                && evidence.variants.iter().all(|(_, variant, _)| has(variant.features.get(&feature.id)));
            if all && evidence.standing != Standing::Against {
                let words = format!("{}: the {} is of {label}. {why}", feature_name(feature), evidence.model_name());
                return told(Ground::Model, words);
            }
        }
    }
    None
}
