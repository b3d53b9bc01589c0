//! What a calculator answers: figures with their ± in both systems, and what they rest on.

use serde::Serialize;

use super::units::{Kind, with_spread};
use crate::reference::{Confidence, Reference};

#[derive(Debug, Clone, Default, PartialEq, Serialize)]
pub struct Answer {
    pub calculator: &'static str,
    pub title: &'static str,
    pub figures: Vec<Figure>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub table: Option<Table>,
    pub formula: Vec<String>,
    /// What the letters of the formula mean.
    pub symbols: Vec<String>,
    pub assumptions: Vec<String>,
    /// What speaks against trusting or using the result.
    pub warnings: Vec<String>,
    /// What can hurt or spoil, due at this step.
    pub cautions: Vec<StepCaution>,
    pub sources: Vec<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub plot_svg: Option<String>,
}

#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Figure {
    pub id: &'static str,
    pub label: &'static str,
    #[serde(skip)]
    pub kind: Kind,
    pub value: f64,
    pub plus_minus: f64,
    pub unit: &'static str,
    /// The same in the other system.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub also: Option<Also>,
}

#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Also {
    pub value: f64,
    pub plus_minus: f64,
    pub unit: &'static str,
}

#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize)]
pub struct Table {
    pub heads: Vec<&'static str>,
    pub rows: Vec<Vec<String>>,
}

#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct StepCaution {
    pub topic: String,
    pub risk: String,
    #[serde(rename = "do")]
    pub to_do: Vec<String>,
    #[serde(rename = "do_not")]
    pub not_to_do: Vec<String>,
    pub defer_to: String,
    /// The fact is of low confidence.
    pub unverified: bool,
}

impl Figure {
    /// A figure in the first unit of its kind, without ± yet.
    pub(super) fn new(id: &'static str, label: &'static str, kind: Kind, value: f64) -> Self {
        Self { id, label, kind, value, plus_minus: 0.0, unit: kind.units()[0].symbol, also: None }
    }
    pub(super) fn give_or_take(self, plus_minus: f64) -> Self {
        Self { plus_minus, ..self }
    }
    /// Fills in the other system.
    pub(super) fn finish(&mut self) {
        self.also = self.kind.other().map(|unit| Also {
            value: unit.from_first(self.value),
            plus_minus: unit.spread_from_first(self.value, self.plus_minus),
            unit: unit.symbol,
        });
    }
    /// `34.9 ± 1.2 N (7.86 ± 0.27 lbf)`.
    pub fn text(&self) -> String {
        let first = with_spread(self.value, self.plus_minus, self.unit);
        match self.also {
            Some(also) => format!("{first} ({})", with_spread(also.value, also.plus_minus, also.unit)),
            None => first,
        }
    }
}

impl Answer {
    pub fn figure(&self, id: &str) -> Option<&Figure> {
        self.figures.iter().find(|figure| figure.id == id)
    }
    pub(super) fn warn(&mut self, sentence: impl Into<String>) {
        self.warnings.push(sentence.into());
    }
    /// Names sources once each.
    pub(super) fn cite(&mut self, reference: &Reference, src: &[String]) {
        for title in reference.mechanics.titles(src) {
            if !self.sources.iter().any(|known| known == title) {
                self.sources.push(title.to_owned());
            }
        }
    }
    /// Adds the caution of this id, from whichever pack has it.
    pub(super) fn caution(&mut self, reference: &Reference, id: &str) {
        if let Some(it) = reference.mechanics.cautions.iter().find(|it| it.id == id) {
            self.cautions.push(StepCaution {
                topic: it.topic.clone(),
                risk: it.risk.clone(),
                to_do: it.to_do.clone(),
                not_to_do: it.not_to_do.clone(),
                defer_to: it.defer_to.clone(),
                unverified: it.confidence == Confidence::Low,
            });
        } else if let Some(it) = reference.care.cautions.iter().find(|it| it.id == id) {
            self.cautions.push(StepCaution {
                topic: it.when.clone(),
                risk: it.text.clone(),
                to_do: Vec::new(),
                not_to_do: Vec::new(),
                defer_to: it.defer_to.clone().unwrap_or_default(),
                unverified: it.confidence == Confidence::Low,
            });
        }
    }
}
