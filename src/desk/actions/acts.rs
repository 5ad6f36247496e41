//! Doing what the painter wants.

use crate::actions::act::{Act, Traced};
use crate::aside;
use crate::canvas::first_steps;
use crate::canvas::gesture::{Gesture, Tie};
use crate::canvas::turning::TurnAct;
use crate::choice::Choice;
use crate::desk::Desk;
use crate::field;
use crate::files;
use crate::modes::mode::Mode;
use crate::modes::naming::Naming;
use crate::painting::Painted;
use crate::panes;
use crate::properties::several;
use crate::properties::tying::sunlight;
use crate::questions::Question;
use crate::selection::Selection;
use crate::sheets::Sheets;
use crate::size_book;
use crate::thing::{Thing, in_order};
use crate::{
    eye::{eye_pull, eye_quantity},
    handover::handing,
    painting::in_step,
};
use egui::Context;
use glam::DVec2;
use staffage_drawing::SafeLines;
use staffage_scene::{
    Block, BlockId, Edit, EditError, Family, Frame, Incline, Plane, Scene, Segment, Span, Subject,
    Units, plain_absolute,
};
use std::path::PathBuf;
use std::sync::Arc;

impl Desk {
    /// Does one thing, or asks first if unsaved changes would be lost.
    pub(crate) fn act(&mut self, ctx: &Context, act: Act) {
        self.told = None;
        match act {
            Act::Open(path) if !path.exists() => self.notice = Some(files::absent(&path)),
            Act::New { .. } | Act::Open(_) | Act::OpenDemo | Act::TakeLeftBehind(_) | Act::Quit
                if self.is_changed() =>
            {
                self.question = Some(Question::Unsaved { then: Box::new(act) });
            }
            act => self.act_at_once(ctx, act),
        }
        self.refresh();
    }

    fn act_at_once(&mut self, ctx: &Context, act: Act) {
        match act {
            Act::Edit(edit) => self.edit(&edit),
            Act::Complete(edit) => self.complete(&edit),
            Act::Preview(edit) => self.preview(&edit),
            Act::Commit => self.history.commit(),
            Act::GiveUp => self.give_up(),
            Act::Undo => self.undo(ctx),
            Act::Redo => self.redo(ctx),
            Act::Select(thing) => self.select(Selection::from(thing)),
            Act::SelectToo(thing) => self.select_too(thing),
            Act::SelectDrawn(thing) => self.select(Selection::just_drawn(thing)),
            Act::SelectAll => self.select(several::everything(self.scene())),
            Act::Duplicate => several::duplicate(self),
            Act::Align => several::align(self),
            Act::Centre(thing) => self.centre(thing),
            Act::Step { back } => self.step(back),
            Act::DeleteSelected => self.delete_selected(),
            Act::Nudge { right, down, again } => self.nudge(right, down, again),
            Act::Cross(act) => self.cross(act),
            Act::Alternative(act) => self.alternative_act(act),
            Act::SetMode(mode) => self.set_mode(mode),
            Act::Trace(traced) => self.trace(traced),
            Act::NextBlock => self.next_block(),
            Act::AddBlock => self.add_block(),
            Act::AddIncline => self.add_incline(),
            Act::AddLight => self.add_light(),
            Act::Run(span) => self.run(span),
            Act::StandOn(level) => self.tools.level = Some(level),
            Act::SetIn(to) => self.set_in(to),
            Act::AskName(thing) => self.ask_name(ctx, thing),
            Act::AskTie(by) => self.ask_tie(by),
            Act::Involve(subjects) => self.involved = subjects.into_iter().collect(),
            Act::Guide(act) => self.guide_act(act),
            Act::Fit => self.fit(),
            Act::Turn(act) => self.turn(act),
            Act::ActualSize => self.show_actual_size(ctx),
            Act::Zoom(factor) => self.zoom(factor),
            Act::Look(act) => self.look(act),
            Act::ToggleInk => self.remembered.ink ^= true,
            Act::ToggleSection => self.remembered.section ^= true,
            Act::ShowSheets(sheets) => self.show_sheets(sheets),
            Act::NextSheets => self.show_sheets(self.remembered.sheets.next()),
            Act::ToggleLinear => {
                self.remembered.linear ^= true;
                self.on_sheets.fit();
            }
            Act::ToggleSpread => self.remembered.spread ^= true,
            Act::ToggleSnap => self.remembered.snap ^= true,
            Act::ToggleLoupe => self.remembered.loupe ^= true,
            Act::ToggleSmooth => self.toggle_smooth(),
            Act::NextSafeLines => self.next_safe_lines(),
            Act::SetSafeLines(name) => self.remembered.safe = name,
            Act::Say(words) => self.told = Some(words),
            Act::NextPane { back } => panes::step(self, ctx, back),
            Act::OpenDemo => {
                if let Some(demo) = self.demo.clone() {
                    files::open_scene(self, ctx, demo, files::Opening::Copy);
                }
            }
            Act::TellIn(units) => self.tell_in(units),
            Act::SetTheme(theme) => self.remembered.theme = theme,
            Act::ToggleActions => self.toggle_actions(),
            Act::ToggleEye => self.eye_toggled = true,
            Act::Find => self.ask_find(),
            Act::GoTo(thing) => self.go_to(thing),
            Act::Fold(part) => self.remembered.parts.toggle(part),
            Act::Scale(rungs) => self.remembered.scale_by(rungs),
            Act::ToggleHint => first_steps::toggle(self),
            Act::ToggleCaution => self.caution_shown ^= true,
            Act::DismissNotice => self.notice = None,
            Act::DismissBeside => self.beside = None,
            Act::AskNewFrame => self.question = Some(Question::new_frame(self.scene().frame)),
            Act::New { ratio, width } => {
                files::new_scene(self, Frame { ratio, working_width: width });
            }
            Act::Choose(choice) => self.choice = Some(choice),
            Act::Chosen(choice, path) => files::take_choice(self, ctx, &choice, path, None),
            Act::Open(path) => files::open(self, ctx, path),
            Act::SetPainting(path) => in_step::choose(self, ctx, path),
            Act::SetSizeBook(path) => self.set_size_book(path),
            Act::Book(act) => size_book::act(self, ctx, act),
            Act::Hand(act) => handing::act(self, act),
            Act::RemovePainting => self.remove_painting(),
            Act::Reload => in_step::load(self, ctx),
            Act::Reframe(act) => self.reframe(act),
            Act::Save => files::save(self, ctx),
            Act::AskSaveAs => {
                self.choice = Some(Choice::SaveScene { suggested: files::suggested_path(self) });
            }
            Act::SaveAs(path) => files::save_as(self, ctx, path),
            Act::Stop => self.stop_work(),
            Act::Quit => self.quit(ctx),
            Act::Stay => self.stay(),
            Act::StayWithSaved => self.stay_with_saved(),
            Act::Recover(path) => files::open_scene(self, ctx, path, files::Opening::Recovered),
            Act::LeaveBehind => self.left_behind = None,
            Act::TakeLeftBehind(place) => {
                self.left_behind = None;
                files::open_scene(self, ctx, place, files::Opening::LeftBehind);
            }
            Act::ThrowAway(place) => aside::throw_away(self, &place),
            Act::WithoutSaving(act) => {
                self.question = None;
                aside::forget(self);
                self.act_at_once(ctx, *act);
            }
            Act::SaveThen(act) => {
                self.question = None;
                self.after_save = Some(*act);
                files::save(self, ctx);
            }
        }
    }

    fn show_sheets(&mut self, sheets: Sheets) {
        (self.remembered.section, self.remembered.sheets) = (true, sheets);
    }

    fn stay(&mut self) {
        self.question = None;
        self.after_save = None;
    }

    fn stay_with_saved(&mut self) {
        self.stay();
        self.autosaved = Some(Arc::clone(self.history.present()));
    }

    /// Makes an edit as one step, or says why it cannot be made.
    pub(crate) fn edit(&mut self, edit: &Edit) {
        let made = self.history.apply(edit);
        self.tell(made);
    }

    /// The last step and this edit as one step: the edit holds all that the last step made.
    fn complete(&mut self, edit: &Edit) {
        self.history.undo();
        let made = self.history.apply(edit);
        if made.is_err() {
            self.history.redo();
        }
        self.tell(made);
    }

    fn preview(&mut self, edit: &Edit) {
        let made = self.history.preview(edit);
        self.tell(made);
    }

    fn tell(&mut self, made: Result<(), EditError>) {
        match made {
            // Work on this scene has begun: the one beside the picture is not meant.
            Ok(()) => self.beside = None,
            Err(error) => self.notice = Some(sentence(&error.to_string())),
        }
    }

    pub(crate) fn give_up(&mut self) {
        self.history.cancel();
        if let Gesture::Band { before, .. } = std::mem::take(&mut self.gesture) {
            self.selection = before;
        }
    }

    fn undo(&mut self, ctx: &Context) {
        self.naming = None;
        self.renaming = None;
        self.gesture = Gesture::Idle;
        let before = Arc::clone(self.history.present());
        self.history.undo();
        self.after_time_travel(ctx, &before);
    }

    fn redo(&mut self, ctx: &Context) {
        self.naming = None;
        self.renaming = None;
        let before = Arc::clone(self.history.present());
        self.history.redo();
        self.after_time_travel(ctx, &before);
    }

    /// The painting shown must be the one that the scene now names.
    fn after_time_travel(&mut self, ctx: &Context, before: &Scene) {
        let path = |scene: &Scene| scene.painting.as_ref().map(|p| p.path.clone());
        if path(before) != path(self.scene()) {
            in_step::load(self, ctx);
        }
        self.keep_tools_valid();
    }

    /// Tools must not point at blocks or levels that are gone.
    pub(crate) fn keep_tools_valid(&mut self) {
        let scene = Arc::clone(self.history.present());
        if scene.block(self.tools.block).is_none() {
            self.tools.block = scene.blocks.first().map_or(BlockId(1), |b| b.id);
        }
        if let Traced::Family(family) = self.tools.traced
            && !has_family(&scene, family)
        {
            self.tools.traced = Traced::Family(Family::Upright);
        }
        if !has_family(&scene, self.tools.guide.along) {
            self.tools.guide.along = Family::RecedingRight(self.tools.block);
        }
        if let Plane::Upright(family) = self.tools.guide.plane
            && !has_family(&scene, family)
        {
            self.tools.guide.plane = Plane::Level;
        }
        if self.tools.guide.grid.is_none_or(|l| scene.level(l).is_none()) {
            self.tools.guide.grid = scene.levels.first().map(|l| l.id);
        }
        if self.tools.level.is_none_or(|l| scene.level(l).is_none()) {
            self.tools.level = scene.levels.first().map(|l| l.id);
        }
    }

    pub(crate) fn select(&mut self, selection: Selection) {
        self.selection = selection;
        self.involved.clear();
    }

    fn select_too(&mut self, thing: Thing) {
        self.selection.toggle(thing);
        self.involved.clear();
    }

    fn centre(&mut self, thing: Thing) {
        self.select(Selection::only(thing));
        if let Some(Segment(a, b)) = crate::canvas::hit::segment(self.scene(), thing) {
            self.view.centre = (a + b) / 2.0;
        }
    }

    fn step(&mut self, back: bool) {
        let things = in_order(self.scene(), self.assessment());
        if things.is_empty() {
            return;
        }
        let at = self.selected().and_then(|s| things.iter().position(|t| *t == s));
        let next = match (at, back) {
            (None, false) => 0,
            (None, true) => things.len() - 1,
            (Some(at), false) => (at + 1) % things.len(),
            (Some(at), true) => (at + things.len() - 1) % things.len(),
        };
        self.select(Selection::only(things[next]));
        self.bring_into_sight(things[next]);
    }

    fn go_to(&mut self, thing: Thing) {
        self.select(crate::selection::Selection::only(thing));
        self.bring_into_sight(thing);
    }

    fn bring_into_sight(&mut self, thing: Thing) {
        let Some(Segment(a, b)) = crate::canvas::hit::segment(self.scene(), thing) else { return };
        let middle = (a + b) / 2.0;
        if !self.canvas.shrink(20.0).contains(self.view.to_screen(self.canvas, middle)) {
            self.view.centre = middle;
        }
    }

    fn delete_selected(&mut self) {
        self.naming = None;
        let edit = match self.selection.single() {
            Some(thing) if thing.is_of_eye() => eye_quantity::let_go(self, thing),
            _ => several::deleted(self.scene(), &self.selection),
        };
        if let Some(edit) = edit {
            self.edit(&edit);
            self.keep_tools_valid();
        }
    }

    fn nudge(&mut self, right: f64, down: f64, again: bool) {
        let pixel = 1.0 / f64::from(self.scene().frame.working_width);
        let by = self.on_screen(right * pixel, down * pixel);
        let edit = match self.selection.single() {
            Some(thing) if thing.is_of_eye() => eye_pull::nudged(self, thing, by),
            _ => several::moved_together(self.scene(), &self.selection, by),
        };
        let Some(edit) = edit else { return };
        let goes_on =
            again && self.nudged.as_ref().is_some_and(|n| Arc::ptr_eq(n, self.history.present()));
        if goes_on {
            self.complete(&edit);
        } else {
            self.edit(&edit);
        }
        self.nudged = Some(Arc::clone(self.history.present()));
    }

    /// So much to the right and down on the screen, as a displacement in the picture of the same length
    /// there: the arrow keys point where they point on the screen.
    fn on_screen(&self, right: f64, down: f64) -> DVec2 {
        let thing = self.selection.single();
        let held = thing.and_then(|thing| crate::canvas::hit::segment(self.scene(), thing));
        self.view.nudge(held.map_or(self.view.centre, |s| s.0), DVec2::new(right, down))
    }

    pub(crate) fn set_mode(&mut self, mode: Mode) {
        self.give_up();
        self.naming = None;
        self.mode = mode;
        if mode == Mode::Look {
            self.crosshair = None;
        } else if self.selection.iter().any(Thing::is_of_eye) {
            // Else the arrows, which walk the crosshair now, would turn the eye.
            self.selection = Selection::default();
        }
    }

    fn trace(&mut self, traced: Traced) {
        self.set_mode(Mode::Line);
        self.tools.traced = traced;
        if let Traced::Family(Family::RecedingLeft(block) | Family::RecedingRight(block)) = traced {
            self.tools.block = block;
        }
    }

    fn run(&mut self, span: Span) {
        self.tools.span = span;
        if let Span::Along(Family::RecedingLeft(block) | Family::RecedingRight(block)) = span {
            self.tools.block = block;
        }
    }

    fn next_block(&mut self) {
        let blocks = &self.scene().blocks;
        let at = blocks.iter().position(|b| b.id == self.tools.block);
        let Some(next) = blocks.get(at.map_or(0, |at| (at + 1) % blocks.len())).map(|b| b.id)
        else {
            return;
        };
        match self.mode {
            Mode::Mark => self.run(along_block(self.tools.span, next)),
            Mode::Guide => {
                self.tools.block = next;
                self.tools.guide.turn(next);
            }
            Mode::Look | Mode::Line | Mode::Overlap | Mode::StandIn => {
                self.trace(in_block(self.tools.traced, next));
            }
        }
    }

    fn add_block(&mut self) {
        let id = self.scene().next_block_id();
        let name = format!("block {id}");
        self.edit(&Edit::PutBlock(Block { id, name, heading: None }));
        if self.scene().block(id).is_some() {
            self.trace(in_block(self.tools.traced, id));
        }
    }

    fn add_incline(&mut self) {
        let id = self.scene().next_incline_id();
        self.put_incline(Incline::new(id, format!("incline {id}")));
    }

    fn add_light(&mut self) {
        self.put_incline(sunlight(self.scene()));
    }

    fn put_incline(&mut self, incline: Incline) {
        let id = incline.id;
        self.edit(&Edit::PutIncline(incline));
        if self.scene().incline(id).is_some() {
            self.trace(Traced::Family(Family::Incline(id)));
        }
    }

    /// Lets a name be typed: on a marker's card, else in the properties.
    fn ask_name(&mut self, ctx: &Context, thing: Thing) {
        self.select(Selection::only(thing));
        if let Thing::Of(Subject::Marker(id)) = thing
            && let Some(marker) = self.scene().marker(id)
        {
            self.naming = Some(Naming::of(id, marker.span));
        } else {
            self.remembered.parts.selected = true;
            field::ask_name(ctx);
        }
    }

    fn ask_tie(&mut self, by: Tie) {
        if let Some(Thing::Of(Subject::Marker(id))) = self.selected() {
            self.naming = None;
            self.gesture = Gesture::Tie { id, by };
        }
    }

    fn fit(&mut self) {
        self.turn(TurnAct::Back);
        self.fit_wanted = true;
    }

    fn show_actual_size(&mut self, ctx: &Context) {
        let width = self.scene().frame.working_width;
        self.view = self.view.actual_size(width, ctx.pixels_per_point());
    }

    fn zoom(&mut self, factor: f64) {
        self.view = self.view.zoomed(self.canvas, self.canvas.center(), factor);
    }

    fn set_size_book(&mut self, path: Option<PathBuf>) {
        let path = path.map(|path| plain_absolute(&path).unwrap_or(path));
        self.edit(&Edit::SetSizeBook(path));
    }

    fn remove_painting(&mut self) {
        self.edit(&Edit::SetPainting(None));
        self.painting = Painted::Blank;
    }

    fn quit(&mut self, ctx: &Context) {
        self.may_close = true;
        ctx.send_viewport_cmd(egui::ViewportCommand::Close);
    }

    fn tell_in(&mut self, units: Units) {
        self.remembered.units = units;
        // The same scene is now told otherwise, on every sheet.
        (self.drawn, self.nodes, self.preview) = (None, None, None);
        (self.on_sheets.section, self.on_sheets.plan) = (None, None);
        handing::start_afresh(self);
    }

    fn toggle_smooth(&mut self) {
        self.remembered.smooth ^= true;
        if let Painted::There(tiles) = &mut self.painting {
            tiles.set_smooth(self.remembered.smooth);
        }
    }

    fn next_safe_lines(&mut self) {
        let lines = SafeLines::within(self.scene().frame);
        let at = lines.iter().position(|l| l.name() == self.remembered.safe);
        let next = lines.get(at.map_or(0, |at| at + 1)).map(SafeLines::name);
        self.remembered.safe = next.unwrap_or_default().to_owned();
        self.told = Some(match next {
            Some(name) => format!("Safe lines: {name}. X shows the next."),
            None => "No safe lines are shown.".into(),
        });
    }

    /// The safe lines that are shown, if they are of any use in this frame.
    pub(crate) fn safe_lines(&self) -> Option<SafeLines> {
        let lines = SafeLines::within(self.scene().frame);
        lines.into_iter().find(|l| l.name() == self.remembered.safe)
    }

    fn stop_work(&mut self) {
        self.worker.stop();
        if matches!(self.painting, Painted::Loading) {
            self.painting =
                Painted::Missing("The painting was not loaded: loading was stopped.".into());
        }
    }
}

/// The same kind of line in another block; a line that is in no block becomes one that recedes right.
fn in_block(traced: Traced, block: BlockId) -> Traced {
    Traced::Family(match traced {
        Traced::Family(Family::RecedingLeft(_)) => Family::RecedingLeft(block),
        _ => Family::RecedingRight(block),
    })
}

/// The same way to run along another block; one that is along no block becomes receding right.
pub(crate) fn along_block(span: Span, block: BlockId) -> Span {
    Span::Along(match span {
        Span::Along(Family::RecedingLeft(_)) => Family::RecedingLeft(block),
        _ => Family::RecedingRight(block),
    })
}

fn has_family(scene: &Scene, family: Family) -> bool {
    match family {
        Family::Upright => true,
        Family::RecedingLeft(b) | Family::RecedingRight(b) => scene.block(b).is_some(),
        Family::Incline(i) | Family::Run(i) => scene.incline(i).is_some(),
    }
}

/// Words as a sentence: a capital at the start, a full stop at the end.
pub(crate) fn sentence(words: &str) -> String {
    let mut letters = words.chars();
    let first = letters.next().map(|c| c.to_uppercase().to_string()).unwrap_or_default();
    let stop = if words.ends_with(['.', '!', '?']) { "" } else { "." };
    format!("{first}{}{stop}", letters.as_str())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_become_a_sentence() {
        assert_eq!(sentence("there is no line 3 to remove"), "There is no line 3 to remove.");
        assert_eq!(sentence("Done."), "Done.");
    }

    #[test]
    fn an_upright_taken_to_another_block_recedes_right_in_it() {
        let upright = Traced::Family(Family::Upright);
        assert_eq!(
            in_block(upright, BlockId(2)),
            Traced::Family(Family::RecedingRight(BlockId(2)))
        );
    }
}
