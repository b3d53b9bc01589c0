//! Does this part of that reel fit here, and why?

use std::collections::{BTreeMap, BTreeSet};

use serde::Serialize;

use super::fact::{Fact, of_packs, weight};
use super::graph::{Chains, Graph, Rank, Spot, cost_of};
use super::sizes::SizeMatch;
use super::words::{roles, settle};
use super::{Trust, Verdict, evidence_words};
use crate::reference::{Evidence, Reference, Says, end_parts};

/// Reels listed at most as what else fits.
const INSTEAD: usize = 3;
/// Models named at most as worth comparing.
const LEADS: usize = 8;

/// One fact as shown in an answer.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Link {
    pub of: String,
    pub into: String,
    pub says: Says,
    pub note: String,
    pub evidence: Evidence,
    #[serde(skip_serializing_if = "String::is_empty")]
    pub who: String,
    #[serde(skip_serializing_if = "String::is_empty")]
    pub when: String,
    pub sources: Vec<String>,
}

/// What is known of one part in one reel.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Answer {
    pub role: String,
    pub of: String,
    pub into: String,
    pub verdict: Verdict,
    /// From 0 to 1: what the evidence weighs after all links.
    pub strength: f64,
    pub trust: Trust,
    /// From the part's reel to the one it goes into.
    pub chain: Vec<Link>,
    /// Facts that say otherwise.
    pub against: Vec<Link>,
    /// What to look at before relying on it.
    pub checks: Vec<String>,
    /// What the measures say, where any were given.
    pub sizes: Vec<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub cure: Option<String>,
    /// What takes this part, and what fits here, where this one does not.
    pub instead: Vec<String>,
    /// Models worth comparing where nothing is known.
    pub leads: Vec<String>,
}

/// All facts, ready to answer.
pub struct Fits<'a> {
    pub reference: &'a Reference,
    facts: Vec<Fact>,
    /// Per fact: sizes that have to agree and could not be compared here.
    conditions: Vec<Vec<String>>,
    graph: Graph,
}

impl<'a> Fits<'a> {
    /// The facts of the packs and the shop's own.
    pub fn new(reference: &'a Reference, own: &[Fact]) -> Self {
        let mut facts = of_packs(reference);
        // The same words stand in many facts; each is looked up once.
        let (mut known_roles, mut known_ends) = (BTreeMap::new(), BTreeMap::new());
        for fact in own {
            let mut ids = |words: &[String]| -> Vec<String> {
                let id = |word: &String| -> Vec<String> {
                    known_roles.entry(word.clone()).or_insert_with(|| role_ids(reference, word)).clone()
                };
                words.iter().flat_map(id).collect()
            };
            let (roles, except_roles) = (ids(&fact.roles), ids(&fact.except_roles));
            let mut end = |written: &String| -> String {
                known_ends.entry(written.clone()).or_insert_with(|| settle(reference, written)).clone()
            };
            let (of, into) = (end(&fact.of), end(&fact.into));
            facts.push(Fact { roles, except_roles, of, into, ..fact.clone() });
        }
        let conditions = facts.iter_mut().map(|fact| conditions(reference, fact)).collect();
        let graph = Graph::build(&facts);
        Self { reference, facts, conditions, graph }
    }

    /// Every source and how many facts lean on it.
    pub fn sources(&self) -> Vec<(String, usize)> {
        let names: BTreeSet<&String> = self.facts.iter().flat_map(|fact| &fact.sources).collect();
        let count = |name: &String| self.facts.iter().filter(|fact| fact.sources.contains(name)).count();
        names.into_iter().map(|name| (name.clone(), count(name))).collect()
    }

    /// Leaves out what rests on these sources alone; an empty list lets everything count again.
    pub fn leave_out(&mut self, sources: &[String]) {
        for (at, fact) in self.facts.iter().enumerate() {
            let stands = fact.sources.is_empty() || fact.sources.iter().any(|source| !sources.contains(source));
            self.graph.set_counts(at, stands);
        }
    }

    pub fn facts(&self) -> &[Fact] {
        &self.facts
    }

    /// A spot for an end that may stand in no fact at all.
    fn spot(&self, end: &str) -> Spot {
        self.graph.spot(end).unwrap_or(Spot { model: u32::MAX, version: 0 })
    }

    /// One part of one reel in another. Ends are `model` or `model@version`, the role an id.
    pub fn answer(&self, role: &str, of: &str, into: &str) -> Answer {
        let chains = self.graph.chains(role, self.spot(into));
        let mut answer = self.of_chains(role, of, into, &chains);
        if !answer.verdict.may_serve() {
            answer.instead = self.instead(role, of, into, &chains);
        }
        if answer.verdict == Verdict::NotKnown {
            answer.leads = self.leads(of, into);
        }
        answer
    }

    /// Every reel of which something is known, best first; so many at most.
    pub fn all_into(&self, role: &str, into: &str, most: usize) -> Vec<Answer> {
        let spot = self.spot(into);
        let chains = self.graph.chains(role, spot);
        let sources = self.graph.sources_of(&chains, spot, most);
        let mut answers: Vec<Answer> = sources.iter().map(|of| self.of_chains(role, of, into, &chains)).collect();
        answers.retain(|answer| answer.verdict != Verdict::NotKnown);
        crate::order::by(&mut answers, |a, b| {
            b.verdict.may_serve().cmp(&a.verdict.may_serve()).then(b.strength.total_cmp(&a.strength))
        });
        answers
    }

    fn of_chains(&self, role: &str, of: &str, into: &str, chains: &Chains) -> Answer {
        let (from, to) = (self.spot(of), self.spot(into));
        let chain = self.graph.chain_from(chains, from);
        let (sure, maybe) = self.graph.against(role, from, to);
        let mut answer = Answer {
            role: role.into(),
            of: of.into(),
            into: into.into(),
            verdict: Verdict::NotKnown,
            strength: 0.0,
            trust: Trust::Unknown,
            chain: Vec::new(),
            against: Vec::new(),
            checks: Vec::new(),
            sizes: Vec::new(),
            cure: None,
            instead: Vec::new(),
            leads: Vec::new(),
        };
        let denied = sure.first().map(|&fact| cost_of(weight(self.facts[fact].evidence)));
        let stands = |rank: Rank| denied.is_none_or(|cost| cost > rank.cost);
        match &chain {
            Some((rank, facts)) if stands(*rank) => {
                answer.strength = rank.strength();
                answer.chain = facts.iter().map(|&fact| self.link(fact)).collect();
                answer.against = sure.iter().chain(&maybe).map(|&fact| self.link(fact)).collect();
                self.fitting(&mut answer, *rank, facts, &maybe);
            }
            _ if !sure.is_empty() => {
                answer.verdict = Verdict::DoesNotFit;
                answer.strength = weight(self.facts[sure[0]].evidence);
                answer.chain = vec![self.link(sure[0])];
                answer.against = chain.iter().flat_map(|(_, facts)| facts).map(|&fact| self.link(fact)).collect();
            }
            _ if !maybe.is_empty() => {
                // What is said of some versions may hold for these two.
                answer.verdict = Verdict::DoesNotFit;
                answer.strength = weight(self.facts[maybe[0]].evidence);
                answer.chain = vec![self.link(maybe[0])];
                answer.checks.push(format!(
                    "It holds from {} to {}; of the same build it may well fit. Compare the parts before ordering.",
                    model_words(self.reference, &self.facts[maybe[0]].of),
                    model_words(self.reference, &self.facts[maybe[0]].into)
                ));
            }
            _ if end_parts(of).0 == end_parts(into).0 => self.same_model(&mut answer),
            _ => {}
        }
        answer.trust = Trust::of(answer.strength);
        let unsure = matches!(answer.verdict, Verdict::FitsWithCheck | Verdict::FitsBySize);
        if unsure || answer.verdict == Verdict::DoesNotFit && sure.is_empty() {
            answer.trust = answer.trust.min(Trust::Probable);
        }
        answer
    }

    /// A chain stands: what it says, and what must be looked at.
    fn fitting(&self, answer: &mut Answer, rank: Rank, facts: &[usize], maybe: &[usize]) {
        let known = self.reference.parts.role(&answer.role);
        let versions_told = rank.loose == 0
            && facts.iter().all(|&at| self.facts[at].of.contains('@') && self.facts[at].into.contains('@'));
        if !versions_told && known.is_some_and(|role| role.version_sensitive) {
            answer.checks.push(
                "Check the version first: parts of this name differ from version to version of one model.".into(),
            );
        }
        if !versions_told && known.is_some_and(|role| role.hand_sensitive) {
            answer.checks.push("Check the hand: left- and right-hand reels mirror this part.".into());
        }
        for &fact in maybe {
            let fact = &self.facts[fact];
            let name = |end: &str| model_words(self.reference, end);
            let note = if fact.note.is_empty() { String::new() } else { format!(" {}", fact.note) };
            answer.checks.push(format!("From {} to {} it does not fit.{note}", name(&fact.of), name(&fact.into)));
        }
        let unmet: BTreeSet<&String> = facts.iter().flat_map(|&at| &self.conditions[at]).collect();
        let sized = !unmet.is_empty();
        if sized {
            let unmet: Vec<&str> = unmet.into_iter().map(String::as_str).collect();
            answer.checks.insert(0, format!("Match {} first.", unmet.join(" and ")));
        }
        answer.verdict = match (rank.works > 0, sized, answer.checks.is_empty()) {
            (true, ..) => Verdict::FitsWithWork,
            (_, true, _) => Verdict::FitsBySize,
            (_, _, false) => Verdict::FitsWithCheck,
            _ => Verdict::Fits,
        };
    }

    /// The same model, and no fact speaks of it.
    fn same_model(&self, answer: &mut Answer) {
        let known = self.reference.parts.role(&answer.role);
        let sensitive = known.is_none_or(|role| role.version_sensitive || role.hand_sensitive);
        let ((_, of), (_, into)) = (end_parts(&answer.of), end_parts(&answer.into));
        if !of.is_empty() && of == into {
            answer.verdict = Verdict::Fits;
            answer.strength = weight(Evidence::Measured);
            answer.checks.push("The same version of the same model.".into());
        } else if !sensitive || of.is_empty() || into.is_empty() {
            answer.verdict = Verdict::FitsWithCheck;
            answer.strength = weight(Evidence::Hearsay);
            answer
                .checks
                .push("The same model; no fact tells whether its versions share this part. Compare both.".into());
        } else {
            answer.checks.push("Another version of the same model, and nothing is known of this part in both.".into());
        }
    }

    fn link(&self, fact: usize) -> Link {
        let fact = &self.facts[fact];
        let title =
            |source: &String| self.reference.sources.get(source).map_or(source.clone(), |one| one.title.clone());
        Link {
            of: fact.of.clone(),
            into: fact.into.clone(),
            says: fact.verdict,
            note: fact.note.clone(),
            evidence: fact.evidence,
            who: fact.who.clone(),
            when: fact.when.clone(),
            sources: fact.sources.iter().map(title).collect(),
        }
    }

    fn instead(&self, role: &str, of: &str, into: &str, chains: &Chains) -> Vec<String> {
        let name = |end: &str| model_words(self.reference, end);
        let mut said = Vec::new();
        let takers = self.graph.goes_into(role, self.spot(of)).into_iter().filter(|&at| self.facts[at].into != into);
        for fact in takers.take(INSTEAD).map(|at| &self.facts[at]) {
            let with = if fact.verdict == Says::FitsWithWork { ", with work" } else { "" };
            let note = if fact.note.is_empty() { String::new() } else { format!(": {}", fact.note) };
            said.push(format!("It goes into {}{with}{note}", name(&fact.into)));
        }
        for other in self.graph.sources_of(chains, self.spot(into), INSTEAD + 1) {
            let answer = self.of_chains(role, &other, into, chains);
            if answer.verdict.may_serve() && other != of {
                said.push(format!("Here one of {} {}", name(&other), answer.verdict.words()));
            }
        }
        let (model, version) = end_parts(into);
        for number in self.reference.parts.numbers.iter().filter(|number| number.role == role) {
            let (of, numbered) = end_parts(&number.of);
            if of == model && (numbered.is_empty() || version.is_empty() || numbered == version) {
                said.push(format!("Part number {} is the one of {}", number.number, name(&number.of)));
            }
        }
        if !version.is_empty() && said.is_empty() {
            said.push("One from a reel of the same version is needed".into());
        }
        said
    }

    /// Models worth laying side by side: of one family with either, or another name of one.
    fn leads(&self, of: &str, into: &str) -> Vec<String> {
        let (of, into) = (end_parts(of).0, end_parts(into).0);
        let families: Vec<&str> =
            [of, into].iter().filter_map(|id| self.reference.model(id)?.family.as_deref()).collect();
        let near = self.reference.models.iter().filter(|model| {
            let family = model.family.as_deref().is_some_and(|family| families.contains(&family));
            let alike = model.look_alikes.iter().any(|like| like.model == of || like.model == into);
            (family || alike) && model.id != of && model.id != into
        });
        near.map(|model| model.id.clone()).take(LEADS).collect()
    }
}

impl Answer {
    /// Puts what was measured on the things themselves beside what is known. A measure that is wrong counts more than any
    /// word; one that is right turns “not known” into “fits by size”.
    pub fn measured(&mut self, sizes: &SizeMatch) {
        self.sizes.extend(sizes.compared.iter().map(|one| one.words.clone()));
        self.checks.extend(sizes.checks.iter().cloned());
        let Some(verdict) = sizes.verdict else { return };
        match verdict {
            Verdict::DoesNotFit | Verdict::DoesNotFitAsIs => {
                self.against.append(&mut self.chain);
                self.verdict = verdict;
                self.strength = weight(Evidence::Measured);
                self.trust = Trust::Probable;
                self.cure = sizes.cure.clone();
            }
            _ if matches!(self.verdict, Verdict::NotKnown | Verdict::FitsBySize) => {
                self.verdict = verdict;
                let all = sizes.missing.is_empty();
                self.strength = if all { weight(Evidence::Measured) } else { weight(Evidence::Hearsay) };
                self.trust = Trust::of(self.strength).min(Trust::Probable);
                self.leads.clear();
            }
            _ => {}
        }
        if !sizes.missing.is_empty() {
            self.checks.push(format!("Not compared yet: {}.", sizes.missing.join(", ").to_lowercase()));
        }
    }
}

/// Ids that a role's words stand for; words that mean no role are a role of their own.
fn role_ids(reference: &Reference, words: &str) -> Vec<String> {
    let meant = roles(&reference.parts, words);
    if meant.roles.is_empty() || !meant.rest.is_empty() { vec![words.trim().to_lowercase()] } else { meant.roles }
}

/// An end in words: brand or maker, name, version.
pub fn model_words(reference: &Reference, end: &str) -> String {
    let (id, versions) = end_parts(end);
    let Some(model) = reference.model(id) else { return end.to_owned() };
    let by = model.brand.as_deref().unwrap_or(reference.maker_name(&model.maker));
    let by = by.split(" (").next().unwrap_or(by);
    // A name may hold the brand already.
    let name = if model.name.starts_with(by) { model.name.clone() } else { format!("{by} {}", model.name) };
    match versions.first() {
        None => name,
        Some(version) => {
            let version = model.variant(version).map_or(*version, |variant| variant.name.as_str());
            format!("{name} ({version})")
        }
    }
}

/// What of a fact's sizes could not be compared; known sizes that differ turn the fact round.
fn conditions(reference: &Reference, fact: &mut Fact) -> Vec<String> {
    let mut unmet = Vec::new();
    for id in &fact.if_same {
        match (value(reference, &fact.of, id), value(reference, &fact.into, id)) {
            (Some((a, tol_a)), Some((b, tol_b))) if (a - b).abs() > tol_a + tol_b => {
                if fact.verdict != Says::DoesNotFit {
                    let note = format!("{} differs: {a} against {b}.", id.replace('_', " "));
                    fact.note = if fact.note.is_empty() { note } else { format!("{} But {note}", fact.note) };
                }
                fact.verdict = Says::DoesNotFit;
            }
            (Some(_), Some(_)) => {}
            _ => unmet.push(id.replace('_', " ")),
        }
    }
    if fact.verdict == Says::DoesNotFit { Vec::new() } else { unmet }
}

/// The one value of a measure that all variants of an end agree in, with its spread.
fn value(reference: &Reference, end: &str, feature: &str) -> Option<(f64, f64)> {
    let (id, versions) = end_parts(end);
    let model = reference.model(id)?;
    let variants =
        model.variants.iter().filter(|variant| versions.is_empty() || versions.contains(&variant.id.as_str()));
    let mut found: Option<(f64, f64)> = None;
    for variant in variants {
        let fact = variant.features.get(feature)?;
        let (value, tol) = (fact.value?, fact.tol.unwrap_or(0.0));
        match found {
            Some((first, spread)) if (first - value).abs() > spread + tol => return None,
            Some(_) => {}
            None => found = Some((value, tol)),
        }
    }
    found
}

impl Link {
    /// `A in B: fits (tried on the bench; who, when; source)`.
    pub fn words(&self, reference: &Reference) -> String {
        let mut because = vec![evidence_words(self.evidence).to_owned()];
        because.extend([&self.who, &self.when].into_iter().filter(|word| !word.is_empty()).cloned());
        because.extend(self.sources.iter().cloned());
        let note = if self.note.is_empty() { String::new() } else { format!(" {}", self.note) };
        format!(
            "{} in {}: {} ({}).{note}",
            model_words(reference, &self.of),
            model_words(reference, &self.into),
            super::says_words(self.says),
            because.join("; ")
        )
    }
}
