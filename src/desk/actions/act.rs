use crate::alternatives::AlternativeAct;
use crate::canvas::crosshair::CrossAct;
use crate::canvas::gesture::Tie;
use crate::canvas::turning::TurnAct;
use crate::choice::Choice;
use crate::handover::handing::HandAct;
use crate::modes::guide_tools::GuideAct;
use crate::modes::mode::Mode;
use crate::modes::stand_in_mode::SetIn;
use crate::painting::reframe::ReframeAct;
use crate::painting::tone_view::LookAct;
use crate::sheets::Sheets;
use crate::side::Part;
use crate::size_book::BookAct;
use crate::thing::Thing;
use staffage_scene::{Edit, Family, LevelId, Span, Subject, Units};
use std::path::PathBuf;

/// Something the painter wants. The furniture only says so; the desk does it after the frame's
/// last widget, so that nothing changes under a widget's feet.
#[derive(Clone, Debug, PartialEq)]
pub(crate) enum Act {
    /// Make an edit as one undo step.
    Edit(Edit),
    /// Make an edit part of the step before it.
    Complete(Edit),
    /// Show an edit as part of a gesture.
    Preview(Edit),
    /// The gesture is done: what was previewed last becomes one undo step.
    Commit,
    /// Give the gesture up.
    GiveUp,
    /// Undo the last step.
    Undo,
    /// Make the last undone step again.
    Redo,
    /// Select this and nothing else.
    Select(Option<Thing>),
    /// Select this, too, or no longer.
    SelectToo(Thing),
    /// Select what was drawn just now.
    SelectDrawn(Thing),
    /// Select all markers and lines.
    SelectAll,
    /// Copy what is selected, a little aside.
    Duplicate,
    /// Turn what is selected so that it runs exactly as its family does.
    Align,
    /// Bring this into the middle of the canvas.
    Centre(Thing),
    /// Select the next thing (or the one before) and bring it into sight.
    Step {
        /// Whether the one before is meant.
        back: bool,
    },
    /// Delete what is selected.
    DeleteSelected,
    /// Move what is selected by so many picture pixels.
    Nudge {
        /// To the right.
        right: f64,
        /// Down.
        down: f64,
        /// Whether the key is held down, so that it goes on with the step before.
        again: bool,
    },
    /// Do something with the crosshair.
    Cross(CrossAct),
    /// Something about alternatives.
    Alternative(AlternativeAct),
    /// Change what gestures do.
    SetMode(Mode),
    /// Choose what the next line is.
    Trace(Traced),
    /// Trace lines of the next block, or mark along it, around again after the last.
    NextBlock,
    /// Add a block and trace its lines.
    AddBlock,
    /// Add an incline and trace its lines.
    AddIncline,
    /// Add the light and trace its rays.
    AddLight,
    /// Choose how the next marker runs.
    Run(Span),
    /// Choose what the next marker stands on.
    StandOn(LevelId),
    /// Let this be named.
    AskName(Thing),
    /// Choose what the next stand-in is, and how many.
    SetIn(SetIn),
    /// Ask for the point that ties a marker to its level with the next click.
    AskTie(Tie),
    /// Show the whole frame as it is painted.
    Fit,
    /// Show one picture pixel on one screen pixel.
    ActualSize,
    /// Enlarge by a factor about the middle of the canvas.
    Zoom(f64),
    /// Something about guides.
    Guide(GuideAct),
    /// Turn the view.
    Turn(TurnAct),
    /// Look at the painting in another way.
    Look(LookAct),
    /// Show or hide all that is drawn over the painting.
    ToggleInk,
    /// Show or hide the section and the plan.
    ToggleSection,
    /// Show the section, the plan or both.
    ShowSheets(Sheets),
    /// Show the next of these.
    NextSheets,
    /// Let their distances run logarithmically or evenly.
    ToggleLinear,
    /// Show enlarged pixels smoothed or as squares.
    ToggleSmooth,
    /// Let ends catch at plumb, families and other ends, or not.
    ToggleSnap,
    /// Show or hide the loupe while something is placed.
    ToggleLoupe,
    /// Show or hide how far every vanishing point can be trusted.
    ToggleSpread,
    /// Show the next safe lines, none after the last.
    NextSafeLines,
    /// Show the safe lines of this name; none for an empty one.
    SetSafeLines(String),
    /// Say something under the canvas.
    Say(String),
    /// Give the keys to the next part of the window, or the one before.
    NextPane { back: bool },
    /// Open the demo scene as a copy.
    OpenDemo,
    /// Tell lengths in these units.
    TellIn(Units),
    /// Choose the window's brightness.
    SetTheme(egui::ThemePreference),
    /// Ask for the size of a new blank frame.
    AskNewFrame,
    /// Start a new scene.
    New {
        /// Width over height.
        ratio: f64,
        /// Working width, pixels.
        width: u32,
    },
    /// Have a file chosen.
    Choose(Choice),
    /// The path of a file was typed.
    Chosen(Choice, PathBuf),
    /// Open a scene or a picture.
    Open(PathBuf),
    /// Take this picture as the scene's painting.
    SetPainting(PathBuf),
    /// Take this file as the scene's size book, or put the book away.
    SetSizeBook(Option<PathBuf>),
    /// Something about the size book.
    Book(BookAct),
    /// Something about what is handed over.
    Hand(HandAct),
    /// Take the painting away.
    RemovePainting,
    /// Read the painting's file again.
    Reload,
    /// Something about how a painting of another shape lies over the old frame.
    Reframe(ReframeAct),
    /// Save where the scene was opened from, or have a place chosen.
    Save,
    /// Have a place to save chosen.
    AskSaveAs,
    /// Do this although unsaved changes are lost.
    WithoutSaving(Box<Act>),
    /// Save, and then do this.
    SaveThen(Box<Act>),
    /// Answer the question that is asked with nothing.
    Stay,
    /// Stay with what was saved: later work beside it goes when the scene does.
    StayWithSaved,
    /// Open the work that was put aside beside this scene.
    Recover(PathBuf),
    /// Open the work that was put aside here and has no file.
    TakeLeftBehind(PathBuf),
    /// Leave it for another day.
    LeaveBehind,
    /// Delete that work.
    ThrowAway(PathBuf),
    /// Save here from now on.
    SaveAs(PathBuf),
    /// Stop what is being loaded.
    Stop,
    /// Close the window.
    Quit,
    /// Show or hide the list of all actions.
    ToggleActions,
    /// Open or close the panel of the eye.
    ToggleEye,
    /// Find things by name.
    Find,
    /// Select this and bring it into view.
    GoTo(Thing),
    /// Fold a part of the right wall, or unfold it.
    Fold(Part),
    /// Draw the window's contents larger or smaller by so many rungs; as designed if `None`.
    Scale(Option<i32>),
    /// Show or hide what to do first.
    ToggleHint,
    /// Show or hide the words of caution.
    ToggleCaution,
    /// Forget the sentence about what went wrong.
    DismissNotice,
    /// Stay with the new scene although there is one beside its picture.
    DismissBeside,
    /// Light up what a finding involves.
    Involve(Vec<Subject>),
}

/// What the next line is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Traced {
    /// A line of a family.
    Family(Family),
    /// The horizon.
    Horizon,
}
