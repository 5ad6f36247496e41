//! The first page of a sheet in small, as it lies on A4 across, for whoever is about to write it.

use super::{Sheet, findings, key, views};
use crate::stains::{Stain, Stainer};
use crate::typeface::Typeface;
use crate::{HandoverError, bands};
use glam::DVec2;
use staffage_drawing::{Anchor, Colour, Emphasis, Ink, View, draw, standing_mark};
use staffage_scene::standing_word;
use std::ops::ControlFlow;

/// A sheet of A4 across, millimetres.
const PAPER: DVec2 = DVec2::new(297.0, 210.0);
/// Blank around what is printed, millimetres, as the style has it.
const MARGIN: f64 = 12.0;
/// Points to the millimetre.
const POINTS: f64 = 72.0 / 25.4;
const WHITE: Colour = Colour([255, 255, 255, 255]);
const DARK: Colour = Colour([0x1b, 0x1d, 0x21, 255]);
const QUIET: Colour = Colour([0x5d, 0x60, 0x68, 255]);
/// From one line of type to the next, times its height.
const LEADING: f64 = 1.38;

/// A page in small.
#[derive(Clone, Debug, PartialEq)]
pub struct FirstPage {
    /// Its width and height, pixels.
    pub size: (u32, u32),
    /// Its pixels from the top left, row by row: red, green, blue and straight alpha, 8 bits each, sRGB.
    /// Clear where the painting lies but for the ink over it.
    pub rgba: Vec<u8>,
    /// Where the painting lies: its upper left and its lower right corner, as shares of the page's width
    /// and height.
    pub painting: (DVec2, DVec2),
}

impl Sheet<'_> {
    /// Its first page, 16 to 4,096 pixels wide, without the painting: whoever shows it has that already.
    ///
    /// # Errors
    /// [`HandoverError::Cancelled`] when `watch` breaks.
    pub fn first_page(
        &self,
        across: u32,
        watch: &mut dyn FnMut() -> ControlFlow<()>,
    ) -> Result<FirstPage, HandoverError> {
        let width = across.clamp(16, 4096) as u16;
        let height = (f64::from(width) * PAPER.y / PAPER.x).round().max(1.0) as u32;
        let mut go_on = || match watch() {
            ControlFlow::Continue(()) => Ok(()),
            ControlFlow::Break(()) => Err(HandoverError::Cancelled),
        };
        let pixels = f64::from(width) / PAPER.x;
        let mut page = Page { y: MARGIN, face: Typeface::regular(), ink: Vec::new() };
        page.head(self);
        let (min, max) = page.painting(self);
        page.below();
        let mut stainer = Stainer::new(View::of_part(DVec2::ZERO, PAPER, POINTS), pixels / POINTS);
        page.ink.iter().for_each(|ink| stainer.ink(ink));
        let mut stains = stainer.finish();
        go_on()?;
        stains.extend(self.over_the_painting(min, max, pixels));
        let mut rgba = Vec::new();
        bands::paint(&stains, (width, height), &mut |band| {
            rgba.extend_from_slice(band);
            go_on()
        })?;
        let painting = (min / PAPER, max / PAPER);
        Ok(FirstPage { size: (width.into(), height), rgba, painting })
    }

    /// The ink over the painting between these corners of the page, millimetres, at so many pixels to one.
    fn over_the_painting(&self, min: DVec2, max: DVec2, pixels: f64) -> Vec<Stain> {
        let view = View::of_frame(self.scene.frame, views::POINTS);
        let drawing = draw(self.scene, self.assessment, &view, &Emphasis::default());
        let scale = pixels * (max.x - min.x) / views::POINTS;
        // Where the page's corner lies in the picture.
        let corner = view.min - min * pixels / (views::POINTS * scale);
        let mut stainer = Stainer::new(View { min: corner, ..view }, scale);
        drawing.ink().for_each(|ink| stainer.ink(ink));
        stainer.finish()
    }
}

/// What lies on the page around the painting, as ink in millimetres.
struct Page {
    /// How far down it is filled, millimetres.
    y: f64,
    face: Typeface,
    ink: Vec<Ink>,
}

impl Page {
    fn head(&mut self, sheet: &Sheet<'_>) {
        // The white lies undermost; its hole is cut once it is known where.
        self.line(&sheet.title(), MARGIN, 17.0, 1.15, DARK);
        self.y += 0.5;
        self.line(&format!("{} · {}", sheet.file, sheet.frame()), MARGIN, 9.5, LEADING, QUIET);
        self.y += 1.5;
        let (wrong, rest) = findings::verdict_words(sheet);
        self.paragraph(&format!("{wrong}{rest}"), (MARGIN, PAPER.x - MARGIN), 11.0, DARK);
        self.y += 2.5;
    }

    /// Leaves room for the painting, and returns its corners.
    fn painting(&mut self, sheet: &Sheet<'_>) -> (DVec2, DVec2) {
        let ratio = sheet.scene.frame.ratio;
        let width = (views::HIGHEST * ratio).min(PAPER.x - 2.0 * MARGIN);
        let min = DVec2::new(0.5 * (PAPER.x - width), self.y);
        let max = min + DVec2::new(width, width / ratio);
        let fill = |min: DVec2, max: DVec2| Ink::Fill {
            points: [min, DVec2::new(max.x, min.y), max, DVec2::new(min.x, max.y)]
                .into_iter()
                .collect(),
            colour: WHITE,
        };
        let white = [
            fill(DVec2::ZERO, DVec2::new(PAPER.x, min.y)),
            fill(DVec2::new(0.0, max.y), PAPER),
            fill(DVec2::new(0.0, min.y), DVec2::new(min.x, max.y)),
            fill(DVec2::new(max.x, min.y), DVec2::new(PAPER.x, max.y)),
        ];
        self.ink.splice(0..0, white);
        self.y = max.y;
        (min, max)
    }

    /// The caption and what the marks mean.
    fn below(&mut self) {
        self.y += 2.0;
        self.paragraph(views::CAPTION, (MARGIN, PAPER.x - MARGIN), 8.5, QUIET);
        self.y += 3.0;
        let column = (PAPER.x - 2.0 * MARGIN + 6.0) / 3.0;
        let view = View::of_part(DVec2::ZERO, PAPER, POINTS);
        for row in key::MEANINGS.chunks(3) {
            let top = self.y;
            let mut lowest = top;
            for (place, (standing, meaning)) in row.iter().enumerate() {
                let left = MARGIN + place as f64 * column;
                let at = DVec2::new(left + 1.8, top + 2.1);
                self.ink.extend(standing_mark(*standing, false, at, &view));
                self.y = top;
                self.line(standing_word(*standing), left + 4.8, 8.5, LEADING, DARK);
                self.y = top;
                self.paragraph(meaning, (left + 24.0, left + column - 6.0), 8.5, DARK);
                lowest = lowest.max(self.y);
            }
            self.y = lowest + 1.0;
        }
    }

    /// A line of type of this height in points.
    fn line(&mut self, text: &str, left: f64, size: f64, leading: f64, colour: Colour) {
        let height = size * leading / POINTS;
        self.ink.push(Ink::Words {
            at: DVec2::new(left, self.y + 0.5 * height),
            offset: DVec2::ZERO,
            text: text.to_owned(),
            size,
            colour,
            plate: None,
            anchor: Anchor::Left,
        });
        self.y += height;
    }

    /// Words broken into lines between these edges.
    fn paragraph(&mut self, text: &str, (left, right): (f64, f64), size: f64, colour: Colour) {
        let mut line = String::new();
        for word in text.split_whitespace() {
            let longer = if line.is_empty() { word.to_owned() } else { format!("{line} {word}") };
            let width = self.face.set(&longer).extent.width() * size / POINTS;
            if width > right - left && !line.is_empty() {
                self.line(&line, left, size, LEADING, colour);
                word.clone_into(&mut line);
            } else {
                line = longer;
            }
        }
        self.line(&line, left, size, LEADING, colour);
    }
}
