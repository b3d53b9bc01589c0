//! One record as a document that can be edited apart and joined again.
//!
//! Joining is commutative, associative and idempotent: updates may come in any order, twice, or late. A record is a JSON
//! object; its [`Shape`] says how each field joins:
//! - a **list** only grows: what two sides appended is all there;
//! - a **text** is joined letter by letter;
//! - of **keyed** things (photos, lines of a quote) those of both sides are there, each whole;
//! - any other field is one value. Of two written apart the later counts; the other stays beside it, as [`SetAside`], until
//!   somebody writes that field again.
//!
//! Values are kept as JSON text inside the document, so that every figure comes back to the last digit.

use std::collections::BTreeMap;
use std::sync::Arc;

use serde_json::{Map, Value};
use yrs::updates::decoder::Decode;
use yrs::{
    Any, Array, ClientID, Doc, GetString, Map as _, Options, Out, ReadTxn, StateVector, Text, Transact, TransactionMut,
    Update,
};

use super::sound;
use crate::error::{Error, Result};
use crate::shop::SetAside;

/// Joins updates of one record into one, without asking what kind it is or what stands in it: for keepers that only carry it.
///
/// # Errors
/// One of them is no update, or all together are longer than a record may be.
pub fn join_updates<'a>(updates: impl IntoIterator<Item = &'a [u8]>) -> Result<Vec<u8>> {
    // Nothing is written by this document, so its number stands nowhere.
    let document = Document::new(&Shape { lists: &[], texts: &[], keyed: &[], newest: &[] }, 0);
    for update in updates {
        document.join(update)?;
    }
    let bytes = document.bytes();
    if bytes.len() > BYTES_MAX {
        return Err(Error::invalid(format!("{} bytes are more than a record may have.", bytes.len())));
    }
    Ok(bytes)
}

/// How the fields of a kind of record join. A field inside another is written with a slash: `sheet/seen`.
#[derive(Debug)]
pub struct Shape {
    /// Arrays that only ever grow.
    pub lists: &'static [&'static str],
    /// Longer words that two may write at once.
    pub texts: &'static [&'static str],
    /// Arrays of objects, and the field that tells one from another.
    pub keyed: &'static [(&'static str, &'static str)],
    /// Fields of which the larger value counts without a word, such as the time of the last change.
    pub newest: &'static [&'static str],
}

/// A record's document, opened for one writer.
pub struct Document {
    doc: Doc,
    shape: &'static Shape,
    writer: String,
}

const FIELDS: &str = "fields";
/// A document of one record: longer ones are refused before they are decoded.
pub const BYTES_MAX: usize = 8 << 20;

impl Document {
    /// An empty one. `writer`: a number below 2⁵³ that no other open copy of this record uses; a new one for each page
    /// opened, each process, each restored copy.
    pub fn new(shape: &'static Shape, writer: u64) -> Self {
        // The guid is not used; giving one keeps randomness out of here.
        let client = ClientID::new(writer & ((1 << 53) - 1));
        let doc = Doc::with_options(Options::with_guid_and_client_id("record".into(), client));
        Self { doc, shape, writer: format!("{writer:x}") }
    }

    /// Opens the bytes of [`Document::bytes`].
    ///
    /// # Errors
    /// They are damaged.
    pub fn read(shape: &'static Shape, bytes: &[u8], writer: u64) -> Result<Self> {
        let document = Self::new(shape, writer);
        document.join(bytes)?;
        Ok(document)
    }

    /// Everything, for keeping.
    pub fn bytes(&self) -> Vec<u8> {
        self.doc.transact().encode_state_as_update_v1(&StateVector::default())
    }

    /// Takes in what was written elsewhere; again, or in another order, makes no difference.
    ///
    /// # Errors
    /// The bytes are no update; then nothing has changed.
    pub fn join(&self, update: &[u8]) -> Result<()> {
        let damaged = |why: String| Error::malformed(format!("This part of a record is damaged: {why}."));
        if update.len() > BYTES_MAX {
            return Err(damaged(format!("{} bytes are more than a record may have", update.len())));
        }
        if let Some(why) = sound::unsound(update) {
            return Err(damaged(why));
        }
        let update = Update::decode_v1(update).map_err(|why| damaged(why.to_string()))?;
        self.doc.transact_mut().apply_update(update).map_err(|why| damaged(why.to_string()))
    }

    /// Writes an edit that began from `base` and ended in `mine`; gives the update for the other copies, none if nothing
    /// changed. What was joined in meanwhile stays.
    pub fn edit(&self, base: &Value, mine: &Value) -> Option<Vec<u8>> {
        let (base, mine) = (self.parts(base), self.parts(mine));
        // Root types are made outside of the transaction, as the library wants it.
        let texts: Vec<_> = self.shape.texts.iter().map(|name| (*name, self.doc.get_or_insert_text(*name))).collect();
        let lists: Vec<_> = self.shape.lists.iter().map(|name| (*name, self.doc.get_or_insert_array(*name))).collect();
        let fields = self.doc.get_or_insert_map(FIELDS);
        let mut transaction = self.doc.transact_mut();
        let mut changed = false;

        for (name, list) in lists {
            for item in added(&base.lists[name], &mine.lists[name]) {
                list.push_back(&mut transaction, item.to_string());
                changed = true;
            }
        }
        for (name, text) in texts {
            let (was, is) = (&base.texts[name], &mine.texts[name]);
            if was != is {
                let there = text.get_string(&transaction);
                let wanted = joined_words(was, &there, is);
                changed |= write_words(&text, &mut transaction, &there, &wanted);
            }
        }
        for (name, things) in &mine.keyed {
            let before = &base.keyed[name];
            let there: Vec<Option<f64>> =
                things.iter().map(|(key, _)| self.place(&fields, &transaction, &format!("{name}/{key}"))).collect();
            // Where each stands already; a new one comes behind those that are there.
            let behind = there.iter().flatten().fold(-1.0, |last: f64, at| last.max(*at)) + 1.0;
            let mut places: Vec<f64> =
                there.iter().enumerate().map(|(n, at)| at.unwrap_or(behind + n as f64)).collect();
            let stands = |two: &[f64]| two[0] < two[1];
            let moved = in_order(before, things) != in_order(things, before) || !places.windows(2).all(stands);
            if moved {
                places = (0..things.len()).map(|n| n as f64).collect();
            }
            for ((key, thing), at) in things.iter().zip(places) {
                let was = before.iter().find(|(other, _)| other == key).map(|(_, thing)| thing);
                if was != Some(thing) || moved {
                    let value = serde_json::json!({ "at": at, "is": thing });
                    self.write_field(&fields, &mut transaction, &format!("{name}/{key}"), &value);
                    changed = true;
                }
            }
            for (key, _) in before.iter().filter(|(key, _)| !things.iter().any(|(other, _)| other == key)) {
                self.write_field(&fields, &mut transaction, &format!("{name}/{key}"), &Value::Null);
                changed = true;
            }
        }
        for name in base.fields.keys().chain(mine.fields.keys().filter(|name| !base.fields.contains_key(*name))) {
            let (was, is) = (base.fields.get(name), mine.fields.get(name));
            if was != is {
                self.write_field(&fields, &mut transaction, name, is.unwrap_or(&Value::Null));
                changed = true;
            }
        }
        changed.then(|| transaction.encode_update_v1())
    }

    /// Where among its like a keyed thing stands, if it is there.
    fn place(&self, fields: &yrs::MapRef, transaction: &TransactionMut, field: &str) -> Option<f64> {
        let all = entries_of(fields, transaction, field).into_iter();
        all.max_by_key(|(_, entry)| entry.turn).and_then(|(_, entry)| entry.value["at"].as_f64())
    }

    fn write_field(&self, fields: &yrs::MapRef, transaction: &mut TransactionMut, name: &str, value: &Value) {
        let seen = entries_of(fields, transaction, name);
        let newest = seen.iter().map(|(_, entry)| entry.turn).max().unwrap_or(0);
        // Only what was seen is replaced: a value being written elsewhere right now will stand beside this one.
        for (key, _) in &seen {
            if key.rsplit_once('@').map(|(_, writer)| writer) != Some(&self.writer) {
                fields.remove(transaction, key);
            }
        }
        fields.insert(transaction, format!("{name}@{}", self.writer), format!("{} {value}", newest + 1));
    }

    /// The record as it now is, and the values that stand beside the ones that count.
    pub fn value(&self) -> (Value, Vec<SetAside>) {
        let texts: Vec<_> = self.shape.texts.iter().map(|name| (*name, self.doc.get_or_insert_text(*name))).collect();
        let lists: Vec<_> = self.shape.lists.iter().map(|name| (*name, self.doc.get_or_insert_array(*name))).collect();
        let fields = self.doc.get_or_insert_map(FIELDS);
        let transaction = self.doc.transact();
        let mut record = Value::Object(Map::new());
        let mut aside = Vec::new();

        let mut by_name: BTreeMap<String, Vec<Entry>> = BTreeMap::new();
        for (key, out) in fields.iter(&transaction) {
            if let (Some((name, writer)), Some(entry)) = (key.rsplit_once('@'), Entry::of(&out)) {
                by_name.entry(name.to_owned()).or_default().push(Entry { writer: writer.to_owned(), ..entry });
            }
        }
        let mut keyed: BTreeMap<&str, Vec<Value>> = BTreeMap::new();
        for (name, mut entries) in by_name {
            let newest = self.shape.newest.contains(&name.as_str());
            crate::order::by(&mut entries, |a, b| {
                let larger =
                    if newest { number(&b.value).total_cmp(&number(&a.value)) } else { std::cmp::Ordering::Equal };
                larger.then(b.turn.cmp(&a.turn)).then(b.writer.cmp(&a.writer))
            });
            let mut entries = entries.into_iter();
            let Some(first) = entries.next() else { continue };
            if !newest {
                for other in entries.filter(|other| other.value != first.value) {
                    let lost = SetAside { what: name.replace('_', " "), was: in_words(&other.value) };
                    if !lost.was.is_empty() && !aside.contains(&lost) {
                        aside.push(lost);
                    }
                }
            }
            match self.shape.keyed.iter().find(|(field, _)| is_inside(&name, field)) {
                Some((field, _)) if !first.value.is_null() => keyed.entry(field).or_default().push(first.value),
                Some(_) => {}
                None if first.value.is_null() => {}
                None => put(&mut record, &name, first.value),
            }
        }
        for (field, mut things) in keyed {
            let at = |thing: &Value| number(&thing["at"]);
            crate::order::by(&mut things, |a, b| at(a).total_cmp(&at(b)));
            put(&mut record, field, things.into_iter().map(|mut thing| thing["is"].take()).collect());
        }
        for (name, list) in lists {
            let items = list.iter(&transaction).filter_map(|out| match out {
                Out::Any(Any::String(text)) => serde_json::from_str::<Value>(&text).ok(),
                _ => None,
            });
            put(&mut record, name, Value::Array(items.collect()));
        }
        for (name, text) in texts {
            let words = text.get_string(&transaction);
            if !words.is_empty() {
                put(&mut record, name, Value::String(words));
            }
        }
        (record, aside)
    }

    /// Takes a record apart by its shape.
    fn parts(&self, record: &Value) -> Parts {
        let mut rest = record.clone();
        let mut parts = Parts::default();
        for name in self.shape.lists {
            let list = take(&mut rest, name);
            parts.lists.insert(name, list.as_array().cloned().unwrap_or_default());
        }
        for name in self.shape.texts {
            let text = take(&mut rest, name);
            parts.texts.insert(name, text.as_str().unwrap_or_default().to_owned());
        }
        for (name, key) in self.shape.keyed {
            let things = take(&mut rest, name);
            let things = things.as_array().cloned().unwrap_or_default().into_iter();
            let keyed = things.map(|thing| (thing[*key].as_str().unwrap_or_default().to_owned(), thing)).collect();
            parts.keyed.insert(name, keyed);
        }
        if let Value::Object(fields) = rest {
            // What only held lists and texts has nothing left to say.
            let says = |value: &Value| !value.is_null() && !value.as_object().is_some_and(Map::is_empty);
            parts.fields = fields.into_iter().filter(|(_, value)| says(value)).collect();
        }
        parts
    }
}

#[derive(Default)]
struct Parts {
    lists: BTreeMap<&'static str, Vec<Value>>,
    texts: BTreeMap<&'static str, String>,
    keyed: BTreeMap<&'static str, Vec<(String, Value)>>,
    fields: BTreeMap<String, Value>,
}

/// One writer's value of a field.
struct Entry {
    /// Higher than that of every value its writer had seen.
    turn: u64,
    value: Value,
    writer: String,
}

impl Entry {
    fn of(out: &Out) -> Option<Self> {
        let Out::Any(Any::String(text)) = out else { return None };
        let (turn, value) = text.split_once(' ')?;
        Some(Self { turn: turn.parse().ok()?, value: serde_json::from_str(value).ok()?, writer: String::new() })
    }
}

fn entries_of(fields: &yrs::MapRef, transaction: &impl ReadTxn, name: &str) -> Vec<(Arc<str>, Entry)> {
    let of_name = |key: &str| key.rsplit_once('@').is_some_and(|(field, _)| field == name);
    let all = fields.iter(transaction).filter(|(key, _)| of_name(key));
    all.filter_map(|(key, out)| Some((Arc::from(key), Entry::of(&out)?))).collect()
}

/// Takes a field out by its path.
fn take(record: &mut Value, path: &str) -> Value {
    let mut place = record;
    let mut names = path.split('/').peekable();
    while let Some(name) = names.next() {
        let Some(fields) = place.as_object_mut() else { return Value::Null };
        if names.peek().is_none() {
            return fields.remove(name).unwrap_or_default();
        }
        match fields.get_mut(name) {
            Some(inner) => place = inner,
            None => return Value::Null,
        }
    }
    Value::Null
}

/// Puts a field by its path, making the objects on the way.
fn put(record: &mut Value, path: &str, value: Value) {
    let mut place = record;
    for name in path.split('/') {
        if !place.is_object() {
            *place = Value::Object(Map::new());
        }
        place = &mut place[name];
    }
    *place = value;
}

fn is_inside(name: &str, field: &str) -> bool {
    name.strip_prefix(field).is_some_and(|rest| rest.starts_with('/'))
}

/// The keys of those that the other has too.
fn in_order<'a>(things: &'a [(String, Value)], other: &[(String, Value)]) -> Vec<&'a String> {
    things.iter().map(|(key, _)| key).filter(|key| other.iter().any(|(there, _)| there == *key)).collect()
}

/// What `mine` has more than `base`, in its order.
fn added<'a>(base: &[Value], mine: &'a [Value]) -> Vec<&'a Value> {
    let same = base.iter().zip(mine).take_while(|(a, b)| a == b).count();
    let mut before: Vec<&Value> = base[same..].iter().collect();
    let mut more = Vec::new();
    for item in &mine[same..] {
        match before.iter().position(|other| *other == item) {
            Some(at) => drop(before.remove(at)),
            None => more.push(item),
        }
    }
    more
}

/// The words after both edits of `base`: those that stand `there` and `mine`.
fn joined_words(base: &str, there: &str, mine: &str) -> String {
    if there == base || mine.contains(there) {
        mine.to_owned()
    } else if there.contains(mine) {
        there.to_owned()
    } else {
        format!("{there}\n{mine}")
    }
}

/// Changes only what differs, so that another's letters beside it stay.
fn write_words(text: &yrs::TextRef, transaction: &mut TransactionMut, was: &str, is: &str) -> bool {
    if was == is {
        return false;
    }
    let before = was.char_indices().zip(is.chars()).take_while(|((_, a), b)| a == b).last();
    let start = before.map_or(0, |((at, c), _)| at + c.len_utf8());
    let behind: usize = was[start..]
        .chars()
        .rev()
        .zip(is[start..].chars().rev())
        .take_while(|(a, b)| a == b)
        .map(|(c, _)| c.len_utf8())
        .sum();
    let (gone, new) = (&was[start..was.len() - behind], &is[start..is.len() - behind]);
    text.remove_range(transaction, start as u32, gone.len() as u32);
    if !new.is_empty() {
        text.insert(transaction, start as u32, new);
    }
    true
}

fn number(value: &Value) -> f64 {
    value.as_f64().unwrap_or(f64::NEG_INFINITY)
}

/// A value for a person to read.
fn in_words(value: &Value) -> String {
    match value {
        Value::Null => String::new(),
        Value::String(text) => text.replace('_', " "),
        Value::Bool(yes) => if *yes { "yes" } else { "no" }.to_owned(),
        Value::Number(number) => number.to_string(),
        Value::Array(items) => items.iter().map(in_words).collect::<Vec<_>>().join(", "),
        // A price reads “12.50 EUR”; of other objects the values tell enough.
        Value::Object(fields) => {
            let fields = fields.iter().filter(|(name, _)| *name != "at");
            fields.map(|(_, value)| in_words(value)).filter(|words| !words.is_empty()).collect::<Vec<_>>().join(" ")
        }
    }
}
