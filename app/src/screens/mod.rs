//! One file a screen.

pub mod compare;
pub mod find;
pub mod finds;
pub mod identify;
pub mod model;
pub mod more;
pub mod own_model;
pub mod settings;
pub mod stall;
