//! How large the window's contents are drawn.

use crate::remembered::Remembered;
use egui::Context;

/// The rungs, in percent of the size as designed.
const RUNGS: [u16; 13] = [60, 70, 80, 90, 100, 110, 125, 140, 160, 180, 200, 225, 250];

impl Remembered {
    /// The nearest rung; settings may have been written by hand.
    fn rung(&self) -> usize {
        let percent = if self.scale.is_finite() { 100.0 * self.scale } else { 100.0 };
        let off = |rung: u16| (f32::from(rung) - percent).abs();
        (0..RUNGS.len()).min_by(|a, b| off(RUNGS[*a]).total_cmp(&off(RUNGS[*b]))).unwrap_or(0)
    }

    fn scaled(&self) -> f32 {
        f32::from(RUNGS[self.rung()]) / 100.0
    }

    /// Whether there are so many more rungs.
    pub(crate) fn can_scale(&self, rungs: i32) -> bool {
        let last = RUNGS.len() as i32 - 1;
        (0..=last).contains(&(self.rung() as i32 + rungs))
    }

    /// So many rungs larger; as designed if `None`.
    pub(crate) fn scale_by(&mut self, rungs: Option<i32>) {
        match rungs {
            None => self.scale = 1.0,
            Some(rungs) => {
                let at = (self.rung() as i32 + rungs).clamp(0, RUNGS.len() as i32 - 1);
                self.scale = f32::from(RUNGS[at as usize]) / 100.0;
            }
        }
    }

    /// "125 %".
    pub(crate) fn scale_words(&self) -> String {
        format!("{} %", RUNGS[self.rung()])
    }

    /// Has the window drawn so.
    pub(crate) fn follow_scale(&self, ctx: &Context) {
        if ctx.zoom_factor() != self.scaled() {
            ctx.set_zoom_factor(self.scaled());
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_scale_climbs_by_rungs_and_stops_at_both_ends() {
        let mut remembered = Remembered::default();
        remembered.scale_by(Some(1));
        assert_eq!(remembered.scale_words(), "110 %");
        (0..30).for_each(|_| remembered.scale_by(Some(1)));
        assert_eq!(remembered.scale_words(), "250 %");
        assert!(!remembered.can_scale(1));
        (0..30).for_each(|_| remembered.scale_by(Some(-1)));
        assert_eq!((remembered.scale_words(), remembered.can_scale(-1)), ("60 %".into(), false));
        remembered.scale_by(None);
        assert_eq!(remembered.scale, 1.0);
    }

    #[test]
    fn a_scale_that_makes_no_sense_is_brought_to_a_rung() {
        for (scale, words) in
            [(f32::NAN, "100 %"), (900.0, "250 %"), (-3.0, "60 %"), (1.3, "125 %")]
        {
            assert_eq!(Remembered { scale, ..Remembered::default() }.scale_words(), words);
        }
    }
}
