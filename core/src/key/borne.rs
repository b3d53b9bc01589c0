//! Who bears which text: models their numbers and names, makers theirs, and what stands together at one place.

use std::collections::BTreeMap;

use super::build::Row;
use super::lettering::Role;
use crate::order;
use crate::reference::{HowOften, Maker, Model, Reference};

/// Every text that somebody bears, once, and who does.
#[derive(Default)]
pub(super) struct Texts {
    pub texts: Vec<String>,
    /// Rows that bear each text.
    pub rows: Vec<Vec<(u32, Role)>>,
    /// Makers that strike each text.
    pub makers: Vec<Vec<(u32, Role)>>,
    at: BTreeMap<String, usize>,
}

impl Texts {
    /// The text's number. None: too short to tell anything.
    pub fn of(&mut self, text: &str) -> Option<usize> {
        let text = text.trim().to_uppercase();
        if text.chars().filter(|c| c.is_alphanumeric() || matches!(c, '#' | '&')).count() < 2 {
            return None;
        }
        if let Some(at) = self.at.get(&text) {
            return Some(*at);
        }
        self.texts.push(text.clone());
        self.rows.push(Vec::new());
        self.makers.push(Vec::new());
        self.at.insert(text, self.texts.len() - 1);
        Some(self.texts.len() - 1)
    }
    pub fn row(&mut self, at: Option<usize>, row: u32, role: Role) {
        if let Some(at) = at
            && self.rows[at].last().is_none_or(|(last, _)| *last != row)
        {
            self.rows[at].push((row, role));
        }
    }
    pub fn maker(&mut self, at: Option<usize>, maker: u32, role: Role) {
        if let Some(at) = at
            && self.makers[at].last().is_none_or(|(last, _)| *last != maker)
        {
            self.makers[at].push((maker, role));
        }
    }
}

/// Words and numbers by which a model is called.
fn is_called(model: &Model, word: &str) -> bool {
    let own = |name: &str| name.eq_ignore_ascii_case(word);
    model.numbers.iter().any(|number| own(number)) || name_words(&model.name).any(own)
}

fn last_word(text: &str) -> &str {
    text.trim().rsplit(' ').next().unwrap_or_default()
}

/// A text that a maker strikes.
pub(super) struct Borne<'a> {
    pub text: &'a str,
    pub role: Role,
    /// It names a single model of his (`ALDER 300`): then it speaks for no other.
    pub of_a_model: bool,
}

impl Borne<'_> {
    pub fn is_of(&self, model: &Model) -> bool {
        is_called(model, last_word(self.text))
    }
}

pub(super) fn borne<'a>(reference: &Reference, maker: &'a Maker) -> Vec<Borne<'a>> {
    let own: Vec<&Model> = reference.models.iter().filter(|model| model.maker == maker.id).collect();
    let name = maker.name.to_uppercase();
    let mut all = Vec::new();
    maker_texts(maker, &mut |text, role| {
        let word = last_word(text);
        let figures = word.chars().any(|c| c.is_ascii_digit());
        // A model's name counts as such unless the maker bears it too.
        let plain = || !text.trim().contains(' ') && !name.contains(&text.trim().to_uppercase());
        let of_a_model = own.iter().any(|model| is_called(model, word)) && (figures || plain());
        all.push(Borne { text, role, of_a_model });
    });
    all
}

pub(super) fn often(how: HowOften) -> u8 {
    match how {
        HowOften::Always => 0,
        HowOften::Usual => 1,
        HowOften::Sometimes => 2,
    }
}

/// The words of a model's name that name it: numbers, and words of four letters or more.
pub(super) fn name_words(name: &str) -> impl Iterator<Item = &str> {
    name.split(|c: char| c.is_whitespace() || matches!(c, ',' | '(' | ')')).filter(|word| {
        let letters = word.chars().filter(|c| c.is_alphanumeric()).count();
        letters >= 4 || (letters >= 2 && word.chars().any(|c| c.is_ascii_digit()))
    })
}

fn maker_texts<'a>(maker: &'a Maker, each: &mut dyn FnMut(&'a str, Role)) {
    for name in std::iter::once(&maker.name).chain(&maker.other_names) {
        // `Pflueger (Enterprise …)` is two names.
        for part in name.split(['(', ')']) {
            each(part, Role::Maker);
        }
    }
    for mark in &maker.marks {
        for struck in &mark.struck {
            each(struck, Role::Maker);
        }
    }
    for said in &maker.trade_marks {
        let words = said.text.split('(').next().unwrap_or_default();
        for part in words.split([',', ';']) {
            each(part, Role::Maker);
        }
    }
    for house in &maker.house_brands {
        each(&house.brand, Role::HouseBrand);
    }
}

/// Sets of texts by place, and the share of each row's reels that bear one of its set.
#[expect(clippy::type_complexity, reason = "two tables of one builder")]
pub(super) fn mark_sets(
    reference: &Reference,
    rows: &[Row],
    place_of: &dyn Fn(&str) -> u16,
) -> (Vec<(u16, Vec<String>)>, Vec<Vec<(u16, u32, f32)>>) {
    let mut sets: Vec<(u16, Vec<String>)> = Vec::new();
    // By place and texts as one string: a map of one more type would be code of its own, and a phone downloads it.
    let mut at: BTreeMap<String, usize> = BTreeMap::new();
    let of_row = |row: &Row| {
        let marks = &reference.models[row.model as usize].variants[row.variant as usize].marks;
        let mut by_place: Vec<(u16, Vec<String>, f32)> = Vec::new();
        for mark in marks {
            let place = place_of(&mark.place);
            if place != u16::MAX {
                let known = by_place.iter().position(|(of, ..)| *of == place).unwrap_or_else(|| {
                    by_place.push((place, Vec::new(), 0.0));
                    by_place.len() - 1
                });
                let (_, texts, share) = &mut by_place[known];
                // A mark that is only described can still be looked for.
                texts.push(if mark.struck.is_empty() { &mark.words } else { &mark.struck }.to_uppercase());
                *share = share.max(mark.how_often.share() as f32);
            }
        }
        order::by(&mut by_place, |a, b| a.0.cmp(&b.0));
        let mut told = Vec::new();
        for (place, mut texts, share) in by_place {
            order::by(&mut texts, Ord::cmp);
            let set = *at.entry(format!("{place}\n{}", texts.join("\n"))).or_insert_with(|| {
                sets.push((place, texts));
                sets.len() - 1
            });
            told.push((place, set as u32, share));
        }
        told
    };
    let sets_of_row = rows.iter().map(of_row).collect();
    (sets, sets_of_row)
}
