//! The menu under a secondary click on a thing in the painting.

use crate::actions::act::Act;
use crate::actions::canvas_actions::{ALIGN, CENTRE, DELETE, DUPLICATE};
use crate::desk::Desk;
use crate::modes::mode::Mode;
use crate::selection::Selection;
use crate::thing::Thing;
use crate::{actions::menu, eye::eye_quantity};
use egui::{Button, Popup, Response, Ui};

/// The menu of what was clicked: of a thing, of all that is selected with it, or of the eye.
pub(crate) fn context_menu(desk: &mut Desk, canvas: &Response) -> Vec<Act> {
    let at = canvas.interact_pointer_pos().filter(|_| canvas.secondary_clicked());
    let thing = at.and_then(|at| desk.pointing().grip(at)).map(|grip| grip.thing);
    if let Some(thing) = thing
        && !desk.selection.has(thing)
    {
        desk.select(Selection::only(thing));
    }
    let of_eye = desk.selected().is_none_or(Thing::is_of_eye);
    if desk.mode == Mode::Look && (of_eye || (at.is_some() && thing.is_none())) {
        return eye_quantity::context_menu(desk, canvas);
    }
    if of_eye || (at.is_some() && thing.is_none()) {
        return Vec::new();
    }
    let mut acts = Vec::new();
    Popup::context_menu(canvas).accessible_name("Thing menu").show(|ui| items(desk, ui, &mut acts));
    acts
}

fn items(desk: &Desk, ui: &mut Ui, acts: &mut Vec<Act>) {
    let name = match desk.selection.single() {
        Some(thing) => thing.name(desk.scene()),
        None => format!("{} things", desk.selection.len()),
    };
    ui.strong(&name);
    for action in [&ALIGN, &DUPLICATE] {
        menu::item(desk, ui, action, acts);
    }
    if let Some(thing) = desk.selection.single() {
        let centre = Button::new("Bring to the middle")
            .shortcut_text(CENTRE.key_words().unwrap_or_default());
        let centre = ui.add(centre).on_hover_text(CENTRE.tooltip());
        if centre.clicked() {
            acts.push(Act::Centre(thing));
        }
    }
    menu::item(desk, ui, &DELETE, acts);
}
