//! Real reels through the code of the command line: none may be wrong and sure, four in five must be right, and the
//! rest must name the next check.

use std::path::PathBuf;

use tailplate_hub::answer::Desk;
use tailplate_hub::cases::{self, Mark};
use tailplate_hub::packs::Choice;

#[test]
fn known_reels_are_right_or_honestly_undecided() {
    let desk = Desk::open(&Choice::default(), 2026).unwrap();
    let folder =
        PathBuf::from(std::env::var_os("CARGO_MANIFEST_DIR").unwrap_or_else(|| env!("CARGO_MANIFEST_DIR").into()))
            .join("cases");
    let cases = cases::read(&folder).unwrap();
    assert!(cases.len() >= 11, "{} cases", cases.len());
    let outcomes: Vec<_> = cases.iter().map(|case| cases::run(&desk, case)).collect();
    let mut report = String::new();
    for outcome in &outcomes {
        report.push_str(&format!("{:?}  {}: {}", outcome.mark, outcome.name, outcome.said));
        if !outcome.short.is_empty() {
            report.push_str(&format!("; {}", outcome.short.join("; ")));
        }
        report.push_str(&format!("; next: {}\n", outcome.next_check.as_deref().unwrap_or("none")));
    }
    println!("{report}");
    let count = |mark| outcomes.iter().filter(|outcome| outcome.mark == mark).count();
    assert_eq!(count(Mark::WrongAndSure), 0, "wrong and sure:\n{report}");
    assert!(count(Mark::Right) * 5 >= outcomes.len() * 4, "too few are right:\n{report}");
    for outcome in outcomes.iter().filter(|outcome| outcome.mark == Mark::Undecided) {
        assert!(outcome.next_check.is_some(), "undecided without a next check: {}\n{report}", outcome.name);
    }
}

#[test]
fn every_observation_of_the_cases_is_one_the_questions_know() {
    let desk = Desk::open(&Choice::default(), 2026).unwrap();
    let folder =
        PathBuf::from(std::env::var_os("CARGO_MANIFEST_DIR").unwrap_or_else(|| env!("CARGO_MANIFEST_DIR").into()))
            .join("cases");
    for case in cases::read(&folder).unwrap() {
        for seen in &case.sheet.seen {
            tailplate_hub::input::check(&desk.reference, seen)
                .unwrap_or_else(|trouble| panic!("{}: {trouble}", case.name));
        }
    }
}
