//! Everything in one file: a zip of records, photos, and the same as JSON and CSV that a person can read without Tailplate.
//!
//! Inside: `records/KIND/ID.yrs` (a record's document), `photos/SHA256.jpg`, `readable/KIND.json` and `readable/KIND.csv`,
//! and last `manifest.json`, which names every other entry with its length and SHA-256. Reading checks all of it before
//! anything is taken in, so a file that was cut short or changed is refused whole. Entries are stored as they are: photos
//! don't shrink, and nothing can unfold beyond the file's own size.

use std::cell::RefCell;
use std::collections::BTreeMap;
use std::io::{Cursor, Read, Write};
use std::rc::Rc;

use serde::{Deserialize, Serialize};
use sha2::{Digest, Sha256};
use zip::write::{SimpleFileOptions, StreamWriter};
use zip::{CompressionMethod, ZipArchive, ZipWriter};

use crate::error::{Error, Result};
use crate::record::{Document, Kind};
use crate::shop::Row;
use crate::shop::row::row_of_json;

const FORM: u32 = 1;
const MANIFEST: &str = "manifest.json";
/// More entries than any shop has; a file with more is refused.
const ENTRIES_MAX: usize = 1_000_000;

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

/// Writes a copy piece by piece, so that a thousand photos need no room for a thousand.
pub struct Writer {
    zip: ZipWriter<StreamWriter<Out>>,
    out: Out,
    manifest: Manifest,
    json: BTreeMap<Kind, String>,
    csv: BTreeMap<Kind, String>,
}

/// What is written and not yet taken.
#[derive(Clone, Default)]
struct Out(Rc<RefCell<Vec<u8>>>);

impl Write for Out {
    fn write(&mut self, bytes: &[u8]) -> std::io::Result<usize> {
        self.0.borrow_mut().extend_from_slice(bytes);
        Ok(bytes.len())
    }
    fn flush(&mut self) -> std::io::Result<()> {
        Ok(())
    }
}

impl Writer {
    pub fn new(made_ms: i64) -> Self {
        let out = Out::default();
        Self {
            zip: ZipWriter::new_stream(out.clone()),
            out,
            manifest: Manifest { form: FORM, made_ms, entries: Vec::new() },
            json: BTreeMap::new(),
            csv: BTreeMap::new(),
        }
    }

    /// Adds a record: its document, and its JSON for people.
    ///
    /// # Errors
    /// The JSON is none of that kind.
    pub fn record(&mut self, kind: Kind, id: &str, document: &[u8], json: &str) -> Result<()> {
        let row = row_of_json(kind, json)?;
        let list = self.json.entry(kind).or_insert_with(|| "[\n".into());
        if list.len() > 2 {
            list.push_str(",\n");
        }
        list.push_str(json);
        self.csv.entry(kind).or_insert_with(|| CSV_HEAD.into()).push_str(&csv_line(&row));
        self.entry(&format!("records/{}/{id}.yrs", kind.word()), document)
    }

    /// Adds a photo by its SHA-256.
    ///
    /// # Errors
    /// The zip can't be written.
    pub fn photo(&mut self, sha256: &str, bytes: &[u8]) -> Result<()> {
        self.entry(&format!("photos/{sha256}.jpg"), bytes)
    }

    /// The bytes made since the last call.
    pub fn take(&mut self) -> Vec<u8> {
        std::mem::take(&mut *self.out.0.borrow_mut())
    }

    /// The last bytes.
    ///
    /// # Errors
    /// The zip can't be written.
    pub fn finish(mut self) -> Result<Vec<u8>> {
        for (kind, mut json) in std::mem::take(&mut self.json) {
            json.push_str("\n]\n");
            self.entry(&format!("readable/{}.json", kind.word()), json.as_bytes())?;
        }
        for (kind, csv) in std::mem::take(&mut self.csv) {
            self.entry(&format!("readable/{}.csv", kind.word()), csv.as_bytes())?;
        }
        let manifest = serde_json::to_vec_pretty(&self.manifest).map_err(|error| trouble(&error))?;
        self.entry(MANIFEST, &manifest)?;
        self.zip.finish().map_err(|error| trouble(&error))?;
        Ok(std::mem::take(&mut *self.out.0.borrow_mut()))
    }

    fn entry(&mut self, name: &str, bytes: &[u8]) -> Result<()> {
        let options = SimpleFileOptions::default().compression_method(CompressionMethod::Stored);
        self.zip.start_file(name, options).map_err(|error| trouble(&error))?;
        self.zip.write_all(bytes).map_err(|error| trouble(&error))?;
        self.manifest.entries.push(Entry { name: name.into(), bytes: bytes.len() as u64, sha256: sha256_hex(bytes) });
        Ok(())
    }
}

fn trouble(error: &dyn std::fmt::Display) -> Error {
    Error::invalid(format!("The copy can't be written: {error}."))
}

/// A copy that was read and found whole.
pub struct SavedCopy<'a> {
    archive: ZipArchive<Cursor<&'a [u8]>>,
    pub made_ms: i64,
    /// Kind and id of each record.
    pub records: Vec<(Kind, String)>,
    /// SHA-256 of each photo.
    pub photos: Vec<String>,
}

impl<'a> SavedCopy<'a> {
    /// Opens a copy and checks every byte of it. `step` hears how many of how many entries are checked, and stops the work
    /// by answering false.
    ///
    /// # Errors
    /// A sentence: no copy, cut short, changed, of a newer Tailplate, or stopped.
    pub fn open(bytes: &'a [u8], mut step: impl FnMut(usize, usize) -> bool) -> Result<Self> {
        let refused =
            |why: String| Error::malformed(format!("This file is not taken in: {why} Nothing has changed here."));
        let mut archive = ZipArchive::new(Cursor::new(bytes))
            .map_err(|_| refused("it is no saved copy, or it was cut short on its way.".into()))?;
        let text = read(&mut archive, MANIFEST, bytes.len())
            .map_err(|_| refused("it has no list of what is in it, so it is no saved copy of Tailplate.".into()))?;
        let manifest: Manifest =
            serde_json::from_slice(&text).map_err(|_| refused("its list of what is in it can't be read.".into()))?;
        if manifest.form > FORM {
            return Err(refused(format!(
                "it was made by a newer Tailplate (form {}); update this one first.",
                manifest.form
            )));
        }
        if manifest.entries.len() > ENTRIES_MAX || manifest.entries.len() + 1 != archive.len() {
            return Err(refused(format!(
                "it should hold {} entries and holds {}.",
                manifest.entries.len() + 1,
                archive.len()
            )));
        }
        // Stored as they are, entries can't unfold; lying over one another they could.
        let total = manifest.entries.iter().fold(0u64, |sum, entry| sum.saturating_add(entry.bytes));
        if total > bytes.len() as u64 {
            return Err(refused("its entries are longer than the file itself.".into()));
        }
        let (mut records, mut photos) = (Vec::new(), Vec::new());
        for (at, entry) in manifest.entries.iter().enumerate() {
            if !step(at, manifest.entries.len()) {
                return Err(refused("you stopped it.".into()));
            }
            let content = read(&mut archive, &entry.name, bytes.len())
                .map_err(|why| refused(format!("“{}” can't be read ({why}).", entry.name)))?;
            if content.len() as u64 != entry.bytes || sha256_hex(&content) != entry.sha256 {
                return Err(refused(format!(
                    "“{}” is not what was saved: the file was damaged or changed.",
                    entry.name
                )));
            }
            let parts: Vec<&str> = entry.name.split('/').collect();
            match parts[..] {
                ["records", word, file] => {
                    let kind = Kind::of(word)
                        .ok_or_else(|| refused(format!("it holds a kind of record unknown here, “{word}”.")))?;
                    let id = file.strip_suffix(".yrs").unwrap_or(file);
                    Document::read(kind.shape(), &content, 1).map_err(|why| refused(why.to_string()))?;
                    records.push((kind, id.to_owned()));
                }
                ["photos", file] => {
                    let sha256 = file.strip_suffix(".jpg").unwrap_or(file);
                    if sha256 != entry.sha256 {
                        return Err(refused(format!("the photo “{file}” is not the one it is called by.")));
                    }
                    photos.push(sha256.to_owned());
                }
                ["records" | "photos", ..] => {
                    return Err(refused(format!("“{}” is no name of a record or a photo.", entry.name)));
                }
                _ => {}
            }
        }
        Ok(Self { archive, made_ms: manifest.made_ms, records, photos })
    }

    /// The document of a record.
    ///
    /// # Errors
    /// There is no such record in it.
    pub fn record(&mut self, kind: Kind, id: &str) -> Result<Vec<u8>> {
        let most = self.archive.decompressed_size().and_then(|n| usize::try_from(n).ok()).unwrap_or(usize::MAX);
        read(&mut self.archive, &format!("records/{}/{id}.yrs", kind.word()), most)
    }

    /// The bytes of a photo.
    ///
    /// # Errors
    /// There is no such photo in it.
    pub fn photo(&mut self, sha256: &str) -> Result<Vec<u8>> {
        let most = self.archive.decompressed_size().and_then(|n| usize::try_from(n).ok()).unwrap_or(usize::MAX);
        read(&mut self.archive, &format!("photos/{sha256}.jpg"), most)
    }
}

fn read(archive: &mut ZipArchive<Cursor<&[u8]>>, name: &str, most: usize) -> Result<Vec<u8>> {
    let damaged = |error: &dyn std::fmt::Display| Error::malformed(error.to_string());
    let entry = archive.by_name(name).map_err(|error| damaged(&error))?;
    if entry.compression() != CompressionMethod::Stored || entry.size() > most as u64 {
        return Err(Error::malformed("it is packed in another way"));
    }
    let mut bytes = Vec::new();
    entry.take(most as u64).read_to_end(&mut bytes).map_err(|error| damaged(&error))?;
    Ok(bytes)
}

/// SHA-256 in lower-case hex: the name of a photo.
pub fn sha256_hex(bytes: &[u8]) -> String {
    use std::fmt::Write;
    Sha256::digest(bytes).iter().fold(String::new(), |mut hex, byte| {
        let _ = write!(hex, "{byte:02x}");
        hex
    })
}

const CSV_HEAD: &str = "id,made,changed,deleted,name,tag,model,kind of reel,stands,belongs to,line,words\r\n";

/// A row for a table program (RFC 4180). What a program would take for a formula is made plain text.
fn csv_line(row: &Row) -> String {
    let (made, changed) = (iso_day(row.made_ms), iso_day(row.changed_ms));
    let deleted = if row.deleted { "deleted" } else { "" };
    let fields = [
        &row.id,
        &made,
        &changed,
        deleted,
        &row.name,
        &row.tag,
        &row.model,
        &row.reel_kind,
        &row.word,
        &row.of,
        &row.line,
        &row.text,
    ];
    let quoted = fields.map(|field| {
        let formula = field.starts_with(['=', '+', '-', '@', '\t', '\r']);
        format!("\"{}{}\"", if formula { "'" } else { "" }, field.replace('"', "\"\""))
    });
    quoted.join(",") + "\r\n"
}

/// Day in UTC, `2026-03-14`.
pub fn iso_day(ms: i64) -> String {
    let (year, month, day) = crate::dating::date_of_unix_day(ms.div_euclid(86_400_000));
    format!("{year:04}-{month:02}-{day:02}")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::record::{Kept, Record};
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

    #[test]
    fn a_copy_gives_back_what_was_put_in() {
        let file = copy();
        let mut steps = 0;
        let mut copy = SavedCopy::open(&file, |_, _| {
            steps += 1;
            true
        })
        .unwrap();
        assert_eq!(steps, 7);
        assert_eq!(copy.records, [(Kind::Reel, A.to_owned()), (Kind::Customer, B.to_owned())]);
        let customer: Kept<Customer> = Kept::read(&copy.record(Kind::Customer, B).unwrap(), 5).unwrap();
        assert_eq!(customer.record.name, "Mara Quill");
        assert_eq!(customer.record.row().name, "Mara Quill");
        let sha256 = copy.photos[0].clone();
        assert_eq!(copy.photo(&sha256).unwrap(), b"not really a picture");
        let csv = read(&mut copy.archive, "readable/reel.csv", file.len()).unwrap();
        insta::assert_snapshot!(String::from_utf8(csv).unwrap().replace("\r\n", "\n"), @r#"
        id,made,changed,deleted,name,tag,model,kind of reel,stands,belongs to,line,words
        "000102030405060708090a0b0c0d0e0f","1970-01-02","1970-01-02","","'=Sum of ""all"", parts","","","","Arrived","","","'=sum of ""all"", parts"
        "#);
        let json = read(&mut copy.archive, "readable/reel.json", file.len()).unwrap();
        let reels: Vec<Reel> = serde_json::from_slice(&json).unwrap();
        assert_eq!(reels[0].name, "=Sum of \"all\", parts");
    }

    #[test]
    fn a_file_cut_short_anywhere_is_refused() {
        let file = copy();
        for end in 0..file.len() {
            assert!(SavedCopy::open(&file[..end], |_, _| true).is_err(), "{end} of {} bytes", file.len());
        }
    }

    #[test]
    fn a_changed_byte_is_refused_or_changes_nothing_that_is_taken_in() {
        let file = copy();
        let whole = SavedCopy::open(&file, |_, _| true).unwrap();
        let (records, photos) = (whole.records.clone(), whole.photos.clone());
        let documents = |copy: &mut SavedCopy| -> Vec<Vec<u8>> {
            records.iter().map(|(kind, id)| copy.record(*kind, id).unwrap()).collect()
        };
        let wanted = documents(&mut SavedCopy::open(&file, |_, _| true).unwrap());
        for at in 0..file.len() {
            let mut changed = file.clone();
            changed[at] ^= 0x20;
            // Bytes that say nothing (a date, a version needed) may differ; content never.
            if let Ok(mut copy) = SavedCopy::open(&changed, |_, _| true) {
                assert_eq!((&copy.records, &copy.photos), (&records, &photos), "byte {at}");
                assert_eq!(documents(&mut copy), wanted, "byte {at}");
            }
        }
    }

    #[test]
    fn it_can_be_stopped_and_other_files_are_no_copies() {
        let said = |bytes: &[u8], go: bool| SavedCopy::open(bytes, |_, _| go).map(|_| ()).unwrap_err().to_string();
        insta::assert_snapshot!(said(&copy(), false), @"This file is not taken in: you stopped it. Nothing has changed here.");
        insta::assert_snapshot!(said(b"PK", true), @"This file is not taken in: it is no saved copy, or it was cut short on its way. Nothing has changed here.");
        let mut other = ZipWriter::new(Cursor::new(Vec::new()));
        other.start_file("x", SimpleFileOptions::default().compression_method(CompressionMethod::Stored)).unwrap();
        insta::assert_snapshot!(said(&other.finish().unwrap().into_inner(), true), @"This file is not taken in: it has no list of what is in it, so it is no saved copy of Tailplate. Nothing has changed here.");
    }
}
