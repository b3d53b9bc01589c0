//! Faults of models, their variants and families.

use super::super::{Confidence, FeatureFact, FeatureType, Model, StruckMark};
use super::Checker;

/// What a fitment may say.
const VERDICTS: [&str; 3] = ["fits", "fits-with-work", "does-not-fit"];

impl Checker<'_> {
    pub(super) fn models(&mut self) {
        let own = self.own;
        for model in &own.models {
            self.model(model);
        }
        let first_pack = own.packs.first().map_or("", |pack| &pack.id);
        for (at, family) in own.families.iter().enumerate() {
            let pack =
                family.members.iter().find_map(|member| own.model(member)).map_or(first_pack, |model| &model.pack);
            self.stand_at(pack, format!("families/{}", family.id));
            if own.families[..at].iter().any(|other| other.id == family.id) {
                self.fault("id", "this id is used twice");
            }
            self.not_empty("name", &family.name);
            for member in &family.members {
                if !self.has_model(member) {
                    self.fault("members", format!("there is no model “{member}”"));
                }
            }
            for said in family.number_key.iter().chain(&family.notes) {
                self.not_empty("notes", &said.text);
                self.sources(&said.src);
            }
        }
    }

    fn model(&mut self, model: &Model) {
        let entry = format!("models/{}", model.id);
        self.stand_at(&model.pack, entry.clone());
        self.not_empty("id", &model.id);
        self.not_empty("name", &model.name);
        self.kind("kind", &model.kind);
        if !self.has_maker(&model.maker) {
            self.fault("maker", format!("there is no maker “{}”", model.maker));
        }
        if let Some(id) = &model.family
            && !self.own.families.iter().chain(&self.beside.families).any(|family| family.id == *id)
        {
            self.fault("family", format!("there is no family “{id}”"));
        }
        if !(1..=5).contains(&model.commonness) {
            self.fault("commonness", "it runs from 1, rare, to 5, met every week");
        }
        if model.variants.is_empty() {
            self.fault("variants", "a model needs one variant or more");
        }
        self.unique("variants", model.variants.iter().map(|variant| variant.id.as_str()));
        for like in &model.look_alikes {
            if like.model == model.id {
                self.fault(
                    "look_alikes",
                    "a model is no look-alike of itself; what tells its variants apart is a note",
                );
            } else if !self.has_model(&like.model) {
                self.fault("look_alikes", format!("there is no model “{}”", like.model));
            }
            if let Some(feature) = like.feature.as_ref().filter(|id| self.feature(id).is_none()) {
                self.fault("look_alikes", format!("there is no question “{feature}”"));
            }
            self.not_empty("look_alikes", &like.deciding);
            self.sources(&like.src);
        }
        for fitment in &model.fitments {
            for end in [&fitment.of, &fitment.into] {
                if !self.has_model(end) {
                    self.fault("fitments", format!("there is no model “{end}”"));
                }
            }
            self.not_empty("fitments", &fitment.role);
            if !VERDICTS.contains(&fitment.verdict.as_str()) {
                self.fault("fitments", format!("the verdict “{}” is none of {}", fitment.verdict, VERDICTS.join(", ")));
            }
            self.sources(&fitment.src);
        }
        for (feature, fact) in &model.features {
            self.fact(&model.kind, feature, fact);
        }
        for mark in &model.marks {
            self.mark(mark);
        }
        for variant in &model.variants {
            self.stand_at(&model.pack, format!("{entry}/{}", variant.id));
            self.not_empty("name", &variant.name);
            self.years("years", &variant.years, Confidence::Medium);
            // Loading copies the shared facts into each variant; they were looked at above.
            for (feature, fact) in variant.features.iter().filter(|(id, fact)| model.features.get(*id) != Some(*fact)) {
                self.fact(&model.kind, feature, fact);
            }
            for mark in variant.marks.iter().filter(|mark| !model.marks.contains(mark)) {
                self.mark(mark);
            }
        }
    }

    fn mark(&mut self, mark: &StruckMark) {
        self.place("marks", &mark.place);
        if !mark.struck.is_empty() {
            self.struck("marks", &mark.struck);
        } else {
            self.not_empty("marks", &mark.words);
        }
        self.sources(&mark.src);
    }

    fn fact(&mut self, kind: &str, id: &str, fact: &FeatureFact) {
        self.sources(&fact.src);
        let Some(feature) = self.feature(id) else {
            return self.fault("features", format!("there is no question “{id}”"));
        };
        if !feature.applies_to(kind) {
            self.fault(id, format!("the question is not asked of the kind “{kind}”"));
        }
        let choice = feature.kind == FeatureType::Choice;
        for (state, weight) in &fact.states {
            if !choice && state != "absent" {
                self.fault(id, format!("a count or measure has no state “{state}”"));
            } else {
                self.state(id, id, state);
            }
            if !(*weight > 0.0 && *weight <= 1.0) {
                self.fault(id, format!("the weight {weight} of “{state}” is not above 0 and up to 1"));
            }
        }
        let sum: f64 = fact.states.values().sum();
        if choice {
            if (sum - 1.0).abs() > 0.01 {
                self.fault(id, format!("the weights sum to {sum:.2}, not 1"));
            }
            if fact.value.is_some() || fact.tol.is_some() {
                self.fault(id, "a choice has weights, not a value");
            }
            return;
        }
        match (fact.value, feature.plausible) {
            (None, _) if fact.states.is_empty() => self.fault(id, "it has no value"),
            (Some(value), Some([least, most])) if !(value >= least && value <= most) => {
                self.fault(id, format!("{value} is outside {least} to {most}, what a reel can show"));
            }
            _ => {}
        }
        if fact.tol.is_some_and(|tol| !(tol >= 0.0 && tol.is_finite())) {
            self.fault(id, "the tolerance is below 0");
        }
    }
}
