//! A tag's symbol in a picture.

/// Grey values of a picture, row by row.
#[derive(Debug, Clone, Copy)]
pub struct Grey<'a> {
    pub width: usize,
    pub height: usize,
    pub values: &'a [u8],
}

/// How a picture is looked at: made larger, turned, and black told from white by one threshold for all or by what lies
/// around each dot.
struct Look {
    scale: f64,
    turn_degrees: f64,
    one_threshold: bool,
}

const fn look(scale: f64, turn_degrees: f64, one_threshold: bool) -> Look {
    Look { scale, turn_degrees, one_threshold }
}

/// How many ways to look there are.
pub const LOOKS: usize = 8;

/// A small symbol a little out of focus is found only when it is made larger; some are found only when they lie
/// otherwise, whatever the reason. The quickest first.
const WAYS: [Look; LOOKS] = [
    look(1.0, 0.0, false),
    look(2.0, 0.0, true),
    look(2.0, 9.0, true),
    look(2.0, 0.0, false),
    look(2.0, -11.0, true),
    look(3.0, 4.0, true),
    look(3.0, 17.0, false),
    look(3.0, 45.0, true),
];

/// Reads the first symbol found; none if there is none that can be read.
pub fn scan(picture: Grey) -> Option<String> {
    (0..LOOKS).find_map(|turn| glance(picture, turn))
}

/// One of several ways to look at a picture: for a camera, which soon has another. Call it with 0, 1, 2 and on.
pub fn glance(picture: Grey, turn: usize) -> Option<String> {
    if picture.values.len() != picture.width * picture.height || picture.width < 21 || picture.height < 21 {
        return None;
    }
    let Look { scale, turn_degrees, one_threshold } = WAYS[turn % LOOKS];
    let size = |length: usize| (length as f64 * scale) as usize;
    let (width, height) = (size(picture.width), size(picture.height));
    let (sin, cos) = turn_degrees.to_radians().sin_cos();
    let at = |x: usize, y: usize| {
        let (x, y) = ((x as f64 + 0.5) / scale, (y as f64 + 0.5) / scale);
        let (x, y) = (x - picture.width as f64 / 2.0, y - picture.height as f64 / 2.0);
        smooth(picture, x * cos + y * sin + picture.width as f64 / 2.0, y * cos - x * sin + picture.height as f64 / 2.0)
    };
    let mut image = if one_threshold {
        let threshold = between_dark_and_light(picture.values);
        rqrr::PreparedImage::prepare_from_bitmap(width, height, |x, y| at(x, y) < threshold)
    } else {
        rqrr::PreparedImage::prepare_from_greyscale(width, height, |x, y| at(x, y) as u8)
    };
    image.detect_grids().iter().find_map(|grid| grid.decode().ok()).map(|(_, text)| text)
}

/// The grey at a place, between the four dots around it; outside of the picture that of its edge.
fn smooth(Grey { width, height, values }: Grey, x: f64, y: f64) -> f64 {
    let place = |at: f64, length: usize| {
        let at = (at - 0.5).clamp(0.0, (length - 1) as f64);
        let dot = at as usize;
        (dot, (dot + 1).min(length - 1), at - dot as f64)
    };
    let ((left, right, across), (top, bottom, down)) = (place(x, width), place(y, height));
    let grey = |x: usize, y: usize| f64::from(values[y * width + x]);
    let upper = grey(left, top) * (1.0 - across) + grey(right, top) * across;
    let lower = grey(left, bottom) * (1.0 - across) + grey(right, bottom) * across;
    upper * (1.0 - down) + lower * down
}

/// The grey that parts a picture best into two groups (Otsu's method).
fn between_dark_and_light(values: &[u8]) -> f64 {
    let mut counts = [0.0_f64; 256];
    for value in values {
        counts[usize::from(*value)] += 1.0;
    }
    let (all, all_sum) = counts.iter().enumerate().fold((0.0, 0.0), |(n, sum), (v, m)| (n + m, sum + v as f64 * m));
    let (mut below, mut below_sum, mut best, mut threshold) = (0.0, 0.0, 0.0, 128.0);
    for (value, count) in counts.iter().enumerate() {
        below += count;
        below_sum += value as f64 * count;
        let above = all - below;
        if below > 0.0 && above > 0.0 {
            let apart = below * above * (below_sum / below - (all_sum - below_sum) / above).powi(2);
            if apart > best {
                (best, threshold) = (apart, value as f64 + 0.5);
            }
        }
    }
    threshold
}
