//! The eye as a camera at true scale, with everything that was measured as named stand-ins, as glTF 2.0
//! (Khronos Group, ISO/IEC 12113:2022): metres, Y up, -Z straight ahead, the origin on the ground below
//! the eye.

mod model;
mod picture;
mod scenery;
mod shapes;
mod words;

pub use picture::picture_from_above;

use crate::overlay::begins_with_any;
use crate::{Card, FilmBack, HandoverError};
use glam::{DMat3, DQuat, DVec2, DVec3};
use model::{CAMERA_SIGNATURE, Model, Placing, Triangles};
use scenery::Ground;
use serde_json::{Value, json};
use staffage_scene::{Assessment, Frame, Scene};
use staffage_solver::Eye;
use std::io;
use std::path::Path;

/// Nearest that the camera sees, metres.
const NEAREST: f64 = 0.05;
/// Nearest that the painting hangs, metres.
const CARD: f64 = 1000.0;

/// What goes into a camera.
#[derive(Clone, Copy, Debug)]
pub struct CameraScene<'a> {
    /// The scene.
    pub scene: &'a Scene,
    /// What follows from it.
    pub assessment: &'a Assessment,
    /// What the file of the scene is called.
    pub file: &'a str,
    /// The painting, unless the frame is blank.
    pub painting: Option<&'a Card>,
    /// What the focal length is told for.
    pub back: FilmBack,
}

/// A camera with stand-ins, ready to be written.
#[derive(Debug)]
pub struct Camera {
    model: Model,
    roots: Vec<usize>,
    extras: Value,
    text: String,
    facts: Vec<(String, String)>,
    contents: Vec<String>,
    remarks: Vec<String>,
}

impl Camera {
    /// Lays the scene out.
    ///
    /// # Errors
    /// [`HandoverError::NoScale`] where nothing says how large anything is in metres.
    pub fn new(of: &CameraScene<'_>) -> Result<Self, HandoverError> {
        let ground = Ground::of(of.scene, of.assessment).ok_or(HandoverError::NoScale)?;
        let mut model = Model::default();
        let scenery = scenery::scenery(&mut model, of.scene, of.assessment, &ground);
        let card = (2.0 * scenery.farthest).max(CARD);
        let eye = of.assessment.eye.eye;
        let mut children = Vec::new();
        if let Some(painting) = of.painting {
            children.push(hang(&mut model, &eye, of.scene.frame, painting, card));
        }
        let camera = model.camera(perspective(&eye, of.scene.frame, 4.0 * card));
        let placing =
            Placing { turn: turn(&eye), ..Placing::at(DVec3::new(0.0, ground.eye_height, 0.0)) };
        let mut more = json!({ "camera": camera, "extras": lens(&eye, of.back) });
        if !children.is_empty() {
            more["children"] = json!(children);
        }
        let mut roots = vec![model.node("eye", placing, more)];
        roots.extend(scenery.groups);
        let mut remarks = scenery.left_out;
        if eye.principal != DVec2::ZERO {
            remarks.push(SHIFTED.into());
        }
        let extras = json!({
            "title": of.scene.title,
            "scene": of.file,
            "units": "metres",
            "caution": "It guides a picture: it is no survey and no structural check.",
        });
        let text = words::words(of, &ground, &remarks);
        let (facts, contents) = (words::facts(of, &ground), words::contents(&scenery.counts));
        Ok(Self { model, roots, extras, text, facts, contents, remarks })
    }

    /// One file of text that holds everything.
    #[must_use]
    pub fn to_gltf(&self) -> Vec<u8> {
        self.model.to_gltf(&self.roots, &self.extras)
    }

    /// One binary file that holds everything.
    #[must_use]
    pub fn to_glb(&self) -> Vec<u8> {
        self.model.to_glb(&self.roots, &self.extras)
    }

    /// The camera sheet in plain words.
    #[must_use]
    pub fn to_text(&self) -> &str {
        &self.text
    }

    /// What the camera is, each with what it is called: focal length, angles, heights.
    #[must_use]
    pub fn facts(&self) -> &[(String, String)] {
        &self.facts
    }

    /// What goes along with it, a line each: "31 marker staffs".
    #[must_use]
    pub fn contents(&self) -> &[String] {
        &self.contents
    }

    /// Whole sentences about what could not be handed over, or not by the format alone.
    #[must_use]
    pub fn remarks(&self) -> &[String] {
        &self.remarks
    }
}

/// What glTF cannot say.
const SHIFTED: &str = "The optical axis does not meet the middle of the frame, which a glTF camera cannot \
     say: shift the lens (film offset) by the shares of the frame's width that stand in the extras of the \
     eye and on the camera sheet.";

/// Whether a file is a camera that was written before, so that nothing is lost when it is replaced.
///
/// # Errors
/// When it cannot be read.
pub fn is_camera(path: &Path) -> io::Result<bool> {
    begins_with_any(path, &[CAMERA_SIGNATURE, words::TEXT_SIGNATURE])
}

/// The eye as a perspective camera.
fn perspective(eye: &Eye, frame: Frame, farthest: f64) -> Value {
    json!({
        "name": "eye",
        "type": "perspective",
        "perspective": {
            "yfov": 2.0 * (frame.half_height() / eye.focal).atan(),
            "aspectRatio": frame.ratio,
            "znear": NEAREST,
            "zfar": farthest,
        },
    })
}

/// What a perspective camera does not hold, degrees, frame widths and millimetres; the shift right and up
/// positive.
fn lens(eye: &Eye, back: FilmBack) -> Value {
    json!({
        "film_back": back.name,
        "film_back_width_millimetres": back.width,
        "focal_length_millimetres": back.focal_length(eye),
        "angle_of_view_degrees": eye.angle_of_view().to_degrees(),
        "pitch_degrees": eye.pitch.to_degrees(),
        "cant_degrees": eye.cant.to_degrees(),
        "focal_length_frame_widths": eye.focal,
        "lens_shift_frame_widths": [0.0 - eye.principal.x, eye.principal.y],
    })
}

/// From the axes of a glTF camera (right, up, back) to those of the world.
fn turn(eye: &Eye) -> DQuat {
    let down_and_ahead = DMat3::from_diagonal(DVec3::new(1.0, -1.0, -1.0));
    DQuat::from_mat3(&(down_and_ahead * eye.rotation()).transpose())
}

/// Hangs the painting so far before the camera that it fills what is seen.
fn hang(model: &mut Model, eye: &Eye, frame: Frame, painting: &Card, far: f64) -> usize {
    let down = frame.half_height();
    let mut card = Triangles::default();
    let corners = [(-0.5, down), (0.5, down), (0.5, -down), (-0.5, -down)];
    card.fan(corners.map(|(u, v)| {
        let at = (DVec2::new(u, v) - eye.principal) * (far / eye.focal);
        [at.x as f32, -at.y as f32, 0.0]
    }));
    card.texture = vec![[0.0, 1.0], [1.0, 1.0], [1.0, 0.0], [0.0, 0.0]];
    let material = model.picture(&painting.jpeg);
    let mesh = model.mesh("painting", &[(&card, material)]);
    model.node("painting", Placing::at(DVec3::new(0.0, 0.0, -far)), json!({ "mesh": mesh }))
}

#[cfg(test)]
mod tests;
