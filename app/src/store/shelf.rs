//! How are rows kept? In blocks, read in a few goes and each written with the records it tells of.

use std::collections::BTreeMap;

use idb::Transaction;
use js_sys::{Object, Uint8Array};
use tailplate_core::shop::{Row, RowBlock};
use wasm_bindgen::JsValue;

use super::db::{Mode, SHELF, get, set};
use super::{Result, Store, bytes_in, next_of};

/// How many blocks of rows are read at once: the browser is let in between.
const BLOCKS_AT_ONCE: u32 = 16;

impl Store {
    /// Every row, in batches, so that the browser is let in between.
    pub async fn rows(&self, mut some: impl FnMut(Vec<Row>)) -> Result<()> {
        let mut after: Option<JsValue> = None;
        loop {
            let blocks = self
                .connection
                .run(&[SHELF], Mode::Read, async |transaction| {
                    next_of(transaction, SHELF, &after, BLOCKS_AT_ONCE).await
                })
                .await?;
            let Some(blocks) = blocks else { return Ok(()) };
            after = blocks.last().map(|last| get(last, "at"));
            for block in blocks {
                some(RowBlock::read(bytes_in(&block, "rows")).rows().collect());
            }
        }
    }

    /// One record's row.
    pub async fn row(&self, id: &str) -> Result<Option<Row>> {
        self.connection
            .run(&[SHELF], Mode::Read, async |transaction| Ok(block_at(transaction, RowBlock::of(id)).await?.row(id)))
            .await
    }
}

pub(super) async fn put_rows(transaction: &Transaction, rows: &[Row]) -> Result<()> {
    change_blocks(transaction, rows.iter().map(|row| (row.id.as_str(), row)), RowBlock::put).await
}

/// Changes blocks of rows, each read and written once. `changes`: a record's id and what `change` needs for it.
pub(super) async fn change_blocks<'a, T>(
    transaction: &Transaction,
    changes: impl Iterator<Item = (&'a str, T)>,
    change: impl Fn(&mut RowBlock, T),
) -> Result<()> {
    let mut of_block: BTreeMap<u32, Vec<T>> = BTreeMap::new();
    for (id, one) in changes {
        of_block.entry(RowBlock::of(id)).or_default().push(one);
    }
    for (at, some) in of_block {
        let mut block = block_at(transaction, at).await?;
        some.into_iter().for_each(|one| change(&mut block, one));
        put_block(transaction, at, &block).await?;
    }
    Ok(())
}

async fn block_at(transaction: &Transaction, at: u32) -> Result<RowBlock> {
    let stored = transaction.object_store(SHELF)?.get(JsValue::from(at))?.await?;
    Ok(stored.map(|stored| RowBlock::read(bytes_in(&stored, "rows"))).unwrap_or_default())
}

pub(super) async fn put_block(transaction: &Transaction, at: u32, block: &RowBlock) -> Result<()> {
    let stored = Object::new();
    set(&stored, "at", &JsValue::from(at));
    set(&stored, "rows", &Uint8Array::from(block.bytes()));
    transaction.object_store(SHELF)?.put(&stored, None)?.await?;
    Ok(())
}
