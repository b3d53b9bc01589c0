//! Pushes that wait for one another become one transaction: the disk is waited for once, however many phones come home
//! at a time.

use std::sync::Arc;
use std::sync::Mutex as Plain;

use sqlx::{Any, Transaction};
use tailplate_core::sync::{Id, Item, Mark, Outcome, Refused, Taken};
use tokio::sync::oneshot;

use super::log::{knows, look_at, mark, take_turn};
use super::{Result, Store, TURN_PATIENCE, Trouble, now_ms};

/// An update that was looked at.
pub(super) struct Looked {
    pub kind: String,
    pub record: Id,
    pub bytes: Vec<u8>,
    pub sha256: String,
    /// Why it is not taken.
    pub why: Option<String>,
}

/// A push that waits, and who waits for it.
pub(super) struct Waiting {
    device: String,
    seen: Mark,
    items: Vec<Looked>,
    done: oneshot::Sender<Result<Outcome<Taken>>>,
}

pub(super) type Queue = Arc<Plain<Vec<Waiting>>>;

impl Store {
    /// Keeps updates. When this returns they are on the disk; those that were there already make no difference.
    pub async fn push(&self, device: &str, seen: Mark, items: Vec<Item>) -> Result<Outcome<Taken>> {
        // Decoding takes time, and foreign bytes may even make it panic: neither belongs into the transaction.
        let looked_at = tokio::task::spawn_blocking(|| items.into_iter().map(look_at).collect());
        let items = looked_at.await.map_err(|error| Trouble::Told(error.to_string()))?;
        let (done, mut answer) = oneshot::channel();
        let push = Waiting { device: device.to_owned(), seen, items, done };
        self.waiting.lock().unwrap_or_else(std::sync::PoisonError::into_inner).push(push);
        let turn = tokio::time::timeout(TURN_PATIENCE, self.turn.clone().lock_owned());
        tokio::select! {
            biased;
            // Whoever had the turn took this one along.
            answered = &mut answer => return answered.unwrap_or_else(|_| Err(busy())),
            turn = turn => {
                let turn = turn.map_err(|_| busy())?;
                let store = self.clone();
                // Apart, so that a phone that hangs up does not break off what others wait for.
                tokio::spawn(async move {
                    store.write_waiting().await;
                    drop(turn);
                });
            }
        }
        answer.await.unwrap_or_else(|_| Err(busy()))
    }

    /// Writes every push that waits. Only who has the turn calls it. Nothing in one can spoil it for the others: what they
    /// hold was looked at, and a trouble is the database's.
    async fn write_waiting(&self) {
        let all = std::mem::take(&mut *self.waiting.lock().unwrap_or_else(std::sync::PoisonError::into_inner));
        let mut outcomes = self.write(&all).await.map_err(Arc::new);
        for push in all.into_iter().rev() {
            let outcome = match &mut outcomes {
                Ok(outcomes) => outcomes.pop().ok_or_else(busy),
                Err(trouble) => Err(Trouble::OfAll(trouble.clone())),
            };
            // Nobody there any more: then nobody was promised anything.
            let _ = push.done.send(outcome);
        }
    }

    async fn write(&self, all: &[Waiting]) -> Result<Vec<Outcome<Taken>>> {
        let mut transaction = self.pool.begin().await?;
        let before = take_turn(&mut transaction).await?;
        let (mut last, now) = (before, now_ms());
        let mut refused = Vec::new();
        for push in all {
            refused.push(put(&mut transaction, push, before, &mut last, now).await?);
        }
        if last > before {
            sqlx::query("UPDATE hub SET seq = $1 WHERE one = 1").bind(last).execute(&mut *transaction).await?;
        }
        let seen = mark(&mut transaction, last).await?;
        transaction.commit().await?;
        let outcome = |refused: Option<Vec<Refused>>| match refused {
            Some(refused) => Outcome::Done(Taken { seen, refused }),
            None => Outcome::StartOver,
        };
        Ok(refused.into_iter().map(outcome).collect())
    }
}

/// Puts one push into the log and gives what of it was refused; none if the phone knows another log.
async fn put(
    transaction: &mut Transaction<'_, Any>,
    push: &Waiting,
    before: i64,
    last: &mut i64,
    now_ms: i64,
) -> Result<Option<Vec<Refused>>> {
    if !knows(transaction, push.seen, before).await? {
        return Ok(None);
    }
    let mut refused = Vec::new();
    for (at, item) in push.items.iter().enumerate() {
        if let Some(why) = item.why.clone() {
            refused.push(Refused { at: at as u32, why });
            continue;
        }
        let put = sqlx::query(
            "INSERT INTO updates (seq, kind, record, sha256, device, at_ms, bytes) \
             VALUES ($1, $2, $3, $4, $5, $6, $7) ON CONFLICT (kind, record, sha256) DO NOTHING",
        );
        let put = put.bind(*last + 1).bind(item.kind.clone()).bind(item.record.hex()).bind(item.sha256.clone());
        let put = put.bind(push.device.clone()).bind(now_ms).bind(item.bytes.clone());
        let put = put.execute(&mut **transaction).await?;
        *last += i64::try_from(put.rows_affected()).unwrap_or(0);
    }
    Ok(Some(refused))
}

fn busy() -> Trouble {
    Trouble::Told("The database was busy for too long.".into())
}
