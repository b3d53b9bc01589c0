//! A pack's text taken apart, not yet understood.
//!
//! Texts stay where they stand in the file, and an object's fields in one list: a tree of owned texts and maps takes
//! twice as long, and a phone waits for it at each start.

use std::borrow::Cow;
use std::fmt;

use serde::Deserialize;
use serde::de::{Deserializer, MapAccess, SeqAccess, Visitor};

use crate::{Error, Result};

/// The first half of [`Reference::add`](super::Reference::add), for one who lets the browser paint in between.
pub struct Tree<'a>(pub(super) Value<'a>);

impl<'a> Tree<'a> {
    /// # Errors
    /// Text that is no JSON, with line and column.
    pub fn of(name: &str, text: &'a str) -> Result<Self> {
        let tree = serde_json::from_str(text).map_err(|error| Error::malformed(format!("Pack {name}: {error}.")))?;
        Ok(Self(tree))
    }

    /// What kind of pack it says it is; empty if it does not.
    pub(super) fn format(&self) -> &str {
        self.0.field("format").map_or("", |format| format)
    }
}

/// One value of JSON.
#[derive(Debug)]
pub enum Value<'a> {
    Null,
    Bool(bool),
    Whole(i64),
    Number(f64),
    Text(Cow<'a, str>),
    List(Vec<Value<'a>>),
    Object(Vec<(Cow<'a, str>, Value<'a>)>),
}

impl<'a> Value<'a> {
    /// The text of an object's field.
    pub fn field(&self, name: &str) -> Option<&Cow<'a, str>> {
        let Value::Object(fields) = self else { return None };
        match &fields.iter().find(|(field, _)| field == name)?.1 {
            Value::Text(text) => Some(text),
            _ => None,
        }
    }

    pub fn text(&self) -> Option<&str> {
        match self {
            Value::Text(text) => Some(text),
            _ => None,
        }
    }
}

impl<'de: 'a, 'a> Deserialize<'de> for Value<'a> {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> std::result::Result<Self, D::Error> {
        deserializer.deserialize_any(Any)
    }
}

struct Any;

impl<'de> Visitor<'de> for Any {
    type Value = Value<'de>;

    fn expecting(&self, f: &mut fmt::Formatter) -> fmt::Result {
        f.write_str("a value")
    }
    fn visit_unit<E>(self) -> std::result::Result<Value<'de>, E> {
        Ok(Value::Null)
    }
    fn visit_bool<E>(self, yes: bool) -> std::result::Result<Value<'de>, E> {
        Ok(Value::Bool(yes))
    }
    fn visit_i64<E>(self, number: i64) -> std::result::Result<Value<'de>, E> {
        Ok(Value::Whole(number))
    }
    fn visit_u64<E>(self, number: u64) -> std::result::Result<Value<'de>, E> {
        Ok(i64::try_from(number).map_or(Value::Number(number as f64), Value::Whole))
    }
    fn visit_f64<E>(self, number: f64) -> std::result::Result<Value<'de>, E> {
        Ok(Value::Number(number))
    }
    fn visit_borrowed_str<E>(self, text: &'de str) -> std::result::Result<Value<'de>, E> {
        Ok(Value::Text(Cow::Borrowed(text)))
    }
    /// A text with `\` in it.
    fn visit_str<E>(self, text: &str) -> std::result::Result<Value<'de>, E> {
        Ok(Value::Text(Cow::Owned(text.to_owned())))
    }
    fn visit_seq<A: SeqAccess<'de>>(self, mut items: A) -> std::result::Result<Value<'de>, A::Error> {
        let mut list = Vec::new();
        while let Some(item) = items.next_element()? {
            list.push(item);
        }
        Ok(Value::List(list))
    }
    fn visit_map<A: MapAccess<'de>>(self, mut map: A) -> std::result::Result<Value<'de>, A::Error> {
        let mut fields = Vec::new();
        // A name is read as a value is: names of JSON are texts.
        while let Some((name, value)) = map.next_entry()? {
            if let Value::Text(name) = name {
                fields.push((name, value));
            }
        }
        Ok(Value::Object(fields))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    /// As the library has it.
    fn plain(value: &Value) -> serde_json::Value {
        match value {
            Value::Null => serde_json::Value::Null,
            Value::Bool(yes) => (*yes).into(),
            Value::Whole(number) => (*number).into(),
            Value::Number(number) => (*number).into(),
            Value::Text(text) => text.as_ref().into(),
            Value::List(list) => list.iter().map(plain).collect(),
            Value::Object(fields) => fields.iter().map(|(name, value)| (name.to_string(), plain(value))).collect(),
        }
    }

    fn json() -> impl Strategy<Value = serde_json::Value> {
        let leaf = prop_oneof![
            Just(serde_json::Value::Null),
            any::<bool>().prop_map(serde_json::Value::from),
            any::<i64>().prop_map(serde_json::Value::from),
            any::<f64>().prop_map(serde_json::Value::from),
            any::<String>().prop_map(serde_json::Value::from),
        ];
        leaf.prop_recursive(4, 40, 6, |inner| {
            prop_oneof![
                prop::collection::vec(inner.clone(), 0..6).prop_map(serde_json::Value::from),
                prop::collection::btree_map(any::<String>(), inner, 0..6).prop_map(|map| map.into_iter().collect()),
            ]
        })
    }

    proptest! {
        #[test]
        fn it_reads_what_the_library_reads(json in json()) {
            let text = json.to_string();
            let tree = Tree::of("any", &text).unwrap();
            prop_assert_eq!(plain(&tree.0), serde_json::from_str::<serde_json::Value>(&text).unwrap());
        }
    }

    #[test]
    fn texts_without_a_backslash_are_not_copied() {
        let tree = Tree::of("any", r#"{"a": "as it stands", "b": "\u0041"}"#).unwrap();
        let Value::Object(fields) = &tree.0 else { panic!("an object") };
        assert!(matches!(&fields[0], (Cow::Borrowed("a"), Value::Text(Cow::Borrowed("as it stands")))));
        assert!(matches!(&fields[1].1, Value::Text(Cow::Owned(text)) if text == "A"));
    }
}
