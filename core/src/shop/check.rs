//! What every record must keep to.

use super::find::is_lower_hex;
use crate::error::{Error, Result};

/// Milliseconds since 1970 that JavaScript can count exactly.
const MS_MAX: i64 = 1 << 53;

pub fn id(what: &str, id: &str) -> Result<()> {
    if is_lower_hex(id, 32) {
        Ok(())
    } else {
        Err(Error::invalid(format!("The {what}'s id “{id}” is not 32 hex digits.")))
    }
}

pub fn times(what: &str, times: &[Option<i64>]) -> Result<()> {
    if times.iter().flatten().all(|ms| (0..=MS_MAX).contains(ms)) {
        Ok(())
    } else {
        Err(Error::invalid(format!("A time of the {what} is no time.")))
    }
}

pub fn photos(photos: &[super::PhotoRef]) -> Result<()> {
    match photos.iter().find(|photo| !is_lower_hex(&photo.sha256, 64)) {
        None => Ok(()),
        Some(photo) => Err(Error::invalid(format!("The photo's name “{}” is not 64 hex digits.", photo.sha256))),
    }
}
