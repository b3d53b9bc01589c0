//! How did it come apart, and how does it go back together?
//!
//! A recording is a list of events that only grows, so that it can lie in a reel's record and two people's edits join.
//! [`Strip::of`] folds it into what lies in the tray, what is back, and what was noted. Putting together is taking apart
//! read backwards, mended where a pair of the generic order says that one thing must be in before another.

mod back;
mod fold;
mod guide;
mod plan;
mod tray;

use serde::{Deserialize, Serialize};

pub use back::{BackStep, Conflict, PutBack, put_back};
pub use fold::{StandsAt, Step, Strip, last_standing, rounds, time_at_bench_ms};
pub use guide::{Guide, GuideStep, TwoWays, guide};
pub use plan::{PlanStep, cautions_before, order_followed, plan};
pub use tray::{Leftover, ScrewPlace, leftovers, screws};

/// One event of a recording.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct StripEvent {
    /// Given by who records it, unlike any other of the recording.
    pub id: String,
    /// Milliseconds since 1970, UTC.
    pub at_ms: i64,
    pub what: Happened,
}

/// What happened.
// Nearly every event of a recording is the large one.
#[allow(clippy::large_enum_variant)]
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case", deny_unknown_fields)]
pub enum Happened {
    /// A part came off.
    Took(Took),
    /// So many of what the event `step` took off went back.
    Ticked { step: String, count: u32 },
    /// An earlier event is taken back; taking back a taking back brings it in again.
    Undone { event: String },
    /// Words, on a step or on the whole.
    Note {
        #[serde(default, skip_serializing_if = "Option::is_none")]
        step: Option<String>,
        words: String,
    },
}

/// A part that came off.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct Took {
    /// Role of the part; empty where its name is not known.
    #[serde(skip_serializing_if = "String::is_empty")]
    pub role: String,
    /// Own words: `brass piece`.
    #[serde(skip_serializing_if = "String::is_empty")]
    pub words: String,
    /// Id of the step of the generic order, if one was followed.
    #[serde(skip_serializing_if = "String::is_empty")]
    pub guide_step: String,
    /// From where it came.
    #[serde(skip_serializing_if = "String::is_empty")]
    pub from: String,
    #[serde(skip_serializing_if = "String::is_empty")]
    pub way_round: String,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub fastener: Option<Fastener>,
    #[serde(skip_serializing_if = "std::ops::Not::not")]
    pub under_tension: bool,
    /// It was left in place: riveted, or not to be forced.
    #[serde(skip_serializing_if = "std::ops::Not::not")]
    pub left_alone: bool,
    /// It does not belong to the works: a spare carried in the reel.
    #[serde(skip_serializing_if = "std::ops::Not::not")]
    pub spare: bool,
    /// Where in the tray it lies.
    #[serde(skip_serializing_if = "String::is_empty")]
    pub tray: String,
    /// How many; nobody counted is one.
    pub count: u32,
    /// Photos by their SHA-256.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub photos: Vec<String>,
    /// The tool that was needed.
    #[serde(skip_serializing_if = "String::is_empty")]
    pub tool: String,
    #[serde(skip_serializing_if = "String::is_empty")]
    pub note: String,
}

/// What held it.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct Fastener {
    /// Screw, nut, clip, pin, rivet, in words.
    pub kind: String,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub length_mm: Option<f64>,
    #[serde(skip_serializing_if = "String::is_empty")]
    pub head: String,
    /// Its own hole, as numbered on the card.
    #[serde(skip_serializing_if = "String::is_empty")]
    pub hole: String,
}

impl Took {
    /// What to call it.
    pub fn name(&self) -> String {
        match (self.role.is_empty(), self.words.is_empty()) {
            (_, false) => self.words.clone(),
            (false, true) => crate::reference::role_words(&self.role),
            (true, true) => "part of unknown name".into(),
        }
    }

    /// How many, at least one.
    pub fn pieces(&self) -> u32 {
        self.count.max(1)
    }

    fn is_screw(&self) -> bool {
        let kind = |fastener: &Fastener| fastener.kind.to_lowercase().contains("screw");
        self.fastener.as_ref().is_some_and(kind) || self.role.ends_with("screw")
    }
}

#[cfg(test)]
mod tests;
