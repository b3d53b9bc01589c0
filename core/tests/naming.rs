//! What may be named from what is read: nobody from words that anyone strikes, the right model from its own marks.

mod shipped;

use tailplate_core::dating::{When, date};
use tailplate_core::key::{Key, Learned, Verdict, identify};
use tailplate_core::observe::{About, How, Observation, Unit, Value};
use tailplate_core::reference::{Feature, FeatureFact, FeatureType, HowOften, Model, Reference, Variant};

/// Readings that point to nobody: legal notices, countries, towns, patents that no model is known by, bare numbers.
const GENERIC: [&str; 45] = [
    "MADE IN ENGLAND",
    "MADE IN ENGL?ND",
    "MADE IN U.S.A.",
    "MADE IN USA",
    "U.S.A.",
    "MADE IN OCCUPIED JAPAN",
    "OCCUPIED JAPAN",
    "JAPAN",
    "MADE IN JAPAN",
    "MADE IN FRANCE",
    "MADE IN GERMANY",
    "MADE IN WEST GERMANY",
    "MADE IN SWEDEN",
    "MADE IN GREAT BRITAIN",
    "BRITISH MADE",
    "FOREIGN",
    "PAT. PENDING",
    "PATENT PENDING",
    "PAT. PEND.",
    "PATENTED",
    "PATENT APPLIED FOR",
    "PAT. APPLIED FOR / MADE IN USA",
    "PAT'D. & PATS. PEND.",
    "REG. U.S. PAT. OFF.",
    "REGD. TRADE MARK",
    "TRADE MARK",
    "REGISTERED DESIGN",
    "BREVETE S.G.D.G.",
    "D.R.P.",
    "D.R.G.M.",
    "PAT. OCT ?8 19?6",
    "PAT. OCT. 9, 1906",
    "PAT. JUNE 3 1902",
    "PAT. NO. 2,834,561",
    "PAT. 1,9?4,?12",
    "PATENT NO. 412345",
    "1494",
    "1960",
    "25",
    "NO. 2",
    "100 YDS",
    "LONDON",
    "AKRON, OHIO",
    "REDDITCH",
    "NEW YORK",
];

#[test]
fn words_that_anyone_strikes_name_nobody() {
    let all = shipped::packs(|_| true);
    let key = Key::build(&all, &Learned::default());
    let mut named = Vec::new();
    for reading in GENERIC {
        for place in ["other", "foot-under", "head-plate"] {
            for kind in
                [None, Some("fly"), Some("baitcasting"), Some("conventional"), Some("spinning"), Some("closed-face")]
            {
                let mut seen: Vec<Observation> =
                    kind.map(|kind| Observation::state("reel_kind", kind)).into_iter().collect();
                seen.push(Observation::mark(place, reading));
                let told = identify(&key, &all, &seen);
                if matches!(told.verdict, Verdict::Settled { .. } | Verdict::Maker { .. }) {
                    named.push(format!("{reading} at {place}, {}: {:?}", kind.unwrap_or("any"), told.verdict));
                }
            }
        }
    }
    assert!(named.is_empty(), "{} named:\n{}", named.len(), named.join("\n"));
}

/// How a variant's marks are typed: `#` and `&` as some figure and letter, each `every`-th letter illegible.
fn typed(struck: &str, every: usize) -> String {
    let plain = |(at, c): (usize, char)| match c {
        '#' => '7',
        // Between spaces it is the word “and”.
        '&' if !struck[..at].ends_with(' ') => 'K',
        c if every > 0 && c.is_alphanumeric() && at % every == every - 1 => '?',
        c => c,
    };
    struck.char_indices().map(plain).collect()
}

/// What a person enters of a variant: its kind, marks that it always or usually bears, and its four plainest features.
fn sheet(all: &Reference, model: &Model, variant: &Variant, every: usize) -> Vec<Observation> {
    let mut seen = vec![Observation::state("reel_kind", &model.kind)];
    for mark in variant.marks.iter().filter(|mark| mark.how_often != HowOften::Sometimes && !mark.struck.is_empty()) {
        seen.push(Observation::mark(&mark.place, &typed(&mark.struck, every)));
    }
    let mut features: Vec<(&Feature, &FeatureFact)> = variant
        .features
        .iter()
        .filter(|(id, _)| *id != "reel_kind")
        .filter_map(|(id, fact)| Some((all.feature(id)?, fact)))
        .collect();
    features.sort_by_key(|(feature, _)| feature.effort);
    let answer = |(feature, fact): &(&Feature, &FeatureFact)| {
        let value = match (fact.value, feature.kind) {
            (Some(value), FeatureType::Count) => Value::Count(value as u32),
            (Some(amount), _) => {
                let unit = match feature.unit.as_deref() {
                    Some("mm") => Unit::Mm,
                    Some("g") => Unit::G,
                    _ => Unit::Ratio,
                };
                Value::Measure { amount, unit }
            }
            (None, kind) => {
                let (state, _) = fact.states.iter().max_by(|a, b| a.1.total_cmp(b.1))?;
                match (kind, state.as_str()) {
                    (FeatureType::Count, count) => Value::Count(count.parse().ok()?),
                    (_, "absent") => Value::Absent,
                    (_, state) => Value::State(state.into()),
                }
            }
        };
        let how = if matches!(value, Value::Measure { .. }) { How::Ruler } else { How::Eye };
        Some(Observation { how, ..Observation::of(About::feature(&feature.id), value) })
    };
    seen.extend(features.iter().filter_map(answer).take(4));
    seen
}

#[test]
fn every_model_is_known_by_its_own_marks_and_looks() {
    let all = shipped::packs(|_| true);
    let key = Key::build(&all, &Learned::default());
    for (what, every, least) in [("as struck", 0, 0.9), ("every fifth letter illegible", 5, 0.85)] {
        let (mut sheets, mut in_top, mut settled, mut wrong, mut wrong_maker) = (0, 0, 0, 0, 0);
        for model in &all.models {
            for variant in &model.variants {
                let told = identify(&key, &all, &sheet(&all, model, variant, every));
                assert!(told.problems.is_empty(), "{}: {:?}", model.id, told.problems);
                sheets += 1;
                let is_in = told.candidates.iter().take(3).any(|candidate| candidate.model == model.id);
                in_top += usize::from(is_in);
                match &told.verdict {
                    Verdict::Settled { model: said } => {
                        settled += 1;
                        wrong += usize::from(*said != model.id);
                        if *said != model.id {
                            println!("  {} {} settled as {said}", model.id, variant.id);
                        }
                    }
                    Verdict::Maker { maker } if *maker != model.maker => {
                        wrong_maker += 1;
                        println!("  {} {} named {maker}, not {}", model.id, variant.id, model.maker);
                    }
                    _ => {}
                }
                if !is_in {
                    let first: Vec<&str> = told.candidates.iter().take(3).map(|c| c.model.as_str()).collect();
                    println!("  {} {} not in {first:?}", model.id, variant.id);
                }
            }
        }
        let share = |n: usize| n as f64 / sheets as f64;
        println!(
            "{what}: {sheets} variants, top three\t{:.4}\tsettled\t{:.4}\tsettled wrong\t{:.4}\tmaker wrong\t{:.4}",
            share(in_top),
            share(settled),
            share(wrong),
            share(wrong_maker)
        );
        assert!(share(in_top) >= least, "{what}: {}", share(in_top));
        assert!(share(wrong) <= 0.01 && share(wrong_maker) <= 0.01, "{what}: {wrong} {wrong_maker}");
    }
}

/// Verdict, and what dating says with this in view.
fn told(all: &Reference, key: &Key, kind: &str, place: &str, text: &str) -> (Verdict, When) {
    let seen = [Observation::state("reel_kind", kind), Observation::mark(place, text)];
    let named = identify(key, all, &seen);
    (named.verdict, date(all, &seen, &named.variants, 2026))
}

#[test]
fn known_traps_are_not_walked_into() {
    let all = shipped::packs(|_| true);
    let key = Key::build(&all, &Learned::default());
    let notes = |when: &When| when.notes.join("\n");

    // A catalogue number is no year, and a letter code dates the design alone.
    let (_, when) = told(&all, &key, "baitcasting", "head-plate", "SHAKESPEARE 1960 GE");
    assert!(notes(&when).contains("1960 is a catalogue number, not a year"), "{:?}", when.notes);
    assert!(notes(&when).contains("The code names the design of 1946"), "{:?}", when.notes);
    assert!(when.likely.is_none_or(|(_, to)| to > 1960), "{:?}", when.likely);

    // Sources that disagree are both told.
    let (_, when) = told(&all, &key, "fly", "foot-under", "1495 / PATENTED");
    assert!(notes(&when).contains("1926") && notes(&when).contains("1925 by another"), "{:?}", when.notes);

    // A seller's name leads to the true maker, or to none.
    let (verdict, _) = told(&all, &key, "baitcasting", "head-plate", "SOUTH BEND NO. 1000");
    assert_eq!(verdict, Verdict::Settled { model: "south-bend-1000".into() });
    assert_eq!(all.model("south-bend-1000").map(|model| model.maker.as_str()), Some("shakespeare"));
    let (verdict, when) = told(&all, &key, "baitcasting", "head-plate", "ABERCROMBIE & FITCH CO.");
    assert_eq!(verdict, Verdict::Undecided);
    assert!(notes(&when).contains("a seller"), "{:?}", when.notes);

    // A later firm used an older one's name.
    let (verdict, _) = told(&all, &key, "fly", "other", "MEISSELBACH");
    assert_eq!(verdict, Verdict::Undecided);

    // Of names inside one another the longest counts.
    let (verdict, when) = told(&all, &key, "baitcasting", "head-plate", "B.F. MEEK & SONS");
    assert_eq!(verdict, Verdict::Maker { maker: "meek-sons".into() });
    let others = |what: &str| what.contains("J. F. & B. F. Meek") || what == "B. F. Meek";
    assert!(!when.reasons.iter().any(|reason| others(&reason.what)), "{:?}", when.reasons);

    // A word that stood on the reels before it was the firm's name dates none.
    let (_, when) = told(&all, &key, "closed-face", "body", "ZEBCO");
    assert!(when.likely.is_some_and(|(from, _)| from < 1954), "{:?}", when.likely);

    // Another number beside a model's name leaves the model open.
    let (verdict, _) = told(&all, &key, "baitcasting", "head-plate", "WONDEREEL / NO. 1920");
    assert_eq!(verdict, Verdict::Maker { maker: "shakespeare".into() });
}

/// The number of one model beside the words of its series never settles on another: `1495` is not `1495 1/2`.
#[test]
fn a_number_beside_a_series_name_settles_on_no_other_model() {
    let all = shipped::packs(|_| true);
    let key = Key::build(&all, &Learned::default());
    let (mut asked, mut wrong) = (0, Vec::new());
    for model in &all.models {
        let name = model.name.trim_end_matches(|c: char| !c.is_alphabetic()).to_uppercase();
        let maker = all.maker(&model.maker).map(|maker| maker.name.to_uppercase()).unwrap_or_default();
        let maker = maker.split([' ', ',']).next().unwrap_or_default();
        let struck = model.variants.iter().flat_map(|variant| &variant.marks);
        let Some(mark) = struck.into_iter().find(|mark| model.numbers.contains(&mark.struck)) else { continue };
        for text in [format!("{maker} {}", mark.struck), format!("{maker} {name} {}", mark.struck)] {
            asked += 1;
            let (verdict, _) = told(&all, &key, &model.kind, &mark.place, &text);
            let Verdict::Settled { model: settled } = verdict else { continue };
            let same = all.models.iter().any(|other| other.id == settled && other.numbers.contains(&mark.struck));
            if !same {
                wrong.push(format!("{text}: {settled}, not {}", model.id));
            }
        }
    }
    assert!(asked >= 40, "{asked} readings");
    assert_eq!(wrong, Vec::<String>::new());
}

fn letters(text: &str) -> String {
    text.to_uppercase().chars().filter(|c| c.is_alphanumeric()).collect()
}

/// Lettering without places for any figure or letter.
fn plain(struck: &&String) -> bool {
    !struck.contains(['#', '&', '*', '?']) && letters(struck).len() >= 3
}

/// A wording that is read right is never taken for another that only looks like it.
#[test]
fn a_wording_read_right_is_no_other() {
    let all = shipped::packs(|_| true);
    let mut wrong = Vec::new();
    for clue in &all.dating.wordings {
        for struck in clue.struck.iter().filter(plain) {
            for told in tailplate_core::dating::read_mark(&all, struck, 2026).clues {
                let stands = |other: &&tailplate_core::reference::Clue| {
                    other.label == told.what
                        && !other.struck.iter().any(|one| !plain(&one) || letters(struck).contains(&letters(one)))
                };
                if all.dating.wordings.iter().any(|other| stands(&other)) {
                    wrong.push(format!("“{struck}” taken for {}", told.what));
                }
            }
        }
    }
    assert!(wrong.is_empty(), "{wrong:#?}");
    // Where the letter that tells is illegible, no more is said than both allow.
    let either = tailplate_core::dating::date(&all, &[Observation::mark("foot-under", "D.?.G.M.")], &[], 2026);
    assert_eq!((either.not_before, either.not_after), (Some(1891), None), "{:?}", either.reasons);
}

/// The same for makers' own marks.
#[test]
fn a_makers_mark_read_right_is_no_other() {
    let all = shipped::packs(|_| true);
    let mut wrong = Vec::new();
    for maker in &all.makers {
        for struck in maker.marks.iter().flat_map(|mark| &mark.struck).filter(plain) {
            let told = date(&all, &[Observation::mark("", struck)], &[], 2026);
            for reason in &told.reasons {
                for other in &all.makers {
                    let theirs =
                        other.marks.iter().find(|mark| reason.what == format!("{}: {}", other.name, mark.text));
                    let stands = |mark: &&tailplate_core::reference::MakerMark| {
                        mark.struck.iter().any(|one| !plain(&one) || letters(struck).contains(&letters(one)))
                    };
                    if theirs.is_some_and(|mark| !mark.struck.is_empty() && !stands(&mark)) {
                        wrong.push(format!("“{struck}” ({}) taken for {}", maker.name, reason.what));
                    }
                }
            }
        }
    }
    assert!(wrong.is_empty(), "{wrong:#?}");
}
