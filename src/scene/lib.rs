//! What the painter has said (the scene), how it is edited and kept, and what follows from it
//! (the assessment). The only bridge from a scene to the maths of `staffage-solver`.
//!
//! Picture coordinates: origin at the frame's centre, u right, v down, unit = one frame width.
//! World: right-handed, Y up, origin on the ground below the eye, -Z straight ahead.
#![deny(missing_docs)]

mod align;
mod alternative;
mod assess;
mod assessment;
mod carry;
mod compare;
mod continuity;
mod drawn_sizes;
mod duplicate;
mod edit;
mod edit_label;
mod entries;
mod evidence;
mod eye_in_hand;
mod file;
mod findings;
mod format;
mod frame_ratios;
mod ghost_words;
mod guide;
mod guide_form;
mod history;
mod ids;
mod length;
mod lens_in_hand;
mod light;
mod marker;
mod mends;
mod overlaps;
mod painting_path;
mod precedence;
mod reframe;
mod replace;
mod scene;
mod shadow;
mod shares;
pub mod shelf;
mod size_book;
mod size_differences;
mod stand_in;
mod stand_in_place;
mod stand_in_reach;
mod taking_in;
mod tidy;
mod unchecked;
mod units;
mod validate;
mod why;
mod wording;
mod world;

pub use align::{aligned, family_of, has_sides, run_at};
pub use alternative::{Alternative, Beginning, Idea};
pub use assess::{assess, assess_in};
pub use assessment::{
    Assessment, Bounds, Entry, EyeReading, FamilyReading, Finding, Lean, LevelReading, LineReading,
    Measure, Standing, Step, Unit, VisibleHorizon,
};
pub use carry::{
    Rooted, Whereabouts, bearing, carried, level_at, movable, movable_stand_in, raised,
    stand_in_carried, stand_in_raised,
};
pub use compare::{Became, Comparison, EyeChange, LedgerChange, Measured, ThingChange, compare};
pub use continuity::{Continuity, Discrepancy, DrawnThing, Member, SharedThing, continuity};
pub use drawn_sizes::{Drawn, DrawnSizes, Identity, drawn_sizes, identities};
pub use duplicate::{duplicated, free_name};
pub use edit::{Edit, EditError, apply};
pub use eye_in_hand::{Pull, pulled};
pub use file::{FileError, autosave, autosave_path, load, plain, previous_path, save};
pub use format::{FORMAT, ParseError, parse, write};
pub use frame_ratios::{ACTION_SAFE, FRAME_RATIOS, FrameRatio, TITLE_SAFE, WORKING_WIDTHS};
pub use ghost_words::{guide_words, stand_in_stance, stand_in_words};
pub use guide::{
    Climb, Division, Flight, Guide, GuideShape, HALVINGS, Plane, Post, Reach, Round, STEPS, Steps,
};
pub use guide_form::{ASSUMED_EYE_HEIGHT, FlightForm, Form, RoundForm, SteppedForm, guide_form};
pub use history::History;
pub use ids::{
    AlternativeId, BlockId, GuideId, InclineId, LevelId, LineId, MarkerId, OverlapId, StandInId,
};
pub use length::{interval, length, measure, metres};
pub use lens_in_hand::with_lens;
pub use light::SUNLIGHT;
pub use marker::{Marker, Span, Stands, Statement};
pub use mends::{Mend, mends};
pub use painting_path::{painting_path, plain_absolute, relative_painting, size_book_path};
pub use reframe::{REFRAMED_WIDTH, Reframing, reframed};
pub use replace::{Output, replace_with};
pub use scene::{
    Above, Block, EyeByHand, Family, Frame, Incline, Intended, Known, Level, Line, Overlap,
    POINTING, Painting, PrincipalPoint, Scene, Segment, Side, Subject,
};
pub use shadow::Astray;
pub use shares::{Evidence, Share, all_evidence, evidence};
pub use size_book::{BookEntry, BookError, BookFileError, SizeBook};
pub use size_differences::SizeDifference;
pub use stand_in::{Arranged, SHOULDERS, Shape, StandIn};
pub use stand_in_place::{
    Placed, Placement, Unplaced, metres_over, place_stand_in, point_on_level, stand_in_heading,
};
pub use stand_in_reach::reach_words;
pub use unchecked::{Suggestion, suggestion};
pub use units::{FOOT, INCH, MILE, Units, YARD};
pub use validate::{
    ANGLE_OF_VIEW, CANT, COUNT, FACTOR, Flaw, HEADING, LENGTH, LIFT, MOST_THINGS,
    PICTURE_COORDINATE, PITCH, POINTING_RANGE, RATIO, REFRACTION, SLOPE, SPREAD, TURN,
    WORKING_WIDTH, WORLD_RADIUS,
};
pub use wording::{
    cant_side, dimension, distance_within, family_name, line_name, percent, pitch_side,
    region_words, size_within, standing_word, subject_name,
};
pub use world::{Curvature, World};
