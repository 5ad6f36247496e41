//! The maths of Staffage: the eye, the geometry of a marker, the ledger. No window, no files, no
//! pixels.
//!
//! # Conventions
//! - **Picture**: origin at the frame's centre, u right, v down, unit = one frame width, so that
//!   nothing moves when a painting is enlarged.
//! - **Camera**: x right, y down, z ahead.
//! - **World**: right-handed, Y up, origin on the ground below the eye, -Z straight ahead (the eye's
//!   own heading is zero; blocks of buildings are turned against it).
//! - **Angles** in radians: pitch up positive, cant positive when the right end of the horizon is up,
//!   headings clockwise from straight ahead when seen from above.
//! - **Lengths** in whatever unit the benchmarks are in; the ledger works in their natural logarithms.
#![deny(missing_docs)]

mod adjust;
mod bent;
mod carry;
mod circle;
mod curvature;
#[cfg(test)]
mod derivative_check;
mod eye;
mod eye_by_hand;
mod eye_descent;
mod eye_evidence;
mod eye_fit;
mod eye_parameters;
mod eye_prior;
mod eye_problem;
mod eye_start;
mod family;
mod figures;
mod homography;
mod ledger;
mod loops;
mod measuring_point;
mod network;
mod order;
mod quantity;
mod ray;
mod rise;
mod round_things;
mod ruled;
mod seen;
mod settle;
mod shadow;
mod shares;
mod sight;
mod snooping;
mod solids;
mod sparse_inverse;
mod stand;
mod stray_lines;
mod studentized;
mod vanishing_region;

pub use adjust::{AdjustError, Adjustment, Difference, RowResult, adjust};
pub use carry::{Carry, Shape, bearing, carried, tie_carried};
pub use circle::{Circle, Ellipse, carried_to};
pub use curvature::{EARTH_RADIUS, REFRACTION, SurfacePoint, World};
pub use eye::{Eye, angle_of_view, focal_of_view};
pub use eye_evidence::{EyeEvidence, FigureLevel, PrincipalPoint, StandingFigure, TracedLine};
pub use eye_fit::{EyeFit, FigureFit, LineFit, fit_eye};
pub use family::{Family, Headings};
pub use homography::Homography;
pub use ledger::{
    Claim, Curvature, Known, Ledger, LedgerInput, LedgerLevel, LedgerMarker, Stand, Stated,
    interval, interval_to_horizon,
};
pub use loops::{Leg, Paths};
pub use measuring_point::measuring_direction;
pub use network::{Datum, Group, Network, Row};
pub use order::{Order, Range, cycles, ranges, within_order};
pub use quantity::{Quantity, Source};
pub use rise::{Rise, rise_per_run};
pub use round_things::{axis_per_outline, ball_run_by_shadow, ball_run_per_clearance};
pub use ruled::{Ruled, nearest_on_line, seen, seen_edge};
pub use shadow::run_by_shadow;
pub use shares::{Shares, VarianceShares};
pub use sight::{
    Fault, LogRatio, Side, Span, elevation, head_at, lean, plumb_direction, run_per_clearance,
    span_per_run,
};
pub use snooping::{
    NOTICEABLE, Rejection, SIGNIFICANT, STRAINED, Snooped, SnoopedNetwork, snoop, snoop_network,
};
pub use solids::{Cylinder, Edge, Pose, Solid, seen_polygon, seen_polyline, seen_segment};
pub use stray_lines::{NOTICEABLE_MISS, ReadEye, Stray, read_eye};
pub use studentized::Studentized;
pub use vanishing_region::VanishingRegion;
