//! Faults of the pack of bench work.

use std::collections::BTreeSet;

use super::super::cautions::Task;
use super::super::work::{Phase, StripOrder, WorkPack, role_words};
use super::Checker;

impl<'a> Checker<'a> {
    /// The work pack that rows lean on: the pack's own, or the one beside.
    pub(super) fn work(&self) -> &'a WorkPack {
        if self.own.work.id.is_empty() { &self.beside.work } else { &self.own.work }
    }

    /// Each named, and none of those missing that the rules ask for.
    pub(super) fn cautions(&mut self, task: &Task) {
        let work = self.work();
        for id in task.named {
            if work.caution(id).is_none() {
                self.fault("cautions", format!("there is no caution “{id}”"));
            }
        }
        for group in work.groups_due(task) {
            if !group.iter().any(|id| task.named.contains(id)) {
                self.fault("cautions", format!("one of {} is due here", group.join(", ")));
            }
        }
    }

    pub(super) fn kinds(&mut self, kinds: &[String]) {
        for kind in kinds {
            self.kind("kinds", kind);
        }
    }

    fn hazards(&mut self, hazards: &[String]) {
        for id in hazards {
            if !self.work().hazards.iter().any(|hazard| hazard.id == *id) {
                self.fault("hazards", format!("there is no hazard “{id}”"));
            }
        }
    }

    pub(super) fn bench(&mut self) {
        let own = self.own;
        let work = &own.work;
        if work.id.is_empty() {
            return;
        }
        self.stand_at(&work.id, "work".into());
        self.unique("cautions", work.cautions.iter().map(|one| one.id.as_str()));
        self.unique("consumables", work.consumables.iter().map(|one| one.id.as_str()));
        self.unique("quantities", work.quantities.iter().map(|one| one.id.as_str()));
        self.unique("hazards", work.hazards.iter().map(|one| one.id.as_str()));
        self.unique("services", work.services.iter().map(|one| one.id.as_str()));
        self.unique("function_tests", work.function_tests.iter().map(|one| one.id.as_str()));
        self.unique("strip_orders", work.strip_orders.iter().map(|one| one.id.as_str()));
        for caution in &work.cautions {
            self.stand_at(&work.id, format!("cautions/{}", caution.id));
            self.not_empty("text", &caution.text);
            self.sources(&caution.src);
        }
        for rule in &work.caution_words {
            self.stand_at(&work.id, format!("caution_words/{}", rule.words.join(",")));
            self.known_cautions("any_of", &rule.any_of);
        }
        for one in &work.consumables {
            self.stand_at(&work.id, format!("consumables/{}", one.id));
            self.known_cautions("cautions", &one.cautions);
        }
        for hazard in &work.hazards {
            self.stand_at(&work.id, format!("hazards/{}", hazard.id));
            self.known_cautions("caution", std::slice::from_ref(&hazard.caution));
            self.kinds(&hazard.opens);
        }
        for one in &work.quantities {
            self.stand_at(&work.id, format!("quantities/{}", one.id));
            if !(one.mm3[0] > 0.0 && one.mm3[0] <= one.mm3[1]) {
                self.fault("mm3", "least and most are not in order");
            }
            self.sources(&one.src);
        }
        self.services(work);
        self.function_tests(work);
        for order in &work.strip_orders {
            self.strip_order(work, order);
        }
        self.condition(work);
    }

    fn known_cautions(&mut self, field: &str, ids: &[String]) {
        for id in ids {
            if self.work().caution(id).is_none() {
                self.fault(field, format!("there is no caution “{id}”"));
            }
        }
    }

    fn services(&mut self, work: &WorkPack) {
        for list in &work.services {
            self.stand_at(&work.id, format!("services/{}", list.id));
            self.kinds(&list.kinds);
            for item in &list.items {
                self.stand_at(&work.id, format!("services/{}/{}", list.id, item.n));
                self.not_empty("do", &item.r#do);
                self.sources(&item.src);
                if item.product.as_ref().is_some_and(|id| work.consumable(id).is_none()) {
                    self.fault("product", "there is no consumable of this id");
                }
                if item.quantity.as_ref().is_some_and(|id| work.quantity(id).is_none()) {
                    self.fault("quantity", "there is no quantity of this id");
                }
                let product: Vec<String> = item.product.iter().cloned().collect();
                self.cautions(&Task {
                    kind: list.kinds.first().map_or("", String::as_str),
                    words: &[item.r#do.as_str(), item.note.as_deref().unwrap_or_default()].join(" "),
                    consumables: &product,
                    roles: &item.roles,
                    named: &item.cautions,
                    opens: !matches!(item.phase, Phase::Adjust | Phase::Test | Phase::Finish) && list.kinds.len() == 1,
                    ..Task::default()
                });
            }
        }
    }

    fn function_tests(&mut self, work: &WorkPack) {
        for test in &work.function_tests {
            self.stand_at(&work.id, format!("function_tests/{}", test.id));
            self.kinds(&test.kinds);
            self.not_empty("how", &test.how);
            self.not_empty("counts_as_a_change", &test.counts_as_a_change);
            self.sources(&test.src);
            self.sources(&test.change_rule_src);
            for limit in &test.limits {
                if limit.src.is_empty() || limit.applies.trim().is_empty() {
                    self.fault("limits", "a limit needs its source and what it applies to");
                }
                self.sources(&limit.src);
            }
            self.known_cautions("cautions", &test.cautions);
        }
        for note in &work.test_notes {
            self.stand_at(&work.id, format!("test_notes/{}", note.id));
            if work.test(&note.test).is_none() {
                self.fault("test", "there is no test of this id");
            }
            self.sources(&note.src);
        }
    }

    fn strip_order(&mut self, work: &WorkPack, order: &StripOrder) {
        self.stand_at(&work.id, format!("strip_orders/{}", order.id));
        self.kinds(&order.kinds);
        self.sources(&order.src);
        self.unique("steps", order.steps.iter().map(|step| step.id.as_str()));
        let place = |id: &str| order.steps.iter().position(|step| step.id == id);
        for pair in &order.put_together {
            match (place(&pair.before), place(&pair.after)) {
                (Some(before), Some(after)) if before <= after => {
                    // What goes back earlier comes off later, so no circle can arise either.
                    self.fault("put_together", format!("{} before {} contradicts the steps", pair.before, pair.after));
                }
                (Some(_), Some(_)) => {}
                _ => self.fault("put_together", format!("{} or {} is no step", pair.before, pair.after)),
            }
        }
        for step in &order.steps {
            self.stand_at(&work.id, format!("strip_orders/{}/{}", order.id, step.id));
            self.not_empty("do", &step.r#do);
            self.hazards(&step.hazards);
            let of_hazards =
                work.hazards.iter().filter(|hazard| step.hazards.contains(&hazard.id)).map(|hazard| &hazard.caution);
            let named: Vec<String> = of_hazards.chain(&step.cautions).cloned().collect();
            let words = [
                step.r#do.as_str(),
                step.put_back.as_deref().unwrap_or_default(),
                step.fastener.as_deref().unwrap_or_default(),
            ];
            self.cautions(&Task {
                kind: order.kinds.first().map_or("", String::as_str),
                words: &words.join(" "),
                roles: &step.roles,
                named: &named,
                opens: order.kinds.len() == 1,
                ..Task::default()
            });
            for role in step.roles.iter().filter(|role| role_words(role).trim().is_empty()) {
                self.fault("roles", format!("“{role}” is no role"));
            }
        }
    }

    fn condition(&mut self, work: &WorkPack) {
        for scale in &work.scales {
            self.stand_at(&work.id, format!("scales/{}", scale.id));
            self.sources(&scale.src);
            self.unique("looks", scale.looks.iter().map(|step| step.id.as_str()));
        }
        self.stand_at(&work.id, "states".into());
        self.unique("states", work.states.iter().map(|state| state.id.as_str()));
        for photo in &work.photos {
            self.stand_at(&work.id, format!("photos/{}", photo.id));
            self.kinds(&photo.kinds);
        }
        let known: BTreeSet<&str> = work.bath_words.keys().map(String::as_str).collect();
        for bath in &work.baths {
            self.stand_at(&work.id, format!("baths/{}", bath.id));
            self.sources(&bath.src);
            for verdict in bath.verdicts.values() {
                let words = verdict.split(':').next().unwrap_or_default();
                for word in words.split(',').filter(|word| !known.contains(word.trim())) {
                    self.fault("verdicts", format!("“{word}” is not explained in bath_words"));
                }
            }
        }
    }
}
