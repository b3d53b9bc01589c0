//! What tells look-alikes apart.

use serde::Serialize;

use super::build::Key;
use super::question::{Question, Rows};
use super::words;
use crate::error::{Error, Result};
use crate::observe::{About, How};
use crate::order;
use crate::reference::{EffortId, Model, Reference};

#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Difference {
    pub about: About,
    pub ask: String,
    pub effort: EffortId,
    /// Model id and what it has, in plain words.
    pub per_model: Vec<(String, String)>,
    /// Share of the confusion it removes, 0 to 1.
    pub power: f64,
}

#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Separation {
    /// The cheapest that decides first.
    pub differences: Vec<Difference>,
    /// Nothing on the outside decides.
    pub must_open: bool,
    /// Pairs that no recorded fact parts.
    pub inseparable: Vec<(String, String)>,
}

/// A check decides if a wrong guess after it is rarer than this share of those before.
const DECIDES: f64 = 0.85;
const TELLS: f64 = 0.1;

/// What parts the models, cheapest first.
///
/// # Errors
/// Fewer than two models, or one that the packs don't hold.
pub fn separate(key: &Key, reference: &Reference, models: &[&str]) -> Result<Separation> {
    let mut found: Vec<usize> = Vec::new();
    for id in models {
        let at = reference.models.iter().position(|m| m.id == *id);
        let at = at.ok_or_else(|| Error::unknown(format!("No model is called “{id}”.")))?;
        if !found.contains(&at) {
            found.push(at);
        }
    }
    if found.len() < 2 {
        return Err(Error::invalid("Name at least two different models to tell apart."));
    }
    let mut differences = Vec::new();
    let mut parted = vec![vec![0.0_f64; found.len()]; found.len()];
    let mut parted_outside = parted.clone();
    let mut consider = |about: About, ask: String, effort: EffortId, apart: Apart, per_model: Vec<String>| {
        let power = mean(&apart);
        if power < TELLS {
            return;
        }
        for (a, row) in apart.iter().enumerate() {
            for (b, power) in row.iter().enumerate() {
                parted[a][b] = parted[a][b].max(*power);
                if effort <= EffortId::Measure {
                    parted_outside[a][b] = parted_outside[a][b].max(*power);
                }
            }
        }
        let per_model =
            found.iter().zip(per_model).map(|(at, words)| (reference.models[*at].id.clone(), words)).collect();
        differences.push(Difference { about, ask, effort, per_model, power });
    };
    for (question, feature) in key.questions.iter().zip(&reference.questions.features) {
        let profiles: Vec<Option<Vec<usize>>> = found.iter().map(|model| profiles(key, question, *model)).collect();
        if profiles.iter().filter(|p| p.is_some()).count() < 2 {
            continue;
        }
        let apart = matrix(&profiles, |a, b| part(question, a, b));
        let told = found.iter().map(|at| told(feature, &reference.models[*at])).collect();
        consider(About::feature(&feature.id), feature.ask.clone(), feature.effort, apart, told);
    }
    for place in &reference.questions.mark_places {
        let struck: Vec<Option<Vec<&str>>> = found.iter().map(|at| struck(&reference.models[*at], &place.id)).collect();
        if struck.iter().filter(|s| s.is_some()).count() < 2 {
            continue;
        }
        let apart = matrix(&struck, |a, b| {
            // A text that the other may bear too tells nothing.
            let own = |a: &[&str], b: &[&str]| a.iter().filter(|t| !b.contains(t)).count() as f64 / a.len() as f64;
            own(a, b).min(own(b, a)) * 0.9
        });
        let told =
            struck.iter().map(|s| s.as_ref().map_or("not recorded".into(), |s| format!("“{}”", s.join("” or “"))));
        let ask = format!("What is struck here: {}?", words::lower_label(&place.label));
        consider(About::mark(&place.id), ask, place.effort, apart, told.collect());
    }
    // What decides comes first, by effort; then what only helps.
    order::by(&mut differences, |a, b| {
        let decides = |d: &Difference| d.power >= DECIDES;
        decides(b).cmp(&decides(a)).then_with(|| a.effort.cmp(&b.effort)).then(b.power.total_cmp(&a.power))
    });
    let pairs = || (0..found.len()).flat_map(|a| (a + 1..found.len()).map(move |b| (a, b)));
    let must_open = pairs().any(|(a, b)| parted_outside[a][b] < 0.5 && parted[a][b] >= 0.5);
    let id = |at: usize| reference.models[found[at]].id.clone();
    let inseparable = pairs().filter(|(a, b)| parted[*a][*b] < TELLS).map(|(a, b)| (id(a), id(b))).collect();
    Ok(Separation { differences, must_open, inseparable })
}

/// Power of a check for each pair of models.
type Apart = Vec<Vec<f64>>;

fn matrix<T>(of: &[Option<T>], part: impl Fn(&T, &T) -> f64) -> Apart {
    let power = |a: &Option<T>, b: &Option<T>| match (a, b) {
        (Some(a), Some(b)) => part(a, b),
        _ => 0.0,
    };
    of.iter().map(|a| of.iter().map(|b| power(a, b)).collect()).collect()
}

fn mean(apart: &Apart) -> f64 {
    let pairs = (apart.len() * (apart.len() - 1)) as f64;
    let sum: f64 = apart
        .iter()
        .enumerate()
        .flat_map(|(a, row)| row.iter().enumerate().filter(move |(b, _)| *b != a))
        .map(|(_, p)| p)
        .sum();
    sum / pairs
}

/// Distinct codes of a model's variants, if scored.
fn profiles(key: &Key, question: &Question, model: usize) -> Option<Vec<usize>> {
    let mut codes: Vec<usize> = (key.spans[model]..key.spans[model + 1])
        .map(|row| usize::from(question.code[row as usize]))
        .filter(|code| *code >= key.kinds.len())
        .collect();
    order::by(&mut codes, Ord::cmp);
    codes.dedup();
    (!codes.is_empty()).then_some(codes)
}

/// One less the overlap of the two models' answers.
fn part(question: &Question, a: &[usize], b: &[usize]) -> f64 {
    match &question.rows {
        Rows::Shares { width, shares } => {
            let mean = |codes: &[usize], answer: usize| {
                codes.iter().map(|code| f64::from(shares[code * width + answer])).sum::<f64>() / codes.len() as f64
            };
            1.0 - (0..*width).map(|answer| mean(a, answer).min(mean(b, answer))).sum::<f64>()
        }
        Rows::Sizes(sizes) => {
            // The nearest two sizes decide: how far apart they lie for a ruler.
            let unit = match &question.answers {
                super::question::Answers::Measure { unit } => unit.as_deref(),
                _ => None,
            };
            let apart = a.iter().flat_map(|a| b.iter().map(move |b| (&sizes[*a], &sizes[*b]))).map(|(a, b)| {
                let error = super::question::reading_error(a.value, How::Ruler, unit);
                (a.value - b.value).abs() / (a.spread.powi(2) + b.spread.powi(2) + 2.0 * error * error).sqrt()
            });
            let nearest = apart.fold(f64::MAX, f64::min);
            // Overlap of two normal curves so far apart, by a smooth stand-in for the error function.
            1.0 - (-0.35 * nearest * nearest - 0.35 * nearest).exp()
        }
    }
}

fn told(feature: &crate::reference::Feature, model: &Model) -> String {
    let mut told: Vec<String> = Vec::new();
    for fact in model.variants.iter().filter_map(|v| v.features.get(&feature.id)) {
        let words = words::fact_words(feature, fact);
        if !told.contains(&words) {
            told.push(words);
        }
    }
    if told.is_empty() { "not recorded".into() } else { told.join(" or ") }
}

fn struck<'a>(model: &'a Model, place: &str) -> Option<Vec<&'a str>> {
    let mut texts: Vec<&str> = model
        .variants
        .iter()
        .flat_map(|v| &v.marks)
        .filter(|m| m.place == place && !m.struck.is_empty())
        .map(|m| m.struck.as_str())
        .collect();
    order::by(&mut texts, Ord::cmp);
    texts.dedup();
    (!texts.is_empty()).then_some(texts)
}
