//! What the next line or marker will be.

use crate::actions::Action;
use crate::actions::act::{Act, Traced};
use crate::actions::acts::along_block;
use crate::actions::canvas_actions;
use crate::actions::mark_actions;
use crate::canvas::ink::colour;
use crate::desk::Desk;
use crate::modes::guide_chips;
use crate::modes::mode::Mode;
use crate::modes::stand_in_chips;
use egui::{Button, Color32, ComboBox, Response, Ui, pos2};
use staffage_drawing::family_colour;
use staffage_scene::{BlockId, Family, Incline, Scene, Span, family_name};

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
        (Family::Upright, &canvas_actions::UPRIGHT, "edges that are plumb"),
        (
            Family::RecedingLeft(block),
            &canvas_actions::LEFT,
            "level edges that run away to the left",
        ),
        (
            Family::RecedingRight(block),
            &canvas_actions::RIGHT,
            "level edges that run away to the right",
        ),
    ];
    for (family, action, what) in families {
        let traced = Traced::Family(family);
        let name = kind(family, desk.scene());
        let chosen = desk.tools.traced == traced;
        let ink = Some(colour(family_colour(family)));
        if chip(ui, &name, Some(action), what, chosen, ink).clicked() {
            acts.push(Act::Trace(traced));
        }
    }
    let horizon = desk.tools.traced == Traced::Horizon;
    let what = "the horizon where it can be seen: the sea, a plain";
    let action = Some(&canvas_actions::HORIZON);
    if chip(ui, "horizon", action, what, horizon, Some(Color32::WHITE)).clicked() {
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
    if chip(ui, "+ incline", Some(&canvas_actions::INCLINE), what, false, None).clicked() {
        acts.push(Act::AddIncline);
    }
    if desk.scene().light().is_none() {
        let what = "add the light: its rays run from things to the ends of their shadows";
        if chip(ui, "+ light", Some(&canvas_actions::LIGHT), what, false, None).clicked() {
            acts.push(Act::AddLight);
        }
    }
    for incline in &desk.scene().inclines {
        let is_light = desk.scene().is_light(incline.id);
        let (slope, run) = if is_light {
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
        let action = if is_light { &canvas_actions::LIGHT } else { &canvas_actions::INCLINE };
        let mut families = vec![(Family::Incline(incline.id), action, slope)];
        // Only beside the incline that is being traced: the row must not run over.
        if desk.tools.incline() == Some(incline.id) {
            families.push((Family::Run(incline.id), &canvas_actions::LEVEL_RUN, run));
        }
        for (family, action, what) in families {
            let name = family_name(desk.scene(), family);
            let chosen = desk.tools.traced == Traced::Family(family);
            let ink = Some(colour(family_colour(family)));
            if chip(ui, &name, Some(action), what, chosen, ink).clicked() {
                acts.push(Act::Trace(Traced::Family(family)));
            }
        }
    }
}

/// The blocks to choose from; `turned` gives the act that goes over to one.
fn blocks(
    desk: &Desk,
    ui: &mut Ui,
    action: &Action,
    turned: impl Fn(BlockId) -> Act,
    acts: &mut Vec<Act>,
) {
    let what = "receding lines belong to this block: walls that are square to each other";
    for block in &desk.scene().blocks {
        let chosen = desk.tools.block == block.id;
        if chip(ui, &block.name, Some(action), what, chosen, None).clicked() {
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
    blocks(desk, ui, &canvas_actions::NEXT_BLOCK, turned, acts);
    let what = "add a block that is turned another way";
    if chip(ui, "+ block", Some(&canvas_actions::ADD_BLOCK), what, false, None).clicked() {
        acts.push(Act::AddBlock);
    }
}

fn spans(desk: &Desk, ui: &mut Ui, acts: &mut Vec<Act>) {
    let (scene, block) = (desk.scene(), desk.tools.block);
    let mut spans = vec![
        (Span::Upright, &mark_actions::UPRIGHT),
        (Span::Along(Family::RecedingLeft(block)), &mark_actions::LEFT),
        (Span::Along(Family::RecedingRight(block)), &mark_actions::RIGHT),
        (Span::Facing, &mark_actions::FACING),
        (Span::Cylinder, &mark_actions::ROUND),
        (Span::Ball, &mark_actions::BALL),
    ];
    // At the end, so that no other chip moves when one is added; nothing runs along the light.
    let inclines = scene.inclines.iter().filter(|i| !scene.is_light(i.id));
    let sloping = |i: &Incline| (Span::Along(Family::Incline(i.id)), &mark_actions::SLOPING);
    spans.extend(inclines.map(sloping));
    for (span, action) in spans {
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
        if chip(ui, &name, Some(action), what, desk.tools.span == span, ink).clicked() {
            acts.push(Act::Run(span));
        }
    }
    ui.separator();
    if scene.blocks.len() > 1 {
        let turned = |block| Act::Run(along_block(desk.tools.span, block));
        blocks(desk, ui, &mark_actions::NEXT_BLOCK, turned, acts);
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

/// A choice in the row of the modes; its tooltip names the key of what it does.
pub(crate) fn chip(
    ui: &mut Ui,
    name: &str,
    action: Option<&Action>,
    what: &str,
    chosen: bool,
    ink: Option<Color32>,
) -> Response {
    let text = if ink.is_some() { format!("     {name}") } else { name.to_owned() };
    let key = action.and_then(Action::key_words).map(|key| format!(" ({key})"));
    let response = ui
        .add(Button::selectable(chosen, text))
        .on_hover_text(format!("{name}{}: {what}", key.unwrap_or_default()))
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
