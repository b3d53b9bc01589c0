//! The words people use: which part is meant, and which reel.

use std::collections::BTreeSet;

use crate::order;
use crate::reference::{Model, PartsPack, Reference, end_parts};

/// Words in lower case, without plural and in one spelling.
pub fn tokens(text: &str) -> Vec<String> {
    let lower = text.to_lowercase();
    lower.split(|c: char| !c.is_alphanumeric()).filter(|word| !word.is_empty()).map(one_spelling).collect()
}

fn one_spelling(word: &str) -> String {
    let singular = match word.strip_suffix('s') {
        Some(stem) if word.len() > 3 && !stem.ends_with('s') => stem,
        _ => word,
    };
    match singular {
        "aluminum" => "aluminium".into(),
        "center" | "centrepin" | "centerpin" => "centre".into(),
        "fiber" => "fibre".into(),
        "bushing" => "bush".into(),
        "gray" => "grey".into(),
        "flier" => "flyer".into(),
        other => other.into(),
    }
}

/// Parts that the words may mean, and the words that are left over.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Meant {
    pub roles: Vec<String>,
    pub rest: Vec<String>,
}

/// Which parts are meant: the longest name, in any country's words, that stands in the text.
pub fn roles(parts: &PartsPack, text: &str) -> Meant {
    if let Some(role) = parts.role(text.trim()) {
        return Meant { roles: vec![role.id.clone()], rest: Vec::new() };
    }
    let asked = tokens(text);
    let mut best: (usize, usize) = (0, 0);
    let mut found: Vec<String> = Vec::new();
    for role in &parts.roles {
        for name in role.words.values().flatten().chain([&role.label, &role.id]) {
            let name = tokens(name);
            if name.is_empty() || name.len() < best.1 {
                continue;
            }
            let Some(at) = asked.windows(name.len()).position(|window| window == name) else { continue };
            if name.len() > best.1 {
                best = (at, name.len());
                found.clear();
            }
            if !found.contains(&role.id) {
                found.push(role.id.clone());
            }
        }
    }
    if found.is_empty() {
        // One word of a label is better than nothing: “lever” finds every lever.
        let part_of = |label: &str| tokens(label).iter().any(|word| word.len() > 2 && asked.contains(word));
        found = parts.roles.iter().filter(|role| part_of(&role.label)).map(|role| role.id.clone()).collect();
        let used: BTreeSet<String> = found.iter().flat_map(|id| tokens(parts.role_label(id))).collect();
        return Meant { roles: found, rest: asked.into_iter().filter(|word| !used.contains(word)).collect() };
    }
    let rest = [&asked[..best.0], &asked[best.0 + best.1..]].concat();
    Meant { roles: found, rest }
}

/// Only the roles that a reel of this kind has; all of them where that would leave none.
pub fn of_kind(parts: &PartsPack, roles: Vec<String>, kind: &str) -> Vec<String> {
    let has = |id: &String| parts.role(id).is_some_and(|role| role.kinds.iter().any(|one| one == kind));
    let left: Vec<String> = roles.iter().filter(|id| has(id)).cloned().collect();
    if left.is_empty() { roles } else { left }
}

/// A reel that the words may mean, with its version where the words tell it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Named {
    pub model: String,
    pub version: Option<String>,
}

impl Named {
    pub fn end(&self) -> String {
        match &self.version {
            Some(version) => format!("{}@{version}", self.model),
            None => self.model.clone(),
        }
    }
}

/// Every reel of the packs that all of the words speak of. Brand, maker, number, name and version may stand in any order.
pub fn models(reference: &Reference, asked: &[String]) -> Vec<Named> {
    if asked.is_empty() {
        return Vec::new();
    }
    // The more of a reel's own name the words hold, the better: 2 for its whole id, 1 for a whole number of it.
    let mut found: Vec<(u8, Named)> = Vec::new();
    for model in &reference.models {
        let own = model_tokens(reference, model);
        let left: Vec<&String> = asked.iter().filter(|word| !own.contains(*word)).collect();
        if left.len() == asked.len() {
            continue;
        }
        let version = version_of(model, asked, &left);
        if left.is_empty() || version.is_some() {
            let whole = |name: &str| tokens(name).iter().all(|word| asked.contains(word));
            let rank = match (whole(&model.id), model.numbers.iter().any(|number| whole(number))) {
                (true, _) => 2,
                (false, true) => 1,
                (false, false) => 0,
            };
            found.push((rank, Named { model: model.id.clone(), version }));
        }
    }
    order::by(&mut found, |a, b| b.0.cmp(&a.0));
    // One that is told in full leaves the others out.
    let best = found.first().map_or(0, |(rank, _)| *rank);
    if best > 0 && found.iter().filter(|(rank, _)| *rank == best).count() == 1 {
        found.truncate(1);
    }
    found.into_iter().map(|(_, named)| named).collect()
}

fn model_tokens(reference: &Reference, model: &Model) -> BTreeSet<String> {
    let mut own: BTreeSet<String> = tokens(&model.name).into_iter().collect();
    own.extend(model.numbers.iter().flat_map(|number| tokens(number)));
    own.extend(model.brand.iter().flat_map(|brand| tokens(brand)));
    own.extend(tokens(reference.maker_name(&model.maker)));
    own.extend(tokens(&model.id));
    own
}

/// The version that the words left over by the model's own name tell: by its name, or by a year within its years.
fn version_of(model: &Model, asked: &[String], left: &[&String]) -> Option<String> {
    let exact = model.variants.iter().find(|variant| asked.contains(&variant.id) && model.variants.len() > 1);
    if let Some(variant) = exact.filter(|variant| left.iter().all(|word| **word == variant.id)) {
        return Some(variant.id.clone());
    }
    if left.is_empty() {
        return None;
    }
    let named = model.variants.iter().filter(|variant| {
        let mut words = tokens(&variant.id);
        words.extend(tokens(&variant.name));
        left.iter().all(|word| words.contains(word))
    });
    let dated = model.variants.iter().filter(|variant| match left {
        [word] => years_of(word).is_some_and(|(from, to)| {
            let years = &variant.years;
            years.from.is_some_and(|first| first <= to) && years.to.is_none_or(|last| last >= from)
        }),
        _ => false,
    });
    let named: Vec<_> = named.collect();
    match (named.as_slice(), dated.collect::<Vec<_>>().as_slice()) {
        ([only], _) | ([], [only]) => Some(only.id.clone()),
        _ => None,
    }
}

/// `1954` or `1970s` as years.
fn years_of(word: &str) -> Option<(i32, i32)> {
    let (digits, span) = match word.strip_suffix('s') {
        Some(decade) => (decade, 9),
        None => (word, 0),
    };
    let year = digits.parse().ok().filter(|year| (1800..=2100).contains(year))?;
    Some((year, year + span))
}

/// What a person wrote for a reel, as an end of a fact: an id stays; words that speak of one reel of the packs only become
/// that reel; anything else is a reel of its own.
pub fn settle(reference: &Reference, written: &str) -> String {
    let (name, versions) = end_parts(written);
    let version = versions.first().filter(|version| !version.is_empty());
    let model = match reference.model(name) {
        Some(model) => model,
        None => match models(reference, &tokens(name)).as_slice() {
            [only] if only.version.is_none() || version.is_none() => {
                match (reference.model(&only.model), &only.version) {
                    (Some(model), None) => model,
                    _ => return only.end(),
                }
            }
            _ => return written.trim().to_owned(),
        },
    };
    match version {
        None => model.id.clone(),
        Some(version) if model.variant(version).is_some() => format!("{}@{version}", model.id),
        Some(version) => {
            let words = tokens(version);
            let found = version_of(model, &[], &words.iter().collect::<Vec<_>>());
            format!("{}@{}", model.id, found.as_deref().unwrap_or(version))
        }
    }
}

/// Splits what a person wants into the part and the reel it is for: at “for” or “of”, or where a part's name ends and the
/// rest names one reel. Without a reel, all of it is the part.
pub fn part_and_reel(reference: &Reference, written: &str) -> (String, String) {
    let written = written.trim();
    let lower = written.to_lowercase();
    for joint in [" for ", " of "] {
        // Lower case may be longer in bytes than what was written.
        if let Some(at) = lower.find(joint).filter(|at| written.is_char_boundary(*at) && lower.len() == written.len()) {
            let (part, reel) = (written[..at].trim(), written[at + joint.len()..].trim());
            return (part.to_owned(), settle(reference, reel));
        }
    }
    let meant = roles(&reference.parts, written);
    match models(reference, &meant.rest).as_slice() {
        [only] if !meant.roles.is_empty() => (reference.parts.role_label(&meant.roles[0]).to_owned(), only.end()),
        _ => (written.to_owned(), String::new()),
    }
}

/// Who truly made what is sold under this name: `(maker, brand, seller)` of each house brand that the words hold.
pub fn house_brands<'a>(reference: &'a Reference, asked: &[String]) -> Vec<(&'a str, &'a str, &'a str)> {
    let mut found = Vec::new();
    for maker in &reference.makers {
        for brand in &maker.house_brands {
            let name = tokens(&brand.brand);
            if !name.is_empty() && name.iter().all(|word| asked.contains(word)) {
                found.push((maker.id.as_str(), brand.brand.as_str(), brand.seller.as_str()));
            }
        }
    }
    found
}
