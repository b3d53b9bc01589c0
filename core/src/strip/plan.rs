//! A generic order to start from, each step with its cautions before it.

use serde::Serialize;

use super::{Strip, Took};
use crate::reference::{BenchCaution, OrderStep, Reference, StripOrder, Task, applies};

/// A step of a generic order.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct PlanStep {
    pub id: String,
    #[serde(rename = "do")]
    pub words: String,
    pub roles: Vec<String>,
    /// Read before the step.
    pub cautions: Vec<BenchCaution>,
    /// Named first, so that nuts and slots are not chewed.
    pub tool: Option<String>,
    pub fastener: Option<String>,
    /// What to note so that it goes back the right way round.
    pub way_round: Option<String>,
    pub note: Option<String>,
    pub photo: bool,
    /// Already taken off in this recording.
    pub taken: bool,
}

/// The steps of an order, those already taken marked.
pub fn plan(reference: &Reference, order: &StripOrder, strip: &Strip, kind: &str) -> Vec<PlanStep> {
    let taken = |step: &OrderStep| strip.steps.iter().any(|done| step_of(order, &done.took) == Some(step.id.as_str()));
    order
        .steps
        .iter()
        .map(|step| PlanStep {
            id: step.id.clone(),
            words: step.r#do.clone(),
            roles: step.roles.clone(),
            cautions: order_cautions(reference, step, kind),
            tool: step.tool.clone(),
            fastener: step.fastener.clone(),
            way_round: step.way_round.clone(),
            note: step.note.clone(),
            photo: step.photo,
            taken: taken(step),
        })
        .collect()
}

/// The generic order that a recording follows, else the first for the kind; none for an unknown kind.
pub fn order_followed<'a>(reference: &'a Reference, kind: &str, strip: &Strip) -> Option<&'a StripOrder> {
    let followed =
        |order: &StripOrder| strip.steps.iter().filter(|step| order.step(&step.took.guide_step).is_some()).count();
    let of_kind = || reference.work.strip_orders.iter().filter(|order| !kind.is_empty() && applies(&order.kinds, kind));
    let most = of_kind().filter(|order| followed(order) > 0).max_by_key(|order| followed(order));
    most.or_else(|| of_kind().next())
}

/// The cautions of a step of a generic order.
pub(super) fn order_cautions(reference: &Reference, step: &OrderStep, kind: &str) -> Vec<BenchCaution> {
    let words = [
        step.r#do.as_str(),
        step.put_back.as_deref().unwrap_or_default(),
        step.fastener.as_deref().unwrap_or_default(),
    ];
    let task = Task {
        kind,
        words: &words.join(" "),
        roles: &step.roles,
        hazards: &step.hazards,
        named: &step.cautions,
        opens: true,
        ..Task::default()
    };
    reference.work.cautions_due(&task).into_iter().cloned().collect()
}

/// The cautions to read before a part of this role or these words comes off, or goes back.
pub fn cautions_before(reference: &Reference, took: &Took, kind: &str) -> Vec<BenchCaution> {
    let fastener = took.fastener.as_ref().map_or("", |fastener| fastener.kind.as_str());
    let words = [took.words.as_str(), &took.note, fastener].join(" ");
    let mut hazards: Vec<String> = Vec::new();
    if took.under_tension {
        hazards.push("spring".into());
    }
    if took.is_screw() {
        hazards.push("length".into());
    }
    let roles: Vec<String> = std::iter::once(&took.role).filter(|role| !role.is_empty()).cloned().collect();
    let task = Task { kind, words: &words, roles: &roles, hazards: &hazards, opens: true, ..Task::default() };
    reference.work.cautions_due(&task).into_iter().cloned().collect()
}

/// The step of the order that a taken part belongs to: as recorded, or the only one with its role.
pub(super) fn step_of<'a>(order: &'a StripOrder, took: &Took) -> Option<&'a str> {
    if let Some(step) = order.step(&took.guide_step) {
        return Some(&step.id);
    }
    let mut with_role = order.steps.iter().filter(|step| !took.role.is_empty() && step.roles.contains(&took.role));
    match (with_role.next(), with_role.next()) {
        (Some(step), None) => Some(&step.id),
        _ => None,
    }
}
