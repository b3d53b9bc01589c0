//! Reasons in plain words.

use super::build::Key;
use super::posterior::Posterior;
use super::question::{Answers, Question};
use super::tally::{Counted, Tally};
use super::{Candidate, Reason};
use crate::observe::Value;
use crate::order;
use crate::reference::{Feature, FeatureFact, Model, Reference};

use super::lettering::Role;

/// Less than this is neither for nor against.
const TELLING: f64 = 0.1;

pub(super) fn candidate(
    key: &Key,
    reference: &Reference,
    tally: &Tally,
    posterior: &Posterior,
    at: usize,
    p: f64,
) -> Candidate {
    let model = &reference.models[at];
    let first = key.spans[at] as usize;
    let mut variants: Vec<(usize, f64)> =
        (0..model.variants.len()).map(|variant| (variant, posterior.variant(first + variant))).collect();
    order::by(&mut variants, |a, b| b.1.total_cmp(&a.1));
    let best = variants.first().map_or(0, |(variant, _)| *variant);
    let mut reasons: Vec<Reason> = tally
        .features
        .iter()
        .filter(|counted| !counted.worth.is_empty())
        .filter_map(|counted| feature_reason(key, reference, counted, model, best, first + best))
        .collect();
    reasons.extend(mark_reasons(key, reference, tally, first + best));
    let (mut agrees, mut disagrees): (Vec<Reason>, Vec<Reason>) =
        reasons.into_iter().filter(|r| r.nats.abs() >= TELLING).partition(|r| r.nats > 0.0);
    order::by(&mut agrees, |a, b| b.nats.total_cmp(&a.nats));
    order::by(&mut disagrees, |a, b| a.nats.total_cmp(&b.nats));
    let variants = variants.into_iter().map(|(v, p)| (model.variants[v].id.clone(), p)).collect();
    Candidate { model: model.id.clone(), p, variants, agrees, disagrees }
}

fn feature_reason(
    key: &Key,
    reference: &Reference,
    counted: &Counted,
    model: &Model,
    variant: usize,
    row: usize,
) -> Option<Reason> {
    let question = &key.questions[counted.question];
    let feature = reference.feature(&question.id)?;
    let code = usize::from(question.code[row]);
    let own = f64::from(counted.worth[code][0]);
    let kind = key.rows[row].kind as usize;
    let (nats, meant) = if code < key.kinds.len() {
        // Not scored: it only speaks if a reel of this kind has no such thing.
        (if question.applies[kind] { 0.0 } else { own }, None)
    } else {
        (own - f64::from(counted.worth[kind][0]), model.variants[variant].features.get(&question.id))
    };
    let mut words = format!("{}: ", short_name(&question.id));
    let saw = answer_words(feature, question, &counted.seen.value);
    match meant {
        None if nats < 0.0 && question.id != "reel_kind" => {
            words.push_str(&format!("{saw}, which reels of this kind do not have"));
        }
        None if nats < 0.0 => words.push_str(&format!("{saw}, this model is another kind")),
        None => words.push_str(&format!("{saw}, as on this model")),
        Some(fact) if nats >= 0.0 => {
            words.push_str(&format!("{saw}, as on this model{}", likely_share(fact, question, &counted.seen.value)))
        }
        Some(fact) => words.push_str(&format!("{saw} seen, this model has {}", fact_words(feature, fact))),
    }
    if let Some(shown) = key.learned.shown(&model.id, &question.id) {
        let (total, same) = shown.iter().fold((0, 0), |(total, same), (state, count)| {
            let is = question.answer(state) == seen_answer(question, &counted.seen.value);
            (total + count, same + if is { *count } else { 0 })
        });
        words.push_str(&format!(" (seen so on {same} of your own {total})"));
    }
    Some(Reason { about: counted.seen.about.clone(), words, nats })
}

fn seen_answer(question: &Question, value: &Value) -> Option<usize> {
    match value {
        Value::State(state) => question.answer(state),
        Value::Count(count) => question.answer(&count.to_string()),
        Value::Absent => question.answer("absent").or_else(|| question.answer("0")),
        _ => None,
    }
}

fn likely_share(fact: &FeatureFact, question: &Question, value: &Value) -> &'static str {
    let share = seen_answer(question, value).map(|seen| {
        fact.states.iter().filter(|(state, _)| question.answer(state) == Some(seen)).map(|(_, w)| w).sum::<f64>()
    });
    match share {
        Some(share) if share > 0.0 && share < 0.3 => " now and then",
        Some(share) if share > 0.0 && share < 0.8 => " often",
        _ => "",
    }
}

fn mark_reasons(key: &Key, reference: &Reference, tally: &Tally, row: usize) -> Vec<Reason> {
    let mut reasons = Vec::new();
    for (at, seen) in tally.marks.read.iter().enumerate() {
        let place = key.places.iter().position(|id| id == seen.about.id()).map_or(u16::MAX, |at| at as u16);
        let label = reference.mark_place(seen.about.id()).map_or(seen.about.id(), |place| &place.label);
        let Value::Text(text) = &seen.value else {
            if seen.value == Value::Absent && key.lettering.expects(row, place) {
                let words = format!("{label}: nothing struck there, this model usually bears a mark");
                reasons.push(Reason { about: seen.about.clone(), words, nats: -1.2 });
            }
            continue;
        };
        let explained = tally.marks.explains(key, at, row as u32);
        let told: Vec<String> = explained
            .iter()
            .map(|found| {
                let text = &key.lettering.texts[found.struck];
                let part = if found.covered < 0.7 { "part of " } else { "" };
                match found.role {
                    Role::Struck { .. } => format!("{part}“{text}”, struck on it"),
                    Role::Number => format!("{part}{text}, its number"),
                    Role::Name => format!("“{text}” is in its name"),
                    Role::Brand => format!("{part}“{text}”, the name it was sold under"),
                    Role::Maker => format!("{part}“{text}”, its maker's"),
                    Role::HouseBrand => format!("{part}“{text}”, a name its maker supplied"),
                }
            })
            .collect();
        let nats = tally.marks.row_nats(at, row);
        let words = if told.is_empty() {
            format!("{label}: “{text}” is not known on this model")
        } else {
            format!("{label}: {}", told.join("; "))
        };
        reasons.push(Reason { about: seen.about.clone(), words, nats });
    }
    reasons
}

/// A feature's short name, from its id.
pub(super) fn short_name(id: &str) -> String {
    let mut name = id.replace('_', " ");
    if let Some(first) = name.get_mut(..1) {
        first.make_ascii_uppercase();
    }
    name
}

/// The label of a state without the words in brackets.
fn state_words(feature: &Feature, id: &str) -> String {
    let label = feature.state(id).map_or(if id == "absent" { "none" } else { id }, |state| &state.label);
    lower(label.split(" (").next().unwrap_or(label))
}

fn lower(words: &str) -> String {
    // Only a plain word's first letter: PTFE and T-bar stay.
    let mut letters = words.chars();
    match (letters.next(), letters.next()) {
        (Some(first), Some(second)) if second.is_lowercase() => {
            first.to_lowercase().collect::<String>() + &words[first.len_utf8()..]
        }
        _ => words.to_owned(),
    }
}

fn answer_words(feature: &Feature, question: &Question, value: &Value) -> String {
    match value {
        Value::State(state) => state_words(feature, state),
        Value::Count(count) => count.to_string(),
        Value::Measure { amount, unit } => format!("{amount} {}", unit.symbol()).trim_end().to_owned(),
        Value::Absent => match &question.answers {
            Answers::States { ids, absent } => state_words(feature, &ids[*absent]),
            _ => "none".into(),
        },
        Value::Text(text) => text.clone(),
        _ => "not clear".into(),
    }
}

/// What the packs say of a model, for people.
pub(super) fn fact_words(feature: &Feature, fact: &FeatureFact) -> String {
    if let Some(value) = fact.value {
        let unit = feature.unit.as_deref().unwrap_or_default();
        let value = (value * 10.0).round() / 10.0;
        return format!("{value} {unit}").trim_end().to_owned();
    }
    let mut states: Vec<(&String, f64)> = fact.states.iter().map(|(state, weight)| (state, *weight)).collect();
    order::by(&mut states, |a, b| b.1.total_cmp(&a.1));
    let named: Vec<String> =
        states.iter().filter(|(_, w)| *w >= 0.15).take(3).map(|(state, _)| state_words(feature, state)).collect();
    named.join(" or ")
}

/// How a model is called: brand and name, the maker's where none is given.
pub(super) fn model_name(model: &Model) -> &str {
    &model.name
}

/// A label in the middle of a sentence.
pub(super) fn lower_label(label: &str) -> String {
    lower(label)
}
