//! Makers, brands, models, and what sellers say of a reel in words.

use std::collections::BTreeSet;

use crate::reference::PhraseKind;

use super::lexicon::{Entry, Small};
use super::names::related;
use super::reading::{Found, Page};
use super::{ClaimKind, Meaning};

/// Who is named anywhere in the text.
pub(super) struct Named {
    /// Makers by name, and those a brand points to; by place.
    pub makers: Vec<usize>,
    /// Words behind which the name of a maker, brand or model ends.
    ends: BTreeSet<usize>,
}

impl Named {
    /// Whether a figure that looks like a year is rather a model's number: one of the packs', or right behind a name.
    pub fn may_be_number(&self, page: &Page, at: usize) -> bool {
        let catalogue = page.hits_at(at).iter().any(|hit| matches!(hit.entry, Entry::ModelNumber(_)));
        let behind = self.ends.contains(&at) && page.same_clause(at - 1, at);
        catalogue || behind
    }

    fn has(&self, page: &Page, maker: &str) -> bool {
        self.makers.iter().any(|at| page.reference.makers[*at].id == maker)
    }
}

/// Whether a name of one plain-looking word is written as a name: with a capital.
fn as_name(page: &Page, at: usize, single: bool) -> bool {
    !single || page.words[at].capital
}

pub(super) fn names(page: &Page) -> Named {
    let mut named = Named { makers: Vec::new(), ends: BTreeSet::new() };
    for hit in &page.hits {
        let makers: &[usize] = match &hit.entry {
            Entry::Maker(maker, single) if as_name(page, hit.at, *single) => std::slice::from_ref(maker),
            Entry::Brand(brand, single) if as_name(page, hit.at, *single) => &page.names.brands[*brand].makers,
            _ => continue,
        };
        named.ends.insert(hit.end);
        for maker in makers {
            if !named.makers.contains(maker) {
                named.makers.push(*maker);
            }
        }
    }
    let firm_in_town = towns(page);
    named.makers.extend(firm_in_town.iter().flat_map(|(_, _, makers)| makers));
    for hit in &page.hits {
        if let Entry::ModelName(model, plain) = hit.entry
            && as_name(page, hit.at, true)
            && (!plain || named.has(page, &page.reference.models[model].maker))
        {
            named.ends.insert(hit.end);
        }
    }
    named
}

/// `the Akron firm`: a town and a word for a firm.
fn towns(page: &Page) -> Vec<(usize, usize, Vec<usize>)> {
    let mut found: Vec<(usize, usize, Vec<usize>)> = Vec::new();
    // "For a Boston house" names a customer.
    let customer = |at: usize| (at.saturating_sub(2)..at).any(|place| page.words[place].is("FOR"));
    for hit in &page.hits {
        let Entry::Town(maker) = hit.entry else { continue };
        let Some(firm) = (hit.end..hit.end + 2).find_map(|at| page.small_at(at, Small::Firm)) else { continue };
        if !page.words[hit.at].capital || !page.same_clause(hit.at, firm.at) || customer(hit.at) {
            continue;
        }
        match found.iter_mut().find(|(at, _, _)| *at == hit.at) {
            Some((_, _, makers)) if makers.contains(&maker) => {}
            Some((_, _, makers)) => makers.push(maker),
            None => found.push((hit.at, firm.end, vec![maker])),
        }
    }
    // A town of many makers names none.
    found.retain(|(_, _, makers)| makers.len() == 1);
    found
}

/// Makers and brands, each at its longest form.
pub(super) fn makers(page: &Page) -> Vec<Found> {
    let mut found: Vec<Found> = Vec::new();
    let id = |at: &usize| page.reference.makers[*at].id.clone();
    let mut at = 0;
    while at < page.words.len() {
        let names: Vec<_> = page
            .hits_at(at)
            .iter()
            .filter(|hit| match hit.entry {
                Entry::Maker(_, single) | Entry::Brand(_, single) => as_name(page, at, single),
                _ => false,
            })
            .collect();
        let Some(end) = names.first().map(|hit| hit.end) else {
            at += 1;
            continue;
        };
        let mut ids: Vec<String> = Vec::new();
        for hit in names.iter().filter(|hit| hit.end == end) {
            match hit.entry {
                Entry::Maker(maker, _) => ids.push(id(&maker)),
                Entry::Brand(brand, _) => {
                    let brand = &page.names.brands[brand];
                    let meaning =
                        Meaning::Brand { name: brand.name.clone(), makers: brand.makers.iter().map(id).collect() };
                    found.push(Found::new(ClaimKind::Brand, at, end, meaning));
                }
                _ => {}
            }
        }
        if !ids.is_empty() {
            found.push(Found::new(ClaimKind::Maker, at, end, Meaning::Makers(ids)));
        }
        at = end;
    }
    for (at, end, makers) in towns(page) {
        // A firm named by its town is one the text may also name by name.
        found.push(Found::new(ClaimKind::Maker, at, end, Meaning::Makers(makers.iter().map(id).collect())));
    }
    found
}

/// A run of words that names models.
struct Candidate {
    at: usize,
    end: usize,
    models: Vec<usize>,
    number: Option<String>,
    /// A short number says little by itself.
    weak: bool,
}

/// Models by name, by number, or both side by side.
pub(super) fn models(page: &Page, named: &Named) -> Vec<Found> {
    let models = &page.reference.models;
    let firms: Vec<usize> = towns(page).iter().map(|(at, _, _)| *at).collect();
    let is_named = |model: usize| named.has(page, &models[model].maker);
    let mut candidates: Vec<Candidate> = Vec::new();
    let mut at = 0;
    while at < page.words.len() {
        let hits = page.hits_at(at);
        let by_name = hits.iter().filter(|hit| match hit.entry {
            Entry::ModelName(model, plain) => {
                page.words[at].capital && (!plain || is_named(model)) && !firms.contains(&at)
            }
            _ => false,
        });
        let by_number = hits.iter().filter(|hit| match hit.entry {
            Entry::ModelNumber(model) => is_named(model) && !page.taken[at],
            _ => false,
        });
        let all: Vec<_> = by_name.chain(by_number).collect();
        let Some(end) = all.iter().map(|hit| hit.end).max() else {
            at += 1;
            continue;
        };
        let numbered = all.iter().any(|hit| hit.end == end && matches!(hit.entry, Entry::ModelNumber(_)));
        let ids: Vec<usize> = all
            .iter()
            .filter(|hit| hit.end == end)
            .filter_map(|hit| match hit.entry {
                Entry::ModelName(model, _) | Entry::ModelNumber(model) => Some(model),
                _ => None,
            })
            .collect();
        let written = &page.text[page.words[at].start..page.words[end - 1].end];
        let figures = written.chars().filter(char::is_ascii_alphanumeric).count();
        candidates.push(Candidate {
            at,
            end,
            models: ids,
            number: numbered.then(|| written.to_owned()),
            weak: numbered && figures < 3,
        });
        at = end;
    }
    join(page, named, candidates)
        .into_iter()
        .map(|found| {
            let mut ids: Vec<String> = Vec::new();
            for model in found.models {
                if !ids.contains(&models[model].id) {
                    ids.push(models[model].id.clone());
                }
            }
            Found::new(ClaimKind::Model, found.at, found.end, Meaning::Models { ids, number: found.number })
        })
        .collect()
}

/// Joins a name and the number beside it; drops a weak number that stands beside no name.
fn join(page: &Page, named: &Named, candidates: Vec<Candidate>) -> Vec<Candidate> {
    let mut joined: Vec<Candidate> = Vec::new();
    for mut next in candidates {
        if let Some(last) = joined.last_mut()
            && next.at <= last.end + 2
            && page.same_sentence(last.at, next.at)
        {
            let both: Vec<usize> = last.models.iter().copied().filter(|model| next.models.contains(model)).collect();
            if !both.is_empty() {
                last.end = next.end;
                last.models = both;
                last.number = last.number.take().or(next.number);
                last.weak = false;
                continue;
            }
        }
        let cued = page.small_before(next.at, Small::NumberCue).is_some() || page.gap_before(next.at).ends_with('#');
        // Right behind a name, or one word on.
        let beside = (next.at.saturating_sub(1)..=next.at)
            .any(|end| named.ends.contains(&end) && page.same_clause(end - 1, next.at));
        next.weak &= !cued && !beside;
        joined.push(next);
    }
    joined.retain(|candidate| !candidate.weak);
    joined
}

/// Phrases, materials, things counted.
pub(super) fn said(page: &Page) -> Vec<Found> {
    let mut found = Vec::new();
    let mut at = 0;
    while at < page.words.len() {
        let hit = page.hits_at(at).iter().find(|hit| matches!(hit.entry, Entry::Phrase(_) | Entry::Material(_)));
        let longer_name = |end: usize| {
            page.hits_at(at).iter().any(|hit| {
                hit.end > end
                    && matches!(hit.entry, Entry::Maker(..) | Entry::Brand(..) | Entry::ModelName(..) | Entry::Era(_))
            })
        };
        match hit {
            Some(hit) if !longer_name(hit.end) => {
                found.extend(match hit.entry {
                    Entry::Phrase(phrase) => phrase_said(page, at, hit.end, phrase),
                    Entry::Material(material) => material_said(page, at, hit.end, material),
                    _ => None,
                });
                at = hit.end;
            }
            _ => {
                found.extend(counted(page, at));
                at += 1;
            }
        }
    }
    found
}

fn phrase_said(page: &Page, at: usize, end: usize, phrase: usize) -> Option<Found> {
    let phrase = &page.reference.selling.phrases[phrase];
    let kind = match phrase.kind {
        PhraseKind::Rarity => ClaimKind::Rarity,
        PhraseKind::Working => ClaimKind::Working,
        PhraseKind::Originality => ClaimKind::Originality,
        PhraseKind::Completeness => ClaimKind::Completeness,
        PhraseKind::Condition => ClaimKind::Condition,
        PhraseKind::Damage => ClaimKind::Damage,
        PhraseKind::Special => ClaimKind::Special,
        PhraseKind::Version => ClaimKind::Version,
        PhraseKind::AgeProof => ClaimKind::AgeProof,
        PhraseKind::Several => return Some(Found::new(ClaimKind::Count, at, end, Meaning::Reels(None))),
        PhraseKind::Feature | PhraseKind::Kind => {
            let kind = if phrase.kind == PhraseKind::Kind { ClaimKind::Kind } else { ClaimKind::Feature };
            let feature = phrase.shows.first()?[0].clone();
            let states = phrase.shows.iter().filter(|pair| pair[0] == feature).map(|pair| pair[1].clone()).collect();
            return Some(Found::new(kind, at, end, Meaning::Feature { feature, states }));
        }
    };
    Some(Found::new(kind, at, end, Meaning::Said(phrase.id.clone())))
}

/// A material, of the part named beside it or of the plates.
fn material_said(page: &Page, at: usize, end: usize, material: usize) -> Option<Found> {
    let material = &page.reference.selling.materials[material];
    let words = &page.words;
    // Two letters are an abbreviation in capitals.
    if end == at + 1 && words[at].text.len() <= 2 && !words[at].caps {
        return None;
    }
    let part_at = |from: usize| {
        page.hits_at(from).iter().find_map(|hit| match hit.entry {
            Entry::Part(part) if words[hit.at].clause == words[at].clause => Some(&page.reference.selling.parts[part]),
            _ => None,
        })
    };
    let beside = |from: usize| {
        from < words.len() && page.same_clause(at, from) && page.small_at(from, Small::NotTheReel).is_some()
    };
    if (end..end + 2).any(beside) {
        return None;
    }
    // Behind it, or before it with "is", "of" or "in" between.
    let behind = (end..(end + 3).min(words.len()))
        .take_while(|from| page.same_clause(at, *from))
        .take_while(|from| !page.hits_at(*from).iter().any(|hit| matches!(hit.entry, Entry::Material(_))))
        .find_map(part_at);
    let links = |word: &str| matches!(word, "IS" | "ARE" | "OF" | "IN" | "MADE");
    let part = behind.or_else(|| {
        let mut from = at;
        while from > 0 && at - from < 3 && links(&words[from - 1].text) {
            from -= 1;
        }
        (from < at && from > 0).then(|| part_at(from - 1))?
    });
    let of_part: Vec<&[String; 2]> = match part {
        Some(part) => material.states.iter().filter(|pair| part.features.contains(&pair[0])).collect(),
        None => material.states.iter().take(1).collect(),
    };
    let meaning = match of_part.first() {
        None => Meaning::Material(material.id.clone()),
        Some([feature, _]) => Meaning::Feature {
            feature: feature.clone(),
            states: of_part.iter().filter(|pair| pair[0] == *feature).map(|pair| pair[1].clone()).collect(),
        },
    };
    Some(Found::new(ClaimKind::Material, at, end, meaning))
}

fn number_of(text: &str) -> Option<u32> {
    const NUMBERS: [&str; 12] =
        ["ONE", "TWO", "THREE", "FOUR", "FIVE", "SIX", "SEVEN", "EIGHT", "NINE", "TEN", "ELEVEN", "TWELVE"];
    match NUMBERS.iter().position(|number| *number == text) {
        Some(at) => Some(at as u32 + 1),
        None => text.parse().ok().filter(|count| (1..=60).contains(count) && !text.starts_with('0')),
    }
}

/// `six brass pillars`, `lot of 3`, `two reels`.
fn counted(page: &Page, at: usize) -> Option<Found> {
    let words = &page.words;
    let text = words[at].text.as_str();
    if matches!(text, "LOT" | "SET" | "GROUP" | "COLLECTION" | "PAIR" | "BUNDLE") && words.get(at + 1)?.is("OF") {
        let next = words.get(at + 2)?;
        if let Some(count) = number_of(&next.text).filter(|count| *count > 1 && !page.taken[at + 2]) {
            return Some(Found::new(ClaimKind::Count, at, at + 3, Meaning::Reels(Some(count))));
        }
        let reels = (at + 2..(at + 6).min(words.len()))
            .find(|place| words[*place].is("REELS") && page.same_clause(at, *place))?;
        let pair = (text == "PAIR").then_some(2);
        return Some(Found::new(ClaimKind::Count, at, reels + 1, Meaning::Reels(pair)));
    }
    let count = number_of(text).filter(|_| !page.taken[at])?;
    for (place, word) in words.iter().enumerate().take(at + 4).skip(at + 1) {
        if !page.same_clause(at, place) {
            return None;
        }
        if word.is("REELS") {
            // "3 casting reels", but not "No. 3 reels".
            let numbered = page.small_before(at, Small::NumberCue).is_some();
            return (count > 1 && !numbered)
                .then(|| Found::new(ClaimKind::Count, at, place + 1, Meaning::Reels(Some(count))));
        }
        let thing = page.hits_at(place).iter().find_map(|hit| match hit.entry {
            Entry::Count(thing) => Some((thing, hit.end)),
            _ => None,
        });
        if let Some((thing, end)) = thing {
            let feature = page.reference.selling.counts[thing].features.first()?.clone();
            return Some(Found::new(ClaimKind::Count, at, end, Meaning::Counted { feature, count }));
        }
    }
    None
}

/// Places of makers in a claim that have nothing to do with those of another.
pub(super) fn strangers(reference: &crate::reference::Reference, a: &[String], b: &[String]) -> bool {
    let at = |id: &String| reference.makers.iter().position(|maker| maker.id == *id);
    let (a, b): (Vec<usize>, Vec<usize>) = (a.iter().filter_map(at).collect(), b.iter().filter_map(at).collect());
    !a.is_empty() && !b.is_empty() && !a.iter().any(|a| b.iter().any(|b| related(reference, *a, *b)))
}
