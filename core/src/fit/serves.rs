//! A reel on a table: which open needs would it serve, and what is it worth to this shop as a donor?

use std::collections::BTreeMap;

use serde::Serialize;

use super::answer::{Answer, Fits};
use super::plan::matching::{Places, best_matching};
use super::words::{of_kind, roles, settle};
use super::{Trust, compare};
use crate::reference::{Reference, WeakPart, end_parts};
use crate::shop::{Need, Part, Price, Wear};

/// One need and the part that would serve it.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Served {
    /// Place in the list of needs.
    pub need: usize,
    pub role: String,
    pub wear: Wear,
    pub answer: Answer,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub risk: Option<String>,
}

/// What a donor would do for the shop.
#[derive(Debug, Clone, Default, PartialEq, Serialize)]
pub struct Serves {
    pub served: Vec<Served>,
    /// Parts that are there but too worn, with the needs they would have served.
    pub too_worn: Vec<(usize, String)>,
    /// What the served needs are worth, by currency, in hundredths.
    pub needs_worth: BTreeMap<String, i64>,
    /// What the remaining parts are worth as stock, as far as the shop has noted it.
    pub stock_worth: BTreeMap<String, i64>,
    /// Served needs and usable parts for which no worth is noted.
    pub without_worth: usize,
    pub words: Vec<String>,
}

/// The roles a need may mean, given the reel it is for.
pub(super) fn need_roles(reference: &Reference, need: &Need, into: &str) -> Vec<String> {
    let found = roles(&reference.parts, &need.part).roles;
    let found = if found.is_empty() { vec![need.part.trim().to_lowercase()] } else { found };
    match reference.model(end_parts(into).0) {
        Some(model) => of_kind(&reference.parts, found, &model.kind),
        None => found,
    }
}

/// What is known to go first on this reel, among these parts.
pub fn weak_of<'a>(reference: &'a Reference, role: &str, donor: &str) -> Option<&'a WeakPart> {
    let (id, versions) = end_parts(donor);
    let kind = reference.model(id).map(|model| model.kind.as_str());
    reference.parts.weak.iter().find(|weak| {
        let model = weak.models.iter().any(|end| {
            let (model, version) = end_parts(end);
            model == id && (version.is_empty() || versions.is_empty() || version == versions)
        });
        let kind = weak.kinds.iter().any(|one| Some(one.as_str()) == kind);
        let any = weak.models.is_empty() && weak.kinds.is_empty();
        weak.roles.iter().any(|one| one == role) && (model || kind || any)
    })
}

pub(super) fn risk_words(reference: &Reference, role: &str, donor: &str) -> Option<String> {
    let weak = weak_of(reference, role, donor)?;
    let label = reference.parts.role_label(role);
    Some(format!("{label}: a weak part, so the donor's is likely worn too. {} Look before buying.", weak.why))
}

/// A part that a donor can give.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Gives {
    pub role: String,
    pub of: String,
    pub wear: Wear,
    pub part: Option<usize>,
}

/// What a reel gives: its listed parts that are still there; every part needed, once, where nothing is listed.
pub(super) fn gives(reference: &Reference, model: &str, parts: &[Part], wanted: &[Vec<String>]) -> Vec<Gives> {
    let mut gives = Vec::new();
    if parts.is_empty() {
        let kind = reference.model(end_parts(model).0).map(|model| model.kind.as_str());
        let mut all: Vec<&String> = wanted.iter().flatten().collect();
        all.sort();
        all.dedup();
        for role in all {
            let has = reference
                .parts
                .role(role)
                .is_none_or(|known| kind.is_none_or(|kind| known.kinds.iter().any(|k| k == kind)));
            if has {
                gives.push(Gives { role: role.clone(), of: model.into(), wear: Wear::NotLooked, part: None });
            }
        }
    }
    for (at, part) in parts.iter().enumerate() {
        let of = if part.model.is_empty() { model.to_owned() } else { settle(reference, &part.model) };
        let named = roles(&reference.parts, &part.role).roles;
        // Words that mean several roles: any of them that is wanted.
        let role = named.iter().find(|role| wanted.iter().flatten().any(|one| one == *role)).or(named.first());
        let role = role.cloned().unwrap_or_else(|| part.role.trim().to_lowercase());
        for _ in 0..part.left().min(1000) {
            gives.push(Gives { role: role.clone(), of: of.clone(), wear: part.wear, part: Some(at) });
        }
    }
    gives
}

/// The answer for a part and a need, with the measures of both.
pub(super) fn answer_for(fits: &Fits, gives: &Gives, parts: &[Part], need: &Need, into: &str) -> Answer {
    let mut answer = fits.answer(&gives.role, &gives.of, into);
    if let Some(part) = gives.part.map(|at| &parts[at]) {
        answer.measured(&compare(&fits.reference.parts, &gives.role, &need.readings, &part.readings));
    }
    answer
}

/// What a donor would do for the open needs. `stock_worth`: what the shop gets for a part of a role; figures are never made up.
pub fn serves(
    fits: &Fits,
    model: &str,
    parts: &[Part],
    needs: &[Need],
    stock_worth: &BTreeMap<String, Price>,
    asking: Option<&Price>,
) -> Serves {
    let reference = fits.reference;
    let model = settle(reference, model);
    let ends: Vec<String> = needs.iter().map(|need| settle(reference, &need.model)).collect();
    let wanted: Vec<Vec<String>> =
        needs.iter().zip(&ends).map(|(need, into)| need_roles(reference, need, into)).collect();
    let gives = gives(reference, &model, parts, &wanted);
    let mut out = Serves::default();
    let mut answers: BTreeMap<(usize, usize), Answer> = BTreeMap::new();
    let mut places: Places = Vec::new();
    for (at, need) in needs.iter().enumerate() {
        let mut by = Vec::new();
        for (unit, one) in gives.iter().enumerate().filter(|(_, one)| open(need) && wanted[at].contains(&one.role)) {
            let answer = answer_for(fits, one, parts, need, &ends[at]);
            if !answer.verdict.may_serve() || answer.trust < Trust::Possible {
                continue;
            }
            if !one.wear.usable() {
                out.too_worn.push((at, one.role.clone()));
                continue;
            }
            by.push((unit, answer.strength));
            answers.insert((at, unit), answer);
        }
        crate::order::by(&mut by, |a, b| b.1.total_cmp(&a.1));
        places.push(by.into_iter().map(|(unit, _)| unit).collect());
    }
    let mut order: Vec<usize> = (0..needs.len()).collect();
    order.sort_by_key(|&at| std::cmp::Reverse(needs[at].urgency));
    let taken = best_matching(&order, &places, gives.len(), &|_| true);
    for (need, unit) in taken.iter().enumerate().filter_map(|(need, unit)| Some((need, (*unit)?))) {
        let Some(answer) = answers.remove(&(need, unit)) else { continue };
        match &needs[need].worth {
            Some(price) => *out.needs_worth.entry(price.currency.clone()).or_default() += price.hundredths(),
            None => out.without_worth += 1,
        }
        let one = &gives[unit];
        let risk = risk_words(reference, &one.role, &model).filter(|_| one.wear == Wear::NotLooked);
        out.served.push(Served { need, role: one.role.clone(), wear: one.wear, answer, risk });
    }
    for (unit, one) in gives.iter().enumerate().filter(|(_, one)| one.part.is_some() && one.wear.usable()) {
        if taken.contains(&Some(unit)) {
            continue;
        }
        match stock_worth.get(&one.role) {
            Some(price) => *out.stock_worth.entry(price.currency.clone()).or_default() += price.hundredths(),
            None => out.without_worth += 1,
        }
    }
    out.words = verdict_words(&out, needs, asking);
    out
}

pub(super) fn open(need: &Need) -> bool {
    need.settled_ms.is_none() && need.deleted_ms.is_none()
}

fn verdict_words(out: &Serves, needs: &[Need], asking: Option<&Price>) -> Vec<String> {
    let waiting = out.served.iter().filter(|one| needs[one.need].urgency == 3).count();
    let mut words = vec![match out.served.len() {
        0 => "It would serve none of the open needs.".to_owned(),
        1 => "It would serve one open need.".to_owned(),
        n => format!("It would serve {n} open needs."),
    }];
    match waiting {
        0 => {}
        1 => words.push("A customer waits for one of them.".into()),
        n => words.push(format!("Customers wait for {n} of them.")),
    }
    if let Some(asking) = asking {
        let of = |worth: &BTreeMap<String, i64>| worth.get(&asking.currency).copied().unwrap_or(0);
        let worth = of(&out.needs_worth) + of(&out.stock_worth);
        let money = |hundredths: i64| format!("{}.{:02} {}", hundredths / 100, hundredths % 100, asking.currency);
        let over = worth - asking.hundredths();
        words.push(if worth == 0 {
            format!("Asked {asking}; no worth is noted for what it would give, so no figure can be set against that.")
        } else if over >= 0 {
            format!("Worth {} to this shop, {} more than the {asking} asked.", money(worth), money(over))
        } else {
            format!("Worth {} to this shop, {} less than the {asking} asked.", money(worth), money(-over))
        });
        if out.without_worth > 0 && worth > 0 {
            words.push(format!("{} more parts have no worth noted and are not in that figure.", out.without_worth));
        }
    }
    words
}
