//! Who made reels, what they struck on them, whose names they made them for, and how their codes are read.

use std::collections::BTreeMap;

use serde::Serialize;

use super::read::{fields, words};
use super::{Confidence, PackInfo, Sources, Years};

#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize)]
pub struct Place {
    pub city: String,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub from: Option<i32>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub to: Option<i32>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub note: Option<String>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub src: Vec<String>,
    pub confidence: Confidence,
}

fields!(Place { city, from, to, note, src, confidence });

/// A statement with its sources.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize)]
pub struct Said {
    pub text: String,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub src: Vec<String>,
    pub confidence: Confidence,
}

fields!(Said { text, src, confidence });

#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize)]
pub struct MakerMark {
    pub id: String,
    /// As a source reports it, or a description.
    pub text: String,
    /// Place in words.
    #[serde(skip_serializing_if = "String::is_empty")]
    pub place: String,
    /// As struck, in the marks language (see [`crate::marks`]); an `&` alone between spaces is the word “and”. Empty for
    /// a figure, an unknown wording, or one so plain (`PATENTED`, `MODEL &&`) that it would name the wrong maker.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub struck: Vec<String>,
    #[serde(skip_serializing_if = "is_default")]
    pub years: Years,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub note: Option<String>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub src: Vec<String>,
    pub confidence: Confidence,
}

fields!(MakerMark { id, text, place, struck, years, note, src, confidence });

fn is_default<T: Default + PartialEq>(value: &T) -> bool {
    *value == T::default()
}

/// A name on the reel that is not the maker's.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize)]
pub struct HouseBrand {
    pub brand: String,
    pub seller: String,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub note: Option<String>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub src: Vec<String>,
    pub confidence: Confidence,
}

fields!(HouseBrand { brand, seller, note, src, confidence });

/// What a code tells: when the reel was made, when the design was begun, or when its box was stamped.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Dates {
    #[default]
    Making,
    Design,
    Box,
}

words!(Dates { "making" => Making, "design" => Design, "box" => Box });

#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum CodeKind {
    /// Letters stand for the digits of a year (`letters`, `century`).
    LetterKey,
    /// A serial number lies in a block (`ranges`).
    SerialRange,
    /// Wordings, states or digits with their years (`rows`).
    #[default]
    Table,
}

words!(CodeKind { "letter-key" => LetterKey, "serial-range" => SerialRange, "table" => Table });

#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize)]
pub struct SerialRange {
    #[serde(skip_serializing_if = "String::is_empty")]
    pub prefix: String,
    pub from: u64,
    pub to: u64,
    /// Mark place id where it must stand, if told.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub place: Option<String>,
    /// A wording that must be read beside it, if told.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub beside: Option<String>,
    pub years: Years,
}

fields!(SerialRange { prefix, from, to, place, beside, years });

/// One line of a table: a wording as struck, or a feature's state, and its years.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize)]
pub struct CodeRow {
    /// In plain words, for people.
    pub words: String,
    /// As struck, in the marks language; empty where the row is told by a feature or by eye only.
    #[serde(skip_serializing_if = "String::is_empty")]
    pub struck: String,
    /// `[feature, state]` that shows it, if a question asks for it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub shown_by: Option<[String; 2]>,
    /// Further `[feature, state]` pairs that must be seen too for `shown_by` to tell.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub also: Vec<[String; 2]>,
    /// Mark place id where it must stand, if told: elsewhere the row says nothing.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub place: Option<String>,
    /// A wording that must be read somewhere on the same reel, in the marks language: a bare `39` is no year without it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub beside: Option<String>,
    pub years: Years,
}

fields!(CodeRow { words, struck, shown_by, also, place, beside, years });

/// How one maker's code is read. Data, never code.
#[derive(Debug, Clone, Default, PartialEq, Serialize)]
pub struct DateCode {
    pub id: String,
    pub kind: CodeKind,
    pub dates: Dates,
    /// Place in words.
    pub place: String,
    /// For a letter key: digit of each letter, first letter the tens.
    #[serde(skip_serializing_if = "BTreeMap::is_empty")]
    pub letters: BTreeMap<char, u8>,
    /// For a letter key: the template a code follows in the marks language, such as `&&`.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub shape: Option<String>,
    /// For a letter key: the first two figures of the year, such as 19.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub century: Option<i32>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub rows: Vec<CodeRow>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub ranges: Vec<SerialRange>,
    /// Years in which the code was in use.
    #[serde(skip_serializing_if = "is_default")]
    pub years: Years,
    /// Worked examples: a code and the year it stands for; checked on load.
    #[serde(skip_serializing_if = "BTreeMap::is_empty")]
    pub examples: BTreeMap<String, i32>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub note: Option<String>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub src: Vec<String>,
    pub confidence: Confidence,
}

fields!(DateCode {
    id,
    kind,
    dates,
    place,
    letters,
    shape,
    century,
    rows,
    ranges,
    years,
    examples,
    note,
    src,
    confidence
});

impl DateCode {
    /// Year that a two-letter code stands for by the letter key; `None` if it has another length or an unknown letter.
    pub fn year_of_letters(&self, code: &str) -> Option<i32> {
        let digits: Option<Vec<i32>> =
            code.chars().map(|c| self.letters.get(&c).map(|digit| i32::from(*digit))).collect();
        let [tens, units] = digits?[..] else { return None };
        Some(self.century? * 100 + tens * 10 + units)
    }
}

#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize)]
pub struct MakerPatent {
    #[serde(skip_serializing_if = "Option::is_none")]
    pub number: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub date: Option<String>,
    pub what: String,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub src: Vec<String>,
    pub confidence: Confidence,
}

fields!(MakerPatent { number, date, what, src, confidence });

#[derive(Debug, Clone, Default, PartialEq, Serialize)]
pub struct Maker {
    pub id: String,
    pub name: String,
    /// A seller put his name on others' reels and made none.
    #[serde(skip_serializing_if = "std::ops::Not::not")]
    pub seller_only: bool,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub other_names: Vec<String>,
    pub country: String,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub places: Vec<Place>,
    #[serde(skip_serializing_if = "is_default")]
    pub active: Years,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub predecessor: Vec<String>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub successor: Vec<String>,
    /// Kinds of reel, as states of `reel_kind`.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub kinds: Vec<String>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub marks: Vec<MakerMark>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub trade_marks: Vec<Said>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub house_brands: Vec<HouseBrand>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub date_codes: Vec<DateCode>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub patents: Vec<MakerPatent>,
    /// Statements that stop wrong naming.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub notes: Vec<Said>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub main_sources: Vec<String>,
    pub confidence: Confidence,
    #[serde(skip)]
    pub pack: String,
}

fields!(Maker { id, name, seller_only, other_names, country, places, active, predecessor, successor, kinds, marks, trade_marks, house_brands, date_codes, patents, notes, main_sources, confidence } skip pack);

#[derive(Debug, Clone, Default, PartialEq, Serialize)]
pub struct MakersPack {
    pub format: String,
    pub id: String,
    pub title: String,
    pub about: String,
    #[serde(skip_serializing_if = "std::ops::Not::not")]
    pub invented: bool,
    pub sources: Sources,
    pub makers: Vec<Maker>,
}

fields!(MakersPack { format, id, title, about, invented, sources, makers });

impl MakersPack {
    pub fn info(&self) -> PackInfo {
        PackInfo { id: self.id.clone(), title: self.title.clone(), about: self.about.clone(), invented: self.invented }
    }
}
