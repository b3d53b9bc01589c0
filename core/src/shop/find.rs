//! One reel that was found: what was seen of it, where, for how much, and what became of it.

use serde::{Deserialize, Serialize};

use super::{Price, Valued};
use crate::error::{Error, Result};
use crate::observe::{About, Sheet, Value};
use crate::record::{Kind, Record, Shape};

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
    #[serde(default)]
    pub sheet: Sheet,
    /// Where it was found; empty for none.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub place: String,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub asking_price: Option<Price>,
    /// Where it lies since it was brought home; empty for one that was only looked at.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub lies_at: String,
    /// What it would bring, as thought on several days; it only grows.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub valued: Vec<Valued>,
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

impl Record for Find {
    const KIND: Kind = Kind::Find;
    const SHAPE: Shape = Shape {
        lists: &["sheet/seen", "valued"],
        texts: &["note", "private_note", "sheet/note"],
        keyed: &[("photos", "sha256")],
        newest: &["changed_ms"],
    };
    const SCHEMA: u32 = SCHEMA;

    super::common_fields!();

    fn row(&self) -> super::Row {
        super::row::of_find(self)
    }

    fn check(&self) -> Result<()> {
        Find::check(self)
    }

    fn search_text(&self) -> String {
        Find::search_text(self)
    }

    fn set_aside(&mut self, beside: Vec<SetAside>) {
        for one in beside {
            if !self.set_aside.contains(&one) {
                self.set_aside.push(one);
            }
        }
    }
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
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct PhotoRef {
    /// SHA-256 of the bytes, 64 hex digits in lower case.
    pub sha256: String,
    pub width_px: u32,
    pub height_px: u32,
    /// What it shows; empty for none.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub words: String,
    #[serde(default, skip_serializing_if = "Stage::is_arrival")]
    pub stage: Stage,
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub spots: Vec<Spot>,
}

/// When of the reel's way a photo was taken.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Stage {
    #[default]
    Arrival,
    Bench,
    After,
}

impl Stage {
    fn is_arrival(&self) -> bool {
        *self == Self::Arrival
    }
}

/// A place on a photo with a word to it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Spot {
    /// From the left edge, in thousandths of the width.
    pub x_mille: u16,
    /// From the top edge, in thousandths of the height.
    pub y_mille: u16,
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
            lies_at: String::new(),
            valued: Vec::new(),
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
            other => {
                return Err(Error::malformed(format!("This is not a find: there is no form {other}.")));
            }
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
        for (what, ms) in
            [("made", Some(self.made_ms)), ("changed", Some(self.changed_ms)), ("deleted", self.deleted_ms)]
        {
            if ms.is_some_and(|ms| !(0..=MS_MAX).contains(&ms)) {
                return Err(Error::invalid(format!("The time the find was {what} is no time.")));
            }
        }
        if let Some(price) = &self.asking_price {
            price.check()?;
        }
        for valued in &self.valued {
            valued.check()?;
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
        let mut words =
            vec![self.name.as_str(), &self.place, &self.lies_at, &self.note, &self.private_note, &self.sheet.note];
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

pub(super) fn is_lower_hex(text: &str, digits: usize) -> bool {
    text.len() == digits && text.bytes().all(|b| matches!(b, b'0'..=b'9' | b'a'..=b'f'))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::observe::{Certainty, How, Observation, Unit};
    use proptest::prelude::*;

    const ID: &str = "000102030405060708090a0b0c0d0e0f";

    #[test]
    fn a_find_is_kept_as_plain_json() {
        let mut find = Find::new(ID, 1_700_000_000_000);
        find.sheet.seen.push(Observation::mark("foot-under", "PAT. ?12"));
        find.asking_price = Price::parse("12,50", "eur").ok();
        find.state = FindState::Confirmed { model: "demo-1".into(), variant: None };
        let json = find.to_json().unwrap();
        insta::assert_snapshot!(json, @r#"{"schema":1,"id":"000102030405060708090a0b0c0d0e0f","made_ms":1700000000000,"changed_ms":1700000000000,"sheet":{"seen":[{"about":{"mark":"foot-under"},"value":{"text":"PAT. ?12"},"certainty":"sure","how":"eye"}]},"asking_price":{"amount":"12.50","currency":"EUR"},"state":{"confirmed":{"model":"demo-1"}}}"#);
        assert_eq!(Find::from_json(&json).unwrap(), find);
    }

    #[track_caller]
    fn refused(json: &str, why: &str) {
        assert_eq!(Find::from_json(json).unwrap_err().to_string(), why);
    }

    #[test]
    fn what_is_no_find_is_said_in_a_sentence() {
        let json = Find::new(ID, 1).to_json().unwrap();
        refused(
            &json.replace("\"schema\":1", "\"schema\":7,\"new_field\":[]"),
            "This find was written by a newer Tailplate (form 7; this one reads up to 1). It is kept untouched; update \
             the app to open it.",
        );
        refused(&json.replace("\"schema\":1", "\"schema\":0"), "This is not a find: there is no form 0.");
        refused(&json.replace(ID, "12"), "The find's id “12” is not 32 hex digits.");
        refused(&json.replace("\"changed_ms\":1", "\"changed_ms\":-1"), "The time the find was changed is no time.");
        refused(&json[..20], "This is not a find: EOF while parsing a string at line 1 column 20.");
        let unknown = json.replace("\"state\"", "\"colour\":\"red\",\"state\"");
        assert!(Find::from_json(&unknown).unwrap_err().to_string().contains("colour"));
    }

    #[test]
    fn a_find_that_makes_no_sense_is_not_written() {
        let mut find = Find::new(ID, 1);
        find.sheet.seen.push(Observation::measure("spool_diameter", f64::NAN, Unit::Mm, How::Ruler));
        assert_eq!(find.to_json().unwrap_err().to_string(), "The measure of spool_diameter is no figure.");
        find.sheet.seen.clear();
        find.asking_price = Some(Price { amount: "12,5".into(), currency: "EUR".into() });
        assert_eq!(find.to_json().unwrap_err().to_string(), "The price “12,5 EUR” is not in its exact form.");
    }

    #[test]
    fn search_finds_every_word_anywhere() {
        let mut find = Find::new(ID, 1);
        find.place = "Ashby market".into();
        find.private_note = "Ask Mara".into();
        find.sheet.seen.push(Observation::mark("foot-under", "MADE IN"));
        assert!(find.matches("market  made", ""));
        assert!(find.matches("mara", ""));
        assert!(find.matches("demo ashby", "Demo Works No. 2"));
        assert!(!find.matches("market brass", ""));
        assert!(find.matches("", ""));
    }

    prop_compose! {
        fn any_find()(
            words in prop::collection::vec(any::<String>(), 5),
            ms in prop::collection::vec(0..=MS_MAX, 2),
            deleted_ms in prop::option::of(0..=MS_MAX),
            cents in prop::option::of(0u32..9_999_999),
            // What a person reads off a calliper or a scale; the last bit of a 17-digit figure need not survive JSON.
            amount in (0u32..9_999_999).prop_map(|ten_thousandths| f64::from(ten_thousandths) / 10_000.0),
            photo in prop::option::of("[0-9a-f]{64}"),
            state in 0..3,
            stall in any::<bool>(),
        ) -> Find {
            let [name, place, note, private_note, text] = <[String; 5]>::try_from(words).unwrap();
            let mut find = Find { changed_ms: ms[1], deleted_ms, name, place, note, private_note, ..Find::new(ID, ms[0]) };
            find.sheet.seen = vec![
                Observation::mark("foot-under", &text).with(Certainty::Guess),
                Observation::measure("spool_diameter", amount, Unit::In, How::Calliper),
                Observation::of(About::feature("bail"), Value::Absent),
            ];
            find.asking_price = cents.map(|c| Price::parse(&format!("{}.{:02}", c / 100, c % 100), "USD").unwrap());
            find.photos.extend(photo.map(|sha256| PhotoRef { sha256, width_px: 2048, height_px: 1536, words: text.clone(), ..PhotoRef::default() }));
            find.state = match state {
                0 => FindState::Open,
                1 => FindState::NotKnown,
                _ => FindState::Confirmed { model: text.clone(), variant: Some(text.clone()) },
            };
            find.stall = stall.then(|| StallCheck {
                answers: vec![StallAnswer { check: "cracks-frame".into(), found: Found::CantTell, words: text.clone() }],
            });
            find.set_aside = vec![SetAside { what: "place".into(), was: text }];
            find
        }
    }

    proptest! {
        #[test]
        fn what_is_written_is_read_back(find in any_find()) {
            let json = find.to_json().unwrap();
            prop_assert_eq!(Find::from_json(&json).unwrap(), find);
        }

        #[test]
        fn torn_text_is_refused_and_never_panics(find in any_find(), cut in 0.0..1.0f64) {
            let json = find.to_json().unwrap();
            let mut at = (json.len() as f64 * cut) as usize;
            while !json.is_char_boundary(at) {
                at -= 1;
            }
            prop_assert!(Find::from_json(&json[..at]).is_err());
        }
    }
}
