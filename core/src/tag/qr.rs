//! The tag's code as a QR symbol (ISO/IEC 18004).

use std::fmt::Write;

use qrcode::types::Color;
use qrcode::{EcLevel, QrCode, Version};

use crate::error::{Error, Result};

/// A symbol: its dark modules.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Qr {
    /// Modules along one side, without the quiet zone.
    pub side: usize,
    dark: Vec<bool>,
}

/// The symbol of a text. A tag's eight characters take the smallest there is (21 modules) with the strongest mending: a
/// third of it may be grease.
///
/// # Errors
/// The text is too long for a symbol.
pub fn qr(text: &str) -> Result<Qr> {
    let smallest = QrCode::with_version(text, Version::Normal(1), EcLevel::H);
    let code = smallest
        .or_else(|_| QrCode::with_error_correction_level(text, EcLevel::M))
        .map_err(|error| Error::invalid(format!("This is too long for a QR symbol: {error}.")))?;
    let dark = code.to_colors().into_iter().map(|color| color == Color::Dark).collect();
    Ok(Qr { side: code.width(), dark })
}

impl Qr {
    pub fn dark(&self, x: usize, y: usize) -> bool {
        self.dark[y * self.side + x]
    }

    /// An SVG as wide as it is told by its style, the quiet zone of four modules included. `title` is read aloud.
    pub fn svg(&self, title: &str) -> String {
        let side = self.side + 8;
        let mut path = String::new();
        for y in 0..self.side {
            let mut x = 0;
            while x < self.side {
                let start = x;
                while x < self.side && self.dark(x, y) {
                    x += 1;
                }
                if x > start {
                    let _ = write!(path, "M{} {}h{}v1h-{}z", start + 4, y + 4, x - start, x - start);
                } else {
                    x += 1;
                }
            }
        }
        let title: String = title.chars().filter(|c| c.is_alphanumeric() || *c == ' ').collect();
        format!(
            "<svg class=\"qr\" xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {side} {side}\" role=\"img\" shape-rendering=\"crispEdges\"><title>{title}</title><path class=\"qr-light\" d=\"M0 0h{side}v{side}h-{side}z\"/><path class=\"qr-dark\" d=\"{path}\"/></svg>"
        )
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Drawn at so many pixels a module, turned by an angle and blurred, as a camera might see it.
    fn seen(qr: &Qr, width_px: f64, turn_degrees: f64, blur_px: i32) -> (usize, Vec<u8>) {
        let size = (width_px * 1.6) as usize;
        let (sin, cos) = turn_degrees.to_radians().sin_cos();
        let module_px = width_px / (qr.side + 8) as f64;
        let sharp: Vec<f64> = (0..size * size)
            .map(|at| {
                // Four looks into each pixel: print is smooth at its edges.
                let looks = [(0.25, 0.25), (0.75, 0.25), (0.25, 0.75), (0.75, 0.75)].map(|(dx, dy)| {
                    let (x, y) =
                        ((at % size) as f64 + dx - size as f64 / 2.0, (at / size) as f64 + dy - size as f64 / 2.0);
                    let half = (qr.side + 8) as f64 / 2.0;
                    let (u, v) =
                        ((x * cos + y * sin) / module_px + half - 4.0, (y * cos - x * sin) / module_px + half - 4.0);
                    let inside = |w: f64| w >= 0.0 && w < qr.side as f64;
                    if inside(u) && inside(v) && qr.dark(u as usize, v as usize) { 30.0 } else { 225.0 }
                });
                looks.iter().sum::<f64>() / 4.0
            })
            .collect();
        let blurred = (0..size * size).map(|at| {
            let (x, y) = ((at % size) as i32, (at / size) as i32);
            let (mut sum, mut n) = (0.0, 0.0);
            for dy in -blur_px..=blur_px {
                for dx in -blur_px..=blur_px {
                    let (x, y) = (x + dx, y + dy);
                    if (0..size as i32).contains(&x) && (0..size as i32).contains(&y) {
                        sum += sharp[y as usize * size + x as usize];
                        n += 1.0;
                    }
                }
            }
            (sum / n) as u8
        });
        (size, blurred.collect())
    }

    fn read(size: usize, grey: &[u8]) -> Option<String> {
        crate::tag::scan(crate::tag::Grey { width: size, height: size, values: grey })
    }

    /// 12 mm at 300 dots an inch is 142 dots; the symbol there is all there is of it, quiet zone included.
    #[test]
    fn printed_at_12_mm_it_is_read_though_turned_and_blurred() {
        let width_px = 12.0 / 25.4 * 300.0;
        let (mut n, mut bad) = (0, Vec::new());
        for number in 0..40 {
            let code =
                crate::tag::code(number * 6_997 % crate::tag::BLOCKS, number * 293 % crate::tag::NUMBERS).unwrap();
            let qr = qr(&code).unwrap();
            assert_eq!(qr.side, 21);
            for turn in [0.0, 3.0, -7.0, 12.0] {
                for blur in [0, 1] {
                    n += 1;
                    let (size, grey) = seen(&qr, width_px, turn, blur);
                    match read(size, &grey) {
                        Some(got) => assert_eq!(got, code),
                        None => bad.push((code.clone(), turn, blur)),
                    }
                }
            }
        }
        assert!(bad.is_empty(), "{} of {n} are not read: {bad:?}", bad.len());
    }

    #[test]
    fn what_is_smeared_beyond_reading_is_not_read_as_another_code() {
        let code = crate::tag::code(1, 1).unwrap();
        let (size, grey) = seen(&qr(&code).unwrap(), 142.0, 3.0, 9);
        assert_eq!(read(size, &grey), None);
    }
}
