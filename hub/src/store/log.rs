//! The log of updates: pulled, made shorter, looked after. How it grows is in [`super::together`].

use std::panic::{AssertUnwindSafe, catch_unwind};

use sqlx::any::AnyRow;
use sqlx::{Any, Row, Transaction};
use tailplate_core::record::join_updates;
use tailplate_core::sync::{BATCH_BYTES, COUNT_MAX, Id, Item, Mark, More, Outcome, Pull};

use super::together::Looked;
use super::{Result, Store, now_ms, random, sha256};

/// A record with more updates than this is made one again.
const UPDATES_MAX: i64 = 64;

/// All updates of one record.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Record {
    pub kind: String,
    pub record: Id,
    pub updates: Vec<Vec<u8>>,
}

/// An update that is no longer what was written.
#[derive(Debug, Clone, PartialEq, Eq, serde::Serialize)]
pub struct Damaged {
    pub seq: i64,
    pub kind: String,
    pub record: String,
    pub why: String,
}

impl Store {
    /// Begins a new era of the log: once at each start of the server.
    pub async fn begin_era(&self) -> Result<()> {
        let (_turn, mut transaction) = self.begin_write().await?;
        let last = take_turn(&mut transaction).await?;
        put_era(&mut transaction, last + 1).await?;
        Ok(transaction.commit().await?)
    }

    pub(super) async fn begin_era_at(&self, first: i64) -> Result<()> {
        let (_turn, mut transaction) = self.begin_write().await?;
        put_era(&mut transaction, first).await?;
        Ok(transaction.commit().await?)
    }

    /// The number of the newest update.
    pub async fn last(&self) -> Result<u64> {
        let row = sqlx::query("SELECT seq FROM hub WHERE one = 1").fetch_one(&self.pool).await?;
        Ok(row.try_get::<i64, _>(0)?.unsigned_abs())
    }

    /// What came after a place.
    pub async fn pull(&self, pull: &Pull) -> Result<Outcome<More>> {
        let mut transaction = self.pool.begin().await?;
        let row = sqlx::query("SELECT seq FROM hub WHERE one = 1").fetch_one(&mut *transaction).await?;
        let last: i64 = row.try_get(0)?;
        if !knows(&mut transaction, pull.seen, last).await? || pull.after > pull.seen.seq {
            return Ok(Outcome::StartOver);
        }
        let after = i64::try_from(pull.after).unwrap_or(i64::MAX);
        let limit = i64::from(pull.limit).clamp(1, COUNT_MAX as i64);
        // First the lengths: a page of long records would fill the memory.
        let sizes = sqlx::query(
            "SELECT seq, CAST(length(bytes) AS BIGINT) FROM updates WHERE seq > $1 AND seq <= $2 ORDER BY seq LIMIT $3",
        );
        let sizes = sizes.bind(after).bind(last).bind(limit).fetch_all(&mut *transaction).await?;
        let (mut until, mut bytes) = (after, 0);
        for row in &sizes {
            let (seq, size): (i64, i64) = (row.try_get(0)?, row.try_get(1)?);
            bytes += size;
            if until > after && bytes > BATCH_BYTES as i64 {
                break;
            }
            until = seq;
        }
        let rows =
            sqlx::query("SELECT kind, record, bytes, seq FROM updates WHERE seq > $1 AND seq <= $2 ORDER BY seq");
        let rows = rows.bind(after).bind(until).fetch_all(&mut *transaction).await?;
        let items = rows.iter().map(item).collect::<Result<Vec<_>>>()?;
        let is_all = sizes.len() < limit as usize && rows.len() == sizes.len();
        let next = if is_all { last } else { until };
        let seen = mark(&mut transaction, last).await?;
        transaction.commit().await?;
        Ok(Outcome::Done(More { items, next: next.unsigned_abs(), more: next < last, seen }))
    }

    /// Makes the updates of long records one again. Gives how many records that was.
    pub async fn compact(&self) -> Result<usize> {
        self.compact_over(UPDATES_MAX).await
    }

    /// As [`Store::compact`], of records with more updates than told.
    pub async fn compact_over(&self, most: i64) -> Result<usize> {
        let long = sqlx::query("SELECT kind, record FROM updates GROUP BY kind, record HAVING COUNT(*) > $1");
        let long = long.bind(most).fetch_all(&self.pool).await?;
        let mut count = 0;
        for row in long {
            count += usize::from(self.compact_one(row.try_get(0)?, row.try_get(1)?).await?);
        }
        Ok(count)
    }

    /// Puts all of a record at the end of the log, and drops what it is made of: both are one transaction, so no stop leaves
    /// half of it. At the end, though every phone fetches it once more: a phone that has read on from there knows a place
    /// that an older log, put back, does not have, and so notices. In the place of the newest update it would not, and a
    /// phone then half-way through a pull would miss for ever what stood before its place.
    async fn compact_one(&self, kind: String, record: String) -> Result<bool> {
        let rows = sqlx::query("SELECT seq, sha256, bytes FROM updates WHERE kind = $1 AND record = $2 ORDER BY seq");
        let rows = rows.bind(kind.clone()).bind(record.clone()).fetch_all(&self.pool).await?;
        let Some(newest) = rows.last() else { return Ok(false) };
        let newest: i64 = newest.try_get(0)?;
        let mut updates: Vec<Vec<u8>> = Vec::new();
        for row in &rows {
            let (bytes, hash): (Vec<u8>, String) = (row.try_get(2)?, row.try_get(1)?);
            if sha256(&bytes) != hash {
                tracing::error!(kind, record, "a damaged update is left as it is; `tailplate verify` names it");
                return Ok(false);
            }
            updates.push(bytes);
        }
        let joined = tokio::task::spawn_blocking(move || joined(&updates)).await;
        let Ok(Ok(bytes)) = joined else {
            tracing::warn!(kind, record, "this record can't be made shorter");
            return Ok(false);
        };
        let (_turn, mut transaction) = self.begin_write().await?;
        let last = take_turn(&mut transaction).await? + 1;
        let dropped = sqlx::query("DELETE FROM updates WHERE kind = $1 AND record = $2 AND seq <= $3");
        let dropped = dropped.bind(kind.clone()).bind(record.clone()).bind(newest).execute(&mut *transaction).await?;
        if dropped.rows_affected() != rows.len() as u64 {
            // Another hub was faster.
            transaction.rollback().await?;
            return Ok(false);
        }
        let put = sqlx::query(
            "INSERT INTO updates (seq, kind, record, sha256, device, at_ms, bytes) \
             VALUES ($1, $2, $3, $4, $5, $6, $7) ON CONFLICT (kind, record, sha256) DO NOTHING",
        );
        let put = put.bind(last).bind(kind).bind(record).bind(sha256(&bytes));
        put.bind("joined").bind(now_ms()).bind(bytes).execute(&mut *transaction).await?;
        sqlx::query("UPDATE hub SET seq = $1 WHERE one = 1").bind(last).execute(&mut *transaction).await?;
        transaction.commit().await?;
        Ok(true)
    }

    /// Kind and id of every record.
    pub async fn records(&self) -> Result<Vec<(String, String)>> {
        let rows = sqlx::query("SELECT DISTINCT kind, record FROM updates ORDER BY kind, record");
        let rows = rows.fetch_all(&self.pool).await?;
        rows.iter().map(|row| Ok((row.try_get(0)?, row.try_get(1)?))).collect()
    }

    /// The updates of one record, in their order.
    pub async fn updates(&self, kind: &str, record: &str) -> Result<Vec<Vec<u8>>> {
        let rows = sqlx::query("SELECT bytes FROM updates WHERE kind = $1 AND record = $2 ORDER BY seq");
        let rows = rows.bind(kind.to_owned()).bind(record.to_owned()).fetch_all(&self.pool).await?;
        rows.iter().map(|row| Ok(row.try_get(0)?)).collect()
    }

    /// Reads everything and names what is damaged; beside it how much was looked at.
    pub async fn damaged(&self) -> Result<(Vec<Damaged>, usize)> {
        let (mut damaged, mut count, mut after) = (Vec::new(), 0, 0i64);
        loop {
            let rows = sqlx::query(
                "SELECT seq, kind, record, sha256, bytes FROM updates WHERE seq > $1 ORDER BY seq LIMIT 100",
            );
            let rows = rows.bind(after).fetch_all(&self.pool).await?;
            let Some(last) = rows.last() else { return Ok((damaged, count)) };
            after = last.try_get(0)?;
            count += rows.len();
            for row in &rows {
                let (hash, bytes): (String, Vec<u8>) = (row.try_get(3)?, row.try_get(4)?);
                let why = if sha256(&bytes) != hash {
                    Some("Its bytes are not those that were written.".to_owned())
                } else {
                    fault(&bytes)
                };
                if let Some(why) = why {
                    let (kind, record) = (row.try_get(1)?, row.try_get(2)?);
                    damaged.push(Damaged { seq: row.try_get(0)?, kind, record, why });
                }
            }
        }
    }
}

/// Puts records into an empty log, and gives its last number.
pub async fn put_records(
    transaction: &mut Transaction<'_, Any>,
    records: impl Iterator<Item = Result<Record>> + Send,
) -> Result<i64> {
    let mut seq = 0i64;
    for record in records {
        let record = record?;
        for bytes in &record.updates {
            seq += 1;
            let put = sqlx::query(
                "INSERT INTO updates (seq, kind, record, sha256, device, at_ms, bytes) VALUES ($1, $2, $3, $4, $5, $6, $7)",
            );
            let put = put.bind(seq).bind(record.kind.clone()).bind(record.record.hex()).bind(sha256(bytes));
            put.bind("backup").bind(now_ms()).bind(bytes.clone()).execute(&mut **transaction).await?;
        }
    }
    Ok(seq)
}

/// Joins, also where foreign bytes make the library panic.
pub fn joined(updates: &[Vec<u8>]) -> std::result::Result<Vec<u8>, String> {
    let join = AssertUnwindSafe(|| join_updates(updates.iter().map(Vec::as_slice)));
    match catch_unwind(join) {
        Ok(joined) => joined.map_err(|error| error.to_string()),
        Err(_) => Err("This part of a record is damaged.".into()),
    }
}

/// An update, with its hash and what is wrong with it.
pub(super) fn look_at(item: Item) -> Looked {
    let (sha256, why) = (sha256(&item.bytes), fault(&item.bytes));
    Looked { kind: item.kind, record: item.record, bytes: item.bytes, sha256, why }
}

/// What is wrong with an update, taken by itself.
fn fault(bytes: &[u8]) -> Option<String> {
    joined(&[bytes.to_vec()]).err()
}

/// Waits until no other writes, and gives the number of the newest update. So the first statement of a writing transaction.
pub(super) async fn take_turn(transaction: &mut Transaction<'_, Any>) -> Result<i64> {
    let row = sqlx::query("UPDATE hub SET seq = seq WHERE one = 1 RETURNING seq").fetch_one(&mut **transaction).await?;
    Ok(row.try_get(0)?)
}

async fn put_era(transaction: &mut Transaction<'_, Any>, first: i64) -> Result<()> {
    let put = sqlx::query(
        "INSERT INTO eras (first_seq, era) VALUES ($1, $2) ON CONFLICT (first_seq) DO UPDATE SET era = excluded.era",
    );
    put.bind(first).bind(Id(random()?).hex()).execute(&mut **transaction).await?;
    Ok(())
}

/// Whether a place that a phone heard of lies in this log.
pub(super) async fn knows(transaction: &mut Transaction<'_, Any>, seen: Mark, last: i64) -> Result<bool> {
    let Ok(seq) = i64::try_from(seen.seq) else { return Ok(false) };
    Ok(seq <= last && mark(transaction, seq).await? == seen)
}

pub(super) async fn mark(transaction: &mut Transaction<'_, Any>, seq: i64) -> Result<Mark> {
    if seq == 0 {
        return Ok(Mark::default());
    }
    let era = sqlx::query("SELECT era FROM eras WHERE first_seq <= $1 ORDER BY first_seq DESC LIMIT 1");
    let era = era.bind(seq).fetch_optional(&mut **transaction).await?;
    let era = era.map(|row| row.try_get::<String, _>(0)).transpose()?;
    Ok(Mark { seq: seq.unsigned_abs(), era: era.as_deref().and_then(Id::of).unwrap_or_default() })
}

fn item(row: &AnyRow) -> Result<Item> {
    let record = row.try_get::<String, _>(1)?;
    Ok(Item { kind: row.try_get(0)?, record: Id::of(&record).unwrap_or_default(), bytes: row.try_get(2)? })
}
