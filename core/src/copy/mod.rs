//! Everything in one file: a zip of records, photos, and the same as JSON and CSV that a person can read without Tailplate.
//!
//! Inside: `records/KIND/ID.yrs` (a record's document), `photos/SHA256.jpg`, `readable/KIND.json` and `readable/KIND.csv`,
//! and last `manifest.json`, which names every other entry with its length and SHA-256. Reading checks all of it before
//! anything is taken in, so a file that was cut short or changed is refused whole. Entries are stored as they are: photos
//! don't shrink, and nothing can unfold beyond the file's own size. It is written and read piece by piece: a phone has no
//! room for the photos of a shop at once.

mod read;
mod window;
mod write;

use serde::{Deserialize, Serialize};
use sha2::{Digest, Sha256};

pub use read::SavedCopy;
pub use window::{Source, at_once};
pub use write::Writer;

const FORM: u32 = 1;
const MANIFEST: &str = "manifest.json";

#[derive(Debug, Serialize, Deserialize)]
struct Manifest {
    /// The form of the file.
    form: u32,
    /// When it was made, in milliseconds since 1970.
    made_ms: i64,
    entries: Vec<Entry>,
}

#[derive(Debug, Serialize, Deserialize)]
struct Entry {
    name: String,
    bytes: u64,
    sha256: String,
}

/// SHA-256 in lower-case hex: the name of a photo.
pub fn sha256_hex(bytes: &[u8]) -> String {
    use std::fmt::Write;
    Sha256::digest(bytes).iter().fold(String::new(), |mut hex, byte| {
        let _ = write!(hex, "{byte:02x}");
        hex
    })
}

/// Day in UTC, `2026-03-14`.
pub fn iso_day(ms: i64) -> String {
    let (year, month, day) = crate::dating::date_of_unix_day(ms.div_euclid(86_400_000));
    format!("{year:04}-{month:02}-{day:02}")
}

#[cfg(test)]
mod tests {
    use std::io::Cursor;

    use zip::write::SimpleFileOptions;
    use zip::{CompressionMethod, ZipWriter};

    use super::*;
    use crate::error::Result;
    use crate::record::{Kept, Kind, Record};
    use crate::shop::{Customer, Reel};

    const A: &str = "000102030405060708090a0b0c0d0e0f";
    const B: &str = "f00102030405060708090a0b0c0d0e0f";

    fn copy() -> Vec<u8> {
        let mut writer = Writer::new(1_000);
        let mut reel = Reel::new(A, 86_400_000);
        reel.name = "=Sum of \"all\", parts".into();
        let customer = Customer { name: "Mara Quill".into(), ..Customer::new(B, 2) };
        let reel = Kept::new(reel, 1).unwrap();
        let customer = Kept::new(customer, 1).unwrap();
        writer.record(Kind::Reel, A, &reel.bytes(), &serde_json::to_string(&reel.record).unwrap()).unwrap();
        let mut file = writer.take();
        writer.record(Kind::Customer, B, &customer.bytes(), &serde_json::to_string(&customer.record).unwrap()).unwrap();
        let photo = b"not really a picture";
        writer.photo(&sha256_hex(photo), photo).unwrap();
        file.extend(writer.take());
        file.extend(writer.finish().unwrap());
        file
    }

    fn open(file: &[u8]) -> Result<SavedCopy<&[u8]>> {
        at_once(SavedCopy::open(file, async |_, _| true))
    }

    #[test]
    fn a_copy_gives_back_what_was_put_in() {
        let file = copy();
        let mut steps = 0;
        let opened = SavedCopy::open(&file[..], async |_, _| {
            steps += 1;
            true
        });
        let mut copy = at_once(opened).unwrap();
        assert_eq!(steps, 7);
        assert_eq!(copy.records, [(Kind::Reel, A.to_owned()), (Kind::Customer, B.to_owned())]);
        let customer: Kept<Customer> = Kept::read(&at_once(copy.record(Kind::Customer, B)).unwrap(), 5).unwrap();
        assert_eq!(customer.record.name, "Mara Quill");
        assert_eq!(customer.record.row().name, "Mara Quill");
        let sha256 = copy.photos[0].clone();
        assert_eq!(at_once(copy.photo(&sha256)).unwrap(), b"not really a picture");
        let csv = at_once(copy.again("readable/reel.csv")).unwrap();
        insta::assert_snapshot!(String::from_utf8(csv).unwrap().replace("\r\n", "\n"), @r#"
        id,made,changed,deleted,name,tag,model,kind of reel,stands,belongs to,line,words
        "000102030405060708090a0b0c0d0e0f","1970-01-02","1970-01-02","","'=Sum of ""all"", parts","","","","Arrived","","","'=sum of ""all"", parts"
        "#);
        let json = at_once(copy.again("readable/reel.json")).unwrap();
        let reels: Vec<Reel> = serde_json::from_slice(&json).unwrap();
        assert_eq!(reels[0].name, "=Sum of \"all\", parts");
    }

    #[test]
    fn a_file_cut_short_anywhere_is_refused() {
        let file = copy();
        for end in 0..file.len() {
            assert!(open(&file[..end]).is_err(), "{end} of {} bytes", file.len());
        }
    }

    #[test]
    fn a_changed_byte_is_refused_or_changes_nothing_that_is_taken_in() {
        let file = copy();
        let whole = open(&file).unwrap();
        let (records, photos) = (whole.records.clone(), whole.photos.clone());
        let documents = |copy: &mut SavedCopy<&[u8]>| -> Vec<Vec<u8>> {
            records.iter().map(|(kind, id)| at_once(copy.record(*kind, id)).unwrap()).collect()
        };
        let wanted = documents(&mut open(&file).unwrap());
        for at in 0..file.len() {
            let mut changed = file.clone();
            changed[at] ^= 0x20;
            // Bytes that say nothing (a date, a version needed) may differ; content never.
            if let Ok(mut copy) = open(&changed) {
                assert_eq!((&copy.records, &copy.photos), (&records, &photos), "byte {at}");
                assert_eq!(documents(&mut copy), wanted, "byte {at}");
            }
        }
    }

    #[test]
    fn it_can_be_stopped_and_other_files_are_no_copies() {
        let said = |bytes: &[u8], go: bool| {
            at_once(SavedCopy::open(bytes, async |_, _| go)).map(|_| ()).unwrap_err().to_string()
        };
        insta::assert_snapshot!(said(&copy(), false), @"This file is not taken in: you stopped it. Nothing has changed here.");
        insta::assert_snapshot!(said(b"PK", true), @"This file is not taken in: it is no saved copy, or it was cut short on its way. Nothing has changed here.");
        let mut other = ZipWriter::new(Cursor::new(Vec::new()));
        other.start_file("x", SimpleFileOptions::default().compression_method(CompressionMethod::Stored)).unwrap();
        insta::assert_snapshot!(said(&other.finish().unwrap().into_inner(), true), @"This file is not taken in: it has no list of what is in it, so it is no saved copy of Tailplate. Nothing has changed here.");
    }

    /// How much of a file is asked for at once, and in all.
    struct Watched<'a> {
        file: &'a [u8],
        most: &'a std::cell::Cell<u64>,
        all: &'a std::cell::Cell<u64>,
    }

    impl Source for Watched<'_> {
        fn byte_count(&self) -> u64 {
            self.file.byte_count()
        }
        async fn bytes(&mut self, range: std::ops::Range<u64>) -> Result<Vec<u8>> {
            let asked = range.end - range.start;
            self.most.set(self.most.get().max(asked));
            self.all.set(self.all.get() + asked);
            self.file.bytes(range).await
        }
    }

    #[test]
    fn no_more_of_it_is_in_memory_than_one_thing_and_the_list() {
        const PHOTO_BYTES: usize = 300_000;
        let mut writer = Writer::new(1_000);
        let photos: Vec<Vec<u8>> = (0..40_u8).map(|n| vec![n; PHOTO_BYTES]).collect();
        for photo in &photos {
            writer.photo(&sha256_hex(photo), photo).unwrap();
        }
        // So many that the list of them is longer than what is looked at first.
        for n in 0..1_000_u32 {
            let note = n.to_le_bytes();
            writer.photo(&sha256_hex(&note), &note).unwrap();
        }
        let mut file = writer.take();
        file.extend(writer.finish().unwrap());
        let (most, all) = (std::cell::Cell::new(0), std::cell::Cell::new(0));
        let watched = Watched { file: &file, most: &most, all: &all };
        let mut copy = at_once(SavedCopy::open(watched, async |_, _| true)).unwrap();
        assert_eq!(copy.photos.len(), 1_040);
        for photo in &photos {
            assert_eq!(&at_once(copy.photo(&sha256_hex(photo))).unwrap(), photo);
        }
        assert!(most.get() <= PHOTO_BYTES as u64 + 100_000, "{} bytes at once of {}", most.get(), file.len());
        assert!(all.get() <= 3 * file.len() as u64, "{} bytes in all of {}", all.get(), file.len());
    }

    /// A file that was moved away, or a card that was drawn.
    struct Gone;

    impl Source for Gone {
        fn byte_count(&self) -> u64 {
            1_000
        }
        async fn bytes(&mut self, _: std::ops::Range<u64>) -> Result<Vec<u8>> {
            Err(crate::error::Error::invalid("The card was drawn."))
        }
    }

    #[test]
    fn a_file_that_cannot_be_read_is_not_called_damaged() {
        let said = at_once(SavedCopy::open(Gone, async |_, _| true)).map(|_| ()).unwrap_err().to_string();
        insta::assert_snapshot!(said, @"This file is not taken in: The card was drawn. Nothing has changed here.");
    }
}
