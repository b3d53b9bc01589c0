//! Parts: what they are called, what decides a match, what wears, and which reels are known to share them.

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};

use super::read::{fields, words};
use super::{Confidence, PackInfo, Reference, Sources};

/// A measure that a part can have.
#[derive(Debug, Clone, Default, PartialEq, Serialize)]
pub struct MeasureKind {
    pub id: String,
    pub label: String,
    /// `mm`, `g`, `N`, `V`, `count` or `text`.
    pub unit: String,
    #[serde(skip_serializing_if = "String::is_empty")]
    pub how: String,
    /// Two parts this far apart still pass for alike: a judgement on what a calliper and wear leave open.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub tol: Option<f64>,
}

fields!(MeasureKind { id, label, unit, how, tol });

/// A group of parts that work together.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize)]
pub struct Assembly {
    pub id: String,
    pub label: String,
}

fields!(Assembly { id, label });

/// What can hurt when the part comes out.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize)]
pub struct PartHazard {
    pub id: String,
    pub text: String,
}

fields!(PartHazard { id, text });

/// How hard the part is to find.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Scarce {
    Rarely,
    #[default]
    Sometimes,
    Usually,
}

words!(Scarce { "rarely" => Rarely, "sometimes" => Sometimes, "usually" => Usually });

/// What a part does in a reel, whatever it is called.
#[derive(Debug, Clone, Default, PartialEq, Serialize)]
pub struct PartRole {
    pub id: String,
    pub label: String,
    /// Other names by where they are at home: `us`, `uk`, `au`, `any`.
    #[serde(skip_serializing_if = "BTreeMap::is_empty")]
    pub words: BTreeMap<String, Vec<String>>,
    /// States of `reel_kind` that have it.
    pub kinds: Vec<String>,
    pub assembly: String,
    pub materials: Vec<String>,
    pub wear: Vec<String>,
    /// What decides a match, as ids of measures.
    pub measures: Vec<String>,
    /// Questions whose answers tell something of this part, for naming a loose one.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub tells: Vec<String>,
    /// Left and right reels mirror it.
    #[serde(skip_serializing_if = "std::ops::Not::not")]
    pub hand_sensitive: bool,
    /// Same name and model, and yet another part from version to version.
    #[serde(skip_serializing_if = "std::ops::Not::not")]
    pub version_sensitive: bool,
    pub scarce: Scarce,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub hazards: Vec<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub note: Option<String>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub src: Vec<String>,
    pub confidence: Confidence,
}

fields!(PartRole {
    id,
    label,
    words,
    kinds,
    assembly,
    materials,
    wear,
    measures,
    tells,
    hand_sensitive,
    version_sensitive,
    scarce,
    hazards,
    note,
    src,
    confidence
});

/// What one fact says of a part of one reel in another.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Says {
    #[default]
    Fits,
    FitsWithWork,
    DoesNotFit,
}

words!(Says { "fits" => Fits, "fits-with-work" => FitsWithWork, "does-not-fit" => DoesNotFit });

/// Where a fact comes from, weakest first.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Evidence {
    /// Somebody said or wrote so.
    #[default]
    Hearsay,
    /// A maker's or seller's printed list.
    Catalogue,
    /// Both parts were measured or laid side by side.
    Measured,
    /// The part was put in and tried.
    Tried,
}

words!(Evidence { "hearsay" => Hearsay, "catalogue" => Catalogue, "measured" => Measured, "tried" => Tried });

/// Parts of some reels in others. An end is `model` or `model@version`, several versions parted by commas.
#[derive(Debug, Clone, Default, PartialEq, Serialize)]
pub struct PackFit {
    pub id: String,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub roles: Vec<String>,
    /// Every part but `except_roles`: the same reel under two names.
    #[serde(skip_serializing_if = "std::ops::Not::not")]
    pub every: bool,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub except_roles: Vec<String>,
    pub of: Vec<String>,
    pub into: Vec<String>,
    pub verdict: Says,
    /// It holds in the other direction too; without this nothing is said of it.
    #[serde(skip_serializing_if = "std::ops::Not::not")]
    pub both_ways: bool,
    /// Questions in which both reels must agree first, such as `frame_width`.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub if_same: Vec<String>,
    #[serde(skip_serializing_if = "String::is_empty")]
    pub note: String,
    pub evidence: Evidence,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub src: Vec<String>,
    pub confidence: Confidence,
}

fields!(PackFit {
    id,
    roles,
    every,
    except_roles,
    of,
    into,
    verdict,
    both_ways,
    if_same,
    note,
    evidence,
    src,
    confidence
});

/// A number under which a part was sold, with those it had before and after.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize)]
pub struct PartNumber {
    pub number: String,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub also: Vec<String>,
    pub role: String,
    /// The reel it belongs to, as `model` or `model@version`.
    pub of: String,
    #[serde(skip_serializing_if = "String::is_empty")]
    pub note: String,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub src: Vec<String>,
    pub confidence: Confidence,
}

fields!(PartNumber { number, also, role, of, note, src, confidence });

/// Parts that go first: a donor's is likely worn too. Named by models, or by kinds of reel; neither: on every reel that has it.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize)]
pub struct WeakPart {
    pub id: String,
    pub roles: Vec<String>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub models: Vec<String>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub kinds: Vec<String>,
    pub why: String,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub src: Vec<String>,
    pub confidence: Confidence,
}

fields!(WeakPart { id, roles, models, kinds, why, src, confidence });

#[derive(Debug, Clone, Default, PartialEq, Serialize)]
pub struct PartsPack {
    pub format: String,
    pub id: String,
    pub title: String,
    pub about: String,
    pub sources: Sources,
    pub measures: Vec<MeasureKind>,
    pub assemblies: Vec<Assembly>,
    pub hazards: Vec<PartHazard>,
    pub roles: Vec<PartRole>,
    pub fitments: Vec<PackFit>,
    pub numbers: Vec<PartNumber>,
    pub weak: Vec<WeakPart>,
}

fields!(PartsPack { format, id, title, about, sources, measures, assemblies, hazards, roles, fitments, numbers, weak });

impl PartsPack {
    pub fn info(&self) -> PackInfo {
        PackInfo { id: self.id.clone(), title: self.title.clone(), about: self.about.clone(), invented: false }
    }
    pub fn role(&self, id: &str) -> Option<&PartRole> {
        self.roles.iter().find(|role| role.id == id)
    }
    pub fn measure(&self, id: &str) -> Option<&MeasureKind> {
        self.measures.iter().find(|measure| measure.id == id)
    }
    /// Label of a role, or the words themselves where no role has that id.
    pub fn role_label<'a>(&'a self, id: &'a str) -> &'a str {
        self.role(id).map_or(id, |role| &role.label)
    }
}

/// The model of an end, and its versions where it names any.
pub fn end_parts(end: &str) -> (&str, Vec<&str>) {
    match end.split_once('@') {
        None => (end.trim(), Vec::new()),
        Some((model, versions)) => (model.trim(), versions.split(',').map(str::trim).collect()),
    }
}

impl Reference {
    /// What can hurt when this part comes out.
    pub fn hazards_of(&self, role: &str) -> Vec<&str> {
        let Some(role) = self.parts.role(role) else { return Vec::new() };
        let hazards = self.parts.hazards.iter().filter(|hazard| role.hazards.contains(&hazard.id));
        hazards.map(|hazard| hazard.text.as_str()).collect()
    }
}
