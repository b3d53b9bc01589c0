//! Faults of the pack of faults: every reference resolves, and no remedy stands without the caution it calls for.

use std::collections::BTreeSet;

use super::super::cautions::Task;
use super::super::faults::{Cause, FaultsPack};
use super::super::work::applies;
use super::Checker;

impl Checker<'_> {
    pub(super) fn trouble(&mut self) {
        let own = self.own;
        let pack = &own.faults;
        if pack.id.is_empty() {
            return;
        }
        self.stand_at(&pack.id, "faults".into());
        self.unique("symptoms", pack.symptoms.iter().map(|one| one.id.as_str()));
        self.unique("checks", pack.checks.iter().map(|one| one.id.as_str()));
        self.unique("causes", pack.causes.iter().map(|one| one.id.as_str()));
        self.unique("variants", pack.variants.iter().flatten().map(String::as_str));
        for symptom in &pack.symptoms {
            self.stand_at(&pack.id, format!("symptoms/{}", symptom.id));
            self.kinds(&symptom.kinds);
            self.not_empty("finds", &symptom.finds);
            self.sources(&symptom.src);
            let causes = pack.causes.iter().filter(|cause| cause.symptoms.contains_key(&symptom.id)).count();
            if causes < 2 {
                self.fault("id", "fewer than two causes name it");
            }
        }
        for check in &pack.checks {
            self.stand_at(&pack.id, format!("checks/{}", check.id));
            self.kinds(&check.kinds);
            self.sources(&check.src);
            self.unique("results", check.results.iter().map(|(id, _)| id.as_str()));
            let unknown = |id: &str| !id.is_empty() && check.result(id).is_none();
            if unknown(&check.normal) || check.tells_nothing.iter().any(|id| unknown(id)) {
                self.fault("normal, tells_nothing", "this names a result that is not there");
            }
            let words = [check.label.as_str(), &check.how].join(" ");
            self.cautions(&Task { words: &words, named: &check.cautions, ..Task::default() });
        }
        for cause in &pack.causes {
            self.cause(pack, cause);
        }
        for dispute in &pack.disagreements {
            self.stand_at(&pack.id, format!("disagreements/{}", dispute.id));
            if dispute.views.len() < 2 {
                self.fault("views", "two views at least make a dispute");
            }
            dispute.views.iter().for_each(|view| self.sources(&view.src));
            for id in dispute.causes.iter().filter(|id| pack.cause(id).is_none()) {
                self.fault("causes", format!("there is no cause “{id}”"));
            }
        }
    }

    fn cause(&mut self, pack: &FaultsPack, cause: &Cause) {
        self.stand_at(&pack.id, format!("causes/{}", cause.id));
        self.kinds(&cause.kinds);
        self.not_empty("label", &cause.label);
        self.not_empty("explain", &cause.explain);
        self.sources(&cause.src);
        if cause.remedy.is_empty() {
            self.fault("remedy", "it has no step");
        }
        if cause.symptoms.is_empty() {
            self.fault("symptoms", "nothing leads to it");
        }
        let kinds: BTreeSet<&str> = cause.kinds.iter().map(String::as_str).collect();
        let meets = |other: &[String]| kinds.is_empty() || kinds.iter().any(|kind| applies(other, kind));
        for id in cause.symptoms.keys() {
            match pack.symptom(id) {
                None => self.fault("symptoms", format!("there is no symptom “{id}”")),
                Some(symptom) if !meets(&symptom.kinds) => {
                    self.fault("symptoms", format!("“{id}” is of no kind of reel that the cause is of"));
                }
                Some(_) => {}
            }
        }
        for (id, results) in &cause.checks {
            match pack.check(id) {
                None => self.fault("checks", format!("there is no check “{id}”")),
                Some(check) => {
                    for result in results.keys().filter(|result| check.result(result).is_none()) {
                        self.fault("checks", format!("the check “{id}” has no result “{result}”"));
                    }
                    if !meets(&check.kinds) {
                        self.fault("checks", format!("“{id}” is of no kind of reel that the cause is of"));
                    }
                }
            }
        }
        for id in
            cause.consumables.iter().filter(|id| self.work().consumable(id).is_none()).cloned().collect::<Vec<_>>()
        {
            self.fault("consumables", format!("there is no consumable “{id}”"));
        }
        let words = [cause.label.as_str(), &cause.remedy.join(" ")].join(" ");
        self.cautions(&Task {
            kind: if cause.kinds.len() == 1 { &cause.kinds[0] } else { "" },
            words: &words,
            consumables: &cause.consumables,
            roles: &cause.parts,
            named: &cause.cautions,
            opens: !cause.nothing_to_mend(),
            ..Task::default()
        });
    }
}
