//! A glTF 2.0 file in the making.

use glam::{DQuat, DVec3};
use serde_json::{Map, Value, json};

/// By this a camera is known among other files.
pub(crate) const CAMERA_SIGNATURE: &str = "Staffage camera";

const FLOAT: u32 = 5126;
const UNSIGNED_INT: u32 = 5125;
const VERTICES: u32 = 34_962;
const INDICES: u32 = 34_963;

/// Triangles in the space of their node.
#[derive(Clone, Debug, Default)]
pub(super) struct Triangles {
    /// Corners; X right, Y up, Z back.
    pub(super) corners: Vec<[f32; 3]>,
    /// Three corners to a triangle, counter-clockwise as seen from outside.
    pub(super) indices: Vec<u32>,
    /// Where each corner lies in the texture, from its upper left; empty where there is none.
    pub(super) texture: Vec<[f32; 2]>,
}

impl Triangles {
    /// A convex polygon as a fan.
    pub(super) fn fan(&mut self, corners: impl IntoIterator<Item = [f32; 3]>) {
        let first = self.corners.len() as u32;
        self.corners.extend(corners);
        for corner in first + 2..self.corners.len() as u32 {
            self.indices.extend([first, corner - 1, corner]);
        }
    }
}

/// Where a node is in its parent.
#[derive(Clone, Copy, Debug)]
pub(super) struct Placing {
    pub(super) at: DVec3,
    pub(super) turn: DQuat,
    pub(super) scale: DVec3,
}

impl Placing {
    pub(super) fn at(at: DVec3) -> Self {
        Self { at, turn: DQuat::IDENTITY, scale: DVec3::ONE }
    }

    /// With its own -Z towards this heading, clockwise from straight ahead, radians.
    pub(super) fn heading(self, heading: f64) -> Self {
        Self { turn: DQuat::from_rotation_y(-heading), ..self }
    }

    pub(super) fn scaled(self, scale: DVec3) -> Self {
        Self { scale, ..self }
    }
}

/// The parts of the file; places in its lists are handed out as they are filled.
#[derive(Debug, Default)]
pub(super) struct Model {
    bytes: Vec<u8>,
    views: Vec<Value>,
    accessors: Vec<Value>,
    meshes: Vec<Value>,
    materials: Vec<Value>,
    nodes: Vec<Value>,
    cameras: Vec<Value>,
    image: Option<usize>,
    is_unlit: bool,
}

impl Model {
    /// A colour that light does not change; see-through where its alpha, the last of the four, is below 1.
    pub(super) fn colour(&mut self, name: &str, colour: [f64; 4]) -> usize {
        let mode = if colour[3] < 1.0 { "BLEND" } else { "OPAQUE" };
        // Factors are linear, colours are not.
        let linear = |c: f64| {
            if c <= 0.040_45 { c / 12.92 } else { ((c + 0.055) / 1.055).powf(2.4) }
        };
        let [r, g, b, a] = colour;
        let factor = [linear(r), linear(g), linear(b), a];
        self.material(json!({
            "name": name,
            "pbrMetallicRoughness":
                { "baseColorFactor": factor, "metallicFactor": 0.0, "roughnessFactor": 0.9 },
            "alphaMode": mode,
            "doubleSided": true,
        }))
    }

    /// The picture as it is, without light.
    pub(super) fn picture(&mut self, jpeg: &[u8]) -> usize {
        self.image = Some(self.view(jpeg, None));
        self.is_unlit = true;
        self.material(json!({
            "name": "painting",
            "pbrMetallicRoughness": {
                "baseColorTexture": { "index": 0 }, "metallicFactor": 0.0, "roughnessFactor": 1.0
            },
            "doubleSided": true,
            "extensions": { "KHR_materials_unlit": {} },
        }))
    }

    fn material(&mut self, material: Value) -> usize {
        self.materials.push(material);
        self.materials.len() - 1
    }

    /// A mesh of some triangles, each lot with its material.
    pub(super) fn mesh(&mut self, name: &str, parts: &[(&Triangles, usize)]) -> usize {
        let primitives: Vec<Value> = parts
            .iter()
            .filter(|(triangles, _)| !triangles.indices.is_empty())
            .map(|(triangles, material)| self.primitive(triangles, *material))
            .collect();
        self.meshes.push(json!({ "name": name, "primitives": primitives }));
        self.meshes.len() - 1
    }

    fn primitive(&mut self, triangles: &Triangles, material: usize) -> Value {
        let corners = self.accessor(&triangles.corners, "VEC3", true);
        let mut attributes = Map::new();
        attributes.insert("POSITION".into(), corners.into());
        if !triangles.texture.is_empty() {
            let texture = self.accessor(&triangles.texture, "VEC2", false);
            attributes.insert("TEXCOORD_0".into(), texture.into());
        }
        let bytes: Vec<u8> = triangles.indices.iter().flat_map(|i| i.to_le_bytes()).collect();
        let view = self.view(&bytes, Some(INDICES));
        self.accessors.push(json!({
            "bufferView": view, "componentType": UNSIGNED_INT,
            "count": triangles.indices.len(), "type": "SCALAR"
        }));
        let indices = self.accessors.len() - 1;
        json!({ "attributes": attributes, "indices": indices, "material": material })
    }

    fn accessor<const N: usize>(&mut self, values: &[[f32; N]], kind: &str, ends: bool) -> usize {
        let bytes: Vec<u8> = values.iter().flatten().flat_map(|v| v.to_le_bytes()).collect();
        let view = self.view(&bytes, Some(VERTICES));
        let mut accessor = json!({
            "bufferView": view, "componentType": FLOAT, "count": values.len(), "type": kind
        });
        if ends {
            let end = |of: fn(f32, f32) -> f32| -> Vec<f32> {
                (0..N).map(|i| values.iter().map(|v| v[i]).reduce(of).unwrap_or(0.0)).collect()
            };
            accessor["min"] = end(f32::min).into();
            accessor["max"] = end(f32::max).into();
        }
        self.accessors.push(accessor);
        self.accessors.len() - 1
    }

    fn view(&mut self, bytes: &[u8], target: Option<u32>) -> usize {
        self.bytes.resize(self.bytes.len().next_multiple_of(4), 0);
        let mut view = json!({
            "buffer": 0, "byteOffset": self.bytes.len(), "byteLength": bytes.len()
        });
        if let Some(target) = target {
            view["target"] = target.into();
        }
        self.bytes.extend_from_slice(bytes);
        self.views.push(view);
        self.views.len() - 1
    }

    pub(super) fn camera(&mut self, camera: Value) -> usize {
        self.cameras.push(camera);
        self.cameras.len() - 1
    }

    /// A node; `more` holds its mesh, its camera, its children and what else is said of it.
    pub(super) fn node(&mut self, name: &str, placing: Placing, more: Value) -> usize {
        let mut node = Map::new();
        node.insert("name".into(), name.into());
        if placing.at != DVec3::ZERO {
            node.insert("translation".into(), json!(placing.at.to_array()));
        }
        if placing.turn != DQuat::IDENTITY {
            node.insert("rotation".into(), json!(placing.turn.normalize().to_array()));
        }
        if placing.scale != DVec3::ONE {
            node.insert("scale".into(), json!(placing.scale.to_array()));
        }
        if let Value::Object(more) = more {
            node.extend(more);
        }
        self.nodes.push(node.into());
        self.nodes.len() - 1
    }

    /// The text of the file, with where its bytes are. They stand in the text itself as an address unless
    /// they come after it.
    fn text(&self, roots: &[usize], extras: &Value, address: Option<&str>) -> String {
        let mut buffer = json!({ "byteLength": self.bytes.len() });
        if let Some(address) = address {
            buffer["uri"] = address.into();
        }
        let mut rest = Map::new();
        rest.insert("scene".into(), 0.into());
        rest.insert("scenes".into(), json!([{ "nodes": roots, "extras": extras }]));
        for (name, list) in [
            ("nodes", &self.nodes),
            ("cameras", &self.cameras),
            ("meshes", &self.meshes),
            ("materials", &self.materials),
            ("accessors", &self.accessors),
            ("bufferViews", &self.views),
        ] {
            if !list.is_empty() {
                rest.insert(name.into(), json!(list));
            }
        }
        if !self.bytes.is_empty() {
            rest.insert("buffers".into(), json!([buffer]));
        }
        if let Some(view) = self.image {
            let image = json!({ "name": "painting", "bufferView": view, "mimeType": "image/jpeg" });
            rest.insert("images".into(), json!([image]));
            // Clamped at its edges, smoothed in between.
            let sampler =
                json!({ "magFilter": 9729, "minFilter": 9987, "wrapS": 33071, "wrapT": 33071 });
            rest.insert("samplers".into(), json!([sampler]));
            rest.insert("textures".into(), json!([{ "sampler": 0, "source": 0 }]));
        }
        if self.is_unlit {
            rest.insert("extensionsUsed".into(), json!(["KHR_materials_unlit"]));
        }
        // The asset comes first, so that the file is known by its beginning.
        let rest = Value::Object(rest).to_string();
        let asset = json!({ "version": "2.0", "generator": CAMERA_SIGNATURE });
        format!("{{\"asset\":{asset},{}", &rest[1..])
    }

    /// One file of text.
    pub(super) fn to_gltf(&self, roots: &[usize], extras: &Value) -> Vec<u8> {
        use base64::Engine as _;
        let bytes = base64::engine::general_purpose::STANDARD.encode(&self.bytes);
        let address = format!("data:application/octet-stream;base64,{bytes}");
        self.text(roots, extras, Some(&address)).into_bytes()
    }

    /// One file of text and bytes (glTF 2.0, section 4.4: chunks are padded to four bytes, text with
    /// spaces).
    pub(super) fn to_glb(&self, roots: &[usize], extras: &Value) -> Vec<u8> {
        let mut text = self.text(roots, extras, None).into_bytes();
        text.resize(text.len().next_multiple_of(4), b' ');
        let mut bytes = self.bytes.clone();
        bytes.resize(bytes.len().next_multiple_of(4), 0);
        let length = 12 + 8 + text.len() + 8 + bytes.len();
        let mut file = Vec::with_capacity(length);
        let number = |n: usize| u32::try_from(n).unwrap_or(u32::MAX).to_le_bytes();
        file.extend(b"glTF");
        file.extend(2u32.to_le_bytes());
        file.extend(number(length));
        for (kind, chunk) in [(b"JSON", &text), (b"BIN\0", &bytes)] {
            file.extend(number(chunk.len()));
            file.extend(kind);
            file.extend(chunk);
        }
        file
    }
}
