//! How high the eye is, said by hand: without it or a figure of known size, a scene has no scale.

use crate::actions::act::Act;
use crate::desk::Desk;
use crate::{field, typed};
use egui::Ui;
use staffage_scene::{Edit, Known, Level, metres_over};

/// Room for the height, points.
const ROOM: f32 = 62.0;
/// Spread of a height that is said here, as a fraction; the level's properties have it.
const SPREAD: f64 = 0.05;

/// The level that things are set on, if nothing says how high the eye is over it.
pub(crate) fn level_without_scale(desk: &Desk) -> Option<&Level> {
    let level = desk.tools.level.and_then(|id| desk.scene().level(id))?;
    metres_over(desk.assessment(), level.id).is_none().then_some(level)
}

/// A field for the height over a level: empty where nothing was said of it.
pub(crate) fn field(desk: &Desk, ui: &mut Ui, level: &Level, acts: &mut Vec<Act>) {
    let said = level.clearance.map(|known| desk.units().exactly(known.metres));
    let (salt, name) = (("eye height", level.id.0), "Height of the eye");
    let (text, wanted) = (said.unwrap_or_default(), typed::LENGTH_WANTED);
    let typed = field::parsed(ui, salt, name, &text, ROOM, wanted, |text| {
        if text.is_empty() { Some(0.0) } else { typed::length(text, desk.units()) }
    });
    if let Some(metres) = typed.filter(|metres| *metres > 0.0) {
        let spread = level.clearance.map_or(SPREAD, |known| known.spread);
        let clearance = Some(Known { metres, spread });
        acts.push(Act::Edit(Edit::PutLevel(Level { clearance, ..level.clone() })));
    }
}
