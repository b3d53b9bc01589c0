//! What the claims are held against: what was seen, what the text proves by itself, what the packs know of the model named.

use crate::dating::{self, When};
use crate::key::{self, Identification, Key, Verdict};
use crate::observe::{About, Certainty, Observation, Sheet, Value};
use crate::reference::{Confidence, Feature, FeatureFact, Model, Reference, Variant};

use super::{Claim, ClaimKind, Firm, Meaning};

/// How the model named stands to what was seen.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Standing {
    /// Its name or number was read on the reel, or the key settles on it.
    Named,
    /// Two features or more agree with it, and none disagrees.
    Agrees,
    /// Nothing seen tells.
    Open,
    /// What was seen speaks against it.
    Against,
}

/// Marks of the text that are dated at most, and their length: enough for any reel.
const TEXT_MARKS_MAX: usize = 12;
const TEXT_MARK_CHARS: usize = 80;

pub(super) struct Evidence<'a> {
    pub reference: &'a Reference,
    pub claims: &'a [Claim],
    pub this_year: i32,
    pub answers: Vec<&'a Observation>,
    pub seen: Identification,
    /// Several reels are offered: a claim may be about any of them.
    pub several: bool,
    /// The model named, as the variants it may be, each with its chance.
    pub variants: Vec<(&'a Model, &'a Variant, f64)>,
    pub standing: Standing,
    /// Words for why it stands so.
    pub standing_words: Vec<(bool, String)>,
    /// Dated by what was seen alone.
    pub when_seen: When,
    /// Dated by the text's own marks and works.
    pub when_text: When,
    /// Dated by what was seen, taken that the model is the one named.
    pub when_model: Option<When>,
}

impl<'a> Evidence<'a> {
    pub fn gather(claims: &'a [Claim], sheet: &'a Sheet, reference: &'a Reference, key: &Key, this_year: i32) -> Self {
        let answers = sheet.current();
        let seen = key::identify(key, reference, &sheet.seen);
        let several = claims.iter().any(|claim| matches!(claim.meaning, Meaning::Reels(Some(count)) if count > 1));
        let mut evidence = Self {
            reference,
            claims,
            this_year,
            answers,
            seen,
            several,
            variants: Vec::new(),
            standing: Standing::Open,
            standing_words: Vec::new(),
            when_seen: When::default(),
            when_text: When::default(),
            when_model: None,
        };
        // A mark that names nobody must not lend a model's years.
        let settled = matches!(evidence.seen.verdict, Verdict::Settled { .. } | Verdict::Maker { .. });
        let by_key = if settled { evidence.seen.variants.as_slice() } else { &[] };
        evidence.when_seen = dating::date(reference, &sheet.seen, by_key, this_year);
        evidence.when_text = dating::date(reference, &text_sheet(claims, reference, several), &[], this_year);
        evidence.take_model();
        if !evidence.variants.is_empty() {
            let variants: Vec<(String, String, f64)> = evidence
                .variants
                .iter()
                .map(|(model, variant, p)| (model.id.clone(), variant.id.clone(), *p))
                .collect();
            evidence.when_model = Some(dating::date(reference, &sheet.seen, &variants, this_year));
        }
        evidence
    }

    /// The model that the text names first, if it is one reel.
    fn take_model(&mut self) {
        if self.several {
            return;
        }
        let Some((ids, number)) = self.claims.iter().find_map(|claim| match &claim.meaning {
            Meaning::Models { ids, number } if !claim.denied && claim.firm != Firm::Likeness => Some((ids, number)),
            _ => None,
        }) else {
            return;
        };
        let models: Vec<&Model> = ids.iter().filter_map(|id| self.reference.model(id)).collect();
        // A variant called by the number itself is meant before the others.
        let called = |variant: &Variant| {
            let names = variant.name.replace(" and ", ",").to_uppercase();
            number.as_ref().is_some_and(|number| names.split(',').any(|name| name.trim() == number.to_uppercase()))
        };
        let mut all: Vec<(&Model, &Variant)> =
            models.iter().flat_map(|model| model.variants.iter().map(|variant| (*model, variant))).collect();
        if all.iter().any(|(_, variant)| called(variant)) {
            all.retain(|(_, variant)| called(variant));
        }
        let chance = |model: &Model, variant: &Variant| {
            let of = |(m, v, _): &&(String, String, f64)| *m == model.id && *v == variant.id;
            self.seen.variants.iter().find(of).map_or(0.0, |(_, _, p)| *p)
        };
        let mut weighed: Vec<_> =
            all.iter().map(|(model, variant)| (*model, *variant, chance(model, variant))).collect();
        let total: f64 = weighed.iter().map(|(_, _, p)| p).sum();
        let even = 1.0 / weighed.len().max(1) as f64;
        for (_, _, p) in &mut weighed {
            *p = if total > 0.0 { *p / total } else { even };
        }
        (self.standing, self.standing_words) = self.stands(&weighed, number.as_deref());
        self.variants = weighed;
    }

    fn stands(&self, variants: &[(&Model, &Variant, f64)], number: Option<&str>) -> (Standing, Vec<(bool, String)>) {
        let mut words = Vec::new();
        let is_named = |id: &str| variants.iter().any(|(model, _, _)| model.id == id);
        let mut named = false;
        match &self.seen.verdict {
            Verdict::Settled { model } if is_named(model) => {
                named = true;
                words.push((true, "What was seen settles on this model.".to_owned()));
            }
            Verdict::Settled { model } => {
                let name = self.reference.model(model).map_or(model.as_str(), |model| model.name.as_str());
                return (Standing::Against, vec![(false, format!("What was seen settles on another model: {name}."))]);
            }
            Verdict::Maker { maker } if !variants.iter().any(|(model, _, _)| model.maker == *maker) => {
                let name = self.reference.maker_name(maker);
                return (Standing::Against, vec![(false, format!("What was seen is by another maker: {name}."))]);
            }
            _ => {}
        }
        for (place, text) in self.marks() {
            let struck = variants.iter().flat_map(|(_, variant, _)| &variant.marks).map(|mark| mark.struck.as_str());
            let telling = struck.filter(|struck| telling(struck));
            let by_mark = telling.chain(number.filter(|number| number.len() >= 3));
            if let Some(held) =
                by_mark.into_iter().find(|struck| crate::marks::holds(text, &struck.to_uppercase()).is_some())
            {
                named = true;
                let place = self.reference.mark_place(place).map_or(place, |place| &place.label);
                words.push((true, format!("“{text}” ({place}) reads as “{held}”, which goes with this model.")));
                break;
            }
        }
        let (mut agree, mut disagree) = (0, 0);
        for seen in &self.answers {
            let About::Feature(id) = &seen.about else { continue };
            let Some(feature) = self.reference.feature(id).filter(|_| id != "reel_kind") else { continue };
            match self.model_fits(variants, feature, seen) {
                Some(true) => {
                    agree += 1;
                    words.push((
                        true,
                        format!("{} as this model has it: {}.", feature_name(feature), value_words(feature, seen)),
                    ));
                }
                Some(false) => {
                    disagree += usize::from(seen.certainty == Certainty::Sure && !feature.replaceable);
                    words.push((
                        false,
                        format!(
                            "{} not as this model has it: {} was seen.",
                            feature_name(feature),
                            value_words(feature, seen)
                        ),
                    ));
                }
                None => {}
            }
        }
        let standing = match (named, agree, disagree) {
            (true, _, 0) => Standing::Named,
            // Its name is on it and a part is another: neither for nor against.
            (true, _, _) => Standing::Open,
            (false, _, 2..) => Standing::Against,
            (false, 2.., 0) => Standing::Agrees,
            _ => Standing::Open,
        };
        (standing, words)
    }

    /// Whether an answer fits any of the variants; `None` where none is known to answer the question.
    pub fn model_fits(
        &self,
        variants: &[(&Model, &Variant, f64)],
        feature: &Feature,
        seen: &Observation,
    ) -> Option<bool> {
        let facts = variants.iter().map(|(_, variant, _)| variant.features.get(&feature.id));
        let fits: Vec<Option<bool>> =
            facts.map(|fact| fact.and_then(|fact| fits(feature, fact, &seen.value))).collect();
        if fits.contains(&Some(true)) {
            Some(true)
        } else if fits.is_empty() || fits.contains(&None) {
            None
        } else {
            Some(false)
        }
    }

    /// Lettering seen: place and text.
    pub fn marks(&self) -> impl Iterator<Item = (&'a str, &'a str)> + '_ {
        self.answers.iter().filter_map(|seen| match (&seen.about, &seen.value) {
            (About::Mark(place), Value::Text(text)) => Some((place.as_str(), text.as_str())),
            _ => None,
        })
    }

    pub fn answer(&self, feature: &str) -> Option<&'a Observation> {
        self.answers.iter().copied().find(|seen| matches!(&seen.about, About::Feature(id) if id == feature))
    }

    /// Name of the model named, for sentences.
    pub fn model_name(&self) -> String {
        let mut names: Vec<&str> = self.variants.iter().map(|(model, _, _)| model.name.as_str()).collect();
        names.dedup();
        match names.as_slice() {
            [one] => (*one).to_owned(),
            [first, ..] => format!("{first} and its like"),
            [] => "model".to_owned(),
        }
    }
}

/// Whether a struck text says enough to go with one model: four letters or figures at least.
fn telling(struck: &str) -> bool {
    struck.chars().filter(|c| c.is_alphanumeric()).count() >= 4
        && !matches!(struck, "PATENTED" | "MADE IN USA" | "MADE IN ENGLAND" | "MADE IN FRANCE")
}

/// Whether a fact allows an answer. A fact of low confidence never says no.
pub(super) fn fits(feature: &Feature, fact: &FeatureFact, value: &Value) -> Option<bool> {
    let answer = match value {
        Value::State(state) => {
            if fact.states.is_empty() {
                return None;
            }
            let share = |state: &str| fact.states.get(state).copied().unwrap_or(0.0);
            let confused = feature.easily_confused.iter().any(|pair| {
                let other = if pair[0] == *state { Some(&pair[1]) } else { (pair[1] == *state).then_some(&pair[0]) };
                other.is_some_and(|other| share(other) > 0.0)
            });
            match share(state) {
                share if share >= 0.05 => true,
                // Taken for its likeness: tells nothing.
                _ if confused => return None,
                _ => false,
            }
        }
        Value::Absent => fact.states.get("absent").or(fact.states.get("none")).copied().unwrap_or(0.0) >= 0.05,
        Value::Count(count) => (f64::from(*count) - fact.value?).abs() <= fact.tol.unwrap_or(0.0) + 0.01,
        Value::Measure { .. } => near(value.base_amount()?, fact.value?, fact.tol),
        _ => return None,
    };
    (answer || fact.confidence > Confidence::Low).then_some(answer)
}

/// A ruler's and a seller's roundness: 3 %, half a millimetre or gram at least, besides the model's own spread.
pub(super) fn near(a: f64, b: f64, tol: Option<f64>) -> bool {
    (a - b).abs() <= tol.unwrap_or(0.0) + (0.03 * b).max(0.5)
}

/// What the text itself proves, as if it had been seen: quoted marks, and works that nobody mistakes.
fn text_sheet(claims: &[Claim], reference: &Reference, several: bool) -> Vec<Observation> {
    if several {
        return Vec::new();
    }
    let plain = |claim: &&Claim| !claim.denied && !matches!(claim.firm, Firm::Guessed | Firm::Likeness);
    let mut marks = 0;
    let mut sheet: Vec<Observation> = claims
        .iter()
        .filter(plain)
        .filter_map(|claim| match &claim.meaning {
            Meaning::Mark(text) if marks < TEXT_MARKS_MAX => {
                marks += 1;
                // Where it stands is not told.
                Some(Observation::mark("", &text.chars().take(TEXT_MARK_CHARS).collect::<String>()))
            }
            Meaning::Feature { feature, states } if reference.feature(feature).is_some() => {
                // Sellers mistake materials for one another, so these only weigh.
                let sure = if claim.kind == ClaimKind::Material { Certainty::Likely } else { Certainty::Sure };
                Some(Observation::state(feature, states.first()?).with(sure))
            }
            _ => None,
        })
        .collect();
    // A number means something by whoever struck it, taken as named.
    let mut makers = claims.iter().filter(plain).filter_map(|claim| match &claim.meaning {
        Meaning::Makers(ids) if ids.len() == 1 => Some((&ids[0], &claim.quote)),
        _ => None,
    });
    if let (true, Some((id, quote))) = (marks > 0, makers.next())
        && makers.all(|(other, _)| other == id)
    {
        sheet.push(Observation::mark("", quote));
    }
    sheet
}

/// A question as a name: `Level wind`.
pub(super) fn feature_name(feature: &Feature) -> String {
    let mut name = feature.id.replace('_', " ");
    if let Some(first) = name.get_mut(..1) {
        first.make_ascii_uppercase();
    }
    name
}

pub(super) fn state_words(feature: &Feature, state: &str) -> String {
    match feature.state(state) {
        Some(known) => lower_first(&known.label),
        None if state == "absent" => "none".to_owned(),
        None => state.to_owned(),
    }
}

/// A label inside a sentence; a name or an abbreviation keeps its capitals.
fn lower_first(label: &str) -> String {
    let mut chars = label.chars();
    match (chars.next(), chars.next()) {
        (Some(first), Some(second)) if second.is_lowercase() || second == ' ' => {
            first.to_lowercase().chain(label.chars().skip(1)).collect()
        }
        _ => label.to_owned(),
    }
}

pub(super) fn value_words(feature: &Feature, seen: &Observation) -> String {
    match &seen.value {
        Value::State(state) => state_words(feature, state),
        Value::Count(count) => count.to_string(),
        Value::Measure { amount, unit } => format!("{amount} {}", unit.symbol()).trim_end().to_owned(),
        Value::Absent => "none".to_owned(),
        _ => "unclear".to_owned(),
    }
}
