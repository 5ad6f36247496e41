//! Works the window as a painter does. One program for all of it, so that it is linked once.

mod alternatives;
mod bodies;
mod book;
mod by_keys;
mod driver;
mod editing;
mod eye_by_hand;
mod furniture;
mod guide_aids;
mod guides;
mod handing;
mod listed;
mod looks;
mod main_job;
mod manners;
mod painting;
mod places;
mod reasons;
mod sheets;
mod snapping;
mod stand_ins;
mod stillness;
mod ties;
mod tones;
mod turned;
mod units;
