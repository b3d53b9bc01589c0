//! The best chain: facts as links from reel to reel, and the strongest way along them.
//!
//! Strength is a product of weights from 0 to 1. It is kept as a cost, the rounded negative logarithm, so that sums are exact
//! and the order of two chains never hangs on rounding. Links may meet at a model even where one names a version and the
//! other does not; such a joint is counted as loose, and the part wants a look.

use std::cmp::Reverse;
use std::collections::{BTreeMap, BinaryHeap};

use super::fact::{Fact, LINK_DECAY, weight};
use crate::reference::{Says, end_parts};

/// A reel, or one version of it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct Spot {
    pub model: u32,
    /// 0: no version told.
    pub version: u32,
}

impl Spot {
    /// Both may be the same thing.
    pub fn may_be(self, other: Spot) -> bool {
        self.model == other.model && (self.version == other.version || self.version == 0 || other.version == 0)
    }
    /// What is said of this one holds for the other.
    pub fn covers(self, other: Spot) -> bool {
        self.model == other.model && (self.version == 0 || self.version == other.version)
    }
}

/// What makes one chain better than another: less cost, then fewer links, less work, fewer loose joints.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, PartialOrd, Ord)]
pub struct Rank {
    pub cost: u32,
    pub links: u16,
    pub works: u16,
    pub loose: u16,
}

impl Rank {
    pub fn strength(self) -> f64 {
        (-f64::from(self.cost) / COST_UNIT).exp()
    }
}

const COST_UNIT: f64 = 1e6;

pub fn cost_of(weight: f64) -> u32 {
    (-weight.ln() * COST_UNIT).round() as u32
}

#[derive(Debug, Clone)]
struct Edge {
    role: u32,
    into: Spot,
    of: Spot,
    says: Says,
    cost: u32,
    fact: u32,
}

/// Where a chain stands: how good it is from here on, and its next link.
#[derive(Debug, Clone, Copy)]
struct Label {
    rank: Rank,
    edge: u32,
    next: u32,
}

const NONE: u32 = u32::MAX;
/// The role that stands for every part.
const EVERY: u32 = 0;

#[derive(Debug, Default)]
pub struct Graph {
    roles: BTreeMap<String, u32>,
    models: BTreeMap<String, u32>,
    versions: BTreeMap<(u32, String), u32>,
    /// Sorted by role, model it goes into, model it is from.
    edges: Vec<Edge>,
    spots: Vec<Spot>,
    /// Per fact: the roles it excepts, and whether it counts.
    except: Vec<Vec<u32>>,
    counts: Vec<bool>,
}

/// All best chains into one reel for one role.
pub struct Chains {
    role: u32,
    labels: Vec<Option<Label>>,
}

impl Graph {
    /// Facts whose roles are ids already.
    pub fn build(facts: &[Fact]) -> Self {
        let mut graph = Graph { counts: vec![true; facts.len()], ..Graph::default() };
        for (number, fact) in facts.iter().enumerate() {
            let (of, into) = (graph.intern(&fact.of), graph.intern(&fact.into));
            let except = fact.except_roles.iter().map(|role| graph.role_number(role)).collect();
            graph.except.push(except);
            let every = if fact.roles.is_empty() { Some(EVERY) } else { None };
            let named: Vec<u32> = fact.roles.iter().map(|role| graph.role_number(role)).collect();
            for role in every.into_iter().chain(named) {
                let cost = cost_of(weight(fact.evidence));
                graph.edges.push(Edge { role, into, of, says: fact.verdict, cost, fact: number as u32 });
            }
        }
        graph.edges.sort_by_key(|edge| (edge.role, edge.into.model, edge.of.model, edge.fact));
        graph.spots = graph.edges.iter().flat_map(|edge| [edge.of, edge.into]).collect();
        graph.spots.sort_unstable();
        graph.spots.dedup();
        graph
    }

    fn intern(&mut self, end: &str) -> Spot {
        let (name, versions) = end_parts(end);
        let next = self.models.len() as u32;
        let model = *self.models.entry(name.to_owned()).or_insert(next);
        let version = match versions.first() {
            None => 0,
            Some(version) => {
                let next = self.versions.len() as u32 + 1;
                *self.versions.entry((model, (*version).to_owned())).or_insert(next)
            }
        };
        Spot { model, version }
    }

    fn role_number(&mut self, role: &str) -> u32 {
        let next = self.roles.len() as u32 + 1;
        *self.roles.entry(role.to_owned()).or_insert(next)
    }

    /// Lets a fact count or not.
    pub fn set_counts(&mut self, fact: usize, counts: bool) {
        self.counts[fact] = counts;
    }

    /// The reel as the facts know it. A version that no fact names stands apart from those that are named.
    pub fn spot(&self, end: &str) -> Option<Spot> {
        let (name, versions) = end_parts(end);
        let model = *self.models.get(name)?;
        let version = match versions.first() {
            None => 0,
            Some(version) => self.versions.get(&(model, (*version).to_owned())).copied().unwrap_or(NONE),
        };
        Some(Spot { model, version })
    }

    /// Where the links of one role into a model stand, perhaps only those from another.
    fn between(&self, role: u32, into: u32, of: Option<u32>) -> std::ops::Range<usize> {
        let key = |edge: &Edge| (edge.role, edge.into.model, of.map_or(0, |_| edge.of.model));
        let wanted = (role, into, of.unwrap_or(0));
        let from = self.edges.partition_point(|edge| key(edge) < wanted);
        from..from + self.edges[from..].partition_point(|edge| key(edge) == wanted)
    }

    /// Links into a model that count for a role, with their places.
    fn links(&self, role: u32, into: u32, of: Option<u32>) -> impl Iterator<Item = (usize, &Edge)> {
        let places = [EVERY, role].into_iter().flat_map(move |slot| self.between(slot, into, of));
        places.map(|at| (at, &self.edges[at])).filter(move |(_, edge)| self.speaks_of(edge, role))
    }

    /// The link counts, and not only for other parts.
    fn speaks_of(&self, edge: &Edge, role: u32) -> bool {
        let fact = edge.fact as usize;
        self.counts[fact] && (edge.role == role || edge.role == EVERY && !self.except[fact].contains(&role))
    }

    /// A “does not fit” for the very same ends stands against this link, and is no weaker.
    fn overruled(&self, role: u32, edge: &Edge) -> bool {
        self.links(role, edge.into.model, Some(edge.of.model)).any(|(_, other)| {
            other.says == Says::DoesNotFit
                && other.of.covers(edge.of)
                && other.into.covers(edge.into)
                && other.cost <= edge.cost
        })
    }

    /// The best chains from every reel into this one.
    pub fn chains(&self, role: &str, into: Spot) -> Chains {
        let role = self.roles.get(role).copied().unwrap_or(NONE);
        let mut labels: Vec<Option<Label>> = vec![None; self.spots.len()];
        let mut heap: BinaryHeap<Reverse<(Rank, u32)>> = BinaryHeap::new();
        let decay = cost_of(LINK_DECAY);
        self.step(role, into, Rank::default(), NONE, decay, &mut labels, &mut heap);
        while let Some(Reverse((rank, at))) = heap.pop() {
            if labels[at as usize].is_some_and(|label| label.rank == rank) {
                self.step(role, self.spots[at as usize], rank, at, decay, &mut labels, &mut heap);
            }
        }
        Chains { role, labels }
    }

    #[expect(clippy::too_many_arguments, reason = "one step of the search above, taken in two places")]
    fn step(
        &self,
        role: u32,
        here: Spot,
        rank: Rank,
        next: u32,
        decay: u32,
        labels: &mut [Option<Label>],
        heap: &mut BinaryHeap<Reverse<(Rank, u32)>>,
    ) {
        for (place, edge) in self.links(role, here.model, None) {
            if edge.says == Says::DoesNotFit || !edge.into.may_be(here) || self.overruled(role, edge) {
                continue;
            }
            let further = Rank {
                cost: rank.cost + edge.cost + if rank.links > 0 { decay } else { 0 },
                links: rank.links + 1,
                works: rank.works + u16::from(edge.says == Says::FitsWithWork),
                loose: rank.loose + u16::from(edge.into != here),
            };
            let Ok(at) = self.spots.binary_search(&edge.of) else { continue };
            if labels[at].is_none_or(|label| further < label.rank) {
                labels[at] = Some(Label { rank: further, edge: place as u32, next });
                heap.push(Reverse((further, at as u32)));
            }
        }
    }

    /// The best chain from one reel, as facts in the order from it to where the part goes.
    pub fn chain_from(&self, chains: &Chains, of: Spot) -> Option<(Rank, Vec<usize>)> {
        let first = self.spots.partition_point(|spot| spot.model < of.model);
        let mut best: Option<(Rank, usize)> = None;
        for (at, spot) in self.spots.iter().enumerate().skip(first).take_while(|(_, spot)| spot.model == of.model) {
            let Some(label) = chains.labels[at].filter(|_| spot.may_be(of)) else { continue };
            let rank = Rank { loose: label.rank.loose + u16::from(*spot != of), ..label.rank };
            if best.is_none_or(|(best, _)| rank < best) {
                best = Some((rank, at));
            }
        }
        let (rank, mut at) = best?;
        let mut facts = Vec::new();
        while let Some(label) = chains.labels.get(at).copied().flatten() {
            facts.push(self.edges[label.edge as usize].fact as usize);
            if label.next == NONE {
                break;
            }
            at = label.next as usize;
        }
        Some((rank, facts))
    }

    /// Reels with a chain, best first and so many at most, then those with a fact against them: by name, with the version
    /// that the facts name.
    pub fn sources_of(&self, chains: &Chains, into: Spot, most: usize) -> Vec<String> {
        let reached =
            self.spots.iter().zip(&chains.labels).filter_map(|(spot, label)| Some((label.as_ref()?.rank, *spot)));
        let mut ranked: Vec<(Rank, Spot)> = reached.filter(|(_, spot)| *spot != into).collect();
        ranked.sort_unstable();
        let mut spots: Vec<Spot> = ranked.into_iter().map(|(_, spot)| spot).take(most).collect();
        for (_, edge) in self.links(chains.role, into.model, None) {
            let denied = edge.says == Says::DoesNotFit && edge.into.may_be(into) && edge.of != into;
            if denied && spots.len() < 2 * most && !spots.contains(&edge.of) {
                spots.push(edge.of);
            }
        }
        self.names(&spots)
    }

    fn names(&self, spots: &[Spot]) -> Vec<String> {
        let mut models = vec![""; self.models.len()];
        self.models.iter().for_each(|(name, &number)| models[number as usize] = name);
        let mut versions = vec![""; self.versions.len() + 1];
        self.versions.iter().for_each(|((_, name), &number)| versions[number as usize] = name);
        let name = |spot: &Spot| match versions[spot.version as usize] {
            "" => models[spot.model as usize].to_owned(),
            version => format!("{}@{version}", models[spot.model as usize]),
        };
        spots.iter().map(name).collect()
    }

    /// The facts that say one does not fit the other: those that surely speak of these two, and those that may. The
    /// strongest comes first.
    pub fn against(&self, role: &str, of: Spot, into: Spot) -> (Vec<usize>, Vec<usize>) {
        let role = self.roles.get(role).copied().unwrap_or(NONE);
        let denied = self
            .links(role, into.model, Some(of.model))
            .map(|(_, edge)| edge)
            .filter(|edge| edge.says == Says::DoesNotFit && edge.of.may_be(of) && edge.into.may_be(into));
        let mut denied: Vec<(u32, usize, bool)> =
            denied.map(|edge| (edge.cost, edge.fact as usize, edge.of.covers(of) && edge.into.covers(into))).collect();
        denied.sort_unstable();
        let (sure, maybe): (Vec<_>, Vec<_>) = denied.into_iter().partition(|(_, _, covers)| *covers);
        (sure.into_iter().map(|one| one.1).collect(), maybe.into_iter().map(|one| one.1).collect())
    }

    /// Reels that a part of this one is known to go into by one fact, for this role.
    pub fn goes_into(&self, role: &str, of: Spot) -> Vec<usize> {
        let role = self.roles.get(role).copied().unwrap_or(NONE);
        let counts = |edge: &&Edge| edge.says != Says::DoesNotFit && edge.of.covers(of) && self.speaks_of(edge, role);
        let mut facts: Vec<usize> = self.edges.iter().filter(counts).map(|edge| edge.fact as usize).collect();
        facts.sort_unstable();
        facts.dedup();
        facts
    }
}
