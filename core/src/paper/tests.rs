use super::*;
use crate::shop::{Condition, Done, Finding, Line, LineSort, MissingPart, OldPart, Paid, PhotoRef};
use crate::strip::{Fastener, Happened, Strip, StripEvent, Took, guide};

const WORK: &str = r#"{"format": "tailplate-work/1", "id": "w", "title": "W",
 "sources": {"book": {"title": "The Little Book"}},
 "cautions": [{"id": "c-spring", "when": "Springs", "text": "They fly: cover it."}],
 "hazards": [{"id": "spring", "text": "Flies off", "caution": "c-spring"}],
 "strip_orders": [{"id": "fly-one", "kinds": ["fly"], "label": "Fly reel", "about": "One.",
  "steps": [{"id": "a", "do": "Plate off"}, {"id": "b", "do": "Spring out", "roles": ["dog-spring"], "hazards": ["spring"], "put_back": "Tang in its hole"}],
  "before_you_close": ["the pawl clicks both ways"]}],
 "consumables": [{"id": "grease", "label": "Gear grease", "use": "Gears"}],
 "quantities": [{"id": "film", "words": "a thin film", "mm3": [10, 20]}],
 "services": [{"id": "sv-fly", "kinds": ["fly"], "label": "Fly reel", "interval": "A year", "items": [
  {"n": 1, "phase": "lubricate", "place": "Check", "do": "Thin film <worked> in", "product": "grease", "quantity": "film"},
  {"n": 2, "phase": "replace", "roles": ["dog-spring"], "do": "Renew it"},
  {"n": 3, "phase": "finish", "place": "Whole reel", "do": "Wipe it"}]}],
 "function_tests": [
  {"id": "t-play", "kinds": ["fly"], "label": "Handle play", "unit": "mm", "aim": "less", "change": {"by": "amount", "at_least": 0.5},
   "counts_as_a_change": "More than half", "limits": [{"value": "under 1", "applies": "fly reels", "src": ["book"]}]},
  {"id": "t-hang", "kinds": ["fly"], "label": "Hanging", "unit": "text", "change": {"by": "words"}, "counts_as_a_change": "A pause"}]}"#;

fn price(amount: &str) -> Price {
    Price::parse(amount, "EUR").unwrap()
}

fn house() -> House {
    House {
        name: "Reels of Wend & Son".into(),
        address: "3 Mill Lane\nWend".into(),
        receipt_words: "Not collected in a year: we write to you first.".into(),
        quote_words: "This offer stands for 30 days.".into(),
        bill_words: "Thank you.".into(),
        tax: Some(money::Tax { label: "VAT".into(), percent_hundredths: 1_900, included: true }),
        ..House::new(1)
    }
}

fn visit() -> (Job, Customer, Vec<Reel>) {
    let mut job = Job::new("00ab02030405060708090a0b0c0d0e0f", 1);
    job.words = "Grandfather’s. <Please> keep the patina.".into();
    job.promised = "2026-05-01".into();
    job.opening_fee = Some(price("15"));
    job.ceiling = Some(price("60"));
    let mut reel = Reel::new("01ab02030405060708090a0b0c0d0e0f", 1);
    reel.tag = crate::tag::code(7, 1).unwrap();
    reel.name = "Dunling 3 inch".into();
    reel.complaint = "Grinds under load".into();
    reel.condition = vec![Condition { what: "seized".into(), words: "handle".into() }];
    reel.missing = vec![MissingPart { part: "click button".into(), acknowledged_ms: Some(2) }];
    reel.finding = Some(Finding::FaultFound);
    reel.found = "Dog spring broken.".into();
    reel.work = vec![Done { at_ms: 3, what: "Cleaned and greased".into(), minutes: Some(40) }];
    reel.not_original = vec![Done { at_ms: 3, what: "Dog spring made of music wire".into(), minutes: None }];
    reel.old_parts = vec![OldPart { part: "dog spring".into(), goes_back: true }];
    reel.kind = "fly".into();
    let mark = |item: &str, done: bool, reason: &str| service::Marked {
        item: item.into(),
        done,
        reason: reason.into(),
        at_ms: 3,
        taken_back: false,
    };
    reel.service = vec![mark("sv-fly/1", true, ""), mark("sv-fly/2", false, "the owner wants the old one")];
    let read = |test: &str, when, figures: &[f64], words: &str| service::Reading {
        test: test.into(),
        when,
        figures: figures.to_vec(),
        words: words.into(),
        with: String::new(),
        at_ms: 3,
    };
    reel.tests = vec![
        read("t-play", service::ReadWhen::Before, &[2.0, 2.5], ""),
        read("t-play", service::ReadWhen::After, &[0.4], ""),
        read("t-hang", service::ReadWhen::Before, &[], "stops and starts"),
    ];
    reel.sums = vec![crate::bench::Kept {
        at_ms: 5,
        calculator: "gear-ratio".into(),
        title: "Gear ratio from teeth".into(),
        lines: vec!["Ratio: 4".into()],
        ..Default::default()
    }];
    let took = |id: &str, took: Took| StripEvent { id: id.into(), at_ms: 3, what: Happened::Took(took) };
    let screw = Fastener { kind: "screw".into(), length_mm: Some(6.5), hole: "3".into(), ..Fastener::default() };
    reel.strip = vec![
        took("1", Took { words: "tail <plate>".into(), count: 1, fastener: Some(screw), ..Took::default() }),
        took(
            "2",
            Took {
                role: "dog-spring".into(),
                guide_step: "b".into(),
                tray: "A2".into(),
                way_round: "tang up".into(),
                under_tension: true,
                photos: vec!["a".repeat(64)],
                ..Took::default()
            },
        ),
        StripEvent { id: "3".into(), at_ms: 4, what: Happened::Ticked { step: "2".into(), count: 1 } },
    ];
    reel.private_note = "SECRET".into();
    reel.photos = vec![
        PhotoRef { sha256: "a".repeat(64), ..PhotoRef::default() },
        PhotoRef { sha256: "b".repeat(64), stage: Stage::After, words: "clean".into(), ..PhotoRef::default() },
    ];
    let line = |id: &str, what: &str, sort, amount, answer| Line {
        id: id.into(),
        reel: Some(reel.id.clone()),
        what: what.into(),
        sort,
        price: price(amount),
        answer,
    };
    job.lines = vec![
        line("1", "Clean and service", LineSort::Labour, "38", Answer::Accepted),
        line("2", "Spring, made", LineSort::Part, "9.50", Answer::Open),
        line("3", "New plating", LineSort::Other, "120", Answer::Declined),
    ];
    job.paid = vec![Paid { at_ms: 4, price: price("20"), what: PaidFor::Deposit, how: "cash".into() }];
    job.private_note = "SECRET".into();
    let customer = Customer {
        name: "Mara Quill".into(),
        private_note: "SECRET".into(),
        ..Customer::new("02ab02030405060708090a0b0c0d0e0f", 1)
    };
    (job, customer, vec![reel])
}

fn printed(which: Sheet) -> String {
    let (job, customer, reels) = visit();
    let house = house();
    let bench = Reference::load([("w.json", WORK)]).unwrap();
    let desk = Desk {
        house: &house,
        reference: &Reference::default(),
        bench: Some(&bench),
        day: &|ms| format!("day {ms}"),
        photo: &|sha256| Some(format!("data:image/jpeg;base64,{}", &sha256[..4])),
    };
    let html = sheet(&desk, Visit { job: &job, customer: Some(&customer), reels: &reels }, which, 9).unwrap();
    assert!(!html.contains("SECRET") && !html.contains("<Please>"));
    // One block a line, for reading here.
    html.replace("><", ">\n<")
}

#[test]
fn a_receipt() {
    insta::assert_snapshot!(printed(Sheet::Receipt));
}

#[test]
fn a_quote() {
    insta::assert_snapshot!(printed(Sheet::Quote));
}

#[test]
fn a_service_report() {
    insta::assert_snapshot!(printed(Sheet::Report));
}

#[test]
fn the_way_back_puts_the_hazard_before_its_step_and_shows_photos_screws_and_what_is_left() {
    let (_, _, reels) = visit();
    let (house, bench) = (house(), Reference::load([("w.json", WORK)]).unwrap());
    let desk = Desk {
        house: &house,
        reference: &Reference::default(),
        bench: Some(&bench),
        day: &|ms| format!("day {ms}"),
        photo: &|sha256| Some(format!("data:image/jpeg;base64,{}", &sha256[..4])),
    };
    let others = guide(&[Strip::of(&reels[0].strip)]);
    let html = way_back(&desk, &reels[0], Some(&others), 9).unwrap();
    assert!(!html.contains("SECRET") && !html.contains("<plate>"));
    let mut at = 0;
    for words in [
        "Putting it back",
        "Mind first. Springs: They fly: cover it.",
        "☑ dog spring",
        "From the tray: A2",
        "Which way round: tang up",
        "Tang in its hole",
        "data:image/jpeg;base64,aaaa",
        "☐ tail &lt;plate&gt;",
        "Screws by their holes",
        "<td>3</td>",
        "<td>6.5 mm</td>",
        "Before you close it",
        "☐ the pawl clicks both ways",
        "In the tray when this was printed",
        "tail &lt;plate&gt;: 1 of 1 still lie.",
        "As another of this model came apart",
        "under tension",
    ] {
        let found = html[at..].find(words);
        at += found.unwrap_or_else(|| panic!("“{words}” does not come next in {}", &html[at..]));
    }
    assert_eq!(way_back(&desk, &Reel::new(&reels[0].id, 1), None, 9), None);
}

#[test]
fn a_bill() {
    insta::assert_snapshot!(printed(Sheet::Bill));
}

#[test]
fn a_packing_list() {
    insta::assert_snapshot!(printed(Sheet::Packing));
}

#[test]
fn tags_begin_on_the_first_free_label_and_go_on_over_pages() {
    let (_, _, reels) = visit();
    let many: Vec<Reel> = (0..30)
        .map(|n| Reel { tag: crate::tag::code(7, n).unwrap(), ..reels[0].clone() })
        .chain([Reel { tag: String::new(), ..reels[0].clone() }])
        .collect();
    let html = tags(&house(), &Reference::default(), &many, Layout::A4Of24, 26);
    let count = |what: &str| html.matches(what).count();
    assert_eq!((count("<section"), count("<svg"), count("<div class=\"label\"></div>")), (2, 30, 2));
    assert_eq!(tags(&house(), &Reference::default(), &many, Layout::Roll62x29, 5).matches("<section").count(), 30);
    assert_eq!(
        stickers("Spool 2\n0.30 mm, 8 lb\n2026-03\n\nBag 7", Layout::LetterOf30, 0).matches("class=\"label\"").count(),
        2
    );
}
