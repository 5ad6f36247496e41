//! The modes, and what the next line, marker, guide or stand-in will be in them.

pub(crate) mod chips;
pub(crate) mod guide_chips;
pub(crate) mod guide_mode;
pub(crate) mod guide_tools;
pub(crate) mod line_mode;
pub(crate) mod look_mode;
pub(crate) mod mark_mode;
pub(crate) mod mode;
pub(crate) mod modes_row;
pub(crate) mod naming;
pub(crate) mod overlap_mode;
pub(crate) mod stand_in_chips;
pub(crate) mod stand_in_mode;
