//! One sheet of drawing under the canvas, and what it was made from.

use crate::canvas::laid_ink::LaidInk;
use glam::DVec2;
use staffage_drawing::{
    Axis, Colour, Drawing, Emphasis, Ground, Ink, Paper, Place, SectionView, plan, section,
};
use staffage_scene::{Assessment, Scene, Unit};
use std::sync::Arc;

/// Which sheet.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub(crate) enum Kind {
    Section,
    Plan,
}

impl Kind {
    pub(crate) fn word(self) -> &'static str {
        match self {
            Self::Section => "Section",
            Self::Plan => "Plan",
        }
    }
}

/// What a sheet shows.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum Outlook {
    Section(SectionView),
    Plan(Axis, Option<Ground>),
}

/// A sheet and what it was made from.
pub(crate) struct Sheet {
    scene: Arc<Scene>,
    emphasis: Emphasis,
    outlook: Outlook,
    size: DVec2,
    dark: bool,
    pub(crate) drawing: Drawing,
    /// As it lies on the screen.
    pub(crate) laid: Option<LaidInk>,
    pub(crate) places: Vec<Place>,
    /// Where distances and heights lie on a section.
    pub(crate) paper: Option<Paper>,
    /// Where the ground lies on a plan.
    pub(crate) ground: Option<Ground>,
    pub(crate) unit: Option<Unit>,
    /// What each place is called and said to be; only made while somebody listens.
    pub(crate) said: Option<Vec<(String, String)>>,
}

impl Sheet {
    pub(crate) fn of(
        scene: Arc<Scene>,
        assessment: &Assessment,
        emphasis: Emphasis,
        outlook: Outlook,
        size: DVec2,
        dark: bool,
    ) -> Self {
        let (mut drawing, places, paper, ground, unit) = match outlook {
            Outlook::Section(view) => {
                let made = section(&scene, assessment, &emphasis, &view, size);
                (made.drawing, made.places, made.paper, None, made.unit)
            }
            Outlook::Plan(axis, ground) => {
                let made = plan(&scene, assessment, &emphasis, axis, ground, size);
                (made.drawing, made.places, None, made.ground, made.unit)
            }
        };
        if !dark {
            // Marks are edged in dark and read on any ground.
            let others = drawing.groups.iter_mut().filter(|group| group.name != "mark");
            others.flat_map(|group| &mut group.ink).for_each(put_on_light);
        }
        let (laid, said) = (None, None);
        Self {
            scene,
            emphasis,
            outlook,
            size,
            dark,
            drawing,
            laid,
            places,
            paper,
            ground,
            unit,
            said,
        }
    }

    pub(crate) fn is_of(
        &self,
        scene: &Arc<Scene>,
        emphasis: &Emphasis,
        outlook: Outlook,
        size: DVec2,
        dark: bool,
    ) -> bool {
        Arc::ptr_eq(&self.scene, scene)
            && self.outlook == outlook
            && self.size == size
            && self.dark == dark
            && self.emphasis == *emphasis
    }
}

/// Changes ink that is meant for a dark ground into ink for a light one.
fn put_on_light(ink: &mut Ink) {
    match ink {
        Ink::Stroke { colour, .. } | Ink::Fill { colour, .. } => *colour = on_light(*colour),
        Ink::Disc { colour, outline, .. } => {
            *colour = on_light(*colour);
            *outline = outline.map(|(width, colour)| (width, on_light(colour)));
        }
        Ink::Words { colour, plate, .. } => {
            *colour = on_light(*colour);
            *plate = plate.map(on_light);
        }
    }
}

/// Lightness (luma of ITU-R BT.709) that a hue has at most on a light ground, so that pale ones are seen, too.
const DEEP: f32 = 100.0;

/// Greys change places, light for dark; hues keep what they mean and become deeper.
fn on_light(colour: Colour) -> Colour {
    let [r, g, b, opacity] = colour.0;
    let is_grey = r.max(g).max(b) - r.min(g).min(b) < 24;
    let luma = 0.2126 * f32::from(r) + 0.7152 * f32::from(g) + 0.0722 * f32::from(b);
    let deeper = (DEEP / luma.max(1.0)).min(0.72);
    let change = |c: u8| if is_grey { 255 - c } else { (f32::from(c) * deeper) as u8 };
    Colour([change(r), change(g), change(b), opacity])
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn on_a_light_ground_white_ink_turns_dark_and_hues_stay_hues() {
        let white = Colour([255, 255, 255, 128]);
        assert_eq!(on_light(white), Colour([0, 0, 0, 128]));
        let Colour([r, g, b, _]) = on_light(Colour([213, 94, 0, 255]));
        assert!(r > g && g > b && r < 213);
        let Colour([r, g, b, _]) = on_light(Colour([170, 205, 255, 255]));
        assert!(b > g && g > r && g < 110, "pale blue is seen on white");
    }
}
