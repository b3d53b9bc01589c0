//! Real listings through the code of the command line: no firm verdict may be wrong, four in five must be reached.

use std::path::PathBuf;

use tailplate_hub::answer::Desk;
use tailplate_hub::cases::Mark;
use tailplate_hub::listing_cases;
use tailplate_hub::packs::Choice;

fn cases() -> Vec<listing_cases::Case> {
    let folder =
        PathBuf::from(std::env::var_os("CARGO_MANIFEST_DIR").unwrap_or_else(|| env!("CARGO_MANIFEST_DIR").into()))
            .join("listing-cases");
    listing_cases::read(&folder).unwrap()
}

#[test]
fn known_claims_are_judged_right_or_honestly_left_open() {
    let desk = Desk::open(&Choice::default(), 2026).unwrap();
    let cases = cases();
    assert!(cases.len() >= 7, "{} cases", cases.len());
    let outcomes: Vec<_> = cases.iter().flat_map(|case| listing_cases::run(&desk, case)).collect();
    let report: String = outcomes
        .iter()
        .map(|outcome| format!("{:?}  {}, {}: {}\n", outcome.mark, outcome.case, outcome.claim, outcome.said))
        .collect();
    println!("{report}");
    let count = |mark| outcomes.iter().filter(|outcome| outcome.mark == mark).count();
    assert_eq!(count(Mark::WrongAndSure), 0, "wrong and sure:\n{report}");
    assert!(count(Mark::Right) * 5 >= outcomes.len() * 4, "too few are reached:\n{report}");
}

#[test]
fn every_observation_of_the_listings_is_one_the_questions_know() {
    let desk = Desk::open(&Choice::default(), 2026).unwrap();
    for case in cases() {
        for seen in &case.sheet.seen {
            tailplate_hub::input::check(&desk.reference, seen)
                .unwrap_or_else(|trouble| panic!("{}: {trouble}", case.name));
        }
    }
}
