//! What a person hands in, checked against the questions before it is used: every fault is one sentence.

use std::io::Read;

use tailplate_core::observe::{About, Observation, Sheet, Unit, Value};
use tailplate_core::reference::{Feature, FeatureType, Reference};

use crate::nearest::hint;

/// Largest sheet or pack taken, in bytes; more is a mistake.
const LARGEST: u64 = 16 << 20;

/// Text of a file, or of the standard input for `-`.
pub fn text_of(name: &str) -> Result<String, String> {
    let mut bytes = Vec::new();
    let told = |error: std::io::Error| format!("{name} can't be read: {error}.");
    if name == "-" {
        std::io::stdin().take(LARGEST + 1).read_to_end(&mut bytes).map_err(told)?;
    } else {
        std::fs::File::open(name).map_err(told)?.take(LARGEST + 1).read_to_end(&mut bytes).map_err(told)?;
    }
    if bytes.len() as u64 > LARGEST {
        return Err(format!("{name} is larger than {} MB, so it is no sheet and no pack.", LARGEST >> 20));
    }
    String::from_utf8(bytes).map_err(|_| format!("{name} is not text in UTF-8."))
}

/// A sheet whose every answer the questions know.
pub fn sheet(reference: &Reference, text: &str) -> Result<Sheet, String> {
    let sheet = Sheet::from_json(text).map_err(|error| error.to_string())?;
    for (at, seen) in sheet.seen.iter().enumerate() {
        check(reference, seen).map_err(|trouble| format!("Observation {}: {trouble}", at + 1))?;
    }
    Ok(sheet)
}

/// An answer given as `feature=value`, such as `bail=full-bail`, `pillars=4`, `plate_diameter=2.5in`, `click=absent`.
pub fn answer(reference: &Reference, text: &str) -> Result<Observation, String> {
    let (id, value) = text
        .split_once('=')
        .ok_or_else(|| format!("“{text}” is no answer: write it as feature=state, such as click=none."))?;
    let feature = feature(reference, id.trim())?;
    let value = value.trim();
    let value = match (value, feature.kind) {
        ("absent", _) if feature.state("absent").is_none() => Value::Absent,
        ("unclear", _) => Value::Unclear,
        (_, FeatureType::Choice) => Value::State(value.to_owned()),
        (_, FeatureType::Count) => {
            Value::Count(value.parse().map_err(|_| format!("{id} is counted: “{value}” is not a whole number."))?)
        }
        (_, FeatureType::Measure) => measure(feature, value)?,
    };
    let seen = Observation::of(About::feature(id.trim()), value);
    check(reference, &seen)?;
    Ok(seen)
}

fn measure(feature: &Feature, text: &str) -> Result<Value, String> {
    let figure_end = text.find(|c: char| !c.is_ascii_digit() && c != '.').unwrap_or(text.len());
    let (figure, unit) = text.split_at(figure_end);
    let unit = match (unit.trim(), feature.unit.as_deref()) {
        ("mm", _) => Unit::Mm,
        ("in" | "\"", _) => Unit::In,
        ("g", _) => Unit::G,
        ("oz", _) => Unit::Oz,
        ("", None) => Unit::Ratio,
        ("", Some(unit)) => {
            return Err(format!("{} needs its unit: write {figure}{unit}, or inches or ounces.", feature.id));
        }
        (other, _) => return Err(format!("“{other}” is no unit known here: use mm, in, g or oz.")),
    };
    let amount = figure.parse().map_err(|_| format!("{}: “{text}” is not a figure with a unit.", feature.id))?;
    Ok(Value::Measure { amount, unit })
}

fn feature<'a>(reference: &'a Reference, id: &str) -> Result<&'a Feature, String> {
    reference.feature(id).ok_or_else(|| {
        let ids = reference.questions.features.iter().map(|feature| feature.id.as_str());
        format!("No question is called “{id}”.{}", hint(id, ids))
    })
}

/// Whether the questions know what was answered.
pub fn check(reference: &Reference, seen: &Observation) -> Result<(), String> {
    let id = match &seen.about {
        About::Mark(place) => {
            let places = reference.questions.mark_places.iter().map(|place| place.id.as_str());
            return match (&seen.value, reference.mark_place(place)) {
                (_, None) => Err(format!("No place for a mark is called “{place}”.{}", hint(place, places))),
                (Value::Text(_) | Value::Absent | Value::Unclear | Value::TakenBack(_), _) => Ok(()),
                _ => Err(format!("A mark, here at {place}, is given as text, absent or unclear.")),
            };
        }
        About::Feature(id) => id,
    };
    let feature = feature(reference, id)?;
    match (&seen.value, feature.kind) {
        (Value::Absent | Value::Unclear | Value::TakenBack(_), _) | (Value::Count(_), FeatureType::Count) => Ok(()),
        (Value::State(state), FeatureType::Choice) if feature.state(state).is_some() => Ok(()),
        (Value::State(state), FeatureType::Choice) => {
            let states: Vec<&str> = feature.states.iter().map(|state| state.id.as_str()).collect();
            Err(format!("{id} has no state “{state}”; it can be {}.", states.join(", ")))
        }
        (Value::Measure { amount, unit }, FeatureType::Measure) => {
            let right = match feature.unit.as_deref() {
                Some("mm") => matches!(unit, Unit::Mm | Unit::In),
                Some("g") => matches!(unit, Unit::G | Unit::Oz),
                _ => *unit == Unit::Ratio,
            };
            match feature.unit.as_deref() {
                _ if !amount.is_finite() || *amount < 0.0 => Err(format!("{id}: {amount} is no measure.")),
                _ if right => Ok(()),
                Some(wanted) => {
                    Err(format!("{id} is measured in {wanted} (or inches, ounces), not in {}.", unit.symbol()))
                }
                None => Err(format!("{id} is a bare ratio, without a unit.")),
            }
        }
        (_, FeatureType::Choice) => Err(format!("{id} is answered with one of its states.")),
        (_, FeatureType::Count) => Err(format!("{id} is answered with a count.")),
        (_, FeatureType::Measure) => Err(format!("{id} is answered with a measure and its unit.")),
    }
}
