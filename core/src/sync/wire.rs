//! The four messages as bytes.
//!
//! Each begins with four letters that say what it is and in which form. Numbers have fixed length, least byte first; texts
//! and updates follow their length. Text would need the updates spelled out at a third more bytes.

use super::{Id, Item, Mark, More, Outcome, Pull, Pulled, Push, Pushed, Refused, Taken, is_kind};
use crate::error::{Error, Result};
use crate::record::BYTES_MAX;

/// The media type of all four.
pub const MEDIA_TYPE: &str = "application/octet-stream";

const PUSH: &[u8; 4] = b"tpP1";
const PUSHED: &[u8; 4] = b"tpA1";
const PULL: &[u8; 4] = b"tpQ1";
const PULLED: &[u8; 4] = b"tpU1";
const DONE: u8 = 0;
const START_OVER: u8 = 1;

impl Push {
    pub fn encode(&self) -> Vec<u8> {
        let mut out = start(PUSH, self.shop, self.call);
        put_mark(&mut out, self.seen);
        put_items(&mut out, &self.items);
        out
    }

    /// # Errors
    /// The bytes are no push.
    pub fn decode(bytes: &[u8]) -> Result<Self> {
        let (mut rest, shop, call) = Reader::start(bytes, PUSH)?;
        let push = Self { shop, call, seen: rest.mark()?, items: rest.items()? };
        rest.end(push)
    }
}

impl Pushed {
    pub fn encode(&self) -> Vec<u8> {
        let mut out = start(PUSHED, self.shop, self.call);
        match &self.outcome {
            Outcome::StartOver => out.push(START_OVER),
            Outcome::Done(taken) => {
                out.push(DONE);
                put_mark(&mut out, taken.seen);
                put_count(&mut out, taken.refused.len());
                for refused in &taken.refused {
                    out.extend(refused.at.to_le_bytes());
                    put_bytes(&mut out, refused.why.as_bytes());
                }
            }
        }
        out
    }

    /// # Errors
    /// The bytes are no answer to a push.
    pub fn decode(bytes: &[u8]) -> Result<Self> {
        let (mut rest, shop, call) = Reader::start(bytes, PUSHED)?;
        let outcome = if rest.is_done()? {
            let seen = rest.mark()?;
            let mut refused = Vec::new();
            for _ in 0..rest.number()? {
                let at = rest.number()?;
                let why = String::from_utf8_lossy(rest.bytes()?).into_owned();
                refused.push(Refused { at, why });
            }
            Outcome::Done(Taken { seen, refused })
        } else {
            Outcome::StartOver
        };
        rest.end(Self { shop, call, outcome })
    }
}

impl Pull {
    pub fn encode(&self) -> Vec<u8> {
        let mut out = start(PULL, self.shop, self.call);
        put_mark(&mut out, self.seen);
        out.extend(self.after.to_le_bytes());
        out.extend(self.limit.to_le_bytes());
        out
    }

    /// # Errors
    /// The bytes are no pull.
    pub fn decode(bytes: &[u8]) -> Result<Self> {
        let (mut rest, shop, call) = Reader::start(bytes, PULL)?;
        let pull = Self { shop, call, seen: rest.mark()?, after: rest.long()?, limit: rest.number()? };
        rest.end(pull)
    }
}

impl Pulled {
    pub fn encode(&self) -> Vec<u8> {
        let mut out = start(PULLED, self.shop, self.call);
        match &self.outcome {
            Outcome::StartOver => out.push(START_OVER),
            Outcome::Done(more) => {
                out.push(DONE);
                put_mark(&mut out, more.seen);
                out.extend(more.next.to_le_bytes());
                out.push(more.more.into());
                put_items(&mut out, &more.items);
            }
        }
        out
    }

    /// # Errors
    /// The bytes are no answer to a pull.
    pub fn decode(bytes: &[u8]) -> Result<Self> {
        let (mut rest, shop, call) = Reader::start(bytes, PULLED)?;
        let outcome = if rest.is_done()? {
            let (seen, next, more) = (rest.mark()?, rest.long()?, rest.byte()? != 0);
            Outcome::Done(More { items: rest.items()?, next, more, seen })
        } else {
            Outcome::StartOver
        };
        rest.end(Self { shop, call, outcome })
    }
}

fn start(what: &[u8; 4], shop: Id, call: u64) -> Vec<u8> {
    let mut out = what.to_vec();
    out.extend(shop.0);
    out.extend(call.to_le_bytes());
    out
}

fn put_mark(out: &mut Vec<u8>, mark: Mark) {
    out.extend(mark.seq.to_le_bytes());
    out.extend(mark.era.0);
}

fn put_count(out: &mut Vec<u8>, count: usize) {
    out.extend(u32::try_from(count).unwrap_or(u32::MAX).to_le_bytes());
}

fn put_bytes(out: &mut Vec<u8>, bytes: &[u8]) {
    put_count(out, bytes.len());
    out.extend(bytes);
}

fn put_items(out: &mut Vec<u8>, items: &[Item]) {
    put_count(out, items.len());
    for item in items {
        out.push(item.kind.len() as u8);
        out.extend(item.kind.as_bytes());
        out.extend(item.record.0);
        put_bytes(out, &item.bytes);
    }
}

/// Reads from the front; a length never reserves room before the bytes are seen to be there.
struct Reader<'a>(&'a [u8]);

impl<'a> Reader<'a> {
    fn start(bytes: &'a [u8], what: &[u8; 4]) -> Result<(Self, Id, u64)> {
        let mut rest = Self(bytes);
        if rest.array::<4>()? != *what {
            return Err(Error::unknown("This message has a form that this version does not know; update both sides."));
        }
        let (shop, call) = (rest.id()?, rest.long()?);
        Ok((rest, shop, call))
    }

    fn take(&mut self, length: usize) -> Result<&'a [u8]> {
        let (front, back) = self.0.split_at_checked(length).ok_or_else(torn)?;
        self.0 = back;
        Ok(front)
    }

    fn array<const N: usize>(&mut self) -> Result<[u8; N]> {
        self.take(N)?.try_into().map_err(|_| torn())
    }

    fn byte(&mut self) -> Result<u8> {
        Ok(self.array::<1>()?[0])
    }

    fn number(&mut self) -> Result<u32> {
        Ok(u32::from_le_bytes(self.array()?))
    }

    fn long(&mut self) -> Result<u64> {
        Ok(u64::from_le_bytes(self.array()?))
    }

    fn id(&mut self) -> Result<Id> {
        Ok(Id(self.array()?))
    }

    fn mark(&mut self) -> Result<Mark> {
        Ok(Mark { seq: self.long()?, era: self.id()? })
    }

    fn bytes(&mut self) -> Result<&'a [u8]> {
        let length = self.number()?;
        self.take(length as usize)
    }

    fn is_done(&mut self) -> Result<bool> {
        match self.byte()? {
            DONE => Ok(true),
            START_OVER => Ok(false),
            _ => Err(torn()),
        }
    }

    fn items(&mut self) -> Result<Vec<Item>> {
        let mut items = Vec::new();
        for _ in 0..self.number()? {
            let length = self.byte()?;
            let kind = std::str::from_utf8(self.take(length.into())?).ok().filter(|kind| is_kind(kind));
            let kind = kind.ok_or_else(|| Error::malformed("The message has a record of no kind."))?.to_owned();
            let record = self.id()?;
            let bytes = self.bytes()?;
            if bytes.len() > BYTES_MAX {
                return Err(Error::invalid(format!(
                    "An update of {} bytes is more than a record may have.",
                    bytes.len()
                )));
            }
            items.push(Item { kind, record, bytes: bytes.to_vec() });
        }
        Ok(items)
    }

    fn end<T>(self, message: T) -> Result<T> {
        if self.0.is_empty() { Ok(message) } else { Err(torn()) }
    }
}

fn torn() -> Error {
    Error::malformed("This message is torn or damaged; ask again.")
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn id() -> impl Strategy<Value = Id> {
        any::<[u8; 16]>().prop_map(Id)
    }
    fn mark() -> impl Strategy<Value = Mark> {
        (any::<u64>(), id()).prop_map(|(seq, era)| Mark { seq, era })
    }
    fn items() -> impl Strategy<Value = Vec<Item>> {
        let item = ("[a-z][a-z-]{0,23}", id(), prop::collection::vec(any::<u8>(), 0..50));
        prop::collection::vec(item.prop_map(|(kind, record, bytes)| Item { kind, record, bytes }), 0..5)
    }

    proptest! {
        #[test]
        fn what_is_said_is_heard(
            shop in id(), call: u64, seen in mark(), after: u64, limit: u32, more: bool, items in items(),
            refused in prop::collection::vec((any::<u32>(), ".{0,20}"), 0..3), over: bool,
        ) {
            let push = Push { shop, call, seen, items: items.clone() };
            prop_assert_eq!(Push::decode(&push.encode()).unwrap(), push);
            let pull = Pull { shop, call, seen, after, limit };
            prop_assert_eq!(Pull::decode(&pull.encode()).unwrap(), pull);
            let refused = refused.into_iter().map(|(at, why)| Refused { at, why }).collect();
            let outcome = if over { Outcome::StartOver } else { Outcome::Done(Taken { seen, refused }) };
            let pushed = Pushed { shop, call, outcome };
            prop_assert_eq!(Pushed::decode(&pushed.encode()).unwrap(), pushed);
            let outcome = if over { Outcome::StartOver } else { Outcome::Done(More { items, next: after, more, seen }) };
            let pulled = Pulled { shop, call, outcome };
            let bytes = pulled.encode();
            for cut in 0..bytes.len() {
                prop_assert!(Pulled::decode(&bytes[..cut]).is_err());
            }
            prop_assert_eq!(Pulled::decode(&bytes).unwrap(), pulled);
        }

        #[test]
        fn no_bytes_make_it_stumble(what in 0..4usize, bytes in prop::collection::vec(any::<u8>(), 0..120)) {
            let bytes = [&[PUSH, PUSHED, PULL, PULLED][what][..], &bytes].concat();
            let _ = (Push::decode(&bytes), Pushed::decode(&bytes), Pull::decode(&bytes), Pulled::decode(&bytes));
        }
    }

    #[test]
    fn the_form_stays_as_it_is() {
        let seen = Mark { seq: 5, era: Id([2; 16]) };
        let items = vec![Item { kind: "reel".into(), record: Id([3; 16]), bytes: vec![9, 8] }];
        let hex: String =
            Push { shop: Id([1; 16]), call: 7, seen, items }.encode().iter().map(|b| format!("{b:02x}")).collect();
        insta::assert_snapshot!(hex, @"7470503101010101010101010101010101010101070000000000000005000000000000000202020202020202020202020202020201000000047265656c03030303030303030303030303030303020000000908");
    }

    #[test]
    fn a_message_of_another_form_and_a_kind_of_no_sort_are_refused_in_a_sentence() {
        let told = Push::decode(b"tpP2").unwrap_err().to_string();
        assert_eq!(told, "This message has a form that this version does not know; update both sides.");
        let push = |kind: &str| {
            let items = vec![Item { kind: kind.into(), record: Id::default(), bytes: vec![] }];
            Push::decode(&Push { shop: Id::default(), call: 0, seen: Mark::default(), items }.encode())
        };
        assert!(push("reel").is_ok());
        for kind in ["", "Reel", "../x", "a kind", "abcdefghijklmnopqrstuvwxyz"] {
            assert!(push(kind).is_err(), "{kind}");
        }
    }

    #[test]
    fn an_id_is_its_32_digits() {
        let text = "000102030405060708090a0b0c0d0eff";
        assert_eq!(Id::of(text).unwrap().hex(), text);
        for wrong in ["", "00", &text.to_uppercase(), &format!("{text}0"), &"g".repeat(32)] {
            assert_eq!(Id::of(wrong), None, "{wrong}");
        }
    }
}
