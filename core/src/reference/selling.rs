//! How sellers write: words and phrases, what each claims, and what it takes to see whether it holds.

use serde::Serialize;

use super::read::{fields, words};
use super::{EffortId, PackInfo, Sources};

/// What a phrase is about.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum PhraseKind {
    Rarity,
    Working,
    Originality,
    Completeness,
    #[default]
    Condition,
    Damage,
    /// A prototype, a presentation reel: something apart from the common run.
    Special,
    /// "First model": which version of a model.
    Version,
    /// Patina and the like, given as a proof of age.
    AgeProof,
    /// Several alike for sale.
    Several,
    /// A state of a question.
    Feature,
    /// A kind of reel.
    Kind,
}

words!(PhraseKind {
    "rarity" => Rarity,
    "working" => Working,
    "originality" => Originality,
    "completeness" => Completeness,
    "condition" => Condition,
    "damage" => Damage,
    "special" => Special,
    "version" => Version,
    "age-proof" => AgeProof,
    "several" => Several,
    "feature" => Feature,
    "kind" => Kind,
});

/// One thing sellers say, in the words they say it in.
#[derive(Debug, Clone, Default, PartialEq, Serialize)]
pub struct Phrase {
    pub id: String,
    pub kind: PhraseKind,
    pub words: Vec<String>,
    /// The seller owns to a fault: not working, parts missing.
    pub owns_up: bool,
    /// `[feature, state]` pairs, any of which bears it out.
    pub shows: Vec<[String; 2]>,
    /// Ids of phrases that cannot hold beside it.
    pub clashes: Vec<String>,
    /// `[feature, state]` pairs, any of which speaks against it.
    pub against: Vec<[String; 2]>,
    /// Why photos cannot show it, in a sentence.
    pub why: String,
    /// What to ask the seller for, in a sentence.
    pub ask: String,
    pub effort: EffortId,
    /// Share of such claims that prove wrong: a judgement that only ranks what to ask first.
    pub often_wrong: f64,
    pub src: Vec<String>,
}

fields!(Phrase { id, kind, words, owns_up, shows, clashes, against, why, ask, effort, often_wrong, src });

/// A material and the states that show it, the first of them where no part is told.
#[derive(Debug, Clone, Default, PartialEq, Serialize)]
pub struct MaterialWords {
    pub id: String,
    pub words: Vec<String>,
    pub states: Vec<[String; 2]>,
    /// Materials that it cannot be, whatever its name suggests.
    pub rules_out: Vec<String>,
    pub why: String,
    pub ask: String,
    pub often_wrong: f64,
    /// Looking tells it from its likenesses for nobody.
    pub never_by_look: bool,
    pub src: Vec<String>,
}

fields!(MaterialWords { id, words, states, rules_out, why, ask, often_wrong, never_by_look, src });

/// Words for a part, a size or a thing counted, with the questions they may mean; none where no question asks.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize)]
pub struct PartWords {
    pub words: Vec<String>,
    pub features: Vec<String>,
}

fields!(PartWords { words, features });

/// A time in words.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize)]
pub struct EraWords {
    pub words: Vec<String>,
    pub from: Option<i32>,
    pub to: Option<i32>,
    /// Years of age at least, by the custom of the trade.
    pub older_than: Option<i32>,
    pub by_custom: bool,
    /// It means no years in particular.
    pub vague: bool,
}

fields!(EraWords { words, from, to, older_than, by_custom, vague });

/// Small words round a year.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize)]
pub struct YearWords {
    pub about: Vec<String>,
    pub early: Vec<String>,
    pub mid: Vec<String>,
    pub late: Vec<String>,
    pub before: Vec<String>,
    pub after: Vec<String>,
    /// Words before a figure that make it a year.
    pub cue: Vec<String>,
    pub after_cue: Vec<String>,
    /// Words before a year that belongs to a firm, a patent or a sale, not to the reel.
    pub not_of_reel: Vec<String>,
    /// Words after a figure that make it an age.
    pub old: Vec<String>,
    pub over: Vec<String>,
}

fields!(YearWords { about, early, mid, late, before, after, cue, after_cue, not_of_reel, old, over });

/// A model that is a modern copy of an old one.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize)]
pub struct KnownCopy {
    pub model: String,
    pub name: String,
    /// How it is told, to follow "known:".
    pub words: String,
    /// Its look of age is put on.
    pub patina: bool,
    pub src: Vec<String>,
}

fields!(KnownCopy { model, name, words, patina, src });

#[derive(Debug, Clone, Default, PartialEq, Serialize)]
pub struct SellingPack {
    pub format: String,
    pub id: String,
    pub title: String,
    pub about: String,
    pub sources: Sources,
    pub phrases: Vec<Phrase>,
    pub materials: Vec<MaterialWords>,
    pub parts: Vec<PartWords>,
    pub counts: Vec<PartWords>,
    pub sizes: Vec<PartWords>,
    pub eras: Vec<EraWords>,
    pub years: YearWords,
    /// Words that make what stands beside them a guess.
    pub doubt: Vec<String>,
    pub sure: Vec<String>,
    /// Words behind a name, or before it, that make it a likeness only.
    pub like_after: Vec<String>,
    pub like_before: Vec<String>,
    /// Things sold beside a reel.
    pub not_the_reel: Vec<String>,
    pub denials: Vec<String>,
    /// Words after which lettering is quoted.
    pub mark_cues: Vec<String>,
    /// Words before the number that a reel bears by itself: `serial no`.
    pub serial_cues: Vec<String>,
    /// Words after which a figure is a model's number.
    pub number_cues: Vec<String>,
    /// Words that stand for a firm behind its town.
    pub firm_words: Vec<String>,
    /// Words of a firm's name that sellers leave out.
    pub company_words: Vec<String>,
    /// Names too plain to name anybody by themselves.
    pub plain_names: Vec<String>,
    pub copies: Vec<KnownCopy>,
}

fields!(SellingPack {
    format,
    id,
    title,
    about,
    sources,
    phrases,
    materials,
    parts,
    counts,
    sizes,
    eras,
    years,
    doubt,
    sure,
    like_after,
    like_before,
    not_the_reel,
    denials,
    mark_cues,
    serial_cues,
    number_cues,
    firm_words,
    company_words,
    plain_names,
    copies
});

impl SellingPack {
    pub fn info(&self) -> PackInfo {
        PackInfo { id: self.id.clone(), title: self.title.clone(), about: self.about.clone(), invented: false }
    }
    pub fn phrase(&self, id: &str) -> Option<&Phrase> {
        self.phrases.iter().find(|phrase| phrase.id == id)
    }
    pub fn material(&self, id: &str) -> Option<&MaterialWords> {
        self.materials.iter().find(|material| material.id == id)
    }
}
