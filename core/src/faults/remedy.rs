//! What to do about a cause: never without the cautions that are due.

use super::{Product, Remedy};
use crate::reference::{Cause, Reference, Task, role_words};

/// The remedy for a cause on a kind of reel.
pub fn remedy(reference: &Reference, cause: &str, kind: &str) -> Option<Remedy> {
    reference.faults.cause(cause).map(|cause| remedy_of(reference, cause, kind))
}

pub(super) fn remedy_of(reference: &Reference, cause: &Cause, kind: &str) -> Remedy {
    let work = &reference.work;
    let words = [cause.label.as_str(), &cause.remedy.join(" ")].join(" ");
    let cautions = work.cautions_due(&Task {
        kind,
        words: &words,
        consumables: &cause.consumables,
        roles: &cause.parts,
        named: &cause.cautions,
        opens: !cause.nothing_to_mend(),
        ..Task::default()
    });
    let product = |id: &String| match work.consumable(id) {
        Some(one) => Product {
            id: id.clone(),
            label: one.label.clone(),
            for_what: one.r#use.clone(),
            not_on: one.not_on.clone(),
        },
        None => Product { id: id.clone(), label: role_words(id), for_what: String::new(), not_on: String::new() },
    };
    Remedy {
        explain: cause.explain.clone(),
        steps: cause.remedy.clone(),
        parts: cause.parts.iter().map(|role| (role.clone(), role_words(role))).collect(),
        consumables: cause.consumables.iter().map(product).collect(),
        cautions: cautions.into_iter().cloned().collect(),
        disagreements: reference
            .faults
            .disagreements
            .iter()
            .filter(|dispute| dispute.causes.contains(&cause.id))
            .cloned()
            .collect(),
        nothing_to_mend: cause.nothing_to_mend(),
        confidence: cause.confidence,
        src: cause.src.clone(),
    }
}
