//! Faults of a pack, each with pack, entry and field.

use std::fmt;

use serde::Serialize;

use super::Reference;

/// One fault of a pack.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Fault {
    pub pack: String,
    /// Path of ids, such as `models/kestrel-40/early`.
    pub entry: String,
    pub field: String,
    pub trouble: String,
}

impl fmt::Display for Fault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "Pack {}, {}, field {}: {}.", self.pack, self.entry, self.field, self.trouble)
    }
}

/// Every fault of one pack, read beside the packs it leans on.
pub fn check(_beside: &Reference, _name: &str, _text: &str) -> Vec<Fault> {
    todo!()
}

pub(crate) fn check_reference(_reference: &Reference) -> Vec<Fault> {
    Vec::new()
}
