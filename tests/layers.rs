//! `staffage layers` from outside, read by an independent reader of ZIP files and of PNG, and held against
//! the File Layout and Layers Stack Specifications of openraster.org (baseline).
//!
//! A file of the demo dam_overlook was also opened by pyora 0.3.11 (PyPI): the same layers by name, order,
//! place and size, and its own composition of them is the merged picture, to the last level.

mod folder;

use folder::Folder;
use image::{DynamicImage, Rgb, RgbImage, Rgba, RgbaImage};
use std::fs;
use std::io::{Cursor, Read};

/// A layer as the stack has it, the topmost first.
struct Layer {
    name: String,
    place: (i64, i64),
    visible: bool,
    picture: DynamicImage,
}

struct Ora {
    size: (u32, u32),
    layers: Vec<Layer>,
    merged: RgbaImage,
    thumbnail: DynamicImage,
}

/// Reads a file, and holds it against the rules of the format on the way.
fn read(folder: &Folder, name: &str) -> Ora {
    let bytes = fs::read(folder.path(name)).unwrap();
    // The file's kind stands at a fixed place: header of 30 bytes, name of 8, no extra field.
    assert_eq!(&bytes[..4], b"PK\x03\x04");
    assert_eq!(&bytes[28..30], [0, 0], "no extra field");
    assert_eq!(&bytes[30..54], b"mimetypeimage/openraster");
    let mut zip = zip::ZipArchive::new(Cursor::new(bytes)).unwrap();
    let mut part = |name: &str| {
        let mut contents = Vec::new();
        zip.by_name(name).unwrap().read_to_end(&mut contents).unwrap();
        contents
    };
    assert_eq!(part("mimetype"), b"image/openraster");
    let stack = String::from_utf8(part("stack.xml")).unwrap();
    let document = roxmltree::Document::parse(&stack).unwrap();
    let image = document.root_element();
    assert_eq!((image.tag_name().name(), image.attribute("version")), ("image", Some("0.0.3")));
    let number = |name| image.attribute(name).unwrap().parse::<u32>().unwrap();
    let size = (number("w"), number("h"));
    let stacks: Vec<_> = image.children().filter(roxmltree::Node::is_element).collect();
    assert!(stacks.len() == 1 && stacks[0].has_tag_name("stack"), "{stack}");
    let layers = stacks[0].children().filter(roxmltree::Node::is_element).map(|node| {
        assert!(node.has_tag_name("layer"), "{stack}");
        let attribute = |name| node.attribute(name).unwrap();
        assert_eq!(attribute("composite-op"), "svg:src-over");
        assert_eq!(attribute("opacity"), "1.0");
        assert!(matches!(attribute("visibility"), "visible" | "hidden"));
        let visible = attribute("visibility") == "visible";
        let source = attribute("src");
        assert!(source.starts_with("data/") && source.ends_with(".png"), "{source}");
        let picture = image::load_from_memory(&part(source)).unwrap();
        let place = (attribute("x").parse().unwrap(), attribute("y").parse().unwrap());
        Layer { name: attribute("name").into(), place, visible, picture }
    });
    let layers: Vec<Layer> = layers.collect();
    let merged = image::load_from_memory(&part("mergedimage.png")).unwrap().into_rgba8();
    let small = part("Thumbnails/thumbnail.png");
    assert_eq!((small[24], small[28]), (8, 0), "8 bits to a sample, not interlaced");
    let thumbnail = image::load_from_memory(&small).unwrap();
    let names: Vec<String> = zip.file_names().map(|name| name.unwrap().into_owned()).collect();
    assert_eq!(names.len(), layers.len() + 4, "every file is spoken of: {names:?}");
    Ora { size, layers, merged, thumbnail }
}

/// Lays the layers over each other, as SVG's src-over has it.
fn composed(ora: &Ora) -> Vec<[f64; 4]> {
    let (width, height) = ora.size;
    let mut light = vec![[0.0; 4]; (width * height) as usize];
    for layer in ora.layers.iter().rev().filter(|layer| layer.visible) {
        let picture = layer.picture.to_rgba16();
        for (x, y, Rgba(pixel)) in picture.enumerate_pixels() {
            let (x, y) = (i64::from(x) + layer.place.0, i64::from(y) + layer.place.1);
            let under = &mut light[(y * i64::from(width) + x) as usize];
            let [r, g, b, a] = pixel.map(|value| f64::from(value) / 257.0);
            for (under, over) in under.iter_mut().zip([r, g, b, 255.0]) {
                *under += a / 255.0 * (over - *under);
            }
        }
    }
    light
}

fn assert_merged(ora: &Ora) {
    assert_eq!(ora.merged.dimensions(), ora.size);
    for (light, pixel) in composed(ora).into_iter().zip(ora.merged.pixels()) {
        let [r, g, b, a] = light;
        let straight = if a > 0.0 { [r, g, b].map(|v| 255.0 * v / a) } else { [0.0; 3] };
        let [r, g, b] = straight;
        for (there, merged) in [r, g, b, a].into_iter().zip(pixel.0) {
            // Of what can hardly be seen through, colour alone tells nothing.
            if a > 8.0 || merged != pixel.0[0] {
                assert!(
                    (there - f64::from(merged)).abs() <= 1.0 || a <= 8.0,
                    "{light:?} {pixel:?}"
                );
            }
        }
    }
}

fn quay(name: &str) -> String {
    let figure = |id: u32, name: &str, u: f64, foot: f64| {
        format!(
            r#"(id: {id}, name: "{name}", foot: ({u}, {foot}), head: ({u}, 0.0), span: Upright,
                stands: On(1), statements: [KnownSize(size: (metres: 1.7, spread: 0.06), as: "adult")]),"#
        )
    };
    format!(
        r#"(format: 1, scene: (
          title: "Quay",
          painting: (path: "quay.png", size: (600, 300)),
          frame: (ratio: 2.0, working_width: 600),
          eye: (angle_of_view: 53.13, pitch: 0, cant: 0),
          levels: [(id: 1, name: "ground", side: Below)],
          markers: [{}{}],
        ))"#,
        figure(1, name, 0.0, 0.1),
        figure(2, "Mate", 0.1, 0.05)
    )
}

fn folder() -> Folder {
    let folder = Folder::new();
    folder.put("quay.ron", quay("Foreman"));
    let picture = RgbImage::from_fn(600, 300, |x, y| Rgb([(x / 3) as u8, y as u8 / 2, 90]));
    picture.save(folder.path("quay.png")).unwrap();
    folder
}

fn done(folder: &Folder, arguments: &[&str]) -> String {
    let answer = folder.run("layers", arguments);
    assert_eq!((answer.status, answer.err.as_str()), (0, ""), "{answer:?}");
    answer.out
}

fn names(ora: &Ora) -> Vec<&str> {
    ora.layers.iter().map(|layer| layer.name.as_str()).collect()
}

#[test]
fn painting_and_ink_are_layers_and_lie_over_each_other_as_the_merged_picture_shows() {
    let folder = folder();
    assert_eq!(done(&folder, &["quay.ron"]), "quay.ora  600 × 300 px\n");
    assert_eq!(folder.names(), ["quay.ora", "quay.png", "quay.ron"]);
    let ora = read(&folder, "quay.ora");
    assert_eq!(ora.size, (600, 300));
    let names = names(&ora);
    assert_eq!(names.first(), Some(&"words"));
    assert_eq!(&names[names.len() - 3..], ["markers", "guides", "painting"]);
    let painting = &ora.layers.last().unwrap().picture;
    assert!(painting.to_rgb8() == image::open(folder.path("quay.png")).unwrap().to_rgb8());
    assert_merged(&ora);
    let markers = ora.layers.iter().find(|layer| layer.name == "markers").unwrap();
    assert!(markers.picture.width() < 300 && markers.place.0 > 200, "cut to its ink");
    assert_eq!((ora.thumbnail.width(), ora.thumbnail.height()), (256, 128));
}

#[test]
fn at_delivery_width_the_painting_is_resized_and_the_ink_drawn_anew() {
    let folder = folder();
    done(
        &folder,
        &["quay.ron", "--width", "1801", "-o", "wide.ora", "--only", "markers", "--no-words"],
    );
    let ora = read(&folder, "wide.ora");
    assert_eq!(ora.size, (1801, 901));
    assert!(!names(&ora).contains(&"guides") && !names(&ora).contains(&"words"));
    assert_eq!(ora.layers.last().unwrap().picture.width(), 1801);
    assert_merged(&ora);
    // The same ink as in an overlay of this width.
    folder.run("overlay", &["quay.ron", "--width", "1801", "--only", "markers", "--no-words"]);
    let overlay = image::open(folder.path("quay.overlay.png")).unwrap().into_rgba8();
    let markers = ora.layers.iter().find(|layer| layer.name == "markers").unwrap();
    let ink = markers.picture.to_rgba8();
    let (x0, y0) = markers.place;
    let solid = overlay.enumerate_pixels().filter(|(_, _, pixel)| pixel.0[3] == 255);
    let mut seen = 0;
    for (x, y, _) in solid {
        let (x, y) = (i64::from(x) - x0, i64::from(y) - y0);
        let within =
            (0..i64::from(ink.width())).contains(&x) && (0..i64::from(ink.height())).contains(&y);
        seen += usize::from(within && ink.get_pixel(x as u32, y as u32).0[3] > 0);
    }
    assert!(seen > 500, "{seen}");
}

#[test]
fn a_grid_on_a_level_is_a_layer() {
    let folder = folder();
    let scene = quay("Foreman").replace("levels:", "blocks: [(id: 1, name: \"quay\")], levels:");
    folder.put("quay.ron", scene);
    done(&folder, &["quay.ron", "--grid", "ground"]);
    let ora = read(&folder, "quay.ora");
    let grid = ora.layers.iter().find(|layer| layer.name == "grid").expect("a layer of it");
    assert!(grid.picture.to_rgba8().pixels().filter(|pixel| pixel.0[3] > 0).count() > 500);
    assert!(!names(&ora).contains(&"flat tones"));
    assert_merged(&ora);
    let why = folder.run("layers", &["quay.ron", "--grid", "deck", "--force"]).refusal();
    assert!(why.contains("deck") && why.contains("“ground”"), "{why}");
}

#[test]
fn flat_tones_and_their_strip_are_hidden_layers_over_the_painting() {
    let folder = folder();
    // Three masses of grain: half of it dark, a third of middle value, the rest light.
    let value = |x: u32| match x {
        0..300 => 40,
        300..500 => 120,
        _ => 220,
    };
    let picture =
        RgbImage::from_fn(600, 300, |x, y| Rgb([(value(x) + (x * 7 + y * 3) % 9) as u8; 3]));
    picture.save(folder.path("quay.png")).unwrap();
    done(&folder, &["quay.ron", "--tones", "3", "--width", "1200"]);
    let ora = read(&folder, "quay.ora");
    let names = names(&ora);
    assert_eq!(&names[names.len() - 3..], ["tone strip", "flat tones", "painting"]);
    let layer = |name: &str| ora.layers.iter().find(|layer| layer.name == name).unwrap();
    let (flat, strip) = (layer("flat tones"), layer("tone strip"));
    assert!(!flat.visible && !strip.visible && layer("painting").visible);
    assert_merged(&ora);
    let flat = flat.picture.to_rgba8();
    assert_eq!(flat.dimensions(), (1200, 600));
    let mut tones: Vec<[u8; 4]> = flat.pixels().map(|pixel| pixel.0).collect();
    tones.sort_unstable();
    tones.dedup();
    assert_eq!(tones.len(), 3, "{tones:?}");
    for (tone, value) in tones.iter().zip([44, 124, 224]) {
        assert!(tone[0].abs_diff(value) <= 2 && tone[3] == 255, "{tones:?}");
    }
    assert_eq!([flat.get_pixel(100, 9).0, flat.get_pixel(1100, 500).0], [tones[0], tones[2]]);
    // A swatch of each along the lower edge, from dark to light.
    let bottom = strip.place.1 + i64::from(strip.picture.height());
    assert_eq!((strip.place.0, strip.picture.width(), bottom), (0, 1200, 600));
    let swatches = strip.picture.to_rgba8();
    for (i, tone) in tones.iter().enumerate() {
        let at = swatches.get_pixel(400 * i as u32 + 20, swatches.height() - 4);
        assert_eq!(at.0, *tone);
    }
    let refused = folder.run("layers", &["quay.ron", "--tones", "6"]);
    assert_eq!(refused.status, 2);
    // What has no painting has no tones.
    folder.put("blank.ron", "(format: 1, scene: (frame: (ratio: 2.0, working_width: 300)))");
    done(&folder, &["blank.ron", "--tones", "2"]);
    assert!(!self::names(&read(&folder, "blank.ora")).contains(&"flat tones"));
}

#[test]
fn each_group_of_stand_ins_has_a_layer_with_its_name_however_hostile() {
    let folder = folder();
    let hostile = "</layer> & \\\"x\\\" 'y' <b>";
    let stand_ins = format!(
        r#"stand_ins: [
            (id: 1, name: "{hostile}", shape: Figure(height: 1.7), level: 1, foot: (-0.2, 0.1),
             arranged: Row(to: (-0.1, 0.05), count: 4)),
            (id: 2, name: "Lorry", shape: Box(width: 2.5, depth: 7.0, height: 3.0), level: 1, foot: (0.2, 0.06)),
          ],
          markers:"#
    );
    let scene = quay("Foreman").replace("format: 1", "format: 3").replace("markers:", &stand_ins);
    folder.put("market.ron", scene);
    done(&folder, &["market.ron", "--width", "700"]);
    let ora = read(&folder, "market.ora");
    let wanted = format!("stand-ins: {}", hostile.replace('\\', ""));
    assert!(names(&ora).contains(&wanted.as_str()), "{:?}", names(&ora));
    assert!(names(&ora).contains(&"stand-ins: Lorry") && !names(&ora).contains(&"stand-ins"));
    assert_merged(&ora);
}

#[test]
fn the_layers_of_an_alternative_show_what_that_has() {
    let folder = folder();
    let aside =
        r#"alternatives: [(id: 1, name: "full"), (id: 2, name: "Bare", aside: ())], markers:"#;
    let scene = quay("Foreman").replace("format: 1", "format: 3").replace("markers:", aside);
    folder.put("quay.ron", scene);
    let said = done(&folder, &["quay.ron", "--alternative", "bare"]);
    assert!(said.starts_with("quay.bare.ora"), "{said}");
    done(&folder, &["quay.ron"]);
    assert!(names(&read(&folder, "quay.ora")).contains(&"markers"));
    assert!(!names(&read(&folder, "quay.bare.ora")).contains(&"markers"));
    let answer = folder.run("layers", &["quay.ron", "--alternative", "wide"]);
    assert!(answer.err.contains("it has “full” and “Bare”"), "{answer:?}");
}

#[test]
fn deep_paintings_keep_16_bits_and_blank_frames_have_layers_too() {
    let folder = folder();
    let deep = image::open(folder.path("quay.png")).unwrap().to_rgb16();
    deep.save(folder.path("quay.png")).unwrap();
    done(&folder, &["quay.ron"]);
    let ora = read(&folder, "quay.ora");
    assert_eq!(ora.layers.last().unwrap().picture.color(), image::ColorType::Rgb16);
    assert_merged(&ora);
    folder.put("blank.ron", "(format: 1, scene: (frame: (ratio: 0.5, working_width: 300)))");
    done(&folder, &["blank.ron"]);
    let blank = read(&folder, "blank.ora");
    assert!(!names(&blank).contains(&"painting"));
    assert_eq!((blank.thumbnail.width(), blank.thumbnail.height()), (128, 256));
    assert_merged(&blank);
}

#[test]
fn what_is_there_is_left_alone_and_what_cannot_be_is_told() {
    let folder = folder();
    folder.put("quay.ora", "painted in");
    let refusal = |arguments: &[&str]| {
        let before = folder.names();
        let answer = folder.run("layers", arguments);
        assert_eq!(folder.names(), before);
        answer.refusal()
    };
    assert!(refusal(&["quay.ron"]).contains("may hold work of yours"));
    assert!(refusal(&["quay.ron", "-o", "quay.png"]).contains("end its name with .ora"));
    assert!(refusal(&["quay.png"]).contains("is a picture, not a scene"));
    done(&folder, &["quay.ron", "--force"]);
    fs::remove_file(folder.path("quay.png")).unwrap();
    assert!(refusal(&["quay.ron", "--force"]).contains("is not there"));
}

#[cfg(unix)]
#[test]
fn a_file_that_does_not_fit_on_the_disk_leaves_nothing_but_a_sentence() {
    let folder = folder();
    let names = folder.names();
    let answer = folder.run_with_room(8, "layers", &["quay.ron", "--width", "3000"]);
    let why = answer.refusal();
    assert!(why.contains("“quay.ora” was not written"), "{why}");
    assert_eq!(folder.names(), names);
}
