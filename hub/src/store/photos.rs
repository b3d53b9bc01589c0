//! Photos, each under the SHA-256 of its bytes, in a folder or a bucket.

use std::fs::{self, File};
use std::io::{ErrorKind, Write};
use std::path::{Path, PathBuf};

use super::{Places, Result, Trouble, hex, is_sha256, private_folder, random, sha256};

/// What a photo can be.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Kind {
    Jpeg,
    Png,
    Webp,
}

impl Kind {
    pub fn media_type(self) -> &'static str {
        match self {
            Self::Jpeg => "image/jpeg",
            Self::Png => "image/png",
            Self::Webp => "image/webp",
        }
    }

    pub fn ending(self) -> &'static str {
        match self {
            Self::Jpeg => "jpg",
            Self::Png => "png",
            Self::Webp => "webp",
        }
    }
}

/// What the bytes are by their own look, whatever anybody calls them.
pub fn kind(bytes: &[u8]) -> Option<Kind> {
    match bytes {
        [0xFF, 0xD8, 0xFF, ..] => Some(Kind::Jpeg),
        [0x89, b'P', b'N', b'G', b'\r', b'\n', 0x1A, b'\n', ..] => Some(Kind::Png),
        [b'R', b'I', b'F', b'F', _, _, _, _, b'W', b'E', b'B', b'P', ..] => Some(Kind::Webp),
        _ => None,
    }
}

/// Where photos are.
#[derive(Clone)]
pub enum Photos {
    Folder(PathBuf),
    #[cfg(feature = "s3")]
    Bucket(super::bucket::Bucket),
}

impl Photos {
    /// # Errors
    /// The place can't be made or its address can't be read.
    pub fn open(places: &Places) -> Result<Self> {
        match &places.photos {
            None => {
                let folder = places.data.join("photos");
                private_folder(&places.data)?;
                private_folder(&folder)?;
                Ok(Self::Folder(folder))
            }
            #[cfg(feature = "s3")]
            Some(url) => Ok(Self::Bucket(super::bucket::Bucket::open(url)?)),
            #[cfg(not(feature = "s3"))]
            Some(_) => {
                Err(Trouble::Told("This build keeps photos in a folder only: build it with --features s3.".into()))
            }
        }
    }

    /// The bytes of a photo, whole or damaged as they are.
    pub async fn get(&self, name: &str) -> Result<Option<Vec<u8>>> {
        if !is_sha256(name) {
            return Ok(None);
        }
        match self {
            Self::Folder(folder) => {
                let path = path(folder, name);
                blocking(move || match fs::read(path) {
                    Ok(bytes) => Ok(Some(bytes)),
                    Err(error) if error.kind() == ErrorKind::NotFound => Ok(None),
                    Err(error) => Err(error.into()),
                })
                .await
            }
            #[cfg(feature = "s3")]
            Self::Bucket(bucket) => bucket.get(name).await,
        }
    }

    /// Its length; none if it is not here.
    pub async fn size(&self, name: &str) -> Result<Option<u64>> {
        if !is_sha256(name) {
            return Ok(None);
        }
        match self {
            Self::Folder(folder) => {
                let path = path(folder, name);
                blocking(move || match fs::metadata(path) {
                    Ok(about) => Ok(Some(about.len())),
                    Err(error) if error.kind() == ErrorKind::NotFound => Ok(None),
                    Err(error) => Err(error.into()),
                })
                .await
            }
            #[cfg(feature = "s3")]
            Self::Bucket(bucket) => bucket.size(name).await,
        }
    }

    /// Keeps a photo under its hash; when this returns it is on the disk. One that is there and whole stays; a damaged one
    /// is replaced.
    pub async fn put(&self, bytes: Vec<u8>) -> Result<()> {
        let name = sha256(&bytes);
        if self.get(&name).await?.is_some_and(|there| there == bytes) {
            return Ok(());
        }
        match self {
            Self::Folder(folder) => {
                let folder = folder.clone();
                blocking(move || write(&folder, &name, &bytes)).await
            }
            #[cfg(feature = "s3")]
            Self::Bucket(bucket) => bucket.put(&name, bytes).await,
        }
    }

    /// The names of all.
    pub async fn names(&self) -> Result<Vec<String>> {
        match self {
            Self::Folder(folder) => {
                let folder = folder.clone();
                blocking(move || names(&folder)).await
            }
            #[cfg(feature = "s3")]
            Self::Bucket(bucket) => bucket.names().await,
        }
    }

    /// Reads all and names those that are damaged; beside it how many there are.
    pub async fn damaged(&self) -> Result<(Vec<String>, usize)> {
        let names = self.names().await?;
        let count = names.len();
        let mut damaged = Vec::new();
        for name in names {
            let bytes = self.get(&name).await?;
            if bytes.is_none_or(|bytes| sha256(&bytes) != name) {
                damaged.push(name);
            }
        }
        Ok((damaged, count))
    }
}

/// Few thousand names in one folder each, also for a shop with very many.
fn path(folder: &Path, name: &str) -> PathBuf {
    folder.join(&name[..2]).join(name)
}

/// Beside its place first, then moved there: a photo is there whole or not at all.
fn write(folder: &Path, name: &str, bytes: &[u8]) -> Result<()> {
    let path = path(folder, name);
    let beside = folder.join(&name[..2]);
    private_folder(&beside)?;
    let part = beside.join(format!("{}.part", hex(&random::<8>()?)));
    let written = (|| {
        let mut file = File::create(&part)?;
        file.write_all(bytes)?;
        file.sync_all()?;
        fs::rename(&part, &path)?;
        // The name itself is on the disk only with its folder.
        #[cfg(unix)]
        {
            File::open(&beside)?.sync_all()?;
            File::open(folder)?.sync_all()?;
        }
        Ok(())
    })();
    if written.is_err() {
        let _ = fs::remove_file(&part);
    }
    written
}

fn names(folder: &Path) -> Result<Vec<String>> {
    let mut names = Vec::new();
    for inner in fs::read_dir(folder)? {
        let inner = inner?.path();
        if inner.is_dir() {
            for file in fs::read_dir(inner)? {
                names.extend(file?.file_name().into_string().ok().filter(|name| is_sha256(name)));
            }
        }
    }
    names.sort();
    Ok(names)
}

async fn blocking<T: Send + 'static>(work: impl FnOnce() -> Result<T> + Send + 'static) -> Result<T> {
    tokio::task::spawn_blocking(work).await.map_err(|error| Trouble::Told(error.to_string()))?
}
