//! What is known of a marker: its statements, each of which can be changed and taken back.

use crate::actions::act::Act;
use crate::desk::Desk;
use crate::field;
use crate::properties::size_picker::SizePicker;
use crate::thing::marker_name;
use crate::typed;
use egui::{ComboBox, Id, Key, Ui};
use staffage_scene::{Edit, Known, Marker, MarkerId, Scene, Statement, Units};

/// Spread of a comparison: two of one make are alike within a few percent (common practice).
const COMPARISON_SPREAD: f64 = 0.03;
/// Spread of a distance that is stated: paced or judged (common practice).
const DISTANCE_SPREAD: f64 = 0.1;
const NARROW: f32 = 66.0;

/// A kind of statement that names another marker.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Comparison {
    /// As large as that one.
    SameMake,
    /// So many times as large as that one.
    Times,
    /// As far off as that one.
    SameDistance,
}

impl Comparison {
    /// The statement about that marker; the factor counts for [`Times`](Self::Times) only.
    pub(crate) fn of(self, of: MarkerId, factor: f64) -> Statement {
        let spread = COMPARISON_SPREAD;
        match self {
            Self::SameMake => Statement::SameMake { of, spread },
            Self::Times => Statement::Times { of, factor, spread },
            Self::SameDistance => Statement::SameDistance { of, spread },
        }
    }

    /// In plain words, before the other marker's name.
    pub(crate) fn words(self) -> &'static str {
        match self {
            Self::SameMake => "same make as",
            Self::Times => "times as large as",
            Self::SameDistance => "same distance as",
        }
    }
}

/// All statements, and the way to add one.
pub(crate) fn show(desk: &Desk, ui: &mut Ui, marker: &Marker, acts: &mut Vec<Act>) {
    for (i, statement) in marker.statements.iter().enumerate() {
        ui.push_id(("statement", marker.id.0, i), |ui| {
            ui.horizontal(|ui| {
                let changed = one(desk, ui, marker.id, statement);
                let name = format!("Take back statement {}", i + 1);
                let removed =
                    ui.small_button("×").on_hover_text("Take it back").accessible_name(name);
                if removed.clicked() {
                    acts.push(put(marker, |all| {
                        all.remove(i);
                    }));
                } else if let Some(changed) = changed {
                    acts.push(put(marker, |all| all[i] = changed));
                }
            });
        });
    }
    add(desk, ui, marker, acts);
}

fn put(marker: &Marker, change: impl FnOnce(&mut Vec<Statement>)) -> Act {
    let mut after = marker.clone();
    change(&mut after.statements);
    Act::Edit(Edit::PutMarker(after))
}

/// One statement with its fields; what it becomes if a field was changed.
fn one(desk: &Desk, ui: &mut Ui, this: MarkerId, statement: &Statement) -> Option<Statement> {
    let (scene, units) = (desk.scene(), desk.units());
    match statement {
        Statement::KnownSize { size, as_ } => {
            ui.label("is").on_hover_text(as_);
            let size = known(units, ui, *size)?;
            Some(Statement::KnownSize { size, as_: as_.clone() })
        }
        Statement::Distance(distance) => {
            ui.label("is off by");
            known(units, ui, *distance).map(Statement::Distance)
        }
        Statement::SameMake { of, spread } => {
            ui.label("same make as");
            let (of, spread) = compared(ui, scene, this, *of, *spread)?;
            Some(Statement::SameMake { of, spread })
        }
        Statement::SameDistance { of, spread } => {
            ui.label("as far as");
            let (of, spread) = compared(ui, scene, this, *of, *spread)?;
            Some(Statement::SameDistance { of, spread })
        }
        Statement::Times { of, factor, spread } => {
            let text = format!("× {factor}");
            let typed = field::parsed(
                ui,
                "factor",
                "How many times",
                &text,
                NARROW,
                typed::FACTOR_WANTED,
                typed::factor,
            );
            ui.label("of");
            let (of, spread, changed) = match compared(ui, scene, this, *of, *spread) {
                Some((of, spread)) => (of, spread, true),
                None => (*of, *spread, false),
            };
            (changed || typed.is_some()).then(|| Statement::Times {
                of,
                factor: typed.unwrap_or(*factor),
                spread,
            })
        }
    }
}

/// A length and its spread.
pub(crate) fn known(units: Units, ui: &mut Ui, known: Known) -> Option<Known> {
    let text = units.metres(known.metres);
    let read = |text: &str| typed::length(text, units);
    let length = field::parsed(ui, "length", "Length", &text, 70.0, typed::LENGTH_WANTED, read);
    let spread = spread_field(ui, known.spread);
    (length.is_some() || spread.is_some()).then(|| Known {
        metres: length.unwrap_or(known.metres),
        spread: spread.unwrap_or(known.spread),
    })
}

fn spread_field(ui: &mut Ui, spread: f64) -> Option<f64> {
    let text = format!("± {} %", trimmed(100.0 * spread));
    field::parsed(ui, "spread", "Spread", &text, NARROW, typed::PERCENT_WANTED, typed::percent)
}

/// Marks what the program took for want of anything said.
pub(crate) fn assumed(ui: &mut Ui, why: &str) {
    ui.weak("assumed").on_hover_text(why);
}

/// A number without needless zeros.
fn trimmed(value: f64) -> String {
    let text = format!("{value:.2}");
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

/// The other marker and the spread of the comparison.
fn compared(
    ui: &mut Ui,
    scene: &Scene,
    this: MarkerId,
    of: MarkerId,
    spread: f64,
) -> Option<(MarkerId, f64)> {
    let mut chosen = of;
    ComboBox::from_id_salt("of")
        .width(90.0)
        .selected_text(marker_name(of, scene))
        .show_ui(ui, |ui| {
            for other in scene.markers.iter().filter(|m| m.id != this) {
                ui.selectable_value(&mut chosen, other.id, &other.name);
            }
        })
        .response
        .accessible_name("Compared with");
    let typed = spread_field(ui, spread);
    (chosen != of || typed.is_some()).then(|| (chosen, typed.unwrap_or(spread)))
}

/// "Say more…": a known size, a comparison, a distance.
fn add(desk: &Desk, ui: &mut Ui, marker: &Marker, acts: &mut Vec<Act>) {
    let picking = Id::unique(("size being picked", marker.id.0));
    let open: Option<SizePicker> = ui.data(|d| d.get_temp(picking));
    if let Some(picker) = open {
        pick_size(desk, ui, marker, picking, picker, acts);
        return;
    }
    ui.menu_button("Say more…", |ui| {
        if ui.button("its size").clicked() {
            ui.data_mut(|d| d.insert_temp(picking, SizePicker::of(marker.span)));
        }
        for comparison in [Comparison::SameMake, Comparison::Times, Comparison::SameDistance] {
            others(desk, ui, marker, comparison, acts);
        }
        if ui.button("its distance").clicked() {
            let off = desk.assessment().entry(marker.id).and_then(|e| e.distance);
            let metres = off.map_or(10.0, |d| (100.0 * d.value).round() / 100.0).max(0.01);
            let said = Statement::Distance(Known { metres, spread: DISTANCE_SPREAD });
            acts.push(put(marker, |all| all.push(said)));
        }
    });
}

fn others(desk: &Desk, ui: &mut Ui, marker: &Marker, comparison: Comparison, acts: &mut Vec<Act>) {
    let others: Vec<&Marker> = desk.scene().markers.iter().filter(|m| m.id != marker.id).collect();
    if others.is_empty() {
        return;
    }
    ui.menu_button(comparison.words(), |ui| {
        for other in others {
            if ui.button(&other.name).clicked() {
                acts.push(put(marker, |all| all.push(comparison.of(other.id, 2.0))));
            }
        }
    });
}

fn pick_size(
    desk: &Desk,
    ui: &mut Ui,
    marker: &Marker,
    picking: Id,
    mut picker: SizePicker,
    acts: &mut Vec<Act>,
) {
    let width = (ui.available_width() - 16.0).min(330.0);
    let shown = picker.show(ui, width, desk.booked.book(), desk.units());
    let fresh = picker.text.is_empty() && !shown.field.has_focus() && !shown.field.lost_focus();
    if fresh {
        shown.field.request_focus();
    }
    let picked = shown.picked;
    let left = shown.field.lost_focus() && !ui.input(|i| i.pointer.any_pressed());
    let entered = ui.input(|i| i.key_pressed(Key::Enter));
    let left = left && !(entered && picker.is_unreadable(desk.booked.book()));
    if entered && !left && shown.field.lost_focus() {
        shown.field.request_focus();
    }
    let done = picked.is_some() || left;
    if let Some(picked) = picked {
        let said = Statement::KnownSize { size: picked.size, as_: picked.called };
        acts.push(put(marker, |all| all.push(said)));
    }
    ui.data_mut(|d| {
        if done {
            d.remove::<SizePicker>(picking);
        } else {
            d.insert_temp(picking, picker);
        }
    });
}
