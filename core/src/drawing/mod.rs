//! Drawings made from observations alone, as SVG text.
//!
//! Every drawing is a bare `<svg>` with a viewBox and the classes `t-line`, `t-fill`, `t-metal`, `t-dark`, `t-mark` and
//! `t-soft` (not known: dashed and pale); the page that shows it sets colours. No id, no style, no link, no script.

mod kinds;
mod marks_at;
mod pen;

pub use kinds::kind_picture;
pub use marks_at::mark_map;

#[cfg(test)]
mod tests;
