//! Faults of a pack, each with pack, entry and field.
//!
//! [`Reference::load`](super::Reference::load) only refuses what would make look-ups wrong (an id used twice): the packs
//! that ship are checked whole by a test. Packs made by the shop go through [`check`] before they are kept.

mod dating;
mod faults;
mod makers;
mod mechanics;
mod models;
mod parts;
mod questions;
mod selling;
#[cfg(test)]
mod tests;
mod work;

use std::collections::BTreeSet;
use std::fmt;

use serde::Serialize;

use super::{Bound, Confidence, Feature, Reference, Years};

/// One fault of a pack.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Fault {
    pub pack: String,
    /// Path of ids, such as `models/kestrel-40/early`.
    pub entry: String,
    pub field: String,
    pub trouble: String,
}

impl fmt::Display for Fault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "Pack {}, {}, field {}: {}.", self.pack, self.entry, self.field, self.trouble)
    }
}

/// Every fault of one pack, read beside the packs it leans on (questions, makers). `beside` may hold the pack already.
pub fn check(beside: &Reference, name: &str, text: &str) -> Vec<Fault> {
    let mut own = Reference::default();
    if let Err(error) = own.add(name, text) {
        // The error names the pack, as the fault does.
        let words = error.to_string();
        let words = words.strip_prefix(&format!("Pack {name}: ")).unwrap_or(&words);
        let trouble = words.trim_end_matches('.').to_string();
        return vec![Fault { pack: name.into(), entry: "the file".into(), field: "JSON".into(), trouble }];
    }
    own.reindex();
    check_all(beside, &own)
}

/// Every fault of all packs in use, read together.
pub fn check_reference(reference: &Reference) -> Vec<Fault> {
    let mut faults = repeated_ids(reference);
    faults.extend(check_all(reference, reference));
    faults
}

/// Ids used twice across the packs: the one fault that would make look-ups answer for the wrong entry.
pub(super) fn repeated_ids(reference: &Reference) -> Vec<Fault> {
    let mut faults = Vec::new();
    let mut once = |list: &str, pairs: &mut dyn Iterator<Item = (&str, &str)>| {
        let mut seen = BTreeSet::new();
        for (pack, id) in pairs {
            if !seen.insert(id) {
                faults.push(Fault {
                    pack: pack.into(),
                    entry: format!("{list}/{id}"),
                    field: "id".into(),
                    trouble: "this id is used twice".into(),
                });
            }
        }
    };
    once("packs", &mut reference.packs.iter().map(|pack| (pack.id.as_str(), pack.id.as_str())));
    once("makers", &mut reference.makers.iter().map(|maker| (maker.pack.as_str(), maker.id.as_str())));
    once("models", &mut reference.models.iter().map(|model| (model.pack.as_str(), model.id.as_str())));
    faults
}

fn check_all(beside: &Reference, own: &Reference) -> Vec<Fault> {
    let mut checker = Checker { beside, own, pack: String::new(), entry: String::new(), faults: Vec::new() };
    if !std::ptr::eq(beside, own) {
        checker.faults = repeated_ids(own);
        checker.ids_taken_by_another_pack();
    }
    checker.questions();
    checker.makers();
    checker.models();
    checker.dating();
    checker.bench();
    checker.trouble();
    checker.mechanics();
    checker.selling();
    checker.parts();
    checker.faults
}

/// Collects faults; `pack` and `entry` say where it stands.
struct Checker<'a> {
    beside: &'a Reference,
    own: &'a Reference,
    pack: String,
    entry: String,
    faults: Vec<Fault>,
}

impl<'a> Checker<'a> {
    fn stand_at(&mut self, pack: &str, entry: String) {
        self.pack = pack.into();
        self.entry = entry;
    }

    fn fault(&mut self, field: &str, trouble: impl Into<String>) {
        self.faults.push(Fault {
            pack: self.pack.clone(),
            entry: self.entry.clone(),
            field: field.into(),
            trouble: trouble.into(),
        });
    }

    fn ids_taken_by_another_pack(&mut self) {
        let own = self.own;
        for model in &own.models {
            if let Some(other) = self.beside.model(&model.id).filter(|other| other.pack != model.pack) {
                self.stand_at(&model.pack, format!("models/{}", model.id));
                self.fault("id", format!("pack {} has a model of this id already", other.pack));
            }
        }
        for maker in &own.makers {
            if let Some(other) = self.beside.maker(&maker.id).filter(|other| other.pack != maker.pack) {
                self.stand_at(&maker.pack, format!("makers/{}", maker.id));
                self.fault("id", format!("pack {} has a maker of this id already", other.pack));
            }
        }
    }

    fn feature(&self, id: &str) -> Option<&'a Feature> {
        self.own.feature(id).or_else(|| self.beside.feature(id))
    }
    fn has_place(&self, id: &str) -> bool {
        self.own.mark_place(id).or_else(|| self.beside.mark_place(id)).is_some()
    }
    fn has_maker(&self, id: &str) -> bool {
        self.own.maker(id).or_else(|| self.beside.maker(id)).is_some()
    }
    fn has_model(&self, id: &str) -> bool {
        self.own.model(id).or_else(|| self.beside.model(id)).is_some()
    }

    fn not_empty(&mut self, field: &str, text: &str) {
        if text.trim().is_empty() {
            self.fault(field, "it is empty");
        }
    }

    fn unique<'b>(&mut self, field: &str, ids: impl Iterator<Item = &'b str>) {
        let mut seen = BTreeSet::new();
        for id in ids {
            if id.trim().is_empty() {
                self.fault(field, "an id is empty");
            } else if !seen.insert(id) {
                self.fault(field, format!("the id “{id}” is used twice"));
            }
        }
    }

    fn kind(&mut self, field: &str, kind: &str) {
        self.state(field, "reel_kind", kind);
    }

    fn state(&mut self, field: &str, feature: &str, state: &str) {
        match self.feature(feature) {
            None => self.fault(field, format!("there is no question “{feature}”")),
            Some(known) if state != "absent" && known.state(state).is_none() => {
                self.fault(field, format!("the question “{feature}” has no state “{state}”"));
            }
            Some(_) => {}
        }
    }

    fn place(&mut self, field: &str, place: &str) {
        if !self.has_place(place) {
            self.fault(field, format!("there is no mark place “{place}”"));
        }
    }

    fn sources(&mut self, keys: &[String]) {
        for key in keys {
            if self.own.source(&self.pack, key).is_none() {
                self.fault("src", format!("the pack lists no source “{key}”"));
            }
        }
    }

    fn years(&mut self, field: &str, years: &Years, confidence: Confidence) {
        let reversed = |a: Option<i32>, b: Option<i32>| matches!((a, b), (Some(a), Some(b)) if a > b);
        if reversed(years.from, years.to) || reversed(years.usual_from, years.usual_to) {
            self.fault(field, "the first year is after the last");
        }
        let ends = [years.from, years.to, years.usual_from, years.usual_to];
        if let Some(year) = ends.into_iter().flatten().find(|year| !(1500..=2100).contains(year)) {
            self.fault(field, format!("{year} is no year a reel can have"));
        }
        for (year, bound) in [(years.from, years.from_bound), (years.to, years.to_bound)] {
            if bound == Bound::Hard && year.is_none() {
                self.fault(field, "a bound is given for an end that has no year");
            } else if bound == Bound::Hard && confidence == Confidence::Low {
                self.fault(field, "a fact of low confidence may not have a hard bound");
            }
        }
    }

    fn struck(&mut self, field: &str, text: &str) {
        if let Some(trouble) = struck_trouble(text) {
            self.fault(field, format!("“{text}”: {trouble}"));
        }
    }
}

/// What is wrong with a struck text as one in the marks language.
fn struck_trouble(text: &str) -> Option<String> {
    if text.trim().is_empty() {
        return Some("it is empty".into());
    }
    if text.trim() != text || text.contains("  ") {
        return Some("spaces stand at an end or side by side; lines are joined by one space".into());
    }
    if !text.contains(|c: char| c.is_alphanumeric() || c == '#') {
        return Some("it holds no letter and no digit".into());
    }
    text.chars().find_map(|c| match c {
        '?' => Some("? belongs to a reading; struck text has & for a letter and # for a digit".into()),
        c if c.is_lowercase() => Some("struck text is in upper case; a description belongs in words".into()),
        c if c.is_alphanumeric() || " #&*.,-'/()+:;\"!°".contains(c) => None,
        c => Some(format!("the sign {c:?} is not part of the marks language")),
    })
}
