use crate::words::{self, one_line};
use crate::{Anchor, Colour, Drawing, Group, Ink, PLATE_PADDING, View};
use glam::DVec2;
use staffage_scene::Subject;
use std::collections::HashSet;
use std::fmt::Write as _;

/// From the middle of a line of type down to its baseline, in heights of the type.
const BASELINE: f64 = 0.35;

/// The drawing as an SVG 1.1 document, one user unit per point, the view's upper left corner at
/// (0, 0). Every group keeps its name (`id`, `data-name`) and, where it shows a thing of the
/// scene, that thing's kind and number (`data-about`).
#[must_use]
pub fn to_svg(drawing: &Drawing, view: &View, title: &str) -> String {
    let mut writer = Writer::new(view, view.size());
    writer.put(format_args!("<title>{}</title>\n", escaped(title)));
    writer.groups(&drawing.groups);
    writer.finish()
}

/// Drawings one over the other, each an outermost group under its name (`id`), as an SVG 1.1
/// document that is shown `size` pixels large. User units and inner groups are as for [`to_svg`].
#[must_use]
pub fn to_layered_svg(
    layers: &[(&str, Drawing)],
    view: &View,
    size: (u32, u32),
    title: &str,
    description: &str,
) -> String {
    let mut writer = Writer::new(view, DVec2::new(size.0.into(), size.1.into()));
    writer.put(format_args!("<title>{}</title>\n", escaped(title)));
    writer.put(format_args!("<desc>{}</desc>\n", escaped(description)));
    for (name, drawing) in layers {
        let id = writer.unique(name);
        writer.put(format_args!("<g id=\"{}\">\n", escaped(&id)));
        writer.groups(&drawing.groups);
        writer.svg.push_str("</g>\n");
    }
    writer.finish()
}

/// The drawing as an `svg` element to stand in a page of HTML, as wide as there is room: for
/// [`to_svg`], but without ids, which would have to be unique in the page. `label` says what it shows to
/// those who cannot see it.
#[must_use]
pub fn to_inline_svg(drawing: &Drawing, view: &View, label: &str) -> String {
    let mut writer = Writer { svg: String::new(), view, ids: None };
    let [across, down] = view.size().to_array().map(number);
    writer.put(format_args!(
        "<svg viewBox=\"0 0 {across} {down}\" role=\"img\" aria-label=\"{}\" {STYLE}>\n",
        escaped(label)
    ));
    writer.groups(&drawing.groups);
    writer.finish()
}

/// What all that is drawn has in common.
const STYLE: &str =
    "font-family=\"'IBM Plex Sans', Helvetica, Arial, sans-serif\" stroke-linejoin=\"round\"";

struct Writer<'a> {
    svg: String,
    view: &'a View,
    /// Those that were used; none where nothing is to have one.
    ids: Option<HashSet<String>>,
}

impl<'a> Writer<'a> {
    /// A document of the view, shown `size` large.
    fn new(view: &'a View, size: DVec2) -> Self {
        let mut writer =
            Self { svg: String::with_capacity(1 << 16), view, ids: Some(HashSet::new()) };
        let [width, height] = size.to_array().map(number);
        let [across, down] = view.size().to_array().map(number);
        writer.svg.push_str("<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n");
        writer.svg.push_str("<svg xmlns=\"http://www.w3.org/2000/svg\" version=\"1.1\" ");
        writer.put(format_args!(
            "width=\"{width}\" height=\"{height}\" viewBox=\"0 0 {across} {down}\" "
        ));
        writer.put(format_args!("{STYLE}>\n"));
        writer
    }

    fn finish(mut self) -> String {
        self.svg.push_str("</svg>\n");
        self.svg
    }

    fn groups(&mut self, groups: &[Group]) {
        for group in groups {
            self.group(group);
        }
    }

    fn group(&mut self, group: &Group) {
        let about = group.about.map(about);
        self.svg.push_str("<g");
        if self.ids.is_some() {
            let id = match &about {
                Some(about) => self.unique(&format!("{}-{}", group.name, about.replace(' ', "-"))),
                None => self.unique(group.name),
            };
            self.put(format_args!(" id=\"{id}\""));
        }
        self.put(format_args!(" data-name=\"{}\"", group.name));
        if let Some(about) = about {
            self.put(format_args!(" data-about=\"{about}\""));
        }
        self.svg.push_str(">\n");
        for ink in &group.ink {
            self.ink(ink);
        }
        self.svg.push_str("</g>\n");
    }

    /// The id, numbered if it was used before.
    fn unique(&mut self, id: &str) -> String {
        let ids = self.ids.get_or_insert_default();
        let mut candidate = id.to_owned();
        let mut count = 1;
        while !ids.insert(candidate.clone()) {
            count += 1;
            candidate = format!("{id}-{count}");
        }
        candidate
    }

    fn ink(&mut self, ink: &Ink) {
        match ink {
            Ink::Stroke { points, width, colour, dash } => {
                self.stroke(points, *width, *colour, *dash);
            }
            Ink::Fill { points, colour } => {
                let (points, fill) = (self.points(points), paint("fill", *colour));
                self.put(format_args!("<polygon points=\"{points}\" {fill}/>\n"));
            }
            Ink::Disc { centre, radius, colour, outline } => {
                let (at, r) = (self.page(*centre), number(*radius));
                let fill = paint("fill", *colour);
                let at = format!("cx=\"{}\" cy=\"{}\"", number(at.x), number(at.y));
                self.put(format_args!("<circle {at} r=\"{r}\" {fill}"));
                if let Some((width, colour)) = outline {
                    let (width, stroke) = (number(*width), paint("stroke", *colour));
                    self.put(format_args!(" {stroke} stroke-width=\"{width}\""));
                }
                self.svg.push_str("/>\n");
            }
            Ink::Words { .. } => self.words(ink),
        }
    }

    fn stroke(&mut self, points: &[DVec2], width: f64, colour: Colour, dash: Option<(f64, f64)>) {
        let (shape, points) = match points {
            [first, open @ .., last] if open.len() > 1 && first == last => {
                ("polygon", &points[..points.len() - 1])
            }
            _ => ("polyline", points),
        };
        let (points, stroke) = (self.points(points), paint("stroke", colour));
        let width = number(width);
        self.put(format_args!(
            "<{shape} points=\"{points}\" fill=\"none\" {stroke} stroke-width=\"{width}\""
        ));
        if let Some((dash, gap)) = dash {
            self.put(format_args!(" stroke-dasharray=\"{} {}\"", number(dash), number(gap)));
        }
        self.svg.push_str("/>\n");
    }

    fn words(&mut self, ink: &Ink) {
        let Ink::Words { at, offset, text, size, colour, plate, anchor } = ink else { return };
        let at = self.page(*at) + *offset;
        let text = one_line(text);
        if let Some(plate) = plate {
            self.plate(at, words::width(&text, *size), *size, *anchor, *plate);
        }
        let anchor = match anchor {
            Anchor::Left => "start",
            Anchor::Centre => "middle",
            Anchor::Right => "end",
        };
        let (x, y) = (number(at.x), number(at.y + BASELINE * size));
        let (size, fill, text) = (number(*size), paint("fill", *colour), escaped(&text));
        self.put(format_args!(
            "<text x=\"{x}\" y=\"{y}\" font-size=\"{size}\" text-anchor=\"{anchor}\" {fill}>{text}</text>\n"
        ));
    }

    fn plate(&mut self, at: DVec2, width: f64, size: f64, anchor: Anchor, colour: Colour) {
        let left = match anchor {
            Anchor::Left => at.x,
            Anchor::Centre => at.x - 0.5 * width,
            Anchor::Right => at.x - width,
        };
        let (x, y) = (left - PLATE_PADDING.x, at.y - 0.6 * size - PLATE_PADDING.y);
        let (w, h) = (width + 2.0 * PLATE_PADDING.x, 1.2 * size + 2.0 * PLATE_PADDING.y);
        let [x, y, w, h] = [x, y, w, h].map(number);
        let fill = paint("fill", colour);
        self.put(format_args!(
            "<rect x=\"{x}\" y=\"{y}\" width=\"{w}\" height=\"{h}\" rx=\"2\" {fill}/>\n"
        ));
    }

    fn points(&self, points: &[DVec2]) -> String {
        let pairs = points.iter().map(|&p| {
            let p = self.page(p);
            format!("{},{}", number(p.x), number(p.y))
        });
        pairs.collect::<Vec<_>>().join(" ")
    }

    /// A position in points from the view's upper left corner.
    fn page(&self, at: DVec2) -> DVec2 {
        (at - self.view.min) * self.view.points_per_unit
    }

    fn put(&mut self, text: std::fmt::Arguments<'_>) {
        // Writing to a string cannot fail.
        let _ = self.svg.write_fmt(text);
    }
}

fn about(subject: Subject) -> String {
    match subject {
        Subject::Line(id) => format!("line {id}"),
        Subject::Marker(id) => format!("marker {id}"),
        Subject::Level(id) => format!("level {id}"),
        Subject::Overlap(id) => format!("overlap {id}"),
        Subject::StandIn(id) => format!("stand-in {id}"),
        Subject::Guide(id) => format!("guide {id}"),
    }
}

/// A number to a thousandth of a point, which is less than a hundredth of a pixel at any working
/// width, without trailing zeros; 0 if it is not finite.
fn number(value: f64) -> String {
    let digits = format!("{:.3}", if value.is_finite() { value } else { 0.0 });
    let digits = digits.trim_end_matches('0').trim_end_matches('.');
    if digits == "-0" { "0".into() } else { digits.into() }
}

fn paint(what: &str, colour: Colour) -> String {
    let [r, g, b, a] = colour.0;
    match a {
        0 => format!("{what}=\"none\""),
        255 => format!("{what}=\"#{r:02x}{g:02x}{b:02x}\""),
        _ => {
            let opacity = number(f64::from(a) / 255.0);
            format!("{what}=\"#{r:02x}{g:02x}{b:02x}\" {what}-opacity=\"{opacity}\"")
        }
    }
}

/// Text that stands for itself in XML: on one line, its special characters escaped, and what XML
/// does not allow left out.
fn escaped(text: &str) -> String {
    let mut safe = String::with_capacity(text.len());
    for c in one_line(text).chars() {
        match c {
            '&' => safe.push_str("&amp;"),
            '<' => safe.push_str("&lt;"),
            '>' => safe.push_str("&gt;"),
            '"' => safe.push_str("&quot;"),
            '\'' => safe.push_str("&#39;"),
            '\u{fffe}' | '\u{ffff}' => {}
            _ => safe.push(c),
        }
    }
    safe
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::palette::{PLATE, WHITE};
    use crate::{Emphasis, draw, samples};
    use staffage_scene::MarkerId;

    fn page() -> View {
        View::of_part(DVec2::ZERO, DVec2::new(200.0, 100.0), 1.0)
    }

    fn words(text: &str) -> Ink {
        Ink::Words {
            at: DVec2::new(50.0, 50.0),
            offset: DVec2::new(10.0, 0.0),
            text: text.into(),
            size: 10.0,
            colour: WHITE,
            plate: Some(PLATE),
            anchor: Anchor::Left,
        }
    }

    fn svg_of(ink: Vec<Ink>) -> String {
        let about = Some(Subject::Marker(MarkerId(3)));
        let groups = vec![Group { name: "label", about, ink }];
        to_svg(&Drawing { groups }, &page(), "A page")
    }

    fn texts(svg: &str) -> Vec<String> {
        let document = roxmltree::Document::parse(svg).expect("valid XML");
        let texts = document.descendants().filter(|node| node.has_tag_name("text"));
        texts.map(|node| node.text().unwrap_or_default().to_owned()).collect()
    }

    #[test]
    fn every_group_of_a_scene_is_found_under_its_name() {
        let (scene, assessment) = samples::quay();
        let view = View::of_frame(scene.frame, 1400.0);
        let drawing = draw(&scene, &assessment, &view, &Emphasis::default());
        let svg = to_svg(&drawing, &view, "Quay");
        let document = roxmltree::Document::parse(&svg).expect("valid XML");
        assert_eq!(document.root_element().attribute("version"), Some("1.1"));
        let groups: Vec<_> = document.descendants().filter(|n| n.has_tag_name("g")).collect();
        assert_eq!(groups.len(), drawing.groups.len());
        let ids: HashSet<_> = groups.iter().filter_map(|g| g.attribute("id")).collect();
        assert_eq!(ids.len(), groups.len(), "ids are unique");
        for id in ["horizon", "vanishing-points", "line-line-1", "staff-marker-6"] {
            assert!(ids.contains(id), "{id} in {ids:?}");
        }
        let dam = groups.iter().find(|g| g.attribute("id") == Some("staff-marker-6"));
        assert_eq!(dam.and_then(|g| g.attribute("data-about")), Some("marker 6"));
    }

    #[test]
    fn hostile_names_stay_text() {
        for (name, shown) in [
            ("<script>alert(1)</script>", "<script>alert(1)</script>"),
            ("\"quoted\" & 'so'", "\"quoted\" & 'so'"),
            ("]]> --> &amp; \u{202e}turned", "]]> --> &amp; turned"),
            ("bell\u{7}, nul\0, \u{fffe}end", "bell , nul , end"),
            ("two\nlines\r\n\tof it", "two lines of it"),
        ] {
            assert_eq!(texts(&svg_of(vec![words(name)])), [shown]);
        }
        let svg = to_svg(&Drawing::default(), &page(), "</title><script>");
        let document = roxmltree::Document::parse(&svg).expect("valid XML");
        assert_eq!(
            document.root_element().children().filter(roxmltree::Node::is_element).count(),
            1
        );
    }

    #[test]
    fn a_drawing_in_a_page_has_no_ids_and_says_what_it_shows() {
        let drawing = Drawing {
            groups: vec![Group { name: "label", about: None, ink: vec![words("Foreman")] }],
        };
        let svg = to_inline_svg(&drawing, &page(), "a \"quay\" <b>");
        let document = roxmltree::Document::parse(&svg).expect("valid XML");
        assert_eq!(document.root_element().attribute("aria-label"), Some("a \"quay\" <b>"));
        assert!(document.descendants().all(|node| node.attribute("id").is_none()));
        assert_eq!(texts(&svg), ["Foreman"]);
    }

    #[test]
    fn numbers_are_short_and_finite() {
        for (value, written) in [
            (1.0, "1"),
            (-0.0001, "0"),
            (0.1257, "0.126"),
            (12.5, "12.5"),
            (100.0, "100"),
            (f64::NAN, "0"),
            (f64::NEG_INFINITY, "0"),
        ] {
            assert_eq!(number(value), written);
        }
    }

    #[test]
    fn a_plate_encloses_its_words() {
        let svg = svg_of(vec![words("Foreman")]);
        let document = roxmltree::Document::parse(&svg).expect("valid XML");
        let rect = document.descendants().find(|n| n.has_tag_name("rect")).expect("a plate");
        let attribute = |name| rect.attribute(name).and_then(|v| v.parse::<f64>().ok()).unwrap();
        assert_eq!(attribute("x"), 56.0);
        assert!(attribute("y") < 45.0 && attribute("y") + attribute("height") > 55.0);
        assert!(attribute("width") > 35.0);
    }

    #[test]
    fn a_closed_line_is_a_polygon_and_an_open_one_is_not() {
        let corners = [DVec2::ZERO, DVec2::X, DVec2::Y, DVec2::ZERO];
        let line = |points: &[DVec2]| {
            let points = points.iter().copied().collect();
            svg_of(vec![Ink::Stroke { points, width: 1.0, colour: WHITE, dash: None }])
        };
        assert!(line(&corners).contains("<polygon points=\"0,0 1,0 0,1\""));
        assert!(line(&corners[..3]).contains("<polyline points=\"0,0 1,0 0,1\""));
        assert!(line(&[DVec2::X, DVec2::Y, DVec2::X]).contains("<polyline"), "there and back");
    }

    #[test]
    fn colours_keep_their_opacity() {
        assert_eq!(paint("fill", Colour([230, 159, 0, 255])), "fill=\"#e69f00\"");
        assert_eq!(paint("fill", Colour([0, 0, 0, 51])), "fill=\"#000000\" fill-opacity=\"0.2\"");
        assert_eq!(paint("stroke", Colour([9, 9, 9, 0])), "stroke=\"none\"");
    }
}
