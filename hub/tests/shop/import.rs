//! Files that are taken in: the shop's own, and those made to harm. A bad one is refused whole and changes nothing.

use serde_json::{Value, json};
use tailplate_core::copy::{SavedCopy, Writer, at_once};
use tailplate_core::record::Kind;
use tailplate_core::shop::Reel;
use tailplate_core::sync::Item;
use tailplate_hub::store::sha256;

use crate::kept::Kept;
use crate::phone::{JPEG, bits, reel, works};
use crate::program::run;
use crate::running::Running;

const STORED: u16 = 0;
const DEFLATED: u16 = 8;

/// A zip as no honest program writes it: what the list says of an entry need not be so.
#[derive(Default)]
struct Zip {
    bytes: Vec<u8>,
    list: Vec<u8>,
    count: u16,
}

impl Zip {
    /// Adds bytes, and an entry for them. Gives where they lie.
    fn put(&mut self, name: &str, bytes: &[u8]) -> usize {
        let at = self.bytes.len();
        let head = [b"PK\x03\x04\x14\0\0\0".as_slice(), &fields(STORED, bytes, bytes.len()), &lengths(name)].concat();
        self.bytes.extend([head.as_slice(), name.as_bytes(), bytes].concat());
        self.list(name, STORED, bytes, bytes.len(), at);
        at
    }

    /// An entry of the list alone.
    fn list(&mut self, name: &str, method: u16, bytes: &[u8], told: usize, at: usize) {
        let head = [b"PK\x01\x02\x14\0\x14\0\0\0".as_slice(), &fields(method, bytes, told), &lengths(name)].concat();
        self.list.extend(head);
        self.list.extend([0; 10]);
        self.list.extend((at as u32).to_le_bytes());
        self.list.extend(name.as_bytes());
        self.count += 1;
    }

    fn file(mut self, manifest: &[Value]) -> Vec<u8> {
        let text = json!({ "form": 1, "made_ms": 1, "entries": manifest }).to_string();
        self.put("manifest.json", text.as_bytes());
        let (at, length, count) = (self.bytes.len() as u32, self.list.len() as u32, self.count.to_le_bytes());
        let end = [b"PK\x05\x06\0\0\0\0".as_slice(), &count, &count, &length.to_le_bytes(), &at.to_le_bytes(), &[0; 2]];
        [self.bytes, self.list, end.concat()].concat()
    }
}

/// Method, time, checksum and the two lengths.
fn fields(method: u16, bytes: &[u8], told: usize) -> Vec<u8> {
    let crc = !bytes.iter().fold(u32::MAX, |crc, byte| {
        (0..8).fold(crc ^ u32::from(*byte), |crc, _| crc >> 1 ^ if crc & 1 == 1 { 0xEDB8_8320 } else { 0 })
    });
    let numbers = [crc, bytes.len() as u32, told as u32].map(u32::to_le_bytes).concat();
    [method.to_le_bytes().as_slice(), &[0; 4], &numbers].concat()
}

fn lengths(name: &str) -> [u8; 4] {
    let [low, high] = (name.len() as u16).to_le_bytes();
    [low, high, 0, 0]
}

fn listed(name: &str, bytes: &[u8]) -> Value {
    json!({ "name": name, "bytes": bytes.len(), "sha256": sha256(bytes) })
}

/// A copy that holds these, each as it is.
fn copy_of(entries: &[(&str, &[u8])]) -> Vec<u8> {
    let mut zip = Zip::default();
    let manifest: Vec<Value> = entries
        .iter()
        .map(|(name, bytes)| {
            zip.put(name, bytes);
            listed(name, bytes)
        })
        .collect();
    zip.file(&manifest)
}

/// A megabyte that a thousand entries lie over.
fn lying_over_one_another() -> Vec<u8> {
    let mut zip = Zip::default();
    let large = vec![b' '; 1 << 20];
    let at = zip.put("readable/0", &large);
    let mut manifest = vec![listed("readable/0", &large)];
    for n in 1..1000 {
        let name = format!("readable/{n}");
        zip.list(&name, STORED, &large, large.len(), at);
        manifest.push(json!({ "name": name, "bytes": large.len(), "sha256": sha256(b"never looked at") }));
    }
    zip.file(&manifest)
}

/// A few bytes that say they are three gigabytes, packed or not.
fn saying_it_is_large(method: u16) -> Vec<u8> {
    const TOLD: usize = 3 << 30;
    let mut zip = Zip::default();
    let few = [0xED, 0xC1, 0x01];
    zip.list("readable/reel.json", method, &few, TOLD, 0);
    zip.bytes =
        [b"PK\x03\x04\x14\0\0\0".as_slice(), &fields(method, &few, TOLD), &lengths("readable/reel.json")].concat();
    zip.bytes.extend(b"readable/reel.json");
    zip.bytes.extend(few);
    zip.file(&[json!({ "name": "readable/reel.json", "bytes": TOLD, "sha256": sha256(&few) })])
}

#[test]
fn a_copy_is_taken_in_once() {
    for kept in Kept::each("import") {
        let hub = Running::start(&kept);
        let phone = hub.pair();
        let item = reel(7, "from the file");
        let mut copy = Writer::new(1);
        let record = Reel::new(&item.record.hex(), 1);
        copy.record(Kind::Reel, &item.record.hex(), &item.bytes, &serde_json::to_string(&record).unwrap()).unwrap();
        copy.photo(&sha256(JPEG), JPEG).unwrap();
        let file = kept.folder.0.join("copy.zip");
        std::fs::write(&file, copy.finish().unwrap()).unwrap();
        for taken in [1, 0] {
            let (status, told) = run(kept.program(&["import", file.to_str().unwrap(), "--json"]));
            assert_eq!((status, told), (0, json!({ "records": taken, "photos": taken })));
        }
        assert_eq!(phone.pull_all(), std::slice::from_ref(&item));
        // And out again, as it came.
        let again = kept.folder.0.join("again.zip");
        let (status, told) = run(kept.program(&["export", again.to_str().unwrap(), "--json"]));
        assert_eq!((status, told), (0, json!({ "records": 1, "photos": 1, "unread": [] })));
        let bytes = std::fs::read(&again).unwrap();
        let mut copy = at_once(SavedCopy::open(&bytes[..], async |_, _| true)).unwrap();
        assert_eq!(at_once(copy.photo(&sha256(JPEG))).unwrap(), JPEG);
        assert_eq!(
            works(&[Item { bytes: at_once(copy.record(Kind::Reel, &item.record.hex())).unwrap(), ..item }]).len(),
            1
        );
        assert_eq!(phone.ask("GET", &format!("/api/photos/{}", sha256(JPEG)), b"").body, JPEG);
    }
}

#[test]
fn a_file_made_to_harm_changes_nothing() {
    let kept = Kept::here("bombs");
    let hub = Running::start(&kept);
    let mut phone = hub.pair();
    assert!(phone.push(&[reel(1, "kept")]));
    let new = reel(2, "not kept");
    let document = new.bytes.as_slice();
    let record = format!("records/reel/{}.yrs", new.record.hex());
    let picture = format!("photos/{}.jpg", sha256(JPEG));
    let page: &[u8] = b"<html><script>";
    let page_name = format!("photos/{}.jpg", sha256(page));
    let good = copy_of(&[(&record, document), (&picture, JPEG)]);
    let cases: Vec<(&str, Vec<u8>, &str)> = vec![
        ("entries over one another", lying_over_one_another(), "longer than the file itself"),
        ("a large one that is not there", saying_it_is_large(STORED), "longer than the file itself"),
        ("a packed one", saying_it_is_large(DEFLATED), "longer than the file itself"),
        ("no zip", b"PK".repeat(1000), "no saved copy"),
        ("half of one", good[..good.len() / 2].to_vec(), "no saved copy"),
        ("a record out of its folder", copy_of(&[("records/reel/../../shop.yrs", document)]), "not taken in"),
        ("a kind that is a path", copy_of(&[("records/../x.yrs", document)]), "a kind of record unknown"),
        ("a record without an id", copy_of(&[("records/reel/shop.yrs", document)]), "no id of a record"),
        ("a photo by a path", copy_of(&[("photos/..%2Fshop.db", JPEG)]), "not the one it is called by"),
        ("a page as a photo", copy_of(&[(&record, document), (&page_name, page)]), "no picture"),
        ("no record at all", copy_of(&[(&record, b"\x01\x02\x03"), (&picture, JPEG)]), "not taken in"),
    ];
    let hash = bits(&sha256(JPEG));
    let before = phone.state(&hash);
    for (what, bytes, word) in &cases {
        let file = kept.folder.0.join("bad.zip");
        std::fs::write(&file, bytes).unwrap();
        let (status, told) = run(kept.program(&["import", file.to_str().unwrap(), "--json"]));
        let told = told.as_str().unwrap_or_default().to_owned();
        assert!(status == 2 && told.contains(word), "{what}: {status}, {told}");
        assert!(told.ends_with("Nothing has changed here.\n"), "{what}: {told}");
        assert_eq!(phone.state(&hash), before, "{what}");
    }
    // The same without what is bad in it.
    let file = kept.folder.0.join("good.zip");
    std::fs::write(&file, &good).unwrap();
    assert_eq!(run(kept.program(&["import", file.to_str().unwrap()])).0, 0);
    assert_eq!(phone.pull_all().len(), 2);
}
