//! Cameras read by a reader of glTF 2.0, and everything projected through them onto the painting.

use gltf::camera::Projection;
use staffage_readers::{DEMOS, demo, made};

/// Width at which the picture is held against the file, pixels.
const ACROSS: f32 = 10_000.0;

type Matrix = [[f32; 4]; 4];

fn product(a: Matrix, b: Matrix) -> Matrix {
    std::array::from_fn(|column| {
        std::array::from_fn(|row| (0..4).map(|k| a[k][row] * b[column][k]).sum())
    })
}

/// The inverse of a turn and a move.
fn back(m: Matrix) -> Matrix {
    let mut inverse: Matrix = [[0.0; 4]; 4];
    for row in 0..3 {
        for column in 0..3 {
            inverse[column][row] = m[row][column];
        }
        inverse[3][row] = -(0..3).map(|k| m[3][k] * m[row][k]).sum::<f32>();
    }
    inverse[3][3] = 1.0;
    inverse
}

fn check(file: &gltf::Document, markers: usize) {
    let eye = file.nodes().find(|node| node.camera().is_some()).expect("a camera");
    let camera = eye.camera().expect("a camera");
    let Projection::Perspective(lens) = camera.projection() else { panic!("not a perspective") };
    let (tan, ratio) = ((0.5 * lens.yfov()).tan(), lens.aspect_ratio().expect("a shape"));
    let to_camera = back(eye.transform().matrix());
    let group = file.nodes().find(|node| node.name() == Some("markers")).expect("markers");
    let (mut seen, mut farthest) = (0, 0.0_f32);
    for node in group.children() {
        let extras = node.extras().as_ref().expect("what it is");
        let extras: serde_json::Value = serde_json::from_str(extras.get()).unwrap();
        let [u, v] = [0, 1].map(|i| extras["foot_in_picture"][i].as_f64().unwrap() as f32);
        let at = product(to_camera, node.transform().matrix())[3];
        let x = 0.5 * ACROSS * (1.0 + at[0] / (-at[2] * tan * ratio));
        let y = 0.5 * ACROSS / ratio * (1.0 - at[1] / (-at[2] * tan));
        let (wanted_x, wanted_y) = (ACROSS * (u + 0.5), ACROSS * (v + 0.5 / ratio));
        let off = (x - wanted_x).hypot(y - wanted_y);
        assert!(off < 0.1, "{:?} is {off} px off", node.name());
        farthest = farthest.max(off);
        seen += 1;
    }
    assert_eq!(seen, markers);
    println!("{seen} feet, at most {farthest} px off at {ACROSS} px");
}

#[test]
fn markers_stand_on_their_pixels_through_the_camera() {
    for (name, markers) in DEMOS.into_iter().zip([31, 0, 31]) {
        for kind in ["quay.glb", "quay.gltf"] {
            let bytes = made("camera", &demo(name), kind);
            let file = gltf::Gltf::from_slice(&bytes).expect("it is valid");
            let count = if markers == 0 { count(&file) } else { markers };
            check(&file, count);
            assert_eq!(file.materials().filter(gltf::Material::unlit).count(), 1, "the painting");
        }
    }
}

fn count(file: &gltf::Document) -> usize {
    let group = file.nodes().find(|node| node.name() == Some("markers"));
    group.map_or(0, |group| group.children().count())
}

#[test]
fn the_binary_file_holds_the_painting() {
    let bytes = made("camera", &demo("dam_overlook"), "quay.glb");
    let file = gltf::Gltf::from_slice(&bytes).unwrap();
    let gltf::image::Source::View { view, mime_type } = file.images().next().unwrap().source()
    else {
        panic!("beside it")
    };
    assert_eq!(mime_type, "image/jpeg");
    let blob = file.blob.as_ref().unwrap();
    assert!(blob[view.offset()..].starts_with(&[0xff, 0xd8, 0xff]));
}
