//! What one mark tells.

use serde::Serialize;

use crate::order;
use crate::reference::{Bound, Confidence, Reference, Years};

use super::calendar;
use super::dates::{self, DateReading};
use super::evidence::{Evidence, Kind, YearReason};
use super::patents;
use super::series::{self, PatentReading, year_words};
use super::{catalogue, tokens, wordings};

/// What one mark can mean.
#[derive(Debug, Clone, Default, PartialEq, Serialize)]
pub struct MarkReading {
    pub numbers: Vec<PatentReading>,
    pub dates: Vec<DateReading>,
    pub clues: Vec<YearReason>,
    pub notes: Vec<String>,
}

/// Reads a mark found at no place in particular.
pub fn read_mark(reference: &Reference, text: &str, this_year: i32) -> MarkReading {
    read_at(reference, text, "", &[], this_year).0
}

/// The same with the evidence it gives. `makers`: those named on the reel.
pub(super) fn read_at(
    reference: &Reference,
    text: &str,
    place: &str,
    makers: &[&str],
    this_year: i32,
) -> (MarkReading, Vec<Evidence>) {
    let pack = &reference.dating;
    let on_box = place == "box";
    let mut reading = MarkReading::default();
    let mut evidence = Vec::new();

    let tokens = tokens::tokens(text);
    let clues = wordings::clues(reference, text, on_box);
    let country = wordings::country(&clues);
    // Some makers strike a patent's date without the word.
    let known_date = || {
        let own = reference.makers.iter().filter(|maker| makers.contains(&maker.id.as_str()));
        let mut struck = own.flat_map(|maker| &maker.marks).flat_map(|mark| &mark.struck);
        struck.any(|struck| struck.contains("19") && crate::marks::holds(text, struck).is_some())
    };
    let says_patent = tokens.iter().any(patents::says_patent) || known_date();
    // The weekday belongs to patents of the United States alone.
    let tuesdays = country.is_none().then_some(&pack.weekday).filter(|rule| rule.iso_weekday > 0);

    let dates = dates::read(&tokens, tuesdays.filter(|_| says_patent), says_patent, this_year);
    let dated = |at: usize| dates.iter().any(|date| (date.first..date.last).contains(&at));
    let patents = patents::read(pack, text, &tokens, country, &dated, this_year);
    let numbered = |at: usize| patents.iter().any(|patent| (patent.first..patent.last).contains(&at));

    for (clue, _) in &clues {
        if let Some(found) = wordings::evidence(reference, clue, place, on_box) {
            evidence.push(found);
        } else if !clue.note.is_empty() {
            reading.notes.push(format!("{}: {}", clue.label, clue.note));
        }
    }
    for patent in &patents {
        if let Some(mut found) = patent_evidence(&patent.reading, place, on_box) {
            found.reread = reread(reference, &patent.reading, this_year);
            evidence.push(found);
        }
    }
    for date in &dates {
        if !says_patent {
            let dates: Vec<String> = date.dates.iter().take(3).map(|date| calendar::words(*date)).collect();
            reading.notes.push(format!(
                "{} ({}) stands without the word patent: it may be an owner's engraving or a presentation, and is not used.",
                date.read,
                dates.join(" or ")
            ));
            continue;
        }
        evidence.extend(date_evidence(pack, date, tuesdays.is_some(), place, on_box));
        reading.notes.extend(date.questioned.as_ref().map(|question| format!("{}: {question}", date.read)));
    }
    let year = year_only(reference, &tokens, &|at| dated(at) || numbered(at), this_year);
    if let Some((at, year)) = year {
        let words = format!("A patent of {year}: the part that bears it is not older.");
        let years = Years { from: Some(year), ..Years::default() };
        let what = format!("{} {year}", tokens[at - 1].text);
        evidence.push(Evidence::new(Kind::Patent, place, what, words, &years, Confidence::Medium, Vec::new()));
        let read = format!("{} {}", tokens[at - 1].text, tokens[at].text);
        reading.dates.push(DateReading {
            read,
            dates: vec![(year, 0, 0)],
            questioned: None,
            first: at,
            last: at + 1,
            reread: Vec::new(),
        });
    }
    let taken = |at: usize| dated(at) || numbered(at) || year.is_some_and(|(of, _)| of == at);
    reading.notes.extend(catalogue::notes(reference, &tokens, makers, &taken, this_year));

    for found in &mut evidence {
        found.settle_bounds();
    }
    reading.clues = evidence.iter().map(|evidence| evidence.reason.clone()).collect();
    reading.numbers = patents.into_iter().map(|found| found.reading).collect();
    reading.dates.extend(dates);
    (reading, evidence)
}

/// `PATENTED 1905`: a year alone after the word, unless it is a catalogue number.
fn year_only(
    reference: &Reference,
    tokens: &[tokens::Token],
    taken: &dyn Fn(usize) -> bool,
    this_year: i32,
) -> Option<(usize, i32)> {
    (1..tokens.len()).find_map(|at| {
        let year: i32 = tokens[at].text.parse().ok()?;
        let good = (1836..=this_year).contains(&year)
            && patents::says_patent(&tokens[at - 1])
            && tokens[at].text.len() == 4
            && !taken(at)
            && !catalogue::is_catalogue_number(reference, &tokens[at].text);
        good.then_some((at, year))
    })
}

/// Shares begun by each year, from counts.
fn begun(counts: &[(i32, u64)]) -> Vec<(i32, f64)> {
    let all: u64 = counts.iter().map(|(_, count)| count).sum::<u64>().max(1);
    let mut sum = 0;
    counts
        .iter()
        .map(|&(year, count)| {
            sum += count;
            (year, sum as f64 / all as f64)
        })
        .collect()
}

/// Years that a legible number would give with one figure misread.
fn reread(reference: &Reference, reading: &PatentReading, this_year: i32) -> Vec<i32> {
    let Some(of) = reference.dating.series.iter().find(|series| series.id == reading.series) else { return Vec::new() };
    if !reading.number.bytes().all(|c| c.is_ascii_digit()) {
        return Vec::new();
    }
    let others = dates::misread(&reading.number);
    let readings = others.iter().filter_map(|number| series::read(&reference.dating, of, number, this_year));
    readings.flat_map(|other| other.years.into_iter().map(|(year, _)| year)).collect()
}

fn patent_evidence(reading: &PatentReading, place: &str, on_box: bool) -> Option<Evidence> {
    let bound = reading.bound?;
    let from = match reading.years.first() {
        Some((first, _)) => first - reading.tolerance,
        None => reading.after? + 1,
    };
    let words = format!("{} The part that bears it is not older.", reading.words);
    let years = Years { from: Some(from), from_bound: bound, ..Years::default() };
    let what = format!("{} {}", reading.label, reading.number);
    let mut evidence = Evidence::new(Kind::Patent, place, what, words, &years, reading.confidence, reading.src.clone());
    let counts: Vec<(i32, u64)> =
        reading.years.iter().map(|&(year, count)| (year - reading.tolerance, count)).collect();
    if counts.len() > 1 {
        evidence.begun = begun(&counts);
    }
    evidence.replaceable = on_box;
    Some(evidence)
}

fn date_evidence(
    pack: &crate::reference::DatingPack,
    date: &DateReading,
    us: bool,
    place: &str,
    on_box: bool,
) -> Option<Evidence> {
    let first = date.dates.first()?.0;
    let mut counts: Vec<(i32, u64)> = Vec::new();
    for (year, _, _) in &date.dates {
        match counts.last_mut() {
            Some((last, count)) if last == year => *count += 1,
            _ => counts.push((*year, 1)),
        }
    }
    let which = match date.dates.as_slice() {
        [one] => calendar::words(*one),
        many if many.len() <= 4 => many.iter().map(|date| calendar::words(*date)).collect::<Vec<_>>().join(" or "),
        many => format!("one of {} dates, of {}", many.len(), year_words(&counts)),
    };
    let firm = date.questioned.is_none();
    let weekday = if us && firm && date.dates.iter().all(|(year, _, day)| *day > 0 && *year >= pack.weekday.soft_from) {
        format!(" ({})", calendar::weekday_name(pack.weekday.iso_weekday))
    } else {
        String::new()
    };
    let question = date.questioned.as_ref().map_or(String::new(), |question| format!(" {question}"));
    let words = format!("Patent of {which}{weekday}. The part that bears it is not older.{question}");
    let (bound, confidence) = if firm { (Bound::Hard, Confidence::High) } else { (Bound::Soft, Confidence::Low) };
    let years = Years { from: Some(first), from_bound: bound, ..Years::default() };
    let sources = pack.weekday.rules.iter().flat_map(|rule| rule.src.iter().map(|key| format!("{}/{key}", pack.id)));
    let mut sources: Vec<String> = if us { sources.collect() } else { Vec::new() };
    order::by(&mut sources, Ord::cmp);
    sources.dedup();
    let mut evidence =
        Evidence::new(Kind::Patent, place, format!("Patent date {}", date.read), words, &years, confidence, sources);
    if counts.len() > 1 {
        evidence.begun = begun(&counts);
    }
    evidence.replaceable = on_box;
    evidence.reread.clone_from(&date.reread);
    Some(evidence)
}
