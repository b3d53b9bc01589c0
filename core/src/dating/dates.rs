//! Dates on a mark, whole or in part, held against the weekday on which US patents issue.

use serde::Serialize;

use crate::marks::alike::figures_like;
use crate::order;
use crate::reference::Weekday;

use super::calendar::{self, Date};
use super::tokens::{Token, fits, is_figure};

/// What one date can mean.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct DateReading {
    /// As read.
    pub read: String,
    /// Every date it can be, in order. Day 0: only the month is told; month 0: only the year.
    pub dates: Vec<Date>,
    /// Why a legible date can't be right as read, with the nearest right readings.
    pub questioned: Option<String>,
    /// Places of its tokens.
    #[serde(skip)]
    pub(super) first: usize,
    #[serde(skip)]
    pub(super) last: usize,
    /// Years that one misread figure would give.
    #[serde(skip)]
    pub(super) reread: Vec<i32>,
}

/// A date in three parts, each with `?` or `*`.
struct Parts {
    months: Vec<u8>,
    /// Empty where no day is told.
    day: String,
    year: String,
}

/// The months a word can stand for: any beginning of three letters or more.
fn months(word: &str) -> Vec<u8> {
    // A worn O or I is often typed as a figure.
    let word: String = word
        .chars()
        .map(|c| match c {
            '0' => 'O',
            '1' => 'L',
            '5' => 'S',
            c => c,
        })
        .collect();
    let letters = word.chars().filter(char::is_ascii_alphabetic).count();
    if letters == 0 || !word.chars().all(|c| c.is_ascii_alphabetic() || c == '?' || c == '*') {
        return Vec::new();
    }
    (1..=12u8)
        .filter(|&month| {
            let name = calendar::MONTHS[usize::from(month) - 1].to_uppercase();
            (3..=name.len()).any(|length| fits(word.as_bytes(), &name.as_bytes()[..length]))
                || [(1, "JANY"), (2, "FEBY"), (9, "SEPR"), (10, "OCTR"), (11, "NOVR"), (12, "DECR"), (8, "AUGT")]
                    .iter()
                    .any(|&(of, form)| of == month && word == form)
        })
        .collect()
}

fn is_day(text: &str) -> bool {
    let bare = text.trim_end_matches(|c: char| c.is_ascii_alphabetic());
    let suffix = &text[bare.len()..];
    let figures = bare.len() <= 2 && !bare.is_empty() && bare.chars().all(is_figure);
    figures && matches!(suffix, "" | "ST" | "ND" | "RD" | "TH") && (1..=31).any(|day| day_fits(bare, day))
}

fn day_fits(text: &str, day: u8) -> bool {
    let text = text.trim_end_matches(|c: char| c.is_ascii_alphabetic());
    fits(text.as_bytes(), day.to_string().as_bytes()) || day < 10 && fits(text.as_bytes(), &[b'0', b'0' + day])
}

fn is_year(text: &str) -> bool {
    text.chars().all(is_figure)
        && (text.len() == 4 && (text.starts_with(['1', '2', '?']) || text.contains('*'))
            || text.len() == 2
            || text.len() > 1 && text.len() < 4 && text.contains('*') && text.contains(|c: char| c.is_ascii_digit()))
}

/// Before this the patents of the United States bore no numbers, and reels no patents.
const FIRST_YEAR: i32 = 1836;

fn years(text: &str, this_year: i32) -> Vec<i32> {
    (FIRST_YEAR..=this_year)
        .filter(|year| {
            let full = year.to_string();
            fits(text.as_bytes(), full.as_bytes()) || text.len() == 2 && fits(text.as_bytes(), &full.as_bytes()[2..])
        })
        .collect()
}

/// Every date of the mark. `tuesdays`: test US patent dates; without it every weekday is right.
pub fn read(tokens: &[Token], tuesdays: Option<&Weekday>, numeric: bool, this_year: i32) -> Vec<DateReading> {
    let mut found: Vec<(usize, usize, Parts)> = Vec::new();
    let text = |at: usize| tokens.get(at).map_or("", |token: &Token| token.text.as_str());
    let mut at = 0;
    while at < tokens.len() {
        let these = months(text(at));
        let taken = if !these.is_empty() {
            if is_day(text(at + 1)) && is_year(text(at + 2)) && months(text(at + 3)).is_empty() | !is_day(text(at + 2))
            {
                Some((3, Parts { months: these, day: text(at + 1).into(), year: text(at + 2).into() }))
            } else if is_day(text(at + 1)) {
                // `JULY 10 & AUG 7 1888`: the year stands with the next one.
                let next = at + 2 + usize::from(text(at + 2) == "AND");
                (!months(text(next)).is_empty())
                    .then(|| (2, Parts { months: these, day: text(at + 1).into(), year: String::new() }))
            } else if is_year(text(at + 1)) && text(at + 1).len() == 4 {
                Some((2, Parts { months: these, day: String::new(), year: text(at + 1).into() }))
            } else {
                None
            }
        } else if is_day(text(at)) && !months(text(at + 1)).is_empty() && is_year(text(at + 2)) {
            Some((3, Parts { months: months(text(at + 1)), day: text(at).into(), year: text(at + 2).into() }))
        } else if numeric && is_numeric_date(tokens, at) {
            let (first, second) = (text(at), text(at + 1));
            // Month first in the United States, day first elsewhere.
            let (month, day) = if tuesdays.is_some() { (first, second) } else { (second, first) };
            let months = (1..=12).filter(|&m| day_fits(month, m)).collect();
            Some((3, Parts { months, day: day.into(), year: text(at + 2).into() }))
        } else {
            None
        };
        match taken {
            Some((length, parts)) if !parts.months.is_empty() => {
                found.push((at, at + length, parts));
                at += length;
            }
            _ => at += 1,
        }
    }
    let mut year = String::new();
    for (_, _, parts) in found.iter_mut().rev() {
        if parts.year.is_empty() {
            parts.year = year.clone();
        }
        year.clone_from(&parts.year);
    }
    found
        .into_iter()
        .filter(|(_, _, parts)| !parts.year.is_empty())
        .map(|(first, last, parts)| {
            let read: Vec<&str> = tokens[first..last].iter().map(|token| token.text.as_str()).collect();
            let (dates, questioned, reread) = resolve(&parts, tuesdays, this_year);
            DateReading { read: read.join(" "), dates, questioned, first, last, reread }
        })
        .filter(|reading| !reading.dates.is_empty() || reading.questioned.is_some())
        .collect()
}

/// `2-23-86`, `2.23.1886`: three numbers with the same single sign between.
fn is_numeric_date(tokens: &[Token], at: usize) -> bool {
    let (Some(a), Some(b), Some(c)) = (tokens.get(at), tokens.get(at + 1), tokens.get(at + 2)) else { return false };
    b.before == c.before && "-./".contains(b.before) && is_day(&a.text) && is_day(&b.text) && is_year(&c.text)
}

fn all(parts: &Parts, this_year: i32) -> Vec<Date> {
    let mut dates = Vec::new();
    for year in years(&parts.year, this_year) {
        for &month in &parts.months {
            if parts.day.is_empty() {
                dates.push((year, month, 0));
            } else {
                dates.extend(
                    (1..=calendar::days_in_month(year, month))
                        .filter(|&d| day_fits(&parts.day, d))
                        .map(|d| (year, month, d)),
                );
            }
        }
    }
    dates
}

fn resolve(parts: &Parts, tuesdays: Option<&Weekday>, this_year: i32) -> (Vec<Date>, Option<String>, Vec<i32>) {
    let dates = all(parts, this_year);
    let reread: Vec<i32> = misread(&parts.year).iter().flat_map(|year| years(year, this_year)).collect();
    let Some(rule) = tuesdays.filter(|_| !parts.day.is_empty()) else { return (dates, None, reread) };
    let weekday = calendar::weekday_name(rule.iso_weekday);
    let fits_rule = |date: &Date| date.0 < rule.soft_from || calendar::weekday(*date) == rule.iso_weekday;
    let right: Vec<Date> = dates.iter().copied().filter(fits_rule).collect();
    if !right.is_empty() {
        return (right, None, reread);
    }
    let legible = parts.months.len() == 1 && !format!("{}{}", parts.day, parts.year).contains(['?', '*']);
    // Nothing fits: what one misread figure would mend.
    let mut near: Vec<Date> = Vec::new();
    for (day, year) in misread(&parts.day)
        .into_iter()
        .map(|day| (day, parts.year.clone()))
        .chain(misread(&parts.year).into_iter().map(|year| (parts.day.clone(), year)))
    {
        let others = all(&Parts { months: parts.months.clone(), day, year }, this_year);
        near.extend(others.into_iter().filter(|date| date.0 >= rule.soft_from && fits_rule(date)));
    }
    let distance = |a: &Date| {
        dates.iter().map(|b| (calendar::day_number(*a) - calendar::day_number(*b)).abs()).min().unwrap_or(i64::MAX)
    };
    order::by(&mut near, |a, b| (distance(a), *a).cmp(&(distance(b), *b)));
    near.dedup();
    near.truncate(4);
    let instead = if near.is_empty() {
        "no single misread figure mends it".to_owned()
    } else {
        let near: Vec<String> = near.iter().map(|date| calendar::words(*date)).collect();
        format!("one misread figure would make it {}", near.join(" or "))
    };
    let early = dates.iter().all(|date| date.0 < rule.hard_from);
    let question = match dates.as_slice() {
        [] => return (dates, Some(format!("No such date: {instead}.")), reread),
        [date] if legible => format!(
            "{} was a {}; US patents issue on {weekday}s: {instead}.{}",
            calendar::words(*date),
            calendar::weekday_name(calendar::weekday(*date)),
            if early { " Before 1873 some were antedated, so it may still be right." } else { "" }
        ),
        _ => format!("None of the dates it can be is a {weekday}, on which US patents issue: {instead}."),
    };
    // A legible date stands as read, but questioned; of a partly legible one nothing is left unless the rule is soft.
    let kept = if legible { dates } else { dates.into_iter().filter(|date| date.0 < rule.hard_from).collect() };
    (kept, Some(question), reread)
}

/// The text with each figure in turn taken for another that looks like it.
pub fn misread(text: &str) -> Vec<String> {
    let mut readings = Vec::new();
    for (at, c) in text.char_indices() {
        let Some(figure) = c.to_digit(10) else { continue };
        for other in figures_like(figure as u8) {
            let mut other_text = text.to_owned();
            other_text.replace_range(at..at + 1, &other.to_string());
            readings.push(other_text);
        }
    }
    readings
}
