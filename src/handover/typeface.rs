use harfrust::{ShapeOptions, ShaperData, UnicodeBuffer};
use skrifa::instance::{LocationRef, Size};
use skrifa::outline::{DrawSettings, OutlineGlyphCollection, OutlinePen};
use skrifa::{FontRef, GlyphId, MetadataProvider};
use std::collections::HashMap;
use vello_cpu::kurbo::{Affine, BezPath, Rect, Vec2};

/// The typeface of the window.
const REGULAR: &[u8] = include_bytes!("../../assets/fonts/IBMPlexSans-Regular.ttf");

/// Shapes lines of text into outlines, as the window does.
pub(crate) struct Typeface {
    font: FontRef<'static>,
    shaping: ShaperData,
    outlines: OutlineGlyphCollection<'static>,
    /// Outlines that were needed before, in units of the font, y up.
    known: HashMap<GlyphId, BezPath>,
    units_per_em: f64,
    /// From the baseline to the top of a line, ems.
    ascent: f64,
    /// From the baseline to the foot of a line, ems; downwards positive.
    descent: f64,
}

/// A line of text, one unit to the height of the type, the left end of its baseline at (0, 0), y down.
pub(crate) struct Line {
    /// The outlines of its letters.
    pub(crate) letters: BezPath,
    /// From its beginning to its end, and from the top to the foot of the line.
    pub(crate) extent: Rect,
}

impl Typeface {
    /// The bundled typeface.
    ///
    /// # Panics
    /// When the bundled file is no font, which a test would show.
    pub(crate) fn regular() -> Self {
        let font = FontRef::new(REGULAR).expect("the bundled typeface is a font");
        let metrics = font.metrics(Size::unscaled(), LocationRef::default());
        let units_per_em = f64::from(metrics.units_per_em);
        Self {
            shaping: ShaperData::new(&font),
            outlines: font.outline_glyphs(),
            known: HashMap::new(),
            units_per_em,
            ascent: f64::from(metrics.ascent) / units_per_em,
            descent: -f64::from(metrics.descent) / units_per_em,
            font,
        }
    }

    /// Sets a line of text. What the typeface has no letter for is an empty box.
    pub(crate) fn set(&mut self, text: &str) -> Line {
        let mut buffer = UnicodeBuffer::new();
        buffer.push_str(text);
        buffer.guess_segment_properties();
        let shaper = self.shaping.shaper(&self.font).build();
        let shaped = shaper.shape(buffer, ShapeOptions::new());
        let mut letters = BezPath::new();
        let mut pen = Vec2::ZERO;
        for (glyph, place) in shaped.glyph_infos().iter().zip(shaped.glyph_positions()) {
            let shift = Vec2::new(place.x_offset.into(), place.y_offset.into());
            let outline = self.outline(GlyphId::new(glyph.glyph_id));
            letters.extend(Affine::translate(pen + shift) * outline);
            pen += Vec2::new(place.x_advance.into(), place.y_advance.into());
        }
        let em = 1.0 / self.units_per_em;
        letters.apply_affine(Affine::scale_non_uniform(em, -em));
        Line { letters, extent: Rect::new(0.0, -self.ascent, pen.x * em, self.descent) }
    }

    fn outline(&mut self, glyph: GlyphId) -> BezPath {
        let outlines = &self.outlines;
        let known = self.known.entry(glyph).or_insert_with(|| {
            let mut pen = PathPen(BezPath::new());
            let settings = DrawSettings::unhinted(Size::unscaled(), LocationRef::default());
            match outlines.get(glyph).map(|outline| outline.draw(settings, &mut pen)) {
                Some(Ok(_)) => pen.0,
                // Spaces have no outline.
                Some(Err(_)) | None => BezPath::new(),
            }
        });
        known.clone()
    }
}

/// Takes down an outline as a path.
struct PathPen(BezPath);

impl OutlinePen for PathPen {
    fn move_to(&mut self, x: f32, y: f32) {
        self.0.move_to((f64::from(x), f64::from(y)));
    }

    fn line_to(&mut self, x: f32, y: f32) {
        self.0.line_to((f64::from(x), f64::from(y)));
    }

    fn quad_to(&mut self, cx: f32, cy: f32, x: f32, y: f32) {
        self.0.quad_to((f64::from(cx), f64::from(cy)), (f64::from(x), f64::from(y)));
    }

    fn curve_to(&mut self, ax: f32, ay: f32, bx: f32, by: f32, x: f32, y: f32) {
        let [a, b, end] = [(ax, ay), (bx, by), (x, y)].map(|(x, y)| (f64::from(x), f64::from(y)));
        self.0.curve_to(a, b, end);
    }

    fn close(&mut self) {
        self.0.close_path();
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;
    use vello_cpu::kurbo::Shape;

    #[test]
    fn letters_stand_on_the_baseline_within_the_line() {
        let line = Typeface::regular().set("Foreman H");
        let ink = line.letters.bounding_box();
        assert!(ink.y1.abs() < 0.02 && ink.y0 < -0.6, "{ink:?}");
        assert!(line.extent.contains(ink.origin()) && ink.x1 <= line.extent.x1, "{ink:?}");
    }

    #[test]
    fn every_sign_of_the_labels_has_a_letter() {
        let mut face = Typeface::regular();
        let nothing = face.set("\u{f8ff}").letters.to_svg();
        for sign in "0189.,·°×±≈≥<>–…“”’()%/áéöñçßøŁ".chars() {
            assert_ne!(face.set(&sign.to_string()).letters.to_svg(), nothing, "{sign}");
        }
    }

    #[test]
    fn a_pair_is_set_closer_than_its_letters_apart() {
        let mut face = Typeface::regular();
        let mut width = |text| face.set(text).extent.width();
        assert!(width("AV") < width("A") + width("V") - 0.01);
    }

    #[test]
    fn no_text_is_no_ink() {
        let line = Typeface::regular().set("");
        assert!(line.letters.is_empty() && line.extent.width() == 0.0);
    }

    proptest! {
        #![proptest_config(ProptestConfig { failure_persistence: None, ..Default::default() })]

        #[test]
        fn any_text_can_be_set(text in any::<String>()) {
            let line = Typeface::regular().set(&text);
            prop_assert!(line.extent.is_finite() && line.extent.width() >= 0.0);
            prop_assert!(line.letters.is_finite());
        }
    }
}
