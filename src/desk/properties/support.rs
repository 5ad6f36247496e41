//! What the selected marker stands on.

use crate::actions::act::Act;
use crate::canvas::gesture::Tie;
use crate::desk::Desk;
use crate::modes::naming::new_level;
use crate::properties::statements;
use crate::properties::tying::sunlight;
use egui::{ComboBox, Ui};
use staffage_scene::{
    Edit, InclineId, Known, LevelId, Marker, MarkerId, Scene, Side, Span, Stands, Statement,
    Subject, subject_name,
};

/// Height of a head over what it stands on, while nothing better is said: an adult's (common practice).
const HEAD: Known = Known { metres: 1.70, spread: 0.06 };
/// Spread of the distances of a stack: its things seldom stand exactly over each other (common practice).
const SAME_SPOT: f64 = 0.05;
const WIDTH: f32 = 180.0;

/// The rows about it in the grid of the marker.
pub(crate) fn rows(desk: &Desk, ui: &mut Ui, marker: &Marker, acts: &mut Vec<Act>) {
    ui.weak("stands");
    ComboBox::from_id_salt("stands")
        .width(WIDTH)
        .height(440.0)
        .selected_text(way(desk.scene(), marker.stands))
        .show_ui(ui, |ui| supports(desk.scene(), ui, marker, acts))
        .response
        .on_hover_text("On a level, or tied to one in another way: P floats, S its shadow")
        .accessible_name("What it stands on");
    ui.end_row();
    details(desk, ui, marker, acts);
}

const FLOATS: &str = "floats over …";
const SHADOW: &str = "its shadow falls on …";
const HIDDEN: &str = "its feet are hidden";

/// What a marker stands on, without what has a row of its own.
fn way(scene: &Scene, stands: Stands) -> String {
    match stands {
        Stands::Over { .. } => FLOATS.to_owned(),
        Stands::Shadow { .. } => SHADOW.to_owned(),
        Stands::Hidden { .. } => HIDDEN.to_owned(),
        Stands::Unsaid | Stands::On(_) | Stands::OnTop(_) => words(scene, stands),
    }
}

/// What a marker stands on, in words that follow its name.
#[must_use]
pub(crate) fn words(scene: &Scene, stands: Stands) -> String {
    let name = |id| scene.level(id).map_or("a level", |l| l.name.as_str());
    match stands {
        Stands::Unsaid => "not said".to_owned(),
        Stands::On(level) => format!("on {}", name(level)),
        Stands::Over { level, .. } => format!("floats over {}", name(level)),
        Stands::Shadow { level, .. } => format!("its shadow falls on {}", name(level)),
        Stands::Hidden { level, .. } => format!("on {}, its feet hidden", name(level)),
        Stands::OnTop(base) => {
            format!("on top of {}", subject_name(scene, Subject::Marker(base)))
        }
    }
}

fn put(marker: &Marker, stands: Stands) -> Act {
    Act::Edit(Edit::PutMarker(standing(marker, stands)))
}

/// The marker standing so. What is stacked is also as far off as what carries it, for painters mean
/// the same spot, while nothing else is said of its distance; that goes when it is taken off again.
pub(crate) fn standing(marker: &Marker, stands: Stands) -> Marker {
    let mut after = Marker { stands, ..marker.clone() };
    if stands == marker.stands {
        return after;
    }
    let same_spot = |of| Statement::SameDistance { of, spread: SAME_SPOT };
    if let Stands::OnTop(base) = marker.stands {
        after.statements.retain(|s| *s != same_spot(base));
    }
    let is_of_distance =
        |s: &Statement| matches!(s, Statement::Distance(_) | Statement::SameDistance { .. });
    if let Stands::OnTop(base) = stands
        && !after.statements.iter().any(is_of_distance)
    {
        after.statements.push(same_spot(base));
    }
    after
}

fn supports(scene: &Scene, ui: &mut Ui, marker: &Marker, acts: &mut Vec<Act>) {
    for level in &scene.levels {
        let option = Stands::On(level.id);
        if ui.selectable_label(marker.stands == option, format!("on {}", level.name)).clicked() {
            acts.push(put(marker, option));
        }
    }
    for (side, word) in [(Side::Below, "below"), (Side::Above, "above")] {
        if ui.selectable_label(false, format!("on a new level {word} the eye")).clicked() {
            let level = new_level(scene, side);
            let after = standing(marker, Stands::On(level.id));
            let label = format!("Stand {} on {}", marker.name, level.name);
            let edits = vec![Edit::PutLevel(level), Edit::PutMarker(after)];
            acts.push(Act::Edit(Edit::Several { label, edits }));
        }
    }
    ui.separator();
    unseen_feet(scene, ui, marker, acts);
    ui.separator();
    let unsaid = marker.stands == Stands::Unsaid;
    if ui.selectable_label(unsaid, words(scene, Stands::Unsaid)).clicked() {
        acts.push(put(marker, Stands::Unsaid));
    }
}

/// The ways in which a thing is tied to a level that its drawn foot does not touch.
fn unseen_feet(scene: &Scene, ui: &mut Ui, marker: &Marker, acts: &mut Vec<Act>) {
    acts.extend(ties(ui, marker).map(Act::AskTie));
    acts.extend(untouched(scene, ui, marker, marker.stands).map(|stands| put(marker, stands)));
}

/// The ways that need no point in the picture; the one that was chosen.
pub(crate) fn untouched(
    scene: &Scene,
    ui: &mut Ui,
    marker: &Marker,
    now: Stands,
) -> Option<Stands> {
    let mut chosen = None;
    let level = now.level().or(scene.levels.first().map(|l| l.id));
    if let Some(level) = level {
        let is_so = matches!(now, Stands::Hidden { .. });
        let tip = "What it stands on cannot be seen: say how high its head is over it";
        if ui.selectable_label(is_so, HIDDEN).on_hover_text(tip).clicked() {
            chosen = Some(Stands::Hidden { level, height: HEAD });
        }
    }
    on_top(scene, ui, marker, now).map(Stands::OnTop).or(chosen)
}

/// The ties whose point is to be clicked in the picture; the one that was chosen.
pub(crate) fn ties(ui: &mut Ui, marker: &Marker) -> Option<Tie> {
    let now = marker.stands;
    let shadow = match marker.span {
        Span::Ball => "It floats: then click the middle of its shadow on the level (S)",
        _ => "It floats: then click where the shadow of its foot falls on the level (S)",
    };
    let ties = [
        (
            Tie::Plumb,
            matches!(now, Stands::Over { .. }),
            FLOATS,
            "It floats or hangs: then click the point on the level plumb below it (P)",
        ),
        (Tie::Shadow, matches!(now, Stands::Shadow { .. }), SHADOW, shadow),
    ];
    let mut asked = None;
    for (tie, chosen, word, tip) in ties {
        if ui.selectable_label(chosen, word).on_hover_text(tip).clicked() {
            asked = Some(tie);
        }
    }
    asked
}

/// The upright things that a marker can be stacked on.
pub(crate) fn bases(scene: &Scene, of: MarkerId) -> impl Iterator<Item = &Marker> {
    scene.markers.iter().filter(move |m| m.id != of && m.span == Span::Upright)
}

/// The upright thing that was chosen to stack it on.
fn on_top(scene: &Scene, ui: &mut Ui, marker: &Marker, now: Stands) -> Option<MarkerId> {
    let bases: Vec<&Marker> = bases(scene, marker.id).collect();
    if bases.is_empty() {
        return None;
    }
    let mut chosen = None;
    ui.menu_button("on top of", |ui| {
        egui::ScrollArea::vertical().max_height(320.0).show(ui, |ui| {
            for base in bases {
                let option = Stands::OnTop(base.id);
                let name = words(scene, option);
                let choice = ui.selectable_label(now == option, &base.name).accessible_name(name);
                if choice.clicked() {
                    chosen = Some(base.id);
                }
            }
        });
    })
    .response
    .on_hover_text("It is stacked: its foot is as high as the head of an upright thing");
    chosen
}

/// What belongs to the way in which it is tied to its level.
fn details(desk: &Desk, ui: &mut Ui, marker: &Marker, acts: &mut Vec<Act>) {
    let scene = desk.scene();
    match marker.stands {
        Stands::Unsaid | Stands::On(_) | Stands::OnTop(_) => {}
        Stands::Over { level, plumb } => {
            ui.weak("over");
            if let Some(level) = level_choice(scene, ui, level) {
                acts.push(put(marker, Stands::Over { level, plumb }));
            }
            ui.end_row();
        }
        Stands::Shadow { level, tip, light } => {
            ui.weak("falls on");
            if let Some(level) = level_choice(scene, ui, level) {
                acts.push(put(marker, Stands::Shadow { level, tip, light }));
            }
            ui.end_row();
            ui.weak("light");
            self::light(scene, ui, marker, (level, tip, light), acts);
            ui.end_row();
        }
        Stands::Hidden { level, height } => {
            ui.weak("on");
            if let Some(level) = level_choice(scene, ui, level) {
                acts.push(put(marker, Stands::Hidden { level, height }));
            }
            ui.end_row();
            ui.weak("its head");
            ui.horizontal(|ui| {
                if let Some(height) = statements::known(desk.units(), ui, height) {
                    acts.push(put(marker, Stands::Hidden { level, height }));
                }
                ui.weak("over it");
                if height == HEAD {
                    statements::assumed(ui, "The height of an adult, until you type another");
                }
            });
            ui.end_row();
        }
    }
}

/// The level that it is tied to; another one if that is chosen.
fn level_choice(scene: &Scene, ui: &mut Ui, now: LevelId) -> Option<LevelId> {
    let mut chosen = now;
    let name = |id| scene.level(id).map_or("a level", |l| l.name.as_str());
    ComboBox::from_id_salt("tied to")
        .width(WIDTH)
        .selected_text(name(now))
        .show_ui(ui, |ui| {
            for level in &scene.levels {
                ui.selectable_value(&mut chosen, level.id, &level.name);
            }
        })
        .response
        .accessible_name("Level it is tied to");
    (chosen != now).then_some(chosen)
}

/// The incline whose lines are the rays that cast its shadow.
fn light(
    scene: &Scene,
    ui: &mut Ui,
    marker: &Marker,
    (level, tip, now): (LevelId, glam::DVec2, InclineId),
    acts: &mut Vec<Act>,
) {
    let shadow = |light| Stands::Shadow { level, tip, light };
    let name = scene.incline(now).map_or("a light", |i| i.name.as_str());
    ComboBox::from_id_salt("light")
        .width(WIDTH)
        .selected_text(name)
        .show_ui(ui, |ui| {
            for incline in &scene.inclines {
                if ui.selectable_label(incline.id == now, &incline.name).clicked() {
                    acts.push(put(marker, shadow(incline.id)));
                }
            }
            if ui.selectable_label(false, "another light").clicked() {
                let made = sunlight(scene);
                let after = Marker { stands: shadow(made.id), ..marker.clone() };
                let label = format!("Light {} by another light", marker.name);
                let edits = vec![Edit::PutIncline(made), Edit::PutMarker(after)];
                acts.push(Act::Edit(Edit::Several { label, edits }));
            }
        })
        .response
        .on_hover_text(
            "Lines from things to their shadows, traced as this incline’s, say how the light falls",
        )
        .accessible_name("Light of the shadow");
}
