//! One piece of evidence, and what it says of each year.

use serde::Serialize;

use crate::reference::{Bound, Confidence, Years};

/// Why a year is likely, or not.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct YearReason {
    /// What was seen.
    pub what: String,
    /// What it tells, in a sentence.
    pub words: String,
    pub from: Option<i32>,
    pub to: Option<i32>,
    pub from_bound: Bound,
    pub to_bound: Bound,
    pub confidence: Confidence,
    /// `pack/key` of each source.
    pub sources: Vec<String>,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Kind {
    Patent,
    Wording,
    Construction,
    Code,
    Design,
    Box,
    Maker,
    Variant,
}

#[derive(Debug, Clone, PartialEq)]
pub(super) struct Evidence {
    pub reason: YearReason,
    pub kind: Kind,
    /// Where it was seen: a mark place or a feature.
    pub at: String,
    pub usual_from: Option<i32>,
    pub usual_to: Option<i32>,
    /// Share of what it can mean that had begun by each year; empty where all begins at once.
    pub begun: Vec<(i32, f64)>,
    /// On a part that is easily changed, or on the box: nothing of it holds for the whole reel.
    pub replaceable: bool,
    /// Share of such answers that are right, by the person's own certainty.
    pub trust: f64,
    /// Years it would give with one figure misread.
    pub reread: Vec<i32>,
}

impl Evidence {
    pub fn new(
        kind: Kind,
        at: &str,
        what: String,
        words: String,
        years: &Years,
        confidence: Confidence,
        sources: Vec<String>,
    ) -> Self {
        Self {
            reason: YearReason {
                what,
                words,
                from: years.from,
                to: years.to,
                from_bound: years.from_bound,
                to_bound: years.to_bound,
                confidence,
                sources,
            },
            kind,
            at: at.to_owned(),
            usual_from: years.usual_from,
            usual_to: years.usual_to,
            begun: Vec::new(),
            replaceable: false,
            trust: 1.0,
            reread: Vec::new(),
        }
    }

    /// Hard ends only where the fact is trusted, the person is sure, and it holds for the whole reel.
    pub fn settle_bounds(&mut self) {
        if self.reason.confidence == Confidence::Low || self.replaceable || self.trust < 1.0 {
            self.reason.from_bound = Bound::Soft;
            self.reason.to_bound = Bound::Soft;
        }
    }

    pub fn tells_years(&self) -> bool {
        self.reason.from.is_some() || self.reason.to.is_some() || self.usual_from.is_some() || self.usual_to.is_some()
    }

    pub fn hard_from(&self) -> Option<i32> {
        self.reason.from.filter(|_| self.reason.from_bound == Bound::Hard)
    }
    pub fn hard_to(&self) -> Option<i32> {
        self.reason.to.filter(|_| self.reason.to_bound == Bound::Hard)
    }

    /// How well a year agrees, 0 to 1. `soften` takes hard ends for soft ones, for a reel whose marks contradict.
    pub fn agrees(&self, year: i32, soften: bool) -> f64 {
        // Chance that a reel of the year before a soft end turns up after all, its fall per year, and the least.
        let (tail, least, unusual) = match self.reason.confidence {
            Confidence::High => (0.01, 0.000_2, 0.3),
            Confidence::Medium => (0.025, 0.000_3, 0.3),
            Confidence::Low => (0.15, 0.005, 0.6),
        };
        let outside = |distance: i32, bound: Bound| match bound {
            Bound::Hard if !soften => 0.0,
            _ => f64::max(least, tail * (-f64::from(distance - 1) / 2.0).exp()),
        };
        let inside = match (self.reason.from, self.reason.to) {
            (Some(from), _) if year < from => outside(from - year, self.reason.from_bound),
            (_, Some(to)) if year > to => outside(year - to, self.reason.to_bound),
            _ => {
                let begun = match self.begun.iter().rev().find(|(from, _)| *from <= year) {
                    Some((_, share)) => *share,
                    None => 1.0,
                };
                let usual =
                    self.usual_from.is_none_or(|from| year >= from) && self.usual_to.is_none_or(|to| year <= to);
                begun * if usual { 1.0 } else { unusual }
            }
        };
        let whole = if self.replaceable { 0.5 + 0.5 * inside } else { inside };
        if self.trust < 1.0 { self.trust * whole + (1.0 - self.trust) } else { whole }
    }
}

/// `1945 to 1952`, `from 1933`, `until 1914`, `1939`.
pub fn span_words(from: Option<i32>, to: Option<i32>) -> String {
    match (from, to) {
        (Some(from), Some(to)) if from == to => from.to_string(),
        (Some(from), Some(to)) => format!("{from} to {to}"),
        (Some(from), None) => format!("from {from}"),
        (None, Some(to)) => format!("until {to}"),
        (None, None) => "no years".to_owned(),
    }
}

/// The span with its usual years.
pub(super) fn years_words(years: &Years) -> String {
    let mut words = span_words(years.from, years.to);
    if years.usual_from.is_some() || years.usual_to.is_some() {
        let usual = span_words(years.usual_from, years.usual_to);
        if years.from.is_none() && years.to.is_none() {
            words = format!("usually {usual}");
        } else if usual != words {
            words.push_str(&format!(", usually {usual}"));
        }
    }
    words
}
