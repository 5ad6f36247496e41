//! Checks a ratio's derivatives against numerical ones.

use crate::{Eye, Fault, Headings, LogRatio};
use glam::DVec2;

/// A canted eye that looks up, its picture cropped a little off-centre.
pub(crate) fn eye() -> Eye {
    Eye { focal: 0.8, pitch: 0.3, cant: -0.15, principal: DVec2::new(0.02, -0.03) }
}

/// One block and one incline.
pub(crate) fn headings() -> Headings {
    Headings { blocks: vec![0.5], inclines: vec![[0.2, 0.4]] }
}

fn moved(parameter: usize, by: f64) -> (Eye, Headings) {
    let (mut eye, mut headings) = (eye(), headings());
    match parameter {
        0 => eye.focal *= by.exp(),
        1 => eye.pitch += by,
        2 => eye.cant += by,
        3 => headings.blocks[0] += by,
        4 | 5 => headings.inclines[0][parameter - 4] += by,
        6 => eye.principal.x += by,
        7 => eye.principal.y += by,
        _ => panic!("there is no parameter {parameter}"),
    }
    (eye, headings)
}

/// Compares the derivatives that `read` tells by the foot, the head and every parameter of the eye
/// with central differences.
pub(crate) fn check(
    what: &str,
    foot: DVec2,
    head: DVec2,
    read: impl Fn(&Eye, &Headings, DVec2, DVec2) -> Result<LogRatio, Fault>,
) {
    const STEP: f64 = 1e-6;
    let (eye, headings) = (eye(), headings());
    let ratio = read(&eye, &headings, foot, head).unwrap();
    let central = |at: &dyn Fn(f64) -> Result<LogRatio, Fault>| {
        (at(STEP).unwrap().value - at(-STEP).unwrap().value) / (2.0 * STEP)
    };
    for axis in [DVec2::X, DVec2::Y] {
        let by_foot = central(&|s| read(&eye, &headings, foot + axis * s, head));
        let by_head = central(&|s| read(&eye, &headings, foot, head + axis * s));
        assert!((ratio.by_foot.dot(axis) - by_foot).abs() < 1e-6, "{what} foot {axis}");
        assert!((ratio.by_head.dot(axis) - by_head).abs() < 1e-6, "{what} head {axis}");
    }
    for (parameter, derivative) in ratio.by_eye.iter().enumerate() {
        let numerical = central(&|s| {
            let (eye, headings) = moved(parameter, s);
            read(&eye, &headings, foot, head)
        });
        assert!((derivative - numerical).abs() < 1e-6, "{what} parameter {parameter}");
    }
}
