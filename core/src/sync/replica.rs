//! The phone's side: what to ask next, and what to write, in which order.
//!
//! On its disk a phone has the records, an *outbox* and a [`Place`]. An edit goes into the record and into the
//! outbox in one write (apart, the one could be lost with a hub that is restored, the other with a stop in between), each
//! entry under a number higher than any before. After a stop at any moment a new [`Replica`] is
//! made from the place, and goes on.
//!
//! ```
//! use tailplate_core::sync::{Id, Item, Place, Replica};
//!
//! let mut replica = Replica::new(Place::paired(Id([1; 16])), 0x5eed);
//! let entry = Item { kind: "reel".into(), record: Id([2; 16]), bytes: vec![0, 0] };
//! let push = replica.push([(1, entry)]).expect("there is something to send");
//! assert_eq!(push.items.len(), 1);
//! // The hub's answer goes to `pushed`; what that gives is written in its order. Then `pull`, the same way.
//! ```

use super::{BATCH_BYTES, COUNT_MAX, Id, Item, Mark, Outcome, Pull, Pulled, Push, Pushed};
use crate::error::{Error, Result};
use crate::record::BYTES_MAX;

/// How far this phone has come with its shop. Kept on the phone's disk.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Place {
    pub shop: Id,
    /// All of the log up to here is on this phone.
    pub after: u64,
    /// The furthest place of the log that this phone heard of; never before `after`.
    pub seen: Mark,
}

const PLACE_BYTES: usize = 48;

impl Place {
    /// That of a phone just paired.
    pub fn paired(shop: Id) -> Self {
        Self { shop, after: 0, seen: Mark::default() }
    }

    /// For keeping.
    pub fn bytes(&self) -> Vec<u8> {
        let mut out = self.shop.0.to_vec();
        out.extend(self.after.to_le_bytes());
        out.extend(self.seen.seq.to_le_bytes());
        out.extend(self.seen.era.0);
        out
    }

    /// What [`Place::bytes`] gave. None if it is damaged: then start as one just paired, with everything in the outbox.
    pub fn of(bytes: &[u8]) -> Option<Self> {
        let bytes: &[u8; PLACE_BYTES] = bytes.try_into().ok()?;
        let id = |at: usize| bytes[at..at + 16].try_into().ok().map(Id);
        let long = |at: usize| bytes[at..at + 8].try_into().ok().map(u64::from_le_bytes);
        Some(Self { shop: id(0)?, after: long(16)?, seen: Mark { seq: long(24)?, era: id(32)? } })
    }
}

/// One thing to write. Those of one answer are written in their order, each whole or not at all; all at once is as good.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Write {
    /// Join this into its record (make the record if it is not there).
    Join(Item),
    /// Put every record into the outbox as a whole, and count no photo as sent.
    SendAll,
    /// Keep this entry of the outbox elsewhere, with the hub's reason, and tell the person.
    SetAside { entry: u64, why: String },
    /// Keep this place.
    Place(Place),
    /// Take the entries from the first to the last number, both included, out of the outbox.
    Forget { first: u64, last: u64 },
}

/// The phone's side of the talk. One call at a time.
#[derive(Debug, Clone)]
pub struct Replica {
    place: Place,
    call: u64,
    asked: Asked,
}

#[derive(Debug, Clone, PartialEq, Eq)]
enum Asked {
    Nothing,
    /// Numbers of the outbox, in the order of the push.
    Push(Vec<u64>),
    Pull,
}

impl Replica {
    /// `session`: random bits, new ones each time, so that an answer to a call from before is known as such.
    pub fn new(place: Place, session: u64) -> Self {
        Self { place, call: session, asked: Asked::Nothing }
    }

    pub fn place(&self) -> Place {
        self.place
    }

    /// Whether the hub has answered that the log goes further than this phone has it.
    pub fn is_behind(&self) -> bool {
        self.place.after < self.place.seen.seq
    }

    /// A push of the first entries of the outbox, by number; none if there are none. No more entries are taken from the
    /// iterator than go into one push (and one beyond).
    pub fn push(&mut self, outbox: impl IntoIterator<Item = (u64, Item)>) -> Option<Push> {
        let (mut entries, mut items, mut bytes) = (Vec::new(), Vec::new(), 0);
        for (entry, item) in outbox {
            bytes += item.bytes.len();
            if !items.is_empty() && bytes > BATCH_BYTES {
                break;
            }
            entries.push(entry);
            items.push(item);
            if items.len() == COUNT_MAX {
                break;
            }
        }
        if items.is_empty() {
            return None;
        }
        self.call = self.call.wrapping_add(1);
        self.asked = Asked::Push(entries);
        Some(Push { shop: self.place.shop, call: self.call, seen: self.place.seen, items })
    }

    /// A pull of what this phone has not seen.
    pub fn pull(&mut self) -> Pull {
        self.call = self.call.wrapping_add(1);
        self.asked = Asked::Pull;
        let Place { shop, after, seen } = self.place;
        Pull { shop, call: self.call, seen, after, limit: COUNT_MAX as u32 }
    }

    /// What to write after the answer to [`Replica::push`]; nothing for an answer to an earlier call.
    ///
    /// # Errors
    /// It comes from another shop's computer.
    pub fn pushed(&mut self, answer: &Pushed) -> Result<Vec<Write>> {
        self.same_shop(answer.shop)?;
        let Asked::Push(entries) = &self.asked else { return Ok(Vec::new()) };
        if answer.call != self.call {
            return Ok(Vec::new());
        }
        let entries = entries.clone();
        self.asked = Asked::Nothing;
        let Outcome::Done(taken) = &answer.outcome else { return Ok(self.start_over()) };
        let (Some(first), Some(last)) = (entries.first(), entries.last()) else { return Ok(Vec::new()) };
        let aside = taken.refused.iter().filter_map(|refused| {
            let entry = *entries.get(refused.at as usize)?;
            Some(Write::SetAside { entry, why: refused.why.clone() })
        });
        let mut writes: Vec<Write> = aside.collect();
        if taken.seen.seq > self.place.seen.seq {
            self.place.seen = taken.seen;
        }
        // The place first: without it, nobody would notice that a hub restored from before has lost what is forgotten here.
        writes.push(Write::Place(self.place));
        writes.push(Write::Forget { first: *first, last: *last });
        Ok(writes)
    }

    /// What to write after the answer to [`Replica::pull`]; nothing for an answer to an earlier call.
    ///
    /// # Errors
    /// It comes from another shop's computer.
    pub fn pulled(&mut self, answer: Pulled) -> Result<Vec<Write>> {
        self.same_shop(answer.shop)?;
        if self.asked != Asked::Pull || answer.call != self.call {
            return Ok(Vec::new());
        }
        self.asked = Asked::Nothing;
        let Outcome::Done(more) = answer.outcome else { return Ok(self.start_over()) };
        let before = self.place;
        self.place.after = more.next;
        if more.seen.seq >= self.place.seen.seq {
            self.place.seen = more.seen;
        }
        let mut writes: Vec<Write> = more.items.into_iter().map(Write::Join).collect();
        if self.place != before {
            writes.push(Write::Place(self.place));
        }
        Ok(writes)
    }

    /// The call went unanswered, or with an error: it may be made again.
    pub fn unanswered(&mut self) {
        self.asked = Asked::Nothing;
    }

    fn start_over(&mut self) -> Vec<Write> {
        self.place = Place::paired(self.place.shop);
        vec![Write::SendAll, Write::Place(self.place)]
    }

    fn same_shop(&self, shop: Id) -> Result<()> {
        if shop == self.place.shop {
            return Ok(());
        }
        Err(Error::invalid(
            "This is another shop's computer than the one this device belongs to. Nothing was taken over; pair the device \
             with it first if it is meant.",
        ))
    }
}

/// Whether an update is too large to travel at all: keep it, and tell the person.
pub fn is_too_large(item: &Item) -> bool {
    item.bytes.len() > BYTES_MAX
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sync::{More, Refused, Taken};

    const SHOP: Id = Id([1; 16]);
    const ERA: Id = Id([2; 16]);

    fn item(bytes: usize) -> Item {
        Item { kind: "reel".into(), record: Id([3; 16]), bytes: vec![0; bytes] }
    }
    fn replica() -> Replica {
        Replica::new(Place::paired(SHOP), 100)
    }
    fn at(seq: u64) -> Mark {
        Mark { seq, era: ERA }
    }

    #[test]
    fn a_push_is_closed_by_count_and_by_bytes_and_a_large_update_travels_alone() {
        let many = replica().push((0..2000).map(|n| (n, item(1)))).unwrap();
        assert_eq!(many.items.len(), COUNT_MAX);
        let heavy = replica().push((0..9).map(|n| (n, item(BATCH_BYTES / 2)))).unwrap();
        assert_eq!(heavy.items.len(), 2);
        let alone = replica().push([(1, item(BYTES_MAX)), (2, item(1))]).unwrap();
        assert_eq!(alone.items.len(), 1);
        assert!(alone.encode().len() <= crate::sync::PUSH_BODY_MAX);
        assert_eq!(replica().push([]), None);
    }

    #[test]
    fn what_was_taken_is_forgotten_after_the_place_is_kept_and_what_was_refused_is_set_aside_before() {
        let mut replica = replica();
        let call = replica.push([(4, item(1)), (7, item(1)), (8, item(1))]).unwrap().call;
        let refused = vec![Refused { at: 1, why: "No.".into() }];
        let answer = Pushed { shop: SHOP, call, outcome: Outcome::Done(Taken { seen: at(9), refused }) };
        let place = Place { seen: at(9), ..Place::paired(SHOP) };
        let wanted =
            [Write::SetAside { entry: 7, why: "No.".into() }, Write::Place(place), Write::Forget { first: 4, last: 8 }];
        assert_eq!(replica.pushed(&answer).unwrap(), wanted);
        assert!(replica.is_behind());
        assert_eq!(replica.pushed(&answer).unwrap(), [], "the same answer again");
        assert_eq!(Place::of(&place.bytes()), Some(place));
        assert_eq!(Place::of(&place.bytes()[1..]), None);
    }

    #[test]
    fn an_answer_to_an_earlier_call_changes_nothing() {
        let mut replica = replica();
        let old = replica.pull().call;
        replica.pull();
        let more = More { items: vec![item(1)], next: 5, more: false, seen: at(5) };
        let answer = Pulled { shop: SHOP, call: old, outcome: Outcome::Done(more) };
        assert_eq!(replica.pulled(answer).unwrap(), []);
        assert_eq!(replica.place(), Place::paired(SHOP));
    }

    #[test]
    fn a_log_that_lost_something_gets_everything_again() {
        let mut replica = Replica::new(Place { after: 5, seen: at(9), ..Place::paired(SHOP) }, 1);
        let call = replica.pull().call;
        let writes = replica.pulled(Pulled { shop: SHOP, call, outcome: Outcome::StartOver }).unwrap();
        assert_eq!(writes, [Write::SendAll, Write::Place(Place::paired(SHOP))]);
    }

    #[test]
    fn another_shops_computer_is_refused_with_a_word() {
        let mut replica = replica();
        let call = replica.pull().call;
        let told = replica.pulled(Pulled { shop: Id([9; 16]), call, outcome: Outcome::StartOver }).unwrap_err();
        assert!(told.to_string().starts_with("This is another shop's computer"), "{told}");
    }
}
