//! What of a photo is kept? Its picture, at a size that serves, and nothing the camera wrote beside it.

/// Long side of a kept photo and of its thumbnail, in pixels.
pub const LONG_SIDE_PX: u32 = 2048;
pub const THUMB_PX: u32 = 320;
/// One phone engine draws nothing on a larger canvas, without an error.
const CANVAS_AREA_MAX_PX: u32 = 16_777_216;
const _: () = assert!(LONG_SIDE_PX * LONG_SIDE_PX <= CANVAS_AREA_MAX_PX, "a kept photo fits on every canvas");

/// Width and height scaled to the long side given, never enlarged, at least one pixel each.
pub fn fit(width_px: u32, height_px: u32, long_side_px: u32) -> (u32, u32) {
    let long = width_px.max(height_px).max(1);
    let scale = f64::from(long_side_px.min(long)) / f64::from(long);
    let scaled = |px: u32| ((f64::from(px) * scale).round() as u32).max(1);
    (scaled(width_px), scaled(height_px))
}

/// A JPEG without comments and without what a camera or an encoder writes beside the picture: place, time, device.
///
/// Kept are the segments needed to draw it: tables, scans, JFIF (APP0), the colour profile (APP2) and Adobe's colour
/// note (APP14). None if the bytes are no whole JPEG. Format: ITU-T T.81, annex B.
pub fn strip_jpeg(bytes: &[u8]) -> Option<Vec<u8>> {
    let mut kept = vec![0xFF, 0xD8];
    let mut rest = bytes.strip_prefix(&[0xFF, 0xD8])?;
    loop {
        let &[0xFF, marker, high, low, ..] = rest else {
            return None;
        };
        let end = 2 + usize::from(u16::from_be_bytes([high, low]));
        let segment = rest.get(..end).filter(|segment| segment.len() >= 4)?;
        if marker == START_OF_SCAN {
            // From here on the picture itself, to the end mark.
            kept.extend_from_slice(rest);
            return rest.ends_with(&[0xFF, 0xD9]).then_some(kept);
        }
        if needed(marker, &segment[4..]) {
            kept.extend_from_slice(segment);
        }
        rest = &rest[end..];
    }
}

const START_OF_SCAN: u8 = 0xDA;

fn needed(marker: u8, content: &[u8]) -> bool {
    match marker {
        0xE0 => content.starts_with(b"JFIF\0"),
        0xE2 => content.starts_with(b"ICC_PROFILE\0"),
        0xEE => content.starts_with(b"Adobe"),
        0xE1..=0xEF | 0xFE => false,
        _ => true,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn segment(marker: u8, content: &[u8]) -> Vec<u8> {
        let length = u16::try_from(content.len() + 2).unwrap().to_be_bytes();
        [&[0xFF, marker, length[0], length[1]], content].concat()
    }

    /// A JPEG's frame around the segments given; enough of one to walk through.
    fn jpeg(segments: &[Vec<u8>]) -> Vec<u8> {
        [
            &[0xFF, 0xD8][..],
            &segments.concat(),
            &segment(START_OF_SCAN, &[1, 1, 0, 0, 63, 0]),
            &[0x12, 0xFF, 0x00, 0xFF, 0xD9],
        ]
        .concat()
    }

    #[test]
    fn the_camera_s_data_goes_and_the_picture_stays() {
        let jfif = segment(0xE0, b"JFIF\0\x01\x01\0\0\x01\0\x01\0\0");
        let profile = segment(0xE2, b"ICC_PROFILE\0\x01\x01abc");
        let table = segment(0xDB, &[0; 65]);
        let gps = segment(0xE1, b"Exif\0\0MM\0*GPSLatitude");
        let shot = jpeg(&[
            jfif.clone(),
            gps,
            segment(0xE1, b"http://ns.adobe.com/xap/1.0/\0<x:xmpmeta/>"),
            segment(0xED, b"Photoshop 3.0\0"),
            segment(0xE2, b"MPF\0"),
            profile.clone(),
            segment(0xFE, b"a comment"),
            table.clone(),
        ]);
        let stripped = strip_jpeg(&shot).unwrap();
        assert_eq!(stripped, jpeg(&[jfif, profile, table]));
        assert!(!stripped.windows(4).any(|w| w == b"Exif" || w == b"GPSL"));
    }

    #[test]
    fn what_is_no_whole_jpeg_is_none() {
        let whole = jpeg(&[segment(0xDB, &[0; 65])]);
        assert!(strip_jpeg(&whole).is_some());
        for cut in 0..whole.len() {
            assert_eq!(strip_jpeg(&whole[..cut]), None, "cut at {cut}");
        }
        assert_eq!(strip_jpeg(b"\x89PNG\r\n"), None);
        assert_eq!(strip_jpeg(&[0xFF, 0xD8, 0xFF, 0xE1, 0, 0]), None);
    }

    #[test]
    fn sizes_fit_and_are_never_enlarged() {
        assert_eq!(fit(4032, 3024, LONG_SIDE_PX), (2048, 1536));
        assert_eq!(fit(3024, 4032, THUMB_PX), (240, 320));
        assert_eq!(fit(640, 480, LONG_SIDE_PX), (640, 480));
        assert_eq!(fit(30_000, 1, THUMB_PX), (320, 1));
        assert_eq!(fit(0, 0, THUMB_PX), (1, 1));
    }

    proptest! {
        #[test]
        fn whatever_is_beside_the_picture_goes(
            parts in prop::collection::vec((prop::sample::select(vec![0xDBu8, 0xC0, 0xC4, 0xE1, 0xE3, 0xED, 0xFE]), prop::collection::vec(any::<u8>(), 0..40)), 0..8),
        ) {
            let all: Vec<_> = parts.iter().map(|(marker, content)| segment(*marker, content)).collect();
            let drawn: Vec<_> = parts.iter().filter(|(marker, _)| *marker < 0xE0).map(|(m, c)| segment(*m, c)).collect();
            let stripped = strip_jpeg(&jpeg(&all)).unwrap();
            prop_assert_eq!(&stripped, &jpeg(&drawn));
            prop_assert_eq!(strip_jpeg(&stripped).unwrap(), stripped);
        }

        #[test]
        fn no_bytes_make_it_stumble(bytes in prop::collection::vec(any::<u8>(), 0..200)) {
            let _ = strip_jpeg(&[&[0xFF, 0xD8, 0xFF], &bytes[..]].concat());
        }

        #[test]
        fn both_sides_fit(width in 1u32..40_000, height in 1u32..40_000) {
            let (w, h) = fit(width, height, LONG_SIDE_PX);
            prop_assert!(w.max(h) <= LONG_SIDE_PX && w <= width && h <= height);
            prop_assert!(w.max(h) == LONG_SIDE_PX || (w, h) == (width, height));
        }
    }
}
