//! Is it by whom, and what, they say? And does it bear the marks they quote?

use crate::key::Verdict;
use crate::marks::holds;
use crate::observe::{About, Value};

use super::super::evidence::{Evidence, Standing};
use super::super::things::strangers;
use super::super::{Claim, Finding, Firm, Ground, Meaning, Reason, Speaks};
use super::Told;

fn one(finding: Finding, speaks: Speaks, ground: Ground, words: impl Into<String>) -> Told {
    (finding, vec![Reason::new(speaks, ground, words)])
}

fn likeness(claim: &Claim) -> Told {
    let words = format!("The seller only likens it to “{}”: that is no claim that it is one.", claim.quote);
    one(Finding::CantBeJudged, Speaks::Neither, Ground::Text, words)
}

fn names_of(evidence: &Evidence, ids: &[String]) -> String {
    let mut names: Vec<&str> = ids.iter().take(3).map(|id| evidence.reference.maker_name(id)).collect();
    names.dedup();
    names.join(" or ")
}

pub(super) fn maker(evidence: &Evidence, claim: &Claim, ids: &[String]) -> Told {
    if claim.firm == Firm::Likeness {
        return likeness(claim);
    }
    let flip = |finding| super::turned(claim, finding);
    let by_key = match &evidence.seen.verdict {
        Verdict::Settled { model } => evidence.reference.model(model).map(|model| model.maker.clone()),
        Verdict::Maker { maker } => Some(maker.clone()),
        Verdict::Undecided | Verdict::NotInKey => None,
    };
    let mut reasons = vec![];
    if let Some(maker) = by_key {
        let name = evidence.reference.maker_name(&maker);
        // A brand on the reel is another's name: who made it for him is told by sources, not by the reel.
        let brand = evidence
            .seen
            .candidates
            .first()
            .and_then(|best| evidence.reference.model(&best.model))
            .filter(|model| model.maker == maker)
            .and_then(|model| model.brand.as_deref());
        match (brand, ids.contains(&maker)) {
            (None, true) => {
                let words = format!("What is read on it, with what was seen, names {name}.");
                return one(flip(Finding::BorneOut), Speaks::For, Ground::Seen, words);
            }
            (None, false) if strangers(evidence.reference, ids, std::slice::from_ref(&maker)) => {
                let words = format!("What is read on it, with what was seen, names another maker: {name}.");
                return one(flip(Finding::Contradicted), Speaks::Against, Ground::Seen, words);
            }
            (Some(brand), true) => {
                let words = format!(
                    "What is read on it goes with “{brand}”, which {name} is told to have made; his own name was not read."
                );
                reasons.push(Reason::new(Speaks::For, Ground::Model, words));
            }
            _ => {}
        }
    }
    reasons.extend(brand_read(evidence, ids));
    if let Some((finding, reason)) = second_maker(evidence, claim, ids) {
        reasons.push(reason);
        if finding == Finding::Contradicted && !claim.denied {
            return (finding, reasons);
        }
    }
    reasons.extend(lapsed(evidence, ids));
    if reasons.is_empty() {
        let words = format!("No mark seen names {}; features alone name no maker.", names_of(evidence, ids));
        reasons.push(Reason::new(Speaks::Neither, Ground::Seen, words));
    }
    (Finding::NotShown, reasons)
}

/// A name read on the reel that these makers are known to have struck for a seller.
fn brand_read(evidence: &Evidence, ids: &[String]) -> Option<Reason> {
    let makers = evidence.reference.makers.iter().filter(|maker| ids.contains(&maker.id));
    makers.into_iter().find_map(|maker| {
        let house = maker.house_brands.iter().find(|house| {
            let upper = house.brand.to_uppercase();
            evidence.marks().any(|(_, text)| holds(text, &upper).is_some())
        })?;
        let words = format!(
            "“{}” was read, a name of {}; {} is known to have supplied some that bear it.",
            house.brand, house.seller, maker.name
        );
        let sources = house.src.iter().map(|key| format!("{}/{key}", maker.pack)).collect();
        Some(Reason::new(Speaks::For, Ground::Model, words).sourced(sources))
    })
}

/// Another maker of the same text that has nothing to do with this one. Contradicted only where the other alone has the
/// reel's own name, or a model, behind it.
fn second_maker(evidence: &Evidence, claim: &Claim, ids: &[String]) -> Option<(Finding, Reason)> {
    if evidence.several {
        return None;
    }
    let plain = |other: &Claim| !other.denied && other.firm != Firm::Likeness;
    let others: Vec<(&Claim, &[String])> = evidence
        .claims
        .iter()
        .filter(|other| plain(other))
        .filter_map(|other| match &other.meaning {
            Meaning::Makers(makers) | Meaning::Brand { makers, .. } => Some((other, makers.as_slice())),
            _ => None,
        })
        .filter(|(_, makers)| strangers(evidence.reference, ids, makers))
        .collect();
    let (other, makers) = others.first()?;
    // A row of names is a row of search words.
    let strangers_apart = others.iter().any(|(_, more)| strangers(evidence.reference, makers, more));
    let mine = supported(evidence, ids);
    let theirs = others.iter().any(|(_, makers)| supported(evidence, makers));
    let words = format!("The same text names “{}” and “{}”: one reel has one maker.", other.quote, claim.quote);
    let finding =
        if theirs && !mine && !strangers_apart && plain(claim) { Finding::Contradicted } else { Finding::NotShown };
    Some((finding, Reason::new(Speaks::Against, Ground::Text, words)))
}

/// Whether a mark, a brand or a model of the text stands behind these makers.
fn supported(evidence: &Evidence, ids: &[String]) -> bool {
    let by_mark = brand_read(evidence, ids).is_some();
    let by_text = evidence.claims.iter().any(|claim| match &claim.meaning {
        Meaning::Brand { makers, .. } => makers.iter().any(|maker| ids.contains(maker)),
        Meaning::Models { ids: models, .. } => {
            models.iter().filter_map(|id| evidence.reference.model(id)).any(|model| ids.contains(&model.maker))
        }
        _ => false,
    });
    let by_key = evidence.seen.makers.iter().any(|(maker, p)| *p > 0.5 && ids.contains(maker));
    by_mark || by_text || by_key
}

/// A firm that was not at work when the reel was surely made.
fn lapsed(evidence: &Evidence, ids: &[String]) -> Option<Reason> {
    let when = &evidence.when_seen;
    evidence.reference.makers.iter().filter(|maker| ids.contains(&maker.id)).find_map(|maker| {
        let early = matches!((when.not_after, maker.active.from), (Some(last), Some(from)) if last < from);
        let late = matches!((when.not_before, maker.active.to), (Some(first), Some(to)) if first > to);
        let span = match (maker.active.from, maker.active.to) {
            (Some(from), Some(to)) => format!("from {from} to {to}"),
            (Some(from), None) => format!("from {from} on"),
            (None, Some(to)) => format!("until {to}"),
            (None, None) => return None,
        };
        (early || late).then(|| {
            let words = format!("{} made reels {span}, and the marks are of another time.", maker.name);
            Reason::new(Speaks::Against, Ground::Model, words)
        })
    })
}

pub(super) fn brand(evidence: &Evidence, claim: &Claim, name: &str, makers: &[String]) -> Told {
    if claim.firm == Firm::Likeness {
        return likeness(claim);
    }
    let upper = name.to_uppercase();
    let first_word = claim.quote.to_uppercase();
    let read = evidence.marks().find(|(_, text)| holds(text, &upper).is_some() || holds(text, &first_word).is_some());
    let supplied = format!(
        "It is a name that {} supplied reels for; the maker is told by more than the name.",
        names_of(evidence, makers)
    );
    let about = Reason::new(Speaks::Neither, Ground::Model, supplied);
    if let Some(copy) = super::eras::copy(evidence) {
        return (Finding::NotShown, vec![copy]);
    }
    match read {
        Some((_, text)) => {
            let words = format!("“{text}” was read on it.");
            (super::turned(claim, Finding::BorneOut), vec![Reason::new(Speaks::For, Ground::Seen, words), about])
        }
        None => {
            let words = "The name was not read on the reel.";
            (Finding::NotShown, vec![Reason::new(Speaks::Neither, Ground::Seen, words), about])
        }
    }
}

pub(super) fn model(evidence: &Evidence, claim: &Claim) -> Told {
    if claim.firm == Firm::Likeness {
        return likeness(claim);
    }
    // Only the first model of the text was gone into.
    let first = evidence
        .claims
        .iter()
        .find(|other| matches!(other.meaning, Meaning::Models { .. }) && !other.denied && other.firm != Firm::Likeness);
    if first.is_none_or(|first| first != claim) {
        let words = match first {
            Some(first) => {
                format!("The text names “{}” first; what was seen was held against that model.", first.quote)
            }
            None => "The seller says that it is another.".to_owned(),
        };
        return one(Finding::NotShown, Speaks::Neither, Ground::Text, words);
    }
    let mut reasons: Vec<Reason> = evidence
        .standing_words
        .iter()
        .map(|(speaks_for, words)| {
            Reason::new(if *speaks_for { Speaks::For } else { Speaks::Against }, Ground::Seen, words.clone())
        })
        .collect();
    if let Some(copy) = super::eras::copy(evidence) {
        reasons.insert(0, copy);
        return (Finding::NotShown, reasons);
    }
    let finding = match evidence.standing {
        Standing::Named => Finding::BorneOut,
        Standing::Against => Finding::Contradicted,
        Standing::Agrees | Standing::Open => Finding::NotShown,
    };
    if finding == Finding::NotShown {
        let words = "No name or number read on the reel settles that it is this model.";
        reasons.push(Reason::new(Speaks::Neither, Ground::Seen, words));
    }
    (finding, reasons)
}

pub(super) fn mark(evidence: &Evidence, text: &str) -> Told {
    let struck: String = text.chars().take(80).collect::<String>().to_uppercase().replace('?', " ");
    if let Some((_, read)) = evidence.marks().find(|(_, read)| holds(read, &struck).is_some()) {
        return one(Finding::BorneOut, Speaks::For, Ground::Seen, format!("“{read}” was read on it."));
    }
    let origin = |text: &str| text.trim_start().to_uppercase().starts_with("MADE IN ");
    if let Some((_, read)) =
        evidence.marks().find(|(_, read)| origin(read) && origin(text) && !read.contains(['?', '*']))
    {
        return one(Finding::Contradicted, Speaks::Against, Ground::Seen, format!("“{read}” was read on it."));
    }
    let looked: Vec<&str> = evidence
        .answers
        .iter()
        .filter(|seen| seen.value == Value::Absent)
        .filter_map(|seen| match &seen.about {
            About::Mark(place) => evidence.reference.mark_place(place).map(|place| place.label.as_str()),
            About::Feature(_) => None,
        })
        .collect();
    let mut reasons = Vec::new();
    if !looked.is_empty() {
        let words = format!("No mark was found here: {}.", looked.join("; "));
        reasons.push(Reason::new(Speaks::Against, Ground::Seen, words));
    }
    reasons.push(Reason::new(Speaks::Neither, Ground::Seen, "No photo or reading shows this mark yet."));
    (Finding::NotShown, reasons)
}
