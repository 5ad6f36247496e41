//! What the next line or marker will be.

use crate::act::{Act, Traced};
use crate::desk::Desk;
use crate::ink::colour;
use crate::mode::Mode;
use egui::{Button, Color32, Response, Ui, pos2};
use staffage_drawing::family_colour;
use staffage_scene::{Family, Span, family_name};

/// Shows the chips of the mode, in the row of the modes.
pub(crate) fn show(desk: &Desk, ui: &mut Ui, acts: &mut Vec<Act>) {
    match desk.mode {
        Mode::Line => lines(desk, ui, acts),
        Mode::Mark => spans(desk, ui, acts),
        Mode::Look | Mode::Overlap => {}
    }
}

fn lines(desk: &Desk, ui: &mut Ui, acts: &mut Vec<Act>) {
    let block = desk.tools.block;
    let families = [
        (Family::Upright, "U", "edges that are plumb"),
        (Family::RecedingLeft(block), "L", "level edges that run away to the left"),
        (Family::RecedingRight(block), "R", "level edges that run away to the right"),
    ];
    for (family, key, what) in families {
        let traced = Traced::Family(family);
        let name = kind(family);
        let chosen = desk.tools.traced == traced;
        if chip(ui, name, key, what, chosen, Some(colour(family_colour(family)))).clicked() {
            acts.push(Act::Trace(traced));
        }
    }
    let horizon = desk.tools.traced == Traced::Horizon;
    let what = "the horizon where it can be seen: the sea, a plain";
    if chip(ui, "horizon", "H", what, horizon, Some(Color32::WHITE)).clicked() {
        acts.push(Act::Trace(Traced::Horizon));
    }
    inclines(desk, ui, acts);
    blocks(desk, ui, acts);
}

fn kind(family: Family) -> &'static str {
    match family {
        Family::Upright => "upright",
        Family::RecedingLeft(_) => "receding left",
        Family::RecedingRight(_) => "receding right",
        Family::Incline(_) => "incline",
    }
}

fn inclines(desk: &Desk, ui: &mut Ui, acts: &mut Vec<Act>) {
    for incline in &desk.scene().inclines {
        let family = Family::Incline(incline.id);
        let chosen = desk.tools.traced == Traced::Family(family);
        let ink = Some(colour(family_colour(family)));
        let what = "edges that rise or fall: a ramp, a stair, a roof";
        if chip(ui, &incline.name, "I", what, chosen, ink).clicked() {
            acts.push(Act::Trace(Traced::Family(family)));
        }
    }
    let what = "add a set of edges that rise or fall: a ramp, a stair, a roof";
    if chip(ui, "+ incline", "I", what, false, None).clicked() {
        acts.push(Act::AddIncline);
    }
}

fn blocks(desk: &Desk, ui: &mut Ui, acts: &mut Vec<Act>) {
    ui.separator();
    for block in &desk.scene().blocks {
        let chosen = desk.tools.block == block.id;
        let what = "receding lines belong to this block: walls that are square to each other";
        if chip(ui, &block.name, "B", what, chosen, None).clicked() {
            let family = match desk.tools.traced {
                Traced::Family(Family::RecedingLeft(_)) => Family::RecedingLeft(block.id),
                _ => Family::RecedingRight(block.id),
            };
            acts.push(Act::Trace(Traced::Family(family)));
        }
    }
    let what = "add a block that is turned another way";
    if chip(ui, "+ block", "Shift+B", what, false, None).clicked() {
        acts.push(Act::AddBlock);
    }
}

fn spans(desk: &Desk, ui: &mut Ui, acts: &mut Vec<Act>) {
    let scene = desk.scene();
    let mut spans = vec![(Span::Upright, "upright".to_owned(), "U", Some(Family::Upright))];
    let families = scene
        .blocks
        .iter()
        .flat_map(|b| [(Family::RecedingLeft(b.id), "L"), (Family::RecedingRight(b.id), "R")]);
    let inclines = scene.inclines.iter().map(|i| (Family::Incline(i.id), "I"));
    for (family, key) in families.chain(inclines) {
        spans.push((Span::Along(family), family_name(scene, family), key, Some(family)));
    }
    spans.push((Span::Facing, "facing".to_owned(), "F", None));
    for (span, name, key, family) in spans {
        let what = match span {
            Span::Upright => "things that stand plumb: figures, doors, towers",
            Span::Along(_) => "things that run along this family: a hull, a wall, a road's width",
            Span::Facing => "things seen straight on: both ends are equally far",
        };
        let ink = family.map(|f| colour(family_colour(f)));
        if chip(ui, &name, key, what, desk.tools.span == span, ink).clicked() {
            acts.push(Act::Run(span));
        }
    }
    ui.separator();
    for level in &scene.levels {
        let chosen = desk.tools.level == Some(level.id);
        let what = "the next marker stands on this level";
        if chip(ui, &format!("on {}", level.name), "G", what, chosen, None).clicked() {
            acts.push(Act::StandOn(level.id));
        }
    }
}

fn chip(
    ui: &mut Ui,
    name: &str,
    key: &str,
    what: &str,
    chosen: bool,
    ink: Option<Color32>,
) -> Response {
    let text = if ink.is_some() { format!("     {name}") } else { name.to_owned() };
    let response = ui
        .add(Button::selectable(chosen, text))
        .on_hover_text(format!("{name} ({key}): {what}"))
        .accessible_name(format!("{name} chip"));
    if let Some(ink) = ink {
        let y = response.rect.center().y;
        let x = response.rect.left() + 7.0;
        let ends = [pos2(x, y), pos2(x + 11.0, y)];
        ui.painter().line_segment(ends, egui::Stroke::new(5.0, Color32::from_black_alpha(140)));
        ui.painter().line_segment(ends, egui::Stroke::new(3.0, ink));
    }
    response
}
