//! Work at the bench by kind of reel: cautions, service lists, function tests, orders of taking apart, condition.

use std::collections::BTreeMap;

use serde::Serialize;

use super::read::{fields, words};
use super::{Confidence, PackInfo, Sources};

/// Whether a row for these kinds serves a reel of this kind: no kinds means all, no kind means not known.
pub fn applies(kinds: &[String], kind: &str) -> bool {
    kinds.is_empty() || kind.is_empty() || kinds.iter().any(|known| known == kind)
}

/// A part's role in words.
pub fn role_words(role: &str) -> String {
    role.replace('-', " ")
}

/// What can hurt someone or spoil a reel, shown at the step.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize)]
pub struct BenchCaution {
    pub id: String,
    pub when: String,
    pub text: String,
    /// Who knows better.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub defer_to: Option<String>,
    pub src: Vec<String>,
    pub confidence: Confidence,
}

fields!(BenchCaution { id, when, text, defer_to, src, confidence });

/// Words in a step that call for one of these cautions.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct CautionWords {
    pub words: Vec<String>,
    pub any_of: Vec<String>,
}

fields!(CautionWords { words, any_of });

#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Hazard {
    pub id: String,
    pub text: String,
    pub caution: String,
    /// Parts that bring it.
    pub roles: Vec<String>,
    /// Kinds of reel on which every opening brings it.
    pub opens: Vec<String>,
}

fields!(Hazard { id, text, caution, roles, opens });

#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Consumable {
    pub id: String,
    pub label: String,
    pub r#use: String,
    pub not_on: String,
    /// One of these goes with it wherever it is used.
    pub cautions: Vec<String>,
}

fields!(Consumable { id, label, r#use = "use", not_on, cautions });

/// An amount to look at, not to weigh.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Quantity {
    pub id: String,
    pub words: String,
    /// Least and most.
    pub mm3: [f64; 2],
    pub note: String,
    pub src: Vec<String>,
    pub confidence: Confidence,
}

fields!(Quantity { id, words, mm3, note, src, confidence });

/// Part of a service.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Phase {
    Strip,
    Clean,
    #[default]
    Inspect,
    Replace,
    Lubricate,
    Adjust,
    Test,
    Finish,
}

words!(Phase {
    "strip" => Strip, "clean" => Clean, "inspect" => Inspect, "replace" => Replace, "lubricate" => Lubricate,
    "adjust" => Adjust, "test" => Test, "finish" => Finish,
});

impl Phase {
    pub fn words(self) -> &'static str {
        match self {
            Self::Strip => "Strip",
            Self::Clean => "Clean",
            Self::Inspect => "Inspect",
            Self::Replace => "Replace",
            Self::Lubricate => "Lubricate",
            Self::Adjust => "Adjust",
            Self::Test => "Test",
            Self::Finish => "Finish",
        }
    }
}

#[derive(Debug, Clone, Default, PartialEq)]
pub struct ServiceItem {
    pub n: i32,
    pub phase: Phase,
    pub roles: Vec<String>,
    pub place: Option<String>,
    pub r#do: String,
    pub product: Option<String>,
    pub quantity: Option<String>,
    /// The quantity so many times; left out, once.
    pub times: Option<i32>,
    pub not_here: Option<String>,
    pub note: Option<String>,
    pub cautions: Vec<String>,
    pub src: Vec<String>,
    pub confidence: Confidence,
}

fields!(ServiceItem {
    n,
    phase,
    roles,
    place,
    r#do = "do",
    product,
    quantity,
    times,
    not_here,
    note,
    cautions,
    src,
    confidence,
});

#[derive(Debug, Clone, Default, PartialEq)]
pub struct ServiceList {
    pub id: String,
    pub kinds: Vec<String>,
    pub label: String,
    pub interval: String,
    pub items: Vec<ServiceItem>,
}

fields!(ServiceList { id, kinds, label, interval, items });

/// How it is decided that a test reads otherwise than before.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub enum ChangeBy {
    /// The middles differ by more than the readings scatter.
    Spread,
    /// The middles differ by at least the amount.
    Amount,
    /// The means differ by more than the amount.
    Mean,
    /// The middles differ by more than the share.
    Share,
    /// Any difference.
    Any,
    /// A person judges.
    #[default]
    Words,
}

words!(ChangeBy {
    "spread" => Spread, "amount" => Amount, "mean" => Mean, "share" => Share, "any" => Any, "words" => Words,
});

#[derive(Debug, Clone, Default, PartialEq)]
pub struct ChangeRule {
    pub by: ChangeBy,
    pub at_least: f64,
}

fields!(ChangeRule { by, at_least });

/// Which way is better.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub enum Aim {
    More,
    Less,
    #[default]
    None,
}

words!(Aim { "more" => More, "less" => Less, "none" => None });

/// A figure that somebody gave, for what it applies to.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize)]
pub struct Limit {
    pub value: String,
    pub applies: String,
    pub src: Vec<String>,
}

fields!(Limit { value, applies, src });

#[derive(Debug, Clone, Default, PartialEq)]
pub struct FunctionTest {
    pub id: String,
    pub kinds: Vec<String>,
    pub label: String,
    pub how: String,
    /// `text` for a test that is told in words.
    pub unit: String,
    pub better: String,
    pub aim: Aim,
    pub repeats: String,
    /// The rule in words; the rule itself stands in `change`.
    pub counts_as_a_change: String,
    pub change: ChangeRule,
    pub change_rule_src: Vec<String>,
    pub limits: Vec<Limit>,
    pub record_with_it: String,
    pub before: String,
    pub after: String,
    pub cautions: Vec<String>,
    pub src: Vec<String>,
    pub confidence: Confidence,
}

fields!(FunctionTest {
    id,
    kinds,
    label,
    how,
    unit,
    better,
    aim,
    repeats,
    counts_as_a_change,
    change,
    change_rule_src,
    limits,
    record_with_it,
    before,
    after,
    cautions,
    src,
    confidence,
});

#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct TestNote {
    pub id: String,
    pub test: String,
    pub text: String,
    pub src: Vec<String>,
    pub confidence: Confidence,
}

fields!(TestNote { id, test, text, src, confidence });

/// One step of taking a reel apart.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct OrderStep {
    pub id: String,
    pub roles: Vec<String>,
    pub r#do: String,
    pub fastener: Option<String>,
    pub tool: Option<String>,
    pub note: Option<String>,
    /// What to note so that it goes back the right way round.
    pub way_round: Option<String>,
    pub photo: bool,
    pub put_back: Option<String>,
    pub hazards: Vec<String>,
    pub cautions: Vec<String>,
}

fields!(OrderStep {
    id,
    roles,
    r#do = "do",
    fastener,
    tool,
    note,
    way_round,
    photo,
    put_back,
    hazards,
    cautions,
});

/// On putting together, one step comes before another.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize)]
pub struct MustBeBefore {
    pub before: String,
    pub after: String,
    pub why: String,
}

fields!(MustBeBefore { before, after, why });

/// A generic order of taking apart; the reel in hand decides.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct StripOrder {
    pub id: String,
    pub kinds: Vec<String>,
    pub label: String,
    pub about: String,
    pub steps: Vec<OrderStep>,
    pub put_together: Vec<MustBeBefore>,
    pub before_you_close: Vec<String>,
    pub src: Vec<String>,
    pub confidence: Confidence,
}

fields!(StripOrder { id, kinds, label, about, steps, put_together, before_you_close, src, confidence });

impl StripOrder {
    pub fn step(&self, id: &str) -> Option<&OrderStep> {
        self.steps.iter().find(|step| step.id == id)
    }
}

#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct GradeStep {
    pub id: String,
    pub text: String,
}

fields!(GradeStep { id, text });

#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct GradeScale {
    pub id: String,
    pub label: String,
    pub parts: Vec<String>,
    pub note: String,
    pub looks: Vec<GradeStep>,
    pub works: Vec<GradeStep>,
    pub src: Vec<String>,
    pub confidence: Confidence,
}

fields!(GradeScale { id, label, parts, note, looks, works, src, confidence });

/// A state a part can be in.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct PartState {
    pub id: String,
    pub label: String,
    pub means: String,
    pub look: String,
    pub src: Vec<String>,
    pub confidence: Confidence,
}

fields!(PartState { id, label, means, look, src, confidence });

#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct PhotoWish {
    pub id: String,
    pub label: String,
    pub why: String,
    pub kinds: Vec<String>,
}

fields!(PhotoWish { id, label, why, kinds });

#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct OwnerQuestion {
    pub id: String,
    pub ask: String,
    /// `text`, `money`, or `choice:` and the choices with a bar between.
    pub answer: String,
    pub note: String,
}

fields!(OwnerQuestion { id, ask, answer, note });

#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Labelled {
    pub id: String,
    pub label: String,
    pub means: String,
}

fields!(Labelled { id, label, means });

#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct WorkStage {
    pub id: String,
    pub label: String,
    pub r#do: String,
    pub src: Vec<String>,
    pub confidence: Confidence,
}

fields!(WorkStage { id, label, r#do = "do", src, confidence });

/// Which bath a material stands.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Bath {
    pub id: String,
    pub material: String,
    /// By bath: words of `bath_words`, and after a colon why.
    pub verdicts: BTreeMap<String, String>,
    pub note: String,
    pub src: Vec<String>,
    pub confidence: Confidence,
}

fields!(Bath { id, material, verdicts, note, src, confidence });

#[derive(Debug, Clone, Default, PartialEq)]
pub struct WorkPack {
    pub format: String,
    pub id: String,
    pub title: String,
    pub about: String,
    pub sources: Sources,
    pub cautions: Vec<BenchCaution>,
    pub caution_words: Vec<CautionWords>,
    pub hazards: Vec<Hazard>,
    pub consumables: Vec<Consumable>,
    pub quantities: Vec<Quantity>,
    pub services: Vec<ServiceList>,
    pub function_tests: Vec<FunctionTest>,
    pub test_notes: Vec<TestNote>,
    pub strip_orders: Vec<StripOrder>,
    pub scales: Vec<GradeScale>,
    pub flags: Vec<String>,
    pub states: Vec<PartState>,
    pub photos: Vec<PhotoWish>,
    pub questions: Vec<OwnerQuestion>,
    pub wishes: Vec<Labelled>,
    pub findings: Vec<Labelled>,
    pub order_of_work: Vec<WorkStage>,
    pub bath_words: BTreeMap<String, String>,
    pub baths: Vec<Bath>,
}

fields!(WorkPack {
    format,
    id,
    title,
    about,
    sources,
    cautions,
    caution_words,
    hazards,
    consumables,
    quantities,
    services,
    function_tests,
    test_notes,
    strip_orders,
    scales,
    flags,
    states,
    photos,
    questions,
    wishes,
    findings,
    order_of_work,
    bath_words,
    baths,
});

impl WorkPack {
    pub fn info(&self) -> PackInfo {
        PackInfo { id: self.id.clone(), title: self.title.clone(), about: self.about.clone(), invented: false }
    }
    pub fn caution(&self, id: &str) -> Option<&BenchCaution> {
        self.cautions.iter().find(|caution| caution.id == id)
    }
    pub fn consumable(&self, id: &str) -> Option<&Consumable> {
        self.consumables.iter().find(|one| one.id == id)
    }
    pub fn quantity(&self, id: &str) -> Option<&Quantity> {
        self.quantities.iter().find(|one| one.id == id)
    }
    pub fn test(&self, id: &str) -> Option<&FunctionTest> {
        self.function_tests.iter().find(|one| one.id == id)
    }
    pub fn order(&self, id: &str) -> Option<&StripOrder> {
        self.strip_orders.iter().find(|order| order.id == id)
    }
    /// The generic orders for a kind of reel; none where no source tells one.
    pub fn orders_of<'a>(&'a self, kind: &'a str) -> impl Iterator<Item = &'a StripOrder> {
        self.strip_orders.iter().filter(move |order| applies(&order.kinds, kind))
    }
    pub fn service_of(&self, kind: &str) -> Option<&ServiceList> {
        self.services.iter().find(|list| applies(&list.kinds, kind))
    }
}
