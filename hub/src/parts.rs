//! Parts on the command line: what fits, which reels are donors, what to buy.
//!
//! All three take one kind of file, JSON, every field of it optional:
//! - `facts`: what the shop knows: `{"roles": ["dog"], "of": "model@version", "into": "model", "verdict": "fits" |
//!   "fits-with-work" | "does-not-fit", "evidence": "tried" | "measured" | "catalogue" | "hearsay", "note", "if_same", "who",
//!   "when", "sources"}`. No roles: every part but `except_roles`. Models are ids, the packs' names, or names of one's own.
//! - `numbers`: numbers a part has been sold under: `{"number", "also": [], "role", "of"}`.
//! - `spares`: own parts: `{"role", "model", "readings", "wear", "lies_at", "bag", "count"}`; `donor` names the reel it is in.
//! - `measured`: `{"wanted": [], "have": []}` of a part and what it replaces, or `{"shaft": [], "hole": []}`; each reading
//!   `{"measure": "bore", "amount": 8.0, "unit": "mm" | "in" | "g", "source"}`.
//! - `needs`: `{"part", "model", "urgency": 1 | 2 | 3, "readings", "worth": {"amount": "12.50", "currency": "EUR"}}`.
//! - `offers`: `{"name", "price", "model", "parts": [as spares]}`; without parts, a whole reel nobody has looked into.
//! - `budget`: a price. `worth`: per role, what such a part is worth in stock.
//! - `leave_out`: sources that shall not count.

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};
use tailplate_core::fit::plan::{Offer, Plan, STEPS_MAX, plan_buys};
use tailplate_core::fit::{
    Answer, Fact, Fits, Hit, Loose, Reading, Serves, Verdict, compare, loose, model_words, running, search, serves,
    words,
};
use tailplate_core::reference::{PartNumber, Reference, end_parts};
use tailplate_core::shop::{Need, Part, Price};

use crate::nearest::hint;
use crate::page::Page;

/// Reels listed at most for one part.
const LISTED: usize = 12;
/// Parts named at most for one donor.
const NAMED: usize = 8;

/// A number a part has been sold under.
#[derive(Debug, Clone, Default, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct Numbered {
    pub number: String,
    pub also: Vec<String>,
    pub role: String,
    pub of: String,
    pub note: String,
}

/// What was measured on the things in hand.
#[derive(Debug, Clone, Default, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct Measured {
    pub wanted: Vec<Reading>,
    pub have: Vec<Reading>,
    pub shaft: Vec<Reading>,
    pub hole: Vec<Reading>,
}

/// The file.
#[derive(Debug, Clone, Default, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct Book {
    pub facts: Vec<Fact>,
    pub numbers: Vec<Numbered>,
    pub spares: Vec<Part>,
    pub measured: Measured,
    pub needs: Vec<Need>,
    pub offers: Vec<Offer>,
    pub budget: Option<Price>,
    pub worth: BTreeMap<String, Price>,
    pub leave_out: Vec<String>,
}

impl Book {
    /// Reads the text of such a file.
    pub fn of(name: &str, text: &str) -> Result<Self, String> {
        let mut book: Self = serde_json::from_str(text).map_err(|error| format!("{name}: {error}."))?;
        for (at, need) in book.needs.iter_mut().enumerate() {
            match need.urgency {
                0 => need.urgency = 2,
                1..=3 => {}
                other => return Err(format!("{name}: need {} is urgent from 1 to 3, not {other}.", at + 1)),
            }
        }
        let prices = book.offers.iter().map(|offer| &offer.price).chain(&book.budget).chain(book.worth.values());
        for price in prices.chain(book.needs.iter().filter_map(|need| need.worth.as_ref())) {
            price.check().map_err(|error| format!("{name}: {error}"))?;
        }
        Ok(book)
    }

    /// Puts the file's part numbers beside those of the packs.
    pub fn add_numbers(&self, reference: &mut Reference) {
        let numbers = self.numbers.iter().map(|one| PartNumber {
            number: one.number.clone(),
            also: one.also.clone(),
            role: match words::roles(&reference.parts, &one.role).roles.as_slice() {
                [only] => only.clone(),
                _ => one.role.clone(),
            },
            of: words::settle(reference, &one.of),
            note: one.note.clone(),
            ..PartNumber::default()
        });
        let numbers: Vec<PartNumber> = numbers.collect();
        reference.parts.numbers.extend(numbers);
    }
}

/// What was asked of a part.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Asked {
    pub role: String,
    pub model: String,
    /// A model, or a part number.
    pub of: Option<String>,
}

/// One meaning of the part's name, with what is known.
#[derive(Debug, Clone, Serialize)]
pub struct ForRole {
    pub role: String,
    pub label: String,
    pub answers: Vec<Answer>,
    /// What can hurt when it comes out.
    pub hazards: Vec<String>,
}

#[derive(Debug, Clone, Serialize)]
pub struct FitAnswer {
    pub into: String,
    pub parts: Vec<ForRole>,
    pub spares: Vec<Hit>,
    /// What the names and numbers used stand for.
    pub notes: Vec<String>,
}

/// Answers what fits. The reference holds the file's part numbers already.
pub fn fit(reference: &Reference, book: &Book, asked: &Asked) -> Result<FitAnswer, String> {
    let mut fits = Fits::new(reference, &book.facts);
    fits.leave_out(&book.leave_out);
    let mut notes = Vec::new();
    let into = reel(reference, book, &asked.model, &mut notes)?;
    let (of, numbered) = match &asked.of {
        None => (None, None),
        Some(of) => match number(reference, of) {
            Some(known) => {
                let also =
                    if known.also.is_empty() { String::new() } else { format!(" (also {})", known.also.join(", ")) };
                let of = model_words(reference, &known.of);
                let label = reference.parts.role_label(&known.role).to_lowercase();
                let said = format!("Part number {}{also} is the {label} of {of}. {}", known.number, known.note);
                notes.push(said.trim().to_owned());
                (Some(known.of.clone()), Some(known.role.clone()))
            }
            None => (Some(reel(reference, book, of, &mut notes)?), None),
        },
    };
    let mut roles = self::roles(reference, &fits, &asked.role)?;
    if let Some(numbered) = numbered.filter(|role| roles.contains(role)) {
        roles = vec![numbered];
    }
    if let Some(model) = reference.model(end_parts(&into).0) {
        roles = words::of_kind(&reference.parts, roles, &model.kind);
    }
    let parts = roles.iter().map(|role| {
        let mut answers = match &of {
            Some(of) => vec![fits.answer(role, of, &into)],
            None => fits.all_into(role, &into, LISTED),
        };
        if let [answer] = answers.as_mut_slice() {
            let measured = &book.measured;
            answer.measured(&compare(&reference.parts, role, &measured.wanted, &measured.have));
            answer.measured(&running(&measured.shaft, &measured.hole));
        }
        let hazards = reference.hazards_of(role).into_iter().map(str::to_owned).collect();
        ForRole { role: role.clone(), label: reference.parts.role_label(role).to_owned(), answers, hazards }
    });
    let parts = parts.collect();
    let spares = search(&fits, &book.spares, &format!("{} {}", asked.model.replace('@', " "), asked.role));
    Ok(FitAnswer { into, parts, spares, notes })
}

/// Which reels a loose part may be from.
pub fn loose_part(
    reference: &Reference,
    role: &str,
    seen: &[tailplate_core::observe::Observation],
) -> Result<Vec<Loose>, String> {
    let fits = Fits::new(reference, &[]);
    Ok(roles(reference, &fits, role)?.iter().flat_map(|role| loose(reference, role, seen)).collect())
}

fn roles(reference: &Reference, fits: &Fits, asked: &str) -> Result<Vec<String>, String> {
    let meant = words::roles(&reference.parts, asked).roles;
    let free = asked.trim().to_lowercase();
    if fits.facts().iter().any(|fact| fact.roles.contains(&free)) && !meant.contains(&free) {
        return Ok(vec![free]);
    }
    if meant.is_empty() {
        let labels = reference.parts.roles.iter().flat_map(|role| [role.id.as_str(), role.label.as_str()]);
        return Err(format!("No part is called “{asked}”.{}", hint(asked, labels)));
    }
    Ok(meant)
}

fn number<'a>(reference: &'a Reference, written: &str) -> Option<&'a PartNumber> {
    let numbers = &reference.parts.numbers;
    let own = numbers.iter().rfind(|one| one.number == written.trim());
    own.or_else(|| numbers.iter().rfind(|one| one.also.iter().any(|also| also == written.trim())))
}

/// A reel by id, by its names in any order, or as the file itself names it.
fn reel(reference: &Reference, book: &Book, written: &str, notes: &mut Vec<String>) -> Result<String, String> {
    let settled = words::settle(reference, written);
    let (model, version) = end_parts(&settled);
    let own = |end: &String| words::settle(reference, end) == settled || end_parts(end).0 == model;
    let in_file = book.facts.iter().any(|fact| own(&fact.of) || own(&fact.into))
        || book.spares.iter().any(|part| !part.model.is_empty() && own(&part.model));
    let Some(known) = reference.model(model) else {
        let asked = words::tokens(written);
        let found = words::models(reference, &asked);
        if in_file || !book.measured.shaft.is_empty() || !book.measured.wanted.is_empty() {
            return Ok(settled);
        }
        if found.len() > 1 {
            let ids: Vec<String> = found.iter().take(NAMED).map(words::Named::end).collect();
            return Err(format!("“{written}” can be {}; write one of them.", ids.join(", ")));
        }
        if let Some((maker, brand, seller)) = words::house_brands(reference, &asked).first() {
            return Err(format!(
                "No model is called “{written}”. {brand} is a name sold by {seller}; the maker is {}. Name a model of his.",
                reference.maker_name(maker)
            ));
        }
        let ids = reference.models.iter().map(|model| model.id.as_str());
        return Err(format!("No model is called “{written}”.{}", hint(written, ids)));
    };
    if let Some(brand) = &known.brand {
        let note = format!("{brand} {} was made by {}.", known.name, reference.maker_name(&known.maker));
        if !notes.contains(&note) {
            notes.push(note);
        }
    }
    let unknown = version.first().filter(|version| !in_file && known.variant(version).is_none());
    if let Some(version) = unknown {
        let ids = known.variants.iter().map(|variant| variant.id.as_str()).collect::<Vec<_>>().join(", ");
        notes.push(format!("The packs know no version “{version}” of it; they have {ids}. Any version is taken."));
        return Ok(known.id.clone());
    }
    Ok(settled)
}

/// A reel that gives parts to another.
#[derive(Debug, Clone, Serialize)]
pub struct Donor {
    pub of: String,
    pub gives: Vec<Answer>,
}

#[derive(Debug, Clone, Serialize)]
pub struct DonorsAnswer {
    pub model: String,
    /// Reels known to give it parts.
    pub donors: Vec<Donor>,
    /// Own parts that fit it.
    pub spares: Vec<Hit>,
    /// What a reel of this model would do for the needs in the file.
    pub serves: Option<Serves>,
    pub notes: Vec<String>,
}

/// Which reels give parts to this one, and what this one gives to the open needs.
pub fn donors(reference: &Reference, book: &Book, model: &str, asking: Option<&Price>) -> Result<DonorsAnswer, String> {
    let mut fits = Fits::new(reference, &book.facts);
    fits.leave_out(&book.leave_out);
    let mut notes = Vec::new();
    let into = reel(reference, book, model, &mut notes)?;
    let kind = reference.model(end_parts(&into).0).map(|model| model.kind.as_str());
    let mut by: BTreeMap<String, Vec<Answer>> = BTreeMap::new();
    let known =
        reference.parts.roles.iter().filter(|role| kind.is_none_or(|kind| role.kinds.iter().any(|one| one == kind)));
    for role in known {
        for answer in fits.all_into(&role.id, &into, LISTED).into_iter().filter(|answer| answer.verdict.may_serve()) {
            by.entry(answer.of.clone()).or_default().push(answer);
        }
    }
    let best = |answers: &[Answer]| answers.iter().map(|answer| answer.strength).fold(0.0, f64::max);
    let mut donors: Vec<Donor> = by.into_iter().map(|(of, gives)| Donor { of, gives }).collect();
    donors.sort_by(|a, b| best(&b.gives).total_cmp(&best(&a.gives)));
    let spares = search(&fits, &book.spares, &model.replace('@', " "));
    let is_this = |part: &&Part| part.donor.as_deref() == Some(model);
    let in_it: Vec<Part> = book.spares.iter().filter(is_this).cloned().collect();
    let serves = (!book.needs.is_empty()).then(|| serves(&fits, &into, &in_it, &book.needs, &book.worth, asking));
    Ok(DonorsAnswer { model: into, donors, spares, serves, notes })
}

/// What to buy of the file's offers.
pub fn buy(reference: &Reference, book: &Book, go_on: &mut dyn FnMut(u64, usize) -> bool) -> Result<Plan, String> {
    let Some(budget) = &book.budget else {
        return Err("The file names no budget: add {\"budget\": {\"amount\": \"50\", \"currency\": \"EUR\"}}.".into());
    };
    if book.needs.is_empty() || book.offers.is_empty() {
        return Err("The file needs both needs and offers.".into());
    }
    let mut fits = Fits::new(reference, &book.facts);
    fits.leave_out(&book.leave_out);
    let mut tell = |progress: tailplate_core::fit::plan::solve::Progress| go_on(progress.steps, progress.served);
    plan_buys(&fits, &book.needs, &book.offers, &book.spares, budget, STEPS_MAX, &mut tell)
        .map_err(|error| error.to_string())
}

// ---- in words ----

pub fn tell_fit(reference: &Reference, told: &FitAnswer) -> String {
    let mut page = Page::default();
    told.notes.iter().for_each(|note| page.say(note));
    for part in &told.parts {
        page.heading(&format!("{} for {}", part.label, model_words(reference, &told.into)));
        if part.answers.is_empty() {
            page.hang("  ", "Nothing is known to fit. Measure it, and look among reels of the same family.");
        }
        for answer in &part.answers {
            tell_answer(&mut page, reference, answer);
        }
        part.hazards.iter().for_each(|hazard| page.hang("  ", &format!("Caution: {hazard}")));
    }
    tell_spares(&mut page, &told.spares);
    page.text()
}

fn tell_answer(page: &mut Page, reference: &Reference, answer: &Answer) {
    let of = model_words(reference, &answer.of);
    page.hang("  ", &format!("From {of}: {} ({}).", answer.verdict.words(), answer.trust.words()));
    for link in &answer.chain {
        page.hang("    because ", &link.words(reference));
    }
    answer.sizes.iter().for_each(|words| page.hang("    ", &format!("{words}.")));
    if let Some(cure) = &answer.cure {
        page.hang("    cure: ", &format!("{cure}."));
    }
    answer.checks.iter().for_each(|check| page.hang("    ", check));
    for link in &answer.against {
        page.hang("    against it: ", &link.words(reference));
    }
    answer.instead.iter().for_each(|words| page.hang("    instead: ", &format!("{}.", words.trim_end_matches('.'))));
    if !answer.leads.is_empty() {
        let leads: Vec<String> = answer.leads.iter().map(|id| model_words(reference, id)).collect();
        page.hang("    ", &format!("Worth comparing: {}.", leads.join("; ")));
    }
}

fn tell_spares(page: &mut Page, spares: &[Hit]) {
    if !spares.is_empty() {
        page.heading("In your own boxes");
        page.columns(
            &spares.iter().map(|hit| vec![hit.place.clone(), format!("{}: {}", hit.name, hit.why)]).collect::<Vec<_>>(),
        );
    }
}

pub fn tell_loose(found: &[Loose]) -> String {
    let mut page = Page::default();
    if found.is_empty() {
        page.say("No reel of the packs is known to have such a part. That says nothing against keeping it.");
    }
    found.iter().for_each(|one| page.say(&one.words));
    page.text()
}

pub fn tell_donors(reference: &Reference, book: &Book, told: &DonorsAnswer) -> String {
    let mut page = Page::default();
    told.notes.iter().for_each(|note| page.say(note));
    page.heading(&format!("Reels that give parts to {}", model_words(reference, &told.model)));
    if told.donors.is_empty() {
        page.hang("  ", "None is known. `tailplate fit` shows what is worth comparing.");
    }
    for donor in &told.donors {
        page.hang("  ", &format!("{}:", model_words(reference, &donor.of)));
        let mut by: BTreeMap<&str, Vec<&str>> = BTreeMap::new();
        for answer in &donor.gives {
            by.entry(answer.verdict.words()).or_default().push(reference.parts.role_label(&answer.role));
        }
        for (verdict, labels) in by {
            let more = labels.len().saturating_sub(NAMED);
            let mut line = labels[..labels.len() - more].join(", ").to_lowercase();
            if more > 0 {
                line.push_str(&format!(" and {more} more"));
            }
            page.hang("    ", &format!("{verdict}: {line}"));
        }
    }
    tell_spares(&mut page, &told.spares);
    if let Some(serves) = &told.serves {
        page.heading("As a donor for the open needs");
        serves.words.iter().for_each(|words| page.hang("  ", words));
        for one in &serves.served {
            let need = need_words(reference, &book.needs[one.need]);
            page.hang("  ", &format!("{need}: {}, {}.", one.answer.verdict.words(), one.wear.words()));
            one.answer.checks.iter().chain(&one.risk).for_each(|words| page.hang("    ", words));
        }
        for (need, role) in &serves.too_worn {
            let label = reference.parts.role_label(role).to_lowercase();
            page.hang("  ", &format!("{}: its {label} is worn.", need_words(reference, &book.needs[*need])));
        }
    }
    page.text()
}

fn need_words(reference: &Reference, need: &Need) -> String {
    let label = reference.parts.role_label(&need.part).to_owned();
    if need.model.is_empty() {
        label
    } else {
        format!("{label} for {}", model_words(reference, &words::settle(reference, &need.model)))
    }
}

pub fn tell_plan(reference: &Reference, book: &Book, plan: &Plan) -> String {
    let mut page = Page::default();
    let money = |hundredths: i64| format!("{}.{:02} {}", hundredths / 100, hundredths % 100, plan.currency);
    page.say(&plan.words(&book.needs));
    page.say(&format!("Costs {}, leaves {}.", money(plan.cost_hundredths), money(plan.left_hundredths)));
    if let Some(words) = &plan.at_best {
        page.say(words);
    }
    for buy in &plan.buys {
        let offer = &book.offers[buy.offer];
        page.heading(&format!("Buy {} for {}", offer.name, offer.price));
        for planned in &buy.serves {
            page.hang(
                "  ",
                &format!("{}: {}.", need_words(reference, &book.needs[planned.need]), planned.answer.verdict.words()),
            );
            planned.answer.checks.iter().chain(&planned.risk).for_each(|words| page.hang("    ", words));
        }
        if !buy.left_over.is_empty() {
            page.hang("  ", &format!("Left over: {}.", buy.left_over.join(", ").to_lowercase()));
        }
    }
    if !plan.from_stock.is_empty() {
        page.heading("From your own boxes");
        let rows = plan.from_stock.iter().map(|(part, planned)| {
            vec![
                book.spares[*part].place(),
                format!("{}: {}", need_words(reference, &book.needs[planned.need]), planned.answer.verdict.words()),
            ]
        });
        page.columns(&rows.collect::<Vec<_>>());
    }
    if !plan.unserved.is_empty() {
        page.heading("Not served");
        for (need, why) in &plan.unserved {
            page.hang("  ", &format!("{}: {why}", need_words(reference, &book.needs[*need])));
        }
    }
    page.text()
}

/// The firmest thing said of the part in the reel: a “does not fit” of one meaning must not be hidden by another.
pub fn verdict(told: &FitAnswer) -> Verdict {
    let answers = || told.parts.iter().flat_map(|part| &part.answers);
    let denied = answers().find(|answer| matches!(answer.verdict, Verdict::DoesNotFit | Verdict::DoesNotFitAsIs));
    let said = denied.or_else(|| answers().find(|answer| answer.verdict.may_serve()));
    said.map_or(Verdict::NotKnown, |answer| answer.verdict)
}
