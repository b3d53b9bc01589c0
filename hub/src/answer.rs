//! The core's answers to a person's questions: the one place where packs, key and dating meet.

use serde::Serialize;
use tailplate_core::dating::{self, MarkReading, When};
use tailplate_core::key::{self, Identification, Key, Learned, Separation, Verdict};
use tailplate_core::listing::{self, Claim, Judged};
use tailplate_core::observe::{About, Observation, Sheet, Value};
use tailplate_core::reference::{Maker, Model, Reference};

use crate::nearest::hint;
use crate::packs;

/// Everything needed to answer.
pub struct Desk {
    pub reference: Reference,
    key: Key,
    /// Nothing is dated later.
    pub this_year: i32,
}

/// Which reel, and when.
#[derive(Debug, Clone, Serialize)]
pub struct Named {
    #[serde(flatten)]
    pub identification: Identification,
    pub when: When,
}

/// When, and what each mark can mean by itself.
#[derive(Debug, Clone, Serialize)]
pub struct Dated {
    pub marks: Vec<(String, MarkReading)>,
    #[serde(flatten)]
    pub when: When,
}

/// What a seller claims, and what became of each claim.
#[derive(Debug, Clone, Serialize)]
pub struct Heard {
    pub claims: Vec<Claim>,
    #[serde(flatten)]
    pub judged: Judged,
}

impl Desk {
    pub fn open(choice: &packs::Choice, this_year: i32) -> Result<Self, String> {
        let reference = packs::load(choice)?;
        let key = Key::build(&reference, &Learned::default());
        Ok(Self { reference, key, this_year })
    }

    /// Names and dates the reel.
    pub fn identify(&self, sheet: &Sheet) -> Named {
        let identification = key::identify(&self.key, &self.reference, &sheet.seen);
        let when = dating::date(&self.reference, &sheet.seen, &identification.variants, self.this_year);
        Named { identification, when }
    }

    /// Dates what was seen. A maker told by the person leaves only that maker's models.
    pub fn date(&self, seen: &[Observation], maker: Option<&Maker>) -> Dated {
        let named = key::identify(&self.key, &self.reference, seen);
        let variants = match (maker, named.verdict) {
            (Some(maker), _) => self.only_of(maker, named.variants),
            (None, Verdict::Settled { .. } | Verdict::Maker { .. }) => named.variants,
            // A mark that names nobody must not lend a model's years.
            (None, Verdict::Undecided | Verdict::NotInKey) => Vec::new(),
        };
        let when = dating::date(&self.reference, seen, &variants, self.this_year);
        let texts = seen.iter().filter_map(|seen| match (&seen.about, &seen.value) {
            (About::Mark(_), Value::Text(text)) => Some(text.clone()),
            _ => None,
        });
        let marks = texts
            .map(|text| {
                let reading = dating::read_mark(&self.reference, &text, self.this_year);
                (text, reading)
            })
            .collect();
        Dated { marks, when }
    }

    /// The variants of one maker, their chances summing to 1; all alike where none had any.
    fn only_of(&self, maker: &Maker, variants: Vec<(String, String, f64)>) -> Vec<(String, String, f64)> {
        let is_theirs = |id: &str| self.reference.model(id).is_some_and(|model| model.maker == maker.id);
        let mut theirs: Vec<_> = variants.into_iter().filter(|(model, _, _)| is_theirs(model)).collect();
        if theirs.is_empty() {
            let models = self.reference.models.iter().filter(|model| model.maker == maker.id);
            theirs = models.flat_map(|m| m.variants.iter().map(|v| (m.id.clone(), v.id.clone(), 1.0))).collect();
        }
        let total: f64 = theirs.iter().map(|(_, _, chance)| chance).sum();
        theirs.iter_mut().for_each(|(_, _, chance)| *chance /= total);
        theirs
    }

    /// Reads a seller's text and judges what it claims.
    pub fn listing(&self, text: &str, seen: &Sheet) -> Heard {
        let claims = listing::read(text, &self.reference);
        let judged = listing::judge(&claims, seen, &self.reference, &self.key, self.this_year);
        Heard { claims, judged }
    }

    pub fn separate(&self, models: &[&Model]) -> Result<Separation, String> {
        let ids: Vec<&str> = models.iter().map(|model| model.id.as_str()).collect();
        key::separate(&self.key, &self.reference, &ids).map_err(|error| error.to_string())
    }

    /// A model by its id.
    pub fn model(&self, id: &str) -> Result<&Model, String> {
        self.reference.model(id).ok_or_else(|| {
            let ids = self.reference.models.iter().map(|model| model.id.as_str());
            format!("No model is called “{id}”.{}", hint(id, ids))
        })
    }

    /// A maker by its id.
    pub fn maker(&self, id: &str) -> Result<&Maker, String> {
        self.reference.maker(id).ok_or_else(|| {
            let ids = self.reference.makers.iter().map(|maker| maker.id.as_str());
            format!("No maker is called “{id}”.{}", hint(id, ids))
        })
    }
}
