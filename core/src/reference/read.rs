//! Reading packs with little code: one tree of JSON values, and for each type the list of its fields.
//!
//! The derived readers of two dozen types would be a third of what a phone downloads. This does the same for the few
//! shapes that packs have, and says of a fault where it stands, by the ids of the entries around it.

use std::collections::BTreeMap;
use std::fmt;

use serde_json::{Map, Value};

/// What can't be read, and where: the innermost place first.
#[derive(Debug)]
pub struct Trouble {
    words: String,
    path: Vec<String>,
}

impl Trouble {
    pub fn new(words: impl Into<String>) -> Self {
        Self { words: words.into(), path: Vec::new() }
    }

    fn within(mut self, place: &str) -> Self {
        self.path.push(place.to_owned());
        self
    }
}

impl fmt::Display for Trouble {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let path: Vec<&str> = self.path.iter().rev().map(String::as_str).collect();
        if !path.is_empty() {
            write!(f, "{}: ", path.join("/"))?;
        }
        f.write_str(&self.words)
    }
}

pub trait Read: Sized {
    fn read(value: Value) -> Result<Self, Trouble>;

    /// What stands for a field that is left out; none if it must be there.
    fn left_out() -> Option<Self> {
        None
    }
}

/// The fields of an object not read yet.
pub struct Object(Map<String, Value>);

impl Object {
    pub fn of(value: Value) -> Result<Self, Trouble> {
        match value {
            Value::Object(fields) => Ok(Self(fields)),
            _ => Err(Trouble::new("an object in braces is expected here")),
        }
    }

    pub fn take<T: Read>(&mut self, name: &str) -> Result<T, Trouble> {
        match self.0.remove(name) {
            Some(value) => T::read(value).map_err(|trouble| trouble.within(name)),
            None => T::left_out().ok_or_else(|| Trouble::new(format!("the field `{name}` is missing"))),
        }
    }

    /// Every field was known: a slip in a name must not pass for a fact left out.
    pub fn end(self) -> Result<(), Trouble> {
        match self.0.keys().next() {
            Some(name) => Err(Trouble::new(format!("there is no field `{name}` here"))),
            None => Ok(()),
        }
    }
}

/// `fields!(Type { field, other = "name in JSON" })`; `or default` where the whole may be left out; `skip` a field that
/// is not in the file.
macro_rules! fields {
    ($type:ty { $($field:ident $(= $name:literal)?),* $(,)? } $($rest:tt)*) => {
        impl $crate::reference::read::Read for $type {
            fn read(value: serde_json::Value) -> std::result::Result<Self, $crate::reference::read::Trouble> {
                let mut object = $crate::reference::read::Object::of(value)?;
                let read = fields!(@build object { $($field $(= $name)?),* } $($rest)*);
                object.end()?;
                Ok(read)
            }
            fields!(@left_out $($rest)*);
        }
    };
    (@build $object:ident { $($field:ident $(= $name:literal)?),* } skip $skip:ident) => {
        Self { $($field: $object.take(fields!(@name $field $($name)?))?,)* $skip: Default::default() }
    };
    (@build $object:ident { $($field:ident $(= $name:literal)?),* } $($rest:tt)*) => {
        Self { $($field: $object.take(fields!(@name $field $($name)?))?,)* }
    };
    (@left_out or default) => {
        fn left_out() -> Option<Self> {
            Some(Self::default())
        }
    };
    (@left_out or $value:path) => {
        fn left_out() -> Option<Self> {
            Some($value)
        }
    };
    (@left_out $($rest:tt)*) => {};
    (@name $field:ident $name:literal) => { $name };
    (@name $field:ident) => { stringify!($field) };
}
pub(super) use fields;

/// `words!(Type { "word" => Variant })`; `or default` where it may be left out.
macro_rules! words {
    ($type:ty { $($word:literal => $variant:ident),* $(,)? } $($rest:tt)*) => {
        impl $crate::reference::read::Read for $type {
            fn read(value: serde_json::Value) -> std::result::Result<Self, $crate::reference::read::Trouble> {
                match value.as_str() {
                    $(Some($word) => Ok(Self::$variant),)*
                    _ => Err($crate::reference::read::Trouble::new(concat!("one of", $(" `", $word, "`",)* " is expected here"))),
                }
            }
            $crate::reference::read::fields!(@left_out $($rest)*);
        }
    };
}
pub(super) use words;

impl Read for String {
    fn read(value: Value) -> Result<Self, Trouble> {
        match value {
            Value::String(text) => Ok(text),
            _ => Err(Trouble::new("a text in quotes is expected here")),
        }
    }
    fn left_out() -> Option<Self> {
        Some(Self::new())
    }
}

impl Read for bool {
    fn read(value: Value) -> Result<Self, Trouble> {
        value.as_bool().ok_or_else(|| Trouble::new("true or false is expected here"))
    }
    fn left_out() -> Option<Self> {
        Some(false)
    }
}

impl Read for f64 {
    fn read(value: Value) -> Result<Self, Trouble> {
        value.as_f64().ok_or_else(|| Trouble::new("a number is expected here"))
    }
    fn left_out() -> Option<Self> {
        Some(0.0)
    }
}

macro_rules! whole_numbers {
    ($($type:ty),*) => {$(
        impl Read for $type {
            fn read(value: Value) -> Result<Self, Trouble> {
                let number = value.as_i64().and_then(|number| number.try_into().ok());
                number.ok_or_else(|| Trouble::new("a whole number is expected here"))
            }
            fn left_out() -> Option<Self> {
                Some(0)
            }
        }
    )*};
}
whole_numbers!(i32, u8, u64);

impl<T: Read> Read for Option<T> {
    fn read(value: Value) -> Result<Self, Trouble> {
        if value.is_null() { Ok(None) } else { T::read(value).map(Some) }
    }
    fn left_out() -> Option<Self> {
        Some(None)
    }
}

impl<T: Read> Read for Vec<T> {
    fn read(value: Value) -> Result<Self, Trouble> {
        let mut read = Vec::new();
        for (at, item) in list(value)?.into_iter().enumerate() {
            let name = item.get("id").and_then(Value::as_str).map(str::to_owned);
            read.push(T::read(item).map_err(|trouble| trouble.within(&name.unwrap_or_else(|| (at + 1).to_string())))?);
        }
        Ok(read)
    }
    fn left_out() -> Option<Self> {
        Some(Self::new())
    }
}

fn list(value: Value) -> Result<Vec<Value>, Trouble> {
    match value {
        Value::Array(items) => Ok(items),
        _ => Err(Trouble::new("a list in brackets is expected here")),
    }
}

fn pair(value: Value) -> Result<[Value; 2], Trouble> {
    list(value)?.try_into().map_err(|_| Trouble::new("a list of two is expected here"))
}

impl<T: Read> Read for [T; 2] {
    fn read(value: Value) -> Result<Self, Trouble> {
        let [a, b] = pair(value)?;
        Ok([T::read(a)?, T::read(b)?])
    }
}

impl<A: Read, B: Read> Read for (A, B) {
    fn read(value: Value) -> Result<Self, Trouble> {
        let [a, b] = pair(value)?;
        Ok((A::read(a)?, B::read(b)?))
    }
}

impl<T: Read> Read for BTreeMap<String, T> {
    fn read(value: Value) -> Result<Self, Trouble> {
        let mut read = Self::new();
        for (key, value) in Object::of(value)?.0 {
            let item = T::read(value).map_err(|trouble| trouble.within(&key))?;
            read.insert(key, item);
        }
        Ok(read)
    }
    fn left_out() -> Option<Self> {
        Some(Self::new())
    }
}

impl Read for BTreeMap<char, u8> {
    fn read(value: Value) -> Result<Self, Trouble> {
        let mut read = Self::new();
        for (key, digit) in BTreeMap::<String, u8>::read(value)? {
            let mut letters = key.chars();
            let (Some(letter), None) = (letters.next(), letters.next()) else {
                return Err(Trouble::new(format!("`{key}` is not one letter")));
            };
            read.insert(letter, digit);
        }
        Ok(read)
    }
    fn left_out() -> Option<Self> {
        Some(Self::new())
    }
}
