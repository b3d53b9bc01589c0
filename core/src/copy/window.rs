//! What of a file is at hand, for a reader of zips that takes it for the whole.
//!
//! The reader waits for nothing, a phone's file can only be waited for: so the reader tries, the window notes which bytes
//! it lacked, those are fetched, and it tries again.

use std::cell::RefCell;
use std::io::{self, Read, Seek, SeekFrom};
use std::ops::Range;
use std::pin::pin;
use std::rc::Rc;
use std::task::{Context, Poll, Waker};

use zip::ZipArchive;
use zip::result::{ZipError, ZipResult};

use crate::error::{Error, Result};

/// How much is fetched at least.
const PIECE_BYTES: u64 = 64 << 10;
/// A sound file needs a handful for each thing that is read.
const TRIES_MAX: u32 = 32;

/// Where the bytes of a file come from.
pub trait Source {
    /// Length of the whole.
    fn byte_count(&self) -> u64;

    /// The bytes of a range within it.
    ///
    /// # Errors
    /// A sentence: the file can't be read.
    fn bytes(&mut self, range: Range<u64>) -> impl Future<Output = Result<Vec<u8>>>;
}

/// What is in memory already.
impl Source for &[u8] {
    fn byte_count(&self) -> u64 {
        self.len() as u64
    }

    async fn bytes(&mut self, range: Range<u64>) -> Result<Vec<u8>> {
        Ok(self[range.start as usize..range.end as usize].to_vec())
    }
}

/// The outcome of work that waits for nothing, such as reading from memory.
///
/// # Panics
/// It does wait.
pub fn at_once<T>(work: impl Future<Output = T>) -> T {
    match pin!(work).poll(&mut Context::from_waker(Waker::noop())) {
        Poll::Ready(done) => done,
        Poll::Pending => panic!("it waits for something"),
    }
}

/// A zip of which only a piece is in memory.
pub struct Archive<S> {
    source: S,
    held: Rc<RefCell<Held>>,
    archive: ZipArchive<Window>,
}

impl<S: Source> Archive<S> {
    /// Reads the zip's own directory, which is at its end.
    ///
    /// # Errors
    /// It is no zip, or can't be read.
    pub async fn open(mut source: S) -> Result<Self> {
        let len = source.byte_count();
        let start = len.saturating_sub(PIECE_BYTES);
        let bytes = fetched(&mut source, start..len).await?;
        let held = Rc::new(RefCell::new(Held { len, start, bytes, first: None, lacked: None }));
        // All from what it lacks to the end.
        let archive =
            tried(&mut source, &held, u64::MAX, || ZipArchive::new(Window { held: held.clone(), at: 0 })).await?;
        Ok(Self { source, held, archive })
    }

    pub fn len(&self) -> usize {
        self.archive.len()
    }

    /// Length of the whole file.
    pub fn byte_count(&self) -> u64 {
        self.source.byte_count()
    }

    /// The content of an entry, stored as it is. `most`: bytes it has at most.
    ///
    /// # Errors
    /// There is none of that name, it is packed, longer, or damaged.
    pub async fn read(&mut self, name: &str, most: u64) -> Result<Vec<u8>> {
        let Self { source, held, archive } = self;
        // Before its content stand its name, twice at most, and a few figures.
        let room = most.saturating_add(PIECE_BYTES);
        tried(source, held, room, || {
            let entry = archive.by_name(name)?;
            if entry.compression() != zip::CompressionMethod::Stored || entry.size() > most {
                return Err(ZipError::UnsupportedArchive("it is packed in another way"));
            }
            let mut bytes = Vec::new();
            entry.take(most).read_to_end(&mut bytes)?;
            Ok(bytes)
        })
        .await
    }
}

/// Tries until all that is needed is at hand. `room`: how much is fetched where the reader goes somewhere else.
async fn tried<T>(
    source: &mut impl Source,
    held: &RefCell<Held>,
    room: u64,
    mut work: impl FnMut() -> ZipResult<T>,
) -> Result<T> {
    for turn in 0..TRIES_MAX {
        (held.borrow_mut().first, held.borrow_mut().lacked) = (None, None);
        let error = match work() {
            Ok(done) => return Ok(done),
            Err(error) => error,
        };
        let Some(at) = held.borrow_mut().lacked.take() else {
            return Err(Error::malformed(error.to_string()));
        };
        let first = held.borrow_mut().first.take().map_or(at, |first| first.min(at));
        let end = first.saturating_add(room).max(at + (PIECE_BYTES << turn)).min(source.byte_count());
        let bytes = fetched(source, first..end).await?;
        (held.borrow_mut().start, held.borrow_mut().bytes) = (first, bytes);
    }
    Err(Error::malformed("it leads from place to place"))
}

async fn fetched(source: &mut impl Source, range: Range<u64>) -> Result<Vec<u8>> {
    let bytes = source.bytes(range.clone()).await?;
    let is_whole = bytes.len() as u64 == range.end - range.start;
    if is_whole { Ok(bytes) } else { Err(Error::malformed("it became shorter while it was read")) }
}

struct Held {
    /// Length of the whole.
    len: u64,
    /// Where the bytes at hand begin.
    start: u64,
    bytes: Vec<u8>,
    /// Where the reader began to read in this try, and what it lacked.
    first: Option<u64>,
    lacked: Option<u64>,
}

impl Held {
    fn end(&self) -> u64 {
        self.start + self.bytes.len() as u64
    }
}

struct Window {
    held: Rc<RefCell<Held>>,
    at: u64,
}

impl Read for Window {
    fn read(&mut self, into: &mut [u8]) -> io::Result<usize> {
        let mut held = self.held.borrow_mut();
        if self.at >= held.len || into.is_empty() {
            return Ok(0);
        }
        held.first.get_or_insert(self.at);
        if !(held.start..held.end()).contains(&self.at) {
            held.lacked = Some(self.at);
            return Err(io::Error::other("not at hand"));
        }
        let here = &held.bytes[(self.at - held.start) as usize..];
        let count = here.len().min(into.len());
        into[..count].copy_from_slice(&here[..count]);
        self.at += count as u64;
        Ok(count)
    }
}

impl Seek for Window {
    fn seek(&mut self, to: SeekFrom) -> io::Result<u64> {
        let at = match to {
            SeekFrom::Start(at) => Some(at),
            SeekFrom::End(by) => self.held.borrow().len.checked_add_signed(by),
            SeekFrom::Current(by) => self.at.checked_add_signed(by),
        };
        self.at = at.ok_or_else(|| io::Error::new(io::ErrorKind::InvalidInput, "before the file's beginning"))?;
        Ok(self.at)
    }
}
