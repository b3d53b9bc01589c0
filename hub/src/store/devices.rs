//! Who may come in: devices, and the codes that let a new one in once.
//!
//! Neither a token nor a code is kept, only its SHA-256: whoever reads the database can't come in with what it holds.

use serde::{Deserialize, Serialize};
use sqlx::any::AnyRow;
use sqlx::{Any, Row, Transaction};

use super::{Result, Store, Trouble, hex, now_ms, random, sha256};

/// Letters and figures that nobody takes for one another.
const ALPHABET: &[u8; 30] = b"23456789ABCDEFGHJKMNPQRSTVWXYZ";
const CODE_CHARS: usize = 8;
/// How long a code lets a device in.
const CODE_MS: i64 = 10 * 60_000;
/// After so many wrong codes within ten minutes none is looked at any more, from whomever it comes.
const WRONG_MAX: i64 = 20;
/// When a device was last here is written down no more often than this.
const SEEN_EVERY_MS: i64 = 10 * 60_000;
/// A device's name, in characters.
pub const NAME_CHARS_MAX: usize = 60;

/// A paired device.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Device {
    pub id: String,
    pub name: String,
    pub made_ms: i64,
    /// When it last called, to ten minutes.
    pub seen_ms: i64,
    /// When it was shut out; 0 if it is not.
    pub revoked_ms: i64,
    /// Not told to anybody but a backup.
    #[serde(skip)]
    pub token_sha256: String,
}

/// What came of a code.
#[derive(Debug, PartialEq, Eq)]
pub enum Entry {
    /// The device is in; this token is told once and never again.
    In {
        device: String,
        token: String,
    },
    /// Used, too old, or never given out.
    Wrong,
    TooManyTries,
}

impl Store {
    /// A new code, and when it ends.
    pub async fn new_code(&self) -> Result<(String, i64)> {
        let mut code = String::new();
        while code.len() < CODE_CHARS {
            // 240 is eight times the alphabet: what lies above is thrown away, so that each letter is as likely.
            let bits = random::<16>()?;
            let letters = bits.iter().filter(|byte| **byte < 240).map(|byte| ALPHABET[usize::from(*byte) % 30] as char);
            code.extend(letters.take(CODE_CHARS - code.len()));
        }
        let now = now_ms();
        sqlx::query("DELETE FROM codes WHERE ends_ms <= $1").bind(now).execute(&self.pool).await?;
        let put = sqlx::query("INSERT INTO codes (code_sha256, ends_ms) VALUES ($1, $2)");
        put.bind(sha256(code.as_bytes())).bind(now + CODE_MS).execute(&self.pool).await?;
        Ok((code, now + CODE_MS))
    }

    /// Lets a device in against a code, which is then used up.
    pub async fn pair(&self, code: &str, name: &str) -> Result<Entry> {
        self.pair_at(code, name, now_ms()).await
    }

    /// As [`Store::pair`], at a time told.
    pub async fn pair_at(&self, code: &str, name: &str, now_ms: i64) -> Result<Entry> {
        let minute = now_ms / 60_000;
        let (_turn, mut transaction) = self.begin_write().await?;
        // Writes first, so that no two at once get past the count or use one code.
        let tries = sqlx::query(
            "INSERT INTO tries (minute, wrong) VALUES ($1, 1) \
             ON CONFLICT (minute) DO UPDATE SET wrong = tries.wrong + 1",
        );
        tries.bind(minute).execute(&mut *transaction).await?;
        let wrong = sqlx::query("SELECT CAST(SUM(wrong) AS BIGINT) FROM tries WHERE minute > $1 AND minute <= $2");
        let wrong = wrong.bind(minute - 10).bind(minute).fetch_one(&mut *transaction).await?;
        if wrong.try_get::<i64, _>(0)? > WRONG_MAX {
            return Ok(Entry::TooManyTries);
        }
        let used = sqlx::query("DELETE FROM codes WHERE code_sha256 = $1 AND ends_ms > $2");
        let used = used.bind(sha256(normal_code(code).as_bytes())).bind(now_ms).execute(&mut *transaction).await?;
        if used.rows_affected() != 1 {
            sqlx::query("DELETE FROM tries WHERE minute <= $1").bind(minute - 10).execute(&mut *transaction).await?;
            transaction.commit().await?;
            return Ok(Entry::Wrong);
        }
        sqlx::query("UPDATE tries SET wrong = wrong - 1 WHERE minute = $1")
            .bind(minute)
            .execute(&mut *transaction)
            .await?;
        let token = hex(&random::<32>()?);
        let device = Device {
            id: hex(&random::<8>()?),
            name: name.to_owned(),
            made_ms: now_ms,
            seen_ms: now_ms,
            revoked_ms: 0,
            token_sha256: sha256(token.as_bytes()),
        };
        put(&mut transaction, std::slice::from_ref(&device)).await?;
        transaction.commit().await?;
        Ok(Entry::In { device: device.id, token })
    }

    /// Whose token it is; also of one shut out.
    pub async fn device_of(&self, token: &str) -> Result<Option<Device>> {
        let row = sqlx::query(
            "SELECT id, name, made_ms, seen_ms, revoked_ms, token_sha256 FROM devices WHERE token_sha256 = $1",
        );
        let row = row.bind(sha256(token.as_bytes())).fetch_optional(&self.pool).await?;
        let Some(device) = row.as_ref().map(device).transpose()? else { return Ok(None) };
        let now = now_ms();
        if device.revoked_ms == 0 && now - device.seen_ms > SEEN_EVERY_MS {
            let seen = sqlx::query("UPDATE devices SET seen_ms = $1 WHERE id = $2");
            seen.bind(now).bind(device.id.clone()).execute(&self.pool).await?;
        }
        Ok(Some(device))
    }

    /// All devices, the newest first.
    pub async fn devices(&self) -> Result<Vec<Device>> {
        let rows = sqlx::query(
            "SELECT id, name, made_ms, seen_ms, revoked_ms, token_sha256 FROM devices ORDER BY made_ms DESC, id",
        );
        rows.fetch_all(&self.pool).await?.iter().map(device).collect()
    }

    /// Names a device; whether there is such a one.
    pub async fn name_device(&self, id: &str, name: &str) -> Result<bool> {
        let put = sqlx::query("UPDATE devices SET name = $1 WHERE id = $2").bind(name.to_owned()).bind(id.to_owned());
        Ok(put.execute(&self.pool).await?.rows_affected() == 1)
    }

    /// Shuts a device out for good; whether there is such a one.
    pub async fn revoke(&self, id: &str) -> Result<bool> {
        let put = sqlx::query("UPDATE devices SET revoked_ms = $1 WHERE id = $2 AND revoked_ms = 0");
        let put = put.bind(now_ms()).bind(id.to_owned()).execute(&self.pool).await?;
        let there = sqlx::query("SELECT id FROM devices WHERE id = $1").bind(id.to_owned());
        Ok(put.rows_affected() == 1 || there.fetch_optional(&self.pool).await?.is_some())
    }
}

pub async fn put(transaction: &mut Transaction<'_, Any>, devices: &[Device]) -> Result<()> {
    for device in devices {
        let put = sqlx::query(
            "INSERT INTO devices (id, name, token_sha256, made_ms, seen_ms, revoked_ms) VALUES ($1, $2, $3, $4, $5, $6)",
        );
        let put = put.bind(device.id.clone()).bind(device.name.clone()).bind(device.token_sha256.clone());
        let put = put.bind(device.made_ms).bind(device.seen_ms).bind(device.revoked_ms);
        put.execute(&mut **transaction).await?;
    }
    Ok(())
}

/// A code as it was given out, however it was typed.
pub fn normal_code(code: &str) -> String {
    code.chars().filter(|c| !c.is_whitespace() && *c != '-').map(|c| c.to_ascii_uppercase()).collect()
}

fn device(row: &AnyRow) -> Result<Device> {
    let read = || -> std::result::Result<Device, sqlx::Error> {
        Ok(Device {
            id: row.try_get(0)?,
            name: row.try_get(1)?,
            made_ms: row.try_get(2)?,
            seen_ms: row.try_get(3)?,
            revoked_ms: row.try_get(4)?,
            token_sha256: row.try_get(5)?,
        })
    };
    read().map_err(Trouble::Database)
}
