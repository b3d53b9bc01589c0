//! A photo as a phone's camera writes it: turned, and with the place where it was taken.

use crate::{Browser, browser::decode_base64, process::Folder};
use std::{fs, path::PathBuf};
use tailplate_core::tag::qr;

/// Words that stand in the photo's position data, to be looked for wherever the photo goes.
pub const SECRET: &str = "Barn behind the mill";

/// Waits until so many small photos are on the screen at a CSS selector, and can be read as pictures.
pub fn wait_shown(browser: &Browser, css: &str, count: usize) {
    let script = format!(
        "return (async () => {{
            let shown = 0;
            for (const place of document.querySelectorAll('{css}')) {{
                const [address] = getComputedStyle(place).backgroundImage.match(/data:image.jpeg[^\"]*/) ?? [];
                const image = new Image();
                image.src = address ?? '';
                await image.decode().catch(() => {{}});
                shown += image.naturalWidth > 0 ? 1 : 0;
            }}
            return shown === {count};
        }})()"
    );
    browser.wait_js(&format!("{count} photos at {css}"), &script);
}

/// A JPEG of 640 × 480 points, to be shown upright as 480 × 640. The folder holds it until dropped.
pub fn with_position(browser: &Browser, name: &str) -> (Folder, PathBuf) {
    let script = "
        const canvas = document.createElement('canvas');
        canvas.width = 640;
        canvas.height = 480;
        const pen = canvas.getContext('2d');
        pen.fillStyle = '#c9b48a';
        pen.fillRect(0, 0, 640, 480);
        for (const [radius, colour] of [[190, '#2a2622'], [150, '#b08d3c'], [60, '#2a2622'], [22, '#e7dcc0']]) {
            pen.fillStyle = colour;
            pen.beginPath();
            pen.arc(320, 240, radius, 0, 7);
            pen.fill();
        }
        return canvas.toDataURL('image/jpeg', 0.8).split(',')[1];
    ";
    let plain = decode_base64(browser.js(script).as_str().unwrap_or_default());
    assert_eq!(plain[..2], [0xff, 0xd8], "{:?} draws a JPEG", browser.engine);
    let photo = [&plain[..2], &exif(), &plain[2..]].concat();
    let folder = Folder::new();
    let file = folder.path.join(name);
    fs::write(&file, photo).expect("the scratch folder can be written");
    (folder, file)
}

/// A plain JPEG of 1600 × 1200 points, as heavy as one of grained metal.
pub fn large(browser: &Browser) -> Vec<u8> {
    let script = "
        const canvas = document.createElement('canvas');
        canvas.width = 1600;
        canvas.height = 1200;
        const pen = canvas.getContext('2d');
        let seed = 1;
        for (let y = 0; y < 1200; y += 6) for (let x = 0; x < 1600; x += 6) {
            seed = (seed * 48271) % 2147483647;
            const light = 90 + seed % 60;
            pen.fillStyle = `rgb(${light + 30}, ${light + 10}, ${light - 40})`;
            pen.fillRect(x, y, 6, 6);
        }
        return canvas.toDataURL('image/jpeg', 0.8).split(',')[1];
    ";
    decode_base64(browser.js(script).as_str().unwrap_or_default())
}

/// A film (Y4M) of one frame: this tag's symbol on a sheet of paper, held before the camera.
pub fn film_of_tag(code: &str) -> Vec<u8> {
    const WIDTH: usize = 640;
    const HEIGHT: usize = 480;
    const DOTS: usize = 9;
    let symbol = qr(code).expect("a tag has a symbol");
    let side = symbol.side * DOTS;
    let (left, top) = ((WIDTH - side) / 2, (HEIGHT - side) / 2);
    let mut film = format!("YUV4MPEG2 W{WIDTH} H{HEIGHT} F10:1 Ip A1:1 C420jpeg\nFRAME\n").into_bytes();
    for y in 0..HEIGHT {
        film.extend((0..WIDTH).map(|x| {
            let on = (left..left + side).contains(&x) && (top..top + side).contains(&y);
            if on && symbol.dark((x - left) / DOTS, (y - top) / DOTS) { 40 } else { 205 }
        }));
    }
    // Without colour.
    film.resize(film.len() + WIDTH * HEIGHT / 2, 128);
    film
}

/// A photo from straight above, five points to the millimetre: a card of 85.60 × 53.98 mm with its first corner at
/// (60, 60), and below it a bar from (100, 450) to (400, 450), 60 mm long.
pub fn of_card(browser: &Browser) -> (Folder, PathBuf) {
    let script = "
        const canvas = document.createElement('canvas');
        canvas.width = 640;
        canvas.height = 560;
        const pen = canvas.getContext('2d');
        pen.fillStyle = '#c9b48a';
        pen.fillRect(0, 0, 640, 560);
        pen.fillStyle = '#2a4a7a';
        pen.fillRect(60, 60, 428, 269.9);
        pen.fillStyle = '#2a2622';
        pen.fillRect(100, 440, 300, 20);
        return canvas.toDataURL('image/jpeg', 0.9).split(',')[1];
    ";
    let folder = Folder::new();
    let file = folder.path.join("card.jpg");
    fs::write(&file, decode_base64(browser.js(script).as_str().unwrap_or_default())).expect("a scratch file");
    (folder, file)
}

/// An Exif segment: “turn a quarter right to see it upright”, and a latitude with the name of the place.
fn exif() -> Vec<u8> {
    let mut tiff = b"II*\0\x08\0\0\0".to_vec();
    let entry = |tag: u16, kind: u16, count: u32, value: u32| {
        let mut bytes = [tag.to_le_bytes(), kind.to_le_bytes()].concat();
        bytes.extend([count.to_le_bytes(), value.to_le_bytes()].concat());
        bytes
    };
    let area = [b"ASCII\0\0\0", SECRET.as_bytes()].concat();
    let (gps_at, latitude_at) = (8 + 2 + 2 * 12 + 4, 8 + 2 + 2 * 12 + 4 + 2 + 3 * 12 + 4);
    tiff.extend(2u16.to_le_bytes());
    tiff.extend(entry(0x0112, 3, 1, 6)); // Orientation
    tiff.extend(entry(0x8825, 4, 1, gps_at)); // where the position data begins
    tiff.extend([0; 4]);
    tiff.extend(3u16.to_le_bytes());
    tiff.extend(entry(1, 2, 2, u32::from(b'N')));
    tiff.extend(entry(2, 5, 3, latitude_at));
    tiff.extend(entry(0x1c, 7, area.len() as u32, latitude_at + 24)); // GPSAreaInformation
    tiff.extend([0; 4]);
    for (over, under) in [(52u32, 1u32), (31, 1), (1234, 100)] {
        tiff.extend([over.to_le_bytes(), under.to_le_bytes()].concat());
    }
    tiff.extend(area);
    let length = (2 + 6 + tiff.len()) as u16;
    [&[0xff, 0xe1], &length.to_be_bytes()[..], b"Exif\0\0", &tiff].concat()
}
