//! Made-up questions of full size, for measuring: forty washers of different thickness, twelve places.

use super::{Lot, Question, Washer};

/// What the question has that makes it hard or easy.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Sort {
    /// Thicknesses that share no step but the micrometre.
    Uneven,
    /// The same, and a worn stack from which as little as can be is to be changed.
    Worn,
    /// The same, and nearly every stack fits.
    WideWindow,
    /// Thicknesses by 0.05 mm.
    Stepped,
    /// No stack fits: the nearest heights are asked.
    NoneFits,
}

impl Sort {
    pub const ALL: [Self; 5] = [Self::Uneven, Self::Worn, Self::WideWindow, Self::Stepped, Self::NoneFits];

    pub fn words(self) -> &'static str {
        match self {
            Self::Uneven => "40 uneven thicknesses, 12 places, window 0.1 mm",
            Self::Worn => "the same, fewest changes from a worn stack",
            Self::WideWindow => "the same, window 2 mm",
            Self::Stepped => "40 thicknesses by 0.05 mm, 12 places, window 0.1 mm",
            Self::NoneFits => "40 uneven thicknesses, 12 places, none fits",
        }
    }
}

/// Twenty friction washers, and ten each of keyed and eared, six of each.
pub fn question(sort: Sort) -> Question {
    let lot = |at: u32| {
        let kind = [Washer::Friction, Washer::Keyed, Washer::Friction, Washer::Eared][at as usize % 4];
        let thickness_um = if sort == Sort::Stepped { 200 + 50 * (at / 2) } else { 217 + 41 * at + at * at % 7 };
        Lot { kind, thickness_um, count: 6 }
    };
    let places = (0..6).flat_map(|pair| [Washer::Friction, if pair % 2 == 0 { Washer::Keyed } else { Washer::Eared }]);
    let now_um = if sort == Sort::Worn { (0..12).map(|at| 450 + 13 * at).collect() } else { Vec::new() };
    let least_um = if sort == Sort::NoneFits { 60_000 } else { 7000 };
    let window_um = if sort == Sort::WideWindow { 2000 } else { 100 };
    Question {
        stock: (0..40).map(lot).collect(),
        places: places.collect(),
        now_um,
        least_um,
        most_um: least_um + window_um,
        gives_permille: 50,
        limit: 12,
    }
}
