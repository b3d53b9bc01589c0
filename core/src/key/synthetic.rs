//! A key of any size, for measuring: made up by a seeded generator, the same on every machine.

use std::collections::BTreeMap;

use super::build::Key;
use super::learned::Learned;
use crate::observe::{How, Observation, Unit};
use crate::reference::{Confidence, FeatureFact, Model, Reference, Variant};

/// Seeded pseudo-random numbers (a 64-bit linear congruential generator), so that a measurement can be repeated.
#[derive(Debug, Clone)]
pub struct Lcg(pub u64);

impl Lcg {
    fn bits(&mut self) -> u64 {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        self.0 >> 33
    }
    /// Below `n`.
    pub fn below(&mut self, n: usize) -> usize {
        (self.bits() % n as u64) as usize
    }
}

const STATES: usize = 7;
/// Distinct sizes of a measure.
const SIZES: usize = 200;

/// A key of `variants` variants in half as many models, asked `features` questions: of ten, six choices, one count and
/// three measures. Two variants in three are scored on a question.
///
/// # Errors
/// None in practice: the questions are written here.
pub fn synthetic(variants: usize, features: usize) -> crate::Result<(Reference, Key)> {
    let mut random = Lcg(7);
    let mut reference = Reference::load([("questions", questions(features).as_str())])?;
    reference.models = (0..variants.div_ceil(2))
        .map(|at| Model {
            id: format!("m{at}"),
            name: format!("Model {at}"),
            maker: "maker".into(),
            kind: ["fly", "baitcasting", "spinning"][at % 3].into(),
            commonness: 1 + (at % 5) as u8,
            variants: ["a", "b"].map(|id| Variant { id: id.into(), ..Variant::default() }).into(),
            ..Model::default()
        })
        .collect();
    let facts: Vec<Vec<FeatureFact>> = (0..features).map(|at| facts(at, &mut random)).collect();
    let ids: Vec<String> = (0..features).map(|at| format!("f{at}")).collect();
    let mut key = Key::laid_out(&reference, &Learned::default(), &mut |row, tell| {
        for (at, id) in ids.iter().enumerate() {
            // Each variant's own answer, by a hash of the two.
            let mut own = Lcg((u64::from(row.model) << 20) ^ (u64::from(row.variant) << 50) ^ at as u64);
            own.bits();
            if own.below(3) > 0 {
                tell(id, &facts[at][own.below(facts[at].len())]);
            }
        }
    });
    key.add_lettering(&reference);
    Ok((reference, key))
}

fn questions(features: usize) -> String {
    let kinds: Vec<String> =
        ["fly", "baitcasting", "spinning"].map(|k| format!(r#"{{"id":"{k}","label":"{k}"}}"#)).into();
    let states: Vec<String> = (0..STATES).map(|s| format!(r#"{{"id":"s{s}","label":"s{s}"}}"#)).collect();
    let mut list = vec![format!(
        r#"{{"id":"reel_kind","ask":"Kind?","type":"choice","effort":"glance","states":[{}]}}"#,
        kinds.join(",")
    )];
    for at in 0..features {
        list.push(match at % 10 {
            0..6 => format!(
                r#"{{"id":"f{at}","ask":"F{at}?","type":"choice","effort":"glance","states":[{}]}}"#,
                states.join(",")
            ),
            6 => format!(r#"{{"id":"f{at}","ask":"F{at}?","type":"count","effort":"handle"}}"#),
            _ => format!(r#"{{"id":"f{at}","ask":"F{at}?","type":"measure","effort":"measure","unit":"mm"}}"#),
        });
    }
    format!(
        r#"{{"format":"tailplate-questions/1","id":"q","title":"Q","efforts":[{{"id":"glance","cost":1}},
        {{"id":"handle","cost":2}},{{"id":"measure","cost":3}}],"mark_places":[],"features":[{}]}}"#,
        list.join(",")
    )
}

fn facts(at: usize, random: &mut Lcg) -> Vec<FeatureFact> {
    let fact =
        |states, value, tol| FeatureFact { states, value, tol, confidence: Confidence::High, ..FeatureFact::default() };
    match at % 10 {
        0..6 => (0..12)
            .map(|at| {
                let (first, second) = (format!("s{}", at % STATES), format!("s{}", random.below(STATES)));
                let mut states = BTreeMap::from([(first, 0.8)]);
                *states.entry(second).or_insert(0.0) += 0.2;
                fact(states, None, None)
            })
            .collect(),
        6 => (2..9).map(|count| fact(BTreeMap::new(), Some(f64::from(count)), Some(0.0))).collect(),
        _ => {
            (0..SIZES).map(|_| fact(BTreeMap::new(), Some(20.0 + random.below(800) as f64 / 10.0), Some(0.5))).collect()
        }
    }
}

/// `count` answers to the first questions, of every type.
pub fn answers(count: usize) -> Vec<Observation> {
    let mut random = Lcg(11);
    (0..count)
        .map(|at| {
            let id = format!("f{at}");
            match at % 10 {
                0..6 => Observation::state(&id, &format!("s{}", random.below(STATES))),
                6 => Observation::count(&id, 2 + random.below(7) as u32),
                _ => Observation::measure(&id, 20.0 + random.below(80) as f64, Unit::Mm, How::Ruler),
            }
        })
        .collect()
}
