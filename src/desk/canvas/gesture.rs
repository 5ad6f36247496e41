use crate::canvas::hit::Grip;
use crate::canvas::stand_in_hit::Handle;
use crate::eye::eye_pull::Pulling;
use crate::selection::Selection;
use crate::sheets::carrying::Carrying;
use glam::DVec2;
use staffage_scene::{GuideId, LineId, MarkerId, Scene, StandInId};
use std::sync::Arc;

/// What the pointer is in the middle of doing on the canvas.
#[derive(Clone, Debug, Default, PartialEq)]
pub(crate) enum Gesture {
    /// Nothing.
    #[default]
    Idle,
    /// Moving the view.
    Pan,
    /// Turning the view.
    Turn,
    /// Selecting what lies in a band.
    Band {
        /// Where it starts, picture units.
        from: DVec2,
        /// What was selected before.
        before: Selection,
        /// Whether it adds to that.
        adds: bool,
    },
    /// Moving a part of something, or all that is selected.
    Move {
        /// What is held.
        grip: Grip,
        /// Where it was taken hold of, picture units.
        from: DVec2,
        /// The scene before.
        before: Arc<Scene>,
    },
    /// Pulling the horizon or a vanishing point about.
    Pull(Box<Pulling>),
    /// Carrying something about in the section or the plan.
    Carry(Box<Carrying>),
    /// Changing the lens with the wheel.
    Lens {
        /// The focal length that was scrolled to, frame widths.
        focal: f64,
    },
    /// Tracing a line or the horizon.
    Trace {
        /// The new line's id; `None` for the horizon.
        id: Option<LineId>,
        /// Where it starts, picture units.
        from: DVec2,
        /// How its family runs there as far as other lines tell, a unit direction in the picture.
        run: Option<DVec2>,
    },
    /// Drawing a marker from foot to head.
    Raise {
        /// The new marker's id.
        id: MarkerId,
        /// Its foot, picture units.
        foot: DVec2,
    },
    /// Drawing a guide.
    Guide {
        /// The new guide's id.
        id: GuideId,
        /// Where it starts, picture units.
        from: DVec2,
    },
    /// Saying what this marker is in front of.
    Link {
        /// The nearer thing.
        front: MarkerId,
        /// Whether the pointer was pressed on it and is still down.
        dragging: bool,
    },
    /// Setting stand-ins in: a row or a patch from here.
    SetIn {
        /// The new stand-in's id.
        id: StandInId,
        /// Where the pointer was pressed, picture units.
        from: DVec2,
    },
    /// Lifting or turning a stand-in.
    Pose {
        /// Which one.
        id: StandInId,
        /// What the handle does that is held.
        handle: Handle,
        /// Where it was taken hold of, picture units.
        from: DVec2,
        /// The scene before.
        before: Arc<Scene>,
    },
    /// Asking for the point that ties a floating marker to its level.
    Tie {
        /// The marker.
        id: MarkerId,
        /// What the point is to it.
        by: Tie,
    },
}

/// What ties a floating thing to its level.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Tie {
    /// The point of the level plumb below its foot.
    Plumb,
    /// The shadow of its foot.
    Shadow,
}
