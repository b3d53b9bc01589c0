//! Reading packs with little code: one tree of values, and for each type the list of its fields.
//!
//! The derived readers of two dozen types would be a third of what a phone downloads. This does the same for the few
//! shapes that packs have, and says of a fault where it stands, by the ids of the entries around it.

use std::borrow::Cow;
use std::collections::BTreeMap;
use std::fmt::Display;

use super::tree::Value;

/// The first thing that could not be read, and where it stands.
#[derive(Debug, Default)]
pub struct At {
    trouble: Option<String>,
    /// Names and ids around it, from the inside out: noted on the way out, as nothing but a trouble asks for them.
    around: Vec<String>,
}

impl At {
    /// Notes a trouble; only the first counts.
    pub fn trouble(&mut self, words: &str) {
        if self.is_sound() {
            self.trouble = Some(words.to_owned());
        }
    }

    fn is_sound(&self) -> bool {
        self.trouble.is_none()
    }

    /// Something inside has been read. `was_sound`: before it; `place`: its name or id.
    fn left(&mut self, was_sound: bool, place: impl Display) {
        if was_sound && !self.is_sound() {
            self.around.push(place.to_string());
        }
    }

    fn end(self) -> Result<(), String> {
        let Some(words) = self.trouble else { return Ok(()) };
        let path: Vec<String> = self.around.into_iter().rev().collect();
        Err(if path.is_empty() { words } else { format!("{}: {words}", path.join("/")) })
    }
}

/// Reads a whole document.
///
/// # Errors
/// The first trouble, with the ids of the entries around it.
pub fn read<T: Read + Default>(tree: Value<'_>) -> Result<T, String> {
    let (mut read, mut at) = (T::default(), At::default());
    read.fill(tree, &mut at);
    at.end().map(|()| read)
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
            let sound = at.is_sound();
            into.fill(value, at);
            at.left(sound, name);
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
        let (id, sound) = (item.field("id").cloned(), at.is_sound());
        work(item, at);
        match id {
            Some(id) => at.left(sound, id),
            None => at.left(sound, number + 1),
        }
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
            let sound = at.is_sound();
            read.fill(value, at);
            at.left(sound, &key);
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
