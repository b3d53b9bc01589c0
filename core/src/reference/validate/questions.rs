//! Faults of the questions.

use super::super::FeatureType;
use super::Checker;

impl Checker<'_> {
    pub(super) fn questions(&mut self) {
        let own = self.own;
        let questions = &own.questions;
        self.stand_at(&questions.id, "questions".into());
        self.unique("mark_places", questions.mark_places.iter().map(|place| place.id.as_str()));
        self.unique("features", questions.features.iter().map(|feature| feature.id.as_str()));
        for effort in &questions.efforts {
            if effort.cost <= 0.0 || !effort.cost.is_finite() {
                self.fault("efforts", "a cost must be above 0");
            }
        }
        for feature in &questions.features {
            self.stand_at(&questions.id, format!("features/{}", feature.id));
            self.not_empty("ask", &feature.ask);
            self.unique("states", feature.states.iter().map(|state| state.id.as_str()));
            for state in &feature.states {
                self.not_empty("states", &state.label);
            }
            match feature.kind {
                FeatureType::Choice if feature.states.len() < 2 => {
                    self.fault("states", "a choice needs two states or more")
                }
                FeatureType::Choice => {}
                _ if !feature.states.is_empty() => self.fault("states", "a count or measure has no states"),
                _ => match feature.plausible {
                    Some([least, most]) if least < most => {}
                    _ => self.fault("plausible", "a count or measure needs a least and a greater most"),
                },
            }
            for kind in &feature.applies_to {
                self.kind("applies_to", kind);
            }
            if let Some(place) = &feature.place {
                self.place("place", place);
            }
            for state in feature.easily_confused.iter().flatten() {
                self.state("easily_confused", &feature.id, state);
            }
        }
    }
}
