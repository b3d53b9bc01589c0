//! Makers' date codes, read as the packs describe them.

use crate::marks;
use crate::observe::{About, Observation, Value};
use crate::order;
use crate::reference::{CodeKind, CodeRow, DateCode, Dates, Maker, SerialRange, Years};

use super::evidence::{Evidence, Kind, years_words};
use super::tokens::{Token, tokens};

/// Pairs of letters that stand on reels as words, never as a code.
const NO_CODE: [&str; 4] = ["US", "ST", "LB", "DR"];

/// What a maker's codes tell, from marks as `(place, text, trust)` and from answers.
pub fn read(maker: &Maker, code: &DateCode, marks: &[(&str, &str, f64)], answers: &[&Observation]) -> Vec<Evidence> {
    let mut found: Vec<(Evidence, f64)> = Vec::new();
    // A code of the box counts on the box only, and the reel's codes count on the reel only.
    let places = marks.iter().filter(|(place, _, _)| (*place == "box") == (code.dates == Dates::Box));
    for &(place, text, trust) in places {
        let hit = match code.kind {
            CodeKind::Table => code
                .rows
                .iter()
                .filter(|row| {
                    !row.struck.is_empty()
                        && row.place.as_deref().is_none_or(|wanted| wanted == place || place.is_empty())
                })
                .filter(|row| beside(row, marks))
                .filter_map(|row| marks::holds(text, &row.struck).map(|found| (found.llr, row)))
                .max_by(|a, b| a.0.total_cmp(&b.0))
                .map(|(llr, row)| (llr, row.words.clone(), row.years)),
            CodeKind::LetterKey => letter_key(code, text).map(|(code, years)| (1.0, code, years)),
            CodeKind::SerialRange => serial(code, place, text, marks).map(|(serial, years)| (1.0, serial, years)),
        };
        if let Some((llr, what, years)) = hit {
            found.push((evidence(maker, code, place, &what, years, trust), llr));
        }
    }
    // Of several wordings of one table the fullest counts.
    order::by(&mut found, |a, b| b.1.total_cmp(&a.1));
    if code.kind == CodeKind::Table {
        found.truncate(1);
    }
    let mut found: Vec<Evidence> = found.into_iter().map(|(evidence, _)| evidence).collect();
    for row in &code.rows {
        let Some([feature, state]) = &row.shown_by else { continue };
        if !beside(row, marks) {
            continue;
        }
        let also = row.also.iter().map(|[feature, state]| shown(answers, feature, state));
        let all = also.fold(shown(answers, feature, state), |all, one| Some(f64::min(all?, one?)));
        if let Some(trust) = all
            // A row told by both its wording and a state counts once.
            && !found.iter().any(|other| other.reason.from == row.years.from && other.reason.to == row.years.to)
        {
            found.push(evidence(maker, code, feature, &row.words, row.years, trust));
        }
    }
    found
}

/// Whether something was answered that the code is told by, even if no row fits: its note is worth saying then.
pub fn touches(code: &DateCode, answers: &[&Observation]) -> bool {
    code.rows.iter().filter_map(|row| row.shown_by.as_ref()).any(|[feature, _]| {
        answers
            .iter()
            .any(|seen| matches!(&seen.about, About::Feature(id) if id == feature) && seen.value != Value::Unclear)
    })
}

/// Whether the wording that must be read beside the row stands on the reel.
fn beside(row: &CodeRow, marks: &[(&str, &str, f64)]) -> bool {
    row.beside.as_ref().is_none_or(|wanted| marks.iter().any(|(_, text, _)| marks::holds(text, wanted).is_some()))
}

/// How far the answer that shows a state can be trusted, if it was given.
pub fn shown(answers: &[&Observation], feature: &str, state: &str) -> Option<f64> {
    answers.iter().find(|seen| matches!(&seen.about, About::Feature(id) if id == feature)).and_then(|seen| {
        let is = match &seen.value {
            Value::State(id) => id == state,
            Value::Absent => state == "absent",
            Value::Count(count) => state.parse() == Ok(*count),
            _ => false,
        };
        is.then(|| super::trust(seen.certainty))
    })
}

fn evidence(maker: &Maker, code: &DateCode, at: &str, what: &str, years: Years, trust: f64) -> Evidence {
    let sources = code.src.iter().map(|key| format!("{}/{key}", maker.pack)).collect();
    let (kind, years, words) = match code.dates {
        Dates::Making => {
            (Kind::Code, years, format!("{}, as {} marked or made them.", years_words(&years), maker.name))
        }
        // The year of the design: the reel is that old at most.
        Dates::Design => {
            let from = Years { from: years.from, ..Years::default() };
            let year = years.from.map_or(String::new(), |year| format!(" of {year}"));
            (
                Kind::Design,
                from,
                format!("The code names the design{year}: this reel is not older, and may be much younger."),
            )
        }
        Dates::Box => {
            (Kind::Box, years, format!("{}: it dates the box, if box and reel belong together.", years_words(&years)))
        }
    };
    let what = format!("{}: {what}", maker.name);
    let mut evidence = Evidence::new(kind, at, what, words, &years, code.confidence, sources);
    evidence.replaceable = code.dates == Dates::Box;
    evidence.trust = trust;
    evidence
}

/// A code of letters that ends a line or stands after a number: `1950 GE`.
fn letter_key(code: &DateCode, text: &str) -> Option<(String, Years)> {
    let shape = code.shape.as_deref().unwrap_or("&&");
    let length = shape.chars().filter(|&c| c == '&').count();
    if length == 0 || shape.len() != length {
        return None;
    }
    let all = tokens(text);
    let stands = |at: usize, token: &Token| {
        let ends_line = all.get(at + 1).is_none_or(|next| next.line != token.line);
        let alone = at == 0 || all[at - 1].line != token.line;
        ends_line && (alone || all[at - 1].is_number())
    };
    let letter = |c: char| c == '?' || code.letters.contains_key(&c);
    all.iter().enumerate().find_map(|(at, token)| {
        let fits_shape = token.text.chars().count() == length && token.text.chars().all(letter);
        if !fits_shape || token.is_illegible() || NO_CODE.contains(&token.text.as_str()) || !stands(at, token) {
            return None;
        }
        let mut values = vec![0i32];
        for c in token.text.chars() {
            let figures: Vec<i32> =
                code.letters.iter().filter(|&(&l, _)| c == '?' || l == c).map(|(_, &v)| v.into()).collect();
            values = values.iter().flat_map(|value| figures.iter().map(move |figure| value * 10 + figure)).collect();
        }
        let century = code.century.unwrap_or(1900);
        let century = if century < 100 { century * 100 } else { century };
        let inside =
            |year: &i32| code.years.from.is_none_or(|from| *year >= from) && code.years.to.is_none_or(|to| *year <= to);
        let years: Vec<i32> = values.iter().map(|value| century + value).filter(inside).collect();
        let (from, to) = (years.iter().min().copied()?, years.iter().max().copied()?);
        Some((token.text.clone(), Years { from: Some(from), to: Some(to), ..Years::default() }))
    })
}

/// A serial number that lies in a known block.
fn serial(code: &DateCode, place: &str, text: &str, marks: &[(&str, &str, f64)]) -> Option<(String, Years)> {
    let tokens = tokens(text);
    for (at, token) in tokens.iter().enumerate() {
        // Patents, dates and sizes are no serial numbers.
        let after_words = at > 0 && super::patents::says_patent(&tokens[at - 1])
            || at > 1 && super::patents::says_patent(&tokens[at - 2]);
        if after_words || token.is_illegible() {
            continue;
        }
        for range in &code.ranges {
            if range.place.as_deref().is_some_and(|wanted| wanted != place && !place.is_empty()) {
                continue;
            }
            if let Some(beside) = &range.beside
                && !marks.iter().any(|(_, other, _)| marks::holds(other, beside).is_some())
            {
                continue;
            }
            let prefix = range.prefix.to_uppercase();
            let figures = match token.text.strip_prefix(prefix.as_str()) {
                Some("") => tokens.get(at + 1).map_or("", |next| next.text.as_str()),
                Some(rest) => rest,
                None => continue,
            };
            // Illegible figures may reach into the next block, if it is of the same years and place.
            let alike = |other: &&SerialRange| {
                (&other.prefix, &other.place, &other.beside, other.years)
                    == (&range.prefix, &range.place, &range.beside, range.years)
            };
            if serial_fits(figures, range.from, code.ranges.iter().filter(alike)) {
                return Some((format!("serial {prefix}{figures}"), range.years));
            }
        }
    }
    None
}

/// All that the figures can be lies in the blocks, from the one that begins at `from` on.
fn serial_fits<'a>(figures: &str, from: u64, blocks: impl Iterator<Item = &'a SerialRange> + Clone) -> bool {
    let good = figures.len() >= 3 && figures.chars().all(|c| c.is_ascii_digit() || c == '?');
    let end = |fill: &str| figures.replace('?', fill).parse::<u64>();
    let (true, Ok(low), Ok(high)) = (good, end("0"), end("9")) else { return false };
    let mut covered = low;
    while let Some(block) = blocks.clone().find(|block| block.from <= covered && covered <= block.to) {
        if covered == low && block.from != from {
            return false;
        }
        if high <= block.to {
            return true;
        }
        covered = block.to + 1;
    }
    false
}
