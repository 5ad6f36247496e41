//! The eye: its summary in the menu row, and the panel that opens from it.

use crate::actions::act::Act;
use crate::actions::furniture_actions::EYE;
use crate::desk::Desk;
use crate::eye::eye_quantity::EyeQuantity;
use crate::{
    eye::{eye_height, optical_axis},
    field, sentences,
};
use egui::{
    Button, DragValue, Grid, Id, Label, Popup, PopupCloseBehavior, Response, RichText,
    SetOpenCommand, TextStyle, Ui,
};
use staffage_scene::{
    ANGLE_OF_VIEW, CANT, Edit, EyeByHand, PITCH, cant_side, pitch_side, with_lens,
};
use staffage_solver::{Quantity, Source};

/// Room between the summary and the edge of the window, points.
const EDGE: f32 = 8.0;
/// Lenses on a 36 × 24 mm camera that can be set, millimetres.
const LENSES: std::ops::RangeInclusive<f64> = 2.0..=2000.0;
const HORIZON_STAYS: &str = "The horizon stays where it was placed; the pitch follows.";
const HORIZON_STAYS_LATER: &str = "The horizon was placed in the picture: with another lens it stays there, and the pitch follows";
/// What the figures after ± are.
const SURENESS: &str = "±: right in 95 of 100 cases";

/// The eye in one line, with how sure it is where the room (points) suffices; a click or its key
/// opens the panel.
pub(crate) fn summary(desk: &mut Desk, ui: &mut Ui, room: f32, acts: &mut Vec<Act>) {
    let name = sentences::eye(desk.assessment(), desk.scene());
    let whole = sentences::eye_with_sureness(desk.assessment(), desk.scene());
    ui.add_space(EDGE);
    let shown = if width(ui, &whole) + EDGE <= room { &whole } else { &name };
    let key = EYE.key_words().unwrap_or_default();
    let response = ui
        .add(Button::new(shown))
        .on_hover_text(format!("{whole}\n{SURENESS}. Click to set the eye by hand ({key})"))
        .accessible_name(&name);
    ui.accesskit_node_builder(response.id, |node| node.set_description(whole.clone()));
    // Opened by a key, it is worked by keys: its first field has the focus.
    let by_key = std::mem::take(&mut desk.eye_toggled);
    let wants_focus = by_key || (response.clicked() && response.has_focus());
    ui.data_mut(|d| d.insert_temp(first_field(), wants_focus));
    let toggled = (by_key || response.clicked()).then_some(SetOpenCommand::Toggle);
    let opened = Popup::from_toggle_button_response(&response)
        .open_memory(toggled)
        .close_behavior(PopupCloseBehavior::CloseOnClickOutside)
        .accessible_name("Eye panel")
        .frame(egui::Frame::popup(ui.style()).inner_margin(14))
        .show(|ui| panel(desk, ui, acts));
    ui.data_mut(|d| d.remove::<bool>(first_field()));
    desk.eye_looked_at = opened.is_some() || response.hovered() || response.has_focus();
}

/// Whether the panel's first field is to have the focus.
fn first_field() -> Id {
    Id::unique("first field of the eye's panel")
}

fn takes_focus(ui: &Ui) -> bool {
    ui.data_mut(|d| d.remove_temp(first_field())).unwrap_or(false)
}

/// Width of a button with these words, points.
fn width(ui: &Ui, words: &str) -> f32 {
    let font = TextStyle::Button.resolve(ui.style());
    let ink = ui.visuals().text_color();
    let width = ui.fonts_mut(|f| f.layout_no_wrap(words.to_owned(), font, ink).size().x);
    width + 2.0 * ui.spacing().button_padding.x
}

/// One of the three angles that can be set by hand.
#[derive(Clone, Copy)]
enum Angle {
    View,
    Pitch,
    Cant,
}

impl Angle {
    const ALL: [Self; 3] = [Self::View, Self::Pitch, Self::Cant];

    /// The same as something that can be locked or let go.
    fn locked(self) -> EyeQuantity {
        match self {
            Self::View => EyeQuantity::Lens,
            Self::Pitch => EyeQuantity::Pitch,
            Self::Cant => EyeQuantity::Cant,
        }
    }

    fn word(self) -> &'static str {
        match self {
            Self::View => "Angle of view",
            Self::Pitch => "Pitch",
            Self::Cant => "Cant",
        }
    }

    fn meaning(self) -> &'static str {
        match self {
            Self::View => "How much the eye sees across the frame",
            Self::Pitch => "How far the eye looks up or down: type “up 14” or “down 3”",
            Self::Cant => {
                "How far the horizon tilts in the picture: type “7 left” for its left end up"
            }
        }
    }

    /// Sets it by hand.
    fn set(self, desk: &Desk, degrees: f64) -> Edit {
        let eye = desk.scene().eye;
        match self {
            Self::View => with_lens(desk.scene(), &desk.assessment().eye, Some(degrees)),
            Self::Pitch => {
                Edit::SetEye(EyeByHand { pitch: Some(degrees), horizon_placed: false, ..eye })
            }
            Self::Cant => Edit::SetEye(EyeByHand { cant: Some(degrees), ..eye }),
        }
    }

    /// What can be set, and in words what was set in place of what was typed beyond it.
    fn within(self, degrees: f64) -> (f64, Option<String>) {
        let range = self.range();
        let set = degrees.clamp(*range.start(), *range.end());
        let told = (set != degrees).then(|| {
            let ends = [*range.start(), *range.end()].map(|end| self.words(end));
            format!(
                "{} goes from {} to {}; it is set to {}.",
                self.word(),
                ends[0],
                ends[1],
                self.words(set)
            )
        });
        (set, told)
    }

    fn by_hand(self, eye: EyeByHand) -> Option<f64> {
        match self {
            Self::View => eye.angle_of_view,
            Self::Pitch => eye.pitch,
            Self::Cant => eye.cant,
        }
    }

    fn range(self) -> std::ops::RangeInclusive<f64> {
        match self {
            Self::View => ANGLE_OF_VIEW,
            Self::Pitch => PITCH,
            Self::Cant => CANT,
        }
    }

    /// Degrees in words.
    fn words(self, degrees: f64) -> String {
        let (size, angle) = (format!("{:.1}°", degrees.abs()), degrees.to_radians());
        match self {
            Self::View => size,
            Self::Pitch => pitch_side(angle, 1).map_or(size.clone(), |up| format!("{up} {size}")),
            Self::Cant => cant_side(angle, 1).map_or(size.clone(), |end| format!("{size} {end}")),
        }
    }

    /// Degrees from words, or from a number with a sign.
    fn read(self, text: &str) -> Option<f64> {
        let text = text.to_lowercase().replace(['°', ','], " ").replace('−', "-");
        let number = text.split_whitespace().find_map(|word| word.parse::<f64>().ok());
        let says = |word: &str| text.split_whitespace().any(|w| w == word);
        let negative = match self {
            Self::View => false,
            Self::Pitch => says("down"),
            Self::Cant => says("left"),
        };
        let flat = says("level") || says("none") || says("no");
        number.or(flat.then_some(0.0)).map(|n| if negative { -n.abs() } else { n })
    }

    fn quantity(self, desk: &Desk) -> Quantity {
        let eye = &desk.assessment().eye;
        match self {
            Self::View => eye.angle_of_view,
            Self::Pitch => eye.pitch,
            Self::Cant => eye.cant,
        }
    }
}

fn panel(desk: &Desk, ui: &mut Ui, acts: &mut Vec<Act>) {
    ui.heading("The eye");
    angles(desk, ui, Room::Panel, acts);
    optical_axis::show(desk, ui, acts);
    ui.add_space(4.0);
    height(desk, ui, acts);
    if let Some(told) = &desk.told {
        ui.add(Label::new(RichText::new(told).weak()).wrap());
    }
}

/// How high it is: to be said where nothing else tells it, and changed where it was said.
fn height(desk: &Desk, ui: &mut Ui, acts: &mut Vec<Act>) {
    let said = desk.scene().levels.iter().find(|level| level.clearance.is_some());
    if let Some(level) = eye_height::level_without_scale(desk).or(said) {
        ui.horizontal(|ui| {
            ui.label("Height");
            eye_height::field(desk, ui, level, acts);
            ui.weak(format!("over {}", level.name));
        });
        if level.clearance.is_none() {
            ui.weak("Say it, or mark a figure and give it its size.");
        }
    } else if let Some((height, level)) = sentences::eye_height(desk.assessment(), desk.scene()) {
        ui.weak(format!("The eye is {height} over {level}."));
    }
}

/// Where the angles are shown.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(crate) enum Room {
    /// In the eye's own panel.
    Panel,
    /// In the wall, which is too narrow to say how sure they are.
    Wall,
}

/// The three angles, each with where it comes from.
pub(crate) fn angles(desk: &Desk, ui: &mut Ui, room: Room, acts: &mut Vec<Act>) {
    Grid::new("eye").num_columns(4).spacing([12.0, 6.0]).show(ui, |ui| {
        for angle in Angle::ALL {
            row(desk, ui, angle, room, acts);
            ui.end_row();
            if matches!(angle, Angle::View) {
                lens(desk, ui, acts);
                ui.end_row();
            }
        }
    });
}

/// The angle of view as painters and camera people say it: a lens on a 36 × 24 mm camera.
fn lens(desk: &Desk, ui: &mut Ui, acts: &mut Vec<Act>) {
    let view = desk.assessment().eye.angle_of_view.value;
    let shown = sentences::full_frame_focal(view);
    let mut focal = shown;
    let label = ui.label("as a lens").on_hover_text("Focal length on a 36 × 24 mm camera");
    let value = DragValue::new(&mut focal).update_while_editing(false).speed(0.2).fixed_decimals(0);
    let response = ui.add(value.suffix(" mm")).labelled_by(label.id);
    if !field::differs(&response, shown, focal, 0) {
        return field::put(&response, None, acts);
    }
    let set = focal.clamp(*LENSES.start(), *LENSES.end());
    let degrees = sentences::angle_of_full_frame(set).to_degrees();
    field::put(&response, Some(Angle::View.set(desk, degrees)), acts);
    let beyond = (set != focal).then(|| {
        let side = if set < focal { "longer" } else { "shorter" };
        format!("There is no lens {side} than {set:.0} mm here; it is set to that.")
    });
    say(desk, &response, Angle::View, beyond, acts);
}

/// Says what became of a value that was typed: that it was beyond what there is, and that the horizon stays.
fn say(desk: &Desk, field: &Response, angle: Angle, beyond: Option<String>, acts: &mut Vec<Act>) {
    let eye = desk.scene().eye;
    let stays = matches!(angle, Angle::View) && eye.horizon_placed && eye.pitch.is_some();
    let stays = stays.then(|| HORIZON_STAYS.to_owned());
    let said: Vec<String> = beyond.into_iter().chain(stays).collect();
    if field.changed() && !field.dragged() && !said.is_empty() {
        acts.push(Act::Say(said.join(" ")));
    }
}

fn row(desk: &Desk, ui: &mut Ui, angle: Angle, room: Room, acts: &mut Vec<Act>) {
    let by_hand = angle.by_hand(desk.scene().eye);
    let quantity = angle.quantity(desk);
    let label = ui.label(angle.word()).on_hover_text(angle.meaning());
    let shown = by_hand.unwrap_or_else(|| quantity.value.to_degrees());
    let mut degrees = shown;
    let value = DragValue::new(&mut degrees)
        .update_while_editing(false)
        .speed(0.1)
        .fixed_decimals(1)
        .custom_formatter(|degrees, _| angle.words(degrees))
        .custom_parser(|text| angle.read(text).filter(|degrees| degrees.is_finite()));
    let response = ui.add(value).labelled_by(label.id);
    if room == Room::Panel && matches!(angle, Angle::View) && takes_focus(ui) {
        field::take_focus(ui, &response, &angle.words(shown));
    }
    let (set, beyond) = angle.within(degrees);
    let differs = field::differs(&response, shown, degrees, 1);
    field::put(&response, differs.then(|| angle.set(desk, set)), acts);
    if differs {
        say(desk, &response, angle, beyond, acts);
    }
    let spread = sentences::half_interval(quantity).to_degrees();
    if room == Room::Panel {
        ui.label(match quantity.source {
            Source::ByHand => String::new(),
            Source::Read | Source::Assumed => format!("± {spread:.1}°"),
        })
        .on_hover_text(SURENESS);
    }
    ui.horizontal(|ui| {
        let source = ui.label(RichText::new(sentences::source(quantity.source)).weak());
        if matches!(angle, Angle::Pitch) && desk.scene().eye.horizon_placed && by_hand.is_some() {
            source.on_hover_text(HORIZON_STAYS_LATER);
        }
        angle.locked().button(desk, ui, acts);
    });
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn angles_are_said_by_their_side_and_read_back() {
        for (angle, degrees, words) in [
            (Angle::Pitch, 14.0, "up 14.0°"),
            (Angle::Pitch, -3.5, "down 3.5°"),
            (Angle::Pitch, 0.0, "0.0°"),
            (Angle::Cant, 7.0, "7.0° right end up"),
            (Angle::Cant, -7.0, "7.0° left end up"),
        ] {
            assert_eq!(angle.words(degrees), words);
            assert_eq!(angle.read(words), Some(degrees));
        }
        assert_eq!(Angle::Pitch.read("-3"), Some(-3.0));
        assert_eq!(Angle::Pitch.read("level"), Some(0.0));
        assert_eq!(Angle::Cant.read("2.5 left"), Some(-2.5));
        assert_eq!(Angle::Cant.read("steep"), None);
    }
}
