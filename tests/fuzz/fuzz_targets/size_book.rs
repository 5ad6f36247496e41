//! Any text is refused or read as a size book whose entries can be picked: a scene that takes them is
//! sound and agrees with the book.
#![no_main]

use libfuzzer_sys::fuzz_target;
use staffage_scene::{Edit, Marker, MarkerId, Scene, SizeBook, Span, Stands, Statement, apply};

fuzz_target!(|text: &str| {
    if let Ok(book) = SizeBook::parse(text) {
        let picked = book.entries.iter().map(|entry| {
            assert_eq!(book.entry(&entry.name), Some(entry));
            Statement::KnownSize { size: entry.size, as_: entry.name.clone() }
        });
        let thing = Marker {
            id: MarkerId(1),
            name: "thing".into(),
            foot: (0.1, 0.1).into(),
            head: (0.1, 0.0).into(),
            span: Span::Upright,
            stands: Stands::Unsaid,
            statements: picked.collect(),
        };
        let scene = apply(&Scene::default(), &Edit::PutMarker(thing)).expect("entries are sound");
        assert_eq!(book.differences(&scene), []);
    }
});
