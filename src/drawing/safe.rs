//! Safe areas, and the frames of other deliveries inside the picture's own.

use crate::palette::{PLATE, WHITE};
use crate::pen::{Pen, SMALL, Type};
use crate::{Anchor, Drawing, View};
use glam::DVec2;
use staffage_scene::{ACTION_SAFE, FRAME_RATIOS, Frame, FrameRatio, TITLE_SAFE};

/// Deliveries that a film is most often seen in, by their names in [`FRAME_RATIOS`] (common practice).
const DELIVERIES: [&str; 6] = ["9 : 16", "1 : 1", "1.33", "1.78", "1.85", "2.39"];
/// Frames closer in shape than this are one.
const SAME: f64 = 0.01;

/// Lines within which a picture stays whole.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum SafeLines {
    /// The action-safe and the title-safe area of the frame itself.
    Areas,
    /// Another delivery, cut out of the middle of the frame, with its own areas.
    Delivery(FrameRatio),
}

impl SafeLines {
    /// Those there are inside this frame: its own areas, then the deliveries of another shape.
    #[must_use]
    pub fn within(frame: Frame) -> Vec<Self> {
        let other = |shape: &FrameRatio| (shape.ratio / frame.ratio - 1.0).abs() > SAME;
        let usual = |shape: &FrameRatio| DELIVERIES.contains(&shape.name);
        let deliveries = FRAME_RATIOS.into_iter().rev().filter(usual).filter(other);
        [Self::Areas].into_iter().chain(deliveries.map(Self::Delivery)).collect()
    }

    /// What they are called.
    #[must_use]
    pub fn name(&self) -> &'static str {
        match self {
            Self::Areas => "action and title",
            Self::Delivery(shape) => shape.name,
        }
    }

    /// Half of the width and of the height of the frame they are lines of, picture units.
    fn half(&self, frame: Frame) -> DVec2 {
        let whole = DVec2::new(0.5, frame.half_height());
        match self {
            Self::Areas => whole,
            Self::Delivery(shape) if shape.ratio < frame.ratio => {
                DVec2::new(whole.y * shape.ratio, whole.y)
            }
            Self::Delivery(shape) => DVec2::new(whole.x, whole.x / shape.ratio),
        }
    }
}

/// The lines as ink in a group named `safe`, their words in one named `safe-words`.
#[must_use]
pub fn safe_lines(frame: Frame, lines: &SafeLines, view: &View) -> Drawing {
    let mut drawing = Drawing::default();
    let Some(mut pen) = Pen::of_view(view) else { return drawing };
    let half = lines.half(frame);
    let delivery = match lines {
        SafeLines::Areas => None,
        SafeLines::Delivery(shape) => Some(format!("{} delivery", shape.name)),
    };
    let areas = [
        (1.0, delivery, None),
        (ACTION_SAFE, Some(format!("action {:.0} %", 100.0 * ACTION_SAFE)), None),
        (TITLE_SAFE, Some(format!("title {:.0} %", 100.0 * TITLE_SAFE)), Some((6.0, 4.0))),
    ];
    let mut words = Vec::new();
    for (share, text, dash) in areas {
        let Some(text) = text else { continue };
        let c = half * share;
        let corners = [-c, DVec2::new(c.x, -c.y), c, DVec2::new(-c.x, c.y)];
        let (edge, line) = if share == 1.0 { (3.5, 1.5) } else { (2.5, 1.0) };
        pen.outline(&corners, edge, crate::palette::DARK.faded(0.5), dash);
        pen.outline(&corners, line, WHITE.faded(0.85), dash);
        words.push((DVec2::new(-c.x, c.y), text));
    }
    drawing.push("safe", None, pen.take());
    // Each starts where its own line does, one beside the other.
    for (column, (corner, text)) in words.into_iter().enumerate() {
        let style = Type { text: &text, size: SMALL, colour: WHITE, plate: Some(PLATE) };
        let offset = DVec2::new(6.0 + 96.0 * column as f64, -SMALL);
        pen.words(corner, offset, Anchor::Left, style);
    }
    drawing.push("safe-words", None, pen.take());
    drawing
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Ink;

    const SCOPE: Frame = Frame { ratio: 2.39, working_width: 2300 };

    fn extents(lines: &SafeLines) -> Vec<DVec2> {
        let drawing = safe_lines(SCOPE, lines, &View::of_frame(SCOPE, 1400.0));
        let outlines = drawing.groups.iter().filter(|group| group.name == "safe");
        let strokes = outlines.flat_map(|group| &group.ink).filter_map(|ink| match ink {
            Ink::Stroke { points, .. } => points.iter().map(|p| p.abs()).reduce(DVec2::max),
            _ => None,
        });
        strokes.collect()
    }

    fn has(extents: &[DVec2], width: f64, height: f64) -> bool {
        let half = DVec2::new(width, height) / 2.0;
        extents.iter().any(|found| (*found - half).length() < 1e-9)
    }

    #[test]
    fn areas_are_shares_of_width_and_height() {
        let found = extents(&SafeLines::Areas);
        let height = 1.0 / 2.39;
        assert!(has(&found, 0.93, 0.93 * height) && has(&found, 0.9, 0.9 * height), "{found:?}");
    }

    #[test]
    fn a_narrower_delivery_keeps_the_height_and_a_wider_one_the_width() {
        let named = |name: &str| {
            SafeLines::within(SCOPE).into_iter().find(|lines| lines.name() == name).unwrap()
        };
        let height = 1.0 / 2.39;
        assert!(has(&extents(&named("1.78")), height * 16.0 / 9.0, height));
        let flat = Frame { ratio: 1.85, working_width: 2300 };
        let scope = SafeLines::within(flat).into_iter().find(|l| l.name() == "2.39").unwrap();
        assert_eq!(scope.half(flat), DVec2::new(0.5, 0.5 / 2.39));
    }

    #[test]
    fn a_frame_is_no_delivery_of_itself() {
        assert!(SafeLines::within(SCOPE).iter().all(|lines| lines.name() != "2.39"));
        assert_eq!(SafeLines::within(SCOPE).first(), Some(&SafeLines::Areas));
    }
}
