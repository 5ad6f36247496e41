//! Everything about a level.

use crate::actions::act::Act;
use crate::desk::Desk;
use crate::{field, properties::statements};
use egui::{ComboBox, Grid, Ui};
use staffage_scene::{
    Above, Edit, Entry, Known, Level, LevelId, LevelReading, Scene, Side, Unit, Units,
    VisibleHorizon,
};

/// Height over a lower level that is proposed while nothing tells it: a storey (common practice).
const STOREY: f64 = 3.0;
const ASSUMED_STOREY: Known = Known { metres: STOREY, spread: SPREAD };
/// Height of the eye over a level that is proposed while nothing tells it: an adult's who stands there (common
/// practice).
const ASSUMED_EYE: Known = Known { metres: 1.6, spread: SPREAD };
/// Spread of a height between levels or below the eye that is stated (common practice).
const SPREAD: f64 = 0.05;

pub(crate) fn show(desk: &Desk, ui: &mut Ui, level: &Level, acts: &mut Vec<Act>) {
    let put = |level: Level| Act::Edit(Edit::PutLevel(level));
    ui.weak(clearance_words(desk, level));
    if let Some(horizon) = reading(desk, level.id).and_then(|l| l.horizon) {
        ui.weak(horizon_words(desk.units(), horizon))
            .on_hover_text("Where the curve of the world ends it, and how far that is below the eye’s level: the dip");
    }
    Grid::new("level").num_columns(2).spacing([10.0, 6.0]).show(ui, |ui| {
        ui.weak("name");
        let name =
            field::own_name(ui, ("level name", level.id.0), "Level name", &level.name, 180.0);
        if let Some(name) = name {
            acts.push(put(Level { name, ..level.clone() }));
        }
        ui.end_row();
        ui.weak("lies");
        ui.horizontal(|ui| {
            for (side, word) in [(Side::Below, "below the eye"), (Side::Above, "above the eye")] {
                if ui.selectable_label(level.side == side, word).clicked() && level.side != side {
                    acts.push(put(Level { side, ..level.clone() }));
                }
            }
        });
        ui.end_row();
        ui.weak(if level.side == Side::Below { "eye over it" } else { "over the eye" });
        clearance(desk, ui, level, acts);
        ui.end_row();
        step(desk, ui, level, acts);
    });
}

fn reading(desk: &Desk, id: LevelId) -> Option<&LevelReading> {
    desk.assessment().levels.iter().find(|l| l.id == id)
}

/// "3.2 m below the eye", "2.1 m over the eye, 4.5 m over quay", "… 3.00 m over quay (assumed)", "nothing fixes its height yet".
pub(crate) fn clearance_words(desk: &Desk, level: &Level) -> String {
    let height = height_words(desk, level);
    let lower = level.above.and_then(|above| Some((desk.scene().level(above.level)?, above.by)));
    match lower {
        Some((lower, by)) => {
            let assumed = if by == ASSUMED_STOREY { " (assumed)" } else { "" };
            format!("{height}, {} over {}{assumed}", desk.units().metres(by.metres), lower.name)
        }
        None => height,
    }
}

fn height_words(desk: &Desk, level: &Level) -> String {
    let known = reading(desk, level.id).and_then(|l| l.clearance.map(|c| (c, l.unit)));
    let Some((clearance, unit)) = known else {
        let is_measure = |entry: &Entry| entry.unit == Unit::EyeHeights(level.id);
        let measured =
            desk.assessment().ledger.iter().any(|e| e.distance.is_some() && is_measure(e));
        return if measured {
            "its height from the eye is the measure of what stands there".into()
        } else {
            "nothing fixes its height yet".into()
        };
    };
    let words = desk.units().measure(clearance, unit);
    match level.side {
        Side::Below => format!("{words} below the eye"),
        Side::Above => format!("{words} over the eye"),
    }
}

/// "seen as far as 4.8 km, 0.04° below the eye’s level".
fn horizon_words(units: Units, horizon: VisibleHorizon) -> String {
    let far = units.metres(horizon.distance);
    let dip = horizon.dip.to_degrees();
    let decimals = if dip < 1.0 { 2 } else { 1 };
    format!("seen as far as {far}, {dip:.decimals$}° below the eye’s level")
}

/// The stated clearance, or the way to state one.
fn clearance(desk: &Desk, ui: &mut Ui, level: &Level, acts: &mut Vec<Act>) {
    let put = |clearance| Act::Edit(Edit::PutLevel(Level { clearance, ..level.clone() }));
    ui.horizontal(|ui| match level.clearance {
        Some(stated) => {
            if let Some(changed) = statements::known(desk.units(), ui, stated) {
                acts.push(put(Some(changed)));
            }
            if stated == ASSUMED_EYE {
                statements::assumed(
                    ui,
                    "The eye of an adult who stands there, until you type another height",
                );
            }
            if ui.small_button("Let go").on_hover_text("Work it out from the markers").clicked() {
                acts.push(put(None));
            }
        }
        None => {
            if ui
                .button("Set by hand")
                .on_hover_text("Say how high the eye is over this level")
                .clicked()
            {
                let read =
                    height(desk, level.id).map(|m| Known { metres: rounded(m), spread: SPREAD });
                acts.push(put(Some(read.unwrap_or(ASSUMED_EYE))));
            }
        }
    });
}

/// Height of the eye over a level or of the level over the eye, metres, where it is known.
fn height(desk: &Desk, id: LevelId) -> Option<f64> {
    let read = reading(desk, id).filter(|l| l.unit == Unit::Metres)?;
    read.clearance.map(|clearance| clearance.value)
}

/// Metres to the centimetre, and at least one.
fn rounded(metres: f64) -> f64 {
    (100.0 * metres).round().max(1.0) / 100.0
}

/// The lower level that it lies a stated height over.
fn step(desk: &Desk, ui: &mut Ui, level: &Level, acts: &mut Vec<Act>) {
    let scene = desk.scene();
    let put = |above| Act::Edit(Edit::PutLevel(Level { above, ..level.clone() }));
    let name = |id| scene.level(id).map_or("a level", |l| l.name.as_str());
    let lower: Vec<&Level> =
        scene.levels.iter().filter(|l| may_be_lower(scene, l, level)).collect();
    if lower.is_empty() && level.above.is_none() {
        return;
    }
    ui.weak("lies over");
    ComboBox::from_id_salt("lower level")
        .width(180.0)
        .selected_text(level.above.map_or("no level", |above| name(above.level)))
        .show_ui(ui, |ui| {
            for other in lower {
                let chosen = level.above.is_some_and(|above| above.level == other.id);
                if ui.selectable_label(chosen, &other.name).clicked() && !chosen {
                    acts.push(put(Some(Above { level: other.id, by: rise(desk, other, level) })));
                }
            }
            if ui.selectable_label(level.above.is_none(), "no level").clicked() {
                acts.push(put(None));
            }
        })
        .response
        .on_hover_text("A lower level whose height under this one is known")
        .accessible_name("Lower level");
    ui.end_row();
    if let Some(above) = level.above {
        ui.weak("by");
        ui.push_id("step", |ui| {
            ui.horizontal(|ui| {
                if let Some(by) = statements::known(desk.units(), ui, above.by) {
                    acts.push(put(Some(Above { by, ..above })));
                }
                if above.by == ASSUMED_STOREY {
                    statements::assumed(ui, "A common storey, until you type another height");
                }
            });
        });
        ui.end_row();
    }
}

/// Whether a level may lie lower than another: it is not itself said to lie over it, however many
/// levels are between, nor over the eye while the other is under it.
fn may_be_lower(scene: &Scene, lower: &Level, level: &Level) -> bool {
    let over = |l: &Level| l.above.and_then(|above| scene.level(above.level));
    let all_under = std::iter::successors(Some(lower), |l| over(l)).take(scene.levels.len());
    let round = all_under.into_iter().any(|l| l.id == level.id);
    let through_the_eye = lower.side == Side::Above && level.side == Side::Below;
    !round && !through_the_eye
}

/// How far a level is over a lower one: what is read, else a storey.
fn rise(desk: &Desk, lower: &Level, level: &Level) -> Known {
    let over_eye = |l: &Level| {
        let height = height(desk, l.id)?;
        Some(if l.side == Side::Below { -height } else { height })
    };
    let read = over_eye(level).zip(over_eye(lower)).map(|(upper, lower)| upper - lower);
    let metres = read.filter(|rise| *rise > 0.0).map_or(STOREY, rounded);
    Known { metres, spread: SPREAD }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_level_never_lies_over_itself_by_way_of_others() {
        let by = Known { metres: 3.0, spread: SPREAD };
        let level = |id, side, above: Option<u32>| Level {
            id: LevelId(id),
            name: format!("level {id}"),
            side,
            clearance: None,
            above: above.map(|id| Above { level: LevelId(id), by }),
        };
        let levels = vec![
            level(1, Side::Below, None),
            level(2, Side::Below, Some(1)),
            level(3, Side::Above, Some(2)),
        ];
        let scene = Scene { levels, ..Scene::default() };
        let may = |lower: usize, upper: usize| {
            may_be_lower(&scene, &scene.levels[lower], &scene.levels[upper])
        };
        assert!(may(0, 1) && may(0, 2) && may(1, 2));
        assert!(!may(1, 0) && !may(2, 0) && !may(2, 1));
        assert!(!may(0, 0));
    }

    #[test]
    fn the_horizon_of_a_level_is_told_with_its_dip() {
        let horizon = VisibleHorizon { distance: 4_830.0, dip: 0.000_65 };
        assert_eq!(
            horizon_words(Units::Metric, horizon),
            "seen as far as 4.83 km, 0.04° below the eye’s level"
        );
    }
}
