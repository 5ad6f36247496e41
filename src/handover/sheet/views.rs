//! The painting with its ink, and the scene from the side and from above.

use super::{Sheet, drawn};
use glam::DVec2;
use maud::{Markup, html};
use staffage_drawing::{
    Axis, Emphasis, SectionView, View, draw, on_paper, plan, section, to_inline_svg,
};

/// Width of the frame in points of the drawing: fewer make larger type. At 1,000 the smallest type is
/// 8 points high on paper.
pub(super) const POINTS: f64 = 1000.0;

/// Highest that the painting is on paper, millimetres, so that the first page holds it with the key.
pub(super) const HIGHEST: f64 = 114.0;

/// What is seen in the painting.
pub(super) const CAPTION: &str = "Beside each measured thing stand its name, its size and how far off it is. \
     Staffs are banded at equal lengths; a dashed outline is the size that everything else asks for. Lines \
     are edges that were traced: green ones are upright, orange ones run away to the left, blue ones to the \
     right.";

/// Size of the section, points.
const PAPER: DVec2 = DVec2::new(1000.0, 262.0);
/// Size of the plan, points: what the frame sees widens with distance, so that a strip as wide as the section
/// would be half empty. Both fit on one page of A4.
const PLAN: DVec2 = DVec2::new(660.0, 312.0);

/// The painting under the ink that the canvas shows over it.
pub(super) fn painting(sheet: &Sheet<'_>) -> Markup {
    let (scene, frame) = (sheet.scene, sheet.scene.frame);
    let view = View::of_frame(frame, POINTS);
    let ink = draw(scene, sheet.assessment, &view, &Emphasis::default());
    let label = "The painting with its horizon, traced lines, markers and how they stand";
    let ratio = frame.ratio;
    let style =
        format!("aspect-ratio:{ratio:.5};width:min(100%,{:.1}mm)", (HIGHEST * ratio).min(2000.0));
    html! {
        div.painting style=(style) {
            @if let Some(card) = sheet.painting {
                img src=(card.data_uri()) alt="The painting";
            }
            (drawn(to_inline_svg(&ink, &view, label)))
        }
        p.caption { (CAPTION) }
    }
}

/// The scene as an architect would draw it.
pub(super) fn section_and_plan(sheet: &Sheet<'_>) -> Markup {
    let (scene, assessment) = (sheet.scene, sheet.assessment);
    let (emphasis, outlook) = (Emphasis::default(), SectionView::default());
    let side = section(scene, assessment, &emphasis, &outlook, PAPER);
    let above = plan(scene, assessment, &emphasis, Axis::Logarithmic, None, PLAN);
    if side.paper.is_none() && above.ground.is_none() {
        return html! {};
    }
    let svg = |drawing, size, label| {
        drawn(to_inline_svg(&on_paper(drawing), &View::of_part(DVec2::ZERO, size, 1.0), label))
    };
    html! {
        section.drawn {
            h2 { "The place from the side and from above" }
            figure {
                (svg(side.drawing, PAPER, "The scene from the side"))
                figcaption {
                    "From the side: the eye at the left, distance to the right, height upwards. Both run in "
                    "equal ratios, so that a figure and a thing a hundred times as high can both be read."
                }
            }
            figure.plan {
                (svg(above.drawing, PLAN, "The scene from above"))
                figcaption {
                    "From above: the eye at the left looks to the right; what the frame sees is outlined. A "
                    "bar along the line of sight is the interval in which the thing stands. The crosses at "
                    "the right show how the buildings are turned."
                }
            }
        }
    }
}
