//! What is in an overlay, read back by other readers.

use resvg::{tiny_skia, usvg};
use staffage_handover::{HandoverError, Overlay, OverlayOptions, Part, Rows};
use staffage_scene::{Scene, assess, load};
use std::collections::BTreeSet;
use std::io;
use std::ops::ControlFlow;
use std::path::Path;

fn demo() -> Scene {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../demo_scenes");
    load(&folder.join("market_street.ron")).unwrap()
}

fn overlay(options: impl FnOnce(&mut OverlayOptions)) -> Overlay {
    let scene = demo();
    let mut asked = OverlayOptions { width: 800, ..OverlayOptions::of(&scene) };
    options(&mut asked);
    Overlay::new(&scene, &assess(&scene), &asked).unwrap()
}

fn png(overlay: &Overlay) -> Vec<u8> {
    let mut png = Vec::new();
    overlay.write_png(&mut png, &mut |_| ControlFlow::Continue(())).unwrap();
    png
}

/// Width, height, and red, green, blue and alpha of each pixel.
fn pixels(overlay: &Overlay) -> (u32, u32, Vec<u8>) {
    let picture = image::load_from_memory(&png(overlay)).unwrap();
    assert_eq!(picture.color(), image::ColorType::Rgba8);
    (picture.width(), picture.height(), picture.into_rgba8().into_raw())
}

/// Share of the picture that is inked, each pixel as far as it is opaque.
fn coverage(overlay: &Overlay) -> f64 {
    let (width, height, pixels) = pixels(overlay);
    let ink: f64 = pixels.iter().skip(3).step_by(4).map(|&a| f64::from(a) / 255.0).sum();
    ink / f64::from(width * height)
}

/// What resvg makes of the overlay's SVG: red, green, blue (times alpha) and alpha of each pixel.
fn rendered(overlay: &Overlay) -> (u32, u32, Vec<u8>) {
    let mut options = usvg::Options::default();
    let font = include_bytes!("../../../assets/fonts/IBMPlexSans-Regular.ttf");
    options.fontdb_mut().load_font_data(font.to_vec());
    let tree = usvg::Tree::from_str(&overlay.to_svg(), &options).unwrap();
    let size = tree.size().to_int_size();
    let mut pixels = tiny_skia::Pixmap::new(size.width(), size.height()).unwrap();
    resvg::render(&tree, tiny_skia::Transform::identity(), &mut pixels.as_mut());
    (size.width(), size.height(), pixels.take())
}

/// The names of the outermost groups of the overlay's SVG, and of all groups within.
fn groups(overlay: &Overlay) -> (Vec<String>, BTreeSet<String>) {
    let svg = overlay.to_svg();
    let document = roxmltree::Document::parse(&svg).unwrap();
    let is_group = |node: &roxmltree::Node<'_, '_>| node.has_tag_name("g");
    let id = |node: roxmltree::Node<'_, '_>| node.attribute("id").unwrap().to_owned();
    let outer = document.root_element().children().filter(is_group).map(id).collect();
    let inner = document.descendants().filter(is_group);
    let inner = inner.filter_map(|g| g.attribute("data-name").map(str::to_owned)).collect();
    (outer, inner)
}

#[test]
fn there_is_ink_on_a_transparent_ground() {
    let (width, height, pixels) = pixels(&overlay(|_| ()));
    assert_eq!((width, height), (800, 432));
    let clear = pixels.chunks_exact(4).filter(|pixel| **pixel == [0, 0, 0, 0]).count();
    let opaque = pixels.chunks_exact(4).filter(|pixel| pixel[3] == 255).count();
    assert!(clear > pixels.len() / 4 / 2, "{clear} clear pixels");
    assert!(opaque > 100, "{opaque} opaque pixels");
    // The edge of the frame is the edge of the picture: no line along it.
    let corners = [0, width - 1, width * (height - 1), width * height - 1];
    assert!(corners.iter().all(|&corner| pixels[4 * corner as usize + 3] == 0));
}

#[test]
fn two_readers_of_png_see_the_same() {
    let overlay = overlay(|_| ());
    let bytes = png(&overlay);
    let mut reader = png::Decoder::new(io::Cursor::new(&bytes)).read_info().unwrap();
    assert!(reader.info().srgb.is_some());
    let mut seen = vec![0; reader.output_buffer_size().unwrap()];
    reader.next_frame(&mut seen).unwrap();
    assert_eq!(pixels(&overlay).2, seen);
    let other = tiny_skia::Pixmap::decode_png(&bytes).unwrap();
    let alphas = |pixels: &[u8]| pixels.iter().skip(3).step_by(4).copied().collect::<Vec<u8>>();
    assert_eq!(alphas(other.data()), alphas(&seen));
}

#[test]
fn the_svg_is_the_same_picture_as_the_png() {
    for words in [false, true] {
        let overlay = overlay(|options| options.words = words);
        let ((width, height, svg), png) = (rendered(&overlay), pixels(&overlay).2);
        assert_eq!((width, height), overlay.size());
        let difference: f64 = svg
            .chunks_exact(4)
            .zip(png.chunks_exact(4))
            .map(|(svg, png)| {
                let alpha = f64::from(png[3]) / 255.0;
                let premultiplied = [0, 1, 2].map(|i| f64::from(png[i]) * alpha);
                let colour: f64 =
                    (0..3).map(|i| (premultiplied[i] - f64::from(svg[i])).abs()).sum();
                colour + (f64::from(png[3]) - f64::from(svg[3])).abs()
            })
            .sum();
        let mean = difference / (4.0 * f64::from(width * height));
        // Of 255. The SVG's reader rounds edges to a quarter of a pixel, and its plates are as wide
        // as the words are thought to be.
        let most = if words { 3.0 } else { 0.5 };
        assert!(mean < most, "{mean} with words: {words}");
    }
}

#[test]
fn lines_look_alike_at_every_width() {
    let at = |width| coverage(&overlay(|options| options.width = width));
    let [small, large] = [at(500), at(2500)];
    assert!((small / large - 1.0).abs() < 0.01, "{small} and {large} of the picture");
}

#[test]
fn ink_of_half_the_weight_covers_less() {
    let at =
        |weight| coverage(&overlay(|options| (options.weight, options.words) = (weight, false)));
    let ratio = at(0.5) / at(1.0);
    assert!((0.3..0.7).contains(&ratio), "{ratio}");
}

#[test]
fn the_svg_has_its_layers_as_outermost_groups() {
    let (layers, inner) = groups(&overlay(|_| ()));
    assert_eq!(layers, ["guides", "markers", "findings", "words"]);
    for name in ["horizon", "line", "vanishing-points", "staff", "mark", "label"] {
        assert!(inner.contains(name), "{name}: {inner:?}");
    }
    assert!(!inner.contains("frame"));
}

#[test]
fn only_the_parts_asked_for_are_there() {
    let only = |part| groups(&overlay(|options| options.parts = vec![part]));
    let (layers, inner) = only(Part::Guides);
    assert_eq!(layers, ["guides", "findings", "words"], "a stray line is marked and named");
    assert!(inner.contains("horizon") && !inner.contains("staff"), "{inner:?}");
    let (layers, inner) = only(Part::Markers);
    assert_eq!(layers, ["markers", "findings", "words"]);
    assert!(inner.contains("staff") && !inner.contains("line"), "{inner:?}");
}

#[test]
fn findings_are_shown_with_what_they_are_about_and_nothing_else() {
    let scene = demo();
    let found: BTreeSet<String> = assess(&scene)
        .findings
        .iter()
        .map(|finding| match finding.about {
            staffage_scene::Subject::Marker(id) => format!("marker {id}"),
            staffage_scene::Subject::Line(id) => format!("line {id}"),
            other => panic!("{other:?} is not planted in this demo"),
        })
        .collect();
    let svg = overlay(|options| options.parts = vec![Part::Findings]).to_svg();
    let document = roxmltree::Document::parse(&svg).unwrap();
    let shown = document.descendants().filter_map(|n| n.attribute("data-about"));
    assert_eq!(shown.map(str::to_owned).collect::<BTreeSet<_>>(), found);
    assert!(svg.contains("expected"), "the words that say what is wrong");
}

#[test]
fn words_can_be_left_out() {
    let overlay = overlay(|options| options.words = false);
    assert!(!groups(&overlay).0.contains(&"words".to_owned()));
    assert!(!overlay.to_svg().contains("<text"));
}

#[test]
fn an_overlay_of_nothing_is_a_clear_picture() {
    let overlay = overlay(|options| options.parts.clear());
    assert!(pixels(&overlay).2.iter().all(|&sample| sample == 0));
    assert_eq!(groups(&overlay).0, Vec::<String>::new());
}

#[test]
fn names_of_any_script_and_length_are_written() {
    let mut scene = demo();
    for (marker, name) in scene.markers.iter_mut().zip([
        "塔 🏗 برج",
        "e\u{301}\u{302}\u{303}\u{304}\u{305}\u{306}\u{307}",
        "\u{202e}turned\u{0} \u{feff}\u{fffd}\u{10ffff}",
        "",
        "<script>&\"'",
    ]) {
        marker.name = name.into();
    }
    scene.markers[5].name = "ab ".repeat(100_000);
    let options = OverlayOptions { width: 800, ..OverlayOptions::of(&scene) };
    let overlay = Overlay::new(&scene, &assess(&scene), &options).unwrap();
    assert!(image::load_from_memory(&png(&overlay)).is_ok());
    assert!(roxmltree::Document::parse(&overlay.to_svg()).is_ok());
}

#[test]
fn widths_and_weights_out_of_range_are_refused() {
    let scene = demo();
    let refused = |width, weight| {
        let options = OverlayOptions { width, weight, ..OverlayOptions::of(&scene) };
        Overlay::new(&scene, &assess(&scene), &options).unwrap_err()
    };
    assert!(matches!(refused(15, 1.0), HandoverError::Width { width: 15 }));
    assert!(matches!(refused(65_536, 1.0), HandoverError::Width { .. }));
    let why = refused(100_000, 1.0).to_string();
    assert_eq!(why, "an overlay can be 16 to 65535 px wide, not 100000 px");
    for weight in [0.0, -1.0, 11.0, f64::NAN, f64::INFINITY] {
        assert!(matches!(refused(800, weight), HandoverError::Weight { .. }), "{weight}");
    }
}

#[test]
fn whoever_watches_sees_every_row_and_can_give_up() {
    let overlay = overlay(|options| options.width = 4000);
    let mut seen = Vec::new();
    let watched = overlay.write_png(&mut io::sink(), &mut |rows| {
        seen.push(rows);
        ControlFlow::Continue(())
    });
    assert!(watched.is_ok() && seen.len() > 2);
    assert!(seen.windows(2).all(|pair| pair[0].done < pair[1].done), "{seen:?}");
    assert_eq!(seen.last(), Some(&Rows { done: 2162, of: 2162 }));
    let mut told = 0;
    let given_up = overlay.write_png(&mut io::sink(), &mut |_| {
        told += 1;
        ControlFlow::Break(())
    });
    assert!(matches!(given_up, Err(HandoverError::Cancelled)) && told == 1);
}

#[test]
fn a_full_disk_is_said_to_be_full() {
    /// Takes this many bytes and no more.
    struct Disk(usize);
    impl io::Write for Disk {
        fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
            self.0 = self.0.checked_sub(bytes.len()).ok_or(io::ErrorKind::StorageFull)?;
            Ok(bytes.len())
        }
        fn flush(&mut self) -> io::Result<()> {
            Ok(())
        }
    }
    let overlay = overlay(|_| ());
    for room in [0, 20, 1000, 40_000] {
        let why = overlay.write_png(&mut Disk(room), &mut |_| ControlFlow::Continue(()));
        assert_eq!(why.unwrap_err().to_string(), "the disk is full", "after {room} bytes");
    }
}
