//! Known cases: real reels with what a person could see, and what is known of them. They go through exactly the code of
//! the command line. The worst result is to be sure and wrong.

use std::path::{Path, PathBuf};

use serde::de::DeserializeOwned;
use serde::{Deserialize, Serialize};
use tailplate_core::key::Verdict;
use tailplate_core::observe::Sheet;

use crate::answer::{Desk, Named};
use crate::tell::check_name;

/// Years by which an answer may lie outside what is known and still be right: sources round.
const SLACK_YEARS: i32 = 2;

#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Ask {
    Identify,
    Date,
}

#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct CaseSource {
    pub title: String,
    pub url: String,
    /// `observed`: one real reel; `composed`: put together from what a source says.
    pub origin: String,
}

/// What must never be said.
#[derive(Debug, Clone, Default, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct NotToClaim {
    /// Maker ids; `*` for any.
    pub makers: Vec<String>,
    /// Years that must not be given as the year of making.
    pub years: Vec<i32>,
}

#[derive(Debug, Clone, Default, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct Expect {
    /// Maker id; none: no maker can be named.
    pub maker: Option<String>,
    pub model: Option<String>,
    pub earliest: Option<i32>,
    pub latest: Option<i32>,
    pub must_not_claim: NotToClaim,
    /// Of each list, one must stand in the notes or the reasons.
    pub must_flag: Vec<Vec<String>>,
    /// Of each list, one must be asked for: a place or feature to look at, by id or in words, among the next checks or in
    /// a note that says to look there.
    pub must_ask: Vec<Vec<String>>,
}

#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Case {
    #[serde(skip)]
    pub name: String,
    pub ask: Ask,
    pub source: CaseSource,
    pub sheet: Sheet,
    pub expect: Expect,
    /// What the case tells that no question asks for.
    #[serde(default)]
    pub no_question_for: Vec<String>,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Mark {
    Right,
    Undecided,
    WrongAndSure,
}

#[derive(Debug, Clone, Serialize)]
pub struct Outcome {
    pub name: String,
    pub mark: Mark,
    /// What was said.
    pub said: String,
    /// What it falls short of, or gets wrong.
    pub short: Vec<String>,
    pub next_check: Option<String>,
}

/// Reads every case of a folder, by name.
///
/// # Errors
/// A sentence naming the file.
pub fn read(folder: &Path) -> Result<Vec<Case>, String> {
    read_named(folder, |case: &mut Case, name| case.name = name)
}

/// Reads every case of any sort in a folder, in the order of the files' names, which become theirs.
///
/// # Errors
/// A sentence naming the file.
pub fn read_named<C: DeserializeOwned>(folder: &Path, set_name: fn(&mut C, String)) -> Result<Vec<C>, String> {
    let told = |error: std::io::Error| format!("{} can't be read: {error}.", folder.display());
    let entries: Result<Vec<_>, _> = std::fs::read_dir(folder).map_err(told)?.collect();
    let mut paths: Vec<_> = entries.map_err(told)?.into_iter().map(|entry| entry.path()).collect();
    paths.retain(|path| path.extension().is_some_and(|ending| ending == "json"));
    paths.sort();
    let read = |path: &PathBuf| {
        let text = std::fs::read_to_string(path).map_err(told)?;
        let mut case: C = serde_json::from_str(&text).map_err(|error| format!("{}: {error}.", path.display()))?;
        set_name(&mut case, path.file_stem().map(|stem| stem.to_string_lossy().into_owned()).unwrap_or_default());
        Ok(case)
    };
    paths.iter().map(read).collect()
}

/// Runs one case as the command line would.
pub fn run(desk: &Desk, case: &Case) -> Outcome {
    let answer = desk.identify(&case.sheet);
    let (maker, model) = claimed(desk, &answer);
    let expect = &case.expect;
    let mut wrong = Vec::new();
    let mut short = Vec::new();

    match (&maker, &expect.maker) {
        (Some(said), Some(right)) if said != right => wrong.push(format!("names {said}, not {right}")),
        (Some(said), None) => wrong.push(format!("names {said} where no maker can be named")),
        (None, Some(right)) => short.push(format!("does not name {right}")),
        _ => {}
    }
    match (&model, &expect.model) {
        (Some(said), Some(right)) if said != right => wrong.push(format!("says {said}, not {right}")),
        (None, Some(right)) => short.push(format!("does not settle {right}")),
        _ => {}
    }
    if let Some(said) = &maker {
        let banned = &expect.must_not_claim.makers;
        if banned.iter().any(|banned| banned == "*" || banned == said) {
            wrong.push(format!("claims {said}"));
        }
    }
    years(&answer, expect, &mut wrong, &mut short);
    let told = everything_told(&answer);
    for any_of in &expect.must_flag {
        if !any_of.iter().any(|words| told.contains(&words.to_lowercase())) {
            short.push(format!("does not mention “{}”", any_of.join("” or “")));
        }
    }
    let asked = everything_asked(&answer);
    for any_of in &expect.must_ask {
        if !any_of.iter().any(|words| asked.contains(&words.to_lowercase())) {
            short.push(format!("does not ask for {}", any_of.join(" or ")));
        }
    }
    let mark = match (wrong.is_empty(), short.is_empty()) {
        (false, _) => Mark::WrongAndSure,
        (true, false) => Mark::Undecided,
        (true, true) => Mark::Right,
    };
    wrong.extend(short);
    Outcome {
        name: case.name.clone(),
        mark,
        said: format!(
            "{}, {}, {}",
            maker.as_deref().unwrap_or("no maker"),
            model.as_deref().unwrap_or("no model"),
            answer.when.likely.map_or("no years".into(), |(from, to)| format!("{from}–{to}"))
        ),
        short: wrong,
        next_check: answer.identification.next_checks.first().map(|check| check_name(&check.about, check.effort)),
    }
}

/// Maker and model that the answer puts firmly.
fn claimed(desk: &Desk, answer: &Named) -> (Option<String>, Option<String>) {
    match &answer.identification.verdict {
        Verdict::Settled { model } => {
            (desk.reference.model(model).map(|model| model.maker.clone()), Some(model.clone()))
        }
        Verdict::Maker { maker } => (Some(maker.clone()), None),
        Verdict::Undecided | Verdict::NotInKey => (None, None),
    }
}

fn years(answer: &Named, expect: &Expect, wrong: &mut Vec<String>, short: &mut Vec<String>) {
    let when = &answer.when;
    let (earliest, latest) = (expect.earliest.unwrap_or(i32::MIN / 2), expect.latest.unwrap_or(i32::MAX / 2));
    if when.not_before.is_some_and(|year| year > latest) || when.not_after.is_some_and(|year| year < earliest) {
        wrong.push("a firm year shuts out the right ones".into());
    }
    if let Some((from, to)) = when.likely {
        for year in &expect.must_not_claim.years {
            // Said to be of that very time, not merely within a wide range.
            if (from - year).abs() <= SLACK_YEARS && (to - year).abs() <= SLACK_YEARS {
                wrong.push(format!("dates it {year}"));
            }
        }
    }
    if expect.earliest.is_none() && expect.latest.is_none() {
        return;
    }
    match when.likely {
        None => short.push("gives no years".into()),
        Some((from, to)) if from > latest || to < earliest => wrong.push(format!("says {from} to {to}")),
        Some((from, to)) if from >= earliest - SLACK_YEARS && to <= latest + SLACK_YEARS => {}
        Some((from, to)) => short.push(format!("{from} to {to} is wider than what is known")),
    }
}

/// What the answer asks to look at, in lower case: the next checks, and notes that send one to look.
fn everything_asked(answer: &Named) -> String {
    const SENDS: [&str; 4] = ["look at", "look for", "look inside", "confirm with"];
    let notes = answer.when.notes.iter().map(|note| note.to_lowercase());
    let mut all: Vec<String> = notes.filter(|note| SENDS.iter().any(|words| note.contains(words))).collect();
    for check in &answer.identification.next_checks {
        all.push(format!("{} {}", check.about.id(), check.ask).to_lowercase());
    }
    all.join("\n")
}

/// All words of the answer but the candidates' own reasons, in lower case.
fn everything_told(answer: &Named) -> String {
    let when = &answer.when;
    let mut all: Vec<&str> = when.notes.iter().map(String::as_str).collect();
    all.extend(when.reasons.iter().flat_map(|reason| [reason.what.as_str(), &reason.words]));
    all.extend(when.clashes.iter().map(|clash| clash.cause.as_str()));
    let checks = &answer.identification.next_checks;
    all.extend(checks.iter().flat_map(|check| [check.about.id(), &check.ask, &check.why]));
    all.join("\n").to_lowercase()
}
