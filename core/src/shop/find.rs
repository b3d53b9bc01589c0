//! One reel that was found: what was seen of it, where, for how much, and what became of it.

use serde::{Deserialize, Serialize};

use super::Price;
use crate::error::{Error, Result};
use crate::observe::{About, Sheet, Value};

/// The form of a find that this version writes.
pub const SCHEMA: u32 = 1;
/// Milliseconds since 1970 that JavaScript can count exactly.
const MS_MAX: i64 = 1 << 53;

/// A find as it is kept. Times are milliseconds since 1970, UTC.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Find {
    /// See [`SCHEMA`]; a find of a newer form is refused and left as it is.
    pub schema: u32,
    /// 128 random bits in hex, given by the caller.
    pub id: String,
    pub made_ms: i64,
    pub changed_ms: i64,
    /// What the person calls it; empty for none.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub name: String,
    /// Everything seen, oldest first; only ever added to.
    pub sheet: Sheet,
    /// Where it was found; empty for none.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub place: String,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub asking_price: Option<Price>,
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub note: String,
    /// Never leaves the shop: not printed, not sent.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub private_note: String,
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub photos: Vec<PhotoRef>,
    #[serde(default)]
    pub state: FindState,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub stall: Option<StallCheck>,
    /// What another tab had written in the same place: kept, never overwritten.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub set_aside: Vec<SetAside>,
    /// When it was put aside as deleted; it can be brought back until it is purged.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub deleted_ms: Option<i64>,
}

/// What became of the question which reel it is.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case", deny_unknown_fields)]
pub enum FindState {
    /// Still being looked at.
    #[default]
    Open,
    /// The person says which it is.
    Confirmed {
        model: String,
        #[serde(default, skip_serializing_if = "Option::is_none")]
        variant: Option<String>,
    },
    /// The person says that nobody knows; it can be taken up again.
    NotKnown,
}

impl FindState {
    /// Stable word for lists and indexes.
    pub fn word(&self) -> &'static str {
        match self {
            Self::Open => "open",
            Self::Confirmed { .. } => "confirmed",
            Self::NotKnown => "not_known",
        }
    }
}

/// A photo kept beside the find, named by what it contains.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct PhotoRef {
    /// SHA-256 of the bytes, 64 hex digits in lower case.
    pub sha256: String,
    pub width_px: u32,
    pub height_px: u32,
    /// What it shows; empty for none.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub words: String,
}

/// The two minutes at a stall.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct StallCheck {
    pub answers: Vec<StallAnswer>,
}

/// One thing tried at the stall. What was not tried has no answer.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct StallAnswer {
    /// Id of the check, such as `cracks-frame`.
    pub check: String,
    pub found: Found,
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub words: String,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Found {
    Sound,
    Trouble,
    CantTell,
}

/// A field's other value, from an edit made at the same time.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SetAside {
    /// The field in plain words, such as `place`.
    pub what: String,
    pub was: String,
}

impl Find {
    /// An empty find. `id`: 32 hex digits in lower case, made by the caller from 128 random bits.
    pub fn new(id: &str, made_ms: i64) -> Self {
        Self {
            schema: SCHEMA,
            id: id.to_owned(),
            made_ms,
            changed_ms: made_ms,
            name: String::new(),
            sheet: Sheet::default(),
            place: String::new(),
            asking_price: None,
            note: String::new(),
            private_note: String::new(),
            photos: Vec::new(),
            state: FindState::Open,
            stall: None,
            set_aside: Vec::new(),
            deleted_ms: None,
        }
    }

    /// Reads a find of this or an older form.
    ///
    /// # Errors
    /// A sentence: not a find, a find of a newer version (keep it, update the app), or one whose fields make no sense.
    pub fn from_json(text: &str) -> Result<Self> {
        #[derive(Deserialize)]
        struct Head {
            schema: u32,
        }
        let bad = |error: serde_json::Error| Error::malformed(format!("This is not a find: {error}."));
        let find: Self = match serde_json::from_str::<Head>(text).map_err(bad)?.schema {
            // An older form gets its own arm here, which turns its text into this one's.
            SCHEMA => serde_json::from_str(text).map_err(bad)?,
            newer if newer > SCHEMA => {
                return Err(Error::unknown(format!(
                    "This find was written by a newer Tailplate (form {newer}; this one reads up to {SCHEMA}). \
                     It is kept untouched; update the app to open it."
                )));
            }
            other => return Err(Error::malformed(format!("This is not a find: there is no form {other}."))),
        };
        find.check()?;
        Ok(find)
    }

    /// The text that [`Find::from_json`] reads.
    ///
    /// # Errors
    /// A sentence if a field makes no sense: such a find is not written.
    pub fn to_json(&self) -> Result<String> {
        self.check()?;
        serde_json::to_string(self).map_err(|error| Error::invalid(format!("The find can't be written: {error}.")))
    }

    /// Whether its fields make sense: looked at before writing and after reading.
    ///
    /// # Errors
    /// The first field that does not, in a sentence.
    pub fn check(&self) -> Result<()> {
        if self.schema != SCHEMA {
            return Err(Error::invalid(format!("The find's form is {}; this version writes {SCHEMA}.", self.schema)));
        }
        if !is_lower_hex(&self.id, 32) {
            return Err(Error::invalid(format!("The find's id “{}” is not 32 hex digits.", self.id)));
        }
        for (what, ms) in [("made", Some(self.made_ms)), ("changed", Some(self.changed_ms)), ("deleted", self.deleted_ms)] {
            if ms.is_some_and(|ms| !(0..=MS_MAX).contains(&ms)) {
                return Err(Error::invalid(format!("The time the find was {what} is no time.")));
            }
        }
        if let Some(price) = &self.asking_price {
            price.check()?;
        }
        for photo in &self.photos {
            if !is_lower_hex(&photo.sha256, 64) {
                return Err(Error::invalid(format!("The photo's name “{}” is not 64 hex digits.", photo.sha256)));
            }
        }
        for seen in &self.sheet.seen {
            // JSON has no word for these; they would be read back as something else.
            if matches!(seen.value, Value::Measure { amount, .. } if !amount.is_finite()) {
                return Err(Error::invalid(format!("The measure of {} is no figure.", seen.about.id())));
            }
        }
        Ok(())
    }

    /// Everything a person might search for, in lower case, private note included: the search stays on the device.
    pub fn search_text(&self) -> String {
        let mut words = vec![self.name.as_str(), &self.place, &self.note, &self.private_note, &self.sheet.note];
        words.extend(self.photos.iter().map(|photo| photo.words.as_str()));
        if let FindState::Confirmed { model, .. } = &self.state {
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

    /// Whether every word of the query occurs. `names`: maker and model names that the caller knows for this find.
    pub fn matches(&self, query: &str, names: &str) -> bool {
        let text = format!("{}\n{}", self.search_text(), names.to_lowercase());
        query.to_lowercase().split_whitespace().all(|word| text.contains(word))
    }
}

fn is_lower_hex(text: &str, digits: usize) -> bool {
    text.len() == digits && text.bytes().all(|b| matches!(b, b'0'..=b'9' | b'a'..=b'f'))
}
