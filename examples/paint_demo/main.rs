//! Paints the three demo pictures from known sets, and traces each as a painter would.
//!
//! ```text
//! cargo run --example paint_demo [FOLDER] [NAME...]
//! ```
//!
//! Each demo gives `NAME.jpg` (the painting), `NAME.ron` (its scene) and `truth/NAME.json` (what
//! is really so: distances, sizes, the eye, and the contradictions put in on purpose). The set is
//! ray-traced into what the eye sees (`sight`), that is painted over with a brush (`painter`), thin
//! things and people are drawn last (`details`), and `tracing` makes the scene. Every run gives the
//! same files. `size_book.ron`, the size book that two of them share, is written by hand and left alone.

mod air;
mod canvas;
mod chance;
mod colour;
mod dam_overlook;
mod details;
mod figure;
mod figure_paint;
mod finish;
mod market_street;
mod mesh;
mod painter;
mod rays;
mod reservoir_from_above;
mod set;
mod sight;
mod surface;
mod tracing;
mod truth;
mod view;

use crate::canvas::Canvas;
use crate::details::{Easel, detail};
use crate::finish::{Finish, finish};
use crate::set::Set;
use crate::sight::{Looker, Sight};
use crate::tracing::Tracing;
use crate::view::View;
use glam::Vec3;
use image::codecs::jpeg::JpegEncoder;
use rayon::prelude::*;
use std::error::Error;
use std::fs::{self, File};
use std::io::BufWriter;
use std::path::{Path, PathBuf};

/// A demo: a set, seen from a place, and what is traced over it.
pub(crate) struct Demo {
    pub(crate) name: &'static str,
    pub(crate) view: View,
    pub(crate) set: Set,
    pub(crate) tracing: Tracing,
    /// Colour of the toned ground, display values.
    pub(crate) ground: Vec3,
    pub(crate) finish: Finish,
}

/// What can go wrong when files are written.
type Failure = Box<dyn Error + Send + Sync>;

/// Builds a demo.
type Maker = fn() -> Demo;

fn main() -> Result<(), Failure> {
    let mut arguments = std::env::args().skip(1);
    let folder = PathBuf::from(arguments.next().unwrap_or_else(|| "demo_scenes".into()));
    let wanted: Vec<String> = arguments.collect();
    fs::create_dir_all(folder.join("truth"))?;
    let makers: [(&str, Maker); 3] = [
        ("dam_overlook", dam_overlook::demo),
        ("market_street", market_street::demo),
        ("reservoir_from_above", reservoir_from_above::demo),
    ];
    makers.into_par_iter().try_for_each(|(name, make)| {
        if wanted.is_empty() || wanted.iter().any(|w| w == name) {
            let demo = make();
            save_picture(&folder.join(format!("{name}.jpg")), &paint(&demo))?;
            save_words(&folder, demo)?;
            println!("{name}: painted and traced");
        }
        Ok(())
    })
}

fn paint(demo: &Demo) -> Canvas {
    let looker = Looker::new(&demo.set.mesh, &demo.set.weather, &demo.view);
    let sight = Sight::through(&looker);
    let mut canvas = painter::block_in(&sight, demo.ground, 7);
    detail(&mut Easel { canvas: &mut canvas, sight: &sight, looker: &looker }, &demo.set);
    finish(&mut canvas, &demo.finish);
    canvas
}

fn save_picture(path: &Path, canvas: &Canvas) -> Result<(), Failure> {
    let bytes: Vec<u8> = canvas
        .paint
        .iter()
        .flat_map(Vec3::to_array)
        .map(|v| (v.clamp(0.0, 1.0) * 255.0).round() as u8)
        .collect();
    let (width, height) = (canvas.width as u32, canvas.height as u32);
    let file = BufWriter::new(File::create(path)?);
    JpegEncoder::new_with_quality(file, 94).encode(
        &bytes,
        width,
        height,
        image::ExtendedColorType::Rgb8,
    )?;
    Ok(())
}

fn save_words(folder: &Path, demo: Demo) -> Result<(), Failure> {
    let mut truth = demo.tracing.truth;
    truth.beta = demo.set.weather.beta;
    let file = File::create(folder.join("truth").join(format!("{}.json", demo.name)))?;
    serde_json::to_writer_pretty(file, &truth)?;
    fs::write(
        folder.join(format!("{}.ron", demo.name)),
        staffage_scene::write(&demo.tracing.scene)?,
    )?;
    Ok(())
}
