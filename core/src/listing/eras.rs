//! When a seller says it was made: years, decades, ranges, ages, and times in words.

use super::lexicon::{Entry, Small};
use super::reading::{Found, Page};
use super::things::Named;
use super::{ClaimKind, Meaning};

/// "About 1955" takes in so many years on either side.
const ABOUT_YEARS: i32 = 5;

/// First and last year that a figure may stand for.
const YEARS: std::ops::RangeInclusive<i32> = 1750..=2039;

#[derive(Debug, Clone, Copy, PartialEq)]
struct Span {
    at: usize,
    end: usize,
    from: Option<i32>,
    to: Option<i32>,
    /// A year or decade in figures, which may be joined to a range.
    figures: bool,
}

pub(super) fn read(page: &mut Page, named: &Named) -> Vec<Found> {
    let mut found = Vec::new();
    let mut spans: Vec<Span> = Vec::new();
    let mut at = 0;
    while at < page.words.len() {
        if page.taken[at] {
            at += 1;
        } else if let Some((meaning, first, end)) = age(page, at) {
            found.push(Found::new(ClaimKind::Era, first, end, meaning));
            at = end;
        } else if let Some(span) =
            in_words(page, at, &mut found).or_else(|| decade(page, at)).or_else(|| year(page, at, named))
        {
            at = span.end;
            spans.push(span);
        } else {
            at += 1;
        }
    }
    for span in join_ranges(page, spans) {
        let span = modified(page, span);
        page.take(span.at, span.end);
        found.push(Found::new(ClaimKind::Era, span.at, span.end, Meaning::Years { from: span.from, to: span.to }));
    }
    found
}

/// `100 yrs old`, `over 80 years old`, `70+ years old`.
fn age(page: &Page, at: usize) -> Option<(Meaning, usize, usize)> {
    let years: i32 = page.words[at].figures()?.try_into().ok().filter(|years| (15..=250).contains(years))?;
    let old = page.small_at(at + 1, Small::Old)?;
    let over = page.small_before(at, Small::Over);
    let plus = page.gap_before(at + 1).contains('+') || over.is_some();
    // Round figures: sellers mean "about".
    let slack = if years % 10 == 0 { 10 } else { 3 };
    let meaning = Meaning::Age {
        at_least: Some(years - if plus { years / 10 } else { slack }),
        at_most: (!plus).then_some(years + slack),
    };
    Some((meaning, over.map_or(at, |over| over.at), old.end))
}

/// A time of the packs. One that means no years is a claim of its own.
fn in_words(page: &Page, at: usize, found: &mut Vec<Found>) -> Option<Span> {
    let (place, end) = page.hits_at(at).iter().find_map(|hit| match hit.entry {
        Entry::Era(place) => Some((place, hit.end)),
        _ => None,
    })?;
    let era = &page.reference.selling.eras[place];
    let span = Span { at, end, from: era.from, to: era.to, figures: false };
    if era.vague {
        found.push(Found::new(ClaimKind::Era, at, end, Meaning::VagueAge));
    } else if let Some(years) = era.older_than {
        let meaning = Meaning::Age { at_least: Some(years), at_most: None };
        found.push(Found::new(ClaimKind::Era, at, end, meaning));
    } else {
        return Some(span);
    }
    None
}

/// `1920s`, `'20s`, `70s`.
fn decade(page: &Page, at: usize) -> Option<Span> {
    let word = &page.words[at];
    let figures = word.text.strip_suffix('S')?;
    let tens: i32 = figures.parse().ok().filter(|_| figures.len() == 2 || figures.len() == 4)?;
    let from = match figures.len() {
        4 => tens,
        // Two figures are of the last century.
        _ => 1900 + tens,
    };
    let decade = from % 10 == 0 && YEARS.contains(&from) && (figures.len() == 4 || tens >= 10);
    decade.then_some(Span { at, end: at + 1, from: Some(from), to: Some(from + 9), figures: true })
}

/// A year in four figures, unless it is a model's number, a firm's year or a patent's.
fn year(page: &Page, at: usize, named: &Named) -> Option<Span> {
    let word = &page.words[at];
    let glued = word.text.strip_prefix("CA").or_else(|| word.text.strip_prefix('C'));
    let text = glued.unwrap_or(&word.text);
    let year: i32 = text.parse().ok().filter(|year| text.len() == 4 && YEARS.contains(year))?;
    if elsewhere(page, at) {
        return None;
    }
    let span = Span { at, end: at + 1, from: Some(year), to: Some(year), figures: true };
    if glued.is_some() {
        return Some(about(span));
    }
    let is = |small| page.small_before(at, small).is_some();
    let about_it = is(Small::About);
    let cued = about_it
        || is(Small::Cue)
        || is(Small::Before)
        || is(Small::After)
        || is(Small::Early)
        || is(Small::Late)
        || is(Small::Mid);
    let cued_behind = page.words.get(at + 1).is_some_and(|next| {
        page.same_clause(at, at + 1)
            && (page.small_at(at + 1, Small::AfterCue).is_some()
                || next.figures().is_some_and(|n| n < 100) && is_dash(page, at + 1))
    });
    let numbered = is(Small::NumberCue) || page.gap_before(at).ends_with('#');
    if numbered || !cued && !cued_behind && named.may_be_number(page, at) {
        return None;
    }
    Some(span)
}

/// The year of a firm, a patent, a purchase.
fn elsewhere(page: &Page, at: usize) -> bool {
    let clause = page.words[at].clause;
    (at.saturating_sub(6)..at)
        .rev()
        .take_while(|place| page.words[*place].clause == clause)
        .any(|place| page.small_at(place, Small::NotOfReel).is_some())
}

fn about(span: Span) -> Span {
    Span { from: span.from.map(|year| year - ABOUT_YEARS), to: span.to.map(|year| year + ABOUT_YEARS), ..span }
}

fn is_dash(page: &Page, at: usize) -> bool {
    matches!(page.gap_before(at).trim(), "-" | "–" | "—" | "/" | "to")
}

/// `1923-29`, `1920s to 1930s`, `between 1930 and 1940`.
fn join_ranges(page: &Page, spans: Vec<Span>) -> Vec<Span> {
    let mut joined: Vec<Span> = Vec::new();
    for mut span in spans {
        // `1923-29`: two figures behind a dash.
        if span.figures
            && let Some(short) = page.words.get(span.end).and_then(|word| {
                let text = word.text.strip_suffix('S').unwrap_or(&word.text);
                (text.len() == 2).then(|| text.parse::<i32>().ok())?
            })
            && is_dash(page, span.end)
            && let Some(from) = span.from
        {
            let decade = page.words[span.end].text.ends_with('S');
            let to = from / 100 * 100 + short + if decade { 9 } else { 0 };
            if to > from {
                span.to = Some(to);
                span.end += 1;
            }
        }
        if let Some(last) = joined.last_mut()
            && last.figures
            && span.figures
            && span.at > 0
            && span.at <= last.end + 1
            && page.same_sentence(last.at, span.at)
            && last.to < span.to
        {
            let word = (span.at == last.end + 1).then(|| page.words[last.end].text.as_str());
            let between =
                page.small_before(last.at, Small::Cue).is_some_and(|cue| page.words[cue.end - 1].is("BETWEEN"));
            if matches!(word, Some("TO" | "OR" | "UNTIL" | "THROUGH" | "THRU"))
                || word == Some("AND") && between
                || word.is_none() && is_dash(page, span.at)
            {
                last.to = span.to;
                last.end = span.end;
                continue;
            }
        }
        // What a range has taken already.
        if joined.last().is_none_or(|last| span.at >= last.end) {
            joined.push(span);
        }
    }
    joined
}

/// Takes in the small words before: early, circa, before.
fn modified(page: &Page, span: Span) -> Span {
    let mut span = span;
    let one_decade = matches!((span.from, span.to), (Some(from), Some(to)) if to - from == 9 && from % 10 == 0);
    for (small, first, last) in [(Small::Early, 0, 4), (Small::Mid, 3, 7), (Small::Late, 6, 9)] {
        if let Some(hit) = page.small_before(span.at, small).filter(|_| span.figures) {
            span.at = hit.at;
            if one_decade {
                let from = span.from.unwrap_or_default();
                (span.from, span.to) = (Some(from + first), Some(from + last));
                // `mid to late 50s`
                break;
            }
            span = Span { at: span.at, ..about(span) };
        }
    }
    if let Some(hit) = page.small_before(span.at, Small::About) {
        // A decade is round already.
        let at = hit.at;
        span = if one_decade || span.from.is_none() || span.to.is_none() { span } else { about(span) };
        span.at = at;
    } else if let Some(hit) = page.small_before(span.at, Small::Before).filter(|_| span.figures) {
        span = Span { at: hit.at, to: span.from, from: None, ..span };
    } else if let Some(hit) = page.small_before(span.at, Small::After).filter(|_| span.figures) {
        span = Span { at: hit.at, from: span.to, to: None, ..span };
    }
    span
}
