//! The answer to `listing` in plain sentences.
//!
//! With `--json` the same answer has these fields; new ones may be added, none goes or changes its meaning:
//! - `claims`: in the order of the text; `kind` (maker, brand, model, kind, era, material, feature, mark, measure, count,
//!   completeness, working, originality, condition, damage, rarity, special, version, age-proof), `start` and `end` (bytes
//!   of the text), `quote`, `meaning` (one field, named by what it means), `denied` (the seller says that it is not so),
//!   `firm` (vouched, stated, guessed, likeness);
//! - `verdicts`: one a claim; `claim` (its place), `finding` (borne-out, contradicted, not-shown, cant-be-judged),
//!   `reasons` (`words`, `speaks` for, against or neither, `ground` seen, text, model, dating or trade, `sources`);
//! - `asks`: best first; `request`, `why`, `about`, `effort`, `gain_bits`, `gain_per_effort`, `claims`;
//! - `message`: the first asks, ready to send; `problems`: observations not used, and why.

use tailplate_core::listing::{Firm, Speaks};

use crate::answer::Heard;
use crate::page::Page;

pub fn told(heard: &Heard) -> String {
    let mut page = Page::default();
    if heard.claims.is_empty() {
        page.say("Nothing in this text is a claim that could be judged.");
    }
    for verdict in &heard.judged.verdicts {
        let claim = &heard.claims[verdict.claim];
        let firm = match claim.firm {
            Firm::Vouched => " (vouched for)",
            Firm::Stated => "",
            Firm::Guessed => " (put as a guess)",
            Firm::Likeness => " (put as a likeness)",
        };
        let quote = claim.quote.split_whitespace().collect::<Vec<_>>().join(" ");
        let quote = if claim.denied { format!("not “{quote}”") } else { format!("“{quote}”") };
        page.heading(&format!("{quote}{firm}: {}", verdict.finding.words()));
        for reason in &verdict.reasons {
            let lead = match reason.speaks {
                Speaks::For => "  + ",
                Speaks::Against => "  - ",
                Speaks::Neither => "    ",
            };
            page.hang(lead, &reason.words);
        }
    }
    if !heard.judged.asks.is_empty() {
        page.heading("What to ask for first");
        for ask in &heard.judged.asks {
            page.hang("  ", &ask.request);
            page.hang("    ", &ask.why);
        }
    }
    if !heard.judged.message.is_empty() {
        page.heading("A message to send");
        for line in heard.judged.message.lines() {
            page.hang("  ", line);
        }
    }
    if !heard.judged.problems.is_empty() {
        page.heading("Not used");
        for problem in &heard.judged.problems {
            page.hang("  ", problem);
        }
    }
    page.text()
}
