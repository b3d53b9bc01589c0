//! Known listings: a seller's text, what its photos showed, and what became of each claim. They go through exactly the
//! code of the command line. The worst result is a firm verdict that is wrong.

use std::path::Path;

use serde::{Deserialize, Serialize};
use tailplate_core::listing::Finding;
use tailplate_core::observe::Sheet;

use crate::answer::{Desk, Heard};
use crate::cases::{CaseSource, Mark, read_named};

/// A claim and its known verdict. The claim is found by its words, and its kind where these could be another's.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Expected {
    /// As the case words it.
    pub claim: String,
    /// Words that the claim's part of the text holds.
    pub quote: String,
    /// Kind of the claim, as in the answer's JSON.
    #[serde(default)]
    pub kind: Option<String>,
    /// As in the answer's JSON.
    pub finding: String,
    /// Which way a reason must point at least: `for`, `against`.
    #[serde(default)]
    pub with: Option<String>,
}

#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Case {
    #[serde(skip)]
    pub name: String,
    pub source: CaseSource,
    pub text: String,
    pub sheet: Sheet,
    pub expect: Vec<Expected>,
    /// Of each list, one must be asked for.
    #[serde(default)]
    pub must_ask: Vec<Vec<String>>,
    #[serde(default)]
    pub no_question_for: Vec<String>,
}

/// One claim of a case.
#[derive(Debug, Clone, Serialize)]
pub struct Outcome {
    pub case: String,
    pub claim: String,
    pub mark: Mark,
    pub said: String,
}

/// Reads every case of a folder, by name.
pub fn read(folder: &Path) -> Result<Vec<Case>, String> {
    read_named(folder, |case: &mut Case, name| case.name = name)
}

/// Runs one case as the command line would.
pub fn run(desk: &Desk, case: &Case) -> Vec<Outcome> {
    let heard = desk.listing(&case.text, &case.sheet);
    let mut outcomes: Vec<Outcome> = case.expect.iter().map(|expected| claim(case, &heard, expected)).collect();
    let asked: String = heard.judged.asks.iter().map(|ask| format!("{} {}\n", ask.request, ask.why)).collect();
    for any_of in &case.must_ask {
        let mark = if any_of.iter().any(|words| asked.to_lowercase().contains(&words.to_lowercase())) {
            Mark::Right
        } else {
            Mark::Undecided
        };
        let claim = format!("asks for {}", any_of.join(" or "));
        outcomes.push(Outcome { case: case.name.clone(), claim, mark, said: String::new() });
    }
    outcomes
}

fn claim(case: &Case, heard: &Heard, expected: &Expected) -> Outcome {
    let wanted = expected.quote.to_lowercase();
    let found = heard.judged.verdicts.iter().find(|verdict| {
        let claim = &heard.claims[verdict.claim];
        claim.quote.to_lowercase().contains(&wanted)
            && expected.kind.as_ref().is_none_or(|kind| word(&claim.kind) == *kind)
    });
    let (mark, said) = match found {
        None => (Mark::Undecided, "not read as a claim".to_owned()),
        Some(verdict) => {
            let said = word(&verdict.finding);
            let with = expected
                .with
                .as_ref()
                .is_none_or(|with| verdict.reasons.iter().any(|reason| word(&reason.speaks) == *with));
            let firm = matches!(verdict.finding, Finding::BorneOut | Finding::Contradicted);
            let mark = match (said == expected.finding, firm) {
                (true, _) if with => Mark::Right,
                (true, _) => Mark::Undecided,
                (false, true) => Mark::WrongAndSure,
                (false, false) => Mark::Undecided,
            };
            let reasons: Vec<&str> = verdict.reasons.iter().map(|reason| reason.words.as_str()).collect();
            (mark, format!("{said}: {}", reasons.join(" | ")))
        }
    };
    Outcome { case: case.name.clone(), claim: expected.claim.clone(), mark, said }
}

/// The word that a value has in JSON.
fn word(value: &impl Serialize) -> String {
    serde_json::to_value(value).ok().and_then(|value| value.as_str().map(str::to_owned)).unwrap_or_default()
}
