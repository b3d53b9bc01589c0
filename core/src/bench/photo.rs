//! Sizes in a photo on the generic screen and the command line; the taps come from a screen of their own.

use super::answer::{Answer, Figure};
use super::calculator::{
    Calculator, Choices, Given, Input, choice, length, list, nothing_to_prepare, nothing_to_tell, number,
};
use super::units::Kind;
use crate::error::{Error, Result};
use crate::measure::{Card, Coin, Length, Point, by_card, by_coin, height_allowed_mm, height_error, without_height_mm};
use crate::reference::Confidence;

const TAP_ERROR: Input = number("tap_error", "Error of a tap", Kind::Pixels, 0.05, 100.0)
    .default("2")
    .help("Standard error along each axis.");
const ENDS: Input = list("ends", "Both ends of the length, u v in pixels", "1700 1360; 2084 1356");
const HEIGHT_CAVEAT: &str = "only what lies in the plane of the card or coin reads true: a face nearer the camera reads long, see “Height in a photo”";

pub(super) const CARD: Calculator = Calculator {
    id: "card-photo",
    title: "Length in a photo, by a card",
    about: "A length in the plane of a bank or library card, from its four corners.",
    inputs: &[
        list("corners", "Corners of the card, u v in pixels", "1619 1298; 2171 1291; 2186 1627; 1654 1623")
            .help("Both ends of a long edge first, then round the card."),
        ENDS,
        TAP_ERROR,
        choice("card", "Card or sheet", Choices::Cards).default("id1"),
        choice(
            "tapped",
            "Corners tapped",
            Choices::Fixed(&[
                ("crossing", "Where the straight edges would cross"),
                ("middle", "In the middle of the round corner"),
            ]),
        )
        .default("crossing"),
    ],
    formula: "homography-id1",
    lines: &["map", "equations", "length", "error_general"],
    cautions: &[],
    prepare: nothing_to_prepare,
    figures: |given| Ok(length_figures(measured_by_card(given)?)),
    tell: |given, answer| {
        let corners = points(given, "corners")?;
        let side = |a: usize, b: usize| (corners[a].u - corners[b].u).hypot(corners[a].v - corners[b].v);
        if side(0, 1) + side(2, 3) < 0.9 * (side(1, 2) + side(3, 0)) {
            answer.warn("The edge tapped first looks like a short one: both ends of a long edge come first.");
        }
        if let Some(card) = given.facts().object(given.text("card")) {
            answer.cite(given.reference, &card.src);
        }
        answer.assumptions.push(HEIGHT_CAVEAT.into());
        far_from_known(answer);
        Ok(())
    },
};

pub(super) const COIN: Calculator = Calculator {
    id: "coin-photo",
    title: "Length in a photo, by a coin",
    about: "A length in the plane of a coin, from points of its rim.",
    inputs: &[
        choice("coin", "Coin", Choices::Coins).optional().help("Or give its diameter."),
        number("coin_diameter", "Diameter of the coin", Kind::Length, 5.0, 80.0).optional(),
        list("rim", "Points of the rim, u v in pixels", "620 300; 580 385; 500 420; 415 380; 380 300; 500 180")
            .help("Five or more, all round."),
        ENDS,
        TAP_ERROR,
        number("distance", "Camera from the coin", Kind::Length, 50.0, 10_000.0)
            .optional()
            .help("Left empty, ten coins away."),
    ],
    formula: "coin-ellipse",
    lines: &["scale", "tilt", "length"],
    cautions: &[],
    prepare: diameter_of_coin,
    figures: |given| {
        let rim = points(given, "rim")?;
        let ends = two(given)?;
        let coin = Coin::through(&rim)?;
        let length =
            by_coin(given.need("coin_diameter")?, &rim, ends, given.need("tap_error")?, given.get("distance"))?;
        let mut figures = length_figures(length);
        figures.push(Figure::new("perspective", "Of that ±, for perspective", Kind::Length, length.perspective_mm));
        figures.push(Figure::new("tilt", "Tilt of the coin", Kind::Angle, coin.tilt_deg()));
        Ok(figures)
    },
    tell: |given, answer| {
        tell_coin(given, answer);
        answer.assumptions.push(HEIGHT_CAVEAT.into());
        far_from_known(answer);
        let (tilt, rim) = (answer.figure("tilt").map_or(0.0, |it| it.value), points(given, "rim")?);
        if tilt > 40.0 {
            answer.warn("The coin is tilted by more than 40°: photograph it more from above.");
        }
        if widest_gap_deg(&rim) > 150.0 {
            answer.warn("The taps leave a wide part of the rim out: tap all round it.");
        }
        Ok(())
    },
};

pub(super) const COIN_SCALE: Calculator = Calculator {
    id: "coin-scale",
    title: "Scale from a coin's ellipse",
    about: "Scale, tilt and a length, from the two axes of a coin as it shows in a photo.",
    inputs: &[
        choice("coin", "Coin", Choices::Coins).optional().help("Or give its diameter."),
        number("coin_diameter", "Diameter of the coin", Kind::Length, 5.0, 80.0).optional(),
        number("long_axis", "Long axis of the ellipse", Kind::Pixels, 2.0, 20_000.0),
        number("short_axis", "Short axis", Kind::Pixels, 2.0, 20_000.0),
        number("along", "Length to measure, along the long axis", Kind::Pixels, 0.0, 40_000.0),
        number("across", "The same, along the short axis", Kind::Pixels, 0.0, 40_000.0),
        TAP_ERROR,
    ],
    formula: "coin-ellipse",
    lines: &["scale", "tilt", "length", "scale_error"],
    cautions: &[],
    prepare: diameter_of_coin,
    figures: |given| {
        let (long, short) = (given.need("long_axis")?, given.need("short_axis")?);
        if short > long {
            return Err(Error::invalid("The short axis is longer than the long one."));
        }
        let (diameter, error) = (given.need("coin_diameter")?, given.need("tap_error")?);
        let (scale, q) = (long / diameter, short / long);
        let (along, across) = (given.need("along")? / scale, given.need("across")? / (scale * q));
        let length = along.hypot(across);
        // Two taps each on the axes and on the length.
        let tap = std::f64::consts::SQRT_2 * error;
        let parts = [
            tap / scale * along / length,
            tap / (scale * q) * across / length,
            along * along / length * tap / long,
            across * across / length * tap / short,
        ];
        let sigma = parts.iter().map(|part| part * part).sum::<f64>().sqrt();
        let sigma = if length > 0.0 { sigma } else { tap / scale };
        Ok(vec![
            Figure::new("length", "Length", Kind::Length, length).give_or_take(2.0 * sigma),
            Figure::new("scale", "Scale", Kind::Scale, scale).give_or_take(2.0 * scale * tap / long),
            Figure::new("tilt", "Tilt of the coin", Kind::Angle, q.acos().to_degrees()),
            Figure::new("scale_error", "Standard error of the scale", Kind::Percent, tap / long * 100.0),
        ])
    },
    tell: |given, answer| {
        tell_coin(given, answer);
        answer.assumptions.push(HEIGHT_CAVEAT.into());
        Ok(())
    },
};

pub(super) const EDGE: Calculator = Calculator {
    id: "edge-scale",
    title: "Error of a scale from one edge",
    about: "What a length is worth when its scale comes from one edge of known length, seen square-on.",
    inputs: &[
        number("scale", "Scale", Kind::Scale, 0.05, 2000.0),
        TAP_ERROR,
        number("length", "Length measured", Kind::Length, 0.01, 2000.0),
        number("edge", "Edge that gives the scale", Kind::Length, 0.1, 2000.0).default("85.6"),
    ],
    formula: "homography-id1",
    lines: &["error_flat_single_edge"],
    cautions: &[],
    prepare: nothing_to_prepare,
    figures: |given| {
        let (scale, error) = (given.need("scale")?, given.need("tap_error")?);
        let part = given.need("length")? / given.need("edge")?;
        let sigma = std::f64::consts::SQRT_2 * error / scale * (1.0 + part * part).sqrt();
        Ok(vec![
            Figure::new("sigma", "Standard error of the length", Kind::Length, sigma),
            Figure::new("sure", "± that holds in 95 of 100", Kind::Length, 2.0 * sigma),
        ])
    },
    tell: nothing_to_tell,
};

pub(super) const HEIGHT: Calculator = Calculator {
    id: "height-error",
    title: "Height in a photo",
    about: "How much a face reads long that lies nearer the camera than the card or coin.",
    inputs: &[
        number("distance", "Camera from the card or coin", Kind::Length, 20.0, 20_000.0).give_or_take(20.0),
        length("height", "The face lies nearer by", 0.0, 5000.0).give_or_take(0.5),
        length("reading", "Length as read", 0.01, 2000.0).give_or_take(0.0).optional(),
        number("allowed_error", "Error that may be", Kind::Percent, 0.01, 50.0).default("1"),
    ],
    formula: "parallax",
    lines: &["relative_error", "correction", "keep_below"],
    cautions: &[],
    prepare: nothing_to_prepare,
    figures: |given| {
        let (distance, height) = (given.need("distance")?, given.need("height")?);
        if height >= distance {
            return Err(Error::invalid("The face can't lie nearer than the camera itself."));
        }
        let mut figures = vec![
            Figure::new("error", "Reads long by", Kind::Percent, height_error(distance, height) * 100.0),
            Figure::new(
                "height_allowed",
                "Height that keeps the error as small as wanted",
                Kind::Length,
                height_allowed_mm(distance, given.need("allowed_error")? / 100.0),
            ),
        ];
        if let Some(read) = given.get("reading") {
            figures.push(Figure::new(
                "true_length",
                "Length with that taken out",
                Kind::Length,
                without_height_mm(read, distance, height),
            ));
        }
        Ok(figures)
    },
    tell: nothing_to_tell,
};

pub(super) const DISTANCE: Calculator = Calculator {
    id: "camera-distance",
    title: "How far the camera was",
    about: "The camera's distance, from a thing of known length in the photo.",
    inputs: &[
        number("image_width", "Long side of the whole photo", Kind::Pixels, 100.0, 40_000.0),
        number("focal_35", "Focal length, as for 35 mm film", Kind::Length, 8.0, 400.0)
            .give_or_take(0.5)
            .help("It stands in the photo's data."),
        number("known_length", "Known length", Kind::Length, 1.0, 2000.0).default("85.6"),
        number("known_pixels", "It measures in the photo", Kind::Pixels, 2.0, 40_000.0).give_or_take(3.0),
    ],
    formula: "parallax",
    lines: &["focal_px", "distance"],
    cautions: &[],
    prepare: nothing_to_prepare,
    figures: |given| {
        let focal = given.need("image_width")? * given.need("focal_35")? / 36.0;
        let distance = focal * given.need("known_length")? / given.need("known_pixels")?;
        Ok(vec![
            Figure::new("distance", "Distance of the camera", Kind::Length, distance),
            Figure::new("focal_pixels", "Focal length in pixels", Kind::Pixels, focal),
        ])
    },
    tell: nothing_to_tell,
};

fn measured_by_card(given: &Given) -> Result<Length> {
    let corners = points(given, "corners")?;
    let corners =
        <[Point; 4]>::try_from(corners).map_err(|_| Error::invalid("A card has four corners: write four points."))?;
    by_card(card(given)?, corners, two(given)?, given.need("tap_error")?)
}

fn card(given: &Given) -> Result<Card> {
    let object = given.facts().object(given.text("card"));
    let sides = object.and_then(|it| Some((it.width_mm?, it.height_mm?, it.corner_radius_mm.unwrap_or(0.0))));
    let (width, height, radius) = sides.ok_or_else(|| Error::invalid("Choose the card or sheet."))?;
    let inset_mm = if given.text("tapped") == "middle" { Card::middle_of_corner_mm(radius) } else { 0.0 };
    Ok(Card { long_mm: width.max(height), short_mm: width.min(height), inset_mm })
}

fn length_figures(length: Length) -> Vec<Figure> {
    vec![
        Figure::new("length", "Length", Kind::Length, length.mm).give_or_take(length.plus_minus_mm),
        Figure::new("sigma", "Standard error from the taps", Kind::Length, length.sigma_mm),
        Figure::new("sigma_corners", "Of it, from the taps on the card or coin", Kind::Length, length.sigma_known_mm),
    ]
}

fn far_from_known(answer: &mut Answer) {
    let part = |id: &str| answer.figure(id).map_or(0.0, |it| it.value);
    if part("sigma_corners") > 0.9 * part("sigma") && part("sigma") > 0.02 * part("length") {
        answer.warn(
            "Most of the error comes of the card or coin: lay it closer, or take the photo so that it shows larger.",
        );
    }
}

fn diameter_of_coin(given: &mut Given) -> Result<()> {
    if given.get("coin_diameter").is_none() {
        let diameter = given.facts().object(given.text("coin")).and_then(|it| it.diameter_mm);
        let diameter = diameter.ok_or_else(|| Error::invalid("Choose the coin, or give its diameter."))?;
        given.set("coin_diameter", diameter, 0.0);
    }
    Ok(())
}

fn tell_coin(given: &Given, answer: &mut Answer) {
    let Some(coin) = given.facts().object(given.text("coin")) else { return };
    answer.cite(given.reference, &coin.src);
    if coin.confidence == Confidence::Low {
        answer.warn(format!("Unverified: the diameter of {}. Measure the coin.", coin.name));
    }
    if !coin.note.is_empty() {
        answer.warn(format!("{}: {}.", coin.name, coin.note));
    }
}

/// Points written as `u v; u v`.
fn points(given: &Given, id: &str) -> Result<Vec<Point>> {
    let read = |item: &str| {
        let parts: Vec<f64> =
            item.split([' ', ',']).filter(|part| !part.is_empty()).filter_map(|part| part.parse().ok()).collect();
        match parts.as_slice() {
            [u, v] if u.is_finite() && v.is_finite() => Ok(Point { u: *u, v: *v }),
            _ => Err(Error::invalid(format!("“{item}” is no point: write u and v in pixels, such as 1619 1298."))),
        }
    };
    given.items(id).into_iter().map(read).collect()
}

fn two(given: &Given) -> Result<[Point; 2]> {
    <[Point; 2]>::try_from(points(given, "ends")?)
        .map_err(|_| Error::invalid("A length has two ends: write two points."))
}

/// Widest part of the rim without a tap, as seen from the middle of the taps.
fn widest_gap_deg(rim: &[Point]) -> f64 {
    let count = rim.len().max(1) as f64;
    let (cu, cv) = (rim.iter().map(|p| p.u).sum::<f64>() / count, rim.iter().map(|p| p.v).sum::<f64>() / count);
    let mut angles: Vec<f64> = rim.iter().map(|p| (p.v - cv).atan2(p.u - cu).to_degrees()).collect();
    crate::order::by(&mut angles, f64::total_cmp);
    let next = angles.iter().skip(1).copied().chain(angles.first().map(|first| first + 360.0));
    angles.iter().zip(next).map(|(a, b)| b - a).fold(0.0, f64::max)
}
