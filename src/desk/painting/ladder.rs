//! The frame's shape and the ladder of widths that it is worked up through.

use crate::actions::act::Act;
use crate::desk::Desk;
use egui::{Grid, Ui};
use staffage_scene::{
    Edit, Entry, FRAME_RATIOS, Frame, Marker, Scene, Span, Unit, Units, WORKING_WIDTHS,
};

/// Height of a figure that everybody can judge by, metres (common practice).
const FIGURE: f64 = 1.70;

/// "2,300 × 979 px, 2.3 MP".
pub(crate) fn pixels(frame: Frame) -> String {
    let (width, height) = size(frame);
    let millions = f64::from(width) * f64::from(height) / 1e6;
    format!("{} × {} px, {millions:.1} MP", thousands(width), thousands(height))
}

fn size(frame: Frame) -> (u32, u32) {
    let height = f64::from(frame.working_width) / frame.ratio;
    (frame.working_width, height.round().max(1.0) as u32)
}

fn thousands(number: u32) -> String {
    match number {
        0..=999 => number.to_string(),
        _ => format!("{},{:03}", number / 1000, number % 1000),
    }
}

/// The shape of the frame; for a blank frame another can be chosen.
pub(crate) fn shape(desk: &Desk, ui: &mut Ui, acts: &mut Vec<Act>) {
    let frame = desk.scene().frame;
    let shown = format!("{:.2} : 1", frame.ratio);
    if desk.scene().painting.is_some() {
        ui.label(shown).on_hover_text("It is the painting’s shape");
        return;
    }
    let menu = ui.menu_button(shown, |ui| {
        for shape in FRAME_RATIOS {
            if ui.button(shape.name).on_hover_text(shape.source).clicked() {
                acts.push(Act::Edit(Edit::SetFrame(Frame { ratio: shape.ratio, ..frame })));
            }
        }
    });
    menu.response.on_hover_text("Choose another shape for the blank frame");
}

/// The rungs with their pixels and how much each enlarges; pressing one works at it.
pub(crate) fn rungs(ui: &mut Ui, frame: Frame, acts: &mut Vec<Act>) {
    Grid::new("ladder").num_columns(2).spacing([8.0, 0.0]).min_row_height(20.0).show(ui, |ui| {
        ui.spacing_mut().interact_size.y = 20.0;
        ui.spacing_mut().button_padding.y = 1.0;
        for width in WORKING_WIDTHS {
            let rung = Frame { working_width: width, ..frame };
            let chosen = frame.working_width == width;
            let button = ui.selectable_label(chosen, thousands(width));
            let tip = format!("Work at {width} px; nothing moves");
            if button.on_hover_text(tip).clicked() && !chosen {
                acts.push(Act::Edit(Edit::SetFrame(rung)));
            }
            let times = f64::from(width) / f64::from(frame.working_width);
            let enlarges = if chosen { "now".to_owned() } else { format!("× {times:.2}") };
            ui.weak(format!("{}, {enlarges}", pixels(rung)));
            ui.end_row();
        }
    });
}

/// What a figure beside this marker measures on each rung of the ladder, if that is known.
pub(crate) fn figure_words(
    units: Units,
    scene: &Scene,
    marker: &Marker,
    entry: &Entry,
) -> Option<String> {
    let size = entry.size.filter(|_| entry.unit == Unit::Metres && marker.span == Span::Upright)?;
    let share = (marker.head - marker.foot).length() * FIGURE / size.value;
    let mut widths = WORKING_WIDTHS.to_vec();
    widths.push(scene.frame.working_width);
    widths.sort_unstable();
    widths.dedup();
    let on_rung = |width: &u32| {
        let pixels = share * f64::from(*width);
        let pixels = if pixels < 10.0 { format!("{pixels:.1}") } else { format!("{pixels:.0}") };
        format!("{pixels} px at {}", thousands(*width))
    };
    let rungs: Vec<_> = widths.iter().map(on_rung).collect();
    let figure = units.metres(FIGURE);
    share.is_finite().then(|| format!("a figure of {figure} (assumed) here: {}", rungs.join(", ")))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_rung_tells_its_pixels() {
        let frame = Frame { ratio: 2.35, working_width: 10_000 };
        assert_eq!(pixels(frame), "10,000 × 4,255 px, 42.5 MP");
        assert_eq!(pixels(Frame { working_width: 2300, ..frame }), "2,300 × 979 px, 2.3 MP");
        assert_eq!(thousands(999), "999");
    }
}
