//! Looking at the painting as painters do to judge it: its values, its masses, in few flat tones, in
//! a mirror. Each is peeked at while its key is held, or kept.

use crate::actions::act::Act;
use crate::actions::menu;
use crate::actions::view_actions::LOOKS;
use crate::desk::Desk;
use crate::painting::Painted;
use egui::{Button, Color32, Event, Key, Modifiers, Slider, TextStyle, Ui};
use serde::{Deserialize, Serialize};
use staffage_picture::{ToneView, Tones};
use std::collections::BTreeSet;
use std::ops::RangeInclusive;

/// How many flat tones there can be: what a value study has (common practice).
const FLAT_TONES: RangeInclusive<u8> = 2..=5;
/// How far a squint can spread the light, as a share of the painting's longer side.
const RADII: RangeInclusive<f64> = 0.002..=0.05;

/// What the painting is seen as, day after day.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct ToneSettings {
    /// How colours are shown.
    pub shown: ShownTones,
    /// How many flat tones are shown, 2 to 5.
    pub flat_tones: u8,
    /// Whether the painting is seen as through half closed eyes.
    pub squint: bool,
    /// How far that spreads the light, as a share of the painting's longer side.
    pub squint_radius: f64,
}

/// How colours are shown.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub enum ShownTones {
    /// As they are.
    #[default]
    Colour,
    /// As greys of the same luminance.
    Values,
    /// As a few flat greys.
    Flat,
}

impl Default for ToneSettings {
    fn default() -> Self {
        Self { shown: ShownTones::Colour, flat_tones: 3, squint: false, squint_radius: 0.01 }
    }
}

impl ToneSettings {
    /// Settings may have been kept by another version or written by hand.
    fn tones(&self) -> u8 {
        self.flat_tones.clamp(*FLAT_TONES.start(), *FLAT_TONES.end())
    }

    fn radius(&self) -> f64 {
        self.squint_radius.clamp(*RADII.start(), *RADII.end())
    }

    fn view(&self) -> ToneView {
        let tones = match self.shown {
            ShownTones::Colour => Tones::Colour,
            ShownTones::Values => Tones::Values,
            ShownTones::Flat => Tones::Flat(self.tones()),
        };
        ToneView { tones, squint: self.squint.then(|| self.radius()) }
    }
}

/// A way of looking that has a key.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum Look {
    /// Greys of the same luminance.
    Values,
    /// A few flat greys.
    Flat,
    /// Half closed eyes.
    Squint,
    /// Left and right swapped.
    Mirror,
}

impl Look {
    pub(crate) const ALL: [Self; 4] = [Self::Values, Self::Flat, Self::Squint, Self::Mirror];

    pub(crate) const fn key(self) -> Key {
        match self {
            Self::Values => Key::V,
            Self::Flat => Key::D,
            Self::Squint => Key::Q,
            Self::Mirror => Key::M,
        }
    }

    pub(crate) const fn word(self) -> &'static str {
        match self {
            Self::Values => "Values",
            Self::Flat => "Flat tones",
            Self::Squint => "Squint",
            Self::Mirror => "Mirrored",
        }
    }

    /// What else it is looked for by, in everyday words.
    pub(crate) const fn other_words(self) -> &'static str {
        match self {
            Self::Values => "black white greyscale luminance brightness",
            Self::Flat => "posterise levels shapes",
            Self::Squint => "blur soft",
            Self::Mirror => "flip horizontal reverse",
        }
    }

    pub(crate) const fn purpose(self) -> &'static str {
        match self {
            Self::Values => "every colour as the grey that is as light",
            Self::Flat => "the masses of light and dark that the values group into",
            Self::Squint => "what is left when the eyes are half closed",
            Self::Mirror => "left and right swapped, to see it afresh",
        }
    }
}

/// A change of how the painting is looked at.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum LookAct {
    /// Keep looking so, or stop.
    Toggle(Look),
    /// Show so many flat tones.
    FlatTones(u8),
    /// Let a squint spread the light so far.
    Radius(f64),
    /// Look at the painting as it is.
    Plain,
}

/// How the painting is looked at for now.
#[derive(Debug, Default)]
pub(crate) struct Looking {
    /// Whether the mirror is kept. It is not remembered: who opens a scene wants to see it the right
    /// way round.
    mirrored: bool,
    /// The looks whose keys are held.
    peeked: BTreeSet<Look>,
}

impl Desk {
    /// The settings with what is peeked at: the key of a look that is kept shows it without.
    fn looked(&self) -> (ToneSettings, bool) {
        let mut settings = self.remembered.tones;
        let mut mirrored = self.looking.mirrored;
        for look in &self.looking.peeked {
            toggle(*look, &mut settings, &mut mirrored);
        }
        (settings, mirrored)
    }

    /// Whether the painting is kept being looked at so.
    pub(crate) fn is_kept(&self, look: Look) -> bool {
        let settings = &self.remembered.tones;
        match look {
            Look::Values => settings.shown == ShownTones::Values,
            Look::Flat => settings.shown == ShownTones::Flat,
            Look::Squint => settings.squint,
            Look::Mirror => self.looking.mirrored,
        }
    }

    /// What is to be seen of the painting.
    pub(crate) fn tone_view(&self) -> ToneView {
        self.looked().0.view()
    }

    /// What is there to be seen of the painting: not yet what is wanted while that is being worked
    /// out.
    #[must_use]
    pub fn seen(&self) -> ToneView {
        match &self.painting {
            Painted::There(tiles) => tiles.shown(),
            Painted::Blank | Painted::Loading | Painted::Missing(_) => ToneView::PLAIN,
        }
    }

    pub(crate) fn look(&mut self, act: LookAct) {
        let settings = &mut self.remembered.tones;
        match act {
            LookAct::Toggle(look) => toggle(look, settings, &mut self.looking.mirrored),
            LookAct::FlatTones(count) => {
                settings.flat_tones = count;
                // So many are wanted to be seen, not left out.
                if settings.shown == ShownTones::Flat {
                    self.looking.peeked.remove(&Look::Flat);
                }
            }
            LookAct::Radius(radius) => settings.squint_radius = radius,
            LookAct::Plain => {
                (settings.shown, settings.squint) = (ShownTones::Colour, false);
                self.looking.mirrored = false;
            }
        }
    }
}

fn toggle(look: Look, settings: &mut ToneSettings, mirrored: &mut bool) {
    let unless = |shown| if settings.shown == shown { ShownTones::Colour } else { shown };
    match look {
        Look::Values => settings.shown = unless(ShownTones::Values),
        Look::Flat => settings.shown = unless(ShownTones::Flat),
        Look::Squint => settings.squint ^= true,
        Look::Mirror => *mirrored ^= true,
    }
}

/// Follows the keys of the looks: held they show.
pub(crate) fn take_keys(desk: &mut Desk, ui: &Ui, acts: &mut Vec<Act>) {
    let typing = ui.text_edit_focused() || desk.naming.is_some() || desk.question.is_some();
    for look in Look::ALL {
        if !ui.input(|i| i.key_down(look.key())) {
            desk.looking.peeked.remove(&look);
        }
        if !typing && pressed(ui, look.key()) == Some(Modifiers::NONE) {
            desk.looking.peeked.insert(look);
        }
    }
    if desk.looking.peeked.contains(&Look::Flat) {
        for (key, count) in [(Key::Num2, 2), (Key::Num3, 3), (Key::Num4, 4), (Key::Num5, 5)] {
            if ui.input_mut(|i| i.consume_key(Modifiers::NONE, key)) {
                acts.push(Act::Look(LookAct::FlatTones(count)));
            }
        }
    }
    swallow_letters(desk, ui);
    mirror(desk, ui);
}

/// A key that is held to see something types nothing into a field that opens meanwhile.
fn swallow_letters(desk: &Desk, ui: &Ui) {
    let held = |text: &str| {
        desk.looking.peeked.iter().any(|look| look.key().name().eq_ignore_ascii_case(text))
    };
    ui.input_mut(|i| i.events.retain(|e| !matches!(e, Event::Text(text) if held(text))));
}

/// Turns the view over, or back; a drag goes on in the view that it was begun in.
fn mirror(desk: &mut Desk, ui: &Ui) {
    let wanted = desk.looked().1;
    if desk.view.mirrored == wanted {
        return;
    }
    let (down, released) = ui.input(|i| (i.pointer.any_down(), i.pointer.any_released()));
    if released {
        ui.ctx().request_repaint();
    } else if !down {
        desk.view.mirrored = wanted;
    }
}

/// With which modifiers a key went down in this frame; a key that repeats is held.
fn pressed(ui: &Ui, key: Key) -> Option<Modifiers> {
    ui.input(|i| {
        i.events.iter().find_map(|event| match event {
            Event::Key { key: k, pressed: true, repeat: false, modifiers, .. } if *k == key => {
                Some(*modifiers)
            }
            _ => None,
        })
    })
}

/// The part of the View menu.
pub(crate) fn menu(desk: &Desk, ui: &mut Ui, acts: &mut Vec<Act>) {
    let settings = &desk.remembered.tones;
    for (look, action) in Look::ALL.into_iter().zip(&LOOKS) {
        menu::item(desk, ui, action, acts).on_hover_text(hold(look));
        match look {
            Look::Flat => count_row(settings, ui, acts),
            Look::Squint => radius_row(settings, ui, acts),
            Look::Values | Look::Mirror => {}
        }
    }
}

fn count_row(settings: &ToneSettings, ui: &mut Ui, acts: &mut Vec<Act>) {
    ui.horizontal(|ui| {
        ui.add_space(ui.spacing().icon_width);
        for count in FLAT_TONES {
            let button = Button::selectable(settings.tones() == count, count.to_string());
            let response = ui
                .add(button)
                .on_hover_text(format!("{count} flat tones (hold D and press {count})"))
                .accessible_name(format!("{count} flat tones"));
            if response.clicked() {
                acts.push(Act::Look(LookAct::FlatTones(count)));
            }
        }
    });
}

fn radius_row(settings: &ToneSettings, ui: &mut Ui, acts: &mut Vec<Act>) {
    ui.horizontal(|ui| {
        ui.add_space(ui.spacing().icon_width);
        let mut percent = settings.radius() * 100.0;
        let range = RADII.start() * 100.0..=RADII.end() * 100.0;
        let slider =
            Slider::new(&mut percent, range).logarithmic(true).suffix(" %").max_decimals(1);
        let response = ui
            .add(slider)
            .on_hover_text("How far the light is spread, as a share of the painting's longer side")
            .accessible_name("Squint radius");
        if response.changed() {
            acts.push(Act::Look(LookAct::Radius(percent / 100.0)));
        }
    });
}

fn hold(look: Look) -> String {
    let key = look.key().symbol_or_name();
    format!("Hold {key} to see it for as long; Shift+{key} keeps it.")
}

fn capital(words: &str) -> String {
    let (first, rest) = words.split_at(1);
    first.to_uppercase() + rest
}

/// What the painting is looked at as, in a few words; `None` for the painting as it is.
pub(crate) fn words(desk: &Desk) -> Option<String> {
    let (settings, _) = desk.looked();
    let mut words = Vec::new();
    match settings.shown {
        ShownTones::Colour => {}
        ShownTones::Values => words.push("values".to_owned()),
        ShownTones::Flat => words.push(format!("{} flat tones", settings.tones())),
    }
    if settings.squint {
        words.push("squint".into());
    }
    if desk.view.mirrored {
        words.push("mirrored".into());
    }
    (!words.is_empty()).then(|| capital(&words.join(", ")))
}

/// The room that [`strip`] takes, points.
pub(crate) fn strip_width(desk: &Desk, ui: &Ui) -> f32 {
    words(desk).map_or(0.0, |words| button_width(words, ui))
}

/// The room that a small button with these words takes in the strip, points.
pub(crate) fn button_width(words: String, ui: &Ui) -> f32 {
    let font = TextStyle::Button.resolve(ui.style());
    let text = ui.painter().layout_no_wrap(words, font, Color32::PLACEHOLDER).size().x;
    text + 2.0 * ui.spacing().button_padding.x + ui.spacing().item_spacing.x
}

/// The word in the strip that says that the painting is not seen as it is.
pub(crate) fn strip(desk: &Desk, ui: &mut Ui, acts: &mut Vec<Act>) {
    let Some(words) = words(desk) else { return };
    let keys: Vec<String> = Look::ALL
        .iter()
        .map(|look| format!("{}: {}", look.key().symbol_or_name(), look.word().to_lowercase()))
        .collect();
    let response = ui
        .add(Button::selectable(true, words.as_str()).small())
        .on_hover_text(format!(
            "The painting is not seen as it is. Click to see it so ({}).",
            keys.join(", ")
        ))
        .accessible_name(format!("Seen in: {}", words.to_lowercase()));
    if response.clicked() {
        acts.push(Act::Look(LookAct::Plain));
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_key_of_a_look_that_is_kept_shows_it_without() {
        let mut mirrored = true;
        let mut settings = ToneSettings { shown: ShownTones::Values, ..ToneSettings::default() };
        toggle(Look::Flat, &mut settings, &mut mirrored);
        assert_eq!(settings.view().tones, Tones::Flat(3));
        toggle(Look::Flat, &mut settings, &mut mirrored);
        toggle(Look::Mirror, &mut settings, &mut mirrored);
        assert_eq!((settings.view(), mirrored), (ToneView::PLAIN, false));
    }

    #[test]
    fn settings_that_make_no_sense_are_brought_into_range() {
        let shown = ShownTones::Flat;
        let wild = ToneSettings { shown, flat_tones: 200, squint: true, squint_radius: 9.0 };
        assert_eq!(wild.view(), ToneView { tones: Tones::Flat(5), squint: Some(0.05) });
        assert_eq!(ToneSettings { flat_tones: 0, ..wild }.view().tones, Tones::Flat(2));
    }

    #[test]
    fn every_look_has_a_key_of_its_own() {
        let keys: BTreeSet<Key> = Look::ALL.into_iter().map(Look::key).collect();
        assert_eq!(keys.len(), Look::ALL.len());
    }
}
