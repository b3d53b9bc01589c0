//! A paired device, with the client's own state machine.

use std::collections::BTreeSet;

use serde_json::{Value, json};
use tailplate_core::record::Kept;
use tailplate_core::shop::{Done, Reel};
use tailplate_core::sync::{COUNT_MAX, Id, Item, Mark, More, Outcome, Place, Pull, Pulled, Pushed, Replica};

use crate::running::{Answer, ask};

/// What passes for a picture.
pub const JPEG: &[u8] = b"\xFF\xD8\xFF\xE0 a picture \xFF\xD9";

pub struct Phone {
    pub port: u16,
    pub shop: Id,
    pub device: String,
    pub token: String,
    pub replica: Replica,
}

impl Phone {
    pub fn pair(port: u16, code: &str) -> Self {
        let body = json!({ "code": code, "name": "A phone" }).to_string();
        let paired = ask(port, "POST", "/api/pair", "", body.as_bytes()).unwrap();
        assert_eq!(paired.status, 200, "{}", paired.json());
        let paired = paired.json();
        let text = |name: &str| paired[name].as_str().unwrap().to_owned();
        let shop = Id::of(&text("shop")).unwrap();
        Self { port, shop, device: text("device"), token: text("token"), replica: Replica::new(Place::paired(shop), 1) }
    }

    /// The same device again, asking another hub or as one that has just been opened.
    pub fn again(&self, port: u16, session: u64) -> Self {
        let replica = Replica::new(Place::paired(self.shop), session);
        Self { port, shop: self.shop, device: self.device.clone(), token: self.token.clone(), replica }
    }

    pub fn bearer(&self) -> String {
        format!("Authorization: Bearer {}\r\n", self.token)
    }

    pub fn ask(&self, method: &str, path: &str, body: &[u8]) -> Answer {
        self.try_ask(method, path, body).unwrap_or_else(|| panic!("{method} {path}: no answer"))
    }

    /// None if the hub goes away meanwhile.
    pub fn try_ask(&self, method: &str, path: &str, body: &[u8]) -> Option<Answer> {
        ask(self.port, method, path, &self.bearer(), body)
    }

    /// The answer to a push of these, if there is any; taken over as the app takes it over.
    pub fn push_answer(&mut self, items: &[Item]) -> Option<Answer> {
        let entries = items.iter().cloned().enumerate().map(|(n, item)| (n as u64, item));
        let push = self.replica.push(entries).unwrap();
        let answer = self.try_ask("POST", "/api/push", &push.encode())?;
        if let Ok(pushed) = Pushed::decode(&answer.body) {
            self.replica.pushed(&pushed).unwrap();
        }
        Some(answer)
    }

    /// Whether all of it was acknowledged.
    pub fn push(&mut self, items: &[Item]) -> bool {
        let pushed = self.push_answer(items).and_then(|answer| Pushed::decode(&answer.body).ok());
        pushed.is_some_and(|pushed| matches!(pushed.outcome, Outcome::Done(taken) if taken.refused.is_empty()))
    }

    /// Whether a photo was acknowledged.
    pub fn put(&self, photo: &[u8]) -> bool {
        let name = tailplate_hub::store::sha256(photo);
        self.try_ask("PUT", &format!("/api/photos/{name}"), photo).is_some_and(|answer| answer.status == 204)
    }

    /// Everything, from the start.
    pub fn pull_all(&self) -> Vec<Item> {
        let (mut after, mut seen, mut all) = (0, Mark::default(), Vec::new());
        loop {
            let pull = Pull { shop: self.shop, call: 1, seen, after, limit: COUNT_MAX as u32 };
            let answer = self.ask("POST", "/api/pull", &pull.encode());
            assert_eq!(answer.status, 200, "{}", answer.head);
            let Outcome::Done(More { items, next, more, seen: end }) = Pulled::decode(&answer.body).unwrap().outcome
            else {
                panic!("the log is the same")
            };
            all.extend(items);
            (after, seen) = (next, end);
            if !more {
                return all;
            }
        }
    }

    /// All that refusals must leave as it is.
    pub fn state(&self, photos: &[u8]) -> (Vec<Item>, Value, Vec<u8>) {
        let devices = self.ask("GET", "/api/devices", b"").json();
        (self.pull_all(), devices, self.ask("POST", "/api/photos/missing", photos).body)
    }
}

/// A reel with one line of work, by a writer of its own.
pub fn reel(id: u128, what: &str) -> Item {
    let id = format!("{id:032x}");
    let mut kept = Kept::new(Reel::new(&id, 1), 7).unwrap();
    let done = Done { at_ms: 1, what: what.into(), minutes: None };
    kept.change(2, |reel| reel.work.push(done)).unwrap();
    Item { kind: "reel".into(), record: Id::of(&id).unwrap(), bytes: kept.bytes() }
}

/// The lines of work in reels that [`reel`] made.
pub fn works(items: &[Item]) -> BTreeSet<String> {
    let reels = items.iter().map(|item| Kept::<Reel>::read(&item.bytes, 1).unwrap().record);
    reels.flat_map(|reel| reel.work.into_iter().map(|done| done.what)).collect()
}

/// Bytes that pass for a picture of about this size, other ones for each name.
pub fn photo(name: &str, bytes: usize) -> Vec<u8> {
    let mut photo = b"\xFF\xD8\xFF\xE0".to_vec();
    while photo.len() < bytes {
        photo.extend_from_slice(
            tailplate_hub::store::sha256(&[name.as_bytes(), &photo.len().to_le_bytes()].concat()).as_bytes(),
        );
    }
    photo
}

/// A hash as it travels.
pub fn bits(sha256: &str) -> Vec<u8> {
    (0..32).map(|n| u8::from_str_radix(&sha256[2 * n..2 * n + 2], 16).unwrap()).collect()
}

#[test]
fn a_hash_is_written_as_it_is_read() {
    use tailplate_hub::store::{hex, sha256};
    assert_eq!(hex(&bits(&sha256(JPEG))), sha256(JPEG));
}
