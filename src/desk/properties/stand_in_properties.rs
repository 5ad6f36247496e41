//! Everything about the selected stand-in.

use crate::actions::act::Act;
use crate::desk::Desk;
use crate::modes::stand_in_chips::size;
use crate::modes::stand_in_mode::Many;
use crate::thing::Thing;
use crate::{field, typed};
use egui::{ComboBox, DragValue, Grid, Ui};
use glam::DVec2;
use staffage_scene::{
    Arranged, COUNT, Edit, Known, LIFT, Marker, Shape, Span, StandIn, Stands, Statement, TURN,
    Whereabouts, stand_in_carried,
};

/// Spread of the height of a figure that is marked (common practice), and of any other thing.
const FIGURE_SPREAD: f64 = 0.06;
const THING_SPREAD: f64 = 0.05;
/// What to type for a distance.
const DISTANCE_WANTED: &str = "a distance at which it can be seen, such as 40 m or 0.3 km";
/// How far the second of a row is from the first until it is dragged, picture units.
const FIRST_REACH: f64 = 0.1;

pub(crate) fn show(desk: &mut Desk, ui: &mut Ui, stand_in: &StandIn, acts: &mut Vec<Act>) {
    ui.label(crate::actions::acts::sentence(&staffage_scene::stand_in_words(
        stand_in,
        desk.scene(),
        desk.assessment(),
    )));
    ui.weak("A ghost to paint over: it measures nothing, and no finding speaks of it.");
    Grid::new("stand-in").num_columns(2).spacing([10.0, 6.0]).show(ui, |ui| {
        ui.weak("name");
        let salt = ("stand-in name", stand_in.id.0);
        if let Some(name) = field::own_name(ui, salt, "Stand-in name", &stand_in.name, 180.0) {
            acts.push(put(StandIn { name, ..stand_in.clone() }));
        }
        ui.end_row();
        for (part, metres) in stand_in.shape.sizes() {
            let salt = format!("stand-in {}", stand_in.id);
            ui.weak(part);
            if let Some(metres) = size(desk.units(), ui, &salt, "selected", part, metres) {
                let shape = stand_in.shape.with(part, metres);
                acts.push(put(StandIn { shape, ..stand_in.clone() }));
            }
            ui.end_row();
        }
        ui.weak("on");
        ui.horizontal(|ui| {
            level(desk, ui, stand_in, acts);
            how_far(desk, ui, stand_in, acts);
        });
        ui.end_row();
        ui.weak("lifted");
        let mut lift = stand_in.lift;
        let units = desk.units();
        let number = DragValue::new(&mut lift)
            .update_while_editing(false)
            .speed(0.05)
            .range(LIFT)
            .custom_formatter(|metres, _| units.metres(metres))
            .custom_parser(|text| typed::height(text, units));
        let number = ui.add(number).accessible_name("Lift");
        let lifted = number.dragged() || units.metres(lift) != units.metres(stand_in.lift);
        let edit = Edit::PutStandIn(StandIn { lift, ..stand_in.clone() });
        field::put(&number, lifted.then_some(edit), acts);
        ui.end_row();
        ui.weak("turned");
        turn(desk, ui, stand_in, acts);
        ui.end_row();
        ui.weak("how many");
        many(ui, stand_in, acts);
        ui.end_row();
    });
    ui.add_space(4.0);
    let tip = "Once it is painted: a marker from its foot to its head, of its size";
    if ui.button("Mark it").on_hover_text(tip).clicked()
        && let Some(marker) = marker(desk, stand_in)
    {
        let id = marker.id;
        let label = format!("Mark {}", stand_in.name);
        acts.push(Act::Edit(Edit::Several { label, edits: vec![Edit::PutMarker(marker)] }));
        acts.push(Act::Select(Some(Thing::marker(id))));
    }
}

fn put(stand_in: StandIn) -> Act {
    Act::Edit(Edit::PutStandIn(stand_in))
}

fn level(desk: &Desk, ui: &mut Ui, stand_in: &StandIn, acts: &mut Vec<Act>) {
    let scene = desk.scene();
    let now = scene.level(stand_in.level).map_or("nothing", |level| &level.name);
    ComboBox::from_id_salt("stand-in level")
        .selected_text(now)
        .show_ui(ui, |ui| {
            for level in &scene.levels {
                let chosen = level.id == stand_in.level;
                if ui.selectable_label(chosen, &level.name).clicked() && !chosen {
                    acts.push(put(StandIn { level: level.id, ..stand_in.clone() }));
                }
            }
        })
        .response
        .accessible_name("Level of the stand-in");
}

/// The distance of its middle, or of the first of many: typed, it goes there along its level, as seen in the
/// same direction.
fn how_far(desk: &Desk, ui: &mut Ui, stand_in: &StandIn, acts: &mut Vec<Act>) {
    let placed = desk.placed(stand_in);
    let Some(first) = placed.as_ref().as_ref().ok().and_then(|p| p.each.first()) else { return };
    // A hull is so far off by its middle; the sentence above tells where its ends are.
    let is_deep = first.reach().0 < first.reach().1;
    ui.weak(if is_deep { "its middle at" } else { "at" });
    let (now, salt) = (desk.units().metres(first.distance()), ("how far", stand_in.id.0));
    let bearing = first.foot.x.atan2(-first.foot.z);
    let read = |text: &str| {
        let to = Whereabouts { distance: typed::length(text, desk.units())?, bearing };
        stand_in_carried(desk.scene(), desk.assessment(), stand_in.id, to).ok()
    };
    let carried = field::parsed(ui, salt, "How far off", &now, 80.0, DISTANCE_WANTED, read);
    acts.extend(carried.map(put));
}

/// The turn, and what it is counted from.
fn turn(desk: &Desk, ui: &mut Ui, stand_in: &StandIn, acts: &mut Vec<Act>) {
    ui.horizontal(|ui| {
        let mut turn = stand_in.turn;
        let number = DragValue::new(&mut turn)
            .update_while_editing(false)
            .speed(0.5)
            .range(TURN)
            .suffix("°")
            .max_decimals(1);
        let number = ui.add(number).accessible_name("Turn");
        let turned = field::differs(&number, stand_in.turn, turn, 1);
        let edit = Edit::PutStandIn(StandIn { turn, ..stand_in.clone() });
        field::put(&number, turned.then_some(edit), acts);
        let ahead = "from straight ahead";
        let scene = desk.scene();
        let from = |name: &str| format!("from {name}");
        let now = stand_in.along.and_then(|id| scene.block(id));
        ComboBox::from_id_salt("stand-in along")
            .selected_text(now.map_or(ahead.to_owned(), |block| from(&block.name)))
            .show_ui(ui, |ui| {
                if ui.selectable_label(now.is_none(), ahead).clicked() {
                    acts.push(put(StandIn { along: None, ..stand_in.clone() }));
                }
                for block in &scene.blocks {
                    let chosen = stand_in.along == Some(block.id);
                    if ui.selectable_label(chosen, from(&block.name)).clicked() {
                        // Choosing a block aligns with it.
                        let along = Some(block.id);
                        acts.push(put(StandIn { along, turn: 0.0, ..stand_in.clone() }));
                    }
                }
            })
            .response
            .on_hover_text("What the turn counts from; choosing a block aligns with its walls")
            .accessible_name("Turned from");
    });
}

fn many(ui: &mut Ui, stand_in: &StandIn, acts: &mut Vec<Act>) {
    ui.horizontal(|ui| {
        let now = match stand_in.arranged {
            Arranged::Alone => Many::One,
            Arranged::Row { .. } => Many::Row,
            Arranged::Crowd { .. } => Many::Crowd,
        };
        for many in Many::ALL {
            let button = ui.selectable_label(now == many, many.word());
            if button.clicked() && now != many {
                let reach = stand_in.foot + DVec2::new(FIRST_REACH, 0.0);
                let to = stand_in.arranged.to().unwrap_or(reach);
                let count = stand_in.arranged.count().max(if many == Many::One { 1 } else { 5 });
                let arranged = many.arranged(to, count, u64::from(stand_in.id.0));
                acts.push(put(StandIn { arranged, ..stand_in.clone() }));
            }
        }
        if now == Many::One {
            return;
        }
        let mut count = stand_in.arranged.count();
        let number = ui
            .add(DragValue::new(&mut count).update_while_editing(false).range(COUNT))
            .accessible_name("Count");
        let counted = StandIn { arranged: stand_in.arranged.counting(count), ..stand_in.clone() };
        field::put(&number, Some(Edit::PutStandIn(counted)), acts);
        if let Arranged::Crowd { to, count, seed } = stand_in.arranged {
            let again = Arranged::Crowd { to, count, seed: seed.wrapping_add(1) };
            let tip = "Spread the same crowd another way";
            if ui.button("Deal again").on_hover_text(tip).clicked() {
                acts.push(put(StandIn { arranged: again, ..stand_in.clone() }));
            }
        }
    });
}

/// A marker of the (first) stand-in once it is painted.
fn marker(desk: &Desk, stand_in: &StandIn) -> Option<Marker> {
    let placed = desk.placed(stand_in);
    let first = *placed.as_ref().as_ref().ok()?.each.first()?;
    let eye = &desk.assessment().eye.eye;
    let (foot, head) = (eye.project(first.foot)?, eye.project(first.head())?);
    let level = stand_in.level;
    let stands = if stand_in.lift == 0.0 {
        Stands::On(level)
    } else {
        Stands::Over { level, plumb: stand_in.foot }
    };
    let spread = match stand_in.shape {
        Shape::Figure { .. } => FIGURE_SPREAD,
        _ => THING_SPREAD,
    };
    let size = Known { metres: first.shape.height(), spread };
    let statements = vec![Statement::KnownSize { size, as_: stand_in.name.clone() }];
    let id = desk.scene().next_marker_id();
    let name = stand_in.name.clone();
    Some(Marker { id, name, foot, head, span: Span::Upright, stands, statements })
}
