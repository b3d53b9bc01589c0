//! What goes wrong with reels: symptoms, checks, causes and their remedies, by kind of reel.

use std::collections::BTreeMap;

use serde::Serialize;

use super::read::{fields, words};
use super::{Confidence, EffortId, PackInfo, Sources, work::applies};

/// How often a symptom or result goes with a cause, as people say it.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Often {
    Always,
    Often,
    #[default]
    Sometimes,
    Seldom,
    Never,
}

words!(Often { "always" => Always, "often" => Often, "sometimes" => Sometimes, "seldom" => Seldom, "never" => Never });

impl Often {
    /// The word as a chance. Judgements: nobody has counted.
    pub fn chance(self) -> f64 {
        match self {
            Self::Always => 0.95,
            Self::Often => 0.6,
            Self::Sometimes => 0.2,
            Self::Seldom => 0.07,
            Self::Never => 0.02,
        }
    }

    pub fn words(self) -> &'static str {
        match self {
            Self::Always => "nearly always",
            Self::Often => "often",
            Self::Sometimes => "now and then",
            Self::Seldom => "seldom",
            Self::Never => "hardly ever",
        }
    }
}

/// How often a cause is met on its kind of reel, before anything is seen.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub enum Met {
    Common,
    #[default]
    Usual,
    Rare,
}

words!(Met { "common" => Common, "usual" => Usual, "rare" => Rare });

impl Met {
    /// Weight against other causes: a judgement.
    pub fn weight(self) -> f64 {
        match self {
            Self::Common => 1.0,
            Self::Usual => 0.4,
            Self::Rare => 0.1,
        }
    }
}

/// What sort of trouble a cause is.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum CauseType {
    #[default]
    Wear,
    Dirt,
    Damage,
    Setting,
    Corrosion,
    Assembly,
    Age,
    Missing,
    Altered,
    AsMade,
    NoFault,
}

words!(CauseType {
    "wear" => Wear, "dirt" => Dirt, "damage" => Damage, "setting" => Setting, "corrosion" => Corrosion,
    "assembly" => Assembly, "age" => Age, "missing" => Missing, "altered" => Altered, "as-made" => AsMade,
    "no-fault" => NoFault,
});

impl CauseType {
    pub fn words(self) -> &'static str {
        match self {
            Self::Wear => "worn in use",
            Self::Dirt => "dirt, or too much or no lubricant",
            Self::Damage => "a blow or force",
            Self::Setting => "set or used so",
            Self::Corrosion => "corrosion",
            Self::Assembly => "put together wrong",
            Self::Age => "the material has aged",
            Self::Missing => "a part is gone",
            Self::Altered => "changed by an owner",
            Self::AsMade => "works as made",
            Self::NoFault => "no fault found",
        }
    }
}

/// What the customer says, and what the repairer finds.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Symptom {
    pub id: String,
    /// In owners' own words.
    pub say: Vec<String>,
    pub finds: String,
    pub how: String,
    /// Kinds of reel; empty means all, here and below.
    pub kinds: Vec<String>,
    pub effort: EffortId,
    pub src: Vec<String>,
    pub confidence: Confidence,
}

fields!(Symptom { id, say, finds, how, kinds, effort, src, confidence });

/// Something to try or look at, with what can come of it.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct BenchCheck {
    pub id: String,
    pub label: String,
    pub how: String,
    pub kinds: Vec<String>,
    pub effort: EffortId,
    /// Id and label of each result.
    pub results: Vec<(String, String)>,
    /// The result where nothing is wrong here; empty: no result is the plain one.
    pub normal: String,
    /// Results that tell nothing, such as a record that is not there.
    pub tells_nothing: Vec<String>,
    pub cautions: Vec<String>,
    pub src: Vec<String>,
    pub confidence: Confidence,
}

fields!(BenchCheck { id, label, how, kinds, effort, results, normal, tells_nothing, cautions, src, confidence });

impl BenchCheck {
    pub fn result(&self, id: &str) -> Option<&str> {
        self.results.iter().find(|(known, _)| known == id).map(|(_, label)| label.as_str())
    }
}

/// Why it is so, and what to do.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Cause {
    pub id: String,
    pub label: String,
    pub kinds: Vec<String>,
    /// `type` in the file.
    pub sort: CauseType,
    pub prior: Met,
    pub symptoms: BTreeMap<String, Often>,
    /// By check and result.
    pub checks: BTreeMap<String, BTreeMap<String, Often>>,
    pub explain: String,
    /// Steps in order.
    pub remedy: Vec<String>,
    /// Roles of the parts it may take.
    pub parts: Vec<String>,
    pub consumables: Vec<String>,
    pub cautions: Vec<String>,
    pub src: Vec<String>,
    pub confidence: Confidence,
}

fields!(Cause {
    id,
    label,
    kinds,
    sort = "type",
    prior,
    symptoms,
    checks,
    explain,
    remedy,
    parts,
    consumables,
    cautions,
    src,
    confidence,
});

impl Cause {
    /// Nothing is broken: say so and mend nothing.
    pub fn nothing_to_mend(&self) -> bool {
        matches!(self.sort, CauseType::AsMade | CauseType::NoFault)
    }
}

/// One side of a dispute.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize)]
pub struct SaysSo {
    pub says: String,
    pub src: Vec<String>,
}

fields!(SaysSo { says, src });

/// Sources that disagree, side by side.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize)]
pub struct Disagreement {
    pub id: String,
    pub about: String,
    pub views: Vec<SaysSo>,
    /// What these packs do.
    pub here: String,
    /// Causes whose remedy it touches.
    #[serde(skip)]
    pub causes: Vec<String>,
}

fields!(Disagreement { id, about, views, here, causes });

#[derive(Debug, Clone, Default, PartialEq)]
pub struct FaultsPack {
    pub format: String,
    pub id: String,
    pub title: String,
    pub about: String,
    pub sources: Sources,
    /// Groups of words that mean the same at the counter.
    pub variants: Vec<Vec<String>>,
    pub symptoms: Vec<Symptom>,
    pub checks: Vec<BenchCheck>,
    pub causes: Vec<Cause>,
    pub disagreements: Vec<Disagreement>,
}

fields!(FaultsPack { format, id, title, about, sources, variants, symptoms, checks, causes, disagreements });

impl FaultsPack {
    pub fn info(&self) -> PackInfo {
        PackInfo { id: self.id.clone(), title: self.title.clone(), about: self.about.clone(), invented: false }
    }
    pub fn symptom(&self, id: &str) -> Option<&Symptom> {
        self.symptoms.iter().find(|symptom| symptom.id == id)
    }
    pub fn check(&self, id: &str) -> Option<&BenchCheck> {
        self.checks.iter().find(|check| check.id == id)
    }
    pub fn cause(&self, id: &str) -> Option<&Cause> {
        self.causes.iter().find(|cause| cause.id == id)
    }
    /// The symptoms a reel of the kind can show.
    pub fn symptoms_of<'a>(&'a self, kind: &'a str) -> impl Iterator<Item = &'a Symptom> {
        self.symptoms.iter().filter(move |symptom| applies(&symptom.kinds, kind))
    }
    /// The checks that can be made on a reel of the kind.
    pub fn checks_of<'a>(&'a self, kind: &'a str) -> impl Iterator<Item = &'a BenchCheck> {
        self.checks.iter().filter(move |check| applies(&check.kinds, kind))
    }
}
