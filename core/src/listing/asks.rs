//! What to ask the seller for first: by the doubt it is expected to clear, for the trouble it makes.

use crate::key::{self, Key};
use crate::observe::{About, Certainty, Observation, Sheet, Value};
use crate::order;
use crate::reference::{EffortId, FeatureType, Reference};

use super::evidence::{Evidence, Standing};
use super::{Ask, Claim, Finding, Firm, Meaning, Verdict};

/// Asks listed.
const LISTED: usize = 6;
/// Less than this is not worth a seller's trouble.
const WORTHWHILE_BITS: f64 = 0.05;
/// A mark that tells the years stands, and can be read, so often.
const TELLING_MARK: f64 = 0.5;

pub(super) fn of(evidence: &Evidence, verdicts: &[Verdict], seen: &Sheet, key: &Key) -> Vec<Ask> {
    if evidence.several {
        return several(evidence);
    }
    let mut asks = by_key(evidence, seen, key);
    asks.extend(by_years(evidence, verdicts, &asks));
    asks.extend(by_claims(evidence, verdicts));
    asks.retain(|ask| ask.gain_bits >= WORTHWHILE_BITS);
    order::by(&mut asks, |a, b| b.gain_per_effort.total_cmp(&a.gain_per_effort));
    let mut kept: Vec<Ask> = Vec::new();
    for ask in asks {
        if !kept.iter().any(|other| other.request == ask.request) {
            kept.push(ask);
        }
    }
    kept.truncate(LISTED);
    kept
}

fn ask(
    reference: &Reference,
    request: String,
    why: String,
    about: Option<About>,
    effort: EffortId,
    gain_bits: f64,
) -> Ask {
    let gain_per_effort = gain_bits / reference.questions.cost(effort);
    Ask { request, why, about, effort, gain_bits, gain_per_effort, claims: Vec::new() }
}

/// Doubt in a yes or no, in bits.
fn entropy(p: f64) -> f64 {
    let part = |p: f64| if p <= 0.0 || p >= 1.0 { 0.0 } else { -p * p.log2() };
    part(p) + part(1.0 - p)
}

/// What would tell the reels apart that this one may be, the claims taken as guesses.
fn by_key(evidence: &Evidence, seen: &Sheet, key: &Key) -> Vec<Ask> {
    let reference = evidence.reference;
    let mut guessed: Vec<Observation> = evidence.claims.iter().filter_map(|claim| guess(evidence, claim)).collect();
    // What was seen counts before what is said.
    guessed.retain(|guess| !seen.seen.iter().any(|seen| seen.about == guess.about));
    guessed.extend(seen.seen.iter().cloned());
    let checks = key::identify(key, reference, &guessed).next_checks;
    checks
        .into_iter()
        .filter(|check| check.effort <= EffortId::Measure)
        .filter_map(|check| {
            let request = request(reference, &check.about)?;
            Some(ask(reference, request, check.why, Some(check.about), check.effort, check.gain_bits))
        })
        .collect()
}

/// A claim as something seen without certainty.
fn guess(evidence: &Evidence, claim: &Claim) -> Option<Observation> {
    if claim.denied || claim.firm == Firm::Likeness {
        return None;
    }
    let likely = |seen: Observation| Some(seen.with(Certainty::Likely));
    match &claim.meaning {
        Meaning::Feature { feature, states } if evidence.reference.feature(feature).is_some() => {
            likely(Observation::state(feature, states.first()?))
        }
        Meaning::Counted { feature, count } => likely(Observation::count(feature, *count)),
        Meaning::Mark(text) => likely(Observation::mark("other", &text.chars().take(80).collect::<String>())),
        // The model's name stands for its marks.
        Meaning::Models { ids, number } => {
            let model = evidence.reference.model(ids.first()?)?;
            let maker = evidence.reference.maker_name(&model.maker).split('(').next()?.trim().to_owned();
            let number = number.as_deref().unwrap_or_default();
            likely(Observation::mark("other", format!("{maker} {number}").trim()))
        }
        _ => None,
    }
}

/// A question, or a place of marks, as a sentence to a seller.
fn request(reference: &Reference, about: &About) -> Option<String> {
    match about {
        About::Mark(id) => {
            let place = lower(&reference.mark_place(id)?.label);
            Some(format!(
                "Could you please send a sharp close photo of this place: {place}? I would like to read whatever is stamped there, or to see that nothing is."
            ))
        }
        About::Feature(id) => {
            let feature = reference.feature(id)?;
            let question = feature.ask.trim_end_matches('?');
            Some(match feature.kind {
                FeatureType::Measure => {
                    format!("Could you please measure this for me, as closely as you can: {}?", lower(question))
                }
                FeatureType::Count => {
                    format!("Could you please count this, or send a photo that shows it: {}?", lower(question))
                }
                FeatureType::Choice => format!("Could you please send a photo that shows this: {}?", lower(question)),
            })
        }
    }
}

fn lower(text: &str) -> String {
    let mut chars = text.chars();
    chars.next().map_or(String::new(), |first| first.to_lowercase().chain(chars).collect())
}

/// A year that is neither borne out nor contradicted: a dated mark would tell. Where the model named bears its marks, or
/// else under the foot.
fn by_years(evidence: &Evidence, verdicts: &[Verdict], so_far: &[Ask]) -> Option<Ask> {
    let open: Vec<usize> = verdicts
        .iter()
        .filter(|verdict| verdict.finding == Finding::NotShown)
        .filter(|verdict| matches!(evidence.claims[verdict.claim].meaning, Meaning::Years { .. } | Meaning::Age { .. }))
        .map(|verdict| verdict.claim)
        .collect();
    let first = *open.first()?;
    let chance = chance_of(evidence, &evidence.claims[first]);
    let looked = |place: &str| {
        evidence
            .answers
            .iter()
            .any(|seen| matches!(&seen.about, About::Mark(id) if id == place) && seen.value != Value::Unclear)
    };
    let asked = |place: &str| so_far.iter().any(|ask| matches!(&ask.about, Some(About::Mark(id)) if id == place));
    let of_model = evidence.variants.iter().flat_map(|(_, variant, _)| &variant.marks).map(|mark| mark.place.as_str());
    let place = of_model.chain(["foot-under", "tail-plate", "head-plate"]).find(|place| {
        *place != "other" && !looked(place) && !asked(place) && evidence.reference.mark_place(place).is_some()
    })?;
    let about = About::mark(place);
    let effort = evidence.reference.mark_place(place)?.effort;
    let why =
        format!("A number, patent or country there would tell whether “{}” can hold.", evidence.claims[first].quote);
    let request = request(evidence.reference, &about)?;
    let found = ask(evidence.reference, request, why, Some(about), effort, entropy(chance) * TELLING_MARK);
    Some(Ask { claims: open, ..found })
}

/// Chance of a claimed time by what is known so far; an even one where nothing is.
fn chance_of(evidence: &Evidence, claim: &Claim) -> f64 {
    let (from, to) = match &claim.meaning {
        Meaning::Years { from, to } => (*from, *to),
        Meaning::Age { at_least, at_most } => {
            (at_most.map(|age| evidence.this_year - age), at_least.map(|age| evidence.this_year - age))
        }
        _ => return 0.5,
    };
    let when = match &evidence.when_model {
        Some(when) if evidence.standing != Standing::Against => when,
        _ => &evidence.when_seen,
    };
    if when.likely.is_none() {
        return 0.5;
    }
    let within = |year: i32| from.is_none_or(|from| from <= year) && to.is_none_or(|to| year <= to);
    when.by_year.iter().filter(|(year, _)| within(*year)).map(|(_, p)| f64::from(*p)).sum()
}

/// What the packs say to ask for a saying or a material that is not shown.
fn by_claims(evidence: &Evidence, verdicts: &[Verdict]) -> Vec<Ask> {
    let selling = &evidence.reference.selling;
    let open = verdicts.iter().filter(|verdict| verdict.finding == Finding::NotShown);
    open.filter_map(|verdict| {
        let claim = &evidence.claims[verdict.claim];
        let (words, effort, often_wrong, why) = match &claim.meaning {
            Meaning::Said(id) => {
                let phrase = selling.phrase(id)?;
                (&phrase.ask, phrase.effort, phrase.often_wrong, phrase.why.clone())
            }
            Meaning::Reels(None) => {
                let phrase =
                    selling.phrases.iter().find(|phrase| phrase.kind == crate::reference::PhraseKind::Several)?;
                (&phrase.ask, phrase.effort, phrase.often_wrong, phrase.why.clone())
            }
            Meaning::Material(_) | Meaning::Feature { .. } => {
                let lower = claim.quote.to_lowercase();
                let material = selling.materials.iter().find(|material| material.words.contains(&lower))?;
                (&material.ask, EffortId::Glance, material.often_wrong, format!("{}.", material.why))
            }
            _ => return None,
        };
        if words.is_empty() {
            return None;
        }
        let found = ask(evidence.reference, words.clone(), why, None, effort, entropy(often_wrong));
        Some(Ask { claims: vec![verdict.claim], ..found })
    })
    .collect()
}

/// Among several reels the first thing to know is which claim is about which.
fn several(evidence: &Evidence) -> Vec<Ask> {
    let request = "Could you please send a photo of each reel by itself, both sides and the foot, and say which of what you write is about which?";
    let why = "No claim can be held against a reel before it is known which reel it is about.";
    vec![ask(evidence.reference, request.to_owned(), why.to_owned(), None, EffortId::Glance, 1.0)]
}
