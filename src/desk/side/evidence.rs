//! What the selected marker's size and distance rest on: what makes them no surer than they are.

use crate::actions::act::Act;
use crate::desk::Desk;
use crate::thing::Thing;
use egui::{Button, CollapsingHeader, CornerRadius, Rect, Sense, TextStyle, Ui, vec2};
use staffage_scene::{Marker, Share};

/// Width of a bar that stands for all of it, points.
const WHOLE: f32 = 34.0;
/// Width of the bar and the number beside it, points.
const MEASURE: f32 = 80.0;
/// Shares that differ by less are told as one.
const ALIKE: f64 = 0.02;

pub(crate) fn show(desk: &mut Desk, ui: &mut Ui, marker: &Marker, acts: &mut Vec<Act>) {
    // It takes another adjustment; in the middle of a drag there is no time for that.
    if desk.history.in_gesture() {
        return;
    }
    let evidence = desk.assessed.evidence(marker.id);
    let parts: &[(&str, &[Share])] = if looks_alike(&evidence.size, &evidence.distance) {
        &[("size and distance", &evidence.size)]
    } else {
        &[("size", &evidence.size), ("distance", &evidence.distance)]
    };
    if parts.iter().all(|(_, shares)| shares.is_empty()) {
        return;
    }
    ui.add_space(4.0);
    let header = CollapsingHeader::new("What it rests on").id_salt("evidence").default_open(true);
    header.show(ui, |ui| {
        for (of, shares) in parts.iter().filter(|(_, shares)| !shares.is_empty()) {
            ui.weak(format!("The doubt in its {of} comes from"));
            for share in *shares {
                one(desk, ui, of, share, acts);
            }
        }
    });
}

/// Whether two lists are too much alike to be told one after the other.
fn looks_alike(one: &[Share], other: &[Share]) -> bool {
    let alike = |(a, b): (&Share, &Share)| a.what == b.what && (a.share - b.share).abs() < ALIKE;
    one.len() == other.len() && one.iter().zip(other).all(alike)
}

fn percent(share: &Share) -> u32 {
    (100.0 * share.share).round() as u32
}

/// A share as a bar, a number and what it belongs to; pressing that selects it.
fn one(desk: &mut Desk, ui: &mut Ui, of: &str, share: &Share, acts: &mut Vec<Act>) {
    let percent = percent(share);
    ui.horizontal(|ui| {
        measure(ui, share.share as f32, percent);
        let Some(subject) = share.subject else {
            ui.label(&share.what);
            return;
        };
        let response = ui
            .add(Button::new(&share.what).frame_when_inactive(false).wrap())
            .on_hover_text("Select what this speaks of")
            .accessible_name(format!("{percent} % of the doubt in its {of}: {}", share.what));
        if response.hovered() || response.has_focus() {
            desk.lit.insert(subject);
        }
        if response.clicked() {
            acts.push(Act::Select(Some(Thing::Of(subject))));
        }
    });
}

fn measure(ui: &mut Ui, share: f32, percent: u32) {
    let size = vec2(MEASURE, ui.spacing().interact_size.y);
    let (rect, _) = ui.allocate_exact_size(size, Sense::hover());
    let ink = ui.visuals().weak_text_color();
    let bar = Rect::from_min_size(rect.left_center() - vec2(0.0, 3.0), vec2(WHOLE, 6.0));
    let filled = bar.with_max_x(bar.left() + (WHOLE * share).max(1.5));
    ui.painter().rect_filled(bar, CornerRadius::same(2), ink.gamma_multiply(0.25));
    ui.painter().rect_filled(filled, CornerRadius::same(2), ink);
    let font = TextStyle::Body.resolve(ui.style());
    let words = format!("{percent} %");
    ui.painter().text(rect.right_center(), egui::Align2::RIGHT_CENTER, words, font, ink);
}
