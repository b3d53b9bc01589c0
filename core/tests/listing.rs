//! Claims read from made-up listings whose truth is known, with the shipped packs; and from any text at all.

mod shipped;

use std::collections::BTreeMap;

use proptest::prelude::*;
use tailplate_core::key::{Key, Learned};
use tailplate_core::listing::{Claim, ClaimKind, Finding, Meaning, judge, read};
use tailplate_core::observe::Sheet;
use tailplate_core::reference::Reference;

/// A reproducible stream of choices.
struct Stream(u64);

impl Stream {
    fn below(&mut self, n: usize) -> usize {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        ((self.0 >> 33) as usize) % n
    }
    fn one<'a, T: ?Sized>(&mut self, of: &[&'a T]) -> &'a T {
        of[self.below(of.len())]
    }
    fn often(&mut self, in_ten: usize) -> bool {
        self.below(10) < in_ten
    }
}

/// What the made-up seller means.
#[derive(Debug, Clone, PartialEq)]
enum Truth {
    Maker(&'static str),
    Model(&'static str),
    Years(i32, i32),
    Age(i32),
    Feature(&'static str, &'static str, bool),
    Size(f64),
    Saying(ClaimKind, bool),
    Mark(&'static str),
}

impl Truth {
    fn is(&self, claim: &Claim) -> bool {
        match (self, &claim.meaning) {
            (Truth::Maker(id), Meaning::Makers(ids)) => ids.iter().any(|other| other == id),
            (Truth::Model(id), Meaning::Models { ids, .. }) => ids.iter().any(|other| other == id),
            (Truth::Years(from, to), Meaning::Years { from: a, to: b }) => {
                a.unwrap_or(0) <= *from
                    && *to <= b.unwrap_or(9999)
                    && b.unwrap_or(to + 5) - a.unwrap_or(from - 5) <= to - from + 20
            }
            (Truth::Age(years), Meaning::Age { at_least: Some(least), .. }) => least <= years && years - least <= 15,
            (Truth::Feature(feature, state, denied), Meaning::Feature { feature: said, states }) => {
                feature == said && states.iter().any(|other| other == state) && *denied == claim.denied
            }
            (Truth::Size(base), Meaning::Measure { amount, .. }) => (base - amount).abs() < 0.1,
            (Truth::Saying(kind, denied), Meaning::Said(_)) => *kind == claim.kind && *denied == claim.denied,
            (Truth::Mark(text), Meaning::Mark(said)) => said.to_uppercase().contains(&text.to_uppercase()),
            _ => false,
        }
    }
}

#[allow(clippy::type_complexity, reason = "a table is read as one")]
const MAKERS: [(&str, &[&str], &[(&str, &str)]); 10] = [
    (
        "pflueger",
        &["Pflueger", "PFLUEGER"],
        &[
            ("pflueger-medalist-1494", "Medalist 1494"),
            ("pflueger-summit-1993", "Summit 1993"),
            ("pflueger-skilkast", "Skilkast"),
        ],
    ),
    ("heddon", &["Heddon", "James Heddon's Sons"], &[("heddon-4-15", "4-18"), ("heddon-lone-eagle", "Lone Eagle")]),
    (
        "hardy",
        &["Hardy", "Hardy Bros", "House of Hardy"],
        &[
            ("hardy-silex-major", "Silex Major"),
            ("hardy-st-george", "St. George"),
            ("hardy-featherweight", "Featherweight"),
        ],
    ),
    ("mitchell", &["Mitchell", "MITCHELL"], &[("mitchell-308", "308"), ("mitchell-302", "No. 302")]),
    (
        "shakespeare",
        &["Shakespeare"],
        &[("shakespeare-criterion-1960", "Criterion 1960"), ("shakespeare-russell-1895", "Russell 1895")],
    ),
    (
        "meisselbach",
        &["Meisselbach", "A.F. Meisselbach"],
        &[("meisselbach-tripart-580", "Tripart 580"), ("meisselbach-okeh-620", "Okeh 620")],
    ),
    ("bronson", &["Bronson"], &[("bronson-lion-1900", "Lion"), ("bronson-royalist-370", "Royalist 370")]),
    ("zebco", &["Zebco"], &[("zebco-33", "33"), ("zebco-202", "202")]),
    ("langley", &["Langley"], &[("langley-330", "Lurecast 330"), ("langley-whitecap", "Whitecap")]),
    ("allcock", &["Allcock", "S. Allcock & Co."], &[("allcock-aerial-c815", "Aerial C815")]),
];

const TALK: [&str; 16] = [
    "Please look at all the pictures, they are part of the description",
    "I ship on Tuesdays and Fridays, postage 9.50",
    "Came out of my uncle's tackle box along with a stack of maps",
    "Happy to answer questions",
    "Located near zip 49047",
    "Winner pays within 4 days",
    "I have sold on here since 2009",
    "No returns, thanks for looking",
    "Buy it now for $85 or make an offer",
    "Filled with about 150 yds of line",
    "I do not know a great deal about tackle",
    "See my other auctions",
    "Combined shipping gladly given, 2 or more items",
    "Smoke free home",
    "Bought in 1998 at a farm auction",
    "UK bidders welcome, 30 GBP reserve",
];

fn era(stream: &mut Stream) -> (String, Truth) {
    let decade = 1890 + 10 * stream.below(9) as i32;
    let year = decade + stream.below(10) as i32;
    match stream.below(9) {
        0 => (format!("should date to the {decade}s"), Truth::Years(decade, decade + 9)),
        1 => (format!("late {decade}'s by the look of the catalogs"), Truth::Years(decade + 6, decade + 9)),
        2 => (format!("circa {year}"), Truth::Years(year, year)),
        3 => (format!("they were turned out between {decade} and {}", decade + 8), Truth::Years(decade, decade + 8)),
        4 => (format!("my grandfather had it from about {year}"), Truth::Years(year, year)),
        5 => ("from before the war".into(), Truth::Years(1900, 1941)),
        6 => (format!("easily {} years old", 70 + decade - 1890), Truth::Age(70 + decade - 1890)),
        7 => (format!("{decade}-{} production", (decade + 6) % 100), Truth::Years(decade, decade + 6)),
        _ => ("somewhere around the turn of the century".into(), Truth::Years(1895, 1905)),
    }
}

fn stuff(stream: &mut Stream) -> (String, Truth) {
    let (words, feature, state, denied) = [
        ("hard rubber end plates", "plate_material", "hard-rubber", false),
        ("the spool is made of brass", "spool_material", "brass", false),
        ("German silver rims and frame", "plate_material", "nickel-silver", false),
        ("ebonite side plates", "plate_material", "hard-rubber", false),
        ("a dark wooden handle knob", "knob_material", "wood", false),
        ("aluminum drum", "spool_material", "aluminium", false),
        ("with star drag", "drag_control", "star", false),
        ("it has the full bail", "bail", "full-bail", false),
        ("it never had a level wind", "level_wind", "worm", true),
        ("without level wind", "level_wind", "worm", true),
        ("set up for left hand wind", "crank_side", "left", false),
        ("jeweled end caps", "bearing_caps", "jewelled", false),
        ("bakelite plates", "plate_material", "phenolic", false),
        ("counterbalanced handle", "handle_form", "counterweight", false),
    ][stream.below(14)];
    (words.into(), Truth::Feature(feature, state, denied))
}

fn size(stream: &mut Stream) -> (String, Truth) {
    let eighths = 1 + stream.below(7) as u32;
    let whole = 2 + stream.below(3) as u32;
    let inches = f64::from(whole) + f64::from(eighths) / 8.0;
    let fraction = ["1/8", "1/4", "3/8", "1/2", "5/8", "3/4", "7/8"][eighths as usize - 1];
    match stream.below(5) {
        0 => (format!("plates measure {whole} {fraction} inches across"), Truth::Size(inches * 25.4)),
        1 => (format!("{whole}-{fraction}\" diameter"), Truth::Size(inches * 25.4)),
        2 => (format!("tips the scale at {}.5 oz", whole + 4), Truth::Size((f64::from(whole) + 4.5) * 28.349_523)),
        3 => (format!("the drum is {} mm wide", 20 + whole), Truth::Size(20.0 + f64::from(whole))),
        _ => (format!("approx {}cm tall face, diameter that is", whole + 4), Truth::Size(f64::from(whole + 4) * 10.0)),
    }
}

fn saying(stream: &mut Stream) -> (String, Truth) {
    use ClaimKind::*;
    let (words, kind, denied) = [
        ("runs as smooth as the day it was sold", Working, false),
        ("everything works as intended", Working, false),
        ("the click works and the drag works", Working, false),
        ("gears are frozen solid", Working, false),
        ("I have not tested it", Working, false),
        ("looks complete to me", Completeness, false),
        ("it is missing a screw", Completeness, false),
        ("all the parts are there", Completeness, false),
        ("all original down to the screws", Originality, false),
        ("the knob has been replaced at some point", Originality, false),
        ("never fished", Originality, false),
        ("new old stock", Originality, false),
        ("these are hard to find now", Rarity, false),
        ("a rare bird", Rarity, false),
        ("one of the scarcer ones", Rarity, false),
        ("in very good condition", Condition, false),
        ("collector grade, near mint", Condition, false),
        ("in lovely shape for its age", Condition, false),
        ("a few scratches on the rim", Damage, false),
        ("there are no cracks", Damage, true),
        ("a chip on the edge", Damage, false),
        ("some corrosion under the foot", Damage, false),
        ("free of rust", Damage, true),
    ][stream.below(23)];
    (words.into(), Truth::Saying(kind, denied))
}

fn mark(stream: &mut Stream) -> (String, Truth) {
    match stream.below(3) {
        0 => ("the foot is stamped \"PAT. APR 14 1908\"".into(), Truth::Mark("PAT. APR 14 1908")),
        1 => ("underneath it says MADE IN U.S.A.".into(), Truth::Mark("MADE IN U.S.A")),
        _ => ("carries patent no. 2,190,398".into(), Truth::Mark("patent no. 2,190,398")),
    }
}

/// A listing and what it truly claims.
fn listing(stream: &mut Stream) -> (String, Vec<Truth>) {
    let (maker, names, models) = MAKERS[stream.below(MAKERS.len())];
    let mut truths = Vec::new();
    let mut title = String::new();
    if stream.often(2) {
        title.push_str("Offered here is a ");
    }
    title.push_str(stream.one(names));
    truths.push(Truth::Maker(maker));
    if stream.often(7) {
        let (model, written) = models[stream.below(models.len())];
        title.push_str(&format!(" {written}"));
        truths.push(Truth::Model(model));
    }
    title.push_str(stream.one(&[" reel", " fishing reel", " from an old collection", ""]));
    let mut parts = Vec::new();
    #[allow(clippy::type_complexity, reason = "a list of makers of claims")]
    let makers: [fn(&mut Stream) -> (String, Truth); 5] = [era, stuff, size, saying, mark];
    for (at, make) in makers.iter().enumerate() {
        let times = [1, 2, 1, 2, 1][at];
        for _ in 0..times {
            if stream.often([7, 6, 5, 8, 3][at]) {
                let (words, truth) = make(stream);
                if !truths.contains(&truth) {
                    parts.push(words);
                    truths.push(truth);
                }
            }
        }
    }
    for _ in 0..stream.below(4) {
        parts.push((*stream.one(&TALK.map(|talk| talk))).to_owned());
    }
    for at in (1..parts.len()).rev() {
        parts.swap(at, stream.below(at + 1));
    }
    let mut text = title;
    for part in parts {
        if stream.often(4) {
            text.push_str(", ");
            text.push_str(&part);
        } else {
            text.push_str(stream.one(&[". ", ".\n", "! "]));
            let mut chars = part.chars();
            text.extend(chars.next().into_iter().flat_map(char::to_uppercase));
            text.push_str(chars.as_str());
        }
    }
    text.push('.');
    (text, truths)
}

/// Right claims read, claims read, claims made.
fn measure(reference: &Reference, seed: u64, listings: usize) -> (usize, usize, usize, BTreeMap<String, usize>) {
    let mut stream = Stream(seed);
    let (mut right, mut read_all, mut made) = (0, 0, 0);
    let mut slips: BTreeMap<String, usize> = BTreeMap::new();
    for _ in 0..listings {
        let (text, truths) = listing(&mut stream);
        let claims = read(&text, reference);
        made += truths.len();
        read_all += claims.len();
        for truth in &truths {
            match claims.iter().any(|claim| truth.is(claim)) {
                true => right += 1,
                false => *slips.entry(format!("missed {truth:?}")).or_default() += 1,
            }
        }
        for claim in claims.iter().filter(|claim| !truths.iter().any(|truth| truth.is(claim))) {
            *slips.entry(format!("wrong {:?} “{}” {:?}", claim.kind, claim.quote, claim.denied)).or_default() += 1;
        }
    }
    let wrong: usize = slips.iter().filter(|(slip, _)| slip.starts_with("wrong")).map(|(_, count)| count).sum();
    (right, read_all - wrong, made, slips)
}

/// The words were tuned on seed 1; this seed was kept for the test.
const FRESH_SEED: u64 = 90_210;

#[test]
fn claims_of_made_up_listings_are_read_right() {
    let reference = shipped::packs(|pack| !pack.invented);
    let seed = std::env::var("LISTING_SEED").ok().and_then(|seed| seed.parse().ok()).unwrap_or(FRESH_SEED);
    let (right, sound, made, slips) = measure(&reference, seed, 300);
    let wrong: usize = slips.iter().filter(|(slip, _)| slip.starts_with("wrong")).map(|(_, count)| count).sum();
    let precision = sound as f64 / (sound + wrong) as f64;
    let recall = right as f64 / made as f64;
    println!("precision {precision:.3}, recall {recall:.3}, {made} claims");
    for (slip, count) in &slips {
        println!("{count:4} {slip}");
    }
    assert!(precision >= 0.95, "precision {precision:.3}: {slips:#?}");
    assert!(recall >= 0.85, "recall {recall:.3}: {slips:#?}");
}

/// Pieces that meet the reader's corners when thrown together.
fn piece() -> impl Strategy<Value = String> {
    prop_oneof![
        any::<String>(),
        "[0-9./,'\" -]{0,12}",
        prop::sample::select(vec![
            "1920s",
            "c.",
            "½",
            "<b>",
            "</",
            "&amp;",
            "no ",
            "marked \"",
            "PAT. ",
            "lot of ",
            "Mitchell 300",
            "🎣",
            "שלום",
            "\u{202e}",
            "made in ",
            "100 years old",
            "between 1930 and ",
            "x 1 1/2 in",
            "' ",
            "…",
            "German silver",
            "?",
            "\n\n",
            "hard rubber knob",
        ])
        .prop_map(str::to_owned),
    ]
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 64, ..ProptestConfig::default() })]
    #[test]
    fn any_text_gives_claims_in_order_with_sound_places(pieces in prop::collection::vec(piece(), 0..24)) {
        thread_local!(static PACKS: (Reference, Key) = {
            let reference = shipped::packs(|pack| !pack.invented);
            let key = Key::build(&reference, &Learned::default());
            (reference, key)
        });
        let text = pieces.concat();
        PACKS.with(|(reference, key)| {
            let claims = read(&text, reference);
            for claim in &claims {
                prop_assert!(claim.start < claim.end && text.is_char_boundary(claim.start) && text.is_char_boundary(claim.end));
                prop_assert_eq!(&text[claim.start..claim.end], &claim.quote);
            }
            prop_assert!(claims.windows(2).all(|pair| pair[0].start <= pair[1].start));
            let judged = judge(&claims, &Sheet::default(), reference, key, 2026);
            prop_assert_eq!(judged.verdicts.len(), claims.len());
            prop_assert!(judged.verdicts.iter().all(|verdict| !verdict.reasons.is_empty()));
            // Nothing was seen, so nothing is borne out, unless the text denies what the text or a model rules out.
            prop_assert!(judged.verdicts.iter().all(|verdict| verdict.finding != Finding::BorneOut || claims[verdict.claim].denied));
            Ok(())
        })?;
    }
}

#[test]
fn a_very_long_text_is_read_to_the_end_or_to_the_limit() {
    let reference = shipped::packs(|pack| !pack.invented);
    let mut text = "nothing of note here 🎣 <i>و</i> ".repeat(7_000);
    text.push_str("Mitchell 300 from the 1950s");
    let claims = read(&text, &reference);
    assert!(text.len() > 200_000 && claims.iter().any(|claim| claim.kind == ClaimKind::Era));
}
