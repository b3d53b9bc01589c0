//! Known arrivals at the counter: what the record must hold, what must be said, and what must not be promised.
//!
//! Each is a real case restated as facts; people and reels' names in it are invented.

use tailplate_core::paper::{self, Desk, Sheet, Visit};
use tailplate_core::record::Kept;
use tailplate_core::reference::Reference;
use tailplate_core::shop::{
    Answer, Condition, Grade, House, Job, Line, LineSort, MissingPart, PhotoRef, Price, Reel, Stage, Stand, Who, money,
};

const JOB: &str = "000102030405060708090a0b0c0d0e0f";
const REEL: &str = "f00102030405060708090a0b0c0d0e0f";

fn packs() -> Reference {
    Reference::load([
        ("questions.json", include_str!("../../public/reference/questions.json")),
        ("counter.json", include_str!("../../public/reference/counter.json")),
    ])
    .unwrap()
}

fn arrived(conditions: &[(&str, &str)]) -> Reel {
    let mut reel = Reel::new(REEL, 1_000);
    reel.job = Some(JOB.into());
    reel.tag = tailplate_core::tag::code(7, 1).unwrap();
    reel.condition =
        conditions.iter().map(|(what, words)| Condition { what: (*what).into(), words: (*words).into() }).collect();
    reel
}

fn photo(letter: &str, words: &str) -> PhotoRef {
    PhotoRef { sha256: letter.repeat(64), words: words.into(), stage: Stage::Arrival, ..PhotoRef::default() }
}

fn line(reel: &Reel, what: &str, sort: LineSort, amount: &str) -> Line {
    let price = Price::parse(amount, "USD").unwrap();
    Line { id: what.into(), reel: Some(reel.id.clone()), what: what.into(), sort, price, answer: Answer::Open }
}

/// What a person reads at the step where this is noted.
fn advice(packs: &Reference, flag: &str) -> String {
    let flag = packs.counter.flags.iter().find(|known| known.id == flag).unwrap_or_else(|| panic!("no flag {flag}"));
    flag.advice.clone().unwrap_or_default()
}

fn printed(packs: &Reference, job: &Job, reels: &[Reel], sheet: Sheet) -> String {
    let house = House::new(1);
    let desk = Desk { house: &house, reference: packs, bench: None, day: &|ms| ms.to_string(), photo: &|_| None };
    paper::sheet(&desk, Visit { job, customer: None, reels }, sheet, 5_000).unwrap()
}

/// A reel and its parts in a plastic bag, taken apart by its owner (case NT-087).
#[test]
fn a_reel_in_a_bag_gets_no_fixed_price_before_its_parts_are_listed() {
    let packs = packs();
    for flag in ["owner-dismantled", "arrived-dismantled", "arrived-in-parts"] {
        let advice = advice(&packs, flag);
        assert!(advice.contains("Photograph every loose part before touching it"), "{flag}: {advice}");
        assert!(advice.contains("no fixed price"), "{flag}: {advice}");
    }
    let mut reel = arrived(&[("owner-dismantled", ""), ("incomplete", "nobody knows of what")]);
    reel.photos = vec![photo("a", "every loose part, laid out")];
    let mut job = Job::new(JOB, 1_000);
    job.lines = vec![line(&reel, "Overhaul", LineSort::Labour, "25")];
    let sums = money::sums(&job, None).unwrap();
    let told = money::warnings(&job, std::slice::from_ref(&reel), &sums);
    assert!(told.iter().any(|words| words.contains("a fixed price is a guess until then")), "{told:?}");

    // Once they are listed, and the owner agrees, a price may be named.
    reel.missing = vec![MissingPart { part: "click button".into(), acknowledged_ms: Some(2_000) }];
    assert_eq!(money::warnings(&job, std::slice::from_ref(&reel), &sums), Vec::<String>::new());
    let receipt = printed(&packs, &job, std::slice::from_ref(&reel), Sheet::Receipt);
    assert!(receipt.contains("Came without: click button"), "{receipt}");
    let kept: Kept<Reel> = Kept::read(&Kept::new(reel.clone(), 1).unwrap().bytes(), 2).unwrap();
    assert_eq!(kept.record, reel);
}

/// Posted without padding, both plates broken at the foot (case NT-088).
#[test]
fn damage_in_the_post_is_on_record_before_work_and_the_way_back_is_padded() {
    let packs = packs();
    assert!(packs.counter.photos_of("").any(|photo| photo.id == "ph-parcel"), "the parcel as opened is asked for");
    let told = advice(&packs, "transit-damage");
    assert!(told.contains("Photograph parcel and reel as opened") && told.contains("padding all round"), "{told}");
    let mut reel = arrived(&[("transit-damage", ""), ("broken", "both plates, at the front of the foot")]);
    reel.photos = vec![photo("a", "the parcel"), photo("b", "the reel as unpacked")];
    assert_eq!(reel.stand().0, Stand::Arrived, "noted before anything is done");
    let job = Job::new(JOB, 1_000);
    let receipt = printed(&packs, &job, std::slice::from_ref(&reel), Sheet::Receipt);
    assert!(receipt.contains("both plates, at the front of the foot"), "{receipt}");
    let packing = printed(&packs, &job, std::slice::from_ref(&reel), Sheet::Packing);
    assert!(packing.contains("Padding all round, no weight on the foot"), "{packing}");
    // What was noted and photographed at arrival can't be lost by an edit made elsewhere.
    let mut here = Kept::new(reel, 1).unwrap();
    let mut there: Kept<Reel> = Kept::read(&here.bytes(), 2).unwrap();
    let told = there.change(2_000, |reel| reel.found = "Both plates mended.".into()).unwrap().unwrap();
    here.join(&told).unwrap();
    assert_eq!((here.record.condition.len(), here.record.photos.len()), (2, 2));
}

/// A seized reel out of production, asked about by telephone (case NT-092).
#[test]
fn opening_parts_and_ceiling_stand_apart_and_the_reels_worth_is_set_against_the_cost() {
    let packs = packs();
    let usd = |amount: &str| Price::parse(amount, "USD").ok();
    let mut reel = arrived(&[("seized", "")]);
    reel.worth = usd("15");
    let mut job = Job::new(JOB, 1_000);
    (job.opening_fee, job.ceiling) = (usd("20"), usd("40"));
    job.lines = vec![
        line(&reel, "Open it and look", LineSort::Opening, "20"),
        line(&reel, "Main gear, made", LineSort::Part, "25"),
    ];
    let told = money::warnings(&job, std::slice::from_ref(&reel), &money::sums(&job, None).unwrap());
    assert!(told.iter().any(|words| words.contains("above the agreed 40")), "{told:?}");
    assert!(told.iter().any(|words| words.contains("costs more than it is worth to its owner (15")), "{told:?}");
    let quote = printed(&packs, &job, std::slice::from_ref(&reel), Sheet::Quote);
    assert!(quote.contains("Open it and look") && quote.contains("Main gear, made"), "each its own line: {quote}");

    // Asked, then yes or no: and only the owner can say either.
    reel.go(Stand::LookedAt, Who::Shop, 2_000, "").unwrap();
    reel.go(Stand::Asked, Who::Shop, 3_000, "").unwrap();
    assert!(reel.clone().go(Stand::Agreed, Who::Shop, 4_000, "").is_err());
    assert!(reel.clone().go(Stand::OnBench, Who::Shop, 4_000, "").is_err(), "no work before the answer");
    reel.clone().go(Stand::Agreed, Who::Customer, 4_000, "").unwrap();
    reel.go(Stand::Declined, Who::Customer, 4_000, "too dear").unwrap();
    let kept: Kept<Job> = Kept::read(&Kept::new(job.clone(), 1).unwrap().bytes(), 2).unwrap();
    assert_eq!(kept.record, job);
}

/// “Good” means nothing: two grades, with the scale named and words beside; restored is a flag (case ND-097).
#[test]
fn looks_and_works_are_graded_apart_on_a_named_scale() {
    let packs = packs();
    let scale = packs.counter.scales.iter().find(|scale| scale.id == "a-m").unwrap();
    assert!(scale.looks.iter().any(|step| step.id == "A8") && scale.works.iter().any(|step| step.id == "M9"));
    assert!(packs.counter.flags.iter().any(|flag| flag.id == "restored"));
    assert!(!scale.looks.iter().chain(&scale.works).any(|step| step.id.contains("restored")));
    let grade =
        |grade: &str, words: &str| Some(Grade { scale: scale.id.clone(), grade: grade.into(), words: words.into() });
    let mut reel = arrived(&[("restored", "new plating")]);
    (reel.looks, reel.works) = (grade("A8", "a light scratch"), grade("M9", "wear can be felt"));
    let kept: Kept<Reel> = Kept::read(&Kept::new(reel.clone(), 1).unwrap().bytes(), 2).unwrap();
    assert_eq!((kept.record.looks, kept.record.works), (reel.looks, reel.works));
}

/// A drawer of spools: which line, how strong, since when (case ND-101).
#[test]
fn a_sticker_for_a_spool_holds_line_strength_and_date() {
    let sheet = paper::stickers("Spool 2 of 7\n0.30 mm, 8 lb\n14 March 2026", paper::Layout::LetterOf30, 0);
    for words in ["Spool 2 of 7", "0.30 mm, 8 lb", "14 March 2026"] {
        assert!(sheet.contains(words), "{sheet}");
    }
}
