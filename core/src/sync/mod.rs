//! How copies of the records keep in step: what phone and shop computer say to each other, and when.
//!
//! The shop's computer (the hub) keeps a log of updates, each with a sequence number. A phone *pushes* what was written on it
//! and *pulls* what it has not seen. Four messages, in [`wire`], are all there is; [`Replica`] is the phone's side as pure
//! state: it says what to ask and what to write, in which order.
//!
//! Nothing here needs the network to be kind: every message may be lost, late or doubled, and either side may stop at any
//! write. Updates join in any order and any number of times (see [`crate::record`]), so it is enough that
//! - a phone forgets an update only after the hub's word that it is on the hub's disk;
//! - a phone moves on in the log only after what it pulled is on its own disk;
//! - a phone notices when the hub's log is not the one it knew (restored from an older backup), and sends everything again.
//!
//! For the last, the log is cut into *eras*: each start of the hub begins a new one, named by random bits. A phone holds a
//! [`Mark`], the furthest place it heard of with the era it lies in. Where the hub knows that place by another era, or not
//! at all, its log has lost something, and it answers “start over”.

pub mod replica;
pub mod wire;

pub use replica::{Place, Replica, Write};

use crate::record::BYTES_MAX;

/// Most updates in one push, and in one pull.
pub const COUNT_MAX: usize = 500;
/// A push or a pull is closed when its updates reach this; a single larger update travels alone.
pub const BATCH_BYTES: usize = 1 << 20;
/// No body of a push is longer: one update of the largest size, and what frames it.
pub const PUSH_BODY_MAX: usize = BYTES_MAX + BATCH_BYTES;
/// The word for a kind of record.
pub const KIND_CHARS_MAX: usize = 24;
/// One photo. The app keeps them far smaller (see [`crate::shop::photo`]).
pub const PHOTO_BYTES_MAX: usize = 8 << 20;
/// Most photos asked about at once.
pub const PHOTOS_ASKED_MAX: usize = 1000;

/// 128 random bits: of a shop, an era, a record.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub struct Id(pub [u8; 16]);

impl Id {
    /// From 32 hex digits in lower case.
    pub fn of(text: &str) -> Option<Self> {
        let digit = |c: u8| match c {
            b'0'..=b'9' => Some(c - b'0'),
            b'a'..=b'f' => Some(c - b'a' + 10),
            _ => None,
        };
        let text: &[u8; 32] = text.as_bytes().try_into().ok()?;
        let mut bits = [0; 16];
        for (bit, pair) in bits.iter_mut().zip(text.chunks(2)) {
            *bit = digit(pair[0])? << 4 | digit(pair[1])?;
        }
        Some(Self(bits))
    }

    pub fn hex(&self) -> String {
        const DIGITS: &[u8; 16] = b"0123456789abcdef";
        self.0.iter().flat_map(|b| [DIGITS[usize::from(b >> 4)] as char, DIGITS[usize::from(b & 15)] as char]).collect()
    }
}

impl std::fmt::Debug for Id {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(&self.hex())
    }
}

/// One update of one record, as it travels.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Item {
    /// The word of [`crate::record::Kind`]. A kind that this version does not know travels and is kept all the same.
    pub kind: String,
    pub record: Id,
    pub bytes: Vec<u8>,
}

/// A place in the hub's log and the era it lies in. Nothing yet: place 0, no era.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Mark {
    pub seq: u64,
    pub era: Id,
}

/// “Keep these.”
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Push {
    pub shop: Id,
    /// Comes back in the answer.
    pub call: u64,
    pub seen: Mark,
    pub items: Vec<Item>,
}

/// The answer to a [`Push`].
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Pushed {
    pub shop: Id,
    pub call: u64,
    pub outcome: Outcome<Taken>,
}

/// “What came after this?”
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Pull {
    pub shop: Id,
    pub call: u64,
    pub seen: Mark,
    pub after: u64,
    pub limit: u32,
}

/// The answer to a [`Pull`].
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Pulled {
    pub shop: Id,
    pub call: u64,
    pub outcome: Outcome<More>,
}

/// What the hub did about a call.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Outcome<T> {
    Done(T),
    /// The log is not the one this phone knew: everything must be sent and fetched again. Nothing was done.
    StartOver,
}

/// All updates of the push are on the hub's disk, except those refused.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Taken {
    /// The end of the log after that.
    pub seen: Mark,
    pub refused: Vec<Refused>,
}

/// An update that the hub can't keep: sending it again would not help.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Refused {
    /// Its place in the push, from 0.
    pub at: u32,
    /// A sentence.
    pub why: String,
}

/// Updates, in the order of the log.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct More {
    pub items: Vec<Item>,
    /// Where the next pull goes on.
    pub next: u64,
    /// Whether there is more behind `next` already.
    pub more: bool,
    /// The end of the log.
    pub seen: Mark,
}

/// Whether a word can name a kind of record.
pub fn is_kind(word: &str) -> bool {
    (1..=KIND_CHARS_MAX).contains(&word.len()) && word.bytes().all(|c| c.is_ascii_lowercase() || c == b'-')
}
