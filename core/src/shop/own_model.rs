//! A model of one's own, from a reel in hand: what was seen becomes what is known.

use std::collections::BTreeMap;

use crate::error::{Error, Result};
use crate::observe::{About, Certainty, How, Observation, Sheet, Value};
use crate::reference::{
    Bound, Confidence, FeatureFact, FeatureType, HowOften, MAKERS_FORMAT, MODELS_FORMAT, Maker, MakersPack, Model,
    ModelsPack, Reference, StruckMark, Variant, Years,
};

/// What the person says of it; all but the name may be empty.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Told {
    pub name: String,
    pub maker: String,
    pub number: String,
    pub from: String,
    pub to: String,
}

/// Id of the maker where none is known.
const NO_MAKER: &str = "own-maker-not-known";

/// Builds the model.
///
/// # Errors
/// No name, no kind of reel seen, or a year that is none.
pub fn model(reference: &Reference, told: &Told, sheet: &Sheet) -> Result<Model> {
    let name = told.name.trim();
    if name.is_empty() {
        return Err(Error::invalid("Give the model a name; any name that tells you which it is."));
    }
    let seen = sheet.current();
    let Some(Value::State(kind)) = sheet.answer("reel_kind").map(|o| &o.value) else {
        return Err(Error::invalid("Say first what kind of reel it is: a model needs its kind."));
    };
    let (from, to) = (year("first", &told.from)?, year("last", &told.to)?);
    if let (Some(from), Some(to)) = (from, to)
        && from > to
    {
        return Err(Error::invalid(format!("The first year, {from}, is after the last, {to}.")));
    }
    let mut variant = Variant {
        id: "as-found".into(),
        name: "As found".into(),
        // One person's word: it weighs, it never excludes.
        years: Years { from, to, from_bound: Bound::Soft, to_bound: Bound::Soft, ..Years::default() },
        ..Variant::default()
    };
    for seen in seen {
        match &seen.about {
            About::Feature(id) => {
                if let Some(fact) = reference.feature(id).and_then(|f| fact(f.kind, seen)) {
                    variant.features.insert(id.clone(), fact);
                }
            }
            About::Mark(place) => {
                // Unread letters are no fact of the model.
                if let Value::Text(text) = &seen.value
                    && !text.contains(['?', '*'])
                {
                    let struck = text.to_uppercase().replace('/', " ");
                    let struck = struck.split_whitespace().collect::<Vec<_>>().join(" ");
                    variant.marks.push(StruckMark {
                        place: place.clone(),
                        struck,
                        how_often: HowOften::Usual,
                        ..StruckMark::default()
                    });
                }
            }
        }
    }
    let slug = slug(name);
    Ok(Model {
        id: format!("own-{slug}"),
        maker: maker_id(reference, told.maker.trim()),
        // The maker's words travel in the note, since the model is kept by itself.
        note: Some(if told.maker.trim().is_empty() {
            "Your own entry.".into()
        } else {
            format!("Your own entry. Maker: {}", told.maker.trim())
        }),
        name: name.to_owned(),
        numbers: Some(told.number.trim()).filter(|n| !n.is_empty()).map(str::to_owned).into_iter().collect(),
        kind: kind.clone(),
        commonness: 2,
        variants: vec![variant],
        ..Model::default()
    })
}

/// The JSON of a makers pack and a models pack that hold these models.
pub fn packs(models: &[Model]) -> Vec<String> {
    let mut makers: BTreeMap<String, Maker> = BTreeMap::new();
    for model in models.iter().filter(|m| m.maker.starts_with("own-")) {
        let name =
            model.note.as_deref().and_then(|n| n.split_once("Maker: ")).map_or("Maker not known", |(_, name)| name);
        makers.entry(model.maker.clone()).or_insert_with(|| Maker {
            id: model.maker.clone(),
            name: name.to_owned(),
            country: "not known".into(),
            confidence: Confidence::Low,
            ..Maker::default()
        });
    }
    let makers = MakersPack {
        format: MAKERS_FORMAT.into(),
        id: "own-makers".into(),
        title: "Makers you added".into(),
        about: "From your own models.".into(),
        makers: makers.into_values().collect(),
        ..MakersPack::default()
    };
    let pack = ModelsPack {
        format: MODELS_FORMAT.into(),
        id: "own-models".into(),
        title: "Models you added".into(),
        about: "Each from a reel in your hand.".into(),
        models: models.to_vec(),
        ..ModelsPack::default()
    };
    [serde_json::to_string(&makers), serde_json::to_string(&pack)].into_iter().flatten().collect()
}

fn fact(kind: FeatureType, seen: &Observation) -> Option<FeatureFact> {
    // A guess is no fact of the model.
    if seen.certainty == Certainty::Guess {
        return None;
    }
    let fact = match (&seen.value, kind) {
        (Value::State(state), FeatureType::Choice) => {
            FeatureFact { states: BTreeMap::from([(state.clone(), 1.0)]), ..FeatureFact::default() }
        }
        (Value::Count(n), FeatureType::Count) => {
            FeatureFact { value: Some(f64::from(*n)), tol: Some(0.0), ..FeatureFact::default() }
        }
        (Value::Measure { .. }, FeatureType::Measure) => {
            let value = seen.value.base_amount()?;
            let share = match seen.how {
                How::Calliper | How::Scale => 0.01,
                How::Ruler => 0.02,
                How::Photo => 0.04,
                How::Eye => 0.08,
            };
            FeatureFact { value: Some(value), tol: Some(value * share), ..FeatureFact::default() }
        }
        _ => return None,
    };
    Some(fact)
}

fn year(which: &str, text: &str) -> Result<Option<i32>> {
    let text = text.trim();
    if text.is_empty() {
        return Ok(None);
    }
    match text.parse::<i32>() {
        Ok(year) if (1700..=2100).contains(&year) => Ok(Some(year)),
        _ => Err(Error::invalid(format!("“{text}” is no {which} year: write four figures, or leave it empty."))),
    }
}

fn maker_id(reference: &Reference, told: &str) -> String {
    if told.is_empty() {
        return NO_MAKER.into();
    }
    let same = |name: &String| name.eq_ignore_ascii_case(told);
    match reference.makers.iter().find(|m| same(&m.name) || m.other_names.iter().any(same)) {
        Some(maker) => maker.id.clone(),
        None => format!("own-maker-{}", slug(told)),
    }
}

fn slug(name: &str) -> String {
    let words: String = name.to_lowercase().chars().map(|c| if c.is_alphanumeric() { c } else { ' ' }).collect();
    words.split_whitespace().collect::<Vec<_>>().join("-")
}
