//! A patent or design number, whole or in part, and the years it can mean.

use serde::Serialize;

use crate::reference::{Bound, Confidence, DatingPack, Series};

use super::numbers::Pattern;

/// What one number can mean in one series.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct PatentReading {
    /// Id of the series.
    pub series: String,
    pub label: String,
    /// The number as read, `?` for an illegible figure, `*` for a run.
    pub number: String,
    /// Year, and how many of the numbers it can stand for were issued in it.
    pub years: Vec<(i32, u64)>,
    /// In a sentence.
    pub words: String,
    /// Last year of the table, where the number is later.
    #[serde(skip)]
    pub(super) after: Option<i32>,
    /// Years either way by which the table may be wrong.
    #[serde(skip)]
    pub(super) tolerance: i32,
    #[serde(skip)]
    pub(super) confidence: Confidence,
    /// Whether it may be used for a range, and how firmly: not for a guess at the series.
    #[serde(skip)]
    pub(super) bound: Option<Bound>,
    #[serde(skip)]
    pub(super) src: Vec<String>,
}

/// Numbers from `first` on were issued in the years `from..=to`.
struct Step {
    first: u64,
    from: i32,
    to: i32,
    tolerance: i32,
    /// From a rounded point: unverified.
    rounded: bool,
}

/// Rounded points further apart than this are not interpolated.
const GAP_MOST: i32 = 10;

fn steps(series: &Series) -> Vec<Step> {
    let mut steps: Vec<Step> = series
        .table
        .iter()
        .map(|&(year, first)| Step { first, from: year, to: year, tolerance: series.tolerance_years, rounded: false })
        .collect();
    let tolerance = series.approx_tolerance_years.unwrap_or(series.tolerance_years);
    let mut last = series.table.last().copied();
    for &(year, first) in &series.approx {
        if let Some((from, number)) = last {
            if year <= from || first <= number {
                continue;
            }
            let span = year - from;
            if span > GAP_MOST {
                // The known point starts a long stretch.
                if let Some(step) = steps.last_mut() {
                    step.to = year - 1;
                    step.tolerance = tolerance;
                    step.rounded = true;
                }
            } else {
                for ahead in 1..span {
                    let first = number + (first - number) * ahead as u64 / span as u64;
                    steps.push(Step { first, from: from + ahead, to: from + ahead, tolerance, rounded: true });
                }
            }
        }
        steps.push(Step { first, from: year, to: year, tolerance, rounded: true });
        last = Some((year, first));
    }
    steps
}

fn confidence_of(series: &Series, year: i32) -> Confidence {
    series
        .year_confidence
        .iter()
        .find(|span| (span.from..=span.to).contains(&year))
        .map_or(series.confidence, |span| span.confidence)
}

/// Years as people say them: `1933 to 1936, 1939`.
pub fn year_words(years: &[(i32, u64)]) -> String {
    let mut words = String::new();
    let mut at = 0;
    while at < years.len() {
        let from = years[at].0;
        while at + 1 < years.len() && years[at + 1].0 == years[at].0 + 1 {
            at += 1;
        }
        let to = years[at].0;
        if !words.is_empty() {
            words.push_str(", ");
        }
        words.push_str(&from.to_string());
        if to > from {
            words.push_str(if to == from + 1 { " or " } else { " to " });
            words.push_str(&to.to_string());
        }
        at += 1;
    }
    words
}

/// What the number can mean in the series.
pub fn read(pack: &DatingPack, series: &Series, number: &str, this_year: i32) -> Option<PatentReading> {
    let mut pattern = Pattern::new(number)?;
    let src = series.src.iter().map(|key| format!("{}/{key}", pack.id)).collect();
    let mut reading = PatentReading {
        series: series.id.clone(),
        label: series.label.clone(),
        number: number.to_owned(),
        years: Vec::new(),
        words: String::new(),
        after: None,
        tolerance: series.tolerance_years,
        confidence: series.confidence,
        bound: None,
        src,
    };
    let known = pattern
        .exact()
        .and_then(|number| pack.known_patents.iter().find(|known| known.series == series.id && known.number == number));
    if let Some(known) = known.filter(|known| known.found)
        && let Some(year) = known.date.get(..4).and_then(|year| year.parse().ok())
    {
        reading.words = format!("{} {number}: {}, issued {}.", series.label, known.what, known.date);
        reading.years = vec![(year, 1)];
        reading.src.extend(known.src.iter().map(|key| format!("{}/{key}", pack.id)));
        reading.tolerance = 0;
        (reading.confidence, reading.bound) = (Confidence::High, Some(Bound::Hard));
        return Some(reading);
    }
    let steps = steps(series);
    let (Some(first), Some(last)) = (steps.first(), steps.last()) else {
        reading.words = format!("{}: no table of years is known, so the number gives none.", series.label);
        return Some(reading);
    };
    reading.tolerance = 0;
    let mut rounded = false;
    for (at, step) in steps.iter().enumerate() {
        let next = steps.get(at + 1).map_or(end_of_last(&steps), |next| next.first.saturating_sub(1));
        let count = pattern.count(step.first, next);
        if count > 0 && step.from <= this_year {
            reading.years.extend((step.from..=step.to).map(|year| (year, count)));
            reading.tolerance = reading.tolerance.max(step.tolerance);
            rounded |= step.rounded;
        }
    }
    if !reading.years.is_empty() {
        let worst = reading.years.iter().map(|&(year, _)| confidence_of(series, year)).min().unwrap_or_default();
        let worst = if rounded { Confidence::Low } else { worst };
        reading.confidence = worst;
        reading.bound = Some(if worst == Confidence::Low { Bound::Soft } else { Bound::Hard });
        let numbers: u64 = reading.years.iter().map(|&(_, count)| count).sum();
        let which = if pattern.exact().is_some() { String::new() } else { format!(" ({numbers} numbers fit)") };
        let give = match reading.tolerance {
            0 => String::new(),
            1 => ", give or take a year".to_owned(),
            years => format!(", give or take {years} years"),
        };
        let unverified = if worst == Confidence::Low { " The table is unverified." } else { "" };
        reading.words =
            format!("{} {number}{which}: issued {}{give}.{unverified}", series.label, year_words(&reading.years));
        if let Some(known) = known {
            reading.words.push_str(&format!(" It may be that of {}: {} (unverified).", known.date, known.what));
        }
        if plausible_later(&mut pattern, &steps, this_year) {
            reading.words.push_str(&format!(" Some that fit are later than {}.", last.to));
        }
        return Some(reading);
    }
    reading.words = if pattern.count(1, first.first - 1) > 0 {
        format!(
            "{} {number}: before {} numbers began again each year, so the number gives no year by itself.",
            series.label, first.from
        )
    } else if plausible_later(&mut pattern, &steps, this_year) {
        // Later than the table, yet not higher than growth would bring: after the last year, softly.
        reading.after = Some(last.to);
        reading.bound = Some(Bound::Soft);
        reading.confidence = Confidence::Low;
        format!("{} {number}: later than {}, where the table ends.", series.label, last.to)
    } else {
        format!(
            "{} {number}: higher than any number of this series by {}: misread, or of another series.",
            series.label,
            last.to.max(this_year)
        )
    };
    Some(reading)
}

/// The last number that may still belong to the last year: a quarter more than the year before had.
fn end_of_last(steps: &[Step]) -> u64 {
    match steps {
        [.., before, last] => last.first + last.first.saturating_sub(before.first) * 5 / 4,
        [only] => only.first,
        [] => 0,
    }
}

fn plausible_later(pattern: &mut Pattern, steps: &[Step], this_year: i32) -> bool {
    let [.., before, last] = steps else { return false };
    let a_year = last.first.saturating_sub(before.first) / (last.from - before.from).max(1) as u64;
    let years = (this_year - last.to).max(0) as u64;
    years > 0 && pattern.count(end_of_last(steps) + 1, last.first + a_year * 2 * (years + 1)) > 0
}

/// `12345/05` and `9388 of 1905`: a number that began again each year, told with its year.
pub fn read_with_year(pack: &DatingPack, number: &str, year: &str) -> Option<PatentReading> {
    // The series that restarted is the one whose table does not begin at 1.
    let series = pack.series.iter().find(|series| series.table.first().is_some_and(|&(_, first)| first > 1))?;
    let (until, below) = series.table.first().map(|&(year, first)| (year - 1, first))?;
    let number_is = Pattern::new(number)?.exact().is_none_or(|number| number < below);
    let years: Vec<(i32, u64)> = (1852..=until)
        .filter(|full| {
            let full = full.to_string();
            super::tokens::fits(year.as_bytes(), full.as_bytes())
                || year.len() == 2 && super::tokens::fits(year.as_bytes(), &full.as_bytes()[2..])
        })
        .map(|year| (year, 1))
        .collect();
    if !number_is || years.is_empty() {
        return None;
    }
    Some(PatentReading {
        series: series.id.clone(),
        label: series.label.clone(),
        number: format!("{number}/{year}"),
        words: format!(
            "British patent {number} of {}: numbers began again each year until {until}; the year is that of the application.",
            year_words(&years)
        ),
        years,
        after: None,
        tolerance: 0,
        confidence: Confidence::Medium,
        bound: Some(Bound::Hard),
        src: series.src.iter().map(|key| format!("{}/{key}", pack.id)).collect(),
    })
}
