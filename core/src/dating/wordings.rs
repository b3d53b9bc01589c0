//! Wordings of a mark that tell years: origins, legal notices, makers' own marks.

use std::borrow::Cow;

use crate::marks::{self, Match};
use crate::reference::{Bound, Clue, Maker, Reference, Years};

use super::evidence::{Evidence, Kind, years_words};

/// So much better, in nats, one reading of the same letters makes the other void: between one letter read right and one
/// mistaken for its like lies more.
const BETTER: f64 = 1.0;

/// Clues whose wording stands in the mark. A shorter wording inside a longer one, one that another makes void, and one that
/// reads the same letters worse than another (`D.R.G.M.` is no `D.B.G.M.`) is left out. Where letters are illegible and two
/// wordings fit alike, they count as one that says no more than either. What stands on papers only counts on the box alone.
pub fn clues<'a>(reference: &'a Reference, mark: &str, on_box: bool) -> Vec<(Cow<'a, Clue>, Match)> {
    let mut held: Vec<(&Clue, Match)> = Vec::new();
    for clue in reference.dating.wordings.iter().filter(|clue| on_box || !clue.papers_only) {
        let best = clue
            .struck
            .iter()
            .filter(|template| {
                template.chars().filter(|c| c.is_alphanumeric()).count() >= 2 || template.contains(['®', '©', '™'])
            })
            .filter_map(|template| holds_or_sign(mark, template))
            .max_by(|a, b| a.llr.total_cmp(&b.llr));
        if let Some(found) = best {
            held.push((clue, found));
        }
    }
    let all = held.clone();
    held.retain(|(_, found)| !all.iter().any(|(_, other)| reads_better(other, found)));
    let void: Vec<&str> = held.iter().flat_map(|(clue, _)| clue.overrides.iter().map(String::as_str)).collect();
    let all = held.clone();
    held.retain(|(clue, found)| {
        let inside = |other: &Match| {
            other.start <= found.start && found.end <= other.end && other.end - other.start > found.end - found.start
        };
        !void.contains(&clue.id.as_str()) && !all.iter().any(|(other, place)| other.id != clue.id && inside(place))
    });
    let mut told: Vec<(Cow<Clue>, Match)> = Vec::new();
    for (clue, found) in held {
        let unsure = |found: &Match| !is_exact(mark, found);
        let alike = |other: &Match| same_letters(other, &found) && unsure(other) && unsure(&found);
        let alike = told.iter_mut().find(|(_, other)| alike(other));
        match alike {
            Some((other, _)) => *other = Cow::Owned(either(other, clue)),
            None => told.push((Cow::Borrowed(clue), found)),
        }
    }
    told
}

/// Whether two readings are of the same letters, but for one at the edge.
fn same_letters(a: &Match, b: &Match) -> bool {
    let both = a.end.min(b.end).saturating_sub(a.start.max(b.start));
    let either = a.end.max(b.end) - a.start.min(b.start);
    both * 10 >= either * 7
}

/// Whether one reads the same letters better than another does.
pub fn reads_better(one: &Match, other: &Match) -> bool {
    same_letters(one, other) && one.llr > other.llr + BETTER
}

/// Whether all letters of the span were read right.
fn is_exact(mark: &str, found: &Match) -> bool {
    let span = || mark.chars().skip(found.start).take(found.end - found.start);
    let letters = span().filter(|c| c.is_alphanumeric()).count();
    !span().any(|c| matches!(c, '?' | '*')) && found.llr >= letters as f64 * f64::from(marks::alike::MATCH) - 0.5
}

/// A clue that says no more than two that fit alike.
fn either(one: &Clue, other: &Clue) -> Clue {
    let (a, b) = (&one.years, &other.years);
    let bound = |a: Bound, b: Bound| if a == b { a } else { Bound::Soft };
    let least = |a: Option<i32>, b: Option<i32>| a.zip(b).map(|(a, b)| a.min(b));
    let most = |a: Option<i32>, b: Option<i32>| a.zip(b).map(|(a, b)| a.max(b));
    Clue {
        label: format!("{} or {}", one.label, other.label),
        years: Years {
            from: least(a.from, b.from),
            from_bound: bound(a.from_bound, b.from_bound),
            to: most(a.to, b.to),
            to_bound: bound(a.to_bound, b.to_bound),
            usual_from: least(a.usual_from, b.usual_from),
            usual_to: most(a.usual_to, b.usual_to),
        },
        note: "Which of them is struck is not legible.".to_owned(),
        src: [&one.src[..], &other.src[..]].concat(),
        confidence: one.confidence.min(other.confidence),
        ..one.clone()
    }
}

/// A wording with `#` or `&` leans on few letters, so these must be read right, and a `/` between figures be there.
fn shape_fits(mark: &str, template: &str, found: &Match) -> bool {
    if !template.contains(['#', '&']) {
        return true;
    }
    let letters = template.chars().filter(|c| c.is_alphanumeric()).count();
    let slash =
        !template.contains("#/#") || mark.chars().skip(found.start).take(found.end - found.start).any(|c| c == '/');
    slash && found.llr >= letters as f64 * f64::from(marks::alike::MATCH) - 0.01
}

/// Two letters of a country by the ids of its clues (`gb_england`), if a plain wording of the mark names one that is
/// not the United States.
pub fn country<'a>(clues: &'a [(Cow<Clue>, Match)]) -> Option<&'a str> {
    // Four letters or so, read right.
    const FIRM: f64 = 12.0;
    clues.iter().filter(|(_, found)| found.llr >= FIRM).find_map(|(clue, _)| {
        let (country, _) = clue.id.split_once('_')?;
        let plain = clue.struck.iter().any(|template| !template.contains(['#', '&']));
        (country.len() == 2 && country != "us" && plain).then_some(country)
    })
}

/// Signs such as ® are no letters, so they are looked for as they stand.
fn holds_or_sign(mark: &str, template: &str) -> Option<Match> {
    if template.chars().any(char::is_alphanumeric) {
        return marks::holds(mark, template).filter(|found| shape_fits(mark, template, found));
    }
    let at = mark.chars().position(|c| template.contains(c))?;
    Some(Match { struck: 0, llr: 4.0, start: at, end: at + 1, covered: 1.0, legible: 1 })
}

pub fn evidence(reference: &Reference, clue: &Clue, at: &str, on_box: bool) -> Option<Evidence> {
    let pack = &reference.dating.id;
    let sources = clue.src.iter().map(|key| format!("{pack}/{key}")).collect();
    let note = if clue.note.is_empty() { String::new() } else { format!(" {}", clue.note) };
    let words = format!("{}.{note}", years_words(&clue.years));
    let kind = if on_box { Kind::Box } else { Kind::Wording };
    let mut evidence = Evidence::new(kind, at, clue.label.clone(), words, &clue.years, clue.confidence, sources);
    evidence.replaceable = clue.replaceable || on_box;
    evidence.tells_years().then_some(evidence)
}

/// Names under which a maker may stand on a reel. Words in brackets are the reference's own.
fn names(maker: &Maker) -> impl Iterator<Item = &str> {
    let plain = maker.name.split('(').next().unwrap_or_default().trim();
    std::iter::once(plain)
        .chain(maker.other_names.iter().map(|name| name.split('(').next().unwrap_or_default().trim()))
        .chain(maker.marks.iter().flat_map(|mark| mark.struck.iter().map(String::as_str)))
        .filter(|name| name.chars().filter(|c| c.is_alphabetic()).count() >= 3)
}

/// How firmly the mark names the maker, in nats; `None` if it doesn't.
pub fn names_maker(maker: &Maker, mark: &str) -> Option<Match> {
    names(maker).filter_map(|name| marks::holds(mark, name)).max_by(|a, b| a.llr.total_cmp(&b.llr))
}
