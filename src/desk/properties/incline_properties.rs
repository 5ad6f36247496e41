//! An incline's name, heading and slope; the light's, too.

use crate::actions::act::Act;
use crate::desk::Desk;
use crate::{field, sentences};
use egui::{DragValue, Ui};
use staffage_scene::{Edit, HEADING, Incline, SLOPE};
use staffage_solver::{Quantity, Source};

/// An angle of an incline that can be set by hand.
#[derive(Clone, Copy)]
enum Angle {
    Heading,
    Slope,
}

pub(crate) fn show(desk: &Desk, ui: &mut Ui, incline: &Incline, acts: &mut Vec<Act>) {
    let read = desk.assessment().eye.inclines.iter().find(|(id, ..)| *id == incline.id);
    ui.push_id(("incline", incline.id.0), |ui| {
        ui.horizontal(|ui| {
            let name = field::text(ui, "incline name", "Incline name", &incline.name, 110.0);
            if let Some(name) = name {
                acts.push(put(Incline { name, ..incline.clone() }));
            }
            ui.weak(read.map_or("assumed", |(_, heading, slope)| source(*heading, *slope)));
            let by_hand = incline.heading.is_some() || incline.slope.is_some();
            let tip = "Read its heading and slope from the lines again";
            if by_hand && ui.small_button("Let go").on_hover_text(tip).clicked() {
                acts.push(put(Incline { heading: None, slope: None, ..incline.clone() }));
            }
            let name = format!("Delete {}", incline.name);
            if ui.small_button("×").on_hover_text(&name).accessible_name(&name).clicked() {
                acts.push(Act::Edit(Edit::RemoveIncline(incline.id)));
            }
        });
        ui.horizontal(|ui| {
            ui.add_space(8.0);
            let degrees = |q: &Quantity| (10.0 * q.value.to_degrees()).round() / 10.0;
            let heading = incline.heading.or(read.map(|(_, heading, _)| degrees(heading)));
            let slope = incline.slope.or(read.map(|(.., slope)| degrees(slope)));
            angle(ui, incline, Angle::Heading, heading.unwrap_or_default(), acts);
            angle(ui, incline, Angle::Slope, slope.unwrap_or_default(), acts);
        });
    });
}

fn put(incline: Incline) -> Act {
    Act::Edit(Edit::PutIncline(incline))
}

/// Where both angles come from.
fn source(heading: Quantity, slope: Quantity) -> &'static str {
    match (heading.source, slope.source) {
        (one, other) if one == other => sentences::source(one),
        (Source::ByHand, _) | (_, Source::ByHand) => "partly set by hand",
        _ => "partly assumed",
    }
}

fn angle(ui: &mut Ui, incline: &Incline, which: Angle, shown: f64, acts: &mut Vec<Act>) {
    let (word, name, tip, range) = match which {
        Angle::Heading => (
            "heading",
            format!("Heading of {}", incline.name),
            "Where its lines run, clockwise from straight ahead",
            HEADING,
        ),
        Angle::Slope => (
            "slope",
            format!("Slope of {}", incline.name),
            "How steeply they rise along the heading; negative where they fall",
            SLOPE,
        ),
    };
    ui.weak(word);
    let mut degrees = shown;
    let value = DragValue::new(&mut degrees)
        .update_while_editing(false)
        .range(range)
        .speed(0.2)
        .fixed_decimals(1)
        .suffix("°");
    let response = ui.add(value).on_hover_text(tip).accessible_name(name);
    let edit = field::differs(&response, shown, degrees, 1).then(|| {
        let set = Some(degrees);
        Edit::PutIncline(match which {
            Angle::Heading => Incline { heading: set, ..incline.clone() },
            Angle::Slope => Incline { slope: set, ..incline.clone() },
        })
    });
    field::put(&response, edit, acts);
}
