//! Simulated reels: does the key name the right ones, say so when it cannot know, and ask little?
//!
//! Reels are drawn from the shipped packs, and answered as people answer: slips, look-alike states, miscounts, a ruler's
//! error, worn lettering. Unknown reels are models whose whole family was left out of the key, look-alikes of known
//! ones without their lettering, and reels drawn at random for their kind. Chances of slips here are the simulation's
//! own, not the key's. Everything is seeded: the figures repeat.
//!
//! That the bounds can fail was tried: without the slip term of an answer's worth the right reel drops below its bound,
//! and with the sign of lettering turned calibration, unknown reels and top three all fail.

#[path = "../shipped/mod.rs"]
mod shipped;
mod world;

use std::cmp::Ordering;

use tailplate_core::key::{Key, Learned, Posterior, Tally, Verdict, identify, next_checks};
use tailplate_core::observe::{About, Observation, Value};
use tailplate_core::reference::{EffortId, Model, Reference};
use world::{Lcg, Reel, Source, World};

fn family(model: &Model) -> &str {
    model.family.as_deref().unwrap_or(&model.id)
}

fn is_practice(model: &Model) -> bool {
    model.pack.contains("practice")
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

/// The chances of "not in this key" that reels were given: those of the key, and the others.
#[derive(Default)]
struct Chances {
    known: Vec<f64>,
    unknown: Vec<f64>,
}

impl Chances {
    fn add(&mut self, is_known: bool, not_in_key: f64) {
        if is_known { &mut self.known } else { &mut self.unknown }.push(not_in_key);
    }

    /// Area under the curve: the chance that an unknown reel is given more than a known one.
    fn area(&self) -> f64 {
        let wins = |u: &f64| {
            let against = |k: &f64| match u.total_cmp(k) {
                Ordering::Greater => 1.0,
                Ordering::Equal => 0.5,
                Ordering::Less => 0.0,
            };
            self.known.iter().map(against).sum::<f64>()
        };
        self.unknown.iter().map(wins).sum::<f64>() / (self.unknown.len() * self.known.len()) as f64
    }
}

/// A key without one family in four.
struct Fold<'a> {
    reference: Reference,
    key: Key,
    out: Vec<&'a Model>,
    within: Vec<&'a Model>,
}

impl<'a> Fold<'a> {
    const COUNT: usize = 4;

    /// `drawn`: which models reels are drawn from; the key knows the others too.
    fn of(all: &'a Reference, fold: usize, drawn: impl Fn(&Model) -> bool) -> Self {
        let left_out = |m: &Model| family(m).bytes().map(usize::from).sum::<usize>() % Self::COUNT == fold;
        let mut reference = all.clone();
        reference.models.retain(|m| !left_out(m));
        let key = Key::build(&reference, &Learned::default());
        let (out, within) = all.models.iter().filter(|m| drawn(m)).partition(|m| left_out(m));
        Self { reference, key, out, within }
    }

    fn reel(&self, world: &mut World<'a>, source: Source) -> Reel<'a> {
        let from = if source == Source::LeftOut && !self.out.is_empty() { &self.out } else { &self.within };
        world.reel(from, source)
    }
}

#[test]
fn chances_are_honest_and_unknown_reels_are_called_so() {
    let all = shipped::packs(|_| true);
    let mut world = World { all: &all, random: Lcg(2024), slips: true, effort: EffortId::Measure };
    let mut told = Vec::new();
    let (mut chances, mut read_chances) = (Chances::default(), Chances::default());
    let mut sure_and_wrong = 0;
    let mut by_source = [(0.0, 0); Source::ALL.len()];
    for fold in 0..Fold::COUNT {
        let fold = Fold::of(&all, fold, |_| true);
        for _ in 0..600 {
            let source = world.source();
            let reel = fold.reel(&mut world, source);
            let is_known = source == Source::Known;
            let count = 8 + world.random.below(9);
            let seen = world.sheet(&reel, count);
            let posterior = judge(&fold.key, &seen);
            let (best, p) = posterior.top[0];
            told.push((p, is_known && fold.reference.models[best as usize].id == reel.model.id));
            // A look-alike or a reel drawn at random is by nobody the packs know.
            let by_known = matches!(source, Source::Known | Source::LeftOut);
            let wrong = match identify(&fold.key, &fold.reference, &seen).verdict {
                Verdict::Settled { model } => !is_known || model != reel.model.id,
                Verdict::Maker { maker } => !by_known || maker != reel.model.maker,
                _ => false,
            };
            sure_and_wrong += usize::from(wrong);
            if seen.iter().any(|seen| matches!(seen.value, Value::Text(_))) {
                read_chances.add(is_known, posterior.not_in_key);
            }
            chances.add(is_known, posterior.not_in_key);
            by_source[source as usize].0 += posterior.not_in_key;
            by_source[source as usize].1 += 1;
        }
    }
    described_whole(&all);
    followed_to_the_end(&all, &mut world);
    for (source, (sum, n)) in ["in the key", "family left out", "look-alike", "random"].iter().zip(by_source) {
        println!("not in key, mean: {source} {:.3} of {n}", sum / f64::from(n));
    }
    let error = calibration_error(&told);
    let (area, read) = (chances.area(), read_chances.area());
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
    let mut chances = Chances::default();
    // Every family of these is left out in one of the first three.
    for fold in 0..3 {
        let fold = Fold::of(all, fold, is_practice);
        for _ in 0..1_000 {
            let source = world.source();
            let reel = fold.reel(&mut world, source);
            let count = 8 + world.random.below(9);
            let posterior = judge(&fold.key, &world.sheet(&reel, count));
            chances.add(source == Source::Known, posterior.not_in_key);
        }
    }
    let area = chances.area();
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
        let mut chances = Chances::default();
        for fold in 0..Fold::COUNT {
            let fold = Fold::of(all, fold, |m| is_practice(m) == practice);
            for source in Source::ALL.into_iter().cycle().take(160) {
                let reel = fold.reel(world, source);
                let posterior = judge(&fold.key, &followed(world, &fold.key, &fold.reference, &reel, 0));
                chances.add(source == Source::Known, posterior.not_in_key);
            }
        }
        let area = chances.area();
        println!("unknown reels, area under the curve, suggestions followed, {what}\t{area:.4}");
    }
}

#[test]
fn one_wrong_answer_in_eight_does_not_lose_the_reel() {
    let all = shipped::packs(|_| true);
    let key = Key::build(&all, &Learned::default());
    let mut world = World { all: &all, random: Lcg(7), slips: false, effort: EffortId::Measure };
    // As many answers as a person gives by doing what is suggested until nothing more is.
    for (what, practice) in [("real models", false), ("practice models", true)] {
        let models: Vec<&Model> = all.models.iter().filter(|m| is_practice(m) == practice).collect();
        let (mut found, mut answers) = (0, 0);
        const REELS: usize = 400;
        for _ in 0..REELS {
            let reel = world.reel(&models, Source::Known);
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
        let (mut found, mut found_before, mut kept) = (0, 0, 0);
        const REELS: usize = 400;
        for _ in 0..REELS {
            let reel = world.reel(&models, Source::Known);
            let mut seen = world.sheet(&reel, answers);
            let is_found =
                |seen: &[Observation]| rank(&all, &judge(&key, seen), &reel.model.id).is_some_and(|rank| rank < 3);
            let before = is_found(&seen);
            world.spoil(&mut seen);
            let after = is_found(&seen);
            found += usize::from(after);
            found_before += usize::from(before);
            kept += usize::from(before && after);
        }
        let share = found as f64 / REELS as f64;
        println!("one wrong answer in eight, right reel in the top three: {what}\t{share:.4}");
        println!(
            "  without the wrong answers {:.4}; of those found so, still found with them {:.4}",
            found_before as f64 / REELS as f64,
            kept as f64 / found_before as f64
        );
        assert!(effort == EffortId::Measure || share >= 0.95, "{share}");
    }
}

#[test]
fn the_suggested_checks_halve_the_effort() {
    let all = shipped::packs(|_| true);
    let key = Key::build(&all, &Learned::default());
    let mut world = World { all: &all, random: Lcg(99), slips: true, effort: EffortId::Measure };
    let models: Vec<&Model> = all.models.iter().filter(|m| is_practice(m)).collect();
    let (mut suggested, mut fixed, mut settled, mut settled_fixed) = (0.0, 0.0, 0, 0);
    const REELS: usize = 120;
    for _ in 0..REELS {
        let reel = world.reel(&models, Source::Known);
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
