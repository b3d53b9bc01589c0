//! Could a record's document have written these bytes?
//!
//! The library of joined documents trusts what it decodes: a clock that runs over, or a kind of content we never write, can
//! stop it in the middle of a change. Bytes from elsewhere are therefore walked once before it sees them. What we write is
//! little: words of a text, values as JSON text in lists and fields, what was deleted, and gaps left by what has yet to
//! come. (The layout: Yjs update format, version 1, as documented by Yrs.)

use yrs::block::{
    BLOCK_GC_REF_NUMBER, BLOCK_ITEM_ANY_REF_NUMBER, BLOCK_ITEM_DELETED_REF_NUMBER, BLOCK_ITEM_STRING_REF_NUMBER,
    BLOCK_SKIP_REF_NUMBER, HAS_ORIGIN, HAS_PARENT_SUB, HAS_RIGHT_ORIGIN,
};
use yrs::encoding::read::{Cursor, Error, Read};

/// Letters and values that one writer ever adds to a record: more than [`super::BYTES_MAX`] bytes can hold.
const CLOCK_MAX: u32 = 1 << 24;
/// How a string among other values is marked.
const ANY_STRING: u8 = 119;

/// What is wrong with it, if anything.
pub(super) fn unsound(update: &[u8]) -> Option<String> {
    let mut reader = Reader(Cursor::new(update));
    match reader.update() {
        Ok(()) if reader.0.next == update.len() => None,
        Ok(()) => Some("it goes on behind its end".into()),
        Err(Unsound::Library(why)) => Some(why.to_string()),
        Err(Unsound::Ours(why)) => Some(why.into()),
    }
}

enum Unsound {
    Library(Error),
    Ours(&'static str),
}

impl From<Error> for Unsound {
    fn from(why: Error) -> Self {
        Self::Library(why)
    }
}

type Walked<T = ()> = std::result::Result<T, Unsound>;

fn must(so: bool, otherwise: &'static str) -> Walked {
    if so { Ok(()) } else { Err(Unsound::Ours(otherwise)) }
}

struct Reader<'a>(Cursor<'a>);

impl Reader<'_> {
    fn update(&mut self) -> Walked {
        self.writers(|reader| {
            let blocks = reader.number()?;
            let client = reader.client()?;
            let mut clock = reader.clock()?;
            for _ in 0..blocks {
                clock = after(clock, reader.block()?)?;
            }
            Ok(client)
        })?;
        self.writers(|reader| {
            let client = reader.client()?;
            let mut behind = 0;
            for _ in 0..reader.number()? {
                let from = reader.clock()?;
                must(from >= behind, "deletions out of order")?;
                behind = after(from, reader.number()?)?;
            }
            Ok(client)
        })
    }

    /// A part for each writer, and none of them twice.
    fn writers(&mut self, mut one: impl FnMut(&mut Self) -> Walked<u64>) -> Walked {
        let mut seen = std::collections::BTreeSet::new();
        for _ in 0..self.number()? {
            let client = one(self)?;
            must(seen.insert(client), "a writer that comes twice")?;
        }
        Ok(())
    }

    /// Gives the clock's ticks it takes.
    fn block(&mut self) -> Walked<u32> {
        let info = self.0.read_u8()?;
        if info == BLOCK_GC_REF_NUMBER || info == BLOCK_SKIP_REF_NUMBER {
            return self.number();
        }
        let (origin, right) = (info & HAS_ORIGIN != 0, info & HAS_RIGHT_ORIGIN != 0);
        for _ in 0..u32::from(origin) + u32::from(right) {
            self.client()?;
            self.clock()?;
        }
        if !origin && !right {
            must(self.number()? == 1, "a part inside another part")?;
            self.0.read_string()?;
            if info & HAS_PARENT_SUB != 0 {
                self.0.read_string()?;
            }
        }
        match info & !(HAS_ORIGIN | HAS_RIGHT_ORIGIN | HAS_PARENT_SUB) {
            BLOCK_ITEM_DELETED_REF_NUMBER => self.number(),
            BLOCK_ITEM_STRING_REF_NUMBER => {
                // A clock's tick is a UTF-16 unit; no text within the limit of bytes has too many.
                Ok(self.0.read_string()?.encode_utf16().count() as u32)
            }
            BLOCK_ITEM_ANY_REF_NUMBER => {
                let values = self.number()?;
                for _ in 0..values {
                    must(self.0.read_u8()? == ANY_STRING, "a value that is no text")?;
                    self.0.read_string()?;
                }
                Ok(values)
            }
            _ => Err(Unsound::Ours("content of an unknown kind")),
        }
    }

    fn client(&mut self) -> Walked<u64> {
        let client: u64 = self.0.read_var()?;
        must(client < 1 << 53, "a writer's number out of bounds")?;
        Ok(client)
    }

    fn clock(&mut self) -> Walked<u32> {
        let clock = self.number()?;
        must(clock <= CLOCK_MAX, "a clock out of bounds")?;
        Ok(clock)
    }

    fn number(&mut self) -> Walked<u32> {
        Ok(self.0.read_var()?)
    }
}

/// The clock after so many ticks.
fn after(clock: u32, ticks: u32) -> Walked<u32> {
    let then = clock.saturating_add(ticks);
    must(ticks > 0, "a part of no length")?;
    must(then <= CLOCK_MAX, "a clock out of bounds")?;
    Ok(then)
}
