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
    let size = view.size();
    let (width, height) = (number(size.x), number(size.y));
    let mut svg = String::with_capacity(256 * drawing.groups.len() + 1024);
    svg.push_str("<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n");
    svg.push_str("<svg xmlns=\"http://www.w3.org/2000/svg\" version=\"1.1\" ");
    svg += &format!("width=\"{width}\" height=\"{height}\" viewBox=\"0 0 {width} {height}\" ");
    svg.push_str("font-family=\"Helvetica, Arial, 'Liberation Sans', sans-serif\" ");
    svg.push_str("stroke-linejoin=\"round\">\n");
    svg += &format!("<title>{}</title>\n", escaped(title));
    let mut writer = Writer { svg, view, ids: HashSet::new() };
    for group in &drawing.groups {
        writer.group(group);
    }
    writer.svg.push_str("</svg>\n");
    writer.svg
}

struct Writer<'a> {
    svg: String,
    view: &'a View,
    ids: HashSet<String>,
}

impl Writer<'_> {
    fn group(&mut self, group: &Group) {
        let about = group.about.map(about);
        let id = match &about {
            Some(about) => self.unique(format!("{}-{}", group.name, about.replace(' ', "-"))),
            None => self.unique(group.name.to_owned()),
        };
        self.put(format_args!("<g id=\"{id}\" data-name=\"{}\"", group.name));
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
    fn unique(&mut self, id: String) -> String {
        let mut candidate = id.clone();
        let mut count = 1;
        while !self.ids.insert(candidate.clone()) {
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
        let (points, stroke) = (self.points(points), paint("stroke", colour));
        let width = number(width);
        self.put(format_args!(
            "<polyline points=\"{points}\" fill=\"none\" {stroke} stroke-width=\"{width}\""
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
    }
}

/// A number to a hundredth of a point, without trailing zeros; 0 if it is not finite.
fn number(value: f64) -> String {
    let digits = format!("{:.2}", if value.is_finite() { value } else { 0.0 });
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
