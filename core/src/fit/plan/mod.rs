//! Which of the offered reels and parts to buy: the cheapest that serve the most urgent needs within a budget.

mod bound;
pub mod matching;
pub mod solve;

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};

use super::answer::{Answer, Fits};
use super::serves::{Gives, answer_for, gives, need_roles, open, risk_words};
use super::words::settle;
use super::{Trust, Verdict};
use crate::error::{Error, Result};
use crate::order;
use crate::reference::Reference;
use crate::shop::{Need, Part, Price, Wear};
use solve::{Choice, Problem, Progress, Search};

/// Branches looked into before the best plan so far is given.
pub const STEPS_MAX: u64 = 400;
/// And so many between two words on how far it is.
pub const TELL_EACH: u64 = 16;

/// A reel or a part for sale.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Offer {
    pub name: String,
    pub price: Price,
    /// `model` or `model@version`, or words that name one.
    #[serde(default)]
    pub model: String,
    /// What is there, with its wear; none listed: a whole reel nobody has looked into.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub parts: Vec<Part>,
}

/// A need and the part planned for it.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Planned {
    pub need: usize,
    pub role: String,
    pub wear: Wear,
    pub answer: Answer,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub risk: Option<String>,
}

#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Buy {
    /// Place in the list of offers.
    pub offer: usize,
    pub serves: Vec<Planned>,
    /// What is over: usable parts without a need, as labels.
    pub left_over: Vec<String>,
}

#[derive(Debug, Clone, Default, PartialEq, Serialize)]
pub struct Plan {
    pub buys: Vec<Buy>,
    /// Served from one's own boxes: `(part's place in the list, what it serves)`.
    pub from_stock: Vec<(usize, Planned)>,
    /// Needs not served, each with the reason.
    pub unserved: Vec<(usize, String)>,
    pub cost_hundredths: i64,
    pub left_hundredths: i64,
    pub currency: String,
    /// No better plan exists.
    pub proved: bool,
    /// Where that is not proved: what the best conceivable plan could serve.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub at_best: Option<String>,
    pub steps: u64,
}

/// Where a unit of the problem comes from.
struct Unit {
    gives: Gives,
    answers: BTreeMap<usize, Answer>,
}

/// A plan under way: it can be worked at piece by piece, told of, and stopped.
pub struct Planning {
    search: Search,
    sellers: Vec<(i64, Vec<Unit>)>,
    /// Needs that something would serve, were it not worn, or the word for it not so faint.
    worn: Vec<bool>,
    faint: Vec<bool>,
}

/// Plans in one go. `go_on` hears how far it is, and may stop it; then the best plan so far is given.
///
/// # Errors
/// Offers in another currency than the budget.
pub fn plan_buys(
    fits: &Fits,
    needs: &[Need],
    offers: &[Offer],
    spares: &[Part],
    budget: &Price,
    steps_max: u64,
    go_on: &mut dyn FnMut(Progress) -> bool,
) -> Result<Plan> {
    let mut planning = Planning::new(fits, needs, offers, spares, budget, steps_max)?;
    while go_on(planning.progress()) && !planning.work(TELL_EACH) {}
    Ok(planning.plan(fits.reference, needs, offers, budget))
}

impl Planning {
    /// Looks up what fits what.
    ///
    /// # Errors
    /// Offers in another currency than the budget.
    pub fn new(
        fits: &Fits,
        needs: &[Need],
        offers: &[Offer],
        spares: &[Part],
        budget: &Price,
        steps_max: u64,
    ) -> Result<Self> {
        if let Some(offer) = offers.iter().find(|offer| offer.price.currency != budget.currency) {
            return Err(Error::invalid(format!(
                "“{}” is offered in {}, the budget is in {}. Write both in one currency.",
                offer.name, offer.price.currency, budget.currency
            )));
        }
        let reference = fits.reference;
        let ends: Vec<String> = needs.iter().map(|need| settle(reference, &need.model)).collect();
        let wanted: Vec<Vec<String>> =
            needs.iter().zip(&ends).map(|(need, into)| need_roles(reference, need, into)).collect();
        let mut worn = vec![false; needs.len()];
        let mut faint = vec![false; needs.len()];
        let mut memory: BTreeMap<(String, String, usize), Answer> = BTreeMap::new();
        let mut units_of = |model: &str, parts: &[Part]| -> Vec<Unit> {
            let mut units: Vec<Unit> = Vec::new();
            for gives in gives(reference, model, parts, &wanted) {
                let mut answers = BTreeMap::new();
                for (at, need) in
                    needs.iter().enumerate().filter(|(at, need)| open(need) && wanted[*at].contains(&gives.role))
                {
                    let measured = !need.readings.is_empty();
                    let key = (gives.role.clone(), gives.of.clone(), at);
                    let answer = match memory.get(&key).filter(|_| !measured) {
                        Some(answer) => answer.clone(),
                        None => answer_for(fits, &gives, parts, need, &ends[at]),
                    };
                    if !measured {
                        memory.insert(key, answer.clone());
                    }
                    if answer.verdict.may_serve() && answer.trust < Trust::Possible {
                        faint[at] = true;
                    } else if answer.verdict.may_serve() && !gives.wear.usable() {
                        worn[at] = true;
                    } else if answer.verdict.may_serve() {
                        answers.insert(at, answer);
                    }
                }
                units.push(Unit { gives, answers });
            }
            units
        };
        // One's own boxes come first and cost nothing.
        let mut sellers: Vec<(i64, Vec<Unit>)> = vec![(0, units_of("", spares))];
        for offer in offers {
            sellers.push((offer.price.hundredths(), units_of(&settle(reference, &offer.model), &offer.parts)));
        }
        if spares.is_empty() {
            sellers[0].1.clear();
        }
        let choice = |(price, units): &(i64, Vec<Unit>)| Choice {
            price: *price,
            units: units.iter().map(|unit| unit.answers.keys().copied().collect()).collect(),
        };
        let problem = Problem {
            budget: budget.hundredths(),
            choices: sellers.iter().map(choice).collect(),
            urgency: needs.iter().map(|need| need.urgency).collect(),
        };
        Ok(Self { search: Search::new(problem, steps_max), sellers, worn, faint })
    }

    /// Looks into at most so many branches; true when there is nothing left to do.
    pub fn work(&mut self, steps: u64) -> bool {
        self.search.work(steps)
    }

    pub fn progress(&self) -> Progress {
        self.search.progress()
    }

    /// The best plan so far, for what it was begun with.
    pub fn plan(&self, reference: &Reference, needs: &[Need], offers: &[Offer], budget: &Price) -> Plan {
        let Self { search, sellers, worn, faint } = self;
        let problem = search.problem();
        let found = search.solution();
        let mut plan = Plan {
            cost_hundredths: found.cost,
            left_hundredths: problem.budget - found.cost,
            currency: budget.currency.clone(),
            proved: found.proved,
            steps: found.steps,
            ..Plan::default()
        };
        if !found.proved {
            let mut served = [0; 3];
            let urgencies = found.served.iter().zip(&problem.urgency).filter(|(place, _)| place.is_some());
            urgencies.for_each(|(_, urgency)| served[3 - usize::from((*urgency).clamp(1, 3))] += 1);
            let [first, second, third] = found.at_best;
            plan.at_best = Some(if served == found.at_best {
                let least = found.cost_at_least;
                format!(
                    "The search was cut off. No plan serves more, but one that costs less may exist: not below {}.{:02}.",
                    least / 100,
                    least % 100
                )
            } else {
                format!(
                    "The search was cut off. No plan can serve more than {first} of the needs that a customer waits for; with \
                     that many, no more than {second} of those wanted; with those too, {third} of the rest."
                )
            });
        }
        for (need, place) in found.served.iter().enumerate() {
            let Some((seller, unit)) = *place else {
                if open(&needs[need]) {
                    plan.unserved
                        .push((need, why_not(problem, need, sellers, plan.left_hundredths, worn[need], faint[need])));
                }
                continue;
            };
            let Unit { gives, answers } = &sellers[seller].1[unit];
            let Some(answer) = answers.get(&need).cloned() else { continue };
            let risk = risk_words(reference, &gives.role, &gives.of).filter(|_| gives.wear == Wear::NotLooked);
            let planned = Planned { need, role: gives.role.clone(), wear: gives.wear, answer, risk };
            match seller {
                0 => plan.from_stock.extend(gives.part.map(|part| (part, planned))),
                _ => match plan.buys.iter_mut().find(|buy| buy.offer == seller - 1) {
                    Some(buy) => buy.serves.push(planned),
                    None => plan.buys.push(Buy { offer: seller - 1, serves: vec![planned], left_over: Vec::new() }),
                },
            }
        }
        for buy in &mut plan.buys {
            let used = |unit: usize| found.served.iter().flatten().any(|place| *place == (buy.offer + 1, unit));
            let over = sellers[buy.offer + 1].1.iter().enumerate();
            let over = over.filter(|(at, unit)| !used(*at) && unit.gives.part.is_some() && unit.gives.wear.usable());
            buy.left_over = over.map(|(_, unit)| reference.parts.role_label(&unit.gives.role).to_owned()).collect();
            if offers[buy.offer].parts.is_empty() {
                buy.left_over.push("the rest of the reel, not looked into".into());
            }
        }
        order::by(&mut plan.buys, |a, b| a.offer.cmp(&b.offer));
        plan
    }
}

fn why_not(problem: &Problem, need: usize, sellers: &[(i64, Vec<Unit>)], left: i64, worn: bool, faint: bool) -> String {
    let serving = sellers.iter().filter(|(_, units)| units.iter().any(|unit| unit.answers.contains_key(&need)));
    match serving.map(|(price, _)| *price).min() {
        None if worn => "The parts that would fit are worn.".into(),
        None if faint => "What might fit is hearsay over several links: too faint to spend money on.".into(),
        None => "Nothing offered is known to fit.".into(),
        Some(price) if price > problem.budget => "What would serve it costs more than the whole budget.".into(),
        Some(price) if price > left => format!(
            "The money goes to more urgent needs, or to more of them: {}.{:02} are left, and the cheapest that would serve \
             it costs {}.{:02}.",
            left / 100,
            left % 100,
            price / 100,
            price % 100
        ),
        Some(_) => "The part that would serve it goes to another need.".into(),
    }
}

impl Plan {
    /// How many are served, and how well, in one sentence.
    pub fn words(&self, needs: &[Need]) -> String {
        let served: Vec<&Planned> = self
            .buys
            .iter()
            .flat_map(|buy| &buy.serves)
            .chain(self.from_stock.iter().map(|(_, planned)| planned))
            .collect();
        let waiting = served.iter().filter(|planned| needs[planned.need].urgency == 3).count();
        let all = needs.iter().filter(|need| open(need)).count();
        let unsure = served.iter().filter(|planned| planned.answer.verdict != Verdict::Fits).count();
        let mut words = format!("{} of {all} open needs served", served.len());
        if waiting > 0 {
            words.push_str(&format!(", {waiting} that a customer waits for"));
        }
        if unsure > 0 {
            let want = if unsure == 1 { "wants" } else { "want" };
            words.push_str(&format!("; {unsure} {want} a check or work"));
        }
        words.push('.');
        words
    }
}
