//! What the next guide will be, as chips.

use crate::actions::Action;
use crate::actions::act::Act;
use crate::actions::guide_actions;
use crate::canvas::ink::colour;
use crate::desk::Desk;
use crate::modes::chips::{chip, kind, levels};
use crate::modes::guide_tools::{GuideAct, GuideKind};
use crate::properties::guide_properties::plane_words;
use egui::Ui;
use staffage_drawing::family_colour;
use staffage_scene::{Family, Plane};

pub(crate) fn show(desk: &Desk, ui: &mut Ui, acts: &mut Vec<Act>) {
    let tools = desk.tools.guide;
    for guide in GuideKind::ALL {
        let (word, what) = guide.words();
        if chip(ui, word, Some(action_of(guide)), what, tools.kind == guide, None).clicked() {
            acts.push(Act::Guide(GuideAct::Kind(guide)));
        }
    }
    ui.separator();
    let block = desk.tools.block;
    let (left, right) = (Family::RecedingLeft(block), Family::RecedingRight(block));
    if tools.kind.is_stepped() {
        families(desk, ui, &[Family::Upright, left, right], acts);
        let what = "something stands at each step: posts, sleepers; its handle says how tall";
        if chip(ui, "posts", Some(&guide_actions::POSTS), what, tools.posts, None).clicked() {
            acts.push(Act::Guide(GuideAct::Posts));
        }
    } else if tools.kind.is_flight() {
        families(desk, ui, &[left, right], acts);
    } else {
        planes(desk, ui, &[left, right], acts);
    }
    if !tools.kind.is_stepped() {
        levels(desk, ui, acts);
    }
}

/// The action that chooses a kind of guide.
fn action_of(kind: GuideKind) -> &'static Action {
    match kind {
        GuideKind::Repeat => &guide_actions::STEPS,
        GuideKind::Parts => &guide_actions::PARTS,
        GuideKind::Halve => &guide_actions::HALVES,
        GuideKind::Stairs => &guide_actions::STAIRS,
        GuideKind::Ramp => &guide_actions::RAMP,
        GuideKind::Circle => &guide_actions::CIRCLE,
        GuideKind::Cylinder => &guide_actions::CYLINDER,
    }
}

fn families(desk: &Desk, ui: &mut Ui, families: &[Family], acts: &mut Vec<Act>) {
    let tools = desk.tools.guide;
    let scene = desk.scene();
    let inclines = scene.inclines.iter().map(|incline| Family::Incline(incline.id));
    let inclines = inclines.filter(|_| tools.kind.is_stepped());
    for family in families.iter().copied().chain(inclines) {
        let (action, what) = match family {
            Family::Upright => (Some(&guide_actions::UPRIGHT), "along plumb lines: storeys, rungs"),
            Family::RecedingLeft(_) => {
                (Some(&guide_actions::LEFT), "along the lines that run away to the left")
            }
            Family::RecedingRight(_) => {
                (Some(&guide_actions::RIGHT), "along the lines that run away to the right")
            }
            Family::Incline(_) | Family::Run(_) => (None, "along this incline"),
        };
        let chosen = tools.along == family;
        let ink = Some(colour(family_colour(family)));
        if chip(ui, &kind(family, scene), action, what, chosen, ink).clicked() {
            acts.push(Act::Guide(GuideAct::Along(family)));
        }
    }
}

fn planes(desk: &Desk, ui: &mut Ui, families: &[Family], acts: &mut Vec<Act>) {
    let upright = families.iter().map(|family| Plane::Upright(*family));
    for plane in [Plane::Level].into_iter().chain(upright).chain([Plane::Facing]) {
        let (action, what) = match plane {
            Plane::Level => {
                (&guide_actions::UPRIGHT, "it lies level: a pond, a plan; a cylinder stands")
            }
            Plane::Upright(Family::RecedingLeft(_)) => {
                (&guide_actions::LEFT, "it stands in a wall to the left")
            }
            Plane::Upright(_) => {
                (&guide_actions::RIGHT, "it stands in a wall to the right: an arch, a wheel")
            }
            Plane::Facing => (&guide_actions::FACING, "it is square to the line of sight"),
        };
        let ink = match plane {
            Plane::Upright(family) => Some(colour(family_colour(family))),
            _ => None,
        };
        if chip(
            ui,
            &plane_words(desk.scene(), plane),
            Some(action),
            what,
            desk.tools.guide.plane == plane,
            ink,
        )
        .clicked()
        {
            acts.push(Act::Guide(GuideAct::Plane(plane)));
        }
    }
}
