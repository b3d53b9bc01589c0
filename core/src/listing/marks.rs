//! Lettering that a seller quotes: behind "marked", serial numbers, patents, countries of origin.

use crate::dating::MONTHS;

use super::lexicon::Small;
use super::reading::{Found, Page};
use super::{ClaimKind, Meaning};

/// Longest quoted mark, in bytes and in words.
const QUOTE_MAX: usize = 120;
const WORDS_MAX: usize = 14;

const OPENING: [char; 6] = ['"', '“', '”', '‘', '\'', '«'];

pub(super) fn read(page: &mut Page) -> Vec<Found> {
    let mut found: Vec<Found> = Vec::new();
    let mut at = 0;
    while at < page.words.len() {
        let run = behind_cue(page, at)
            .or_else(|| serial(page, at))
            .or_else(|| patent(page, at))
            .or_else(|| made_in(page, at));
        let Some((first, end)) = run else {
            at += 1;
            continue;
        };
        let text = page.text[page.words[first].start..page.words[end - 1].end].to_owned();
        // Names inside a quoted mark are still read; its figures are no years and no sizes.
        for place in first..end {
            if page.words[place].begins_with_figure() {
                page.take(place, place + 1);
            }
        }
        found.push(Found::new(ClaimKind::Mark, first, end, Meaning::Mark(text)));
        at = end;
    }
    found
}

/// Words in quotes, or in capitals, behind "marked" and the like.
fn behind_cue(page: &Page, at: usize) -> Option<(usize, usize)> {
    let cue = page.small_at(at, Small::MarkCue)?;
    for first in cue.end..(cue.end + 5).min(page.words.len()) {
        if !page.same_sentence(at, first) {
            return None;
        }
        let gap = page.gap_before(first);
        if let Some(open) = gap.chars().rev().find(|c| !c.is_whitespace()).filter(|c| OPENING.contains(c)) {
            return quoted(page, first, open);
        }
        if mixed(&page.words[first].text) {
            return Some((first, first + 1));
        }
        if page.words[first].caps {
            let end = capitals(page, first);
            // One short word in capitals is a shout more often than a mark.
            return (end > first + 1 || page.words[first].text.len() >= 3).then_some((first, end));
        }
    }
    None
}

/// A letter or two and figures, as serial numbers are struck: `B12345`.
fn mixed(text: &str) -> bool {
    let figures = text.trim_start_matches(|c: char| c.is_ascii_uppercase());
    (1..=2).contains(&(text.len() - figures.len())) && is_serial(figures)
}

fn is_serial(figures: &str) -> bool {
    (3..=12).contains(&figures.len()) && figures.bytes().all(|b| b.is_ascii_digit())
}

/// The number behind "serial no", with its letter.
fn serial(page: &Page, at: usize) -> Option<(usize, usize)> {
    const BETWEEN: [&str; 8] = ["NO", "NR", "NUMBER", "IS", "OF", "THE", "READS", "SN"];
    let cue = page.small_at(at, Small::SerialCue)?;
    let mut first = cue.end;
    while BETWEEN.contains(&page.words.get(first)?.text.as_str()) {
        first += 1;
    }
    let word = &page.words[first];
    // The point of `no.` before a capital looks like a sentence's end.
    let near = |gap: &str| gap.len() <= 4 && !gap.contains('\n');
    if first > cue.end + 3 || !(cue.end..=first).all(|at| near(page.gap_before(at))) {
        return None;
    }
    let is_number = |text: &str| mixed(text) || is_serial(text);
    if is_number(&word.text) {
        return Some((first, first + 1));
    }
    let letter_apart =
        word.capital && word.text.len() <= 2 && page.words.get(first + 1).is_some_and(|next| is_serial(&next.text));
    letter_apart.then_some((first, first + 2))
}

fn quoted(page: &Page, first: usize, open: char) -> Option<(usize, usize)> {
    let closing: &[char] = match open {
        '"' => &['"'],
        '“' | '”' => &['”', '“', '"'],
        '«' => &['»'],
        _ => &['\'', '’'],
    };
    let from = page.words[first].start;
    (first + 1..=(first + WORDS_MAX).min(page.words.len()))
        .find(|&end| page.gap_before(end).contains(closing))
        .filter(|&end| page.words[end - 1].end - from <= QUOTE_MAX)
        .map(|end| (first, end))
}

fn capitals(page: &Page, first: usize) -> usize {
    let goes_on = |at: usize| {
        let word = &page.words[at];
        let joins = word.caps || word.begins_with_figure() || word.text.len() == 1 && word.capital;
        joins && page.same_sentence(first, at) && !page.gap_before(at).contains(['\n', '(', '"', '”'])
    };
    let mut end = first + 1;
    while end < page.words.len() && end - first < WORDS_MAX && goes_on(end) {
        end += 1;
    }
    end
}

/// `Pat. 1,904,512`, `Patented Oct. 9, 1906`, `D.R.G.M. 12345`.
fn patent(page: &Page, at: usize) -> Option<(usize, usize)> {
    let names = |at: usize| {
        page.words.get(at).is_some_and(|word| {
            matches!(
                word.text.as_str(),
                "PAT" | "PATS" | "PATD" | "PATENT" | "PATENTS" | "PATENTED" | "DRP" | "DRGM" | "BREVET" | "BREVETE"
            )
        })
    };
    if !names(at) {
        return None;
    }
    let month = |text: &str| text.len() >= 3 && MONTHS.iter().any(|month| month.to_uppercase().starts_with(text));
    let between = [
        "NO", "NOS", "NUMBER", "NUMBERS", "US", "USA", "U", "S", "AND", "DATE", "DATES", "DATED", "OF", "ON", "IN",
        "IS", "FROM", "PENDING", "PEND",
    ];
    let mut end = at + 1;
    let mut telling = None;
    while end < page.words.len() && end - at < WORDS_MAX && page.words[end].sentence <= page.words[at].sentence + 1 {
        let word = &page.words[end];
        let figures = word.text.chars().filter(char::is_ascii_digit).count();
        let tells = figures >= 4 || month(&word.text) && word.capital || word.is("PENDING");
        if tells || figures > 0 && telling.is_some() {
            telling = Some(end + 1);
        } else if !between.contains(&word.text.as_str()) && !names(end) && figures == 0 {
            break;
        }
        end += 1;
    }
    telling.map(|end| (at, end))
}

/// `Made in England`: words that also stand on reels.
fn made_in(page: &Page, at: usize) -> Option<(usize, usize)> {
    let [made, word_in, ..] = &page.words[at..] else { return None };
    if !made.is("MADE") || !word_in.is("IN") {
        return None;
    }
    let place = |at: usize| {
        page.words
            .get(at)
            .is_some_and(|word| word.capital && !word.begins_with_figure() && page.same_clause(at, at - 1))
    };
    let mut end = at + 2;
    while end < at + 5 && place(end) && !page.gap_before(end).contains(['\n']) {
        end += 1;
        // Letters parted by points: U.S.A.
        if page.words[end - 1].text.len() > 2
            && !matches!(page.words[end - 1].text.as_str(), "OCCUPIED" | "WEST" | "GREAT")
        {
            break;
        }
    }
    (end > at + 2).then_some((at, end))
}
