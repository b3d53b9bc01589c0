//! Was it made when they say?

use crate::dating::{When, YearReason};
use crate::reference::{Confidence, Reference};

use super::super::evidence::{Evidence, Standing};
use super::super::{Claim, Finding, Firm, Ground, Meaning, Reason, Speaks};
use super::{Told, turned};

/// Years by which sources and sellers round.
const SLACK_YEARS: i32 = 2;
/// Less chance than this, with a firm reason beside it, contradicts.
const HARDLY: f64 = 0.02;
/// As much bears out.
const NEARLY_ALL: f64 = 0.85;

/// Reasons told at most.
const TOLD: usize = 3;

/// A span of years as claimed.
#[derive(Clone, Copy)]
struct Claimed {
    from: i32,
    to: i32,
}

impl Claimed {
    fn allows(self, from: Option<i32>, to: Option<i32>) -> bool {
        from.is_none_or(|from| from <= self.to + SLACK_YEARS) && to.is_none_or(|to| to >= self.from - SLACK_YEARS)
    }
}

pub(super) fn years(evidence: &Evidence, claim: &Claim, from: Option<i32>, to: Option<i32>) -> Told {
    let claimed = Claimed { from: from.unwrap_or(i32::MIN / 2), to: to.unwrap_or(evidence.this_year) };
    let mut reasons: Vec<Reason> = Vec::new();
    let mut borne_out = false;
    let known_copy = copy(evidence);
    // With the model taken as named, unless what was seen speaks against it.
    let by_model = evidence.when_model.as_ref().filter(|_| evidence.standing != Standing::Against);
    let grounds = [
        (Some(&evidence.when_seen), Ground::Dating),
        (Some(&evidence.when_text), Ground::Text),
        (by_model, Ground::Model),
    ];
    for (when, ground) in grounds {
        let Some(when) = when else { continue };
        let against: Vec<&YearReason> = when
            .reasons
            .iter()
            .filter(|reason| reason.confidence > Confidence::Low && !claimed.allows(reason.from, reason.to))
            .collect();
        // Two firm ends that clash bound nothing; `When` has dropped them then.
        let shut_out = when.not_before.is_some_and(|year| year > claimed.to)
            || when.not_after.is_some_and(|year| year < claimed.from);
        let share = share(when, claimed);
        // Only works and marks that the text is sure of may contradict by the text.
        if !against.is_empty() && (shut_out || ground != Ground::Text && share.is_some_and(|share| share < HARDLY)) {
            let why = against.iter().take(TOLD).map(|found| year_reason(found, Speaks::Against, ground));
            let mut told: Vec<Reason> = why.collect();
            told.extend(later_part(when));
            return (turned(claim, Finding::Contradicted), told);
        }
        reasons.extend(against.iter().take(TOLD).map(|found| year_reason(found, Speaks::Against, ground)));
        let Some((first, last)) = when.likely.filter(|_| !when.reasons.is_empty()) else { continue };
        let within = first >= claimed.from - SLACK_YEARS && last <= claimed.to + SLACK_YEARS;
        let carries = match ground {
            Ground::Dating => when.reasons.iter().any(|found| found.confidence > Confidence::Low),
            Ground::Model => matches!(evidence.standing, Standing::Named | Standing::Agrees),
            _ => false,
        };
        borne_out |= carries && (within || share.is_some_and(|share| share >= NEARLY_ALL));
        if against.is_empty() {
            let fitting = when.reasons.iter().filter(|found| found.from.or(found.to).is_some());
            reasons.extend(fitting.take(2).map(|found| year_reason(found, Speaks::For, ground)));
        }
    }
    if let Some(clash) = other_time(evidence, claim, claimed) {
        // Two times in one text can't both hold; one that the rest bears out stands.
        return if borne_out {
            (turned(claim, Finding::BorneOut), reasons)
        } else {
            (turned(claim, Finding::Contradicted), vec![clash])
        };
    }
    if let Some(reason) = known_copy {
        reasons.insert(0, reason);
        return (Finding::NotShown, reasons);
    }
    if borne_out {
        return (turned(claim, Finding::BorneOut), reasons);
    }
    if reasons.is_empty() {
        let words = "Nothing seen, in the text or known of a model named tells the years: a mark, a patent or a dated feature is needed.";
        reasons.push(Reason::new(Speaks::Neither, Ground::Dating, words));
    } else if reasons.iter().all(|reason| reason.speaks == Speaks::For) {
        let words = "These years are possible; other years are too.";
        reasons.push(Reason::new(Speaks::Neither, Ground::Dating, words));
    }
    dedup(&mut reasons);
    (Finding::NotShown, reasons)
}

fn dedup(reasons: &mut Vec<Reason>) {
    let mut kept: Vec<Reason> = Vec::new();
    for reason in reasons.drain(..) {
        if !kept.iter().any(|other| other.words == reason.words) {
            kept.push(reason);
        }
    }
    *reasons = kept;
}

/// Chance of the claimed years, rounding allowed for; `None` where nothing tells.
fn share(when: &When, claimed: Claimed) -> Option<f64> {
    when.likely?;
    let within = |year: i32| (claimed.from - SLACK_YEARS..=claimed.to + SLACK_YEARS).contains(&year);
    Some(when.by_year.iter().filter(|(year, _)| within(*year)).map(|(_, p)| f64::from(*p)).sum())
}

fn year_reason(found: &YearReason, speaks: Speaks, ground: Ground) -> Reason {
    let words = match ground {
        Ground::Text => format!("The text's own “{}”: {}", found.what, found.words),
        _ if found.words.starts_with(&found.what) => found.words.clone(),
        _ => format!("{}: {}", found.what, found.words),
    };
    Reason::new(speaks, ground, words).sourced(found.sources.clone())
}

/// The likely innocent cause, where the evidence itself clashes.
fn later_part(when: &When) -> Option<Reason> {
    let clash = when.clashes.first()?;
    Some(Reason::new(Speaks::Neither, Ground::Dating, format!("Mind: {}", clash.cause)))
}

/// Another time of the same text that this one can't be squared with.
fn other_time(evidence: &Evidence, claim: &Claim, claimed: Claimed) -> Option<Reason> {
    let plain = |claim: &Claim| !claim.denied && matches!(claim.firm, Firm::Stated | Firm::Vouched);
    if !plain(claim) {
        return None;
    }
    evidence.claims.iter().filter(|other| plain(other) && other.start != claim.start).find_map(|other| {
        let apart = match other.meaning {
            Meaning::Years { from, to } => !claimed.allows(from, to),
            _ => false,
        };
        let words = format!("The text itself says “{}” and “{}”: both can't hold.", claim.quote, other.quote);
        apart.then(|| Reason::new(Speaks::Against, Ground::Text, words))
    })
}

/// A modern copy of what is claimed, if it goes by this name and nothing seen tells it apart.
pub(super) fn copy(evidence: &Evidence) -> Option<Reason> {
    let (copy, fit) = copy_fit(evidence)?;
    let words = match fit {
        0 => {
            format!("{} is known of this name ({}), and nothing seen tells it apart.", capital(&copy.name), copy.words)
        }
        _ => format!("What was seen fits {}: {}.", copy.name, copy.words),
    };
    let sources = sources(evidence.reference, &copy.src);
    Some(Reason::new(Speaks::Against, Ground::Model, words).sourced(sources))
}

/// The copy, and how many features seen fit it; none if any does not, or if the name does not go with it.
pub(super) fn copy_fit<'a>(evidence: &Evidence<'a>) -> Option<(&'a crate::reference::KnownCopy, usize)> {
    let reference: &'a Reference = evidence.reference;
    reference.selling.copies.iter().find_map(|copy| {
        let model = reference.model(&copy.model)?;
        let brand = model.brand.as_deref().unwrap_or(&model.name);
        let claimed = evidence.claims.iter().any(|claim| match &claim.meaning {
            Meaning::Brand { name, .. } => name == brand,
            Meaning::Models { ids, .. } => {
                ids.contains(&model.id) || model.look_alikes.iter().any(|like| ids.contains(&like.model))
            }
            _ => false,
        });
        let upper = brand.to_uppercase();
        let marked = evidence.marks().any(|(_, text)| crate::marks::holds(text, &upper).is_some());
        if !claimed && !marked {
            return None;
        }
        let variants: Vec<_> = model.variants.iter().map(|variant| (model, variant, 1.0)).collect();
        let answers = evidence.answers.iter().filter_map(|seen| {
            let feature = reference.feature(seen.about.id()).filter(|feature| feature.id != "reel_kind")?;
            evidence.model_fits(&variants, feature, seen)
        });
        let fits: Vec<bool> = answers.collect();
        (!fits.contains(&false)).then_some((copy, fits.len()))
    })
}

fn capital(text: &str) -> String {
    let mut chars = text.chars();
    chars.next().map_or(String::new(), |first| first.to_uppercase().chain(chars).collect())
}

pub(super) fn sources(reference: &Reference, keys: &[String]) -> Vec<String> {
    keys.iter().map(|key| format!("{}/{key}", reference.selling.id)).collect()
}
