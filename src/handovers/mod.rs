//! Carries out what the desk hands over: overlays, layered files, levelled copies, the ink on the clipboard, a
//! painting from there.

mod clipboard;
#[cfg(test)]
mod following;
mod layers;
mod level;
mod overlay;
mod pasting;
mod product;
mod product_preview;

use clipboard::{Pictures, SystemClipboard};
use staffage_desk::{
    FilmBack, HandoverProgress, Handovers, Ink, InkPart, InkPreview, LevelAim, Order, Outcome,
    OverlayOrder, ProductOrder, ProductPreview,
};
use staffage_handover::{HandoverError, Overlay, OverlayOptions, Part, Rows};
use staffage_scene::assess_in;
use staffage_solver::Eye;
use std::ops::ControlFlow;

/// Carries orders out with the system's files and its clipboard.
pub(crate) struct Runner {
    clipboard: Box<dyn Pictures>,
}

impl Default for Runner {
    fn default() -> Self {
        Self { clipboard: Box::new(SystemClipboard) }
    }
}

impl Handovers for Runner {
    fn carry_out(&self, order: &Order, progress: &HandoverProgress) -> Outcome {
        match order {
            Order::Overlay(OverlayOrder { ink, path, replace }) => {
                overlay::write(ink, path, *replace, progress)
            }
            Order::CopyInk(ink) => copy(&*self.clipboard, ink, progress),
            Order::PastePainting { wanted } => pasting::paste(&*self.clipboard, wanted, progress),
            Order::Layers(order) => layers::write(order, progress),
            Order::Level(order) => level::write(order, progress),
            Order::Product(order) => product::write(order, progress),
            Order::BringBack { copy, replace } => level::bring_back(copy, *replace, progress),
        }
    }

    fn preview(
        &self,
        ink: &Ink,
        across: u32,
        progress: &HandoverProgress,
    ) -> Result<Option<InkPreview>, String> {
        let refused = |why: HandoverError| format!("{}.", capital(&why.to_string()));
        let full = laid_out(ink).map_err(refused)?.size();
        let small = Ink { width: across.min(ink.width), ..ink.clone() };
        let overlay = laid_out(&small).map_err(refused)?;
        match overlay.to_rgba(&mut watch(progress)) {
            Ok(rgba) => Ok(Some(InkPreview { full, size: overlay.size(), rgba })),
            Err(HandoverError::Cancelled) => Ok(None),
            Err(why) => Err(refused(why)),
        }
    }

    fn preview_product(
        &self,
        order: &ProductOrder,
        across: u32,
        progress: &HandoverProgress,
    ) -> Result<Option<ProductPreview>, String> {
        product_preview::preview(order, across, progress)
    }

    fn film_backs(&self) -> Vec<FilmBack> {
        product_preview::film_backs()
    }

    fn measure(&self, eye: &Eye, painting: (u32, u32), aim: LevelAim) -> Result<String, String> {
        level::measure(eye, painting, aim)
    }
}

/// The overlay that ink makes.
fn laid_out(ink: &Ink) -> Result<Overlay, HandoverError> {
    Overlay::new(&ink.scene, &assess_in(&ink.scene, ink.units), &options(ink))
}

fn options(ink: &Ink) -> OverlayOptions {
    OverlayOptions {
        width: ink.width,
        parts: ink.parts.iter().copied().map(part).collect(),
        words: ink.words,
        weight: ink.weight,
        grid: ink.grid,
    }
}

fn part(part: InkPart) -> Part {
    match part {
        InkPart::Guides => Part::Guides,
        InkPart::StandIns => Part::StandIns,
        InkPart::Markers => Part::Markers,
        InkPart::Findings => Part::Findings,
        InkPart::Safe => Part::Safe,
        InkPart::Grid => Part::Grid,
    }
}

/// Tells the desk how far it is, and gives up when the desk says so.
fn watch(progress: &HandoverProgress) -> impl FnMut(Rows) -> ControlFlow<()> {
    |rows| {
        progress.report(rows.done as f32 / rows.of.max(1) as f32);
        if progress.is_cancelled() { ControlFlow::Break(()) } else { ControlFlow::Continue(()) }
    }
}

/// Puts the ink on the clipboard.
fn copy(clipboard: &dyn Pictures, ink: &Ink, progress: &HandoverProgress) -> Outcome {
    let copied = laid_out(ink).and_then(|overlay| {
        let rgba = overlay.to_rgba(&mut watch(progress))?;
        Ok((overlay.size(), rgba))
    });
    match copied {
        Ok(((width, height), rgba)) => match clipboard.put((width, height), rgba) {
            Ok(()) => Outcome::Done(format!("Copied the ink, {width} × {height} px.")),
            Err(why) => Outcome::Failed(why),
        },
        Err(HandoverError::Cancelled) => Outcome::Cancelled,
        Err(why) => Outcome::Failed(format!("The ink was not copied: {why}.")),
    }
}

fn capital(words: &str) -> String {
    let mut letters = words.chars();
    let first: String = letters.next().into_iter().flat_map(char::to_uppercase).collect();
    first + letters.as_str()
}

#[cfg(test)]
mod tests {
    use super::clipboard::tests::Board;
    use super::*;
    use staffage_scene::{Frame, Scene, Units};
    use std::sync::Arc;

    fn ink(width: u32) -> Ink {
        let frame = Frame { ratio: 2.0, working_width: 5000 };
        let scene = Arc::new(Scene { frame, ..Scene::default() });
        Ink {
            scene,
            width,
            parts: InkPart::USUAL.to_vec(),
            words: true,
            weight: 1.0,
            grid: None,
            units: Units::Metric,
        }
    }

    #[test]
    fn copied_ink_has_a_transparent_ground_and_is_said_how_large_it_is() {
        let board = Board::default();
        let outcome = copy(&board, &ink(478), &HandoverProgress::default());
        assert_eq!(outcome, Outcome::Done("Copied the ink, 478 × 239 px.".into()));
        let (size, rgba) = board.take().unwrap();
        assert_eq!(size, (478, 239));
        assert_eq!(rgba.len(), 4 * 478 * 239);
        assert_eq!(rgba[3], 0, "its corner is clear");
        assert!(rgba.chunks(4).any(|pixel| pixel[3] > 200), "a blank frame has its horizon");
    }

    #[test]
    fn a_copy_that_is_given_up_leaves_the_clipboard_as_it_was() {
        let board = Board::default();
        let progress = HandoverProgress::default();
        progress.cancel();
        assert_eq!(copy(&board, &ink(478), &progress), Outcome::Cancelled);
        assert!(board.take().is_err());
    }

    #[test]
    fn a_preview_is_small_and_tells_the_size_of_what_will_be_written() {
        let preview = Runner::default().preview(&ink(4800), 240, &HandoverProgress::default());
        let preview = preview.unwrap().unwrap();
        assert_eq!((preview.full, preview.size), ((4800, 2400), (240, 120)));
        let heavy = Ink { weight: 99.0, ..ink(4800) };
        let why = Runner::default().preview(&heavy, 240, &HandoverProgress::default());
        assert_eq!(why, Err("The weight of the ink can be 0.1 to 10, not 99.".into()));
    }
}
