//! What a printed service report shows: plain, in order, nothing in it that was not done or read.

use serde::Serialize;

use super::plan::ServicePlan;
use super::readings::{Change, ReadWhen, Reading, ShownLimit, change, limits, newest};
use crate::reference::Reference;

/// A line of the report.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct ReportLine {
    pub phase: String,
    pub words: String,
    /// What was put on, and how much.
    #[serde(skip_serializing_if = "String::is_empty")]
    pub product: String,
    /// Why not, or what was said of it.
    #[serde(skip_serializing_if = "String::is_empty")]
    pub reason: String,
}

/// A test with its figures.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ReportTest {
    pub label: String,
    pub unit: String,
    pub before: Vec<f64>,
    pub after: Vec<f64>,
    /// What was noted in words.
    #[serde(skip_serializing_if = "String::is_empty")]
    pub before_words: String,
    #[serde(skip_serializing_if = "String::is_empty")]
    pub after_words: String,
    /// What was noted with the readings.
    pub with: Vec<String>,
    /// None where only one side was read.
    pub change: Option<Change>,
    pub limits: Vec<ShownLimit>,
    /// Drawing of the figures; empty for a test in words.
    pub plot: String,
}

/// The report.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Report {
    pub title: String,
    pub done: Vec<ReportLine>,
    pub not_done: Vec<ReportLine>,
    /// Not marked at all: the service is not finished.
    pub open: Vec<ReportLine>,
    pub tests: Vec<ReportTest>,
    /// Readings of tests the packs do not know.
    pub problems: Vec<String>,
}

/// Makes the report of a service and its readings; of several readings on one side the newest counts.
pub fn report(reference: &Reference, plan: &ServicePlan, readings: &[Reading]) -> Report {
    let line = |item: &super::PlanItem| {
        let product = match (&item.product, &item.amount) {
            (Some(product), Some(amount)) => format!("{product}, {}", amount.words),
            (Some(product), None) => product.clone(),
            _ => String::new(),
        };
        ReportLine {
            phase: item.phase.words().to_owned(),
            words: format!("{}: {}", item.place, item.words),
            product,
            reason: item.marked.as_ref().map_or(String::new(), |mark| mark.reason.clone()),
        }
    };
    let those = |state: Option<bool>| -> Vec<ReportLine> {
        plan.items.iter().filter(|item| item.marked.as_ref().map(|mark| mark.done) == state).map(line).collect()
    };
    let mut tests = Vec::new();
    let mut problems = Vec::new();
    let mut ids: Vec<&str> = Vec::new();
    for reading in readings.iter().filter(|reading| !reading.test.is_empty()) {
        if !ids.contains(&reading.test.as_str()) {
            ids.push(&reading.test);
        }
    }
    for id in ids {
        let Some(test) = reference.work.test(id) else {
            problems.push(format!("The packs have no test “{id}”."));
            continue;
        };
        let (before, after) = (newest(readings, id, ReadWhen::Before), newest(readings, id, ReadWhen::After));
        if before.is_none() && after.is_none() {
            continue;
        }
        let words = |reading: Option<&Reading>| reading.map_or_else(String::new, |reading| reading.words.clone());
        let figures = |reading: Option<&Reading>| reading.map_or_else(Vec::new, |reading| reading.figures.clone());
        let (figures_before, figures_after) = (figures(before), figures(after));
        let plot = if figures_before.is_empty() && figures_after.is_empty() {
            String::new()
        } else {
            crate::drawing::readings(&test.label, &test.unit, &figures_before, &figures_after)
        };
        tests.push(ReportTest {
            label: test.label.clone(),
            unit: test.unit.clone(),
            with: [before, after]
                .into_iter()
                .flatten()
                .map(|r| r.with.clone())
                .filter(|with| !with.is_empty())
                .collect(),
            change: before.zip(after).map(|(before, after)| change(test, before, after)),
            limits: limits(reference, test),
            before_words: words(before),
            after_words: words(after),
            before: figures_before,
            after: figures_after,
            plot,
        });
    }
    Report {
        title: plan.label.clone(),
        done: those(Some(true)),
        not_done: those(Some(false)),
        open: those(None),
        tests,
        problems,
    }
}
