//! Drawings made from observations alone, as SVG text.
