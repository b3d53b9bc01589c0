//! When: evidence from marks, materials, mechanisms and the variants still possible, joined into a range of years.
