//! The next tag of this device.

use tailplate_core::tag;

use super::the_store;
use crate::store;

/// Gives out a code that no other device has: four of its signs are this device's own, drawn once.
///
/// # Errors
/// A sentence if the store can't be written.
pub async fn next() -> Result<String, String> {
    let store = the_store().await?;
    let drawn = store::random_number().map_err(|e| e.to_string())? % u64::from(tag::BLOCKS);
    let next = store.change_meta("tags", |last| {
        let (block, number) = last.as_deref().and_then(read).unwrap_or((drawn as u32, tag::NUMBERS));
        // A block that is used up is followed by another; so is one that is not there yet.
        let (block, number) = if number + 1 >= tag::NUMBERS { (drawn as u32, 0) } else { (block, number + 1) };
        Some(format!("{block} {number}"))
    });
    let next = next.await.map_err(|e| e.to_string())?;
    let (block, number) = next.as_deref().and_then(read).ok_or("No tag could be given out.")?;
    tag::code(block, number).map_err(|e| e.to_string())
}

fn read(kept: &str) -> Option<(u32, u32)> {
    let (block, number) = kept.split_once(' ')?;
    Some((block.parse().ok()?, number.parse().ok()?))
}
