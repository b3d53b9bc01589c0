//! What a figure measures, in which units it is written, and how one becomes the other.

use serde::Serialize;

use crate::amount::parse_amount;
use crate::error::{Error, Result};

/// What a figure measures. All reckoning is done in the first unit of its kind; see [`Kind::units`].
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Kind {
    Number,
    Percent,
    Length,
    LineLength,
    Force,
    Torque,
    FineTorque,
    ViscousDrag,
    Mass,
    Angle,
    Time,
    Speed,
    Stress,
    Rate,
    TwistRate,
    Inertia,
    Pitch,
    Module,
    Pixels,
    Scale,
}

/// A unit: `first = value × factor`, or `factor ÷ value` for one that counts the other way (threads per inch).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Unit {
    pub symbol: &'static str,
    /// Other ways to write it, parted by spaces; small letters, no dots.
    pub also: &'static str,
    pub factor: f64,
    pub reciprocal: bool,
}

const fn unit(symbol: &'static str, also: &'static str, factor: f64) -> Unit {
    Unit { symbol, also, factor, reciprocal: false }
}

const fn per(symbol: &'static str, also: &'static str, factor: f64) -> Unit {
    Unit { symbol, also, factor, reciprocal: true }
}

/// Pound-force in newton: the pound times standard gravity, exact.
const LBF_N: f64 = 4.4482216152605;

impl Kind {
    /// The metric unit first, then the one shown beside it if there is one, then what else may be written.
    pub const fn units(self) -> &'static [Unit] {
        match self {
            Self::Number => const { &[unit("", "", 1.0)] },
            Self::Percent => const { &[unit("%", "percent", 1.0)] },
            Self::Length => {
                const {
                    &[
                        unit("mm", "", 1.0),
                        unit("in", "inch inches \" ″", 25.4),
                        unit("thou", "mil", 0.0254),
                        unit("cm", "", 10.0),
                        unit("µm", "um", 0.001),
                    ]
                }
            }
            Self::LineLength => {
                const { &[unit("m", "", 1.0), unit("yd", "yard yards", 0.9144), unit("ft", "feet", 0.3048)] }
            }
            Self::Force => {
                const {
                    &[
                        unit("N", "", 1.0),
                        unit("lbf", "lb lbs pound pounds", LBF_N),
                        unit("kgf", "kg", 9.80665),
                        unit("ozf", "oz", LBF_N / 16.0),
                        unit("gf", "g", 0.00980665),
                    ]
                }
            }
            Self::Torque => {
                const {
                    &[
                        unit("N·m", "", 1.0),
                        unit("in·lbf", "inlb lbin", LBF_N * 0.0254),
                        unit("in·ozf", "inoz ozin", LBF_N * 0.0254 / 16.0),
                    ]
                }
            }
            Self::FineTorque => {
                const { &[unit("µN·m", "unm", 1.0), unit("in·ozf", "inoz ozin", LBF_N * 25_400.0 / 16.0)] }
            }
            Self::ViscousDrag => const { &[unit("nN·m·s", "nnms", 1.0)] },
            Self::Mass => {
                const {
                    &[
                        unit("g", "", 1.0),
                        unit("oz", "", 28.349523125),
                        unit("kg", "", 1000.0),
                        unit("lb", "lbs", 453.59237),
                    ]
                }
            }
            Self::Angle => const { &[unit("°", "deg degree degrees", 1.0)] },
            Self::Time => const { &[unit("s", "sec seconds", 1.0)] },
            Self::Speed => const { &[unit("rpm", "", 1.0), unit("rad/s", "", 30.0 / std::f64::consts::PI)] },
            Self::Stress => const { &[unit("MPa", "n/mm2 n/mm²", 1.0), unit("psi", "", LBF_N / 645.16)] },
            Self::Rate => const { &[unit("N/mm", "", 1.0), unit("lbf/in", "lb/in", LBF_N / 25.4)] },
            Self::TwistRate => const { &[unit("N·mm/rad", "", 1.0), unit("in·lbf/rad", "", LBF_N * 25.4)] },
            Self::Inertia => const { &[unit("g·cm²", "gcm2", 1.0), unit("oz·in²", "ozin2", 28.349523125 * 6.4516)] },
            Self::Pitch => const { &[unit("mm", "", 1.0), per("tpi", "", 25.4), unit("in", "inch \"", 25.4)] },
            Self::Module => const { &[unit("mm", "m", 1.0), per("per inch", "dp perinch 1/in", 25.4)] },
            Self::Pixels => const { &[unit("px", "pixel pixels", 1.0)] },
            Self::Scale => const { &[unit("px/mm", "", 1.0), unit("px/in", "", 1.0 / 25.4)] },
        }
    }

    /// The unit of the other system, shown beside the first.
    pub fn other(self) -> Option<Unit> {
        match self {
            Self::Number | Self::Percent | Self::ViscousDrag | Self::Angle | Self::Time | Self::Pixels => None,
            _ => self.units().get(1).copied(),
        }
    }

    /// The unit that is written so. Case, dots and spaces don't count.
    pub fn unit_written(self, text: &str) -> Option<Unit> {
        let plain = |text: &str| -> String {
            text.chars().filter(|c| !matches!(c, '·' | '.' | ' ')).flat_map(char::to_lowercase).collect()
        };
        let wanted = plain(text);
        self.units()
            .iter()
            .copied()
            .find(|unit| plain(unit.symbol) == wanted || unit.also.split(' ').any(|a| a == wanted))
    }
}

impl Unit {
    /// A value in this unit, in the first unit of its kind.
    pub fn to_first(self, value: f64) -> f64 {
        if self.reciprocal { self.factor / value } else { value * self.factor }
    }
    /// The way back.
    pub fn from_first(self, value: f64) -> f64 {
        if self.reciprocal { self.factor / value } else { value / self.factor }
    }
    /// How much a small ± about a value (both in the first unit) is in this one.
    pub fn spread_from_first(self, value: f64, plus_minus: f64) -> f64 {
        if self.reciprocal { (self.factor / (value * value) * plus_minus).abs() } else { plus_minus / self.factor }
    }
    /// How much a ± in this unit about a value in this unit is in the first.
    pub fn spread_to_first(self, value: f64, plus_minus: f64) -> f64 {
        if self.reciprocal { (self.factor / (value * value) * plus_minus).abs() } else { plus_minus * self.factor }
    }
}

/// A value with its ±, in the first unit of its kind.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Quantity {
    pub value: f64,
    pub plus_minus: Option<f64>,
}

/// Reads `9.5`, `3/8 in`, `40 tpi`, `9.5 ± 0.05 mm`. A bare number is in `usual`.
///
/// # Errors
/// A sentence that shows what can be written.
pub fn quantity(text: &str, kind: Kind, usual: Unit) -> Result<Quantity> {
    let (value, spread) = match text.split_once('±').or_else(|| text.split_once("+/-")) {
        Some((value, spread)) => (value, Some(spread)),
        None => (text, None),
    };
    let (number, own) = number_and_unit(value, kind)?;
    let tail = spread.map(|spread| number_and_unit(spread, kind)).transpose()?;
    // One unit behind the ± stands for both.
    let unit = own.or(tail.and_then(|(_, unit)| unit)).unwrap_or(usual);
    if unit.reciprocal && number == 0.0 {
        return Err(Error::invalid(format!("“{}” can't be 0.", text.trim())));
    }
    let plus_minus = tail.map(|(spread, tail)| match tail {
        Some(tail) if tail != unit => tail.to_first(spread),
        _ => unit.spread_to_first(number, spread),
    });
    Ok(Quantity { value: unit.to_first(number), plus_minus })
}

fn number_and_unit(text: &str, kind: Kind) -> Result<(f64, Option<Unit>)> {
    let text = text.trim();
    let at = text.find(|c: char| !(c.is_numeric() || c.is_whitespace() || ".,/-".contains(c))).unwrap_or(text.len());
    let (number, written) = text.split_at(at);
    let number = number.trim();
    let value = if is_nought(number) { 0.0 } else { parse_amount(number)? };
    if written.trim().is_empty() {
        return Ok((value, None));
    }
    match kind.unit_written(written) {
        Some(unit) => Ok((value, Some(unit))),
        None => {
            let known: Vec<&str> = kind.units().iter().map(|unit| unit.symbol).filter(|s| !s.is_empty()).collect();
            let known = if known.is_empty() { "no unit".to_owned() } else { known.join(", ") };
            Err(Error::invalid(format!("“{}” is no unit that fits here: write {known}.", written.trim())))
        }
    }
}

fn is_nought(text: &str) -> bool {
    text.contains('0') && text.chars().all(|c| matches!(c, '0' | '.' | ','))
}

/// A figure as one writes it: as many places as its ± bears, or four significant figures where it has none.
pub fn written(value: f64, plus_minus: f64) -> String {
    if !value.is_finite() {
        return "–".into();
    }
    let places = if plus_minus > 0.0 && plus_minus.is_finite() {
        // One figure of the ±, two where it begins with 1 or 2.
        let power = plus_minus.log10().floor();
        let lead = plus_minus / 10f64.powf(power);
        if lead < 2.95 { 1.0 - power } else { -power }
    } else if value == value.round() && value.abs() < 1e6 {
        0.0
    } else {
        3.0 - value.abs().log10().floor()
    };
    let text = format!("{value:.*}", places.clamp(0.0, 9.0) as usize);
    // A difference that rounds to nothing has no sign.
    match text.strip_prefix('-') {
        Some(digits) if !digits.contains(|c: char| c.is_ascii_digit() && c != '0') => digits.to_owned(),
        _ => text,
    }
}

/// `12.3 ± 0.4 mm`.
pub fn with_spread(value: f64, plus_minus: f64, symbol: &str) -> String {
    let mut out = written(value, plus_minus);
    if plus_minus > 0.0 && plus_minus.is_finite() {
        out.push_str(" ± ");
        out.push_str(&written(plus_minus, plus_minus));
    }
    if !symbol.is_empty() {
        out.push(' ');
        out.push_str(symbol);
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    const ALL: [Kind; 20] = [
        Kind::Number,
        Kind::Percent,
        Kind::Length,
        Kind::LineLength,
        Kind::Force,
        Kind::Torque,
        Kind::FineTorque,
        Kind::ViscousDrag,
        Kind::Mass,
        Kind::Angle,
        Kind::Time,
        Kind::Speed,
        Kind::Stress,
        Kind::Rate,
        Kind::TwistRate,
        Kind::Inertia,
        Kind::Pitch,
        Kind::Module,
        Kind::Pixels,
        Kind::Scale,
    ];

    fn read(text: &str, kind: Kind) -> (f64, Option<f64>) {
        let read = quantity(text, kind, kind.units()[0]).unwrap();
        (read.value, read.plus_minus)
    }

    #[test]
    fn quantities_as_people_write_them() {
        for (text, kind, value, spread) in [
            ("3/8 in", Kind::Length, 9.525, None),
            ("3/8\"", Kind::Length, 9.525, None),
            ("1 1/2 inches", Kind::Length, 38.1, None),
            ("9,5", Kind::Length, 9.5, None),
            ("40 TPI", Kind::Pitch, 0.635, None),
            ("30lb", Kind::Force, 133.446648457815, None),
            ("9.5 ± 0.05 mm", Kind::Length, 9.5, Some(0.05)),
            ("0.375 in +/- 0.002", Kind::Length, 9.525, Some(0.0508)),
            ("0.375 in ± 2 thou", Kind::Length, 9.525, Some(0.0508)),
            ("0", Kind::Angle, 0.0, None),
            ("12 in.lbf", Kind::Torque, 1.3558179483314, None),
        ] {
            let (v, s) = read(text, kind);
            assert!((v - value).abs() < 1e-9, "{text}: {v}");
            assert_eq!(s.map(|s| (s * 1e9).round()), spread.map(|s| (s * 1e9f64).round()), "{text}");
        }
        let (pitch, spread) = read("40 ± 1 tpi", Kind::Pitch);
        assert!((pitch - 0.635).abs() < 1e-12 && (spread.unwrap() - 0.635 / 40.0).abs() < 1e-12);
    }

    #[test]
    fn what_is_no_quantity_is_said() {
        let error = |text: &str, kind: Kind| quantity(text, kind, kind.units()[0]).unwrap_err().to_string();
        insta::assert_snapshot!(error("3 parsec", Kind::Length), @"“parsec” is no unit that fits here: write mm, in, thou, cm, µm.");
        insta::assert_snapshot!(error("wide", Kind::Length), @"“” is no size: write it like 63.5, 2 1/2 or 2½.");
        insta::assert_snapshot!(error("0 tpi", Kind::Pitch), @"“0 tpi” can't be 0.");
        insta::assert_snapshot!(error("4 mm", Kind::Number), @"“mm” is no unit that fits here: write no unit.");
    }

    #[test]
    fn figures_are_written_as_their_error_bears() {
        for (value, spread, text) in [
            (12.345, 0.04, "12.35 ± 0.04"),
            (12.345, 0.13, "12.35 ± 0.13"),
            (1234.5, 60.0, "1234 ± 60"),
            (0.000123, 0.0, "0.0001230"),
            (4.0, 0.0, "4"),
            (34.94318, 0.0, "34.94"),
            (-0.001, 0.03, "0.00 ± 0.03"),
            (-0.04, 0.03, "-0.04 ± 0.03"),
        ] {
            assert_eq!(with_spread(value, spread, ""), text);
        }
    }

    proptest! {
        #[test]
        fn every_unit_has_its_way_back(value in 1e-3..1e6f64, spread in 1e-6..1e-3f64) {
            for kind in ALL {
                for unit in kind.units() {
                    let there = unit.to_first(value);
                    prop_assert!((unit.from_first(there) / value - 1.0).abs() < 1e-12);
                    let small = unit.spread_to_first(value, value * spread);
                    prop_assert!((unit.spread_from_first(there, small) / (value * spread) - 1.0).abs() < 1e-9);
                }
            }
        }

        #[test]
        fn what_is_written_in_any_unit_is_read_back(thousandths in 1u32..9_000_000) {
            let value = f64::from(thousandths) / 1000.0;
            for kind in ALL {
                for unit in kind.units() {
                    let read = quantity(&format!("{value} {}", unit.symbol), kind, kind.units()[0]).unwrap();
                    prop_assert!((read.value / unit.to_first(value) - 1.0).abs() < 1e-12, "{kind:?} {}", unit.symbol);
                }
            }
        }
    }
}
