//! Under way.
pub fn judge() {}
