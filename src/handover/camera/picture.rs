//! What goes along with a camera in small, from above.

use crate::stains::Stainer;
use crate::{HandoverError, bands};
use glam::DVec2;
use staffage_drawing::{Axis, Colour, Emphasis, Ink, View, on_paper, plan};
use staffage_scene::{Assessment, Scene};
use std::ops::ControlFlow;

/// Size of the picture, points: as wide as a panel beside a canvas.
const SIZE: DVec2 = DVec2::new(276.0, 176.0);

/// The eye, what the frame sees, the markers and the stand-ins from above on white, 16 to 4,096 pixels wide: its
/// width and height, and its pixels as red, green, blue and alpha from the top left, row by row.
///
/// # Errors
/// [`HandoverError::Cancelled`] when `watch` breaks.
pub fn picture_from_above(
    scene: &Scene,
    assessment: &Assessment,
    across: u32,
    watch: &mut dyn FnMut() -> ControlFlow<()>,
) -> Result<((u32, u32), Vec<u8>), HandoverError> {
    let width = across.clamp(16, 4096) as u16;
    let height = (f64::from(width) * SIZE.y / SIZE.x).round().max(1.0) as u32;
    let drawing = plan(scene, assessment, &Emphasis::default(), Axis::Logarithmic, None, SIZE);
    let mut stainer =
        Stainer::new(View::of_part(DVec2::ZERO, SIZE, 1.0), f64::from(width) / SIZE.x);
    // Half a pixel more, so that no edge is seen through.
    let (least, most) = (DVec2::splat(-1.0), SIZE + DVec2::ONE);
    let corners = [least, DVec2::new(most.x, least.y), most, DVec2::new(least.x, most.y)];
    let white = Colour([255, 255, 255, 255]);
    stainer.ink(&Ink::Fill { points: corners.into_iter().collect(), colour: white });
    on_paper(drawing.drawing).ink().for_each(|ink| stainer.ink(ink));
    let mut rgba = Vec::new();
    bands::paint(&stainer.finish(), (width, height), &mut |band| {
        rgba.extend_from_slice(band);
        match watch() {
            ControlFlow::Continue(()) => Ok(()),
            ControlFlow::Break(()) => Err(HandoverError::Cancelled),
        }
    })?;
    // Plate upon plate takes a little off what is opaque.
    rgba.as_chunks_mut::<4>().0.iter_mut().for_each(|pixel| pixel[3] = 255);
    Ok(((width.into(), height), rgba))
}
