//! Faults of how sellers write.

use super::super::PhraseKind;
use super::Checker;

impl Checker<'_> {
    pub(super) fn selling(&mut self) {
        let own = self.own;
        let selling = &own.selling;
        self.stand_at(&selling.id, "selling".into());
        self.unique("phrases", selling.phrases.iter().map(|phrase| phrase.id.as_str()));
        self.unique("materials", selling.materials.iter().map(|material| material.id.as_str()));
        self.unique("copies", selling.copies.iter().map(|copy| copy.model.as_str()));
        let phrases = selling.phrases.iter().flat_map(|phrase| &phrase.words);
        let materials = selling.materials.iter().flat_map(|material| &material.words);
        self.unique("words", phrases.chain(materials).map(String::as_str));
        for phrase in &selling.phrases {
            self.stand_at(&selling.id, format!("phrases/{}", phrase.id));
            self.worded("words", &phrase.words);
            let by_state = matches!(phrase.kind, PhraseKind::Feature | PhraseKind::Kind);
            if by_state != phrase.why.is_empty() || by_state == phrase.shows.is_empty() {
                self.fault(
                    "why",
                    "a feature or kind has states in `shows`, anything else says `why` photos do not show it",
                );
            }
            for [feature, state] in phrase.shows.iter().chain(&phrase.against) {
                self.state("shows, against", feature, state);
            }
            for id in phrase.clashes.iter().filter(|id| selling.phrase(id).is_none()) {
                self.fault("clashes", format!("there is no phrase “{id}”"));
            }
            self.share(phrase.often_wrong);
            self.sources(&phrase.src);
        }
        for material in &selling.materials {
            self.stand_at(&selling.id, format!("materials/{}", material.id));
            self.worded("words", &material.words);
            for [feature, state] in &material.states {
                self.state("states", feature, state);
            }
            for id in material.rules_out.iter().filter(|id| selling.material(id).is_none()) {
                self.fault("rules_out", format!("there is no material “{id}”"));
            }
            if !material.rules_out.is_empty() {
                self.not_empty("why", &material.why);
            }
            self.share(material.often_wrong);
            self.sources(&material.src);
        }
        self.stand_at(&selling.id, "parts, counts, sizes".into());
        for part in selling.parts.iter().chain(&selling.counts).chain(&selling.sizes) {
            self.worded("words", &part.words);
            for feature in &part.features {
                if self.feature(feature).is_none() {
                    self.fault("features", format!("there is no question “{feature}”"));
                }
            }
        }
        self.stand_at(&selling.id, "eras".into());
        for era in &selling.eras {
            self.worded("words", &era.words);
            let tells = era.from.is_some() || era.to.is_some() || era.older_than.is_some();
            if tells == era.vague {
                self.fault("eras", format!("“{}” needs years, or `vague`, and not both", era.words.join(", ")));
            }
            if matches!((era.from, era.to), (Some(from), Some(to)) if from > to) {
                self.fault("eras", format!("“{}”: the first year is after the last", era.words.join(", ")));
            }
        }
        for copy in &selling.copies {
            self.stand_at(&selling.id, format!("copies/{}", copy.model));
            self.not_empty("words", &copy.words);
            if !self.has_model(&copy.model) {
                self.fault("model", format!("there is no model “{}”", copy.model));
            }
            self.sources(&copy.src);
        }
    }

    fn worded(&mut self, field: &str, words: &[String]) {
        if words.is_empty() {
            self.fault(field, "it has no words");
        }
        for word in words.iter().filter(|word| word.trim() != word.as_str() || word.is_empty()) {
            self.fault(field, format!("“{word}” is empty or has spaces at an end"));
        }
    }

    fn share(&mut self, share: f64) {
        if !(0.0..=1.0).contains(&share) {
            self.fault("often_wrong", "a share lies between 0 and 1");
        }
    }
}
