//! One reel in the shop: a tagged thing, what is wrong with it, what is done to it, and where it stands.

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};

use super::{Find, FindState, PhotoRef, Price, SetAside, Stand, Step, Valued, Who, check, stand};
use crate::bench::Kept;
use crate::error::{Error, Result};
use crate::faults::{Observed, Seen};
use crate::observe::{About, Sheet, Value};
use crate::record::{Kind, Record, Shape};
use crate::service::{Marked, Reading};
use crate::strip::{Happened, StripEvent};

/// A reel as kept. Times are milliseconds since 1970, UTC.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct Reel {
    pub schema: u32,
    pub id: String,
    pub made_ms: i64,
    pub changed_ms: i64,
    /// The code on its tag, eight characters; empty until it has one.
    #[serde(skip_serializing_if = "String::is_empty")]
    pub tag: String,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub job: Option<String>,
    /// What the person calls it.
    #[serde(skip_serializing_if = "String::is_empty")]
    pub name: String,
    /// State of `reel_kind`; empty where nobody said.
    #[serde(skip_serializing_if = "String::is_empty")]
    pub kind: String,
    pub which: FindState,
    pub sheet: Sheet,
    /// The customer's words on this reel.
    #[serde(skip_serializing_if = "String::is_empty")]
    pub complaint: String,
    /// How it arrived.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub condition: Vec<Condition>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub missing: Vec<MissingPart>,
    /// Looks and works are graded apart.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub looks: Option<Grade>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub works: Option<Grade>,
    /// How clean the owner wants it, as the packs' words; empty: not asked.
    #[serde(skip_serializing_if = "String::is_empty")]
    pub wish: String,
    /// What the owner said to the packs' questions.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub said: Vec<Said>,
    /// What it is worth to its owner: cost is set against it before work.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub worth: Option<Price>,
    /// What it would bring, as thought on several days; it only grows.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub valued: Vec<Valued>,
    /// Symptoms that were looked for, by id.
    #[serde(skip_serializing_if = "BTreeMap::is_empty")]
    pub symptoms: BTreeMap<String, Seen>,
    /// Results of checks that were made, by id of the check.
    #[serde(skip_serializing_if = "BTreeMap::is_empty")]
    pub checks: BTreeMap<String, String>,
    /// What the bench found, apart from the complaint.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub finding: Option<Finding>,
    #[serde(skip_serializing_if = "String::is_empty")]
    pub found: String,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub photos: Vec<PhotoRef>,
    /// Its way through the shop, oldest first.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub way: Vec<Step>,
    /// What was done, oldest first.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub work: Vec<Done>,
    /// How it came apart and went back together, oldest first; it only grows.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub strip: Vec<StripEvent>,
    /// The service list as done and not done, oldest first; the newest of an item counts.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub service: Vec<Marked>,
    /// Function tests as read before and after, oldest first.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub tests: Vec<Reading>,
    /// Results of sums kept with it, oldest first.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub sums: Vec<Kept>,
    /// Parts taken out that the owner may want back.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub old_parts: Vec<OldPart>,
    /// Parts made or taken from elsewhere, for good: each in words, with its date.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub not_original: Vec<Done>,
    /// What to look at again: a repair, a cracked tooth.
    #[serde(skip_serializing_if = "String::is_empty")]
    pub watch: String,
    /// Day its next service is due, `2026-03-14`; empty for none.
    #[serde(skip_serializing_if = "String::is_empty")]
    pub due: String,
    /// Shelf, box or tray.
    #[serde(skip_serializing_if = "String::is_empty")]
    pub lies_at: String,
    #[serde(skip_serializing_if = "String::is_empty")]
    pub note: String,
    /// Never leaves the shop: not printed, not sent.
    #[serde(skip_serializing_if = "String::is_empty")]
    pub private_note: String,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub set_aside: Vec<SetAside>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub deleted_ms: Option<i64>,
}

/// Something noted at arrival.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Condition {
    /// Id of the quick choice, such as `seized`.
    pub what: String,
    /// Where, or how bad, in words.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub words: String,
}

/// An answer of the owner.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Said {
    /// Id of the question.
    pub ask: String,
    pub answer: String,
}

/// A part that was not there when the reel came.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct MissingPart {
    pub part: String,
    /// When the customer agreed that it came without.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub acknowledged_ms: Option<i64>,
}

/// A grade and the scale it stands on.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Grade {
    pub scale: String,
    pub grade: String,
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub words: String,
}

/// What the bench found; nothing found and nothing wrong are findings too.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Finding {
    FaultFound,
    NoFaultFound,
    WorksAsMade,
    OwnersUse,
    BeyondThisBench,
    CostsMoreThanItIsWorth,
}

impl Finding {
    pub const ALL: [Self; 6] = [
        Self::FaultFound,
        Self::NoFaultFound,
        Self::WorksAsMade,
        Self::OwnersUse,
        Self::BeyondThisBench,
        Self::CostsMoreThanItIsWorth,
    ];

    pub fn words(self) -> &'static str {
        match self {
            Self::FaultFound => "Fault found",
            Self::NoFaultFound => "No fault found",
            Self::WorksAsMade => "Works as made",
            Self::OwnersUse => "Use or setting, explained",
            Self::BeyondThisBench => "Beyond this bench",
            Self::CostsMoreThanItIsWorth => "Would cost more than it is worth",
        }
    }
}

/// Something done to the reel.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Done {
    pub at_ms: i64,
    pub what: String,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub minutes: Option<u32>,
}

/// A part taken out.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct OldPart {
    pub part: String,
    /// It goes back to the owner, so it has to be in the parcel.
    pub goes_back: bool,
}

impl Reel {
    /// A reel that arrived just now.
    pub fn new(id: &str, made_ms: i64) -> Self {
        Self {
            schema: Self::SCHEMA,
            id: id.to_owned(),
            made_ms,
            changed_ms: made_ms,
            way: vec![Step { at_ms: made_ms, to: Stand::Arrived, by: Who::Customer, words: String::new() }],
            ..Self::default()
        }
    }

    /// As a find, for the page that asks a helper: what the shop knows of its owner is not in it.
    pub fn as_find(&self) -> Find {
        let mut find = Find::new(&self.id, self.made_ms);
        find.name.clone_from(&self.name);
        find.sheet = self.sheet.clone();
        find.state = self.which.clone();
        find.photos.clone_from(&self.photos);
        find.note.clone_from(&self.found);
        find
    }

    /// What the fault key is told of it.
    pub fn observed(&self) -> Observed {
        Observed {
            kind: self.kind.clone(),
            said: self.complaint.clone(),
            symptoms: self.symptoms.clone(),
            checks: self.checks.clone(),
        }
    }

    /// Where it stands now, and since when.
    pub fn stand(&self) -> (Stand, i64) {
        self.way.last().map_or((Stand::Arrived, self.made_ms), |step| (step.to, step.at_ms))
    }

    /// Sends it on.
    ///
    /// # Errors
    /// It may not go there, or somebody else must say so.
    pub fn go(&mut self, to: Stand, by: Who, at_ms: i64, words: &str) -> Result<()> {
        stand::may_go(self.stand().0, to, by)?;
        self.way.push(Step { at_ms, to, by, words: words.to_owned() });
        Ok(())
    }
}

impl Record for Reel {
    const KIND: Kind = Kind::Reel;
    const SHAPE: Shape = Shape {
        lists: &["sheet/seen", "way", "work", "not_original", "strip", "service", "tests", "sums", "valued"],
        texts: &["complaint", "found", "watch", "note", "private_note", "sheet/note"],
        keyed: &[
            ("photos", "sha256"),
            ("condition", "what"),
            ("missing", "part"),
            ("old_parts", "part"),
            ("said", "ask"),
        ],
        newest: &["changed_ms"],
    };
    const SCHEMA: u32 = 1;

    super::common_fields!();

    fn row(&self) -> super::Row {
        super::row::of_reel(self)
    }

    fn check(&self) -> Result<()> {
        check::id("reel", &self.id)?;
        check::times("reel", &[Some(self.made_ms), Some(self.changed_ms), self.deleted_ms])?;
        if let Some(worth) = &self.worth {
            worth.check()?;
        }
        for valued in &self.valued {
            valued.check()?;
        }
        let times = self.strip.iter().map(|event| event.at_ms);
        let times = times.chain(self.service.iter().map(|mark| mark.at_ms));
        let times = times.chain(self.sums.iter().map(|sum| sum.at_ms));
        let times: Vec<_> = times.chain(self.tests.iter().map(|reading| reading.at_ms)).map(Some).collect();
        check::times("reel", &times)?;
        // JSON has no word for a figure that is none: it would not be read again.
        let length = |event: &StripEvent| match &event.what {
            Happened::Took(took) => took.fastener.as_ref().and_then(|fastener| fastener.length_mm),
            _ => None,
        };
        let figures = self.tests.iter().flat_map(|reading| reading.figures.iter().copied());
        if figures.chain(self.strip.iter().filter_map(length)).any(|figure| !figure.is_finite()) {
            return Err(Error::invalid("A figure of the reel's bench work is no number."));
        }
        check::photos(&self.photos)
    }

    fn search_text(&self) -> String {
        let mut words: Vec<&str> = vec![
            &self.tag,
            &self.name,
            &self.kind,
            &self.complaint,
            &self.found,
            &self.watch,
            &self.lies_at,
            &self.note,
            &self.private_note,
        ];
        words.extend(self.photos.iter().map(|photo| photo.words.as_str()));
        words.extend(self.work.iter().chain(&self.not_original).map(|done| done.what.as_str()));
        words.extend(self.strip.iter().filter_map(|event| match &event.what {
            Happened::Took(took) => Some(took.words.as_str()),
            Happened::Note { words, .. } => Some(words),
            _ => None,
        }));
        words.extend(self.condition.iter().flat_map(|one| [one.what.as_str(), &one.words]));
        words.extend(self.missing.iter().map(|one| one.part.as_str()));
        if let FindState::Confirmed { model, .. } = &self.which {
            words.push(model);
        }
        for seen in &self.sheet.seen {
            if let (About::Mark(_), Value::Text(text)) = (&seen.about, &seen.value) {
                words.push(text);
            }
        }
        words.retain(|part| !part.is_empty());
        words.join("\n").to_lowercase()
    }

    fn set_aside(&mut self, beside: Vec<SetAside>) {
        for one in beside {
            if !self.set_aside.contains(&one) {
                self.set_aside.push(one);
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::record::Kept;
    use crate::service::ReadWhen;
    use crate::strip::{Fastener, Took};

    const ID: &str = "000102030405060708090a0b0c0d0e0f";

    fn event(id: &str) -> StripEvent {
        let fastener = Some(Fastener { kind: "screw".into(), length_mm: Some(6.0), ..Fastener::default() });
        StripEvent { id: id.into(), at_ms: 5, what: Happened::Took(Took { fastener, count: 1, ..Took::default() }) }
    }

    #[test]
    fn bench_work_of_two_devices_is_all_there() {
        let mut here = Kept::new(Reel::new(ID, 1), 7).unwrap();
        let mut there: Kept<Reel> = Kept::read(&here.bytes(), 8).unwrap();
        let told = here.change(2, |reel| {
            reel.strip.push(event("a"));
            reel.symptoms.insert("s-open".into(), Seen::Present);
        });
        there
            .change(3, |reel| {
                reel.strip.push(event("b"));
                reel.service.push(Marked {
                    item: "sv/1".into(),
                    done: true,
                    reason: String::new(),
                    at_ms: 3,
                    taken_back: false,
                });
                let (test, when) = ("t-play".to_owned(), ReadWhen::Before);
                let figures = vec![2.5, 3.0];
                reel.tests.push(Reading { test, when, figures, words: String::new(), with: String::new(), at_ms: 3 });
            })
            .unwrap();
        there.join(&told.unwrap().unwrap()).unwrap();
        let reel = &there.record;
        assert_eq!(reel.strip.len(), 2, "{:?}", reel.strip);
        assert_eq!((reel.service.len(), &reel.tests[0].figures[..]), (1, &[2.5, 3.0][..]));
        assert_eq!(reel.observed().symptoms["s-open"], Seen::Present);
    }

    #[test]
    fn a_reel_written_before_the_bench_is_read_and_a_figure_that_is_none_refused() {
        let old = serde_json::to_string(&Reel::new(ID, 1)).unwrap();
        assert!(!["strip", "service", "tests", "symptoms", "checks"].iter().any(|new| old.contains(new)), "{old}");
        let mut reel: Reel = serde_json::from_str(&old).unwrap();
        assert!(reel.strip.is_empty() && reel.tests.is_empty());
        reel.strip.push(event("a"));
        assert!(reel.check().is_ok());
        if let Happened::Took(took) = &mut reel.strip[0].what {
            took.fastener.as_mut().unwrap().length_mm = Some(f64::NAN);
        }
        assert!(reel.check().is_err());
    }
}
