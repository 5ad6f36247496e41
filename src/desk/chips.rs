//! What the next line or marker will be.

use crate::act::{Act, Traced};
use crate::acts::along_block;
use crate::desk::Desk;
use crate::guide_chips;
use crate::ink::colour;
use crate::mode::Mode;
use crate::stand_in_chips;
use egui::{Button, Color32, ComboBox, Response, Ui, pos2};
use staffage_drawing::family_colour;
use staffage_scene::{BlockId, Family, Scene, Span, family_name};

/// Shows the chips of the mode, in the row of the modes.
pub(crate) fn show(desk: &Desk, ui: &mut Ui, acts: &mut Vec<Act>) {
    match desk.mode {
        Mode::Line => lines(desk, ui, acts),
        Mode::Mark => spans(desk, ui, acts),
        Mode::Guide => guide_chips::show(desk, ui, acts),
        Mode::StandIn => stand_in_chips::show(desk, ui, acts),
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
        let name = kind(family, desk.scene());
        let chosen = desk.tools.traced == traced;
        if chip(ui, &name, key, what, chosen, Some(colour(family_colour(family)))).clicked() {
            acts.push(Act::Trace(traced));
        }
    }
    let horizon = desk.tools.traced == Traced::Horizon;
    let what = "the horizon where it can be seen: the sea, a plain";
    if chip(ui, "horizon", "H", what, horizon, Some(Color32::WHITE)).clicked() {
        acts.push(Act::Trace(Traced::Horizon));
    }
    inclines(desk, ui, acts);
    block_of_lines(desk, ui, acts);
}

/// A family without its block, which has a chip of its own.
pub(crate) fn kind(family: Family, scene: &Scene) -> String {
    match family {
        Family::RecedingLeft(_) => "receding left".into(),
        Family::RecedingRight(_) => "receding right".into(),
        Family::Upright | Family::Incline(_) | Family::Run(_) => family_name(scene, family),
    }
}

/// First the ways to add one, which stay where they are when one is added.
fn inclines(desk: &Desk, ui: &mut Ui, acts: &mut Vec<Act>) {
    let what = "add a set of edges that rise or fall: a ramp, a stair, a roof";
    if chip(ui, "+ incline", "I", what, false, None).clicked() {
        acts.push(Act::AddIncline);
    }
    if desk.scene().light().is_none() {
        let what = "add the light: its rays run from things to the ends of their shadows";
        if chip(ui, "+ light", "Shift+L", what, false, None).clicked() {
            acts.push(Act::AddLight);
        }
    }
    for incline in &desk.scene().inclines {
        let (slope, run) = if desk.scene().is_light(incline.id) {
            (
                "from things to the ends of their shadows: the rays of the light",
                "shadows that uprights cast on level ground",
            )
        } else {
            (
                "edges that rise or fall: a ramp, a stair, a roof",
                "level edges straight below those: the foot of a ramp’s wall",
            )
        };
        let mut families = vec![(Family::Incline(incline.id), "I", slope)];
        // Only beside the incline that is being traced: the row must not run over.
        if desk.tools.incline() == Some(incline.id) {
            families.push((Family::Run(incline.id), "Shift+I", run));
        }
        for (family, key, what) in families {
            let name = family_name(desk.scene(), family);
            let chosen = desk.tools.traced == Traced::Family(family);
            let ink = Some(colour(family_colour(family)));
            if chip(ui, &name, key, what, chosen, ink).clicked() {
                acts.push(Act::Trace(Traced::Family(family)));
            }
        }
    }
}

/// The blocks to choose from; `turned` gives the act that goes over to one.
fn blocks(desk: &Desk, ui: &mut Ui, turned: impl Fn(BlockId) -> Act, acts: &mut Vec<Act>) {
    let what = "receding lines belong to this block: walls that are square to each other";
    for block in &desk.scene().blocks {
        let chosen = desk.tools.block == block.id;
        if chip(ui, &block.name, "B", what, chosen, None).clicked() {
            acts.push(turned(block.id));
        }
    }
}

fn block_of_lines(desk: &Desk, ui: &mut Ui, acts: &mut Vec<Act>) {
    ui.separator();
    let turned = |block| {
        Act::Trace(Traced::Family(match desk.tools.traced {
            Traced::Family(Family::RecedingLeft(_)) => Family::RecedingLeft(block),
            _ => Family::RecedingRight(block),
        }))
    };
    blocks(desk, ui, turned, acts);
    let what = "add a block that is turned another way";
    if chip(ui, "+ block", "Shift+B", what, false, None).clicked() {
        acts.push(Act::AddBlock);
    }
}

fn spans(desk: &Desk, ui: &mut Ui, acts: &mut Vec<Act>) {
    let (scene, block) = (desk.scene(), desk.tools.block);
    let mut spans = vec![
        (Span::Upright, "U"),
        (Span::Along(Family::RecedingLeft(block)), "L"),
        (Span::Along(Family::RecedingRight(block)), "R"),
    ];
    spans.extend([(Span::Facing, "F"), (Span::Cylinder, "O"), (Span::Ball, "Shift+O")]);
    // At the end, so that no other chip moves when one is added; nothing runs along the light.
    let inclines = scene.inclines.iter().filter(|i| !scene.is_light(i.id));
    spans.extend(inclines.map(|i| (Span::Along(Family::Incline(i.id)), "I")));
    for (span, key) in spans {
        let (name, what, family) = match span {
            Span::Upright => (
                "upright".to_owned(),
                "things that stand plumb: figures, doors, towers",
                Some(Family::Upright),
            ),
            Span::Along(family) => (
                kind(family, scene),
                "things that run along this family: a hull, a wall, a road's width",
                Some(family),
            ),
            Span::Facing => {
                ("facing".to_owned(), "things seen straight on: both ends equally far", None)
            }
            Span::Cylinder => (
                "round".to_owned(),
                "across an upright round thing, from outline to outline: a tower, a tank, a trunk",
                None,
            ),
            Span::Ball => ("ball".to_owned(), "across a ball, from outline to outline", None),
        };
        let ink = family.map(|f| colour(family_colour(f)));
        if chip(ui, &name, key, what, desk.tools.span == span, ink).clicked() {
            acts.push(Act::Run(span));
        }
    }
    ui.separator();
    if scene.blocks.len() > 1 {
        let turned = |block| Act::Run(along_block(desk.tools.span, block));
        blocks(desk, ui, turned, acts);
        ui.separator();
    }
    levels(desk, ui, acts);
}

/// What the next marker stands on.
pub(crate) fn levels(desk: &Desk, ui: &mut Ui, acts: &mut Vec<Act>) {
    let scene = desk.scene();
    let now = desk.tools.level.and_then(|id| scene.level(id)).map_or("nothing", |l| &l.name);
    ComboBox::from_id_salt("standing on")
        .selected_text(format!("on {now}"))
        .show_ui(ui, |ui| {
            for level in &scene.levels {
                let chosen = desk.tools.level == Some(level.id);
                if ui.selectable_label(chosen, format!("on {}", level.name)).clicked() {
                    acts.push(Act::StandOn(level.id));
                }
            }
        })
        .response
        .on_hover_text("What the next thing stands on (G)")
        .accessible_name("Level of the next thing");
}

pub(crate) fn chip(
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
