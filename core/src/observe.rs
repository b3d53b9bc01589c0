//! What was seen on a reel.
//!
//! Not looking is not the same as looking and finding nothing: a question that nobody asked has no observation, a
//! question answered with nothing there has [`Value::Absent`], and one that was looked at without a verdict has
//! [`Value::Unclear`] (it tells nothing, but is not asked again).

use serde::{Deserialize, Serialize};

use crate::error::{Error, Result};

/// What the observation is about: a question of the questions pack, or the lettering at a place of the reel.
#[derive(Debug, Clone, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub enum About {
    /// Id of a feature, e.g. `plate_material`.
    Feature(String),
    /// Id of a mark place, e.g. `foot-under`.
    Mark(String),
}

impl About {
    pub fn feature(id: impl Into<String>) -> Self {
        Self::Feature(id.into())
    }
    pub fn mark(place: impl Into<String>) -> Self {
        Self::Mark(place.into())
    }
    pub fn id(&self) -> &str {
        match self {
            Self::Feature(id) | Self::Mark(id) => id,
        }
    }
}

/// Unit of a measure as the person read it. The core computes in millimetres and grams.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub enum Unit {
    Mm,
    In,
    G,
    Oz,
    /// A bare figure, such as turns of the spool for one of the handle.
    Ratio,
}

impl Unit {
    /// Factor to the unit the packs use (mm, g, or none).
    pub fn to_base(self) -> f64 {
        match self {
            Self::Mm | Self::G | Self::Ratio => 1.0,
            Self::In => 25.4,
            Self::Oz => 28.349_523_125,
        }
    }
    pub fn symbol(self) -> &'static str {
        match self {
            Self::Mm => "mm",
            Self::In => "in",
            Self::G => "g",
            Self::Oz => "oz",
            Self::Ratio => "",
        }
    }
}

/// What was found.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub enum Value {
    /// One of the question's states.
    State(String),
    /// A whole number of things counted.
    Count(u32),
    /// A size or weight in the unit it was read in.
    Measure { amount: f64, unit: Unit },
    /// Lettering as read: `?` for one illegible character, `*` for a run of them, `/` or a new line between lines.
    Text(String),
    /// Looked, and it is not there.
    Absent,
    /// Looked, and could not tell.
    Unclear,
    /// An earlier answer is withdrawn: all answers to the feature, or the reading of the mark with this text.
    TakenBack(String),
}

impl Value {
    /// The measure in mm, g or as a bare ratio.
    pub fn base_amount(&self) -> Option<f64> {
        match self {
            Self::Measure { amount, unit } => Some(amount * unit.to_base()),
            _ => None,
        }
    }
}

/// How firmly the person puts it.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub enum Certainty {
    #[default]
    Sure,
    Likely,
    Guess,
}

/// With what it was seen or measured; decides the spread of a measure.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub enum How {
    #[default]
    Eye,
    Ruler,
    Calliper,
    Scale,
    Photo,
}

/// One thing seen. The same JSON goes in by the app, the command line and the tests.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Observation {
    pub about: About,
    pub value: Value,
    #[serde(default)]
    pub certainty: Certainty,
    #[serde(default)]
    pub how: How,
    /// ± of a measure in its own unit, holding in 95 of 100; without it, what the instrument usually leaves open.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub plus_minus: Option<f64>,
    /// SHA-256 of the photo that shows it, in hex.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub photo: Option<String>,
}

impl Observation {
    pub fn state(feature: &str, state: &str) -> Self {
        Self::of(About::feature(feature), Value::State(state.into()))
    }
    pub fn count(feature: &str, count: u32) -> Self {
        Self::of(About::feature(feature), Value::Count(count))
    }
    pub fn measure(feature: &str, amount: f64, unit: Unit, how: How) -> Self {
        Self { how, ..Self::of(About::feature(feature), Value::Measure { amount, unit }) }
    }
    /// Lettering read at a place; an empty place is one that is not told, and dating then takes it for any.
    pub fn mark(place: &str, text: &str) -> Self {
        Self::of(About::mark(place), Value::Text(text.into()))
    }
    pub fn of(about: About, value: Value) -> Self {
        Self { about, value, certainty: Certainty::Sure, how: How::Eye, plus_minus: None, photo: None }
    }
    pub fn with(self, certainty: Certainty) -> Self {
        Self { certainty, ..self }
    }
}

/// Everything seen on one reel, in the order it was seen. The newest answer to a question counts; older ones stay.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
pub struct Sheet {
    pub seen: Vec<Observation>,
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub note: String,
}

impl Sheet {
    /// Reads a sheet, or a bare list of observations.
    pub fn from_json(text: &str) -> Result<Self> {
        let whole = serde_json::from_str::<Sheet>(text);
        match whole {
            Ok(sheet) => Ok(sheet),
            Err(error) => match serde_json::from_str::<Vec<Observation>>(text) {
                Ok(seen) => Ok(Sheet { seen, note: String::new() }),
                Err(list_error) => {
                    let told = if text.trim_start().starts_with('[') { list_error } else { error };
                    Err(Error::malformed(format!("This is not a sheet of observations: {told}.")))
                }
            },
        }
    }

    /// The answers that count: for each question, and each reading of a mark, the newest that was not taken back.
    ///
    /// Marks are told apart by place *and* text, since one place can carry several.
    pub fn current(&self) -> Vec<&Observation> {
        let mut kept: Vec<&Observation> = Vec::new();
        for seen in &self.seen {
            kept.retain(|old| !replaces(seen, old));
            if !matches!(seen.value, Value::TakenBack(_)) {
                kept.push(seen);
            }
        }
        kept
    }

    /// The answer to a feature that counts.
    pub fn answer(&self, feature: &str) -> Option<&Observation> {
        let newest = self.seen.iter().rev().find(|o| matches!(&o.about, About::Feature(id) if id == feature))?;
        (!matches!(newest.value, Value::TakenBack(_))).then_some(newest)
    }

    /// Withdraws an answer by noting so: what was seen stays on the sheet.
    pub fn take_back(&mut self, seen: &Observation) {
        let which = match &seen.value {
            Value::Text(text) => text.clone(),
            _ => String::new(),
        };
        self.seen.push(Observation::of(seen.about.clone(), Value::TakenBack(which)));
    }

    /// Adds what another copy of this sheet has gained since the two were one; both only ever grew.
    pub fn join(&mut self, other: &Sheet) {
        let shared = self.seen.iter().zip(&other.seen).take_while(|(a, b)| a == b).count();
        self.seen.extend_from_slice(&other.seen[shared..]);
        if self.note.is_empty() {
            self.note.clone_from(&other.note);
        }
    }
}

fn replaces(new: &Observation, old: &Observation) -> bool {
    if new.about != old.about {
        return false;
    }
    match (&new.about, &new.value, &old.value) {
        (About::Feature(_), _, _) => true,
        (About::Mark(_), Value::Text(new) | Value::TakenBack(new), Value::Text(old)) => new == old,
        // A reading and “nothing there” can't both hold; taking back empty withdraws only what was no text.
        (About::Mark(_), Value::TakenBack(_), _) => true,
        (About::Mark(_), _, _) => true,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_newest_answer_counts_and_several_marks_stand_at_one_place() {
        let sheet = Sheet {
            seen: vec![
                Observation::state("bail", "finger"),
                Observation::mark("foot-under", "PAT 12"),
                Observation::mark("foot-under", "MADE IN USA"),
                Observation::state("bail", "full-bail"),
            ],
            note: String::new(),
        };
        let current = sheet.current();
        assert_eq!(current.len(), 3);
        assert_eq!(current[2], &Observation::state("bail", "full-bail"));
    }

    #[test]
    fn what_is_taken_back_counts_no_more_and_stays_on_the_sheet() {
        let mut sheet = Sheet::default();
        let (pat, usa, bail) = (
            Observation::mark("foot-under", "PAT 12"),
            Observation::mark("foot-under", "USA"),
            Observation::state("bail", "finger"),
        );
        sheet.seen.extend([pat.clone(), usa.clone(), bail.clone()]);
        sheet.take_back(&pat);
        sheet.take_back(&bail);
        assert_eq!(sheet.current(), [&usa]);
        assert_eq!(sheet.answer("bail"), None);
        assert_eq!(sheet.seen.len(), 5);
        sheet.seen.push(bail.clone());
        assert_eq!(sheet.answer("bail"), Some(&bail));
    }

    #[test]
    fn two_copies_that_grew_apart_are_joined() {
        let one = |n| Observation::count("pillars", n);
        let mut a = Sheet { seen: vec![one(4), one(5)], note: String::new() };
        let b = Sheet { seen: vec![one(4), one(6), one(4)], note: "b".into() };
        a.join(&b);
        assert_eq!(a.seen, [one(4), one(5), one(6), one(4)]);
        let twice = a.clone();
        a.join(&twice.clone());
        assert_eq!(a, twice);
    }

    #[test]
    fn a_sheet_that_is_no_sheet_says_where() {
        let error = Sheet::from_json(r#"{"seen":[{"about":{"feature":"bail"},"value":{"stat":"x"}}]}"#).unwrap_err();
        assert!(error.to_string().contains("line 1"), "{error}");
    }
}
