//! Reels as they lie on a table, and people who answer for them: slips, look-alike states, miscounts, a ruler's error, worn
//! lettering. Chances of slips are the simulation's own, not the key's.

use tailplate_core::observe::{About, Certainty, How, Observation, Unit, Value};
use tailplate_core::reference::{EffortId, Feature, FeatureFact, FeatureType, Model, Reference, Variant};

pub struct Lcg(pub u64);

impl Lcg {
    fn unit(&mut self) -> f64 {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 11) as f64 / (1_u64 << 53) as f64
    }
    pub fn below(&mut self, n: usize) -> usize {
        ((self.unit() * n as f64) as usize).min(n - 1)
    }
    fn chance(&mut self, p: f64) -> bool {
        self.unit() < p
    }
    /// Near enough normal: the sum of twelve.
    fn normal(&mut self) -> f64 {
        (0..12).map(|_| self.unit()).sum::<f64>() - 6.0
    }
    fn pick<'a, T>(&mut self, of: &'a [T]) -> &'a T {
        &of[self.below(of.len())]
    }
}

/// Where a reel comes from.
#[derive(Clone, Copy, PartialEq, Eq)]
pub enum Source {
    /// What the key knows.
    Known,
    /// Of a family that was left out of the key.
    LeftOut,
    /// Shares looks with the variant, but is another's: some features differ and its lettering is missing.
    LookAlike,
    /// Random for its kind.
    Random,
}

impl Source {
    pub const ALL: [Self; 4] = [Self::Known, Self::LeftOut, Self::LookAlike, Self::Random];
}

/// A reel to be named: what it truly is.
pub struct Reel<'a> {
    pub model: &'a Model,
    pub variant: &'a Variant,
    pub source: Source,
}

pub struct World<'a> {
    pub all: &'a Reference,
    pub random: Lcg,
    /// Whether answers slip by themselves.
    pub slips: bool,
    /// The dearest answers given.
    pub effort: EffortId,
}

impl<'a> World<'a> {
    fn model(&mut self, of: &[&'a Model]) -> &'a Model {
        let weight = |m: &Model| 3.0_f64.powf((f64::from(m.commonness.clamp(1, 5)) - 3.0) / 2.0);
        let mut at = self.random.unit() * of.iter().map(|m| weight(m)).sum::<f64>();
        for model in of {
            at -= weight(model);
            if at <= 0.0 {
                return model;
            }
        }
        of[of.len() - 1]
    }

    pub fn reel(&mut self, of: &[&'a Model], source: Source) -> Reel<'a> {
        let model = self.model(of);
        Reel { model, variant: self.random.pick(&model.variants), source }
    }

    /// One reel in four is in the key: the key's own prior.
    pub fn source(&mut self) -> Source {
        match self.random.unit() {
            u if u < 0.25 => Source::Known,
            u if u < 0.55 => Source::LeftOut,
            u if u < 0.85 => Source::LookAlike,
            _ => Source::Random,
        }
    }

    /// A fact of any reel of the kind, for questions that the reel's own entry leaves open.
    fn at_large(&mut self, feature: &Feature, kind: &str) -> Option<&'a FeatureFact> {
        let all = self.all;
        let scored: Vec<&FeatureFact> = all
            .models
            .iter()
            .filter(|m| m.kind == kind)
            .filter_map(|m| m.variants[0].features.get(&feature.id))
            .collect();
        (!scored.is_empty()).then(|| *self.random.pick(&scored))
    }

    /// What the reel truly shows.
    fn truth(&mut self, reel: &Reel<'a>, feature: &Feature) -> Option<Value> {
        if feature.id == "reel_kind" {
            return Some(Value::State(reel.model.kind.clone()));
        }
        let astray =
            if feature.replaceable { 0.15 } else { 0.03 } + if reel.source == Source::LookAlike { 0.1 } else { 0.0 };
        let own = reel.variant.features.get(&feature.id).filter(|_| reel.source != Source::Random);
        let own = own.filter(|_| !self.random.chance(astray));
        let fact = match own {
            Some(fact) => fact,
            None => self.at_large(feature, &reel.model.kind)?,
        };
        Some(match (feature.kind, fact.value) {
            (FeatureType::Count, Some(value)) => Value::Count(value.round().max(0.0) as u32),
            (FeatureType::Measure, Some(value)) => {
                let amount = value + self.random.normal() * fact.tol.unwrap_or(0.0);
                Value::Measure { amount: amount.max(value * 0.3), unit: unit(feature) }
            }
            _ => {
                let mut at = self.random.unit();
                let state = fact.states.iter().find(|(_, weight)| {
                    at -= **weight;
                    at <= 0.0
                });
                let state = state.or_else(|| fact.states.iter().next())?.0;
                match (feature.kind, state.as_str()) {
                    (FeatureType::Count, count) => Value::Count(count.parse().ok()?),
                    (_, "absent") => Value::Absent,
                    (_, state) => Value::State(state.into()),
                }
            }
        })
    }

    fn other(&mut self, feature: &Feature, value: &Value) -> Value {
        let more = self.random.chance(0.5);
        match value {
            Value::Count(count) => Value::Count(if more { count + 2 } else { count.saturating_sub(2) }),
            Value::Measure { amount, unit } => {
                Value::Measure { amount: amount * if more { 1.3 } else { 0.75 }, unit: *unit }
            }
            _ => Value::State(self.random.pick(&feature.states).id.clone()),
        }
    }

    /// What a person answers.
    pub fn answer(&mut self, reel: &Reel<'a>, feature: &Feature) -> Option<Observation> {
        let mut value = self.truth(reel, feature)?;
        let certainty = match self.random.unit() {
            u if u < 0.7 => Certainty::Sure,
            u if u < 0.9 => Certainty::Likely,
            _ => Certainty::Guess,
        };
        let slip = match certainty {
            Certainty::Sure => 0.02,
            Certainty::Likely => 0.15,
            Certainty::Guess => 0.4,
        };
        if self.slips && self.random.chance(slip) {
            value = self.other(feature, &value);
        } else if let Value::State(state) = &value {
            let confused = feature.easily_confused.iter().find(|pair| pair.contains(state));
            if let Some(pair) = confused.filter(|_| self.random.chance(0.1)) {
                value = Value::State(pair.iter().find(|s| *s != state).unwrap_or(state).clone());
            }
        } else if let Value::Count(count) = value {
            if count > 0 && self.random.chance(0.05) {
                value = Value::Count(if self.random.chance(0.5) { count + 1 } else { count - 1 });
            }
        } else if let Value::Measure { amount, unit } = value {
            let error = match unit {
                Unit::Mm => 1.0,
                Unit::G => amount * 0.02,
                _ => amount * 0.03,
            };
            value = Value::Measure { amount: (amount + self.random.normal() * error).max(0.5), unit };
        }
        let how = match value {
            Value::Measure { unit: Unit::G, .. } => How::Scale,
            Value::Measure { .. } => How::Ruler,
            _ => How::Eye,
        };
        Some(Observation { how, ..Observation::of(About::feature(&feature.id), value) }.with(certainty))
    }

    /// What is read at a place: nothing there, nothing legible, or worn lettering.
    pub fn read(&mut self, reel: &Reel<'a>, place: &str) -> Observation {
        let has_lettering = !matches!(reel.source, Source::LookAlike | Source::Random);
        let borne: Vec<&str> = reel
            .variant
            .marks
            .iter()
            .filter(|mark| has_lettering && mark.place == place && !mark.struck.is_empty())
            .filter(|mark| self.random.chance(mark.how_often.share()))
            .map(|mark| mark.struck.as_str())
            .collect();
        let about = About::mark(place);
        if borne.is_empty() {
            return Observation::of(about, Value::Absent);
        }
        if self.random.chance(0.25) {
            return Observation::of(about, Value::Unclear);
        }
        let text = self.worn(&borne.join(" "));
        Observation::of(about, Value::Text(text))
    }

    fn worn(&mut self, struck: &str) -> String {
        const ALIKE: [(char, char); 8] =
            [('0', 'O'), ('1', 'I'), ('5', 'S'), ('8', 'B'), ('2', 'Z'), ('C', 'G'), ('E', 'F'), ('3', '8')];
        let words: Vec<&str> = struck.split(' ').collect();
        let kept = words.iter().filter(|_| words.len() == 1 || !self.random.chance(0.12)).copied().collect::<Vec<_>>();
        let struck = if kept.is_empty() { struck.to_owned() } else { kept.join(" ") };
        struck
            .chars()
            .map(|letter| match letter {
                '#' => char::from(b'0' + self.random.below(10) as u8),
                '&' => char::from(b'A' + self.random.below(26) as u8),
                letter if letter.is_alphanumeric() && self.random.chance(0.08) => '?',
                letter if self.random.chance(0.03) => {
                    ALIKE.iter().find(|(a, _)| *a == letter).map_or(letter, |(_, b)| *b)
                }
                letter => letter,
            })
            .collect()
    }

    /// A sheet as filled in at a table: the kind, `count` answers that need no opening, and where marks were looked for.
    pub fn sheet(&mut self, reel: &Reel<'a>, count: usize) -> Vec<Observation> {
        let all = self.all;
        let mut features: Vec<&Feature> = all
            .questions
            .features
            .iter()
            .filter(|f| f.id != "reel_kind" && f.effort <= self.effort && f.applies_to(&reel.model.kind))
            .collect();
        let mut seen: Vec<Observation> = Vec::new();
        seen.extend(self.answer(reel, all.feature("reel_kind").expect("asked of every reel")));
        // Half of what is answered is what this sort of reel shows, half is whatever the person looks at.
        let mut own: Vec<&Feature> =
            features.iter().copied().filter(|f| reel.variant.features.contains_key(&f.id)).collect();
        while seen.len() <= count && !features.is_empty() {
            let feature = if !own.is_empty() && self.random.chance(0.5) {
                own.swap_remove(self.random.below(own.len()))
            } else {
                features.swap_remove(self.random.below(features.len()))
            };
            if seen.iter().all(|s| s.about.id() != feature.id) {
                seen.extend(self.answer(reel, feature));
            }
        }
        let mut places: Vec<&str> = reel.variant.marks.iter().map(|m| m.place.as_str()).collect();
        places.push("foot-under");
        places.sort_unstable();
        places.dedup();
        for place in places {
            if self.random.chance(0.8) {
                seen.push(self.read(reel, place));
            }
        }
        seen
    }

    /// Puts a wrong answer in place of one in eight.
    pub fn spoil(&mut self, seen: &mut [Observation]) {
        for _ in 0..seen.len().div_ceil(8) {
            let at = self.random.below(seen.len());
            seen[at] = match &seen[at].about {
                About::Feature(id) => {
                    let feature = self.all.feature(id).expect("asked");
                    let value = self.other(feature, &seen[at].value);
                    Observation { value, ..seen[at].clone() }
                }
                About::Mark(place) => {
                    let liar = self.random.pick(&self.all.models);
                    Observation::mark(place, liar.variants[0].marks.first().map_or("1234", |m| &m.struck))
                }
            };
        }
    }
}

fn unit(feature: &Feature) -> Unit {
    match feature.unit.as_deref() {
        Some("mm") => Unit::Mm,
        Some("g") => Unit::G,
        _ => Unit::Ratio,
    }
}
