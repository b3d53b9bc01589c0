//! Simulated reels: does the key name the right ones, say so when it cannot know, and ask little?
//!
//! Reels are drawn from the shipped packs, and answered as people answer: slips, look-alike states, miscounts, a ruler's
//! error, worn lettering. Unknown reels are models whose whole family was left out of the key, look-alikes of known
//! ones without their lettering, and reels drawn at random for their kind. Chances of slips here are the simulation's
//! own, not the key's. Everything is seeded: the figures repeat.
//!
//! That the bounds can fail was tried: without the slip term of an answer's worth the right reel drops below its bound,
//! and with the sign of lettering turned calibration, unknown reels and top three all fail.

use tailplate_core::key::{Key, Learned, Posterior, Tally, Verdict, identify, next_checks};
use tailplate_core::observe::{About, Certainty, How, Observation, Unit, Value};
use tailplate_core::reference::{EffortId, Feature, FeatureFact, FeatureType, Model, Reference, Variant};

struct Lcg(u64);

impl Lcg {
    fn unit(&mut self) -> f64 {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 11) as f64 / (1_u64 << 53) as f64
    }
    fn below(&mut self, n: usize) -> usize {
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

fn packs() -> Reference {
    let dir = concat!(env!("CARGO_MANIFEST_DIR"), "/../public/reference/");
    let read = |file: &str| std::fs::read_to_string(format!("{dir}{file}")).expect("a shipped pack");
    let list: serde_json::Value = serde_json::from_str(&read("packs.json")).expect("the list of packs");
    let files: Vec<(String, String)> = list
        .as_array()
        .expect("a list")
        .iter()
        .filter_map(|pack| pack["file"].as_str())
        .map(|file| (file.to_owned(), read(file)))
        .collect();
    Reference::load(files.iter().map(|(name, text)| (name.as_str(), text.as_str()))).expect("sound packs")
}

fn family(model: &Model) -> &str {
    model.family.as_deref().unwrap_or(&model.id)
}

fn is_practice(model: &Model) -> bool {
    model.pack.contains("practice")
}

/// A reel to be named: what it truly is.
struct Reel<'a> {
    model: &'a Model,
    variant: &'a Variant,
    /// Shares looks with the variant, but is another's: some features differ and its lettering is missing.
    look_alike: bool,
    /// Random for its kind.
    random: bool,
}

struct World<'a> {
    all: &'a Reference,
    random: Lcg,
    /// Whether answers slip by themselves.
    slips: bool,
    /// The dearest answers given.
    effort: EffortId,
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

    fn reel(&mut self, of: &[&'a Model], look_alike: bool, random: bool) -> Reel<'a> {
        let model = self.model(of);
        Reel { model, variant: self.random.pick(&model.variants), look_alike, random }
    }

    /// In the key (0; its own prior: one reel in four), of a family left out (1), a look-alike (2), or at random (3).
    fn source(&mut self) -> usize {
        match self.random.unit() {
            u if u < 0.25 => 0,
            u if u < 0.55 => 1,
            u if u < 0.85 => 2,
            _ => 3,
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
        let astray = if feature.replaceable { 0.15 } else { 0.03 } + if reel.look_alike { 0.1 } else { 0.0 };
        let own = reel.variant.features.get(&feature.id).filter(|_| !reel.random);
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
    fn answer(&mut self, reel: &Reel<'a>, feature: &Feature) -> Option<Observation> {
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
    fn read(&mut self, reel: &Reel<'a>, place: &str) -> Observation {
        let borne: Vec<&str> = reel
            .variant
            .marks
            .iter()
            .filter(|mark| mark.place == place && !mark.struck.is_empty() && !reel.look_alike && !reel.random)
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
    fn sheet(&mut self, reel: &Reel<'a>, count: usize) -> Vec<Observation> {
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
    fn spoil(&mut self, seen: &mut [Observation]) {
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

fn judge(key: &Key, seen: &[Observation]) -> Posterior {
    let mut tally = Tally::new(key);
    for observation in seen {
        tally.add(key, observation).expect("the simulation answers what is asked");
    }
    let mut posterior = Posterior::default();
    posterior.fill(key, &tally);
    posterior
}

fn rank(reference: &Reference, posterior: &Posterior, id: &str) -> Option<usize> {
    posterior.top.iter().position(|(model, _)| reference.models[*model as usize].id == id)
}

/// Expected calibration error over ten equal bins.
fn calibration_error(told: &[(f64, bool)]) -> f64 {
    let bin = |p: f64| ((p * 10.0) as usize).min(9);
    (0..10)
        .map(|b| {
            let inside: Vec<&(f64, bool)> = told.iter().filter(|(p, _)| bin(*p) == b).collect();
            let said: f64 = inside.iter().map(|(p, _)| p).sum();
            let right = inside.iter().filter(|(_, right)| *right).count() as f64;
            if !inside.is_empty() {
                let n = inside.len() as f64;
                println!("  said {:.3}, right {:.3}, of {n}", said / n, right / n);
            }
            (said - right).abs()
        })
        .sum::<f64>()
        / told.len() as f64
}

/// Chance that an unknown reel is given more "not in this key" than a known one.
fn area_under_curve(unknown: &[f64], known: &[f64]) -> f64 {
    let wins = |u: &f64| {
        known
            .iter()
            .map(|k| {
                if u > k {
                    1.0
                } else if u == k {
                    0.5
                } else {
                    0.0
                }
            })
            .sum::<f64>()
    };
    unknown.iter().map(wins).sum::<f64>() / (unknown.len() * known.len()) as f64
}

#[test]
fn chances_are_honest_and_unknown_reels_are_called_so() {
    let all = packs();
    let mut world = World { all: &all, random: Lcg(2024), slips: true, effort: EffortId::Measure };
    let mut told = Vec::new();
    let (mut unknown, mut known) = (Vec::new(), Vec::new());
    let (mut unknown_read, mut known_read) = (Vec::new(), Vec::new());
    let mut sure_and_wrong = 0;
    let mut by_source = [(0.0, 0); 4];
    for fold in 0..4 {
        let left_out = |m: &Model| family(m).bytes().map(usize::from).sum::<usize>() % 4 == fold;
        let mut reference = all.clone();
        reference.models.retain(|m| !left_out(m));
        let key = Key::build(&reference, &Learned::default());
        let (out, within): (Vec<&Model>, Vec<&Model>) = all.models.iter().partition(|m| left_out(m));
        for _ in 0..600 {
            let source = world.source();
            let reel = world.reel(if source == 1 { &out } else { &within }, source == 2, source == 3);
            let count = 8 + world.random.below(9);
            let seen = world.sheet(&reel, count);
            let posterior = judge(&key, &seen);
            let (best, p) = posterior.top[0];
            told.push((p, source == 0 && reference.models[best as usize].id == reel.model.id));
            // A look-alike or a reel drawn at random is by nobody the packs know.
            let by_known = source < 2;
            let wrong = match identify(&key, &reference, &seen).verdict {
                Verdict::Settled { model } => source != 0 || model != reel.model.id,
                Verdict::Maker { maker } => !by_known || maker != reel.model.maker,
                _ => false,
            };
            sure_and_wrong += usize::from(wrong);
            if seen.iter().any(|seen| matches!(seen.value, Value::Text(_))) {
                if source == 0 { &mut known_read } else { &mut unknown_read }.push(posterior.not_in_key);
            }
            if source == 0 { &mut known } else { &mut unknown }.push(posterior.not_in_key);
            by_source[source].0 += posterior.not_in_key;
            by_source[source].1 += 1;
        }
    }
    described_whole(&all);
    followed_to_the_end(&all, &mut world);
    for (source, (sum, n)) in ["in the key", "family left out", "look-alike", "random"].iter().zip(by_source) {
        println!("not in key, mean: {source} {:.3} of {n}", sum / f64::from(n));
    }
    let error = calibration_error(&told);
    let area = area_under_curve(&unknown, &known);
    let read = area_under_curve(&unknown_read, &known_read);
    println!("calibration error\t{error:.4}");
    println!("unknown reels, area under the curve, all sheets\t{area:.4}");
    println!("unknown reels, area under the curve, sheets with lettering read\t{read:.4}");
    let wrong = sure_and_wrong as f64 / told.len() as f64;
    println!("sure and wrong, of all sheets\t{wrong:.4}");
    assert!(wrong <= 0.01, "sure and wrong {wrong}");
    assert!(error <= 0.03, "calibration error {error}");
    assert!(read >= 0.95, "area under the curve {read}");
    // Without lettering a look-alike cannot be told from the real thing, and the key must not pretend to.
    assert!(area >= 0.8, "area under the curve {area}");
}

/// What unknown reels are given where each model of the key is described whole, as those for practice are: over all sheets,
/// lettering or none, looked at from outside. Real models have few recorded facts, and without lettering nothing tells a
/// reel of another family from them. Tried: with the lettering left out of the sheets the area drops to 0.75.
fn described_whole(all: &Reference) {
    let mut world = World { all, random: Lcg(1), slips: true, effort: EffortId::Measure };
    let (mut unknown, mut known) = (Vec::new(), Vec::new());
    // Every family of these is left out in one of the first three.
    for fold in 0..3 {
        let left_out = |m: &Model| family(m).bytes().map(usize::from).sum::<usize>() % 4 == fold;
        let mut reference = all.clone();
        reference.models.retain(|m| !left_out(m));
        let key = Key::build(&reference, &Learned::default());
        let (out, within): (Vec<&Model>, Vec<&Model>) =
            all.models.iter().filter(|m| is_practice(m)).partition(|m| left_out(m));
        for _ in 0..1_000 {
            let source = world.source();
            let reel = world.reel(if source == 1 { &out } else { &within }, source == 2, source == 3);
            let count = 8 + world.random.below(9);
            let posterior = judge(&key, &world.sheet(&reel, count));
            if source == 0 { &mut known } else { &mut unknown }.push(posterior.not_in_key);
        }
    }
    let area = area_under_curve(&unknown, &known);
    println!("unknown reels, area under the curve, all sheets, practice models\t{area:.4}");
    assert!(area >= 0.95, "area under the curve, practice models {area}");
}

/// A sheet filled in by doing what the key suggests, first of the list first, until it asks nothing more. Every
/// `wrong`-th answer, from a random one on, is wrong (0: none).
fn followed<'a>(
    world: &mut World<'a>,
    key: &Key,
    reference: &Reference,
    reel: &Reel<'a>,
    wrong: usize,
) -> Vec<Observation> {
    const MOST: usize = 60;
    let mut tally = Tally::new(key);
    let mut posterior = Posterior::default();
    let mut seen = Vec::new();
    let kind = world.all.feature("reel_kind").expect("asked of every reel");
    let mut next = world.answer(reel, kind);
    let first_wrong = world.random.below(wrong.max(1));
    while let Some(mut observation) = next {
        if wrong > 0 && seen.len() % wrong == first_wrong && !seen.is_empty() {
            let mut one = [observation];
            world.spoil(&mut one);
            [observation] = one;
        }
        tally.add(key, &observation).expect("asked");
        posterior.fill(key, &tally);
        seen.push(observation);
        let check = next_checks(key, reference, &tally, &posterior).into_iter().next().filter(|_| seen.len() < MOST);
        next = check.map(|check| match &check.about {
            About::Mark(place) => world.read(reel, place),
            About::Feature(id) => {
                let feature = world.all.feature(id).expect("asked");
                let answer = world.answer(reel, feature);
                answer.unwrap_or_else(|| Observation::of(check.about.clone(), Value::Unclear))
            }
        });
    }
    seen
}

/// What unknown reels are given when the suggested checks are answered until none is left, the sides opened if need be.
fn followed_to_the_end<'a>(all: &'a Reference, world: &mut World<'a>) {
    for (what, practice) in [("real models", false), ("practice models", true)] {
        let (mut unknown, mut known) = (Vec::new(), Vec::new());
        for fold in 0..4 {
            let left_out = |m: &Model| family(m).bytes().map(usize::from).sum::<usize>() % 4 == fold;
            let mut reference = all.clone();
            reference.models.retain(|m| !left_out(m));
            let key = Key::build(&reference, &Learned::default());
            let drawn = all.models.iter().filter(|m| is_practice(m) == practice);
            let (out, within): (Vec<&Model>, Vec<&Model>) = drawn.partition(|m| left_out(m));
            for source in (0..4).cycle().take(160) {
                let reel =
                    world.reel(if source == 1 && !out.is_empty() { &out } else { &within }, source == 2, source == 3);
                let posterior = judge(&key, &followed(world, &key, &reference, &reel, 0));
                if source == 0 { &mut known } else { &mut unknown }.push(posterior.not_in_key);
            }
        }
        let area = area_under_curve(&unknown, &known);
        println!("unknown reels, area under the curve, suggestions followed, {what}\t{area:.4}");
    }
}

#[test]
fn one_wrong_answer_in_eight_does_not_lose_the_reel() {
    let all = packs();
    let key = Key::build(&all, &Learned::default());
    let mut world = World { all: &all, random: Lcg(7), slips: false, effort: EffortId::Measure };
    // As many answers as a person gives by doing what is suggested until nothing more is.
    for (what, practice) in [("real models", false), ("practice models", true)] {
        let models: Vec<&Model> = all.models.iter().filter(|m| is_practice(m) == practice).collect();
        let (mut found, mut answers) = (0, 0);
        const REELS: usize = 400;
        for _ in 0..REELS {
            let reel = world.reel(&models, false, false);
            let seen = followed(&mut world, &key, &all, &reel, 8);
            answers += seen.len();
            let posterior = judge(&key, &seen);
            found += usize::from(rank(&all, &posterior, &reel.model.id).is_some_and(|rank| rank < 3));
        }
        let share = found as f64 / REELS as f64;
        let mean = answers as f64 / REELS as f64;
        println!(
            "one wrong answer in eight, right reel in the top three, {what}, suggestions followed ({mean:.1} answers)\t{share:.4}"
        );
    }
    // Looked at from outside with sixteen answers of one's own choice; then a side opened and two dozen given.
    for (what, practice, effort, answers) in [
        ("real models, outside", false, EffortId::Measure, 16),
        ("practice models, outside", true, EffortId::Measure, 16),
        ("practice models, opened", true, EffortId::Open, 24),
    ] {
        world.effort = effort;
        let models: Vec<&Model> = all.models.iter().filter(|m| is_practice(m) == practice).collect();
        let mut found = 0;
        const REELS: usize = 400;
        for _ in 0..REELS {
            let reel = world.reel(&models, false, false);
            let mut seen = world.sheet(&reel, answers);
            world.spoil(&mut seen);
            let posterior = judge(&key, &seen);
            found += usize::from(rank(&all, &posterior, &reel.model.id).is_some_and(|rank| rank < 3));
        }
        let share = found as f64 / REELS as f64;
        println!("one wrong answer in eight, right reel in the top three: {what}\t{share:.4}");
        assert!(effort == EffortId::Measure || share >= 0.95, "{share}");
    }
}

#[test]
fn the_suggested_checks_halve_the_effort() {
    let all = packs();
    let key = Key::build(&all, &Learned::default());
    let mut world = World { all: &all, random: Lcg(99), slips: true, effort: EffortId::Measure };
    let models: Vec<&Model> = all.models.iter().filter(|m| is_practice(m)).collect();
    let (mut suggested, mut fixed, mut settled, mut settled_fixed) = (0.0, 0.0, 0, 0);
    const REELS: usize = 120;
    for _ in 0..REELS {
        let reel = world.reel(&models, false, false);
        let (effort, done) = settle(&mut world, &key, &all, &reel, true);
        suggested += effort;
        settled += usize::from(done);
        let (effort, done) = settle(&mut world, &key, &all, &reel, false);
        fixed += effort;
        settled_fixed += usize::from(done);
    }
    println!(
        "effort to settle: suggested {:.1} ({settled} of {REELS} settled), fixed order {:.1} ({settled_fixed}), share\t{:.3}",
        suggested / REELS as f64,
        fixed / REELS as f64,
        suggested / fixed
    );
    assert!(suggested <= 0.5 * fixed);
    assert!(settled * 10 >= REELS * 6);
    assert!(settled >= settled_fixed * 9 / 10);
}

/// Effort until one model has nine chances in ten, and whether it was the right one; at most what a hundred glances cost.
fn settle<'a>(world: &mut World<'a>, key: &Key, all: &'a Reference, reel: &Reel<'a>, suggested: bool) -> (f64, bool) {
    const MOST: f64 = 100.0;
    let mut tally = Tally::new(key);
    let mut posterior = Posterior::default();
    posterior.fill(key, &tally);
    let mut effort = 0.0;
    // By effort, marks before features of the same effort, else as the packs list them.
    let mut order: Vec<(About, EffortId)> =
        all.questions.mark_places.iter().map(|p| (About::mark(&p.id), p.effort)).collect();
    let asked = all.questions.features.iter().filter(|f| f.applies_to(&reel.model.kind));
    order.extend(asked.map(|f| (About::feature(&f.id), f.effort)));
    order.sort_by_key(|(_, effort)| *effort);
    let mut order = order.into_iter();
    while effort < MOST {
        let next = if suggested {
            next_checks(key, all, &tally, &posterior).into_iter().next().map(|check| (check.about, check.effort))
        } else {
            order.next()
        };
        let Some((about, cost)) = next else {
            return (effort, false);
        };
        effort += all.questions.cost(cost);
        let seen = match &about {
            About::Mark(place) => world.read(reel, place),
            About::Feature(id) => {
                let feature = all.feature(id).expect("asked");
                world.answer(reel, feature).unwrap_or_else(|| Observation::of(about.clone(), Value::Unclear))
            }
        };
        tally.add(key, &seen).expect("asked");
        posterior.fill(key, &tally);
        if posterior.top[0].1 >= 0.9 {
            return (effort, rank(all, &posterior, &reel.model.id) == Some(0));
        }
    }
    (effort, false)
}
