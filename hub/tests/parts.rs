//! Parts on the command line: known cases, and what the needs of this trade ask for.

use std::path::PathBuf;

use tailplate_core::fit::of_packs;
use tailplate_hub::cases::Mark;
use tailplate_hub::command::{Command, Trouble, ask, parse};
use tailplate_hub::fit_cases;
use tailplate_hub::packs::{self, Choice};
use tailplate_hub::parts::Book;

fn here() -> PathBuf {
    PathBuf::from(std::env::var_os("CARGO_MANIFEST_DIR").unwrap_or_else(|| env!("CARGO_MANIFEST_DIR").into()))
}

/// Runs the cases; with `own_facts_only`, the packs keep their words and models but none of their facts on parts.
fn run_all(own_facts_only: bool) {
    let reference = packs::load(&Choice::default()).unwrap();
    let mut cases = fit_cases::read(&here().join("cases/parts")).unwrap();
    assert!(cases.len() >= 5, "{} cases", cases.len());
    if own_facts_only {
        let sources: Vec<String> = of_packs(&reference).into_iter().flat_map(|fact| fact.sources).collect();
        assert!(sources.len() > 50, "{}", sources.len());
        cases.iter_mut().for_each(|case| case.file.leave_out.clone_from(&sources));
    }
    let outcomes: Vec<_> = cases.iter().map(|case| fit_cases::run(&reference, case).unwrap()).collect();
    let lines =
        outcomes.iter().map(|one| format!("{:?}  {}: {} {}\n", one.mark, one.name, one.said, one.short.join("; ")));
    let report: String = lines.collect();
    println!("{report}");
    let count = |mark| outcomes.iter().filter(|one| one.mark == mark).count();
    assert_eq!(count(Mark::WrongAndSure), 0, "wrong and sure:\n{report}");
    assert!(count(Mark::Right) * 5 >= outcomes.len() * 4, "too few are right:\n{report}");
}

#[test]
fn known_cases_are_right_with_packs_and_their_own_facts() {
    run_all(false);
}

#[test]
fn known_cases_are_right_by_their_own_facts_alone() {
    run_all(true);
}

#[test]
fn known_cases_are_never_wrong_and_sure_by_the_packs_alone() {
    let reference = packs::load(&Choice::default()).unwrap();
    let mut right = 0;
    for mut case in fit_cases::read(&here().join("cases/parts")).unwrap() {
        case.file = Book { measured: case.file.measured.clone(), ..Book::default() };
        let outcome = fit_cases::run(&reference, &case).unwrap();
        assert!(outcome.mark != Mark::WrongAndSure, "{outcome:?}");
        right += usize::from(outcome.mark == Mark::Right);
    }
    assert!(right >= 4, "{right}");
}

fn tailplate(args: &[&str]) -> String {
    let mut out = Vec::new();
    let command = match parse(args.iter().map(Into::into), 2026) {
        Ok(command) => command,
        Err(sentence) => return format!("2: {sentence}"),
    };
    let Command::Ask { question, json, packs, this_year } = command else { panic!("{command:?}") };
    match ask(&question, json, &packs, this_year, &mut out) {
        Ok(_) => String::from_utf8(out).unwrap(),
        Err(Trouble::Told(sentence)) => format!("2: {sentence}"),
        Err(Trouble::Closed) => "closed".into(),
    }
}

/// A file of one test, with its text.
fn file(name: &str, text: &str) -> String {
    let path = std::env::temp_dir().join(format!("tailplate-{}-{name}.json", std::process::id()));
    std::fs::write(&path, text).unwrap();
    path.to_str().unwrap().to_owned()
}

#[test]
fn a_plate_in_a_bag_for_another_model_is_found_with_its_box() {
    let spares = file(
        "spares",
        r#"{"spares": [{"role": "end plate", "model": "Winfield Bassfisher", "lies_at": "box 4", "bag": "N", "wear": "good"},
                       {"role": "spool", "model": "Winfield Bassfisher", "lies_at": "box 5"}]}"#,
    );
    let text = tailplate(&["fit", "end plate", "Surfcaster", "--file", &spares]);
    assert!(text.contains("box 4, bag N  "), "{text}");
    assert!(!text.contains("box 5"), "{text}");
    assert!(text.contains("tried on the bench"), "{text}");
    std::fs::remove_file(spares).unwrap();
}

#[test]
fn a_loose_wooden_knob_is_kept() {
    let text = tailplate(&["fit", "grasp", "--seen", "knob_material=wood", "--seen", "bail=half-bail"]);
    let first = text.lines().next().unwrap_or_default();
    assert!(first.starts_with("Possible Mitchell 300") && text.contains("keep it"), "{text}");
}

#[test]
fn a_donor_tells_each_parts_wear_and_that_its_weak_part_is_likely_worn() {
    let needs = file(
        "needs",
        r#"{"needs": [{"part": "bail spring", "model": "mitchell-308@early", "urgency": 3, "worth": {"amount": "20", "currency": "EUR"}},
                      {"part": "spool", "model": "mitchell-308@early", "urgency": 1}],
            "spares": [{"role": "spool", "model": "mitchell-308@early", "wear": "worn", "donor": "mitchell-308@1980s"}]}"#,
    );
    let text = tailplate(&["donors", "mitchell-308@early", "--file", &needs, "--asking", "15 EUR"]);
    let text = text.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(text.contains("a weak part, so the donor's is likely worn too"), "{text}");
    assert!(text.contains("Worth 20.00 EUR to this shop, 5.00 EUR more than the 15 EUR asked."), "{text}");
    let text = tailplate(&["donors", "mitchell-308@1980s", "--file", &needs]);
    assert!(text.contains("its spool is worn") || text.contains("none of the open needs"), "{text}");
    std::fs::remove_file(needs).unwrap();
}

#[test]
fn a_plan_is_told_with_its_rest_and_its_reasons() {
    let wishes = file(
        "plan",
        r#"{"budget": {"amount": "40", "currency": "EUR"},
            "needs": [{"part": "spool", "model": "orvis-100", "urgency": 3}, {"part": "rotor", "model": "alcedo-anteus", "urgency": 2}],
            "offers": [{"name": "a Pelican from the market", "model": "zangi-pelican-100", "price": {"amount": "30", "currency": "EUR"}},
                       {"name": "a spool alone", "model": "zangi-pelican-100", "price": {"amount": "18", "currency": "EUR"}, "parts": [{"role": "spool", "wear": "good"}]},
                       {"name": "a large Anteus", "model": "alcedo-anteus-magnum", "price": {"amount": "10", "currency": "EUR"}}]}"#,
    );
    let text = tailplate(&["buy", &wishes]);
    insta::assert_snapshot!(text, @"
    1 of 2 open needs served, 1 that a customer waits for; 1 wants a check or work.
    Costs 18.00 EUR, leaves 22.00 EUR.

    Buy a spool alone for 18 EUR
      Spool for Orvis 100 and 101: fits, with a check first.
        Check the version first: parts of this name differ from version to version of one model.

    Not served
      Rotor for Alcedo Anteus: Nothing offered is known to fit.
    ");
    let json: serde_json::Value = serde_json::from_str(&tailplate(&["buy", &wishes, "--json"])).unwrap();
    assert_eq!(json["cost_hundredths"], 1800);
    std::fs::remove_file(wishes).unwrap();
}

#[test]
fn a_number_is_no_promise_and_a_house_brand_has_a_maker() {
    let text = tailplate(&["fit", "trip lever", "mitchell-300@v4-late", "--of", "40"]);
    insta::assert_snapshot!(text, @"
    Part number 81020 (also 40) is the trip lever of Mitchell 300 (first sold only as Mitchell) (Version
    7). Five figures with the old number in brackets on the sheet of 1971; renumbered again later.

    Trip lever for Mitchell 300 (first sold only as Mitchell) (Version 4, later series, full bail)
      From Mitchell 300 (first sold only as Mitchell) (Version 7): does not fit (sure).
        because Mitchell 300 (first sold only as Mitchell) (Version 7) in Mitchell 300 (first sold only
                as Mitchell) (Version 4, later series, full bail): does not fit (tried on the bench;
                Mitchell Reel Museum forum: pick-up trip lever of 1954). Part name equal, version
                different: a reel of 1954 takes lever 20, not the later 81020 (old 40).
        instead: Part number 20 is the one of Mitchell 300 (first sold only as Mitchell) (Version 4,
                 later series, full bail).
    ");
    // Words and a year say the same as ids.
    assert!(tailplate(&["fit", "kick lever", "Mitchell 300@1954", "--of", "81020"]).contains("does not fit (sure)"));
    let text = tailplate(&["fit", "spool", "Best-O-Luck 77"]);
    assert!(text.starts_with("2: No model is called “Best-O-Luck 77”. Best-O-Luck is a name sold by"), "{text}");
    assert!(tailplate(&["fit", "spool", "Medalist"]).starts_with("2: “Medalist” can be "));
    assert!(tailplate(&["fit", "sprongle", "orvis-100"]).starts_with("2: No part is called “sprongle”."));
    assert!(tailplate(&["fit", "spool"]).starts_with("2: `tailplate fit` takes a part and a model"));
    assert!(tailplate(&["buy", "no-such-file"]).starts_with("2: no-such-file can't be read"));
    assert!(tailplate(&["donors", "orvis-100", "--asking", "cheap"]).starts_with("2: "));
}

#[test]
fn every_answer_on_parts_is_also_json_and_no_line_is_too_wide() {
    for args in [
        &["fit", "drum", "orvis-100"][..],
        &["donors", "orvis-100"],
        &["fit", "bail", "mitchell-308", "--of", "mitchell-408"],
    ] {
        let text = tailplate(args);
        assert!(!text.starts_with("2:"), "{text}");
        assert_eq!(text.lines().find(|line| line.chars().count() > 100), None, "{args:?}");
        let json = tailplate(&[args, &["--json"]].concat());
        serde_json::from_str::<serde_json::Value>(&json).unwrap_or_else(|error| panic!("{args:?}: {error}: {json}"));
    }
}
