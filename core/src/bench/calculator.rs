//! A calculator as data: one generic screen and one command show them all.

use std::collections::BTreeMap;

use serde::Serialize;
use serde_json::Value;

use super::answer::{Answer, Figure};
use super::units::{Kind, Unit, quantity};
use crate::error::{Error, Result};
use crate::reference::{MechanicsPack, Reference};

/// One sum of the bench. Formula, assumptions and sources come from the pack's entry `formula`.
pub struct Calculator {
    pub id: &'static str,
    pub title: &'static str,
    /// What it answers, in a sentence.
    pub about: &'static str,
    pub inputs: &'static [Input],
    pub formula: &'static str,
    /// Which of the entry's lines this calculator uses.
    pub lines: &'static [&'static str],
    /// Cautions due at this step.
    pub cautions: &'static [&'static str],
    /// Fills inputs in from the packs, such as the friction of a chosen material.
    pub(super) prepare: fn(&mut Given) -> Result<()>,
    /// The figures, without their ±: those come of the inputs' ± by working them out again.
    pub(super) figures: fn(&Given) -> Result<Vec<Figure>>,
    /// Tables, warnings and the plot, once the figures are known.
    pub(super) tell: fn(&Given, &mut Answer) -> Result<()>,
}

pub(super) fn nothing_to_prepare(_: &mut Given) -> Result<()> {
    Ok(())
}
pub(super) fn nothing_to_tell(_: &Given, _: &mut Answer) -> Result<()> {
    Ok(())
}

#[derive(Debug, Clone, Copy, Serialize)]
pub struct Input {
    pub id: &'static str,
    pub label: &'static str,
    #[serde(flatten)]
    pub wants: Wants,
    /// As one would type it; empty where there is none.
    pub default: &'static str,
    pub optional: bool,
    pub help: &'static str,
}

/// What an input takes.
#[derive(Debug, Clone, Copy, Serialize)]
#[serde(tag = "type", rename_all = "kebab-case")]
pub enum Wants {
    Number {
        kind: Kind,
        /// Unit of a bare number.
        unit: &'static str,
        /// Bounds in that unit.
        least: f64,
        most: f64,
        /// ± where none is given, in that unit: what the usual tool leaves open.
        plus_minus: f64,
    },
    Choice {
        of: Choices,
    },
    /// Several things, parted by semicolons or lines.
    List {
        sample: &'static str,
    },
}

#[derive(Debug, Clone, Copy, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Choices {
    FrictionMaterials,
    DragShares,
    SpringMetals,
    Lines,
    Coins,
    Cards,
    Conversions,
    #[serde(untagged)]
    Fixed(&'static [(&'static str, &'static str)]),
}

impl Choices {
    /// Ids and labels, in the order in which they are shown.
    pub fn options(self, reference: &Reference) -> Vec<(String, String)> {
        let pack = &reference.mechanics;
        let pair = |id: &str, name: &str| (id.to_owned(), name.to_owned());
        match self {
            Self::FrictionMaterials => pack.frictions.iter().map(|it| pair(&it.id, &it.name)).collect(),
            Self::DragShares => pack.drag_shares.iter().map(|it| pair(&it.id, &it.name)).collect(),
            Self::SpringMetals => pack.spring_metals.iter().map(|it| pair(&it.id, &it.name)).collect(),
            Self::Lines => pack.lines.iter().map(|it| pair(&it.id, &it.name)).collect(),
            Self::Coins => {
                pack.objects.iter().filter(|it| it.shape == "circle").map(|it| pair(&it.id, &it.name)).collect()
            }
            Self::Cards => {
                pack.objects.iter().filter(|it| it.width_mm.is_some()).map(|it| pair(&it.id, &it.name)).collect()
            }
            Self::Conversions => {
                pack.conversions.iter().map(|it| (it.id.clone(), format!("{} to {}", it.from, it.to))).collect()
            }
            Self::Fixed(pairs) => pairs.iter().map(|(id, name)| pair(id, name)).collect(),
        }
    }
}

/// A number in the first unit of its kind, from `least` to `most`.
pub(super) const fn number(id: &'static str, label: &'static str, kind: Kind, least: f64, most: f64) -> Input {
    let wants = Wants::Number { kind, unit: kind.units()[0].symbol, least, most, plus_minus: 0.0 };
    Input { id, label, wants, default: "", optional: false, help: "" }
}
/// A length by calliper.
pub(super) const fn length(id: &'static str, label: &'static str, least: f64, most: f64) -> Input {
    number(id, label, Kind::Length, least, most).give_or_take(0.05)
}
pub(super) const fn choice(id: &'static str, label: &'static str, of: Choices) -> Input {
    Input { id, label, wants: Wants::Choice { of }, default: "", optional: false, help: "" }
}
pub(super) const fn list(id: &'static str, label: &'static str, sample: &'static str) -> Input {
    Input { id, label, wants: Wants::List { sample }, default: "", optional: false, help: "" }
}

impl Input {
    pub(super) const fn default(self, default: &'static str) -> Self {
        Self { default, ..self }
    }
    pub(super) const fn optional(self) -> Self {
        Self { optional: true, ..self }
    }
    pub(super) const fn help(self, help: &'static str) -> Self {
        Self { help, ..self }
    }
    /// ± where none is given, in the unit of a bare number.
    pub(super) const fn give_or_take(mut self, spread: f64) -> Self {
        if let Wants::Number { plus_minus, .. } = &mut self.wants {
            *plus_minus = spread;
        }
        self
    }
    /// Another unit for a bare number; the bounds and the ± are in it.
    pub(super) const fn in_unit(mut self, symbol: &'static str) -> Self {
        if let Wants::Number { unit, .. } = &mut self.wants {
            *unit = symbol;
        }
        self
    }
}

/// What a person enters: numbers as numbers, or anything as typed.
#[derive(Debug, Clone, PartialEq)]
pub enum Entry {
    Number { value: f64, plus_minus: Option<f64> },
    Text(String),
}

pub type Inputs = BTreeMap<String, Entry>;

/// Inputs from `{"id": 9.5, "id": "3/8 in", "id": {"value": 9.5, "plus_minus": 0.05}, "id": ["friction 0.5 x4", …]}`.
///
/// # Errors
/// A sentence that names the input.
pub fn inputs_from_json(text: &str) -> Result<Inputs> {
    let tree: Value =
        serde_json::from_str(text).map_err(|error| Error::malformed(format!("The inputs are no JSON: {error}.")))?;
    let Value::Object(fields) = tree else {
        return Err(Error::malformed("The inputs are an object in braces, such as {\"clamp_force\": \"60 lbf\"}."));
    };
    fields.into_iter().map(|(id, value)| Ok((id.clone(), entry(&id, &value)?))).collect()
}

fn entry(id: &str, value: &Value) -> Result<Entry> {
    let text = |value: &Value| match value {
        Value::Number(number) => Some(number.to_string()),
        Value::String(text) => Some(text.clone()),
        _ => None,
    };
    let trouble = || {
        Error::malformed(format!(
            "The input {id} is a number, a text such as \"3/8 in\", a list, or {{\"value\": …, \"plus_minus\": …}}."
        ))
    };
    match value {
        Value::Number(number) => Ok(Entry::Number { value: number.as_f64().ok_or_else(trouble)?, plus_minus: None }),
        Value::String(text) => Ok(Entry::Text(text.clone())),
        Value::Array(items) => {
            let row = |item: &Value| match item {
                Value::Array(parts) => parts.iter().map(text).collect::<Option<Vec<_>>>().map(|parts| parts.join(" ")),
                other => text(other),
            };
            let rows = items.iter().map(row).collect::<Option<Vec<_>>>().ok_or_else(trouble)?;
            Ok(Entry::Text(rows.join("; ")))
        }
        Value::Object(fields) if fields.keys().all(|key| key == "value" || key == "plus_minus") => {
            let part = |name: &str| fields.get(name).map(|value| text(value).ok_or_else(trouble)).transpose();
            let value = part("value")?.ok_or_else(trouble)?;
            Ok(match part("plus_minus")? {
                // Numbers stay numbers: they may be written with an exponent.
                None => value.parse().map_or(Entry::Text(value), |value| Entry::Number { value, plus_minus: None }),
                Some(spread) => match (value.parse(), spread.parse()) {
                    (Ok(value), Ok(spread)) => Entry::Number { value, plus_minus: Some(spread) },
                    _ => Entry::Text(format!("{value} ± {spread}")),
                },
            })
        }
        _ => Err(trouble()),
    }
}

/// The inputs as understood: numbers in the first unit of their kind.
#[derive(Clone)]
pub(super) struct Given<'a> {
    pub reference: &'a Reference,
    calculator: &'static Calculator,
    numbers: BTreeMap<&'static str, (f64, f64)>,
    texts: BTreeMap<&'static str, String>,
    /// Inputs whose ± was assumed, with it, in the first unit.
    pub assumed: Vec<(&'static str, f64)>,
}

impl<'a> Given<'a> {
    pub fn read(reference: &'a Reference, calculator: &'static Calculator, inputs: &Inputs) -> Result<Self> {
        if let Some(id) = inputs.keys().find(|id| !calculator.inputs.iter().any(|input| input.id == *id)) {
            let known: Vec<&str> = calculator.inputs.iter().map(|input| input.id).collect();
            return Err(Error::unknown(format!(
                "{} has no input “{id}”; it takes {}.",
                calculator.id,
                known.join(", ")
            )));
        }
        let mut given =
            Self { reference, calculator, numbers: BTreeMap::new(), texts: BTreeMap::new(), assumed: Vec::new() };
        for input in calculator.inputs {
            given.take(input, inputs.get(input.id))?;
        }
        (calculator.prepare)(&mut given)?;
        Ok(given)
    }

    fn take(&mut self, input: &'static Input, entry: Option<&Entry>) -> Result<()> {
        let default = Entry::Text(input.default.to_owned());
        let blank = |entry: &Entry| matches!(entry, Entry::Text(text) if text.trim().is_empty());
        let entry = entry.filter(|entry| !blank(entry)).unwrap_or(&default);
        if blank(entry) {
            return if input.optional {
                Ok(())
            } else {
                Err(Error::invalid(format!("“{}” is still empty ({}).", input.label, input.id)))
            };
        }
        match input.wants {
            Wants::Number { kind, unit, least, most, plus_minus } => {
                // A unit that its kind does not list would be a slip in a table; a test looks for it.
                let unit = kind.unit_written(unit).unwrap_or(kind.units()[0]);
                let read = match entry {
                    Entry::Number { value, plus_minus } => super::units::Quantity {
                        value: unit.to_first(*value),
                        plus_minus: plus_minus.map(|spread| unit.spread_to_first(*value, spread)),
                    },
                    Entry::Text(text) => quantity(text, kind, unit).map_err(|e| named(input, &e))?,
                };
                let written = unit.from_first(read.value);
                if !(least..=most).contains(&written) {
                    return Err(out_of_bounds(input, written, unit, least, most));
                }
                if read.plus_minus.is_some_and(|spread| !(0.0..f64::INFINITY).contains(&spread)) {
                    return Err(Error::invalid(format!("“{}”: a ± is 0 or more.", input.label)));
                }
                let spread = read.plus_minus.unwrap_or_else(|| {
                    let assumed = unit.spread_to_first(written, plus_minus);
                    if assumed > 0.0 {
                        self.assumed.push((input.id, assumed));
                    }
                    assumed
                });
                self.numbers.insert(input.id, (read.value, spread));
            }
            Wants::Choice { of } => {
                let text = as_text(entry);
                let options = of.options(self.reference);
                if !options.iter().any(|(id, _)| *id == text) {
                    let known: Vec<&str> = options.iter().map(|(id, _)| id.as_str()).collect();
                    let known =
                        if known.is_empty() { "nothing, since its pack is missing".into() } else { known.join(", ") };
                    return Err(Error::unknown(format!("“{}” has no choice “{text}”; there is {known}.", input.label)));
                }
                self.texts.insert(input.id, text);
            }
            Wants::List { .. } => _ = self.texts.insert(input.id, as_text(entry)),
        }
        Ok(())
    }

    pub fn facts(&self) -> &'a MechanicsPack {
        &self.reference.mechanics
    }
    pub fn get(&self, id: &str) -> Option<f64> {
        self.numbers.get(id).map(|(value, _)| *value)
    }
    pub fn spread(&self, id: &str) -> f64 {
        self.numbers.get(id).map_or(0.0, |(_, spread)| *spread)
    }
    /// A number that this sum can't do without.
    pub fn need(&self, id: &str) -> Result<f64> {
        self.get(id).ok_or_else(|| {
            let label = self.calculator.inputs.iter().find(|input| input.id == id).map_or(id, |input| input.label);
            Error::invalid(format!("“{label}” is still empty ({id})."))
        })
    }
    pub fn text(&self, id: &str) -> &str {
        self.texts.get(id).map_or("", String::as_str)
    }
    /// Items of a list, trimmed, none empty.
    pub fn items(&self, id: &str) -> Vec<&str> {
        self.text(id).split([';', '\n']).map(str::trim).filter(|item| !item.is_empty()).collect()
    }
    /// Puts a number in that a fact gives.
    pub fn set(&mut self, id: &'static str, value: f64, plus_minus: f64) {
        self.numbers.insert(id, (value, plus_minus));
    }
    /// Ids and ± of the numbers that have one.
    pub fn spreads(&self) -> impl Iterator<Item = (&'static str, f64)> {
        self.numbers.iter().filter(|(_, (_, spread))| *spread > 0.0).map(|(id, (_, spread))| (*id, *spread))
    }
    /// The same with one number moved, kept within the input's bounds; `None` where it can't move that way.
    pub fn moved(&self, id: &'static str, by: f64) -> Option<Self> {
        let input = self.calculator.inputs.iter().find(|input| input.id == id)?;
        let Wants::Number { kind, unit, least, most, .. } = input.wants else { return None };
        let unit = kind.unit_written(unit)?;
        let mut moved = self.clone();
        let (value, _) = moved.numbers.get_mut(id)?;
        *value += by;
        (least..=most).contains(&unit.from_first(*value)).then_some(moved)
    }
}

fn as_text(entry: &Entry) -> String {
    match entry {
        Entry::Number { value, .. } => value.to_string(),
        Entry::Text(text) => text.trim().to_owned(),
    }
}

fn named(input: &Input, error: &Error) -> Error {
    Error::invalid(format!("“{}”: {error}", input.label))
}

fn out_of_bounds(input: &Input, written: f64, unit: Unit, least: f64, most: f64) -> Error {
    let symbol = if unit.symbol.is_empty() { String::new() } else { format!(" {}", unit.symbol) };
    Error::invalid(format!("“{}” is {written}{symbol}; it must lie between {least} and {most}{symbol}.", input.label))
}
