//! The small card beside a marker that was just drawn: its name, what it stands on, its size.
//! It is not in the way: a click elsewhere takes what was typed, Esc leaves the marker plain.

use crate::actions::act::Act;
use crate::canvas::gesture::Tie;
use crate::desk::Desk;
use crate::properties::size_picker::{Picked, SizePicker};
use crate::properties::statements::Comparison;
use crate::properties::support;
use crate::sentences::answer;
use crate::thing::{Thing, marker_name};
use egui::{Area, ComboBox, Frame, Id, Key, Order, Pos2, TextEdit, Ui, vec2};
use staffage_scene::{
    Edit, FACTOR, Level, Marker, MarkerId, Scene, Side, SizeBook, Span, Stands, Statement, Subject,
};
use std::sync::Arc;

const WIDTH: f32 = 300.0;

/// What is typed on the card so far.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Naming {
    id: MarkerId,
    name: String,
    picker: SizePicker,
    like: Option<(Comparison, MarkerId)>,
    /// For "times as large as".
    factor: f64,
    stands: Option<Support>,
    focused: bool,
    /// Whether the marker was just drawn.
    new: bool,
    /// The scene when the card opened.
    opened: Option<Arc<Scene>>,
    /// The card on the screen, as of the last frame.
    rect: Option<egui::Rect>,
}

/// A choice of what the marker stands on.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Support {
    Stands(Stands),
    NewLevel(Side),
}

/// Whether a thing has a name that can be typed.
pub(crate) fn has_name(thing: Thing) -> bool {
    match thing {
        Thing::Of(subject) => !matches!(subject, Subject::Line(_) | Subject::Overlap(_)),
        Thing::Horizon | Thing::EyeLevel | Thing::VanishingPoint(_) => false,
    }
}

impl Naming {
    pub(crate) fn of(id: MarkerId, span: Span) -> Self {
        Self {
            id,
            name: String::new(),
            picker: SizePicker::of(span),
            like: None,
            factor: 2.0,
            stands: None,
            focused: false,
            new: false,
            opened: None,
            rect: None,
        }
    }

    /// The card of a marker that was just drawn: what it says is part of the same step.
    pub(crate) fn of_new(id: MarkerId, span: Span) -> Self {
        Self { new: true, ..Self::of(id, span) }
    }

    /// The card with what is typed on it, which stays open while a size cannot be read.
    fn taken(&self, book: Option<&SizeBook>) -> Left {
        if self.picker.is_unreadable(book) {
            Left::Open
        } else {
            Left::Taken(self.picker.offer(book))
        }
    }
}

/// How the card was left.
enum Left {
    Open,
    Taken(Option<Picked>),
    Plain,
}

pub(crate) fn show(desk: &mut Desk, ui: &Ui, acts: &mut Vec<Act>) {
    let Some(mut naming) = desk.naming.take() else { return };
    let Some(marker) = desk.scene().marker(naming.id).cloned() else { return };
    naming.opened.get_or_insert_with(|| Arc::clone(desk.history.present()));
    let left = card(desk, ui, &mut naming, &marker, acts);
    match left {
        Left::Open => desk.naming = Some(naming),
        Left::Plain => {}
        Left::Taken(picked) => {
            let present = desk.history.present();
            let alone = naming.opened.as_ref().is_some_and(|o| Arc::ptr_eq(o, present));
            let act = if naming.new && alone { Act::Complete } else { Act::Edit };
            acts.extend(take(desk.scene(), &naming, &marker, picked).map(act));
        }
    }
}

fn card(desk: &Desk, ui: &Ui, naming: &mut Naming, marker: &Marker, acts: &mut Vec<Act>) -> Left {
    let mut left = Left::Open;
    let area = Area::new(Id::unique(("naming", naming.id.0)))
        .order(Order::Foreground)
        .fixed_pos(corner(desk, marker, naming.rect))
        .constrain_to(desk.canvas)
        .accessible_name("Name and size");
    let shown = area.show(ui.ctx(), |ui| {
        Frame::popup(ui.style()).inner_margin(12).show(ui, |ui| {
            ui.set_width(WIDTH);
            left = contents(desk, ui, naming, marker, acts);
        });
    });
    let rect = shown.response.rect;
    let known = naming.rect.is_some();
    naming.rect = Some(rect);
    let pressed = ui.input(|i| i.pointer.any_pressed().then(|| i.pointer.interact_pos()).flatten());
    let elsewhere = pressed.is_some_and(|at| !rect.contains(at));
    if known && elsewhere && matches!(left, Left::Open) && !egui::Popup::is_any_open(ui.ctx()) {
        left = naming.taken(desk.booked.book());
    }
    left
}

/// Beside the marker, on the side with more room.
fn corner(desk: &Desk, marker: &Marker, rect: Option<egui::Rect>) -> Pos2 {
    let (foot, head) = (marker.foot, marker.head);
    let (a, b) = (desk.view.to_screen(desk.canvas, foot), desk.view.to_screen(desk.canvas, head));
    let size = rect.map_or(vec2(WIDTH + 24.0, 190.0), |r| r.size());
    let right = a.x.max(b.x) + 30.0;
    let x = if right + size.x < desk.canvas.right() { right } else { a.x.min(b.x) - 30.0 - size.x };
    let y = (a.y + b.y) / 2.0 - size.y / 2.0;
    Pos2::new(x, y)
}

fn contents(
    desk: &Desk,
    ui: &mut Ui,
    naming: &mut Naming,
    marker: &Marker,
    acts: &mut Vec<Act>,
) -> Left {
    let enter = ui.input(|i| i.key_pressed(Key::Enter));
    let field = TextEdit::singleline(&mut naming.name)
        .hint_text(format!("name, or {}", marker.name))
        .desired_width(WIDTH - 8.0);
    let name = ui.add(field).accessible_name("Name");
    if !naming.focused {
        name.request_focus();
        naming.focused = true;
    }
    let shown = naming.picker.show(ui, WIDTH - 8.0, desk.booked.book(), desk.units());
    let tie = support(desk, ui, naming, marker);
    like(desk, ui, naming);
    footer(desk, ui, marker);
    if ui.input_mut(|i| i.consume_key(egui::Modifiers::NONE, Key::Escape)) {
        return Left::Plain;
    }
    if let Some(tie) = tie {
        acts.push(Act::AskTie(tie));
        return naming.taken(desk.booked.book());
    }
    if let Some(picked) = shown.picked {
        return Left::Taken(Some(picked));
    }
    if enter && (name.lost_focus() || shown.field.lost_focus()) {
        if naming.picker.is_unreadable(desk.booked.book()) {
            shown.field.request_focus();
        }
        return naming.taken(desk.booked.book());
    }
    Left::Open
}

/// What it stands on; the tie whose point is to be clicked, if that was chosen.
fn support(desk: &Desk, ui: &mut Ui, naming: &mut Naming, marker: &Marker) -> Option<Tie> {
    let scene = desk.scene();
    let now = naming.stands.unwrap_or(Support::Stands(marker.stands));
    let word = |support| match support {
        Support::Stands(stands) => support::words(scene, stands),
        Support::NewLevel(Side::Below) => "on a new level below the eye".into(),
        Support::NewLevel(Side::Above) => "on a new level above the eye".into(),
    };
    let levels = scene.levels.iter().map(|l| Support::Stands(Stands::On(l.id)));
    let others = [Support::NewLevel(Side::Below), Support::NewLevel(Side::Above)];
    let unsaid = Support::Stands(Stands::Unsaid);
    ui.horizontal(|ui| {
        ui.label("stands");
        let shown = ComboBox::from_id_salt("support")
            .width(WIDTH - 70.0)
            .height(300.0)
            .selected_text(word(now))
            .show_ui(ui, |ui| {
                for support in levels.chain(others).chain([unsaid]) {
                    if ui.selectable_label(support == now, word(support)).clicked() {
                        naming.stands = Some(support);
                    }
                }
                ui.separator();
                let tie = support::ties(ui, marker);
                let stands = match now {
                    Support::Stands(stands) => stands,
                    Support::NewLevel(_) => Stands::Unsaid,
                };
                let chosen = support::untouched(scene, ui, marker, stands);
                naming.stands = chosen.map(Support::Stands).or(naming.stands);
                tie
            });
        shown.response.accessible_name("Stands on");
        shown.inner.flatten()
    })
    .inner
}

/// As large as another marker, or so many times as large.
fn like(desk: &Desk, ui: &mut Ui, naming: &mut Naming) {
    let others: Vec<&Marker> = desk.scene().markers.iter().filter(|m| m.id != naming.id).collect();
    if others.is_empty() || !naming.picker.text.is_empty() {
        return;
    }
    ui.horizontal(|ui| {
        if let Some((Comparison::Times, _)) = naming.like {
            let factor = egui::DragValue::new(&mut naming.factor)
                .update_while_editing(false)
                .range(FACTOR)
                .speed(0.05);
            ui.add(factor.prefix("× ")).accessible_name("How many times");
        }
        let words = |like: Option<(Comparison, MarkerId)>| match like {
            None => "not scaled off another thing".to_owned(),
            Some((comparison, of)) => {
                format!("{} {}", comparison.words(), marker_name(of, desk.scene()))
            }
        };
        let width = ui.available_width() - 8.0;
        let choices = others.iter().flat_map(|other| {
            [Comparison::SameMake, Comparison::Times].map(|c| Some((c, other.id)))
        });
        ComboBox::from_id_salt("like")
            .width(width)
            .selected_text(words(naming.like))
            .show_ui(ui, |ui| {
                for like in [None].into_iter().chain(choices) {
                    ui.selectable_value(&mut naming.like, like, words(like));
                }
            })
            .response
            .accessible_name("Compare the size");
    });
}

fn footer(desk: &Desk, ui: &mut Ui, marker: &Marker) {
    if let Some(entry) = desk.assessment().entry(marker.id) {
        ui.label(answer(desk.units(), entry, marker.span));
    }
    ui.weak("Enter takes it · Esc leaves it plain");
}

/// The edit that the card asks for, if it asks for any.
fn take(scene: &Scene, naming: &Naming, marker: &Marker, picked: Option<Picked>) -> Option<Edit> {
    let mut after = marker.clone();
    let mut edits = Vec::new();
    let name = naming.name.trim();
    if !name.is_empty() {
        after.name = name.to_owned();
    }
    match naming.stands {
        None => {}
        Some(Support::Stands(stands)) => after = support::standing(&after, stands),
        Some(Support::NewLevel(side)) => {
            let level = new_level(scene, side);
            after = support::standing(&after, Stands::On(level.id));
            edits.push(Edit::PutLevel(level));
        }
    }
    match (picked, naming.like) {
        (Some(Picked { size, called }), _) => {
            if name.is_empty() && called != "own size" {
                after.name = numbered(scene, called.split(',').next().unwrap_or(&called));
            }
            after.statements.push(Statement::KnownSize { size, as_: called });
        }
        (None, Some((comparison, of))) => after.statements.push(comparison.of(of, naming.factor)),
        (None, None) => {}
    }
    if after == *marker {
        return None;
    }
    let name = &after.name;
    let label = if naming.new { format!("Mark {name}") } else { format!("Say what {name} is") };
    edits.push(Edit::PutMarker(after));
    Some(Edit::Several { label, edits })
}

/// A level with the next free name on this side of the eye.
pub(crate) fn new_level(scene: &Scene, side: Side) -> Level {
    let id = scene.next_level_id();
    Level { id, name: format!("level {id}"), side, clearance: None, above: None }
}

/// The name, with a number if something is already called that.
fn numbered(scene: &Scene, name: &str) -> String {
    let taken = |name: &str| scene.markers.iter().any(|m| m.name == name);
    if !taken(name) {
        return name.to_owned();
    }
    let free = (2..).map(|n| format!("{name} {n}")).find(|n| !taken(n));
    free.unwrap_or_else(|| name.to_owned())
}

#[cfg(test)]
mod tests {
    use super::*;
    use glam::DVec2;

    fn marker() -> Marker {
        Marker {
            id: MarkerId(1),
            name: "marker 1".into(),
            foot: DVec2::ZERO,
            head: DVec2::new(0.0, -0.1),
            span: Span::Upright,
            stands: Stands::Unsaid,
            statements: vec![],
        }
    }

    #[test]
    fn a_card_left_empty_asks_for_nothing() {
        let scene = Scene { markers: vec![marker()], ..Scene::default() };
        assert_eq!(take(&scene, &Naming::of(MarkerId(1), Span::Upright), &marker(), None), None);
    }

    #[test]
    fn a_new_level_is_added_in_the_same_step() {
        let scene = Scene { markers: vec![marker()], ..Scene::default() };
        let naming = Naming {
            stands: Some(Support::NewLevel(Side::Above)),
            ..Naming::of(MarkerId(1), Span::Upright)
        };
        let Some(edit) = take(&scene, &naming, &marker(), None) else { panic!("no edit") };
        let after = staffage_scene::apply(&scene, &edit).expect("a sound scene");
        assert_eq!(after.levels.len(), 2);
        assert_eq!(after.markers[0].stands, Stands::On(after.levels[1].id));
        assert_eq!(after.levels[1].side, Side::Above);
    }

    #[test]
    fn things_from_the_shelf_are_numbered() {
        let named = Marker { name: "adult".into(), ..marker() };
        let scene = Scene { markers: vec![named], ..Scene::default() };
        assert_eq!(numbered(&scene, "adult"), "adult 2");
        assert_eq!(numbered(&scene, "door"), "door");
    }
}
