//! What to note, photograph and ask when a reel comes in, and the grades it can be given.

use serde::Serialize;

use super::read::fields;
use super::{Confidence, PackInfo, Reference, Sources};

/// A state that a reel or a part of it may be in at arrival.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize)]
pub struct ConditionChoice {
    pub id: String,
    pub label: String,
    pub means: String,
    /// Where to look, or how to tell.
    pub look: String,
    pub src: Vec<String>,
    pub confidence: Confidence,
}

fields!(ConditionChoice { id, label, means, look, src, confidence });

/// Something that is so or not so, beside every grade: restored, damaged in the post.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize)]
pub struct Flag {
    pub id: String,
    pub label: String,
    /// What to do when it is so.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub advice: Option<String>,
}

fields!(Flag { id, label, advice });

/// A photo worth taking.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize)]
pub struct PhotoToTake {
    pub id: String,
    pub label: String,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub why: Option<String>,
    /// States of `reel_kind`; none: of every reel.
    pub kinds: Vec<String>,
}

fields!(PhotoToTake { id, label, why, kinds });

/// How far the owner wants it cleaned.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize)]
pub struct Wish {
    pub id: String,
    pub label: String,
    pub means: String,
}

fields!(Wish { id, label, means });

/// A question to the owner.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize)]
pub struct AskOwner {
    pub id: String,
    pub ask: String,
    /// `text`, `money`, or `choice:` and the choices with a bar between.
    pub answer: String,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub note: Option<String>,
}

fields!(AskOwner { id, ask, answer, note });

/// A step of a scale, with what it means.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize)]
pub struct GradeStep {
    pub id: String,
    pub text: String,
}

fields!(GradeStep { id, text });

/// A scale of grades, for looks and for works apart.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize)]
pub struct GradeScale {
    pub id: String,
    pub label: String,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub note: Option<String>,
    pub looks: Vec<GradeStep>,
    pub works: Vec<GradeStep>,
    pub src: Vec<String>,
    pub confidence: Confidence,
}

fields!(GradeScale { id, label, note, looks, works, src, confidence });

#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize)]
pub struct CounterPack {
    pub format: String,
    pub id: String,
    pub title: String,
    pub about: String,
    pub sources: Sources,
    pub conditions: Vec<ConditionChoice>,
    pub flags: Vec<Flag>,
    pub photos: Vec<PhotoToTake>,
    pub wishes: Vec<Wish>,
    pub asks: Vec<AskOwner>,
    pub scales: Vec<GradeScale>,
}

fields!(CounterPack { format, id, title, about, sources, conditions, flags, photos, wishes, asks, scales });

impl CounterPack {
    pub fn info(&self) -> PackInfo {
        PackInfo { id: self.id.clone(), title: self.title.clone(), about: self.about.clone(), invented: false }
    }

    /// The word of a condition or a flag.
    pub fn label<'a>(&'a self, id: &'a str) -> &'a str {
        let condition = self.conditions.iter().find(|one| one.id == id).map(|one| &one.label);
        let flag = || self.flags.iter().find(|one| one.id == id).map(|one| &one.label);
        condition.or_else(flag).map_or(id, String::as_str)
    }

    /// The photos worth taking of a kind of reel.
    pub fn photos_of<'a>(&'a self, kind: &'a str) -> impl Iterator<Item = &'a PhotoToTake> {
        self.photos.iter().filter(move |photo| photo.kinds.is_empty() || photo.kinds.iter().any(|k| k == kind))
    }

    /// Everything that does not fit together, each in a sentence.
    pub fn faults(&self, reference: &Reference) -> Vec<String> {
        let mut faults = Vec::new();
        let kinds: Vec<&str> = reference
            .feature("reel_kind")
            .map(|feature| feature.states.iter().map(|state| state.id.as_str()).collect())
            .unwrap_or_default();
        for photo in &self.photos {
            for kind in photo.kinds.iter().filter(|kind| !kinds.contains(&kind.as_str())) {
                faults.push(format!("{}, photo {}: there is no kind of reel “{kind}”.", self.id, photo.id));
            }
        }
        let keys = self.conditions.iter().map(|c| (&c.id, &c.src)).chain(self.scales.iter().map(|s| (&s.id, &s.src)));
        for (id, src) in keys {
            for key in src.iter().filter(|key| !self.sources.contains_key(*key)) {
                faults.push(format!("{}, {id}: there is no source “{key}”.", self.id));
            }
        }
        let mut ids: Vec<&str> = self.conditions.iter().map(|c| c.id.as_str()).collect();
        ids.extend(self.flags.iter().map(|f| f.id.as_str()));
        crate::order::by(&mut ids, |a, b| a.cmp(b));
        faults.extend(
            ids.windows(2).filter(|two| two[0] == two[1]).map(|two| format!("{}: {} stands twice.", self.id, two[0])),
        );
        faults
    }
}
