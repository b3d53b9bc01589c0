//! When: evidence from marks, materials, mechanisms and the variants still possible, joined into a range of years.
//!
//! Every piece of evidence says how well each year agrees ([`evidence`](self)): hard ends (a law, a patent's issue)
//! exclude, soft ones (custom) only weigh, and an unverified fact is never hard. A patent tells "not before" of the part
//! that bears it. Parts that owners change, and boxes, weigh half at most and bound nothing.

pub mod calendar;
mod catalogue;
mod clashes;
mod codes;
mod dates;
mod evidence;
mod mark;
mod numbers;
mod patents;
mod series;
mod tokens;
mod wordings;

use serde::Serialize;

use crate::observe::{About, Certainty, Observation, Sheet, Value};
use crate::order;
use crate::reference::{Bound, Clue, Confidence, Maker, MakerMark, Model, Reference, Years};

pub use calendar::{Date, MONTHS, date_of_unix_day};
pub use dates::DateReading;
pub use evidence::YearReason;
pub use mark::{MarkReading, read_mark};
pub use series::PatentReading;
pub(crate) use tokens::{fits as number_fits, tokens};

use evidence::{Evidence, Kind, years_words};

/// First year of [`When::by_year`].
pub const FIRST_YEAR: i32 = 1700;

/// Two reasons that can't both hold.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Clash {
    pub a: String,
    pub b: String,
    /// The likely innocent cause.
    pub cause: String,
}

/// When a reel was made, as far as can be told.
#[derive(Debug, Clone, Default, PartialEq, Serialize)]
pub struct When {
    /// The smallest run of years that holds 90 %; it reaches this year where nothing ends it. `None`: nothing tells.
    pub likely: Option<(i32, i32)>,
    /// Hard ends only.
    pub not_before: Option<i32>,
    pub not_after: Option<i32>,
    /// Chance of each year from [`FIRST_YEAR`] to this one.
    pub by_year: Vec<(i32, f32)>,
    pub reasons: Vec<YearReason>,
    pub clashes: Vec<Clash>,
    /// What must be said besides: a catalogue number is no year, a code dates the design, confirm with the check inside.
    pub notes: Vec<String>,
}

/// Share of such answers that are right.
fn trust(certainty: Certainty) -> f64 {
    match certainty {
        Certainty::Sure => 1.0,
        Certainty::Likely => 0.9,
        Certainty::Guess => 0.6,
    }
}

/// Dates a reel. `variants`: model id, variant id and probability of those still possible; what they lack to 1 is left
/// to reels outside the key.
pub fn date(reference: &Reference, seen: &[Observation], variants: &[(String, String, f64)], this_year: i32) -> When {
    let sheet = Sheet { seen: seen.to_vec(), note: String::new() };
    let answers = sheet.current();
    let marks: Vec<(&str, &str, f64)> = answers
        .iter()
        .filter_map(|seen| match (&seen.about, &seen.value) {
            (About::Mark(place), Value::Text(text)) => Some((place.as_str(), text.as_str(), trust(seen.certainty))),
            _ => None,
        })
        .collect();
    let mut notes: Vec<String> = Vec::new();
    let mut all: Vec<Evidence> = Vec::new();

    let makers = makers_of(reference, &marks, variants);
    let maker_ids: Vec<&str> = makers.iter().map(|(maker, _)| maker.id.as_str()).collect();
    for &(place, text, trust) in &marks {
        let (reading, evidence) = mark::read_at(reference, text, place, &maker_ids, this_year);
        notes.extend(reading.notes);
        all.extend(evidence.into_iter().map(|mut found| {
            found.trust = trust;
            // A handle or a knob may come from another reel.
            found.replaceable |= place.contains("handle") || place.contains("knob");
            found
        }));
    }
    for clue in &reference.dating.construction {
        all.extend(construction(reference, clue, &answers));
    }
    for &(maker, named) in &makers {
        makers_evidence(maker, named, &marks, &answers, &mut all, &mut notes);
    }
    sellers(reference, &marks, &mut notes);
    model_notes(reference, variants, &mut notes);
    for found in &mut all {
        found.settle_bounds();
    }
    all.dedup_by(|a, b| a.reason == b.reason);
    if all.iter().any(|found| found.kind == Kind::Patent) {
        notes.push("A patent tells only the earliest year of the part that bears it.".to_owned());
    }
    let made_from = all.len();
    all.extend(variant_reasons(reference, variants));

    let mut when = join(reference, &all[..made_from], variants, this_year);
    when.clashes = clashes::find(&all);
    for note in notes {
        if !when.notes.contains(&note) {
            when.notes.push(note);
        }
    }
    when.reasons = all.into_iter().map(|found| found.reason).collect();
    when
}

/// Makers whose codes may be read: named by a mark (true), or holding most of the probability.
fn makers_of<'a>(
    reference: &'a Reference,
    marks: &[(&str, &str, f64)],
    variants: &[(String, String, f64)],
) -> Vec<(&'a Maker, bool)> {
    let share = |maker: &Maker| -> f64 {
        variants
            .iter()
            .filter(|(model, _, _)| reference.model(model).is_some_and(|m| m.maker == maker.id))
            .map(|v| v.2)
            .sum()
    };
    // Of names inside one another the longest counts: ALDER & SONS is not ALDER.
    let mut named = vec![false; reference.makers.len()];
    for (_, text, _) in marks {
        let names = |(at, maker)| Some((at, wordings::names_maker(maker, text)?));
        let read: Vec<(usize, crate::marks::Match)> = reference.makers.iter().enumerate().filter_map(names).collect();
        for (at, found) in &read {
            let inside = |(_, other): &(usize, crate::marks::Match)| {
                other.start <= found.start
                    && found.end <= other.end
                    && other.end - other.start > found.end - found.start
            };
            let better = |(_, other): &(usize, crate::marks::Match)| wordings::reads_better(other, found);
            named[*at] |= !read.iter().any(inside) && !read.iter().any(better);
        }
    }
    let all = reference.makers.iter().zip(named);
    all.filter(|(maker, named)| *named || share(maker) > 0.5).collect()
}

fn makers_evidence(
    maker: &Maker,
    named: bool,
    marks: &[(&str, &str, f64)],
    answers: &[&Observation],
    all: &mut Vec<Evidence>,
    notes: &mut Vec<String>,
) {
    let sources = |keys: &[String]| keys.iter().map(|key| format!("{}/{key}", maker.pack)).collect::<Vec<_>>();
    for code in &maker.date_codes {
        let found = codes::read(maker, code, marks, answers);
        if found.is_empty() && !codes::touches(code, answers) {
            continue;
        }
        if let Some(note) = &code.note {
            notes.push(format!("{}: {note}.", maker.name));
        }
        for found in &found {
            match found.kind {
                Kind::Design => notes.push(format!("{}: {}", found.reason.what, found.reason.words)),
                Kind::Box => notes.push(format!("{}: it dates the box, not the reel.", found.reason.what)),
                _ => {}
            }
        }
        all.extend(found);
    }
    let read = |mark: &MakerMark, text: &str| {
        let struck = mark.struck.iter().filter_map(|struck| crate::marks::holds(text, struck));
        struck.max_by(|a, b| a.llr.total_cmp(&b.llr))
    };
    for mark in &maker.marks {
        if mark.years == Years::default() {
            continue;
        }
        for &(place, text, trust) in marks {
            let Some(here) = read(mark, text) else { continue };
            let better =
                |other: &MakerMark| read(other, text).is_some_and(|there| wordings::reads_better(&there, &here));
            if maker.marks.iter().any(better) {
                continue;
            }
            // A code may have told the same already.
            let told = |found: &Evidence| {
                found.at == place && (found.reason.from, found.reason.to) == (mark.years.from, mark.years.to)
            };
            if !all.iter().any(told) {
                let note = mark.note.as_ref().map_or(String::new(), |note| format!(" {note}."));
                let words = format!("{}.{note}", years_words(&mark.years));
                let what = format!("{}: {}", maker.name, mark.text);
                let mut found =
                    Evidence::new(Kind::Wording, place, what, words, &mark.years, mark.confidence, sources(&mark.src));
                found.trust = trust;
                found.replaceable = place == "box";
                all.push(found);
            }
        }
    }
    notes.extend(
        maker
            .notes
            .iter()
            .filter(|note| speaks_of_dating(&note.text))
            .map(|note| format!("{}: {}", maker.name, note.text)),
    );
    if named && maker.active != Years::default() && !maker.seller_only {
        // A firm's own years are told in round figures: never hard.
        let years = Years { from_bound: Bound::Soft, to_bound: Bound::Soft, ..maker.active };
        let words = format!("Made reels {}.", years_words(&years));
        all.push(Evidence::new(
            Kind::Maker,
            "",
            maker.name.clone(),
            words,
            &years,
            maker.confidence,
            sources(&maker.main_sources),
        ));
    }
}

/// Names of sellers on the reel.
fn sellers(reference: &Reference, marks: &[(&str, &str, f64)], notes: &mut Vec<String>) {
    let read = |name: &str| marks.iter().find_map(|(_, text, _)| crate::marks::holds(text, name));
    let mut houses: Vec<(&Maker, &crate::reference::HouseBrand, crate::marks::Match)> = Vec::new();
    for maker in &reference.makers {
        houses.extend(maker.house_brands.iter().filter_map(|house| Some((maker, house, read(&house.brand)?))));
    }
    // A name inside a longer one does not count.
    let all = houses.clone();
    houses.retain(|(_, _, found)| {
        !all.iter().any(|(_, _, other)| {
            other.start <= found.start && found.end <= other.end && other.end - other.start > found.end - found.start
        })
    });
    for (maker, house, _) in &houses {
        let note = house.note.as_ref().map_or(String::new(), |note| format!(" {note}."));
        // A maker's own name or trade mark, though another supplied some reels that bear it.
        let own = |other: &Maker| {
            let names = std::iter::once(&other.name).chain(other.trade_marks.iter().map(|said| &said.text));
            let of = |name: &String| crate::marks::holds(&name.to_uppercase(), &house.brand.to_uppercase()).is_some();
            !other.seller_only && other.id != maker.id && names.into_iter().any(of)
        };
        let one = houses.iter().filter(|(_, other, _)| other.brand == house.brand).count() == 1;
        let sure = if house.confidence == Confidence::Low || !one { "may have been" } else { "was" };
        notes.push(if reference.makers.iter().any(own) {
            format!("“{}” may stand on a reel that another made: {} supplied some.{note}", house.brand, maker.name)
        } else {
            format!(
                "“{}” is a name of {}, a seller: the maker is another, and it {sure} {}.{note} A seller's name by itself proves no years.",
                house.brand, house.seller, maker.name
            )
        });
    }
    for maker in &reference.makers {
        if maker.seller_only && marks.iter().any(|(_, text, _)| wordings::names_maker(maker, text).is_some()) {
            notes.push(format!(
                "{} sold reels and made none: a seller's name is not the maker's, and by itself proves no years.",
                maker.name
            ));
        }
    }
}

/// What the reference says of the leading model, and of its family's years.
fn model_notes(reference: &Reference, variants: &[(String, String, f64)], notes: &mut Vec<String>) {
    let mut models: Vec<(&str, f64)> = Vec::new();
    for (model, _, p) in variants {
        match models.iter_mut().find(|(id, _)| id == model) {
            Some((_, sum)) => *sum += p,
            None => models.push((model, *p)),
        }
    }
    for model in models.iter().filter(|(_, p)| *p >= 0.5).filter_map(|(id, _)| reference.model(id)) {
        notes.extend(model.note.as_ref().map(|note| format!("{}: {note}", model.name)));
        notes.extend(name_begins(reference, model));
        let family = model.family.as_ref().and_then(|id| reference.families.iter().find(|family| family.id == *id));
        for said in family.iter().flat_map(|family| &family.notes) {
            if names_year(&said.text) || speaks_of_dating(&said.text) {
                notes.push(format!("{}: {}", model.name, said.text));
            }
        }
    }
}

/// From when the maker used the name, where the model's number could be taken for an earlier year.
fn name_begins(reference: &Reference, model: &Model) -> Option<String> {
    let first_word = |model: &Model| model.name.split(' ').next().unwrap_or_default().to_owned();
    let name = first_word(model);
    let named = || reference.models.iter().filter(|m| m.maker == model.maker && first_word(m) == name);
    if name.contains(|c: char| c.is_ascii_digit()) || named().count() < 2 {
        return None;
    }
    let years = named().flat_map(|m| &m.variants).map(|variant| variant.years.from);
    let first = years.collect::<Option<Vec<i32>>>()?.into_iter().min()?;
    let earlier = model.numbers.iter().find(|number| {
        let figures: String = number.chars().take_while(char::is_ascii_digit).collect();
        figures.len() == 4 && figures.parse().is_ok_and(|year: i32| (FIRST_YEAR..first).contains(&year))
    })?;
    Some(format!("{earlier} cannot be the year: the name {name} is known from {first} on."))
}

fn names_year(note: &str) -> bool {
    tokens::tokens(note).iter().any(|token| {
        token.text.len() == 4 && token.text.parse::<i32>().is_ok_and(|year| (FIRST_YEAR..2030).contains(&year))
    })
}

fn speaks_of_dating(note: &str) -> bool {
    tokens::tokens(note).iter().any(|token| {
        matches!(
            token.text.as_str(),
            "YEAR" | "YEARS" | "DATE" | "DATES" | "OVERLAP" | "OVERLAPPED" | "RETAILER" | "RETAILERS"
        )
    })
}

fn construction(reference: &Reference, clue: &Clue, answers: &[&Observation]) -> Option<Evidence> {
    let (feature, trust) = clue
        .shown_by
        .iter()
        .find_map(|[feature, state]| codes::shown(answers, feature, state).map(|trust| (feature, trust)))?;
    let note = if clue.note.is_empty() { String::new() } else { format!(" {}", clue.note) };
    let words = format!("{}.{note}", years_words(&clue.years));
    let sources = clue.src.iter().map(|key| format!("{}/{key}", reference.dating.id)).collect();
    let mut found =
        Evidence::new(Kind::Construction, feature, clue.label.clone(), words, &clue.years, clue.confidence, sources);
    found.replaceable = clue.replaceable || reference.feature(feature).is_some_and(|feature| feature.replaceable);
    found.trust = trust;
    if found.replaceable {
        found.reason.words.push_str(" The part is easily changed, so it says little of the rest.");
    }
    found.tells_years().then_some(found)
}

/// The likeliest variants, at most four, as reasons.
fn variant_reasons(reference: &Reference, variants: &[(String, String, f64)]) -> Vec<Evidence> {
    let mut likely: Vec<&(String, String, f64)> = variants.iter().filter(|(_, _, p)| *p >= 0.05).collect();
    order::by(&mut likely, |a, b| b.2.total_cmp(&a.2));
    likely
        .into_iter()
        .take(4)
        .filter_map(|(model_id, variant_id, p)| {
            let model = reference.model(model_id)?;
            let variant = model.variant(variant_id)?;
            // A variant's years never bound hard: it may be the wrong reel.
            let years = Years { from_bound: Bound::Soft, to_bound: Bound::Soft, ..variant.years };
            let what = format!("{}, {}", model.name, variant.name);
            let words = format!("{} ({:.0} % likely): {}.", what, p * 100.0, years_words(&years));
            let mut found = Evidence::new(Kind::Variant, "", what, words, &years, Confidence::Medium, Vec::new());
            found.trust = *p;
            Some(found)
        })
        .collect()
}

/// How many reels of a year turn up at all: few before 1850. A judgement, and weak beside any evidence.
fn met(year: i32) -> f64 {
    (0.02 + 0.98 * f64::from(year - 1800) / 90.0).clamp(0.02, 1.0)
}

/// Share of the variants whose years in the reference are plainly wrong: reels sold from stock, catalogues not seen.
const YEARS_WRONG: f64 = 0.04;

/// Chances that sum to 1, one for each year from [`FIRST_YEAR`], within the span softly.
fn spread(span: Years, this_year: i32) -> Vec<f64> {
    let span = Years { from_bound: Bound::Soft, to_bound: Bound::Soft, ..span };
    // Firm, since [`YEARS_WRONG`] stands beside it.
    let own = Evidence::new(Kind::Variant, "", String::new(), String::new(), &span, Confidence::High, Vec::new());
    let mut chance: Vec<f64> = (FIRST_YEAR..=this_year).map(|year| own.agrees(year, true) * met(year)).collect();
    let sum: f64 = chance.iter().sum();
    chance.iter_mut().for_each(|chance| *chance /= sum);
    chance
}

/// Chance of each year by the variants alone; what they lack to 1 is spread by [`met`].
fn by_variants(reference: &Reference, variants: &[(String, String, f64)], this_year: i32) -> Vec<f64> {
    let mut chance = vec![0.0; (this_year - FIRST_YEAR + 1).max(1) as usize];
    let mut add = |span: Years, weight: f64| {
        for (chance, share) in chance.iter_mut().zip(spread(span, this_year)) {
            *chance += weight * share;
        }
    };
    let mut rest = 1.0;
    for (model_id, variant_id, p) in variants {
        let Some(model) = reference.model(model_id) else { continue };
        let Some(variant) = model.variant(variant_id) else { continue };
        let makers = reference.maker(&model.maker).map_or(Years::default(), |maker| maker.active);
        let own = variant.years;
        if own.from.or(own.to).is_some() {
            add(own, p * (1.0 - YEARS_WRONG));
            add(makers, p * YEARS_WRONG);
        } else {
            add(makers, *p);
        }
        rest -= p;
    }
    add(Years::default(), f64::max(rest, 0.0));
    chance
}

fn join(reference: &Reference, all: &[Evidence], variants: &[(String, String, f64)], this_year: i32) -> When {
    let mut when = When {
        not_before: all.iter().filter_map(Evidence::hard_from).max(),
        not_after: all.iter().filter_map(Evidence::hard_to).min(),
        ..When::default()
    };
    // Hard ends that contradict bound nothing: one of them is misread or of another reel.
    let soften = matches!((when.not_before, when.not_after), (Some(from), Some(to)) if from > to)
        || when.not_before.is_some_and(|from| from > this_year);
    if soften {
        (when.not_before, when.not_after) = (None, None);
    }
    let mut chance = by_variants(reference, variants, this_year);
    for (at, chance) in chance.iter_mut().enumerate() {
        let year = FIRST_YEAR + at as i32;
        *chance *= all.iter().map(|found| found.agrees(year, soften)).product::<f64>();
    }
    let sum: f64 = chance.iter().sum();
    if sum > 0.0 {
        chance.iter_mut().for_each(|chance| *chance /= sum);
    }
    let tells = all.iter().any(Evidence::tells_years)
        || variants.iter().any(|(model, variant, p)| {
            let years = reference.model(model).and_then(|m| m.variant(variant)).map(|v| v.years);
            *p > 0.2 && years.is_some_and(|years| years.from.or(years.to).is_some())
        });
    when.likely = tells.then(|| smallest_run(&chance, 0.9)).flatten().map(|(first, last)| {
        // Where the last years are as good as any, the range is open.
        let best = chance[first..=last].iter().copied().fold(0.0, f64::max);
        let last = if chance[chance.len() - 1] >= 0.5 * best { chance.len() - 1 } else { last };
        (FIRST_YEAR + first as i32, FIRST_YEAR + last as i32)
    });
    when.by_year = chance.iter().enumerate().map(|(at, chance)| (FIRST_YEAR + at as i32, *chance as f32)).collect();
    when
}

/// First and last place of the shortest run that holds the share; of equally short ones the fullest.
fn smallest_run(chance: &[f64], share: f64) -> Option<(usize, usize)> {
    let mut best: Option<(usize, usize, f64)> = None;
    let (mut first, mut sum) = (0, 0.0);
    for last in 0..chance.len() {
        sum += chance[last];
        while first < last && sum - chance[first] >= share {
            sum -= chance[first];
            first += 1;
        }
        let shorter = |(a, b, held): (usize, usize, f64)| last - first < b - a || last - first == b - a && sum > held;
        if sum >= share && best.is_none_or(shorter) {
            best = Some((first, last, sum));
        }
    }
    best.map(|(first, last, _)| (first, last))
}

#[cfg(test)]
mod tests;
