//! A few traced edges give the eye: how wide it sees, where it looks, how it is canted.
//!
//! ```text
//! cargo run --example eye_from_lines > eye.svg
//! ```
//!
//! The spreads go to stderr as the lines are added one by one: watch each quantity turn from
//! *assumed* to *read from the lines*. The last state goes to stdout as a drawing.

use glam::DVec2;
use staffage_drawing::{Emphasis, View, draw, to_svg};
use staffage_scene::{BlockId, Family, Line, LineId, Scene, Segment, assess};
use staffage_solver::{Quantity, Source};

const RIGHT: Family = Family::RecedingRight(BlockId(1));
const LEFT: Family = Family::RecedingLeft(BlockId(1));

/// Edges of a tower and its wing, traced in a canted picture that looks up. Each pair of points is in
/// pixels of a picture 2,350 x 1,000 whose corners are (0, 0) and (2350, 1000).
const EDGES: [(Family, [f64; 2], [f64; 2]); 8] = [
    (RIGHT, [295.0, 574.9], [704.5, 665.9]),
    (RIGHT, [292.4, 263.7], [670.1, 395.9]),
    (LEFT, [1949.8, 548.4], [1549.5, 570.7]),
    (Family::Upright, [502.7, 856.9], [578.0, 465.8]),
    (Family::Upright, [1787.4, 858.4], [1793.7, 459.4]),
    (LEFT, [1966.2, 165.3], [1573.0, 234.0]),
    (RIGHT, [346.5, 857.5], [772.7, 901.3]),
    (LEFT, [1829.0, 882.6], [1410.0, 857.4]),
];

fn main() {
    let mut scene = Scene { title: "Eye from lines".into(), ..Scene::default() };
    eprintln!("lines  {:<26} {:<26} {:<26}", "angle of view", "pitch", "cant");
    report(&scene);
    for (number, (family, from, to)) in (1..).zip(EDGES) {
        let segment = Segment(picture(from), picture(to));
        scene.lines.push(Line { id: LineId(number), family, segment });
        report(&scene);
    }
    let view = View::of_frame(scene.frame, 1200.0);
    let drawing = draw(&scene, &assess(&scene), &view, &Emphasis::default());
    println!("{}", to_svg(&drawing, &view, &scene.title));
}

/// Pixels to picture units: origin at the frame's centre, one unit the frame's width.
fn picture([x, y]: [f64; 2]) -> DVec2 {
    (DVec2::new(x, y) - DVec2::new(1175.0, 500.0)) / 2350.0
}

fn report(scene: &Scene) {
    let eye = assess(scene).eye;
    let [view, pitch, cant] = [eye.angle_of_view, eye.pitch, eye.cant].map(in_words);
    eprintln!("{:>5}  {view:<26} {pitch:<26} {cant:<26}", scene.lines.len());
}

fn in_words(quantity: Quantity) -> String {
    let source = match quantity.source {
        Source::Read => "read",
        Source::ByHand => "set by hand",
        Source::Assumed => "assumed",
    };
    let (value, sd) = (quantity.value.to_degrees(), quantity.sd.to_degrees());
    format!("{value:.1}° ± {:.1}° {source}", 1.96 * sd)
}
