//! One question laid out for speed: every variant's answer is a small code into the question's distinct answer
//! profiles, so that an observation is judged once per profile and then added to all variants in one pass.

use std::collections::BTreeMap;

use crate::observe::{Certainty, How, Observation, Unit, Value};
use crate::reference::{Confidence, Feature, FeatureFact, FeatureType};

/// Share of reels of which a fact does not hold though the packs state it.
fn doubt(confidence: Confidence) -> f64 {
    match confidence {
        Confidence::High => 0.02,
        Confidence::Medium => 0.05,
        Confidence::Low => 0.2,
    }
}

/// Share of answers that tell nothing of the reel, by how firmly they are put.
pub(super) fn slip(certainty: Certainty) -> f64 {
    match certainty {
        Certainty::Sure => 0.05,
        Certainty::Likely => 0.2,
        Certainty::Guess => 0.5,
    }
}

/// Owners change this part: so many of the reels show somebody else's.
const REPLACED: f64 = 0.2;
/// Two states that people mistake for each other are mistaken this often.
const CONFUSED: f64 = 0.12;
/// A count is one off this often, each way.
const MISCOUNTED: f64 = 0.03;
/// Any finish can have come to look worn.
const WORN: f64 = 0.12;
/// A reel like a known one, but not of the packs, differs from it in this share of the questions.
pub(super) const UNLIKE: f64 = 0.1;
/// How much less a reel can show what its kind does not have.
const OUT_OF_PLACE: f64 = 0.15;
/// Highest count told apart; anything above is answered by the last.
const MOST_COUNTED: usize = 120;

/// What answers look like.
#[derive(Debug, Clone)]
pub(super) enum Answers {
    /// States of a choice by id. `absent` is the state that says it is not there.
    States { ids: Vec<String>, absent: usize },
    /// Counts `0..most`.
    Counts { most: usize },
    /// An amount in this unit (`mm`, `g` or none).
    Measure { unit: Option<String> },
}

/// How a profile, or the reels of a kind at large, answer the question.
#[derive(Debug, Clone)]
pub(super) enum Rows {
    /// Chance of every answer, row after row.
    Shares { width: usize, shares: Vec<f32> },
    /// Value, its spread and the doubt of the fact; a kind at large has mean and spread of ln(value) instead.
    Sizes(Vec<Size>),
}

#[derive(Debug, Clone, Copy)]
pub(super) struct Size {
    pub value: f64,
    pub spread: f64,
    pub doubt: f64,
}

/// What one observation is worth for each code: nats for the variant itself and for a reel like it, both against the
/// reels at large.
pub(super) type Worth = Vec<[f32; 2]>;

#[derive(Debug, Clone)]
pub(super) struct Question {
    pub id: String,
    pub answers: Answers,
    /// Per variant. Codes below the number of kinds mean "not scored" and stand for the variant's kind at large.
    pub code: Vec<u16>,
    pub rows: Rows,
    /// All reels at large: a share per answer, or mean and spread of ln(value).
    pub at_large: Vec<f32>,
    /// Kinds of reel the question is asked of.
    pub applies: Vec<bool>,
    pub kinds: usize,
    /// Unlike reels of the same looks are still of the same kind.
    pub unlike: f64,
}

/// What the builder knows of a variant that is scored on the question.
pub(super) struct Scored<'a> {
    /// Number of the variant.
    pub row: usize,
    pub kind: usize,
    /// Share of the variant among all, times their number.
    pub weight: f64,
    pub fact: &'a FeatureFact,
    pub shown: Option<&'a BTreeMap<String, u32>>,
}

impl Question {
    /// `code`: the kind of each variant, scored or not. `scored`: those that are, which are few, in their order.
    pub fn build(feature: &Feature, kinds: &[String], code: Vec<u16>, scored: &[Scored]) -> Self {
        let applies: Vec<bool> = kinds.iter().map(|kind| feature.applies_to(kind)).collect();
        let mut question = Question {
            id: feature.id.clone(),
            answers: Answers::Measure { unit: feature.unit.clone() },
            code,
            rows: Rows::Sizes(Vec::new()),
            at_large: Vec::new(),
            applies,
            kinds: kinds.len(),
            unlike: UNLIKE,
        };
        match feature.kind {
            FeatureType::Measure => question.build_measure(feature, scored),
            FeatureType::Choice => {
                let mut ids: Vec<String> = feature.states.iter().map(|s| s.id.clone()).collect();
                let absent = ids.iter().position(|id| matches!(id.as_str(), "none" | "no" | "absent"));
                let absent = absent.unwrap_or_else(|| {
                    ids.push("absent".into());
                    ids.len() - 1
                });
                question.answers = Answers::States { ids, absent };
                question.build_shares(feature, scored);
            }
            FeatureType::Count => {
                let most = scored.iter().filter_map(|s| s.fact.value).fold(10.0, f64::max) as usize + 4;
                question.answers = Answers::Counts { most: most.min(MOST_COUNTED) };
                question.build_shares(feature, scored);
            }
        }
        question
    }

    fn width(&self) -> usize {
        match &self.answers {
            Answers::States { ids, .. } => ids.len(),
            Answers::Counts { most } => *most,
            Answers::Measure { .. } => 2,
        }
    }

    /// The answer that a state's id or a count stands for.
    pub fn answer(&self, text: &str) -> Option<usize> {
        match &self.answers {
            Answers::States { ids, absent } if text == "absent" && !ids.is_empty() => Some(*absent),
            Answers::States { ids, .. } => ids.iter().position(|id| id == text),
            Answers::Counts { most } => text.parse::<usize>().ok().map(|count| count.min(most - 1)),
            Answers::Measure { .. } => None,
        }
    }

    fn build_shares(&mut self, feature: &Feature, scored: &[Scored]) {
        let width = self.width();
        // The truth of each distinct profile first, then the kinds at large, then what an onlooker makes of either.
        let mut profiles: Vec<(Vec<u32>, Vec<f64>, f64)> = Vec::new();
        let mut found: BTreeMap<Vec<u32>, usize> = BTreeMap::new();
        let mut of_variant: Vec<Option<usize>> = Vec::with_capacity(scored.len());
        for variant in scored {
            let truth = self.truth(variant.fact, variant.shown);
            of_variant.push(truth.map(|(shares, doubt)| {
                let mut key: Vec<u32> = shares.iter().map(|s| (s * 1000.0).round() as u32).collect();
                key.push((doubt * 1000.0) as u32);
                *found.entry(key.clone()).or_insert_with(|| {
                    profiles.push((key, shares, doubt));
                    profiles.len() - 1
                })
            }));
        }
        let at_large = |kind: Option<usize>, beside: &[f64], weight: f64| {
            let mut sum: Vec<f64> = beside.iter().map(|b| b * weight).collect();
            let mut total = weight;
            for (variant, profile) in scored.iter().zip(&of_variant) {
                let Some(profile) = profile else { continue };
                if kind.is_none_or(|kind| kind == variant.kind) {
                    total += variant.weight;
                    sum.iter_mut().zip(&profiles[*profile].1).for_each(|(s, p)| *s += p * variant.weight);
                }
            }
            sum.iter_mut().for_each(|s| *s /= total);
            sum
        };
        let even = match &self.answers {
            // Small counts are met more than large ones.
            Answers::Counts { most } => {
                let weights: Vec<f64> = (0..*most).map(|n| 1.0 / (n as f64 + 3.0)).collect();
                let total: f64 = weights.iter().sum();
                weights.iter().map(|w| w / total).collect()
            }
            _ => vec![1.0 / width as f64; width],
        };
        let blur = self.blur(feature);
        let all = at_large(None, &even, 3.0);
        let large: Vec<f64> = blurred(&all, &blur);
        let is_kind = feature.id == "reel_kind";
        let mut shares: Vec<f32> = Vec::new();
        for kind in 0..self.kinds {
            let of_kind = if is_kind { at_large(Some(kind), &even, 0.01) } else { at_large(Some(kind), &all, 4.0) };
            let fits = if self.applies[kind] { 1.0 } else { OUT_OF_PLACE };
            shares.extend(blurred(&of_kind, &blur).iter().map(|s| (s * fits) as f32));
        }
        let replaced = if feature.replaceable { REPLACED } else { 0.0 };
        for (_, truth, doubt) in &profiles {
            let astray = doubt.max(replaced);
            let seen = blurred(truth, &blur);
            shares.extend(seen.iter().zip(&large).map(|(s, l)| (s * (1.0 - astray) + l * astray) as f32));
        }
        for (variant, profile) in scored.iter().zip(&of_variant) {
            if let Some(profile) = profile
                && self.kinds + profile <= usize::from(u16::MAX)
            {
                self.code[variant.row] = (self.kinds + profile) as u16;
            }
        }
        self.unlike = if is_kind { 0.0 } else { UNLIKE };
        self.at_large = large.iter().map(|l| *l as f32).collect();
        self.rows = Rows::Shares { width, shares };
    }

    /// Shares over the answers as the packs and the shop's own finds have them, and how much to doubt them.
    fn truth(&self, fact: &FeatureFact, shown: Option<&BTreeMap<String, u32>>) -> Option<(Vec<f64>, f64)> {
        let width = self.width();
        let mut shares = vec![0.0; width];
        for (state, weight) in &fact.states {
            if let Some(answer) = self.answer(state) {
                shares[answer] += weight.max(0.0);
            }
        }
        if let (Some(value), Answers::Counts { most }) = (fact.value, &self.answers) {
            let tol = fact.tol.unwrap_or(0.0).round();
            let value = value.round().clamp(0.0, *most as f64 - 1.0);
            let last = ((value + tol) as usize).min(most - 1);
            let first = (value - tol).max(0.0) as usize;
            shares[first..=last].iter_mut().for_each(|s| *s += 1.0);
        }
        let total: f64 = shares.iter().sum();
        if total <= 0.0 {
            return None;
        }
        shares.iter_mut().for_each(|s| *s /= total);
        let mut doubt = doubt(fact.confidence);
        if let Some(shown) = shown {
            // The packs' word counts as five finds; the more finds, the less doubt.
            let own: f64 = shown.values().map(|n| f64::from(*n)).sum();
            for (state, count) in shown {
                if let Some(answer) = self.answer(state) {
                    shares[answer] += f64::from(*count) / 5.0;
                }
            }
            let total: f64 = shares.iter().sum();
            shares.iter_mut().for_each(|s| *s /= total);
            doubt *= 5.0 / (5.0 + own);
        }
        Some((shares, doubt))
    }

    /// How answers drift: from each answer to others, with their chances.
    fn blur(&self, feature: &Feature) -> Vec<(usize, usize, f64)> {
        let mut drifts = Vec::new();
        match &self.answers {
            Answers::States { ids, .. } => {
                let at = |id: &str| ids.iter().position(|state| state == id);
                for [a, b] in &feature.easily_confused {
                    if let (Some(a), Some(b)) = (at(a), at(b)) {
                        drifts.extend([(a, b, CONFUSED), (b, a, CONFUSED)]);
                    }
                }
                if let Some(worn) = at("worn") {
                    drifts.extend((0..ids.len()).filter(|from| *from != worn).map(|from| (from, worn, WORN)));
                }
            }
            Answers::Counts { most } => {
                // Nobody miscounts none.
                for from in 1..*most {
                    drifts.push((from, from - 1, MISCOUNTED * if from == 1 { 0.3 } else { 1.0 }));
                    if from + 1 < *most {
                        drifts.push((from, from + 1, MISCOUNTED));
                    }
                }
            }
            Answers::Measure { .. } => {}
        }
        drifts
    }

    fn build_measure(&mut self, feature: &Feature, scored: &[Scored]) {
        // Distinct sizes on a fine log scale (half a per cent), so that ten thousand variants share some hundreds.
        let mut found: BTreeMap<Vec<u32>, usize> = BTreeMap::new();
        let mut sizes: Vec<Size> = Vec::new();
        let mut logs: Vec<(usize, f64, f64)> = Vec::new();
        for variant in scored {
            let fact = variant.fact;
            let Some(value) = fact.value.filter(|value| *value > 0.0) else { continue };
            logs.push((variant.kind, value.ln(), variant.weight));
            let spread = fact.tol.unwrap_or(0.0).max(value * 0.003);
            // Only told apart, never put in order: the sign may fold over.
            let (size, about) = ((value.ln() * 200.0).round() as i32, (spread.ln() * 8.0).round() as i32);
            let key = vec![size as u32, about as u32, fact.confidence as u32];
            let next = self.kinds + found.len();
            if next > usize::from(u16::MAX) && !found.contains_key(&key) {
                continue;
            }
            self.code[variant.row] = *found.entry(key).or_insert_with(|| {
                let replaced = if feature.replaceable { REPLACED } else { 0.0 };
                sizes.push(Size { value, spread, doubt: doubt(fact.confidence).max(replaced) });
                next
            }) as u16;
        }
        let spot = |kind: Option<usize>, beside: (f64, f64), weight: f64| {
            let mut sum = (weight, weight * beside.0, weight * (beside.1.powi(2) + beside.0.powi(2)));
            for (of, log, weight) in &logs {
                if kind.is_none_or(|kind| kind == *of) {
                    sum = (sum.0 + weight, sum.1 + weight * log, sum.2 + weight * log * log);
                }
            }
            let mean = sum.1 / sum.0;
            (mean, (sum.2 / sum.0 - mean * mean).max(0.0).sqrt().max(0.2))
        };
        let [least, most] = feature.plausible.unwrap_or([5.0, 120.0]);
        let (least, most) = (least.max(0.1).ln(), most.max(0.2).ln());
        let all = spot(None, ((least + most) / 2.0, ((most - least) / 3.5).max(0.3)), 2.0);
        let mut rows: Vec<Size> = (0..self.kinds)
            .map(|kind| {
                let (mean, spread) = spot(Some(kind), all, 3.0);
                Size { value: mean, spread, doubt: if self.applies[kind] { 1.0 } else { OUT_OF_PLACE } }
            })
            .collect();
        rows.extend(sizes);
        self.at_large = vec![all.0 as f32, all.1 as f32];
        self.rows = Rows::Sizes(rows);
    }

    /// Judges an observation: nats per code. `Ok(None)` if it tells nothing.
    ///
    /// # Errors
    /// A sentence saying why the answer does not go with the question.
    pub fn judge(&self, seen: &Observation) -> Result<Option<Worth>, String> {
        let slip = slip(seen.certainty);
        let text;
        let answer = match (&seen.value, &self.answers) {
            (Value::Unclear, _) => return Ok(None),
            (Value::Measure { amount, unit }, Answers::Measure { unit: asked }) => {
                let matches = match asked.as_deref() {
                    Some("mm") => matches!(unit, Unit::Mm | Unit::In),
                    Some("g") => matches!(unit, Unit::G | Unit::Oz),
                    _ => matches!(unit, Unit::Ratio),
                };
                let amount = amount * unit.to_base();
                if !matches || !amount.is_finite() || amount <= 0.0 {
                    return Err(format!(
                        "“{}” asks for an amount in {}.",
                        self.id,
                        asked.as_deref().unwrap_or("turns")
                    ));
                }
                let error = match seen.plus_minus.filter(|stated| stated.is_finite()) {
                    Some(stated) => stated_error(amount, stated * unit.to_base()),
                    None => reading_error(amount, seen.how, asked.as_deref()),
                };
                return Ok(Some(self.judge_size(amount, error, slip)));
            }
            (Value::State(state), Answers::States { .. }) => state.as_str(),
            (Value::Count(count), Answers::Counts { .. }) => {
                text = count.to_string();
                &text
            }
            (Value::Absent, Answers::States { .. }) => "absent",
            (Value::Absent, Answers::Counts { .. }) => "0",
            (value, _) => return Err(format!("“{}” cannot be answered with {}.", self.id, in_words(value))),
        };
        let answer = self.answer(answer).ok_or_else(|| format!("“{}” has no state “{answer}”.", self.id))?;
        let Rows::Shares { width, shares } = &self.rows else {
            return Ok(None);
        };
        let large = f64::from(self.at_large[answer]);
        let chances = shares.chunks_exact(*width).map(|row| f64::from(row[answer]) / large);
        Ok(Some(self.worth(chances, slip)))
    }

    fn judge_size(&self, amount: f64, error: f64, slip: f64) -> Worth {
        let Rows::Sizes(rows) = &self.rows else {
            return Vec::new();
        };
        let (mean, spread) = (f64::from(self.at_large[0]), f64::from(self.at_large[1]));
        // A tail that is never quite nothing keeps an odd size from deciding alone.
        let large = (bell(amount.ln(), mean, spread) + 0.02 / spread) / amount;
        let chances = rows.iter().enumerate().map(|(code, row)| {
            if code < self.kinds {
                row.doubt * (bell(amount.ln(), row.value, row.spread) + 0.02 / row.spread) / amount / large
            } else {
                let near = bell(amount, row.value, row.spread.hypot(error));
                (1.0 - row.doubt) * near / large + row.doubt
            }
        });
        self.worth(chances, slip)
    }

    fn worth(&self, chances: impl Iterator<Item = f64>, slip: f64) -> Worth {
        chances
            .enumerate()
            .map(|(code, chance)| {
                let itself = chance * (1.0 - slip) + slip;
                let unlike = if code < self.kinds { 0.0 } else { self.unlike };
                [itself.ln() as f32, (itself * (1.0 - unlike) + unlike).ln() as f32]
            })
            .collect()
    }
}

fn blurred(truth: &[f64], drifts: &[(usize, usize, f64)]) -> Vec<f64> {
    let mut seen = truth.to_vec();
    for (from, to, chance) in drifts {
        seen[*from] -= truth[*from] * chance;
        seen[*to] += truth[*from] * chance;
    }
    seen.iter_mut().for_each(|s| *s = s.max(0.0));
    seen
}

fn bell(x: f64, mean: f64, spread: f64) -> f64 {
    let z = (x - mean) / spread;
    (-0.5 * z * z).exp() / (spread * 2.506_628_274_631)
}

/// Standard error of a reading, in the question's unit.
pub(super) fn reading_error(amount: f64, how: How, unit: Option<&str>) -> f64 {
    match (unit, how) {
        (Some("mm"), How::Ruler) => 1.0,
        (Some("mm"), How::Calliper) => 0.2,
        (Some("mm"), How::Photo) => amount * 0.03,
        (Some("g"), How::Eye | How::Photo) => amount * 0.15,
        (Some("g"), _) => amount * 0.02,
        (None, _) => amount * 0.03 + 0.05,
        _ => amount * 0.08,
    }
}

/// Standard error of a reading with a ± that holds in 95 of 100. A part of the reading is added for what no ± knows of:
/// where exactly the ends were taken, and that the reel does not lie quite level.
fn stated_error(amount: f64, plus_minus: f64) -> f64 {
    (plus_minus / 2.0).hypot(amount * 0.01)
}

fn in_words(value: &Value) -> &'static str {
    match value {
        Value::State(_) => "a state",
        Value::Count(_) => "a count",
        Value::Measure { .. } => "a measure",
        Value::Text(_) => "lettering",
        Value::Absent => "“not there”",
        _ => "“can't tell”",
    }
}
