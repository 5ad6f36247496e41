//! The note that asks how a painting of another shape lies over the old frame.

use crate::actions::act::Act;
use crate::canvas::canvas_notes::note;
use crate::choice::Choice;
use crate::desk::Desk;
use crate::field;
use crate::painting::frame_of;
use crate::painting::reframe::{Asked, Edge, Found, Place, ReframeAct, Way};
use crate::typed;
use egui::{RichText, Ui};
use staffage_scene::Frame;

/// The question, or a way back to it where the painting was left as it is.
pub(crate) fn show(desk: &Desk, ui: &mut Ui, acts: &mut Vec<Act>) {
    let frame = desk.scene().frame;
    if let Some(asked) = desk.asked_frame() {
        let plate = egui::Frame::popup(ui.style()).inner_margin(egui::Margin::symmetric(12, 8));
        plate.show(ui, |ui| question(ui, asked, frame, acts));
    } else if let Some(size) = desk.painting.misfit(desk.scene()) {
        let sentence = format!("{} It is shown at the frame’s width.", shapes(size, frame));
        let other = ("Choose another painting…", Act::Choose(Choice::Painting));
        note(ui, &sentence, [("Fit it…", Act::Reframe(ReframeAct::Ask)), other], acts);
    }
}

fn shapes(size: (u32, u32), frame: Frame) -> String {
    let now = frame_of(size).ratio;
    format!("The painting is {now:.2} : 1 and the frame {:.2} : 1.", frame.ratio)
}

fn question(ui: &mut Ui, asked: &Asked, frame: Frame, acts: &mut Vec<Act>) {
    ui.label(format!("{} What happened to it?", shapes(asked.size, frame)));
    ui.horizontal(|ui| {
        for (way, word, tip) in [
            (Way::Cropped, "Cropped or extended", "Parts were cut off, or canvas was added"),
            (Way::Stretched, "Stretched", "All of it was pulled into another shape"),
        ] {
            if ui.radio(asked.way == way, word).on_hover_text(tip).clicked() {
                acts.push(Act::Reframe(ReframeAct::Say(way)));
            }
        }
    });
    match asked.way {
        Way::Cropped => cropped(ui, asked, &mut |act| acts.push(Act::Reframe(act))),
        Way::Stretched => {
            ui.weak(stretched_words(asked.size, frame));
        }
    }
    ui.horizontal(|ui| {
        let tip = "Everything moves along; undo takes it back (Enter)";
        if ui.button("Take the new frame").on_hover_text(tip).clicked() {
            acts.push(Act::Reframe(ReframeAct::Take));
        }
        let tip = "Nothing moves; the question can be taken up again (Esc)";
        if ui.button("Leave it").on_hover_text(tip).clicked() {
            acts.push(Act::Reframe(ReframeAct::Leave));
        }
        if ui.button("It is another painting…").clicked() {
            acts.push(Act::Choose(Choice::Painting));
        }
    });
}

fn cropped(ui: &mut Ui, asked: &Asked, say: &mut impl FnMut(ReframeAct)) {
    ui.weak(found_words(asked.found));
    let Place { corner, scale } = asked.place;
    ui.horizontal(|ui| {
        ui.weak("its corner");
        for (axis, name, word) in
            [(0, "Old frame from the left", "px right"), (1, "Old frame from the top", "px down")]
        {
            let shown = format!("{:.1}", corner[axis]).replace(".0", "");
            let wanted = "pixels of the painting, such as -120";
            if let Some(pixels) = field::parsed(ui, name, name, &shown, 52.0, wanted, pixels) {
                let mut corner = corner;
                corner[axis] = pixels;
                say(ReframeAct::Put(Place { corner, scale }));
            }
            ui.weak(word);
        }
        let shown = format!("{:.2} %", 100.0 * scale).replace(".00", "");
        let name = "Old frame scaled to";
        let wanted = "how large the old painting is now, such as 50 %";
        if let Some(scale) = field::parsed(ui, name, name, &shown, 68.0, wanted, percent) {
            say(ReframeAct::Put(Place { corner, scale }));
        }
    });
    ui.horizontal(|ui| {
        ui.weak("line up at the");
        for (edge, word) in [
            (Edge::Left, "left"),
            (Edge::Right, "right"),
            (Edge::Top, "top"),
            (Edge::Bottom, "bottom"),
            (Edge::Middle, "middle"),
        ] {
            if ui.small_button(word).clicked() {
                say(ReframeAct::LineUp(edge));
            }
        }
    });
}

fn found_words(found: Found) -> RichText {
    RichText::new(match found {
        Found::Looking => "The old frame is being looked for in it…".to_owned(),
        Found::There(alike) => format!(
            "The old frame was found in it: {:.0} % alike. Drag its outline to correct that.",
            100.0 * alike
        ),
        Found::Nowhere => {
            "Where the old frame lies in it is not known: drag its outline into place.".to_owned()
        }
        Found::ByHand => "The old frame lies where you put it.".to_owned(),
    })
}

fn stretched_words(size: (u32, u32), frame: Frame) -> String {
    let times = frame_of(size).ratio / frame.ratio;
    let percent = 100.0 * (times.max(1.0 / times) - 1.0);
    format!(
        "Everything keeps its share of width and height. No lens sees so: widths and heights are {percent:.0} % out of \
         step, and distances and sizes wrong by up to as much."
    )
}

fn pixels(text: &str) -> Option<f64> {
    let number = text.trim().trim_end_matches("px").trim().replace(['−', '–'], "-").parse().ok()?;
    (-1e6..=1e6).contains(&number).then_some(number)
}

fn percent(text: &str) -> Option<f64> {
    typed::factor(text.trim().trim_end_matches('%').trim()).map(|percent| percent / 100.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn pixels_and_percent_are_read_as_typed() {
        assert_eq!(pixels("−120 px"), Some(-120.0));
        assert_eq!(pixels("12.5"), Some(12.5));
        assert_eq!(pixels("wide"), None);
        assert_eq!(percent("50 %"), Some(0.5));
        assert_eq!(percent("0"), None);
    }

    #[test]
    fn a_stretch_says_by_how_much() {
        let words = stretched_words((400, 400), Frame { ratio: 1.25, working_width: 400 });
        assert!(words.contains("25 %"), "{words}");
    }
}
