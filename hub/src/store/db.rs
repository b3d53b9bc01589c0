//! Reaching the database, and how it is laid out.

use std::sync::Once;
use std::time::Duration;

use percent_encoding::{AsciiSet, NON_ALPHANUMERIC, utf8_percent_encode};
use sqlx::any::AnyPoolOptions;
use sqlx::{Any, AnyPool, Connection, Executor, Row, Transaction};
use tailplate_core::sync::Id;

use super::{Places, Result, Trouble, private_folder};

/// The form of the tables. A newer one is left alone.
const FORM: i64 = 1;

/// What both databases understand; only the bytes of an update have a type of their own.
const TABLES: [&str; 6] = [
    "CREATE TABLE IF NOT EXISTS eras (first_seq BIGINT PRIMARY KEY, era TEXT NOT NULL)",
    "CREATE TABLE IF NOT EXISTS devices (id TEXT PRIMARY KEY, name TEXT NOT NULL, token_sha256 TEXT NOT NULL UNIQUE, \
     made_ms BIGINT NOT NULL, seen_ms BIGINT NOT NULL, revoked_ms BIGINT NOT NULL)",
    "CREATE TABLE IF NOT EXISTS codes (code_sha256 TEXT PRIMARY KEY, ends_ms BIGINT NOT NULL)",
    "CREATE TABLE IF NOT EXISTS tries (minute BIGINT PRIMARY KEY, wrong BIGINT NOT NULL)",
    // One row. Whoever writes takes it first, so that numbers appear in their order.
    "CREATE TABLE IF NOT EXISTS hub (one BIGINT PRIMARY KEY, form BIGINT NOT NULL, shop TEXT NOT NULL, \
     seq BIGINT NOT NULL)",
    // Last, the same update again is no second row.
    "CREATE UNIQUE INDEX IF NOT EXISTS updates_once ON updates (kind, record, sha256)",
];
const UPDATES_SQLITE: &str = "CREATE TABLE IF NOT EXISTS updates (seq BIGINT PRIMARY KEY, kind TEXT NOT NULL, \
     record TEXT NOT NULL, sha256 TEXT NOT NULL, device TEXT NOT NULL, at_ms BIGINT NOT NULL, bytes BLOB NOT NULL)";
const UPDATES_POSTGRES: &str = "CREATE TABLE IF NOT EXISTS updates (seq BIGINT PRIMARY KEY, kind TEXT NOT NULL, \
     record TEXT NOT NULL, sha256 TEXT NOT NULL, device TEXT NOT NULL, at_ms BIGINT NOT NULL, bytes BYTEA NOT NULL)";

pub async fn connect(places: &Places, make: bool) -> Result<AnyPool> {
    static DRIVERS: Once = Once::new();
    DRIVERS.call_once(sqlx::any::install_default_drivers);
    let (url, is_sqlite) = match &places.database {
        Some(url) if !url.starts_with("postgres://") && !url.starts_with("postgresql://") => {
            return Err(Trouble::Told("--database takes postgres://user@host/name; for SQLite leave it out.".into()));
        }
        Some(_) if cfg!(not(feature = "postgres")) => {
            return Err(Trouble::Told("This build has no PostgreSQL: build it with --features postgres.".into()));
        }
        Some(url) => (url.clone(), false),
        None => {
            let file = places.data.join("shop.db");
            if make {
                private_folder(&places.data)?;
            } else if !file.is_file() {
                return Err(Trouble::Told(format!("{} holds no shop yet.", places.data.display())));
            }
            const KEPT: AsciiSet = NON_ALPHANUMERIC.remove(b'/').remove(b'.').remove(b'-').remove(b'_');
            let path = std::path::absolute(&file)?;
            let path = path.to_str().ok_or_else(|| Trouble::Told("--data takes a path in plain text.".into()))?;
            (format!("sqlite://{}?mode=rwc", utf8_percent_encode(path, &KEPT)), true)
        }
    };
    let options = AnyPoolOptions::new().max_connections(if is_sqlite { 4 } else { 8 });
    let options = options.acquire_timeout(Duration::from_secs(20)).after_connect(move |connection, _| {
        Box::pin(async move {
            if is_sqlite {
                // FULL: what is acknowledged is on the disk, also when the power goes. Readers don't wait for the writer.
                connection.execute("PRAGMA busy_timeout = 15000").await?;
                connection.execute("PRAGMA journal_mode = WAL").await?;
                connection.execute("PRAGMA synchronous = FULL").await?;
                connection.execute("PRAGMA fullfsync = 1").await?;
            }
            Ok(())
        })
    });
    // On a full disk SQLite takes a transaction back by itself. The library then fails to take it back, goes on counting it
    // as open, and would begin the next one inside of it: acknowledged, and never kept. Such a connection is not used again.
    let options = options.after_release(move |connection, _| {
        Box::pin(async move {
            connection.ping().await?;
            Ok(!connection.is_in_transaction())
        })
    });
    let pool = options.connect(&url).await.map_err(|error| match error {
        // Its own words may hold the address, and with it a password.
        sqlx::Error::Configuration(_) => Trouble::Told("--database can't be read as an address.".into()),
        other => other.into(),
    })?;
    lay_out(&pool, is_sqlite).await?;
    Ok(pool)
}

async fn lay_out(pool: &AnyPool, is_sqlite: bool) -> Result<()> {
    let mut transaction = pool.begin().await?;
    if !is_sqlite {
        // Two hubs that start at once would both make the tables; this number means nothing else here.
        transaction.execute("SELECT CAST(pg_advisory_xact_lock(7420) AS TEXT)").await?;
    }
    transaction.execute(if is_sqlite { UPDATES_SQLITE } else { UPDATES_POSTGRES }).await?;
    for statement in TABLES {
        transaction.execute(statement).await?;
    }
    transaction.commit().await?;
    Ok(())
}

/// The shop that is kept here, if there is one.
pub async fn shop(pool: &AnyPool) -> Result<Option<Id>> {
    let Some(row) = sqlx::query("SELECT form, shop FROM hub WHERE one = 1").fetch_optional(pool).await? else {
        return Ok(None);
    };
    if row.try_get::<i64, _>(0)? > FORM {
        return Err(Trouble::Told("This shop was kept by a newer Tailplate; update this one to open it.".into()));
    }
    let shop = Id::of(&row.try_get::<String, _>(1)?);
    shop.ok_or_else(|| Trouble::Told("The shop's own number is damaged.".into())).map(Some)
}

/// Founds a shop, unless another process was faster; gives the one that is there.
pub async fn found(pool: &AnyPool, shop: [u8; 16]) -> Result<Id> {
    sqlx::query("INSERT INTO hub (one, form, shop, seq) VALUES (1, $1, $2, 0) ON CONFLICT (one) DO NOTHING")
        .bind(FORM)
        .bind(Id(shop).hex())
        .execute(pool)
        .await?;
    self::shop(pool).await?.ok_or_else(|| Trouble::Told("The shop can't be founded.".into()))
}

pub async fn put_shop(transaction: &mut Transaction<'_, Any>, shop: Id, seq: i64) -> Result<()> {
    sqlx::query("INSERT INTO hub (one, form, shop, seq) VALUES (1, $1, $2, $3)")
        .bind(FORM)
        .bind(shop.hex())
        .bind(seq)
        .execute(&mut **transaction)
        .await?;
    Ok(())
}
