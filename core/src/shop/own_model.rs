//! A model of one's own, from a reel in hand: what was seen becomes what is known.

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};

use crate::error::{Error, Result};
use crate::observe::{About, Certainty, How, Observation, Sheet, Value};
use crate::reference::{
    Bound, Confidence, FeatureFact, FeatureType, HowOften, Maker, Model, Reference, StruckMark, Variant, Years,
};

/// A model of one's own as it is kept: what was said and seen, from which the model is made anew each time.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct OwnModel {
    /// 32 hex digits, as a find's.
    pub id: String,
    pub told: Told,
    pub sheet: Sheet,
}

/// What the person says of it; all but the name may be empty.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields)]
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
        note: Some("Your own entry.".into()),
        name: name.to_owned(),
        numbers: Some(told.number.trim()).filter(|n| !n.is_empty()).map(str::to_owned).into_iter().collect(),
        kind: kind.clone(),
        commonness: 2,
        variants: vec![variant],
        ..Model::default()
    })
}

/// Adds the models to what is known; one that no longer makes sense is left out and kept as it is.
pub fn add(reference: &mut Reference, own: &[OwnModel]) {
    let mut makers: BTreeMap<String, Maker> = BTreeMap::new();
    let mut models = Vec::new();
    for OwnModel { told, sheet, .. } in own {
        let Ok(model) = model(reference, told, sheet) else { continue };
        if reference.model(&model.id).is_some() || models.iter().any(|other: &Model| other.id == model.id) {
            continue;
        }
        if reference.maker(&model.maker).is_none() {
            let name = Some(told.maker.trim()).filter(|name| !name.is_empty()).unwrap_or("Maker not known");
            makers.entry(model.maker.clone()).or_insert_with(|| Maker {
                id: model.maker.clone(),
                name: name.to_owned(),
                country: "not known".into(),
                confidence: Confidence::Low,
                ..Maker::default()
            });
        }
        models.push(model);
    }
    reference.add_own(makers.into_values().collect(), models);
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

#[cfg(test)]
mod tests {
    use super::*;

    fn reference() -> Reference {
        Reference::load([("questions", include_str!("../../../public/reference/questions.json"))]).unwrap()
    }

    fn told() -> Told {
        Told { name: "Market find".into(), maker: "Nobody & Sons".into(), from: "1948".into(), ..Told::default() }
    }

    fn sheet() -> Sheet {
        let mut sheet = Sheet::default();
        sheet.seen.extend([
            Observation::state("reel_kind", "fly"),
            Observation::count("pillars", 5),
            Observation::mark("foot-under", "No. 12 / made here"),
            Observation::mark("rim", "PAT ?12"),
            Observation::state("knob_material", "wood").with(Certainty::Guess),
        ]);
        sheet
    }

    #[test]
    fn what_was_seen_becomes_what_is_known() {
        let mut reference = reference();
        let own = OwnModel { id: "0".repeat(32), told: told(), sheet: sheet() };
        let kept = serde_json::to_string(&own).unwrap();
        add(&mut reference, &[serde_json::from_str(&kept).unwrap(), own]);
        assert_eq!(reference.models.len(), 1, "the same entry twice is one model");
        let model = reference.model("own-market-find").unwrap();
        assert_eq!(reference.maker_name(&model.maker), "Nobody & Sons");
        let variant = &model.variants[0];
        assert_eq!(variant.years.from, Some(1948));
        assert_eq!(variant.features["pillars"].value, Some(5.0));
        assert!(!variant.features.contains_key("knob_material"), "a guess is no fact");
        assert_eq!(variant.marks.len(), 1, "a worn reading is no fact");
        assert_eq!(variant.marks[0].struck, "NO. 12 MADE HERE");
        assert_eq!(crate::reference::check_reference(&reference), []);
    }

    #[test]
    fn what_is_missing_is_said() {
        let reference = reference();
        let nameless = Told { name: " ".into(), ..told() };
        assert!(model(&reference, &nameless, &sheet()).unwrap_err().to_string().contains("name"));
        assert!(model(&reference, &told(), &Sheet::default()).unwrap_err().to_string().contains("kind"));
        let backwards = Told { to: "1940".into(), ..told() };
        assert!(model(&reference, &backwards, &sheet()).unwrap_err().to_string().contains("1948"));
    }
}
