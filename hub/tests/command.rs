//! The command line, word for word.

use tailplate_hub::command::{Command, Trouble, ask, parse};

const THIS_YEAR: i32 = 2026;

fn tailplate(args: &[&str]) -> String {
    let mut out = Vec::new();
    let command = match parse(args.iter().map(Into::into), THIS_YEAR) {
        Ok(command) => command,
        Err(sentence) => return format!("2: {sentence}"),
    };
    let Command::Ask { question, json, packs, this_year } = command else {
        return format!("{command:?}");
    };
    match ask(&question, json, &packs, this_year, &mut out) {
        Ok(_) => String::from_utf8(out).unwrap(),
        Err(Trouble::Told(sentence)) => format!("2: {sentence}"),
        Err(Trouble::Closed) => "closed".into(),
    }
}

/// The part of the answer under a heading, or its first part.
fn part(text: &str, heading: &str) -> String {
    text.split("\n\n").find(|part| part.starts_with(heading)).unwrap_or_default().trim_end().to_owned()
}

#[test]
fn a_number_in_part_gives_the_years_it_can_mean() {
    let text = tailplate(&["date", "PAT. 1,9?4,?12"]);
    insta::assert_snapshot!(part(&text, "“"), @r#"
    “PAT. 1,9?4,?12”
      United States patents 19?4?12 (100 numbers fit): issued 1933 to 1935.
    "#);
    assert!(part(&text, "Made").ends_with("Certainly not before 1933."), "{text}");
}

#[test]
fn a_date_in_part_is_a_tuesday() {
    let text = tailplate(&["date", "PAT. OCT ?8 19?6"]);
    insta::assert_snapshot!(part(&text, "“"), @r#"
    “PAT. OCT ?8 19?6”
      OCT ?8 19?6 can be 8 October 1946, 18 October 1966, 28 October 1986, 8 October 1996.
    "#);
}

#[test]
fn a_legible_date_that_is_no_tuesday_is_questioned() {
    let text = tailplate(&["date", "PAT. JUNE 8 1906"]);
    assert!(part(&text, "Mind").contains("8 June 1906 was a Friday; US patents issue on Tuesdays"), "{text}");
    assert!(!text.contains("Certainly"), "a date in question bounds nothing: {text}");
}

#[test]
fn an_origin_gives_its_years() {
    let text = tailplate(&["date", "MADE IN OCCUPIED JAPAN"]);
    insta::assert_snapshot!(part(&text, "Made"), @"Made: 1947 to 1952, most likely. Certainly not before 1945.");
}

#[test]
fn two_marks_that_contradict_say_so() {
    let text = tailplate(&["date", "MADE IN OCCUPIED JAPAN", "PAT. NO. 2,834,561"]);
    insta::assert_snapshot!(part(&text, "These"), @r#"
    These contradict each other
      United States patents 2834561 (from 1958) — Made in Occupied Japan (1945 to 1952). One misread
      figure in “United States patents 2834561” would make it 1943, which fits.
    "#);
}

#[test]
fn a_mark_that_tells_nothing_says_so() {
    let text = tailplate(&["date", "GARBLE"]);
    assert!(text.contains("By itself this tells no year.") && text.contains("Made: not known"), "{text}");
}

#[test]
fn what_can_not_be_used_is_named_in_one_sentence() {
    insta::assert_snapshot!(tailplate(&["date", "X", "--feature", "bial=x"]), @"2: No question is called “bial”. Nearest: bail.");
    insta::assert_snapshot!(tailplate(&["date", "X", "--feature", "bail=x"]), @"2: bail has no state “x”; it can be full-bail, half-bail, finger, manual, none.");
    insta::assert_snapshot!(tailplate(&["date", "X", "--feature", "plate_diameter=60"]), @"2: plate_diameter needs its unit: write 60mm, or inches or ounces.");
    insta::assert_snapshot!(tailplate(&["date", "X", "--feature", "plate_diameter=60g"]), @"2: plate_diameter is measured in mm (or inches, ounces), not in g.");
    insta::assert_snapshot!(tailplate(&["sepaate", "a"]), @"2: There is no command “sepaate”. Nearest: separate.");
    insta::assert_snapshot!(tailplate(&["date", "X", "--jsn"]), @"2: Invalid option '--jsn'; `tailplate help` lists what there is.");
    insta::assert_snapshot!(tailplate(&["date"]), @r#"2: `tailplate date` needs a mark, such as "PAT. 1,9?4,?12", or a --feature."#);
    insta::assert_snapshot!(tailplate(&["separate", "zebco-33"]), @"2: `tailplate separate` needs two models or more.");
    insta::assert_snapshot!(tailplate(&["listing"]), @"2: `tailplate listing` takes a file with a seller's text, exactly one.");
    insta::assert_snapshot!(tailplate(&["listing", "-", "--seen", "-"]), @"2: The text and the observations can't both come from the standard input.");
    assert!(tailplate(&["model", "zebco-3"]).starts_with("2: No model is called “zebco-3”. Nearest: zebco-33"));
    assert!(tailplate(&["identify", "no-such-file"]).starts_with("2: no-such-file can't be read"));
}

#[test]
fn a_listing_is_told_claim_by_claim_and_as_json() {
    let file = std::env::temp_dir().join(format!("tailplate-listing-{}.txt", std::process::id()));
    std::fs::write(&file, "Solid silver casting reel, German silver, 1920s, marked PAT. 2,500,000").unwrap();
    let name = file.to_string_lossy();
    let text = tailplate(&["listing", &name]);
    let json = tailplate(&["listing", &name, "--json"]);
    std::fs::remove_file(&file).unwrap();
    assert!(text.contains("“1920s”: contradicted") && text.contains("“Solid silver”: contradicted"), "{text}");
    assert!(text.contains("A message to send"), "{text}");
    let json: serde_json::Value = serde_json::from_str(&json).unwrap();
    assert_eq!(json["claims"].as_array().unwrap().len(), json["verdicts"].as_array().unwrap().len());
    assert_eq!(json["claims"][0]["quote"], "Solid silver");
    assert_eq!(json["verdicts"][0]["finding"], "contradicted");
}

#[test]
fn every_line_fits_and_every_answer_is_also_json() {
    for args in [
        &["date", "PAT. OCT ?8 19?6"][..],
        &["separate", "heddon-3-15", "heddon-4-15"],
        &["model", "zebco-33"],
        &["questions"],
    ] {
        let text = tailplate(args);
        // An address can't be broken.
        let wide = text.lines().find(|line| line.chars().count() > 100 && !line.contains("://"));
        assert_eq!(wide, None, "{args:?}");
        let json = tailplate(&[args, &["--json"]].concat());
        serde_json::from_str::<serde_json::Value>(&json).unwrap_or_else(|error| panic!("{args:?}: {error}: {json}"));
    }
    let schema: serde_json::Value = serde_json::from_str(&tailplate(&["schema"])).unwrap();
    assert_eq!(schema["title"], "Sheet");
}

#[test]
fn an_answer_nobody_reads_on_is_no_fault() {
    struct Closed;
    impl std::io::Write for Closed {
        fn write(&mut self, _: &[u8]) -> std::io::Result<usize> {
            Err(std::io::ErrorKind::BrokenPipe.into())
        }
        fn flush(&mut self) -> std::io::Result<()> {
            Ok(())
        }
    }
    let Ok(Command::Ask { question, packs, .. }) = parse(["questions".into()], THIS_YEAR) else { panic!() };
    assert!(matches!(ask(&question, false, &packs, THIS_YEAR, &mut Closed), Err(Trouble::Closed)));
}

/// Inputs in a file of their own, since the command takes a file.
fn sum(calculator: &str, inputs: &str, more: &[&str]) -> String {
    let file = std::env::temp_dir().join(format!("tailplate-bench-{}-{calculator}.json", std::process::id()));
    std::fs::write(&file, inputs).unwrap();
    let text = tailplate(&[&["bench", calculator, file.to_str().unwrap()], more].concat());
    std::fs::remove_file(&file).unwrap();
    text
}

#[test]
fn a_sum_of_the_bench_shows_both_systems_what_it_takes_for_granted_and_care() {
    let inputs = r#"{"torque": 3.075, "ratio": 4, "full_diameter": 44, "arbor_diameter": "22 ± 0.1 mm"}"#;
    let text = sum("line-tension", inputs, &[]);
    insta::assert_snapshot!(part(&text, "Line tension"), @r#"
    Line tension from the drag's torque
      Torque at the spool                     0.7688 N·m       6.804 in·lbf
      Pull on the line, spool full            34.94 ± 0.04 N   7.856 ± 0.009 lbf
      Pull on the line, half of it out        44.20 ± 0.06 N   9.937 ± 0.013 lbf
      Pull on the line, nearly all out        69.9 ± 0.3 N     15.71 ± 0.07 lbf
      Times the full spool's, half out        1.2649 ± 0.0012
      Times the full spool's, nearly all out  2.000 ± 0.009
    "#);
    insta::assert_snapshot!(part(&text, "Care"), @r#"
    Care: Hooks, line under load and testing (unverified)
      A snapped line or slipping scale throws hooks and weights.
      Do remove hooks before bench work
      Do pull-test with eye protection and a soft stop
      Do keep people out of the line of pull
      Don't wrap line round a bare hand
      Ask: Doctor for embedded hooks.
    "#);
    assert!(text.contains("Taken for granted") && text.contains("cylindrical winding"), "{text}");
    let json: serde_json::Value = serde_json::from_str(&sum("line-tension", inputs, &["--json"])).unwrap();
    let full = json["figures"].as_array().unwrap().iter().find(|it| it["id"] == "tension_full").unwrap();
    assert!(
        (full["also"]["value"].as_f64().unwrap() - 7.8555).abs() < 1e-4 && full["plus_minus"].as_f64().unwrap() > 0.0
    );
    assert!(json["plot_svg"].as_str().unwrap().starts_with("<svg"));
}

#[test]
fn the_list_of_sums_says_what_each_takes() {
    let text = tailplate(&["bench"]);
    assert!(part(&text, "washers:").contains("In the drawer, such as"), "{text}");
    let json: serde_json::Value = serde_json::from_str(&tailplate(&["bench", "--json"])).unwrap();
    let bearing = json.as_array().unwrap().iter().find(|it| it["id"] == "bearing").unwrap();
    assert_eq!(bearing["inputs"][0]["unit"], "mm");
}

#[test]
fn a_sum_that_can_not_be_worked_says_why_in_a_sentence() {
    insta::assert_snapshot!(sum("bearings", "{}", &[]), @"2: There is no calculator “bearings”. Nearest: bearing.");
    insta::assert_snapshot!(sum("bearing", "{", &[]), @"2: The inputs are no JSON: EOF while parsing an object at line 1 column 1.");
    insta::assert_snapshot!(sum("bearing", r#"{"bore": 5, "outside": "1 parsec", "width": 3}"#, &[]), @"2: “Outside”: “parsec” is no unit that fits here: write mm, in, thou, cm, µm.");
    insta::assert_snapshot!(tailplate(&["bench", "bearing"]), @"2: `tailplate bench` takes a calculator and a file of inputs, or nothing to list them.");
}
