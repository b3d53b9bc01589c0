//! From events to what is so now.

use std::collections::{BTreeMap, BTreeSet};

use serde::Serialize;

use super::{Happened, StripEvent, Took};

/// A step as it stands.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Step {
    /// Id of the event that took it off.
    pub id: String,
    pub at_ms: i64,
    pub took: Took,
    /// Pieces that went back, and when the last did.
    pub back: u32,
    pub back_at_ms: Option<i64>,
    pub notes: Vec<String>,
}

impl Step {
    /// Nothing of it is left to put back.
    pub fn is_back(&self) -> bool {
        self.took.left_alone || self.took.spare || self.back >= self.took.pieces()
    }
}

/// A recording folded: pure, so the same events always give the same.
#[derive(Debug, Clone, Default, PartialEq, Serialize)]
pub struct Strip {
    /// In the order of taking off.
    pub steps: Vec<Step>,
    /// Notes on the whole.
    pub notes: Vec<String>,
    /// Time of the last event that counts.
    pub last_ms: Option<i64>,
    /// Events that could not be used.
    pub problems: Vec<String>,
}

/// Where the work stands, to go on after days.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum StandsAt {
    NotBegun,
    /// Taking apart: nothing is back yet.
    TakingApart,
    PuttingTogether,
    AllBack,
}

impl Strip {
    /// Folds the events, in the order they are kept.
    pub fn of(events: &[StripEvent]) -> Self {
        let undone = undone(events);
        let mut strip = Strip::default();
        let mut seen: BTreeSet<&str> = BTreeSet::new();
        let counting = || events.iter().filter(|event| !undone.contains(event.id.as_str()));
        // All that was taken first: joined recordings may hold a tick before its step.
        for event in counting() {
            if !seen.insert(&event.id) {
                strip.problems.push(format!("The event {} stands in the recording twice.", event.id));
                continue;
            }
            strip.last_ms = strip.last_ms.max(Some(event.at_ms));
            if let Happened::Took(took) = &event.what {
                strip.steps.push(Step {
                    id: event.id.clone(),
                    at_ms: event.at_ms,
                    took: took.clone(),
                    back: 0,
                    back_at_ms: None,
                    notes: Vec::new(),
                });
            }
        }
        let places: BTreeMap<String, usize> =
            strip.steps.iter().enumerate().map(|(at, step)| (step.id.clone(), at)).collect();
        let mut used: BTreeSet<&str> = BTreeSet::new();
        for event in counting().filter(|event| used.insert(&event.id)) {
            match &event.what {
                Happened::Ticked { step, count } => match places.get(step) {
                    Some(at) => {
                        let step = &mut strip.steps[*at];
                        step.back = step.back.saturating_add(*count);
                        step.back_at_ms = step.back_at_ms.max(Some(event.at_ms));
                    }
                    None => strip.problems.push(format!("A tick is for a step {step} that is not there.")),
                },
                Happened::Note { step: Some(step), words } => match places.get(step) {
                    Some(at) => strip.steps[*at].notes.push(words.clone()),
                    None => strip.notes.push(words.clone()),
                },
                Happened::Note { step: None, words } => strip.notes.push(words.clone()),
                Happened::Took(_) | Happened::Undone { .. } => {}
            }
        }
        strip
    }

    pub fn step(&self, id: &str) -> Option<&Step> {
        self.steps.iter().find(|step| step.id == id)
    }

    pub fn stands_at(&self) -> StandsAt {
        match (self.steps.is_empty(), self.steps.iter().any(|step| step.back > 0)) {
            (true, _) => StandsAt::NotBegun,
            _ if self.steps.iter().all(Step::is_back) => StandsAt::AllBack,
            (false, true) => StandsAt::PuttingTogether,
            (false, false) => StandsAt::TakingApart,
        }
    }
}

/// The newest event that counts: what an undo takes back.
pub fn last_standing(events: &[StripEvent]) -> Option<&StripEvent> {
    let undone = undone(events);
    events.iter().rev().find(|event| !undone.contains(event.id.as_str()))
}

/// A pause longer than this is no work on the reel.
const PAUSE_MS: i64 = 15 * 60_000;

/// How long the reel was worked on: the time between events, longer pauses left out.
pub fn time_at_bench_ms(events: &[StripEvent]) -> i64 {
    let mut times: Vec<i64> = events.iter().map(|event| event.at_ms).collect();
    times.sort_unstable();
    times.windows(2).map(|two| two[1] - two[0]).filter(|gap| *gap <= PAUSE_MS).sum()
}

/// The recording in rounds, oldest first, without what was taken back: a reel that was whole again and from which a part
/// then comes off is being taken apart anew.
pub fn rounds(events: &[StripEvent]) -> Vec<Vec<StripEvent>> {
    let undone = undone(events);
    let mut rounds: Vec<Vec<StripEvent>> = Vec::new();
    // Pieces that lie in the tray, by step.
    let mut out: BTreeMap<&str, u32> = BTreeMap::new();
    let mut began = false;
    for event in events.iter().filter(|event| !undone.contains(event.id.as_str())) {
        match &event.what {
            Happened::Took(took) if !took.left_alone && !took.spare => {
                if rounds.is_empty() || began && out.is_empty() {
                    rounds.push(Vec::new());
                }
                out.insert(&event.id, took.pieces());
                began = true;
            }
            Happened::Ticked { step, count } => {
                if let Some(left) = out.get_mut(step.as_str()) {
                    *left = left.saturating_sub(*count);
                    if *left == 0 {
                        out.remove(step.as_str());
                    }
                }
            }
            _ => {}
        }
        match rounds.last_mut() {
            Some(round) => round.push(event.clone()),
            None => rounds.push(vec![event.clone()]),
        }
    }
    rounds
}

/// Events that do not count: those taken back by one that counts, and the takings back themselves.
fn undone(events: &[StripEvent]) -> BTreeSet<&str> {
    let takings: Vec<(&str, &str)> = events
        .iter()
        .filter_map(|event| match &event.what {
            Happened::Undone { event: of } => Some((event.id.as_str(), of.as_str())),
            _ => None,
        })
        .collect();
    // Later ones first, so that a taking back that was itself taken back is known as such in time.
    let mut gone: BTreeSet<&str> = BTreeSet::new();
    for (id, of) in takings.iter().rev() {
        if !gone.contains(id) && id != of {
            gone.insert(of);
        }
    }
    gone.extend(takings.iter().map(|(id, _)| *id));
    gone
}
