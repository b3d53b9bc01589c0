//! Several recordings of one model made into a guide: the order most of them share, and where they differ.

use std::collections::{BTreeMap, BTreeSet};

use serde::Serialize;

use super::Strip;

/// A step of the guide.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct GuideStep {
    /// Role or words, with a number where a reel has several.
    pub part: String,
    /// In so many of the recordings.
    pub seen_in: usize,
    /// What they noted, each once.
    pub from: Vec<String>,
    pub way_round: Vec<String>,
    pub fasteners: Vec<String>,
    pub tools: Vec<String>,
    pub under_tension: bool,
    pub left_alone: bool,
    /// Counts that were met; more than one where reels or hands differ.
    pub counts: Vec<u32>,
    pub photos: Vec<String>,
}

impl GuideStep {
    /// What they noted of it, in words; `recordings`: how many there are.
    pub fn words(&self, recordings: usize) -> Vec<String> {
        let mut told: Vec<String> =
            [&self.fasteners, &self.from, &self.way_round, &self.tools].map(Vec::as_slice).concat();
        told.extend(self.under_tension.then(|| "under tension".to_owned()));
        told.extend(self.left_alone.then(|| "left in place".to_owned()));
        let counts: Vec<String> = self.counts.iter().map(u32::to_string).collect();
        let telling = counts.len() > 1 || self.counts.first().is_some_and(|n| *n > 1);
        told.extend(telling.then(|| format!("count {}", counts.join(" or "))));
        told.extend((self.seen_in < recordings).then(|| format!("in {} of {recordings}", self.seen_in)));
        told
    }
}

impl TwoWays {
    pub fn words(&self) -> String {
        format!("{} or {} first: {} and {} times.", self.a, self.b, self.a_first, self.b_first)
    }
}

/// Two parts that came off in either order.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct TwoWays {
    pub a: String,
    pub b: String,
    /// Recordings in which `a` came off first, and `b`.
    pub a_first: usize,
    pub b_first: usize,
}

/// The guide.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Guide {
    pub recordings: usize,
    pub steps: Vec<GuideStep>,
    pub differ: Vec<TwoWays>,
}

/// Makes the guide; the order in which the recordings are given does not matter.
pub fn guide(recordings: &[Strip]) -> Guide {
    let ranks: Vec<BTreeMap<String, usize>> = recordings
        .iter()
        .map(|strip| names(strip).into_iter().enumerate().map(|(rank, name)| (name, rank)).collect())
        .collect();
    let parts: BTreeSet<&String> = ranks.iter().flat_map(BTreeMap::keys).collect();
    let parts: Vec<&String> = parts.into_iter().collect();
    let first = |a: &String, b: &String| {
        ranks.iter().filter(|rank| matches!((rank.get(a), rank.get(b)), (Some(a), Some(b)) if a < b)).count()
    };
    let mut wins = vec![0_i64; parts.len()];
    let mut differ = Vec::new();
    for a in 0..parts.len() {
        for b in a + 1..parts.len() {
            let (a_first, b_first) = (first(parts[a], parts[b]), first(parts[b], parts[a]));
            let sign = (a_first as i64 - b_first as i64).signum();
            wins[a] += sign;
            wins[b] -= sign;
            if a_first > 0 && b_first > 0 {
                differ.push(TwoWays { a: parts[a].clone(), b: parts[b].clone(), a_first, b_first });
            }
        }
    }
    // Who comes before more of the others comes first; even ones by their mean place, in millionths so that sums are exact.
    let place = |part: &String| -> u64 {
        let places = ranks.iter().filter_map(|rank| Some(*rank.get(part)? as u64 * 1_000_000 / rank.len() as u64));
        let (sum, count) = places.fold((0, 0), |(sum, count), place| (sum + place, count + 1));
        sum / count.max(1)
    };
    let mut order: Vec<usize> = (0..parts.len()).collect();
    order.sort_by_key(|at| (-wins[*at], place(parts[*at]), parts[*at].clone()));
    let steps = order.into_iter().map(|at| step(recordings, parts[at])).collect();
    Guide { recordings: recordings.len(), steps, differ }
}

/// What each step of a recording is called, unlike any other of it.
fn names(strip: &Strip) -> Vec<String> {
    let mut met: BTreeMap<String, usize> = BTreeMap::new();
    strip
        .steps
        .iter()
        .map(|step| {
            let took = &step.took;
            let name = if took.role.is_empty() { took.name().trim().to_lowercase() } else { took.name_of_role() };
            let times = met.entry(name.clone()).or_default();
            *times += 1;
            if *times == 1 { name } else { format!("{name} {times}") }
        })
        .collect()
}

impl super::Took {
    fn name_of_role(&self) -> String {
        crate::reference::role_words(&self.role)
    }
}

fn step(recordings: &[Strip], part: &str) -> GuideStep {
    let mut found = Vec::new();
    for strip in recordings {
        let names = names(strip);
        found.extend(strip.steps.iter().zip(names).filter(|(_, name)| name == part).map(|(step, _)| &step.took));
    }
    let each = |of: &dyn Fn(&super::Took) -> String| -> Vec<String> {
        let words: BTreeSet<String> =
            found.iter().map(|took| of(took)).filter(|words| !words.trim().is_empty()).collect();
        words.into_iter().collect()
    };
    let fastener = |took: &super::Took| {
        took.fastener.as_ref().map_or(String::new(), |fastener| {
            let length = fastener.length_mm.map_or(String::new(), |mm| format!("{mm} mm"));
            let hole = if fastener.hole.is_empty() { String::new() } else { format!("hole {}", fastener.hole) };
            let told = [fastener.kind.clone(), length, fastener.head.clone(), hole];
            told.into_iter().filter(|words| !words.is_empty()).collect::<Vec<_>>().join(", ")
        })
    };
    let photos: BTreeSet<&String> = found.iter().flat_map(|took| &took.photos).collect();
    let counts: BTreeSet<u32> = found.iter().map(|took| took.pieces()).collect();
    GuideStep {
        part: part.to_owned(),
        seen_in: found.len(),
        from: each(&|took| took.from.clone()),
        way_round: each(&|took| took.way_round.clone()),
        fasteners: each(&fastener),
        tools: each(&|took| took.tool.clone()),
        under_tension: found.iter().any(|took| took.under_tension),
        left_alone: found.iter().any(|took| took.left_alone),
        counts: counts.into_iter().collect(),
        photos: photos.into_iter().cloned().collect(),
    }
}
