//! When a mark, a material or a mechanism can occur.

use serde::Serialize;

use super::read::fields;
use super::{Confidence, PackInfo, Sources, Years};

#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Serialize)]
pub struct SeriesConfidence {
    pub from: i32,
    pub to: i32,
    pub confidence: Confidence,
}

fields!(SeriesConfidence { from, to, confidence });

/// A numbered series, such as the US utility patents: the first number of each year.
#[derive(Debug, Clone, Default, PartialEq, Serialize)]
pub struct Series {
    pub id: String,
    pub label: String,
    /// `[year, first number issued in it]`, rising.
    pub table: Vec<(i32, u64)>,
    /// `[year, number]` where no table could be made; only good to `approx_tolerance_years`.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub approx: Vec<(i32, u64)>,
    pub tolerance_years: i32,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub approx_tolerance_years: Option<i32>,
    /// Last year the table covers whole.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub last_year: Option<i32>,
    /// Words before the number that name this series, in the marks language (`DES. PAT.`, `D.R.P.`).
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub named_by: Vec<String>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub year_confidence: Vec<SeriesConfidence>,
    pub note: String,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub src: Vec<String>,
    pub confidence: Confidence,
}

fields!(Series {
    id,
    label,
    table,
    approx,
    tolerance_years,
    approx_tolerance_years,
    last_year,
    named_by,
    year_confidence,
    note,
    src,
    confidence
});

#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize)]
pub struct KnownPatent {
    pub series: String,
    pub number: u64,
    /// ISO date of issue.
    pub date: String,
    pub what: String,
    /// False where the date was not looked up.
    pub found: bool,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub src: Vec<String>,
}

fields!(KnownPatent { series, number, date, what, found, src });

/// A statement about the weekday of US patents.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize)]
pub struct WeekdayRule {
    pub id: String,
    pub fact: String,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub note: Option<String>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub src: Vec<String>,
    pub confidence: Confidence,
}

fields!(WeekdayRule { id, fact, note, src, confidence });

/// US patents issue on one weekday.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize)]
pub struct Weekday {
    /// ISO number, Monday 1.
    pub iso_weekday: u8,
    /// From this year the weekday is a soft test, before it tells nothing.
    pub soft_from: i32,
    /// From this year it is a hard one.
    pub hard_from: i32,
    pub rules: Vec<WeekdayRule>,
}

fields!(Weekday { iso_weekday, soft_from, hard_from, rules });

/// A mark, material or mechanism with its years.
#[derive(Debug, Clone, Default, PartialEq, Serialize)]
pub struct Clue {
    pub id: String,
    /// Short name for people.
    pub label: String,
    /// Wordings as struck, in the marks language; any of them shows the clue.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub struck: Vec<String>,
    /// `[feature, state]` pairs; any of them shows the clue.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub shown_by: Vec<[String; 2]>,
    pub years: Years,
    /// Clues that this one makes void (an `OCCUPIED JAPAN` is no plain `JAPAN`).
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub overrides: Vec<String>,
    /// The part is easily changed later: a late date then says nothing of the rest.
    #[serde(skip_serializing_if = "std::ops::Not::not")]
    pub replaceable: bool,
    /// Stands on boxes and papers only.
    #[serde(skip_serializing_if = "std::ops::Not::not")]
    pub papers_only: bool,
    #[serde(skip_serializing_if = "String::is_empty")]
    pub note: String,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub src: Vec<String>,
    pub confidence: Confidence,
}

fields!(Clue { id, label, struck, shown_by, years, overrides, replaceable, papers_only, note, src, confidence });

/// Advice that goes with dating, in words.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize)]
pub struct Caution {
    pub id: String,
    pub text: String,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub src: Vec<String>,
    pub confidence: Confidence,
}

fields!(Caution { id, text, src, confidence });

#[derive(Debug, Clone, Default, PartialEq, Serialize)]
pub struct DatingPack {
    pub format: String,
    pub id: String,
    pub title: String,
    pub about: String,
    pub sources: Sources,
    pub series: Vec<Series>,
    pub known_patents: Vec<KnownPatent>,
    pub weekday: Weekday,
    /// Marks: origin, legal notices, addresses.
    pub wordings: Vec<Clue>,
    /// Materials and mechanisms.
    pub construction: Vec<Clue>,
    pub cautions: Vec<Caution>,
}

fields!(DatingPack {
    format,
    id,
    title,
    about,
    sources,
    series,
    known_patents,
    weekday,
    wordings,
    construction,
    cautions
});

impl DatingPack {
    pub fn info(&self) -> PackInfo {
        PackInfo { id: self.id.clone(), title: self.title.clone(), about: self.about.clone(), invented: false }
    }
}
