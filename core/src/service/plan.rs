//! The service list of a kind of reel, with what was done.

use serde::{Deserialize, Serialize};

use crate::reference::{BenchCaution, Confidence, Phase, Reference, ServiceItem, ServiceList, Task, role_words};

/// Something of the plan done, or left undone for a reason. Kept oldest first; the newest of an item counts.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Marked {
    /// Id of the item.
    pub item: String,
    pub done: bool,
    /// Why not, or what there is to say.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub reason: String,
    pub at_ms: i64,
    /// Neither done nor left undone after all: the item is open again.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub taken_back: bool,
}

/// How much: an amount to look at, not to weigh.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Amount {
    /// `2 times a small drop from a fine needle`.
    pub words: String,
    /// Least and most.
    pub mm3: [f64; 2],
    pub note: String,
}

/// One item of a plan.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct PlanItem {
    /// List and number: `sv-fly/3`.
    pub id: String,
    pub phase: Phase,
    /// What it is about, in words.
    pub place: String,
    #[serde(rename = "do")]
    pub words: String,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub product: Option<String>,
    /// Where that product must not go, besides `not_here`.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub product_not_on: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub amount: Option<Amount>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub not_here: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub note: Option<String>,
    /// Read before it is done.
    pub cautions: Vec<BenchCaution>,
    pub confidence: Confidence,
    /// The newest mark, if any.
    pub marked: Option<Marked>,
}

/// A service as planned and as far as it is done.
#[derive(Debug, Clone, Default, PartialEq, Serialize)]
pub struct ServicePlan {
    pub list: String,
    pub label: String,
    pub interval: String,
    pub items: Vec<PlanItem>,
    /// Items that nobody has marked.
    pub open: usize,
}

/// The plan for a kind of reel; none where the packs have no list for it.
pub fn plan(reference: &Reference, kind: &str, marks: &[Marked]) -> Option<ServicePlan> {
    let list = reference.work.service_of(kind)?;
    let items: Vec<PlanItem> = list.items.iter().map(|item| plan_item(reference, kind, list, item, marks)).collect();
    let open = items.iter().filter(|item| item.marked.is_none()).count();
    Some(ServicePlan { list: list.id.clone(), label: list.label.clone(), interval: list.interval.clone(), items, open })
}

fn plan_item(reference: &Reference, kind: &str, list: &ServiceList, item: &ServiceItem, marks: &[Marked]) -> PlanItem {
    let work = &reference.work;
    let id = format!("{}/{}", list.id, item.n);
    let product = item.product.as_ref().and_then(|id| work.consumable(id));
    let products: Vec<String> = item.product.iter().cloned().collect();
    let cautions = work.cautions_due(&Task {
        kind,
        words: &[item.r#do.as_str(), item.note.as_deref().unwrap_or_default()].join(" "),
        consumables: &products,
        roles: &item.roles,
        named: &item.cautions,
        opens: !matches!(item.phase, Phase::Adjust | Phase::Test | Phase::Finish),
        ..Task::default()
    });
    let amount = item.quantity.as_ref().and_then(|id| work.quantity(id)).map(|quantity| {
        let times = item.times.unwrap_or(1);
        let words = if times == 1 { quantity.words.clone() } else { format!("{times} times {}", quantity.words) };
        Amount { words, mm3: quantity.mm3.map(|mm3| mm3 * f64::from(times)), note: quantity.note.clone() }
    });
    let roles: Vec<String> = item.roles.iter().map(|role| role_words(role)).collect();
    PlanItem {
        marked: marks.iter().rev().find(|mark| mark.item == id).filter(|mark| !mark.taken_back).cloned(),
        id,
        phase: item.phase,
        place: item.place.clone().unwrap_or_else(|| roles.join(", ")),
        words: item.r#do.clone(),
        product: product.map(|product| product.label.clone()),
        product_not_on: product.map(|product| product.not_on.clone()).filter(|words| !words.is_empty()),
        amount,
        not_here: item.not_here.clone(),
        note: item.note.clone(),
        cautions: cautions.into_iter().cloned().collect(),
        confidence: item.confidence,
    }
}
