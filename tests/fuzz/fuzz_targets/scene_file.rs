//! Any text is refused or read as a scene that is sound, can be assessed, and is written and read
//! again as itself.
#![no_main]

use libfuzzer_sys::fuzz_target;
use staffage_scene::{assess, parse, write};

fuzz_target!(|text: &str| {
    if let Ok(scene) = parse(text) {
        assert_eq!(assess(&scene).ledger.len(), scene.markers.len());
        let again = write(&scene).expect("a scene that was read is sound");
        assert_eq!(parse(&again).as_ref(), Ok(&scene));
    }
});
