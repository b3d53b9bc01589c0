//! Function tests read before and after, and whether the difference counts.

use serde::{Deserialize, Serialize};

use crate::reference::{Aim, ChangeBy, FunctionTest, Limit, Reference};

#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum ReadWhen {
    /// As found, before any tool.
    Before,
    After,
}

/// One going through a test: its figures, or words where it has none.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Reading {
    /// Id of the test.
    pub test: String,
    pub when: ReadWhen,
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub figures: Vec<f64>,
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub words: String,
    /// What has to be known with it: line load, heat, whose hands.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub with: String,
    pub at_ms: i64,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Verdict {
    Better,
    Worse,
    /// It reads otherwise, and neither way is better by itself.
    Changed,
    NoChange,
    /// A person judges, or something is missing.
    CannotTell,
}

impl Verdict {
    pub fn words(self) -> &'static str {
        match self {
            Self::Better => "better",
            Self::Worse => "worse",
            Self::Changed => "changed",
            Self::NoChange => "no change that counts",
            Self::CannotTell => "for you to judge",
        }
    }
}

/// Before against after.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Change {
    pub test: String,
    /// Middle figures, or means where the test goes by the mean.
    pub before: Option<f64>,
    pub after: Option<f64>,
    /// Most minus least, the wider of the two.
    pub spread: Option<f64>,
    pub verdict: Verdict,
    /// With figures, unit and rule.
    pub words: String,
}

/// A limit with where it comes from and what it applies to; there is no other way to show one.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct ShownLimit {
    pub value: String,
    pub applies: String,
    /// Titles of the sources.
    pub sources: Vec<String>,
}

/// The limits of a test that may be shown: each with a source that resolves.
pub fn limits(reference: &Reference, test: &FunctionTest) -> Vec<ShownLimit> {
    let work = &reference.work;
    let shown = |limit: &Limit| {
        let sources: Vec<String> =
            limit.src.iter().filter_map(|key| work.sources.get(key)).map(|source| source.title.clone()).collect();
        let shown = ShownLimit { value: limit.value.clone(), applies: limit.applies.clone(), sources };
        (!shown.sources.is_empty() && !shown.applies.trim().is_empty()).then_some(shown)
    };
    test.limits.iter().filter_map(shown).collect()
}

/// Figures as people write them: `12 13 12`, `12; 13`, `2.5, 3`.
///
/// # Errors
/// A sentence about the first that is none, or could be two things.
pub fn figures_of(text: &str) -> Result<Vec<f64>, String> {
    let mut figures = Vec::new();
    for word in text.split([' ', '\t', '\n', ';']) {
        let word = word.trim_matches(',');
        if word.is_empty() {
            continue;
        }
        // `12,5` is one figure to some and two to others; `12,13,12` is three to all.
        if word.matches(',').count() == 1 {
            return Err(format!(
                "“{word}” can be one figure or two: write a point for decimals, a space between figures."
            ));
        }
        for figure in word.split(',') {
            match figure.parse::<f64>() {
                Ok(figure) if figure.is_finite() => figures.push(figure),
                _ => return Err(format!("“{figure}” is no figure: write it as 12 or 2.5.")),
            }
        }
    }
    Ok(figures)
}

/// The newest reading of a test on one side; none where the newest says nothing, which takes the older back.
pub fn newest<'a>(readings: &'a [Reading], test: &str, when: ReadWhen) -> Option<&'a Reading> {
    let of_it = |reading: &&Reading| reading.test == test && reading.when == when;
    let newest = readings.iter().filter(of_it).max_by_key(|reading| reading.at_ms)?;
    (!newest.figures.is_empty() || !newest.words.trim().is_empty()).then_some(newest)
}

/// Compares two goings through a test, by its own rule.
pub fn change(test: &FunctionTest, before: &Reading, after: &Reading) -> Change {
    let rule = &test.change;
    let by_mean = rule.by == ChangeBy::Mean;
    let typical = |figures: &[f64]| if by_mean { mean(figures) } else { middle(figures) };
    let (a, b) = (typical(&before.figures), typical(&after.figures));
    let spread = [spread(&before.figures), spread(&after.figures)].into_iter().flatten().reduce(f64::max);
    let told =
        |verdict: Verdict, words: String| Change { test: test.id.clone(), before: a, after: b, spread, verdict, words };
    let (Some(a), Some(b)) = (a, b) else {
        let said =
            [&before.words, &after.words].map(|words| if words.trim().is_empty() { "not told" } else { words.trim() });
        let words = format!(
            "{}: before {}, after {}. Counts as a change: {}.",
            test.label,
            said[0],
            said[1],
            lower(&test.counts_as_a_change)
        );
        return told(Verdict::CannotTell, words);
    };
    let difference = (b - a).abs();
    // A hair of rounding must not decide.
    let beyond = |limit: f64| difference > limit + 1e-9;
    let at_least = |limit: f64| difference >= limit - 1e-9;
    let counts = match rule.by {
        ChangeBy::Spread => beyond(spread.unwrap_or(0.0)) && at_least(rule.at_least),
        ChangeBy::Amount | ChangeBy::Mean => {
            beyond(rule.at_least) || rule.by == ChangeBy::Amount && at_least(rule.at_least)
        }
        ChangeBy::Share => beyond(a.abs() * rule.at_least),
        ChangeBy::Any => beyond(0.0),
        ChangeBy::Words => false,
    };
    let verdict = match (rule.by, counts, test.aim) {
        (ChangeBy::Words, ..) => Verdict::CannotTell,
        (_, false, _) => Verdict::NoChange,
        (_, true, Aim::None) => Verdict::Changed,
        (_, true, Aim::More) if b > a => Verdict::Better,
        (_, true, Aim::Less) if b < a => Verdict::Better,
        (_, true, _) => Verdict::Worse,
    };
    let words = format!(
        "{}: before {} {unit}, after {} {unit}: {}. Counts as a change (our own rule): {}.",
        test.label,
        figure(a),
        figure(b),
        verdict.words(),
        lower(&test.counts_as_a_change),
        unit = test.unit,
    );
    told(verdict, words)
}

/// The middle figure; of two middle ones, halfway.
fn middle(figures: &[f64]) -> Option<f64> {
    let mut sorted: Vec<f64> = figures.iter().copied().filter(|figure| figure.is_finite()).collect();
    sorted.sort_by(f64::total_cmp);
    let half = sorted.len() / 2;
    match sorted.len() {
        0 => None,
        n if n % 2 == 1 => Some(sorted[half]),
        _ => Some((sorted[half - 1] + sorted[half]) / 2.0),
    }
}

fn mean(figures: &[f64]) -> Option<f64> {
    let figures: Vec<f64> = figures.iter().copied().filter(|figure| figure.is_finite()).collect();
    (!figures.is_empty()).then(|| figures.iter().sum::<f64>() / figures.len() as f64)
}

fn spread(figures: &[f64]) -> Option<f64> {
    let figures = || figures.iter().copied().filter(|figure| figure.is_finite());
    let (least, most) = (figures().reduce(f64::min)?, figures().reduce(f64::max)?);
    Some(most - least)
}

/// At most two decimals.
pub(crate) fn figure(value: f64) -> String {
    format!("{}", (value * 100.0).round() / 100.0)
}

fn lower(words: &str) -> String {
    let mut letters = words.chars();
    letters.next().map_or(String::new(), |first| first.to_lowercase().collect::<String>() + letters.as_str())
}
