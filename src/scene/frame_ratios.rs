//! Shapes of frames that pictures are painted for, the ladder of working widths, and safe areas.

/// A shape of frame with its trade name.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FrameRatio {
    /// Its trade name.
    pub name: &'static str,
    /// Width over height.
    pub ratio: f64,
    /// Where it is laid down, or that it is common practice.
    pub source: &'static str,
}

const fn shape(name: &'static str, ratio: f64, source: &'static str) -> FrameRatio {
    FrameRatio { name, ratio, source }
}

/// Film and broadcast frames, narrow to wide.
///
/// Standards are named from memory; none of their texts is quoted.
pub const FRAME_RATIOS: [FrameRatio; 12] = [
    shape("9 : 16", 9.0 / 16.0, "upright screens, common practice"),
    shape("1 : 1", 1.0, "square, common practice"),
    shape("1.33", 4.0 / 3.0, "4 : 3, Recommendation ITU-R BT.601 (from memory)"),
    shape("1.37", 1.375, "Academy frame of 1932, 1.375 : 1"),
    shape("1.66", 5.0 / 3.0, "European flat, common practice"),
    shape("1.78", 16.0 / 9.0, "16 : 9, Recommendation ITU-R BT.709"),
    shape("1.85", 1.85, "flat, SMPTE 195 (from memory)"),
    shape("2.00", 2.0, "common practice"),
    shape("2.20", 2.2, "70 mm, SMPTE 152 (from memory)"),
    shape("2.35", 2.35, "scope before 1970, common practice"),
    shape("2.39", 2.39, "scope, SMPTE 195 (from memory)"),
    shape("2.76", 2.76, "65 mm with an anamorphic lens, common practice"),
];

/// The ladder of working widths, pixels (common practice).
pub const WORKING_WIDTHS: [u32; 3] = [2300, 5000, 10_000];

/// Share of the frame's width and height within which what happens is seen everywhere: 93 %, SMPTE ST
/// 2046-1:2009.
pub const ACTION_SAFE: f64 = 0.93;
/// Share of the frame's width and height within which titles are seen everywhere: 90 %, SMPTE ST
/// 2046-1:2009.
pub const TITLE_SAFE: f64 = 0.90;

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn shapes_run_from_narrow_to_wide_and_are_called_by_their_ratio() {
        assert!(FRAME_RATIOS.is_sorted_by(|a, b| a.ratio < b.ratio));
        for shape in FRAME_RATIOS {
            let called = match shape.name.split_once(" : ") {
                Some((w, h)) => w.parse::<f64>().unwrap() / h.parse::<f64>().unwrap(),
                None => shape.name.parse().unwrap(),
            };
            assert!((called - shape.ratio).abs() < 0.008, "{shape:?}");
            assert!(!shape.source.is_empty());
        }
    }

    #[test]
    fn the_ladder_climbs_by_about_two_each_time() {
        for pair in WORKING_WIDTHS.windows(2) {
            let factor = f64::from(pair[1]) / f64::from(pair[0]);
            assert!((1.9..=2.3).contains(&factor), "{pair:?}");
        }
    }
}
