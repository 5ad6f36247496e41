use super::*;
use staffage_scene::{
    Arranged, BlockId, EyeByHand, Known, LevelId, PrincipalPoint, Scene, Shape, Span, StandIn,
    StandInId, assess, load, place_stand_in,
};

/// Width at which the picture is held against the file, pixels.
const ACROSS: f64 = 10_000.0;

fn demo(name: &str) -> Scene {
    let demos = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../demo_scenes");
    load(&demos.join(name).with_extension("ron")).unwrap()
}

fn read(scene: &Scene) -> Value {
    let assessment = assess(scene);
    let of = CameraScene {
        scene,
        assessment: &assessment,
        file: "quay.ron",
        painting: None,
        back: FilmBack::default(),
    };
    serde_json::from_slice(&Camera::new(&of).unwrap().to_gltf()).unwrap()
}

fn numbers(value: &Value) -> Vec<f64> {
    // What readers keep is single precision.
    value.as_array().unwrap().iter().map(|v| f64::from(v.as_f64().unwrap() as f32)).collect()
}

/// Transform of a node by the glTF specification, section 3.5.3: scale, then rotation, then translation.
fn transformed(node: &Value, local: [f64; 3]) -> [f64; 3] {
    let scale = node.get("scale").map_or(vec![1.0; 3], numbers);
    let p = [0, 1, 2].map(|i| local[i] * scale[i]);
    let q = node.get("rotation").map_or(vec![0.0, 0.0, 0.0, 1.0], numbers);
    let turned = turned(&q, p);
    let to = node.get("translation").map_or(vec![0.0; 3], numbers);
    [0, 1, 2].map(|i| turned[i] + to[i])
}

fn cross(a: [f64; 3], b: [f64; 3]) -> [f64; 3] {
    [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]]
}

/// A vector turned by a unit quaternion (x, y, z, w): v + 2 u × (u × v + w v).
fn turned(q: &[f64], v: [f64; 3]) -> [f64; 3] {
    let u = [q[0], q[1], q[2]];
    let inner = cross(u, v);
    let inner = [0, 1, 2].map(|i| inner[i] + q[3] * v[i]);
    let outer = cross(u, inner);
    [0, 1, 2].map(|i| v[i] + 2.0 * outer[i])
}

/// Where a place of the world is seen, in pixels from the left and the top of the frame, by the camera
/// that the file holds: its node's inverse and the perspective projection of the glTF specification,
/// section 3.10.3.3.
fn seen(file: &Value, world: [f64; 3]) -> [f64; 2] {
    let node = file["nodes"].as_array().unwrap().iter().find(|node| node.get("camera").is_some());
    let node = node.unwrap();
    let at = node.get("translation").map_or(vec![0.0; 3], numbers);
    let q = numbers(&node["rotation"]);
    let back = [-q[0], -q[1], -q[2], q[3]];
    let p = turned(&back, [0, 1, 2].map(|i| world[i] - at[i]));
    let lens = &file["cameras"][0]["perspective"];
    let [yfov, ratio] = ["yfov", "aspectRatio"].map(|key| lens[key].as_f64().unwrap());
    let tan = (0.5 * yfov).tan();
    let (x, y) = (p[0] / (-p[2] * tan * ratio), p[1] / (-p[2] * tan));
    [0.5 * ACROSS * (1.0 + x), 0.5 * ACROSS / ratio * (1.0 - y)]
}

fn pixels(scene: &Scene, at: DVec2) -> [f64; 2] {
    [ACROSS * (at.x + 0.5), ACROSS * (at.y + scene.frame.half_height())]
}

fn apart(a: [f64; 2], b: [f64; 2]) -> f64 {
    (a[0] - b[0]).hypot(a[1] - b[1])
}

fn children<'a>(file: &'a Value, group: &str) -> Vec<&'a Value> {
    let nodes = file["nodes"].as_array().unwrap();
    let group = nodes.iter().find(|node| node["name"] == group && node.get("children").is_some());
    let children = group.map_or(Vec::new(), |g| g["children"].as_array().unwrap().clone());
    children.iter().map(|child| &nodes[child.as_u64().unwrap() as usize]).collect()
}

#[test]
fn markers_are_seen_through_the_camera_where_they_are_in_the_painting() {
    for name in ["dam_overlook", "market_street", "reservoir_from_above"] {
        let scene = demo(name);
        let (file, assessment) = (read(&scene), assess(&scene));
        let nodes = children(&file, "markers");
        assert_eq!(nodes.len(), scene.markers.len(), "{name}");
        for node in nodes {
            let id = node["extras"]["id"].as_u64().unwrap() as u32;
            let marker = scene.markers.iter().find(|m| m.id.0 == id).unwrap();
            assert_eq!(node["name"], marker.name);
            if matches!(marker.span, Span::Cylinder | Span::Ball) {
                continue;
            }
            let foot = seen(&file, transformed(node, [0.0; 3]));
            let off = apart(foot, pixels(&scene, marker.foot));
            assert!(off < 0.1, "{name}, {}: its foot is {off} px off", marker.name);
            let entry = assessment.entry(marker.id).unwrap();
            if entry.expected_size.is_none() {
                let drawn = node["extras"]["drawn_size"].as_f64().unwrap();
                let known = entry.size.unwrap();
                assert!((drawn / known.value - 1.0).abs() < 0.2, "{name}, {}", marker.name);
                let head = seen(&file, transformed(node, [0.0, drawn, 0.0]));
                let off = apart(head, pixels(&scene, entry.true_head.unwrap()));
                assert!(off < 0.1, "{name}, {}: its head is {off} px off", marker.name);
            }
        }
    }
}

/// An eye that looks down and is canted, with one stand-in of each kind on the ground.
fn yard() -> Scene {
    let mut scene = Scene::default();
    let (angle_of_view, pitch, cant) = (Some(50.0), Some(-8.0), Some(5.0));
    scene.eye = EyeByHand { angle_of_view, pitch, cant, ..EyeByHand::default() };
    scene.levels[0].clearance = Some(Known { metres: 3.0, spread: 0.01 });
    scene.blocks[0].heading = Some(20.0);
    let shapes = [
        Shape::Figure { height: 1.7 },
        Shape::Panel { width: 2.0, height: 2.1 },
        Shape::Box { width: 2.4, depth: 6.0, height: 2.6 },
        Shape::Cylinder { diameter: 3.0, height: 5.0 },
        Shape::Ramp { width: 3.0, depth: 5.0, height: 1.2 },
    ];
    scene.stand_ins = (1..)
        .zip(shapes)
        .map(|(id, shape)| StandIn {
            id: StandInId(id),
            name: format!("<{}> \"{id}\"", shape.word()),
            shape,
            level: LevelId(1),
            foot: DVec2::new(0.15 * (f64::from(id) - 3.0), 0.12),
            turn: 15.0,
            along: Some(BlockId(1)),
            lift: 0.2,
            arranged: Arranged::Alone,
        })
        .collect();
    scene
}

#[test]
fn stand_ins_fill_what_they_fill_in_the_picture() {
    let scene = yard();
    let (file, assessment) = (read(&scene), assess(&scene));
    let nodes = children(&file, "stand-ins");
    assert_eq!(nodes.len(), 5);
    for (node, stand_in) in nodes.into_iter().zip(&scene.stand_ins) {
        assert_eq!(node["name"], stand_in.name);
        let placed = place_stand_in(&scene, &assessment, stand_in).unwrap().each[0];
        let eye = assessment.eye.eye;
        let (sin, cos) = placed.heading.sin_cos();
        let (right, ahead) = (DVec3::new(cos, 0.0, sin), DVec3::new(sin, 0.0, -cos));
        let print = placed.shape.footprint();
        // The middle of its foot, its top there, and for what is turned the middle of its far right edge.
        let mut places = vec![([0.0, 0.0, 0.0], placed.foot)];
        if !matches!(placed.shape, Shape::Ramp { .. }) {
            places.push(([0.0, 1.0, 0.0], placed.head()));
        }
        if matches!(placed.shape, Shape::Box { .. } | Shape::Ramp { .. }) {
            let far = placed.head() + 0.5 * (print.x * right + print.y * ahead);
            places.push(([0.5, 1.0, -0.5], far));
        }
        for (local, from_eye) in places {
            let off = apart(
                seen(&file, transformed(node, local)),
                pixels(&scene, eye.project(from_eye).unwrap()),
            );
            assert!(off < 0.1, "{}: {off} px off", stand_in.name);
        }
    }
    let ground = children(&file, "levels");
    assert_eq!(ground[0]["name"], "ground");
    assert_eq!(ground[0]["extras"]["height"], 0.0);
}

#[test]
fn the_painting_fills_what_the_camera_sees() {
    let scene = yard();
    let assessment = assess(&scene);
    let card = Card { jpeg: vec![1, 2, 3], size: (235, 100) };
    let painting = Some(&card);
    let of = CameraScene {
        scene: &scene,
        assessment: &assessment,
        file: "yard.ron",
        painting,
        back: FilmBack::default(),
    };
    let camera = Camera::new(&of).unwrap();
    let file: Value = serde_json::from_slice(&camera.to_gltf()).unwrap();
    let nodes = file["nodes"].as_array().unwrap();
    let eye = nodes.iter().find(|node| node["name"] == "eye").unwrap();
    let hung = &nodes[eye["children"][0].as_u64().unwrap() as usize];
    let mesh = &file["meshes"][hung["mesh"].as_u64().unwrap() as usize];
    let corners = &file["accessors"]
        [mesh["primitives"][0]["attributes"]["POSITION"].as_u64().unwrap() as usize];
    let (least, most) = (numbers(&corners["min"]), numbers(&corners["max"]));
    for (corner, pixel) in [
        ([least[0], most[1], 0.0], [0.0, 0.0]),
        ([most[0], least[1], 0.0], [ACROSS, ACROSS / scene.frame.ratio]),
    ] {
        let world = transformed(eye, transformed(hung, corner));
        assert!(apart(seen(&file, world), pixel) < 0.1);
    }
    assert!(
        file["cameras"][0]["perspective"]["zfar"].as_f64().unwrap()
            > -numbers(&hung["translation"])[2]
    );
    let glb = camera.to_glb();
    assert_eq!(&glb[..4], b"glTF");
    assert_eq!(u32::from_le_bytes(glb[8..12].try_into().unwrap()) as usize, glb.len());
}

#[test]
fn an_axis_off_the_middle_is_told_and_the_card_hangs_where_it_belongs() {
    let mut scene = yard();
    scene.eye.principal = PrincipalPoint::At(DVec2::new(0.1, -0.05));
    let assessment = assess(&scene);
    let of = CameraScene {
        scene: &scene,
        assessment: &assessment,
        file: "yard.ron",
        painting: None,
        back: FilmBack::default(),
    };
    let camera = Camera::new(&of).unwrap();
    assert!(camera.remarks().iter().any(|r| r.contains("shift the lens")));
    assert!(camera.to_text().contains("-10.00 % right, -5.00 % up"), "{}", camera.to_text());
    let file: Value = serde_json::from_slice(&camera.to_gltf()).unwrap();
    let eye = file["nodes"].as_array().unwrap().iter().find(|node| node["name"] == "eye").unwrap();
    assert_eq!(eye["extras"]["lens_shift_frame_widths"], json!([-0.1, -0.05]));
}

#[test]
fn a_scene_without_scale_is_refused_with_what_to_do() {
    let scene = Scene::default();
    let assessment = assess(&scene);
    let of = CameraScene {
        scene: &scene,
        assessment: &assessment,
        file: "a.ron",
        painting: None,
        back: FilmBack::default(),
    };
    let why = Camera::new(&of).unwrap_err().to_string();
    assert!(why.contains("known size") && why.contains("eye's height"), "{why}");
}

#[test]
fn the_camera_sheet_says_the_angles_and_the_focal_lengths() {
    let scene = yard();
    let assessment = assess(&scene);
    let of = CameraScene {
        scene: &scene,
        assessment: &assessment,
        file: "yard.ron",
        painting: None,
        back: FilmBack::default(),
    };
    let text = Camera::new(&of).unwrap().to_text().to_owned();
    for line in
        ["pitch                     8.00° down (set by hand)", "0, 3.000, 0", "5.00° right end up"]
    {
        assert!(text.contains(line), "{line} in {text}");
    }
    // 36 mm / (2 tan 25°) = 38.6 mm.
    assert!(text.contains("38.6 mm  on 36.00 mm"), "{text}");
    assert!(text.contains("then X -8.000°, then Z -5.000°"), "{text}");
}

#[test]
fn what_goes_along_is_counted_and_the_focal_length_told_for_the_film_back() {
    let scene = yard();
    let assessment = assess(&scene);
    let back = FilmBack::named("super-35").unwrap();
    let of = CameraScene {
        scene: &scene,
        assessment: &assessment,
        file: "yard.ron",
        painting: None,
        back,
    };
    let camera = Camera::new(&of).unwrap();
    let file: Value = serde_json::from_slice(&camera.to_gltf()).unwrap();
    let kinds = |kind: &str| {
        let nodes = file["nodes"].as_array().unwrap().iter();
        nodes.filter(|node| node["extras"]["kind"] == kind).count()
    };
    let said: usize = camera
        .contents()
        .iter()
        .map(|line| line.split(' ').next().unwrap().parse::<usize>().unwrap())
        .sum();
    assert_eq!(
        said,
        kinds("marker") + kinds("stand-in") + kinds("level"),
        "{:?}",
        camera.contents()
    );
    let (name, focal) = &camera.facts()[0];
    // 24.892 mm / (2 tan 25°) = 26.7 mm.
    assert_eq!((name.as_str(), focal.as_str()), ("focal length", "26.7 mm on 24.89 mm"));
    let eye = file["nodes"].as_array().unwrap().iter().find(|node| node["name"] == "eye").unwrap();
    let length = eye["extras"]["focal_length_millimetres"].as_f64().unwrap();
    assert!((length - 24.892 / (2.0 * 25f64.to_radians().tan())).abs() < 1e-6, "{length}");
}
