//! The world that the scene is in: its curve.

use crate::actions::act::Act;
use crate::{field, typed};
use egui::{CollapsingHeader, ComboBox, Grid, Ui};
use staffage_scene::{Curvature, Edit, MILE, Scene, Units, World};

const NARROW: f32 = 90.0;

/// Folded as long as it is the earth.
pub(crate) fn show(units: Units, ui: &mut Ui, scene: &Scene, acts: &mut Vec<Act>) {
    let world = scene.world;
    let earth = World::default();
    ui.add_space(6.0);
    CollapsingHeader::new("World").default_open(world != earth).show(ui, |ui| {
        Grid::new("world").num_columns(2).spacing([10.0, 6.0]).show(ui, |ui| {
            ui.weak("curves");
            curvature(ui, world, acts);
            ui.end_row();
            ui.weak("radius");
            let radius = field::parsed(
                ui,
                "radius",
                "Radius of the world",
                &exactly(units, world.radius),
                NARROW,
                typed::RADIUS_WANTED,
                |text| typed::radius(text, units),
            );
            if let Some(radius) = radius {
                acts.push(set(World { radius, ..world }));
            }
            ui.end_row();
            ui.weak("refraction").on_hover_text(
                "How much the air bends sight lines: their curvature over that of the surface",
            );
            let refraction = field::parsed(
                ui,
                "refraction",
                "Refraction",
                &format!("{}", world.refraction),
                NARROW,
                typed::REFRACTION_WANTED,
                typed::refraction,
            );
            if let Some(refraction) = refraction {
                acts.push(set(World { refraction, ..world }));
            }
            ui.end_row();
        });
        let tip = format!("Radius {}, refraction 0.13", exactly(units, earth.radius));
        let shaped = World { curvature: world.curvature, ..earth };
        if world != shaped && ui.button("Earth").on_hover_text(tip).clicked() {
            acts.push(set(shaped));
        }
    });
}

fn set(world: World) -> Act {
    Act::Edit(Edit::SetWorld(world))
}

fn curvature(ui: &mut Ui, world: World, acts: &mut Vec<Act>) {
    let ways = [Curvature::WhereFelt, Curvature::Everywhere, Curvature::Nowhere];
    ComboBox::from_id_salt("curvature")
        .width(150.0)
        .selected_text(words(world.curvature).0)
        .show_ui(ui, |ui| {
            for curvature in ways {
                let (word, tip) = words(curvature);
                let chosen = world.curvature == curvature;
                if ui.selectable_label(chosen, word).on_hover_text(tip).clicked() && !chosen {
                    acts.push(set(World { curvature, ..world }));
                }
            }
        })
        .response
        .on_hover_text(words(world.curvature).1)
        .accessible_name("Where the world curves");
}

/// Where the world curves, and what that means.
fn words(curvature: Curvature) -> (&'static str, &'static str) {
    match curvature {
        Curvature::WhereFelt => ("where it is felt", "From a tenth of the horizon’s distance on"),
        Curvature::Everywhere => ("everywhere", "Near things, too"),
        Curvature::Nowhere => ("nowhere", "Levels are planes without end"),
    }
}

/// A radius with all its figures: "6371 km"; in miles to a hundredth.
fn exactly(units: Units, metres: f64) -> String {
    match units {
        Units::Metric => format!("{} km", metres / 1000.0),
        Units::Imperial => format!("{} mi", (metres / MILE * 100.0).round() / 100.0),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_earths_radius_is_told_in_miles_too() {
        // 6,371 km are 3,958.76 statute miles.
        assert_eq!(exactly(Units::Imperial, 6_371_000.0), "3958.76 mi");
        let read = typed::radius("3958.76 mi", Units::Imperial);
        assert!(read.is_some_and(|metres| (metres - 6_371_000.0).abs() < 10.0));
    }

    #[test]
    fn a_radius_is_shown_as_it_is_read() {
        for metres in [6_371_000.0, 1_737_400.0, 1000.0, 1e12] {
            assert_eq!(typed::radius(&exactly(Units::Metric, metres), Units::Metric), Some(metres));
        }
    }
}
