//! Reading worn letters: what was struck, given what can be read.
