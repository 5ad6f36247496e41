//! A painting that was cropped or extended above or below: what was traced is lined up with it again.

use crate::painting::frame_of;
use glam::DVec2;
use staffage_scene::{Edit, Guide, Line, Marker, Painting, Scene, Segment};

/// Which edges of the old frame and of the new painting coincide.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum LineUp {
    /// The upper ones: it was changed below.
    Top,
    /// The middles: it was changed above and below alike.
    Middle,
    /// The lower ones: it was changed above.
    Bottom,
}

impl LineUp {
    pub(crate) const ALL: [Self; 3] = [Self::Top, Self::Middle, Self::Bottom];

    /// The word on its button.
    pub(crate) fn word(self) -> &'static str {
        match self {
            Self::Top => "top",
            Self::Middle => "middle",
            Self::Bottom => "bottom",
        }
    }
}

/// The edit that gives the scene the frame of a painting of this size, as wide as before in picture
/// units, and moves everything placed in the picture along, so that it stays on what was painted.
pub(crate) fn reshaped(scene: &Scene, size: (u32, u32), line_up: LineUp) -> Edit {
    let frame = frame_of(size);
    let grown = scene.frame.half_height() - frame.half_height();
    let down = match line_up {
        LineUp::Top => grown,
        LineUp::Middle => 0.0,
        LineUp::Bottom => -grown,
    };
    let mut edits = vec![Edit::SetFrame(frame), Edit::SetPainting(seen(scene, size))];
    if down != 0.0 {
        edits.extend(moved(scene, DVec2::new(0.0, down)));
    }
    Edit::Several { label: "Take the painting’s shape".into(), edits }
}

/// The scene's painting with the size that it was seen to have.
pub(crate) fn seen(scene: &Scene, size: (u32, u32)) -> Option<Painting> {
    scene.painting.clone().map(|painting| Painting { size, ..painting })
}

fn moved(scene: &Scene, by: DVec2) -> Vec<Edit> {
    let segment = |Segment(a, b)| Segment(a + by, b + by);
    let horizon = scene.horizon.map(|s| Edit::SetHorizon(Some(segment(s))));
    let lines =
        scene.lines.iter().map(|l| Edit::PutLine(Line { segment: segment(l.segment), ..*l }));
    let markers = scene.markers.iter().map(|m| {
        let stands = m.stands.tie().map_or(m.stands, |tie| m.stands.tied_at(tie + by));
        Edit::PutMarker(Marker { foot: m.foot + by, head: m.head + by, stands, ..m.clone() })
    });
    let stand_ins = scene.stand_ins.iter().map(|s| Edit::PutStandIn(s.moved(by)));
    let guides = scene
        .guides
        .iter()
        .map(|g| Edit::PutGuide(Guide { shape: g.shape.moved(by), ..g.clone() }));
    horizon.into_iter().chain(lines).chain(markers).chain(stand_ins).chain(guides).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use staffage_scene::{Family, Frame, LineId, apply};

    /// Where a point at the top of an old 2:1 frame lies after the painting became 4:1.
    fn top_after(line_up: LineUp) -> f64 {
        let top = Segment(DVec2::new(0.0, -0.25), DVec2::new(0.1, 0.0));
        let scene = Scene {
            frame: Frame { ratio: 2.0, working_width: 400 },
            lines: vec![Line { id: LineId(1), family: Family::Upright, segment: top }],
            ..Scene::default()
        };
        let after = apply(&scene, &reshaped(&scene, (400, 100), line_up)).expect("a sound scene");
        assert_eq!(after.frame, Frame { ratio: 4.0, working_width: 400 });
        after.lines[0].segment.0.y
    }

    #[test]
    fn what_was_at_the_edge_that_stayed_is_still_at_it() {
        // The new frame reaches from -0.125 to 0.125.
        assert_eq!(top_after(LineUp::Top), -0.125);
        assert_eq!(top_after(LineUp::Middle), -0.25);
        assert_eq!(top_after(LineUp::Bottom), -0.375);
    }
}
