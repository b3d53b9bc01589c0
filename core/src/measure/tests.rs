//! Photos made up by a pinhole camera, with the truth known.

use super::*;

/// A seeded generator of the tests' own: the same photos every time.
struct Dice(u64);

impl Dice {
    fn unit(&mut self) -> f64 {
        // splitmix64
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        ((z ^ (z >> 31)) >> 11) as f64 / (1u64 << 53) as f64
    }
    fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.unit()
    }
    /// Normal, by the sum of two dice on a circle.
    fn normal(&mut self) -> f64 {
        let (a, b) = (1.0 - self.unit(), self.unit());
        (-2.0 * a.ln()).sqrt() * (std::f64::consts::TAU * b).cos()
    }
    fn tap(&mut self, at: Point, sigma: f64) -> Point {
        Point { u: at.u + sigma * self.normal(), v: at.v + sigma * self.normal() }
    }
}

/// A camera that looks at the middle of the plane, tilted by `tilt` towards `toward` and turned by `roll`.
struct Camera {
    focal_px: f64,
    distance_mm: f64,
    rows: [[f64; 3]; 3],
    aim: (f64, f64),
}

impl Camera {
    fn random(dice: &mut Dice, distance: (f64, f64), tilt_most_deg: f64, aim_off_mm: f64) -> Self {
        let tilt = dice.between(0.0, tilt_most_deg).to_radians();
        let toward = dice.between(0.0, std::f64::consts::TAU);
        let roll = dice.between(0.0, std::f64::consts::TAU);
        let rotation = |axis: usize, angle: f64| {
            let (s, c) = angle.sin_cos();
            if axis == 2 {
                [[c, -s, 0.0], [s, c, 0.0], [0.0, 0.0, 1.0]]
            } else {
                [[1.0, 0.0, 0.0], [0.0, c, -s], [0.0, s, c]]
            }
        };
        let times = |a: [[f64; 3]; 3], b: [[f64; 3]; 3]| {
            let mut out = [[0.0; 3]; 3];
            for (i, row) in out.iter_mut().enumerate() {
                for (j, cell) in row.iter_mut().enumerate() {
                    *cell = (0..3).map(|k| a[i][k] * b[k][j]).sum();
                }
            }
            out
        };
        Self {
            focal_px: dice.between(2200.0, 3600.0),
            distance_mm: dice.between(distance.0, distance.1),
            rows: times(rotation(2, roll), times(rotation(0, tilt), rotation(2, toward))),
            aim: (dice.between(-aim_off_mm, aim_off_mm), dice.between(-aim_off_mm, aim_off_mm)),
        }
    }

    fn see(&self, x: f64, y: f64) -> Point {
        let (x, y) = (x - self.aim.0, y - self.aim.1);
        let [a, b, c] = self.rows.map(|row| row[0] * x + row[1] * y);
        let depth = c + self.distance_mm;
        Point { u: 2016.0 + self.focal_px * a / depth, v: 1512.0 + self.focal_px * b / depth }
    }
}

const CARD: Card = Card { long_mm: 85.60, short_mm: 53.98, inset_mm: 0.0 };

fn corners_seen(camera: &Camera, card: Card) -> [Point; 4] {
    let (i, l, s) = (card.inset_mm, card.long_mm - card.inset_mm, card.short_mm - card.inset_mm);
    [camera.see(i, i), camera.see(l, i), camera.see(l, s), camera.see(i, s)]
}

/// Two ends of something 8 to 120 mm long, within so far of a point.
fn ends(dice: &mut Dice, (x, y): (f64, f64), reach: f64) -> ([(f64, f64); 2], f64) {
    let length = dice.between(8.0, 120.0);
    let angle = dice.between(0.0, std::f64::consts::TAU);
    let (x, y) = (x + dice.between(-reach, reach), y + dice.between(-reach, reach));
    ([(x, y), (x + length * angle.cos(), y + length * angle.sin())], length)
}

#[test]
fn exact_taps_give_exact_lengths_from_any_side() {
    let mut dice = Dice(7);
    for round in 0..500 {
        let card = Card { inset_mm: if round % 2 == 0 { 0.0 } else { Card::middle_of_corner_mm(3.18) }, ..CARD };
        let camera = Camera::random(&mut dice, (200.0, 900.0), 50.0, 60.0);
        let (at, truth) = ends(&mut dice, (43.0, 27.0), 40.0);
        let mut corners = corners_seen(&camera, card);
        if round % 3 == 0 {
            // Round the card the other way, from the other end.
            corners = [corners[1], corners[0], corners[3], corners[2]];
        }
        let length = by_card(card, corners, at.map(|(x, y)| camera.see(x, y)), 1.0).unwrap();
        assert!((length.mm / truth - 1.0).abs() < 1e-9, "{} for {truth}", length.mm);
    }
}

#[test]
fn a_length_by_the_card_is_within_its_error() {
    for (seed, sigma) in [(1, 0.5), (2, 2.0), (3, 5.0)] {
        let mut dice = Dice(seed);
        let mut within = 0;
        for _ in 0..4000 {
            let camera = Camera::random(&mut dice, (250.0, 800.0), 40.0, 40.0);
            let (at, truth) = ends(&mut dice, (43.0, 27.0), 50.0);
            let corners = corners_seen(&camera, CARD).map(|corner| dice.tap(corner, sigma));
            let ends = at.map(|(x, y)| dice.tap(camera.see(x, y), sigma));
            let length = by_card(CARD, corners, ends, sigma).unwrap();
            within += usize::from((length.mm - truth).abs() <= length.plus_minus_mm);
        }
        let share = within as f64 / 4000.0;
        println!("card, taps ± {sigma} px: {share}");
        // No lower, and not by stating errors that are far too large.
        assert!((0.95..0.985).contains(&share), "taps ± {sigma} px: {share}");
    }
}

#[test]
fn a_length_by_a_coin_is_within_its_error() {
    for (seed, sigma, taps) in [(4, 0.5, 8), (5, 1.5, 6), (6, 3.0, 12)] {
        let mut dice = Dice(seed);
        let mut within = 0;
        for _ in 0..4000 {
            let diameter = dice.between(18.0, 30.0);
            // Ten diameters away at least, as the sum takes for granted.
            let camera = Camera::random(&mut dice, (10.0 * diameter, 30.0 * diameter), 35.0, 20.0);
            let rim: Vec<Point> = (0..taps)
                .map(|at| (f64::from(at) + dice.between(-0.3, 0.3)) / f64::from(taps) * std::f64::consts::TAU)
                .map(|angle| camera.see(diameter / 2.0 * angle.cos(), diameter / 2.0 * angle.sin()))
                .collect();
            let rim: Vec<Point> = rim.into_iter().map(|tap| dice.tap(tap, sigma)).collect();
            let (at, truth) = ends(&mut dice, (0.0, 0.0), 40.0);
            let ends = at.map(|(x, y)| dice.tap(camera.see(x, y), sigma));
            let length = by_coin(diameter, &rim, ends, sigma, None).unwrap();
            within += usize::from((length.mm - truth).abs() <= length.plus_minus_mm);
        }
        let share = within as f64 / 4000.0;
        println!("coin, {taps} taps ± {sigma} px: {share}");
        assert!(share >= 0.95, "{taps} taps ± {sigma} px: {share}");
    }
}

#[test]
fn a_coin_square_on_is_its_own_scale() {
    let rim: Vec<Point> =
        (0..7).map(f64::from).map(|at| Point { u: 500.0 + 120.0 * at.cos(), v: 300.0 + 120.0 * at.sin() }).collect();
    let coin = Coin::through(&rim).unwrap();
    assert!((coin.centre.u - 500.0).abs() < 1e-6 && (coin.centre.v - 300.0).abs() < 1e-6);
    assert!((coin.axes_px().0 - 240.0).abs() < 1e-6 && coin.tilt_deg() < 0.01);
    let ends = [Point { u: 0.0, v: 0.0 }, Point { u: 300.0, v: 400.0 }];
    assert!((by_coin(24.0, &rim, ends, 1.0, None).unwrap().mm - 50.0).abs() < 1e-6);
}

#[test]
fn what_is_no_card_or_coin_is_told() {
    let p = |u: f64, v: f64| Point { u, v };
    let square = [p(0.0, 0.0), p(100.0, 0.0), p(100.0, 60.0), p(0.0, 60.0)];
    let ends = [p(10.0, 10.0), p(20.0, 10.0)];
    let crossed = [square[0], square[2], square[1], square[3]];
    insta::assert_snapshot!(by_card(CARD, crossed, ends, 1.0).unwrap_err(), @"These four corners are no card: tap both ends of a long edge first, then go on round the card.");
    let line: Vec<Point> = (0..6).map(|at| p(f64::from(at) * 10.0, 5.0)).collect();
    insta::assert_snapshot!(by_coin(24.0, &line, ends, 1.0, None).unwrap_err(), @"These points are on no ellipse: tap the rim of the coin all round, as far apart as can be.");
    assert!(by_card(CARD, square, ends, 0.0).is_err() && by_card(CARD, [square[0]; 4], ends, 1.0).is_err());
    // A strong tilt brings the horizon into the photo.
    let tilted = [p(0.0, 0.0), p(100.0, 0.0), p(70.0, -60.0), p(30.0, -60.0)];
    insta::assert_snapshot!(by_card(CARD, tilted, [p(50.0, -10.0), p(50.0, -400.0)], 1.0).unwrap_err(), @"A point lies where the card's plane does not reach in this photo: photograph it more from above.");
}

#[test]
fn height_reads_long_and_is_taken_out_again() {
    assert!((without_height_mm(50.0 * (1.0 + height_error(500.0, 25.0)), 500.0, 25.0) - 50.0).abs() < 1e-12);
    assert!((height_error(500.0, height_allowed_mm(500.0, 0.01)) - 0.01).abs() < 1e-12);
}
