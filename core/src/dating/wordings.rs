//! Wordings of a mark that tell years: origins, legal notices, makers' own marks.

use crate::marks::{self, Match};
use crate::reference::{Clue, Maker, Reference};

use super::evidence::{Evidence, Kind, years_words};

/// Clues whose wording stands in the mark. A shorter wording inside a longer one, and one that another makes void,
/// is left out. What stands on papers only counts on the box alone.
pub fn clues<'a>(reference: &'a Reference, mark: &str, on_box: bool) -> Vec<(&'a Clue, Match)> {
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
    let void: Vec<&str> = held.iter().flat_map(|(clue, _)| clue.overrides.iter().map(String::as_str)).collect();
    let all = held.clone();
    held.retain(|(clue, found)| {
        let inside = |other: &Match| {
            other.start <= found.start && found.end <= other.end && other.end - other.start > found.end - found.start
        };
        !void.contains(&clue.id.as_str()) && !all.iter().any(|(other, place)| other.id != clue.id && inside(place))
    });
    held
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
pub fn country<'a>(clues: &[(&'a Clue, Match)]) -> Option<&'a str> {
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
