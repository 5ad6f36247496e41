//! The painting as a small picture to go into another file.

use crate::HandoverError;
use image::codecs::jpeg::JpegEncoder;
use image::{ExtendedColorType, RgbImage, imageops};
use staffage_picture::{Channels, Pixels};
use std::io;

/// How well a card is kept, of 100: higher takes more room, lower shows blocks in skies.
const QUALITY: u8 = 88;

/// A JPEG of the painting.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Card {
    /// The file.
    pub jpeg: Vec<u8>,
    /// Its width and height, pixels.
    pub size: (u32, u32),
}

impl Card {
    /// The picture at most `across` pixels wide, on white where it is transparent. Pixels are averaged
    /// as they are encoded, as paint programs do when zoomed out (common practice).
    ///
    /// # Errors
    /// [`HandoverError::Unwritable`] when it cannot be encoded.
    pub fn of(pixels: &Pixels, across: u32) -> Result<Self, HandoverError> {
        let rgb = opaque(pixels)?;
        let (width, height) = rgb.dimensions();
        let rgb = if width > across {
            let down = f64::from(height) * f64::from(across) / f64::from(width);
            imageops::thumbnail(&rgb, across, (down.round() as u32).max(1))
        } else {
            rgb
        };
        let mut jpeg = Vec::new();
        JpegEncoder::new_with_quality(&mut jpeg, QUALITY)
            .encode(rgb.as_raw(), rgb.width(), rgb.height(), ExtendedColorType::Rgb8)
            .map_err(io::Error::other)?;
        Ok(Self { jpeg, size: rgb.dimensions() })
    }

    /// It as an address that holds all of it.
    pub(crate) fn data_uri(&self) -> String {
        use base64::Engine as _;
        let encoded = base64::engine::general_purpose::STANDARD.encode(&self.jpeg);
        format!("data:image/jpeg;base64,{encoded}")
    }
}

/// Red, green and blue on white.
fn opaque(pixels: &Pixels) -> Result<RgbImage, HandoverError> {
    let samples = pixels.samples();
    let rgb: Vec<u8> = match pixels.channels() {
        Channels::Grey => samples.iter().flat_map(|&grey| [grey; 3]).collect(),
        Channels::Rgb => samples.to_vec(),
        Channels::RgbaPremultiplied => samples
            .chunks_exact(4)
            .flat_map(|p| [p[0], p[1], p[2]].map(|c| c.saturating_add(255 - p[3])))
            .collect(),
    };
    let size = pixels.size();
    let image = RgbImage::from_raw(size.width, size.height, rgb);
    Ok(image.ok_or_else(|| io::Error::other("the picture has no pixels"))?)
}

#[cfg(test)]
mod tests {
    use super::*;
    use staffage_picture::Size;

    fn pixels(channels: Channels, samples: &[u8], (width, height): (u32, u32)) -> Pixels {
        Pixels::new(Size { width, height }, channels, samples.to_vec()).unwrap()
    }

    fn read(card: &Card) -> RgbImage {
        image::load_from_memory(&card.jpeg).unwrap().into_rgb8()
    }

    #[test]
    fn a_large_picture_is_made_smaller_in_its_shape_and_a_small_one_is_left() {
        let wide = pixels(Channels::Grey, &[120; 3000], (100, 30));
        let card = Card::of(&wide, 50).unwrap();
        assert_eq!((card.size, read(&card).dimensions()), ((50, 15), (50, 15)));
        assert_eq!(Card::of(&wide, 200).unwrap().size, (100, 30));
        assert!(card.data_uri().starts_with("data:image/jpeg;base64,/9j/"));
    }

    #[test]
    fn what_is_transparent_lies_on_white() {
        let glass = [0, 0, 0, 0, 60, 60, 60, 128].repeat(128);
        let seen =
            read(&Card::of(&pixels(Channels::RgbaPremultiplied, &glass, (2, 128)), 9).unwrap());
        let [left, right] = [seen.get_pixel(0, 64).0[0], seen.get_pixel(1, 64).0[0]];
        assert!(left > 215 && (180..225).contains(&right), "{left} {right}");
    }
}
