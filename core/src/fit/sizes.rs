//! Do two parts match by their measures, and does a bore run on a shaft?
//!
//! A measure keeps all its readings. One's own count before those of a printed page; where readings differ, the span between
//! them is what is known.

use serde::{Deserialize, Serialize};

use super::Verdict;
use crate::observe::Unit;
use crate::reference::{MeasureKind, PartsPack};

/// One reading of one measure.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct Reading {
    /// Id of the measure, such as `bore`.
    pub measure: String,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub amount: Option<f64>,
    /// Millimetres, grams or a count where left out.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub unit: Option<Unit>,
    /// What is no figure: a form, a thread.
    #[serde(skip_serializing_if = "String::is_empty")]
    pub words: String,
    /// Where it was read; empty: measured on the thing itself.
    #[serde(skip_serializing_if = "String::is_empty")]
    pub source: String,
    #[serde(skip_serializing_if = "String::is_empty")]
    pub when: String,
}

impl Reading {
    /// A measure taken oneself, in millimetres.
    pub fn mm(measure: &str, amount: f64) -> Self {
        Self { measure: measure.into(), amount: Some(amount), ..Self::default() }
    }

    fn base(&self) -> Option<f64> {
        self.amount.filter(|amount| amount.is_finite()).map(|amount| amount * self.unit.unwrap_or(Unit::Mm).to_base())
    }
}

/// One measure of two parts beside each other.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Compared {
    pub measure: String,
    pub agrees: bool,
    /// How far apart, in the measure's unit; below nothing: what is there is smaller than what is wanted.
    pub off: f64,
    pub words: String,
}

/// What the measures say.
#[derive(Debug, Clone, Default, PartialEq, Serialize)]
pub struct SizeMatch {
    /// None: nothing could be compared.
    pub verdict: Option<Verdict>,
    pub compared: Vec<Compared>,
    /// Measures that decide for this role and could not be compared, as labels.
    pub missing: Vec<String>,
    pub cure: Option<String>,
    pub checks: Vec<String>,
}

/// Material that a bench takes off without thinking twice, in millimetres. A judgement.
const CURE_MAX_MM: f64 = 0.3;
/// Two readings of one thing further apart than this call for a third, in millimetres. A judgement.
const SPREAD_MM: f64 = 0.05;
/// A bore this much over its shaft rattles, in millimetres. A judgement.
const SLACK_MM: f64 = 0.2;

/// What is known of one measure: the span of the readings that count.
fn span(readings: &[Reading], measure: &str) -> Option<(f64, f64)> {
    let of = |own: bool| {
        let counted = readings.iter().filter(|one| one.measure == measure && one.source.is_empty() == own);
        counted.filter_map(Reading::base).fold(None, |span: Option<(f64, f64)>, value| {
            Some(span.map_or((value, value), |(low, high)| (low.min(value), high.max(value))))
        })
    };
    of(true).or_else(|| of(false))
}

/// Compares a part with what is wanted, by the measures that decide for its role.
pub fn compare(parts: &PartsPack, role: &str, wanted: &[Reading], have: &[Reading]) -> SizeMatch {
    let mut out = SizeMatch::default();
    if wanted.is_empty() && have.is_empty() {
        return out;
    }
    let deciding: Vec<&str> = match parts.role(role) {
        Some(role) => role.measures.iter().map(String::as_str).collect(),
        None => Vec::new(),
    };
    let also = wanted.iter().map(|one| one.measure.as_str()).filter(|id| !deciding.contains(id));
    let mut ids: Vec<&str> = deciding.iter().copied().chain(also).collect();
    ids.dedup();
    let mut worst: Option<Verdict> = None;
    for id in ids {
        let plain = MeasureKind {
            id: id.into(),
            label: id.into(),
            unit: "mm".into(),
            tol: Some(0.1),
            ..MeasureKind::default()
        };
        let kind = parts.measure(id).unwrap_or(&plain);
        if kind.unit == "text" {
            text(kind, wanted, have, &mut out, &mut worst);
            continue;
        }
        let (Some(want), Some(has)) = (span(wanted, id), span(have, id)) else {
            if deciding.contains(&id) {
                out.missing.push(kind.label.clone());
            }
            continue;
        };
        for (what, (low, high)) in [("wanted", want), ("there", has)] {
            if high - low > kind.tol.unwrap_or(SPREAD_MM).max(SPREAD_MM) {
                out.checks.push(format!(
                    "{}: the readings of what is {what} run from {} to {}; measure again and keep each reading.",
                    kind.label,
                    figure(low, &kind.unit),
                    figure(high, &kind.unit)
                ));
            }
        }
        // Nothing where the spans touch.
        let off = if has.0 > want.1 {
            has.0 - want.1
        } else if has.1 < want.0 {
            has.1 - want.0
        } else {
            0.0
        };
        let tol = kind.tol.unwrap_or(0.0);
        let agrees = off.abs() <= tol + 1e-9;
        let middle = |(low, high): (f64, f64)| figure((low + high) / 2.0, &kind.unit);
        let words = match (agrees, off == 0.0) {
            (true, true) => format!("{}: {} as wanted", kind.label, middle(has)),
            (true, false) => {
                let words = format!("{}: {} for {} wanted", kind.label, middle(has), middle(want));
                format!("{words}, within {}", figure(tol, &kind.unit))
            }
            (false, _) => format!(
                "{}: {} for {} wanted, {} {}",
                kind.label,
                middle(has),
                middle(want),
                figure(off.abs(), &kind.unit),
                if off > 0.0 { "too large" } else { "too small" }
            ),
        };
        if !agrees {
            let grows = matches!(id, "bore" | "slot" | "hole-spacing");
            let takes_off = kind.unit == "mm" && if grows { off < 0.0 && id == "bore" } else { off > 0.0 };
            let curable = takes_off && off.abs() <= CURE_MAX_MM && !matches!(id, "wire" | "module" | "lead");
            if curable {
                let how = if id == "bore" { "ream or polish the bore" } else { "take the part down" };
                out.cure = Some(format!("{how} by {}, after measuring twice", figure(off.abs(), &kind.unit)));
            }
            let now = if curable { Verdict::DoesNotFitAsIs } else { Verdict::DoesNotFit };
            worst = Some(if worst == Some(Verdict::DoesNotFit) { Verdict::DoesNotFit } else { now });
        }
        out.compared.push(Compared { measure: id.into(), agrees, off, words });
    }
    out.verdict = if out.compared.is_empty() { None } else { Some(worst.unwrap_or(Verdict::FitsBySize)) };
    if out.verdict != Some(Verdict::DoesNotFitAsIs) {
        out.cure = None;
    }
    out
}

/// Measures in words agree or not; nothing in between.
fn text(kind: &MeasureKind, wanted: &[Reading], have: &[Reading], out: &mut SizeMatch, worst: &mut Option<Verdict>) {
    let said = |readings: &[Reading]| {
        let one = readings.iter().rfind(|one| one.measure == kind.id && !one.words.trim().is_empty());
        one.map(|one| one.words.trim().to_lowercase())
    };
    let (Some(want), Some(has)) = (said(wanted), said(have)) else {
        return out.missing.push(kind.label.clone());
    };
    let agrees = want == has;
    let words = if agrees {
        format!("{}: {has} as wanted", kind.label)
    } else {
        format!("{}: {has} where {want} is wanted", kind.label)
    };
    if !agrees {
        *worst = Some(Verdict::DoesNotFit);
    }
    out.compared.push(Compared { measure: kind.id.clone(), agrees, off: 0.0, words });
}

/// Whether a bore runs on a shaft: every reading of both counts.
pub fn running(shaft: &[Reading], hole: &[Reading]) -> SizeMatch {
    let all = |readings: &[Reading]| -> Option<(f64, f64)> {
        let values = readings.iter().filter_map(Reading::base);
        values.fold(None, |span: Option<(f64, f64)>, v| {
            Some(span.map_or((v, v), |(low, high)| (low.min(v), high.max(v))))
        })
    };
    let (Some((thin, thick)), Some((narrow, open))) = (all(shaft), all(hole)) else { return SizeMatch::default() };
    let (most, least) = (open - thin, narrow - thick);
    let mut out = SizeMatch::default();
    let mut words = format!("Bore on shaft: {} of clearance", figure(most, "mm"));
    if most - least > 1e-9 {
        words.push_str(&format!(" by the widest reading, {} by the narrowest", figure(least, "mm")));
    }
    let runs = least > 1e-9;
    out.verdict = Some(if runs && least <= SLACK_MM {
        Verdict::FitsBySize
    } else if runs {
        out.checks.push("It will rattle: look whether a bush belongs in between.".into());
        Verdict::FitsWithCheck
    } else if -most <= CURE_MAX_MM {
        out.cure = Some("ream or polish the bore to give running clearance, only after measuring twice".into());
        out.checks.push("Forced on, it will bind and scrape off the oil.".into());
        Verdict::DoesNotFitAsIs
    } else {
        Verdict::DoesNotFit
    });
    if shaft.len() < 2 || hole.len() < 2 || most - least > 0.02 {
        out.checks.push("Measure more than once and keep each reading.".into());
    }
    out.compared.push(Compared { measure: "bore".into(), agrees: runs, off: most, words });
    out
}

/// A figure with its unit; millimetres in inches too.
pub fn figure(value: f64, unit: &str) -> String {
    match unit {
        "mm" => format!("{} mm ({} in)", short(value, 3), short(value / 25.4, 4)),
        "count" => short(value, 0),
        unit => format!("{} {unit}", short(value, 2)),
    }
}

fn short(value: f64, decimals: usize) -> String {
    let text = format!("{value:.decimals$}");
    let text = if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.') } else { &text };
    if text == "-0" { "0".into() } else { text.to_owned() }
}
