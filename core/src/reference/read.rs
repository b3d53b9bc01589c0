//! Reading packs with little code: one tree of values, and for each type the list of its fields.
//!
//! The derived readers of two dozen types would be a third of what a phone downloads. This does the same for the few
//! shapes that packs have, and says of a fault where it stands, by the ids of the entries around it.

use std::borrow::Cow;
use std::collections::BTreeMap;
use std::fmt::Write;

use super::tree::Value;

/// Where the reader stands, and the first thing it could not read.
#[derive(Debug, Default)]
pub struct At {
    /// Names and ids from the outside in, parted by `/`.
    path: String,
    trouble: Option<String>,
}

impl At {
    /// Steps inside; gives back how to step out again.
    fn enter(&mut self, place: &str) -> usize {
        let outside = self.path.len();
        if outside > 0 {
            self.path.push('/');
        }
        self.path.push_str(place);
        outside
    }

    fn leave(&mut self, outside: usize) {
        self.path.truncate(outside);
    }

    /// Notes a trouble; only the first counts.
    pub fn trouble(&mut self, words: &str) {
        if self.trouble.is_none() {
            let path = &self.path;
            self.trouble = Some(if path.is_empty() { words.to_owned() } else { format!("{path}: {words}") });
        }
    }
}

/// Reads a whole document.
///
/// # Errors
/// The first trouble, with the ids of the entries around it.
pub fn read<T: Read + Default>(tree: Value<'_>) -> Result<T, String> {
    let (mut read, mut at) = (T::default(), At::default());
    read.fill(tree, &mut at);
    match at.trouble {
        None => Ok(read),
        Some(trouble) => Err(trouble),
    }
}

/// Takes a value of the tree into itself. A field that is left out keeps its default.
pub trait Read {
    fn fill(&mut self, value: Value<'_>, at: &mut At);
}

/// The fields of an object not read yet.
pub struct Object<'a>(Vec<(Cow<'a, str>, Value<'a>)>);

impl<'a> Object<'a> {
    pub fn of(value: Value<'a>, at: &mut At) -> Self {
        match value {
            Value::Object(fields) => Self(fields),
            _ => {
                at.trouble("an object in braces is expected here");
                Self(Vec::new())
            }
        }
    }

    #[inline(never)]
    pub fn take(&mut self, name: &str, into: &mut dyn Read, at: &mut At) {
        if let Some(place) = self.0.iter().position(|(field, _)| field == name) {
            let (_, value) = self.0.swap_remove(place);
            let outside = at.enter(name);
            into.fill(value, at);
            at.leave(outside);
        }
    }

    /// Every field was known: a slip in a name must not pass for a fact left out.
    #[inline(never)]
    pub fn end(self, at: &mut At) {
        if let Some((name, _)) = self.0.first() {
            at.trouble(&format!("there is no field `{name}` here"));
        }
    }
}

/// `fields!(Type { field, other = "name in JSON" })`; `skip` a field that is not in the file. All others must be named.
macro_rules! fields {
    ($type:ty { $($field:ident $(= $name:literal)?),* $(,)? } $(skip $skip:ident)?) => {
        impl $crate::reference::read::Read for $type {
            fn fill(&mut self, value: $crate::reference::tree::Value<'_>, at: &mut $crate::reference::read::At) {
                let Self { $($field: _,)* $($skip: _)? } = &*self;
                let mut object = $crate::reference::read::Object::of(value, at);
                $(object.take(fields!(@name $field $($name)?), &mut self.$field, at);)*
                object.end(at);
            }
        }
    };
    (@name $field:ident $name:literal) => { $name };
    (@name $field:ident) => { stringify!($field) };
}
pub(super) use fields;

/// `words!(Type { "word" => Variant })`.
macro_rules! words {
    ($type:ty { $($word:literal => $variant:ident),* $(,)? }) => {
        impl $crate::reference::read::Read for $type {
            fn fill(&mut self, value: $crate::reference::tree::Value<'_>, at: &mut $crate::reference::read::At) {
                match value.text() {
                    $(Some($word) => *self = Self::$variant,)*
                    _ => at.trouble(concat!("one of", $(" `", $word, "`",)* " is expected here")),
                }
            }
        }
    };
}
pub(super) use words;

impl Read for String {
    fn fill(&mut self, value: Value<'_>, at: &mut At) {
        match value {
            Value::Text(text) => *self = text.into_owned(),
            _ => at.trouble("a text in quotes is expected here"),
        }
    }
}

impl Read for bool {
    fn fill(&mut self, value: Value<'_>, at: &mut At) {
        match value {
            Value::Bool(yes) => *self = yes,
            _ => at.trouble("true or false is expected here"),
        }
    }
}

impl Read for f64 {
    fn fill(&mut self, value: Value<'_>, at: &mut At) {
        match value {
            Value::Number(number) => *self = number,
            Value::Whole(number) => *self = number as f64,
            _ => at.trouble("a number is expected here"),
        }
    }
}

macro_rules! whole_numbers {
    ($($type:ty),*) => {$(
        impl Read for $type {
            fn fill(&mut self, value: Value<'_>, at: &mut At) {
                let whole = if let Value::Whole(number) = value { number.try_into().ok() } else { None };
                match whole {
                    Some(number) => *self = number,
                    None => at.trouble("a whole number is expected here"),
                }
            }
        }
    )*};
}
whole_numbers!(i32, u8, u64);

impl<T: Read + Default> Read for Option<T> {
    fn fill(&mut self, value: Value<'_>, at: &mut At) {
        if !matches!(value, Value::Null) {
            self.get_or_insert_default().fill(value, at);
        }
    }
}

impl<T: Read + Default> Read for Vec<T> {
    fn fill(&mut self, value: Value<'_>, at: &mut At) {
        each(value, at, &mut |item, at| {
            let mut read = T::default();
            read.fill(item, at);
            self.push(read);
        });
    }
}

/// Goes through a list; entries with an id are named by it where something is wrong, others by their number.
#[inline(never)]
fn each(value: Value<'_>, at: &mut At, work: &mut dyn FnMut(Value<'_>, &mut At)) {
    let Value::List(items) = value else { return at.trouble("a list in brackets is expected here") };
    for (number, item) in items.into_iter().enumerate() {
        let outside = match item.field("id") {
            Some(id) => at.enter(id),
            None => {
                let outside = at.enter("");
                let _ = write!(at.path, "{}", number + 1);
                outside
            }
        };
        work(item, at);
        at.leave(outside);
    }
}

#[inline(never)]
fn fill_two<'a>(a: &'a mut dyn Read, b: &'a mut dyn Read, value: Value<'_>, at: &mut At) {
    let mut both = [a, b].into_iter();
    let mut count = 0;
    each(value, at, &mut |item, at| {
        count += 1;
        if let Some(into) = both.next() {
            into.fill(item, at);
        }
    });
    if count != 2 {
        at.trouble("a list of two is expected here");
    }
}

impl<T: Read> Read for [T; 2] {
    fn fill(&mut self, value: Value<'_>, at: &mut At) {
        let [a, b] = self;
        fill_two(a, b, value, at);
    }
}

impl<A: Read, B: Read> Read for (A, B) {
    fn fill(&mut self, value: Value<'_>, at: &mut At) {
        fill_two(&mut self.0, &mut self.1, value, at);
    }
}

impl<T: Read + Default> Read for BTreeMap<String, T> {
    fn fill(&mut self, value: Value<'_>, at: &mut At) {
        for (key, value) in Object::of(value, at).0 {
            let mut read = T::default();
            let outside = at.enter(&key);
            read.fill(value, at);
            at.leave(outside);
            self.insert(key.into_owned(), read);
        }
    }
}

impl Read for BTreeMap<char, u8> {
    fn fill(&mut self, value: Value<'_>, at: &mut At) {
        for (key, value) in Object::of(value, at).0 {
            let (mut letters, mut digit) = (key.chars(), 0);
            digit.fill(value, at);
            match (letters.next(), letters.next()) {
                (Some(letter), None) => _ = self.insert(letter, digit),
                _ => at.trouble(&format!("`{key}` is not one letter")),
            }
        }
    }
}
