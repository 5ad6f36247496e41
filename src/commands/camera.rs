//! `staffage camera`: the eyes of scenes as cameras, with stand-ins.

use super::alternative::Which;
use super::check::Read;
use super::product::{Asked, Matter, Product};
use crate::arguments;
use staffage_handover::{Camera, CameraScene, Card, HandoverError, is_camera};
use staffage_scene::replace_with;
use std::io;
use std::path::Path;
use std::process::ExitCode;

/// Widest that a painting is behind a camera, pixels: what every renderer can hold.
const ACROSS: u32 = 4096;

/// What a camera is among files.
pub(crate) const CAMERA: Product = Product {
    one: "a camera",
    infix: "camera",
    endings: &["glb", "gltf", "txt"],
    option: "--as",
    is_one: is_camera,
};

/// Writes the cameras one after the other.
///
/// # Errors
/// When standard output or standard error cannot be written to.
pub(crate) fn run(asked: &arguments::Camera) -> io::Result<ExitCode> {
    let arguments::Camera {
        scenes,
        out,
        format,
        alternative,
        alternatives,
        units,
        film_back,
        force,
    } = asked;
    let asked = Asked {
        scenes,
        out: out.as_deref(),
        format: format.as_deref(),
        which: Which { name: alternative.as_deref(), every: *alternatives },
        units: *units,
        film_back: *film_back,
        force: *force,
    };
    CAMERA.make(asked, put)
}

/// Writes it to its file, which gets its name when it is whole, and returns what there is to say of it.
pub(crate) fn put(matter: &Matter<'_>, target: &Path) -> Result<Vec<String>, HandoverError> {
    let (ending, file) = (CAMERA.ending(target), matter.file());
    let pixels = matter.pixels.filter(|_| ending != Some("txt"));
    let card = pixels.map(|pixels| Card::of(pixels, ACROSS)).transpose()?;
    let Read { scene, assessment, .. } = matter.read;
    let (painting, back) = (card.as_ref(), matter.film_back);
    let camera = Camera::new(&CameraScene { scene, assessment, file: &file, painting, back })?;
    let bytes = match ending {
        Some("gltf") => camera.to_gltf(),
        Some("txt") => camera.to_text().as_bytes().to_vec(),
        _ => camera.to_glb(),
    };
    replace_with(target, |out| {
        out.write_all(&bytes)?;
        matter.go_on()
    })?;
    Ok(camera.remarks().to_vec())
}
