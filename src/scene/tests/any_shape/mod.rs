//! Every kind of body, in sizes of one's own.

use proptest::prelude::*;
use staffage_scene::Shape;

pub fn shape<S: Strategy<Value = f64> + 'static>(
    size: impl Fn() -> S,
) -> impl Strategy<Value = Shape> {
    let two = || (size(), size());
    let three = || (size(), size(), size());
    prop_oneof![
        size().prop_map(|height| Shape::Figure { height }),
        two().prop_map(|(width, height)| Shape::Panel { width, height }),
        three().prop_map(|(width, depth, height)| Shape::Box { width, depth, height }),
        two().prop_map(|(diameter, height)| Shape::Cylinder { diameter, height }),
        three().prop_map(|(width, depth, height)| Shape::Ramp { width, depth, height }),
    ]
}
