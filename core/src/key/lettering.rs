//! What lettering is worth: who strikes it, and who else might.
//!
//! A reading is explained by a variant's own marks, the model's numbers and name, the brand, and the maker's names and
//! marks. What it is worth is measured against an unknown reel, which bears what several makers strike (MADE IN USA)
//! as often as they do, but rarely what one maker alone strikes.

use std::collections::BTreeMap;

use super::borne::{Borne, Texts, borne, mark_sets, name_words, often};
use super::build::{Key, Row};
use super::checks;
use super::posterior::Posterior;
use super::question::slip;
use super::wording::{self, Plain, Word};
use crate::marks::{MarkIndex, Match};
use crate::observe::{About, Observation, Value};
use crate::order;
use crate::reference::{HowOften, Reference};

/// Chance that an unknown reel bears what only one maker of the packs strikes.
const COINCIDENCE: f64 = 0.02;
/// Nats lost by a variant whose marks are well recorded, for a reading that none of them explains; by others.
const UNEXPLAINED: f64 = -1.2;
const UNEXPLAINED_POORLY_RECORDED: f64 = -0.2;
/// Share of the reels like a known one that are by the same maker.
const SIBLING: f64 = 0.25;
/// Share of readings that belong to another reel, or to the reader's wish; so much even if put as sure.
const MISREAD: f64 = 0.08;
/// Nats lost where nothing is struck though the variant always or usually bears a mark there.
const MISSING: [f32; 2] = [-1.6, -0.7];
/// Struck texts compared with one reading.
const MOST_MATCHES: usize = 256;

/// Nats lost by a model whose number has a letter more than what was read: 20 is not 20-L.
const PART_OF_NUMBER: f64 = 2.5;

/// What a text is to the one who bears it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Role {
    Struck { place: u16, how_often: u8 },
    Number,
    Name,
    Brand,
    Maker,
    HouseBrand,
}

impl Role {
    /// Nats for how often such a text stands on such a reel.
    fn nats(self, place: u16) -> f64 {
        match self {
            Role::Struck { place: own, how_often } => {
                let often = [0.0, -0.3, -1.2][usize::from(how_often.min(2))];
                if own == place { often } else { often - 0.4 }
            }
            Role::Number => -0.3,
            Role::Name => -0.5,
            Role::Brand => -0.3,
            Role::Maker => -0.7,
            Role::HouseBrand => -3.0,
        }
    }
    /// Numbers, names and single words are read whole: 60 is not found in 1960, nor a short name in a town's.
    fn stands_alone(self, text: &str) -> bool {
        !matches!(self, Role::Struck { .. } | Role::Maker) || text.len() <= 8 && !text.contains([' ', '#', '&', '*'])
    }
}

#[derive(Debug, Clone, Default)]
pub(super) struct Lettering {
    index: MarkIndex,
    plain: Plain,
    pub texts: Vec<String>,
    /// Rows that bear each text.
    rows: Vec<Vec<(u32, Role)>>,
    /// Makers that strike each text.
    makers: Vec<Vec<(u32, Role)>>,
    /// Maker and share of each row, for what an unknown reel may bear.
    maker_of_row: Vec<u32>,
    maker_count: usize,
    well_recorded: Vec<bool>,
    /// Place, how often and text of each row's marks.
    places: Vec<Vec<(u16, u8, Option<usize>)>>,
    /// Distinct sets of struck texts at one place, and each row's `(place, set, share that bears it)`.
    sets: Vec<(u16, Vec<String>)>,
    sets_of_row: Vec<Vec<(u16, u32, f32)>>,
}

impl Lettering {
    /// Without the index, by which it is read.
    pub fn gather(reference: &Reference, rows: &[Row], spans: &[u32]) -> Self {
        let place_of = |id: &str| {
            let at = reference.questions.mark_places.iter().position(|place| place.id == id);
            at.map_or(u16::MAX, |at| at as u16)
        };
        let mut texts = Texts::default();
        let mut well_recorded = vec![false; rows.len()];
        let mut places = vec![Vec::new(); rows.len()];
        let mut maker_of_row = vec![u32::MAX; rows.len()];
        let of_makers: Vec<Vec<Borne>> = reference.makers.iter().map(|maker| borne(reference, maker)).collect();
        for (at, model) in reference.models.iter().enumerate() {
            let span = spans[at]..spans[at + 1];
            let maker = reference.makers.iter().position(|maker| maker.id == model.maker);
            // What all its variants bear, each looked up once.
            let mut shared: Vec<(Option<usize>, Role)> = Vec::new();
            for number in &model.numbers {
                shared.push((texts.of(number), Role::Number));
            }
            // A number in the name is one of the model's, given whole among its numbers.
            let numbered = !model.numbers.is_empty();
            for word in name_words(&model.name).filter(|w| !numbered || !w.contains(|c: char| c.is_ascii_digit())) {
                shared.push((texts.of(word), Role::Name));
            }
            match (&model.brand, maker) {
                // A reel sold under another's name does not show its maker.
                (Some(brand), _) => shared.push((texts.of(brand), Role::Brand)),
                (None, Some(maker)) => {
                    let whose = |it: &&Borne| it.role == Role::Maker && (!it.of_a_model || it.is_of(model));
                    shared
                        .extend(of_makers[maker].iter().filter(whose).map(|borne| (texts.of(borne.text), borne.role)));
                }
                (None, None) => {}
            }
            for (row, variant) in span.zip(&model.variants) {
                maker_of_row[row as usize] = maker.map_or(u32::MAX, |maker| maker as u32);
                for mark in &variant.marks {
                    let (place, how_often) = (place_of(&mark.place), often(mark.how_often));
                    let struck = texts.of(&mark.struck);
                    texts.row(struck, row, Role::Struck { place, how_often });
                    places[row as usize].push((place, how_often, struck));
                    well_recorded[row as usize] |= mark.how_often == HowOften::Always && !mark.struck.is_empty();
                }
                shared.iter().for_each(|(text, role)| texts.row(*text, row, *role));
            }
        }
        for (at, maker) in reference.makers.iter().enumerate() {
            if !maker.seller_only {
                for borne in of_makers[at].iter().filter(|borne| !borne.of_a_model) {
                    let text = texts.of(borne.text);
                    texts.maker(text, at as u32, borne.role);
                }
            }
        }
        let (sets, sets_of_row) = mark_sets(reference, rows, &place_of);
        Lettering {
            sets,
            sets_of_row,
            plain: Plain::default(),
            index: MarkIndex::default(),
            texts: texts.texts,
            rows: texts.rows,
            makers: texts.makers,
            maker_of_row,
            maker_count: reference.makers.len(),
            well_recorded,
            places,
        }
    }

    pub fn index(&mut self, reference: &Reference) {
        self.plain = Plain::of(reference);
        self.index = MarkIndex::build(self.texts.iter().map(String::as_str));
    }

    /// Struck texts of the packs that the reading may show.
    fn read(&self, text: &str) -> Vec<Match> {
        let mut found = self.index.read(text, MOST_MATCHES);
        // Again without what anyone strikes, which would crowd out a short number beside it.
        let mut characters: Vec<char> = text.chars().collect();
        if self.plain.blank(&mut characters) {
            let rest: String = characters.into_iter().collect();
            for m in self.index.read(&rest, MOST_MATCHES) {
                match found.iter_mut().find(|old| old.struck == m.struck) {
                    Some(old) if old.llr < m.llr => *old = m,
                    Some(_) => {}
                    None => found.push(m),
                }
            }
        }
        found
    }

    /// Whether the row usually bears a mark at the place.
    pub fn expects(&self, row: usize, place: u16) -> bool {
        self.places[row].iter().any(|(at, often, _)| *at == place && *often < 2)
    }

    /// Bits that reading each place would tell about which variant it is.
    pub fn gains(&self, key: &Key, posterior: &Posterior) -> Vec<f64> {
        let mut gains = Vec::with_capacity(key.places.len());
        let mut masses = vec![0.0; self.sets.len()];
        for place in 0..key.places.len() as u16 {
            masses.iter_mut().for_each(|m| *m = 0.0);
            for (row, places) in self.sets_of_row.iter().enumerate() {
                if let Some((_, set, share)) = places.iter().find(|(at, ..)| *at == place) {
                    masses[*set as usize] += posterior.variant(row) * f64::from(*share);
                }
            }
            gains.push(checks::mark_gain(&masses));
        }
        gains
    }

    fn found<'a>(
        &'a self,
        read: &[Match],
        characters: &[char],
        words: &[Word],
        place: u16,
        owners: impl Fn(usize) -> &'a Vec<(u32, Role)>,
    ) -> Vec<Found> {
        let mut found = Vec::new();
        for (at, m) in read.iter().enumerate() {
            let alone = m.covered > 0.7 && wording::stands_alone(characters, m.start, m.end);
            let worth = wording::worth(characters, words, m, &self.texts[m.struck]);
            for (owner, role) in owners(m.struck) {
                // Of a text seen in part, the rest was not seen.
                let mut nats = worth.nats + role.nats(place) + m.covered.max(0.05).ln();
                if wording::lacks_suffix(characters, &self.texts[m.struck]) {
                    nats -= PART_OF_NUMBER;
                }
                if nats > 0.0 && (alone || !role.stands_alone(&self.texts[m.struck])) {
                    found.push(Found { owner: *owner, read: at, nats, names: worth.names, role: *role });
                }
            }
        }
        order::by(&mut found, |a, b| a.owner.cmp(&b.owner).then(b.nats.total_cmp(&a.nats)).then(a.read.cmp(&b.read)));
        found
    }
}

/// A text that explains a part of a reading.
pub(super) struct Explained {
    pub struck: usize,
    pub role: Role,
    pub nats: f64,
    /// Whether it may stand for a name.
    pub names: bool,
    /// Characters of the reading.
    pub span: (usize, usize),
    /// Share of the text that was seen.
    pub covered: f64,
}

struct Found {
    owner: u32,
    read: usize,
    nats: f64,
    names: bool,
    role: Role,
}

/// Greedily the best that don't overlap, each struck text once for all readings.
fn pick(found: &[Found], read: &[Match], used: &mut Vec<usize>) -> Vec<Explained> {
    let mut spans: Vec<(usize, usize)> = Vec::new();
    let mut picked = Vec::new();
    for f in found {
        let m = &read[f.read];
        if used.contains(&m.struck) || spans.iter().any(|(start, end)| m.start < *end && *start < m.end) {
            continue;
        }
        spans.push((m.start, m.end));
        used.push(m.struck);
        picked.push(Explained {
            struck: m.struck,
            role: f.role,
            nats: f.nats,
            names: f.names,
            span: (m.start, m.end),
            covered: m.covered,
        });
    }
    picked
}

/// All that was read on one reel, and what it is worth.
#[derive(Debug, Clone, Default)]
pub(super) struct Readings {
    pub read: Vec<Observation>,
    matches: Vec<Vec<Match>>,
    /// Nats of each reading by row.
    each: Vec<Vec<f32>>,
    rows: Vec<[f32; 2]>,
    makers: Vec<f32>,
    /// Makers that lettering of their own names.
    named_makers: Vec<u32>,
}

impl Readings {
    pub fn add(&mut self, key: &Key, seen: &Observation) {
        let matches = match &seen.value {
            Value::Text(text) => key.lettering.read(text),
            _ => Vec::new(),
        };
        // Kept in one order, so that the order of reading never matters.
        let at = self.read.partition_point(|old| order(old) < order(seen));
        if self.read.get(at).is_some_and(|old| order(old) == order(seen)) {
            self.read.remove(at);
            self.matches.remove(at);
        }
        self.read.insert(at, seen.clone());
        self.matches.insert(at, matches);
        self.weigh(key);
    }

    pub fn take_back(&mut self, key: &Key, place: &str) {
        let keep: Vec<bool> = self.read.iter().map(|seen| seen.about.id() != place).collect();
        let mut kept = keep.iter();
        self.read.retain(|_| kept.next() == Some(&true));
        let mut kept = keep.iter();
        self.matches.retain(|_| kept.next() == Some(&true));
        self.weigh(key);
    }

    /// Nats of each row, itself and like it; nothing if nothing was read.
    pub fn nats(&self) -> Option<&[[f32; 2]]> {
        (!self.rows.is_empty()).then_some(&self.rows)
    }
    pub fn maker_nats(&self) -> Option<&[f32]> {
        (!self.makers.is_empty()).then_some(&self.makers)
    }
    /// What explains one reading on a row: texts that don't overlap, best first, with their nats.
    pub fn explains(&self, key: &Key, reading: usize, row: u32) -> Vec<Explained> {
        let (seen, read) = (&self.read[reading], &self.matches[reading]);
        let Value::Text(text) = &seen.value else {
            return Vec::new();
        };
        let characters: Vec<char> = text.chars().collect();
        let words = key.lettering.plain.words(&characters);
        let mut found = key
            .lettering
            .found(read, &characters, &words, key.place(seen.about.id()), |struck| &key.lettering.rows[struck]);
        found.retain(|f| f.owner == row);
        pick(&found, read, &mut Vec::new())
    }

    /// Nats of one reading for one row.
    pub fn row_nats(&self, reading: usize, row: usize) -> f64 {
        self.each.get(reading).and_then(|nats| nats.get(row)).map_or(0.0, |nats| f64::from(*nats))
    }
    /// Chance that a reel like one of this maker's, but not in the packs, is by this maker.
    pub fn sibling(&self, maker: usize) -> f64 {
        let nats = self.makers.get(maker).map_or(0.0, |nats| f64::from(*nats));
        SIBLING * nats.exp() / (1.0 - SIBLING + SIBLING * nats.exp())
    }
    /// Whether lettering names the maker, not only a town or a number of his.
    pub fn names_maker(&self, maker: usize) -> bool {
        self.named_makers.contains(&(maker as u32))
    }
    /// Whether lettering names the row's model or maker.
    pub fn names_row(&self, key: &Key, row: u32) -> bool {
        let explained: Vec<Explained> = (0..self.read.len()).flat_map(|at| self.explains(key, at, row)).collect();
        // A number and a stamp that agree do what neither may alone.
        explained.iter().any(|found| found.names) || explained.iter().filter(|found| found.nats >= 2.0).count() > 1
    }
    /// Whether a model's number is read that nothing on the row explains.
    pub fn another_number(&self, key: &Key, row: u32) -> bool {
        self.read.iter().enumerate().any(|(at, seen)| {
            let Value::Text(text) = &seen.value else { return false };
            let explained = self.explains(key, at, row);
            let numbers = wording::numbers(&key.lettering.plain, text);
            numbers.iter().any(|start| !explained.iter().any(|e| e.span.0 <= *start && *start < e.span.1))
        })
    }
    pub fn looked_at(&self, place: &str) -> bool {
        self.read.iter().any(|seen| seen.about.id() == place)
    }

    fn weigh(&mut self, key: &Key) {
        self.rows.clear();
        self.makers.clear();
        self.named_makers.clear();
        self.each.clear();
        if !self.read.iter().any(|seen| seen.value != Value::Unclear) {
            return;
        }
        let lettering = &key.lettering;
        let rows = key.rows.len();
        let mut maker_nats = vec![0.0_f64; lettering.maker_count];
        let mut used_by_row: BTreeMap<u32, Vec<usize>> = BTreeMap::new();
        let mut used_by_maker: BTreeMap<u32, Vec<usize>> = BTreeMap::new();
        for (seen, read) in self.read.iter().zip(&self.matches) {
            let place = key.places.iter().position(|id| id == seen.about.id()).map_or(u16::MAX, |at| at as u16);
            let slip = slip(seen.certainty).max(MISREAD);
            let text = match &seen.value {
                Value::Text(text) => text,
                Value::Absent => {
                    let often = |places: &Vec<(u16, u8, Option<usize>)>| {
                        places.iter().filter(|p| p.0 == place).map(|p| p.1).min()
                    };
                    let nats_of_row = |places| match often(places) {
                        Some(0) => MISSING[0],
                        Some(1) => MISSING[1],
                        _ => 0.0,
                    };
                    self.each.push(lettering.places.iter().map(nats_of_row).collect());
                    continue;
                }
                _ => {
                    self.each.push(Vec::new());
                    continue;
                }
            };
            let mut worth: Vec<f64> = lettering
                .well_recorded
                .iter()
                .map(|well| if *well { UNEXPLAINED } else { UNEXPLAINED_POORLY_RECORDED })
                .collect();
            let characters: Vec<char> = text.chars().collect();
            let words = lettering.plain.words(&characters);
            let found = lettering.found(read, &characters, &words, place, |struck| &lettering.rows[struck]);
            // What each maker's reels bear, by share, for what an unknown reel may bear.
            // The last is nobody the packs know.
            let mut by_maker = vec![0.0_f64; lettering.maker_count + 1];
            for group in found.chunk_by(|a, b| a.owner == b.owner) {
                let owner = group[0].owner;
                let sum: f64 =
                    pick(group, read, used_by_row.entry(owner).or_default()).iter().map(|found| found.nats).sum();
                // What it leaves unexplained speaks against it, if any of it is more than common words.
                let left = wording::left_over(&words, group.iter().map(|f| &read[f.read]));
                worth[owner as usize] = sum + if left >= 3 { UNEXPLAINED } else { 0.0 };
                let maker = (lettering.maker_of_row[owner as usize] as usize).min(lettering.maker_count);
                by_maker[maker] += sum.min(600.0).exp() / rows as f64;
            }
            // A legible place without the mark that stands there speaks a little against it; people read in parts.
            let seen_in = |at: usize, used: &Vec<usize>| {
                used.iter().any(|other| lettering.texts[*other].contains(&lettering.texts[at]))
            };
            if !text.contains('*') {
                for (row, (worth, places)) in worth.iter_mut().zip(&lettering.places).enumerate() {
                    let used = used_by_row.get(&(row as u32));
                    let unseen = |p: &&(u16, u8, Option<usize>)| {
                        p.0 == place && p.1 < 2 && p.2.is_some_and(|at| !used.is_some_and(|used| seen_in(at, used)))
                    };
                    if let Some(often) = places.iter().filter(unseen).map(|p| p.1).min() {
                        *worth += 0.5 * f64::from(MISSING[usize::from(often)]);
                    }
                }
            }
            let mut maker_worth = vec![UNEXPLAINED_POORLY_RECORDED; lettering.maker_count];
            let found = lettering.found(read, &characters, &words, place, |struck| &lettering.makers[struck]);
            for group in found.chunk_by(|a, b| a.owner == b.owner) {
                let owner = group[0].owner;
                let picked = pick(group, read, used_by_maker.entry(owner).or_default());
                let sum: f64 = picked.iter().map(|found| found.nats).sum();
                if picked.iter().any(|found| found.names) && !self.named_makers.contains(&owner) {
                    self.named_makers.push(owner);
                }
                maker_worth[owner as usize] = sum;
                let share = sum.min(600.0).exp() / lettering.maker_count as f64;
                let known = &mut by_maker[owner as usize];
                *known = known.max(share);
            }
            let total: f64 = by_maker.iter().sum();
            let most = by_maker.iter().fold(0.0_f64, |m, v| m.max(*v));
            let unknown = (1.0 + total * COINCIDENCE + (total - most)).ln();
            let against = |worth: f64| ((worth - unknown).exp() * (1.0 - slip) + slip).ln();
            self.each.push(worth.iter().map(|worth| against(*worth) as f32).collect());
            maker_nats.iter_mut().zip(&maker_worth).for_each(|(nats, worth)| *nats += against(*worth));
        }
        self.rows.resize(rows, [0.0; 2]);
        for nats in &self.each {
            self.rows.iter_mut().zip(nats).for_each(|(row, nats)| row[0] += nats);
        }
        // A reel like one of the packs' may be its maker's too.
        for (row, maker) in self.rows.iter_mut().zip(&lettering.maker_of_row) {
            let nats = maker_nats.get(*maker as usize).copied().unwrap_or(0.0);
            row[1] = (1.0 - SIBLING + SIBLING * nats.exp()).ln() as f32;
        }
        self.makers.extend(maker_nats.iter().map(|nats| *nats as f32));
    }
}

fn order(seen: &Observation) -> (&str, &str) {
    let place = match &seen.about {
        About::Mark(id) | About::Feature(id) => id.as_str(),
    };
    match &seen.value {
        Value::Text(text) => (place, text),
        _ => (place, ""),
    }
}
