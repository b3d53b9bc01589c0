//! Faults through the code of the command line: known cases, complaints in ordinary words, and what it refuses.

use std::path::PathBuf;

use tailplate_core::faults::Observed;
use tailplate_core::reference::Reference;
use tailplate_hub::cases::Mark;
use tailplate_hub::command::{self, Command, parse};
use tailplate_hub::packs::{self, Choice};
use tailplate_hub::{fault, fault_cases};

fn packs() -> Reference {
    packs::load(&Choice::default()).unwrap()
}

fn folder(name: &str) -> PathBuf {
    PathBuf::from(std::env::var_os("CARGO_MANIFEST_DIR").unwrap_or_else(|| env!("CARGO_MANIFEST_DIR").into()))
        .join(name)
}

#[test]
fn known_faults_stand_among_the_first_three_and_none_is_sure_and_wrong() {
    let packs = packs();
    let cases = fault_cases::read(&folder("fault-cases")).unwrap();
    assert!(cases.len() >= 6, "{} cases", cases.len());
    let mut report = String::new();
    let (mut right, mut wrong, mut short, mut all) = (0, 0, 0, 0);
    for case in &cases {
        let tellings =
            [("said", fault_cases::run_said(&packs, case)), ("by hand", fault_cases::run_by_hand(&packs, case))];
        for (how, outcome) in tellings {
            all += 1;
            right += usize::from(outcome.mark == Mark::Right);
            wrong += usize::from(outcome.mark == Mark::WrongAndSure);
            short += usize::from(!outcome.short.is_empty());
            report.push_str(&format!(
                "{:?}  {} ({how}): {}; not said: {:?}\n",
                outcome.mark, case.name, outcome.said, outcome.short
            ));
        }
    }
    println!("{report}");
    assert_eq!(wrong, 0, "wrong and sure:\n{report}");
    assert!(right * 5 >= all * 4, "{right} of {all} right:\n{report}");
    assert!(short * 5 <= all, "{short} of {all} leave something unsaid:\n{report}");
}

#[test]
fn complaints_in_ordinary_words_lead_to_a_right_cause() {
    let packs = packs();
    let (mut right, mut all, mut report) = (0, 0, String::new());
    for line in include_str!("complaints.txt").lines().filter(|line| !line.starts_with('#')) {
        let [kind, said, causes] = line.split('|').collect::<Vec<_>>()[..] else { panic!("{line}") };
        let causes: Vec<String> = causes.split(' ').map(str::to_owned).collect();
        for cause in &causes {
            assert!(packs.faults.cause(cause).is_some(), "{cause}");
        }
        let seen = Observed { kind: kind.into(), said: said.into(), ..Observed::default() };
        let answer = fault::judged(&packs, &seen);
        let mark = fault_cases::mark(&answer, &causes);
        assert_ne!(mark, Mark::WrongAndSure, "{line}");
        all += 1;
        if mark == Mark::Right {
            right += 1;
        } else {
            let causes: Vec<String> = answer.causes.iter().take(4).map(|c| format!("{} {:.2}", c.cause, c.p)).collect();
            let heard: Vec<String> =
                answer.heard.iter().take(4).map(|h| format!("{} {:.2}", h.symptom, h.likeness)).collect();
            report.push_str(&format!("{kind}: {said}\n    {}\n    heard {}\n", causes.join(", "), heard.join(", ")));
        }
    }
    println!("{right} of {all}\n{report}");
    assert!(right * 5 >= all * 4, "{right} of {all}:\n{report}");
}

#[test]
fn what_cannot_be_used_is_refused_in_one_sentence() {
    let packs = packs();
    let refused = |text: &str| fault::read(&packs, text).unwrap_err();
    insta::assert_snapshot!(refused("{}"), @"Nothing is told: give the owner's words in said, or symptoms, or checks.");
    insta::assert_snapshot!(refused(r#"{"kind": "spining", "said": "x"}"#), @"No kind of reel is called “spining”. Nearest: spinning.");
    insta::assert_snapshot!(refused(r#"{"symptoms": {"s-bail-opn": "present"}}"#), @"No symptom is called “s-bail-opn”. Nearest: s-bail-open.");
    insta::assert_snapshot!(refused(r#"{"checks": {"k-hang": "x"}}"#), @"The check k-hang has no result “x”; it can be steady, pauses, wont, drops.");
    assert!(refused(r#"{"symptoms": {"s-bail-open": "perhaps"}}"#).starts_with("This is no description of a fault: "));
    assert!(refused(r#"{"sais": "x"}"#).contains("unknown field `sais`"));
}

#[test]
fn the_answer_puts_cautions_before_the_steps() {
    let packs = packs();
    let seen = fault::read(
        &packs,
        r#"{"kind": "spinning", "symptoms": {"s-bail-open": "present", "s-bail-floppy": "present"}, "checks": {"k-wire-loose": "none"}}"#,
    )
    .unwrap();
    let told = fault::tell(&fault::judged(&packs, &seen));
    println!("{told}");
    assert!(told.starts_with("Found, as far as this key goes: Bail spring broken."), "{told}");
    let remedy = &told[told.find("If it is this").unwrap()..];
    assert!(
        remedy.find("! Before lifting anything that holds a spring").unwrap() < remedy.find("1. ").unwrap(),
        "{remedy}"
    );
}

#[test]
fn a_file_is_judged_by_the_command() {
    let file = std::env::temp_dir().join(format!("tailplate-fault-{}.json", std::process::id()));
    std::fs::write(&file, r#"{"kind": "fly", "said": "drum won't come off"}"#).unwrap();
    let ask = |json: bool| {
        let mut args = vec!["fault".into(), file.clone().into_os_string()];
        args.extend(json.then(|| "--json".into()));
        let Ok(Command::Ask { question, json, packs, this_year }) = parse(args, 2026) else { panic!("not asked") };
        let mut out = Vec::new();
        command::ask(&question, json, &packs, this_year, &mut out).unwrap();
        String::from_utf8(out).unwrap()
    };
    let told = ask(false);
    let answer: serde_json::Value = serde_json::from_str(&ask(true)).unwrap();
    std::fs::remove_file(&file).unwrap();
    assert!(told.lines().all(|line| line.chars().count() <= 100), "{told}");
    assert_eq!(answer["heard"][0]["symptom"], "s-spool-off");
    assert_eq!(answer["finding"]["is"], "undecided");
    assert!(answer["causes"][0]["remedy"]["cautions"].as_array().is_some_and(|all| !all.is_empty()), "{answer}");
}
