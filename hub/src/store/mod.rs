//! What the shop's computer keeps, on its disk or in a database and a bucket.
//!
//! [`Store`] is the log of updates, the devices and the codes that pair them; [`Photos`] keeps pictures by their hash. The
//! same statements run on SQLite and on PostgreSQL, so there is one `Store` and no second way to keep in step with.

#[cfg(feature = "s3")]
mod bucket;
mod db;
mod devices;
mod log;
mod photos;
mod together;

use std::fmt;
use std::io::ErrorKind;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::time::{Duration, SystemTime, UNIX_EPOCH};

use sha2::{Digest, Sha256};
use sqlx::{Any, AnyPool, Transaction};
use tailplate_core::sync::Id;
use tokio::sync::{Mutex, OwnedMutexGuard};

#[cfg(feature = "s3")]
pub use bucket::Bucket;
pub use devices::{Device, Entry, NAME_CHARS_MAX, normal_code};
pub use log::{Damaged, Record, joined};
pub use photos::{Kind as PhotoKind, Photos, kind as photo_kind};

/// Where things are kept.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Places {
    /// The folder of this shop: the database, the photos and the certificate authority, unless told otherwise.
    pub data: PathBuf,
    /// `postgres://…`
    pub database: Option<String>,
    /// `s3://…`
    pub photos: Option<String>,
}

/// Why something can't be kept or found.
#[derive(Debug)]
pub enum Trouble {
    /// For the person who runs the hub.
    Told(String),
    Database(sqlx::Error),
    Disk(std::io::Error),
    /// Of a transaction that several waited for.
    OfAll(Arc<Trouble>),
}

pub type Result<T> = std::result::Result<T, Trouble>;

impl fmt::Display for Trouble {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Told(sentence) => f.write_str(sentence),
            Self::Database(error) => write!(f, "The database can't do it: {error}."),
            Self::Disk(error) => write!(f, "The disk can't do it: {error}."),
            Self::OfAll(trouble) => trouble.fmt(f),
        }
    }
}

impl std::error::Error for Trouble {}

impl Trouble {
    /// Whether there is no room left where it should be kept.
    pub fn is_full(&self) -> bool {
        const SQLITE_FULL: &str = "13";
        const POSTGRES_FULL: &str = "53100";
        match self {
            Self::Told(_) => false,
            Self::OfAll(trouble) => trouble.is_full(),
            Self::Disk(error) => matches!(error.kind(), ErrorKind::StorageFull | ErrorKind::QuotaExceeded),
            Self::Database(sqlx::Error::Database(error)) => {
                error.code().is_some_and(|code| code == SQLITE_FULL || code == POSTGRES_FULL)
            }
            Self::Database(_) => false,
        }
    }
}

impl From<sqlx::Error> for Trouble {
    fn from(error: sqlx::Error) -> Self {
        Self::Database(error)
    }
}

impl From<std::io::Error> for Trouble {
    fn from(error: std::io::Error) -> Self {
        Self::Disk(error)
    }
}

impl From<Trouble> for String {
    fn from(trouble: Trouble) -> Self {
        trouble.to_string()
    }
}

/// The log, the devices, the codes. Cloning gives another handle.
#[derive(Clone)]
pub struct Store {
    pool: AnyPool,
    shop: Id,
    /// On SQLite only one writes at a time. Here they wait in their order, and leave the connections to those who read;
    /// waiting in the database they would hold all of them, and ask again and again whether it is their turn.
    turn: Arc<Mutex<()>>,
    /// Pushes that wait for that turn.
    waiting: together::Queue,
}

/// For the turn to write. Longer than another program may hold the database before it is told so.
const TURN_PATIENCE: Duration = Duration::from_secs(20);

impl Store {
    /// Opens it; a new one is made where there is none.
    ///
    /// # Errors
    /// It can't be reached, or was laid out by a newer version.
    pub async fn open(places: &Places) -> Result<Self> {
        let pool = db::connect(places, true).await?;
        let shop = db::shop(&pool).await?;
        let shop = match shop {
            Some(shop) => shop,
            None => db::found(&pool, random()?).await?,
        };
        Ok(Self::over(pool, shop))
    }

    /// Opens it only if it is there.
    ///
    /// # Errors
    /// As [`Store::open`], and if there is none.
    pub async fn open_old(places: &Places) -> Result<Self> {
        let pool = db::connect(places, false).await?;
        match db::shop(&pool).await? {
            Some(shop) => Ok(Self::over(pool, shop)),
            None => Err(Trouble::Told(format!("{} holds no shop yet.", places.name()))),
        }
    }

    /// A new one with the shop and the devices of a backup, empty of records.
    ///
    /// # Errors
    /// There is a shop already: it is never written over.
    pub async fn found(
        places: &Places,
        shop: Id,
        records: impl Iterator<Item = Result<Record>> + Send,
        devices: &[Device],
    ) -> Result<Self> {
        let pool = db::connect(places, true).await?;
        if db::shop(&pool).await?.is_some() {
            return Err(Trouble::Told(format!(
                "{} holds a shop already, and nothing is written over it; restore into an empty place.",
                places.name()
            )));
        }
        let mut transaction = pool.begin().await?;
        let last = log::put_records(&mut transaction, records).await?;
        devices::put(&mut transaction, devices).await?;
        db::put_shop(&mut transaction, shop, last).await?;
        transaction.commit().await?;
        let store = Self::over(pool, shop);
        // Whatever a phone knew of the log that was, it does not lie in this era: it will send everything again.
        store.begin_era_at(1).await?;
        Ok(store)
    }

    fn over(pool: AnyPool, shop: Id) -> Self {
        Self { pool, shop, turn: Arc::default(), waiting: Arc::default() }
    }

    /// A transaction that writes. The next begins when what comes with it is dropped, after the commit.
    async fn begin_write(&self) -> Result<(OwnedMutexGuard<()>, Transaction<'static, Any>)> {
        let turn = tokio::time::timeout(TURN_PATIENCE, self.turn.clone().lock_owned()).await;
        let turn = turn.map_err(|_| Trouble::Told("The database was busy for too long.".into()))?;
        Ok((turn, self.pool.begin().await?))
    }

    pub fn shop(&self) -> Id {
        self.shop
    }

    /// Whether the database answers.
    pub async fn answers(&self) -> bool {
        sqlx::query("SELECT 1").execute(&self.pool).await.is_ok()
    }

    /// Finishes what is under way and lets go.
    pub async fn close(&self) {
        self.pool.close().await;
    }
}

impl Places {
    pub fn at(data: &Path) -> Self {
        Self { data: data.to_owned(), database: None, photos: None }
    }

    /// As a person knows it, without the password that an address may hold.
    fn name(&self) -> String {
        match &self.database {
            Some(_) => "The database".into(),
            None => self.data.display().to_string(),
        }
    }

    /// The folder of the certificate authority.
    pub fn authority(&self) -> PathBuf {
        self.data.join("authority")
    }
}

/// Makes a folder that only its owner looks into.
pub fn private_folder(path: &Path) -> Result<()> {
    std::fs::create_dir_all(path)?;
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt;
        std::fs::set_permissions(path, std::fs::Permissions::from_mode(0o700))?;
    }
    Ok(())
}

/// Random bits from the system.
pub fn random<const N: usize>() -> Result<[u8; N]> {
    let mut bits = [0; N];
    getrandom::fill(&mut bits).map_err(|error| Trouble::Told(format!("The system gives no random bits: {error}.")))?;
    Ok(bits)
}

/// SHA-256 in lower-case hex.
pub fn sha256(bytes: &[u8]) -> String {
    hex(&Sha256::digest(bytes))
}

pub fn hex(bytes: &[u8]) -> String {
    bytes.iter().map(|byte| format!("{byte:02x}")).collect()
}

/// Whether it is the name of a photo: 64 hex digits in lower case.
pub fn is_sha256(text: &str) -> bool {
    text.len() == 64 && text.bytes().all(|c| c.is_ascii_digit() || (b'a'..=b'f').contains(&c))
}

/// Now, in milliseconds since 1970.
pub fn now_ms() -> i64 {
    SystemTime::now().duration_since(UNIX_EPOCH).map_or(0, |since| since.as_millis() as i64)
}
