//! Faults of the parts pack.

use super::super::parts::end_parts;
use super::super::{Confidence, Evidence};
use super::Checker;

/// Where a word can be at home.
const HOMES: [&str; 4] = ["us", "uk", "au", "any"];
/// Units of measures.
const UNITS: [&str; 6] = ["mm", "g", "N", "V", "count", "text"];

impl Checker<'_> {
    pub(super) fn parts(&mut self) {
        let own = self.own;
        let parts = &own.parts;
        self.stand_at(&parts.id, "parts".into());
        self.unique("measures", parts.measures.iter().map(|one| one.id.as_str()));
        self.unique("assemblies", parts.assemblies.iter().map(|one| one.id.as_str()));
        self.unique("hazards", parts.hazards.iter().map(|one| one.id.as_str()));
        self.unique("roles", parts.roles.iter().map(|one| one.id.as_str()));
        self.unique("fitments", parts.fitments.iter().map(|one| one.id.as_str()));
        self.unique("weak", parts.weak.iter().map(|one| one.id.as_str()));
        self.part_words();
        for fit in &parts.fitments {
            self.stand_at(&parts.id, format!("fitments/{}", fit.id));
            if fit.every != fit.roles.is_empty() {
                self.fault("roles", "name roles, or say every, one of the two");
            }
            for role in fit.roles.iter().chain(&fit.except_roles) {
                self.part_role("roles", role);
            }
            if fit.of.is_empty() || fit.into.is_empty() {
                self.fault("of, into", "both ends are needed");
            }
            for end in fit.of.iter().chain(&fit.into) {
                self.part_end("of, into", end);
            }
            fit.if_same.iter().for_each(|id| self.question("if_same", id));
            if fit.confidence == Confidence::Low && fit.evidence > Evidence::Hearsay {
                self.fault("confidence", "a fact of low confidence is hearsay");
            }
            self.sourced(&fit.src);
        }
        for number in &parts.numbers {
            self.stand_at(&parts.id, format!("numbers/{}", number.number));
            self.not_empty("number", &number.number);
            self.part_role("role", &number.role);
            self.part_end("of", &number.of);
            self.sourced(&number.src);
        }
        for weak in &parts.weak {
            self.stand_at(&parts.id, format!("weak/{}", weak.id));
            self.not_empty("why", &weak.why);
            weak.roles.iter().for_each(|role| self.part_role("roles", role));
            weak.models.iter().for_each(|model| self.part_end("models", model));
            weak.kinds.iter().for_each(|kind| self.kind("kinds", kind));
            self.sourced(&weak.src);
        }
    }

    fn part_words(&mut self) {
        let own = self.own;
        let parts = &own.parts;
        for measure in &parts.measures {
            self.stand_at(&parts.id, format!("measures/{}", measure.id));
            self.not_empty("label", &measure.label);
            if !UNITS.contains(&measure.unit.as_str()) {
                self.fault("unit", format!("“{}” is none of {}", measure.unit, UNITS.join(", ")));
            }
            match measure.tol {
                Some(tol) if tol.is_finite() && tol >= 0.0 => {}
                None if measure.unit == "text" => {}
                _ => self.fault("tol", "a measure with a figure needs a tolerance of 0 or more"),
            }
        }
        for role in &parts.roles {
            self.stand_at(&parts.id, format!("roles/{}", role.id));
            self.not_empty("label", &role.label);
            for (home, words) in &role.words {
                if !HOMES.contains(&home.as_str()) {
                    self.fault("words", format!("“{home}” is none of {}", HOMES.join(", ")));
                }
                words.iter().for_each(|word| self.not_empty("words", word));
            }
            role.kinds.iter().for_each(|kind| self.kind("kinds", kind));
            if !parts.assemblies.iter().any(|one| one.id == role.assembly) {
                self.fault("assembly", format!("there is no assembly “{}”", role.assembly));
            }
            for id in role.measures.iter().filter(|id| parts.measure(id).is_none()) {
                self.fault("measures", format!("there is no measure “{id}”"));
            }
            for id in role.hazards.iter().filter(|id| !parts.hazards.iter().any(|one| one.id == **id)) {
                self.fault("hazards", format!("there is no hazard “{id}”"));
            }
            role.tells.iter().for_each(|id| self.question("tells", id));
            self.sourced(&role.src);
        }
    }

    fn question(&mut self, field: &str, id: &str) {
        if self.feature(id).is_none() {
            self.fault(field, format!("there is no question “{id}”"));
        }
    }

    fn part_role(&mut self, field: &str, role: &str) {
        if self.own.parts.role(role).is_none() {
            self.fault(field, format!("there is no part role “{role}”"));
        }
    }

    fn part_end(&mut self, field: &str, end: &str) {
        let (model, versions) = end_parts(end);
        let Some(known) = self.own.model(model).or_else(|| self.beside.model(model)) else {
            return self.fault(field, format!("there is no model “{model}”"));
        };
        for version in versions.iter().filter(|version| known.variant(version).is_none()) {
            self.fault(field, format!("the model “{model}” has no variant “{version}”"));
        }
    }

    fn sourced(&mut self, src: &[String]) {
        if src.is_empty() {
            self.fault("src", "a fact needs a source");
        }
        self.sources(src);
    }
}
