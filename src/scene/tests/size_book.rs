//! A scene held against its production's size book, and whatever else a book's file may hold.

use glam::DVec2;
use proptest::prelude::*;
use staffage_scene::{
    BookEntry, Edit, Known, LevelId, Marker, MarkerId, Scene, SizeBook, Span, Stands, Statement,
    Units, apply,
};
use std::fs;

fn known(metres: f64, spread: f64) -> Known {
    Known { metres, spread }
}

fn entry(name: &str, metres: f64) -> BookEntry {
    BookEntry { name: name.into(), what: None, size: known(metres, 0.04), note: None }
}

fn works() -> SizeBook {
    let entries = vec![entry("Gate house", 30.0), entry("hauler", 96.0)];
    SizeBook { title: "Works".into(), entries }
}

fn picked(as_: &str, size: Known) -> Statement {
    Statement::KnownSize { size, as_: as_.into() }
}

fn marker(id: u32, name: &str, span: Span, statements: Vec<Statement>) -> Marker {
    Marker {
        id: MarkerId(id),
        name: name.into(),
        foot: DVec2::new(0.1, 0.1),
        head: DVec2::new(0.1, 0.05),
        span,
        stands: Stands::On(LevelId(1)),
        statements,
    }
}

fn scene(markers: Vec<Marker>) -> Scene {
    Scene { markers, ..Scene::default() }
}

#[test]
fn sizes_as_the_book_has_them_do_not_differ() {
    let agreeing = scene(vec![
        marker(1, "north gate", Span::Upright, vec![picked(" gate HOUSE ", known(30.0, 0.04))]),
        marker(2, "Foreman", Span::Upright, vec![picked("adult", known(1.7, 0.06))]),
        marker(3, "crate", Span::Facing, vec![Statement::Distance(known(96.5, 0.04))]),
    ]);
    assert_eq!(works().differences(&agreeing), []);
    assert_eq!(works().adopt(&agreeing), None);
    let in_feet = known(30.0 / 0.3048 * 0.3048, 0.04);
    let typed = scene(vec![marker(1, "gate", Span::Upright, vec![picked("gate house", in_feet)])]);
    assert_eq!(works().differences(&typed), []);
}

#[test]
fn a_size_that_differs_is_said_with_both_sizes() {
    let distance = Statement::Distance(known(200.0, 0.1));
    let stale = picked("gate house", known(28.5, 0.04));
    let gate = marker(4, "north gate", Span::Upright, vec![distance, stale]);
    let unsure = marker(5, "far hauler", Span::Facing, vec![picked("Hauler", known(96.0, 0.065))]);
    let differences = works().differences(&scene(vec![gate, unsure]));
    let [gate, hauler] = &differences[..] else { panic!("{differences:?}") };
    assert_eq!((gate.marker, gate.statement), (MarkerId(4), 1));
    assert_eq!((gate.scene.metres, gate.book.metres), (28.5, 30.0));
    assert_eq!(
        gate.sentence(Units::Metric),
        "north gate is said to be 28.5 m ± 4 % tall as “Gate house”; the size book says 30 m ± 4 %."
    );
    assert_eq!(
        hauler.sentence(Units::Metric),
        "far hauler is said to be 96 m ± 6.5 % across as “hauler”; the size book says 96 m ± 4 %."
    );
    // 28.5 m are 93.503937 ft, 30 m are 98.425197 ft (1 ft = 0.3048 m exactly).
    let imperial = gate.sentence(Units::Imperial);
    assert!(imperial.contains("93.503937 ft ± 4 % tall"), "{imperial}");
    assert!(imperial.contains("says 98.425197 ft"), "{imperial}");
}

#[test]
fn taking_the_books_sizes_leaves_nothing_that_differs_and_is_one_undo_step() {
    let stale = || picked("gate house", known(28.0, 0.04));
    let before = scene(vec![
        marker(1, "north gate", Span::Upright, vec![stale(), picked("HAULER", known(1.0, 0.04))]),
        marker(2, "Foreman", Span::Upright, vec![picked("adult", known(1.7, 0.06))]),
        marker(3, "south gate", Span::Upright, vec![stale()]),
    ]);
    let edit = works().adopt(&before).unwrap();
    assert_eq!(edit.label(&before), "Take the size book's sizes");
    assert!(matches!(&edit, Edit::Several { edits, .. } if edits.len() == 2));
    let after = apply(&before, &edit).unwrap();
    assert_eq!(works().differences(&after), []);
    let first = &after.markers[0].statements;
    assert_eq!(first[0], picked("gate house", known(30.0, 0.04)));
    assert_eq!(first[1], picked("HAULER", known(96.0, 0.04)), "the painter's own word stays");
    assert_eq!(after.markers[1], before.markers[1]);

    let one = scene(vec![before.markers[2].clone()]);
    assert_eq!(works().adopt(&one).unwrap().label(&one), "Take the size book's size of south gate");
}

#[test]
fn a_file_that_is_no_size_book_is_refused_with_its_name_and_what_is_wrong() {
    let folder = tempfile::tempdir().unwrap();
    let refusal = |name: &str, contents: Option<&[u8]>| {
        let path = folder.path().join(name);
        if let Some(contents) = contents {
            fs::write(&path, contents).unwrap();
        }
        let why = SizeBook::read(&path).unwrap_err().to_string();
        assert!(why.contains(name), "{why}");
        why
    };
    assert!(refusal("gone.ron", None).ends_with("there is no such file or folder"));
    assert!(refusal("bytes.ron", Some(b"(format: 1, \xff")).ends_with("it is not text (byte 12)"));
    assert!(refusal("empty.ron", Some(b"")).contains("does not begin with (format: 1, title"));
    assert!(refusal("newer.ron", Some(b"(format: 9, #")).contains("a newer Staffage (format 9"));
    fs::create_dir(folder.path().join("folder.ron")).unwrap();
    assert!(refusal("folder.ron", None).ends_with("it is a folder"));
    fs::File::create(folder.path().join("huge.ron")).unwrap().set_len(1 << 40).unwrap();
    assert!(refusal("huge.ron", None).ends_with("it is larger than 16 MiB"));
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 128, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn any_text_is_refused_or_read_as_a_book_that_can_be_used(
        cut in any::<prop::sample::Index>(),
        put in "[-0-9().,:\\[\\]{}\"/*#a-zNI ]{0,6}",
        gone in 0..12_usize,
    ) {
        let text = r#"(format: 1, title: "Works", entries: [
            (name: "gate house", what: "tall", size: (metres: 30.0, spread: 0.04), note: "drawn"),
            (name: "hauler", size: (metres: 96.0, spread: 0.02))])"#;
        let mut damaged: Vec<char> = text.chars().collect();
        let at = cut.index(damaged.len());
        let until = (at + gone).min(damaged.len());
        damaged.splice(at..until, put.chars());
        if let Ok(book) = SizeBook::parse(&String::from_iter(damaged)) {
            for entry in &book.entries {
                prop_assert_eq!(book.entry(&entry.name), Some(entry));
                let size = picked(&entry.name, entry.size);
                let marker = marker(1, "gate", Span::Upright, vec![size]);
                let scene = apply(&Scene::default(), &Edit::PutMarker(marker)).unwrap();
                prop_assert_eq!(book.differences(&scene), []);
            }
        }
    }
}
