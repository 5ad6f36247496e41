//! Painting and ink to a layered file, by the rules of `staffage layers`.

use super::level::{ELSEWHERE, ending_with, refused, watch};
use super::options;
use crate::commands::layers::LayeredFile;
use staffage_desk::{HandoverProgress, LayersOrder, Outcome};
use std::fs;

pub(super) fn write(order: &LayersOrder, progress: &HandoverProgress) -> Outcome {
    let LayersOrder { ink, tones, scene_path, to, replace } = order;
    let to = to.as_ref().map(|to| ending_with(to, "ora"));
    let file = LayeredFile::new(scene_path, &ink.scene, None, options(ink), to.as_deref());
    let written = file.map(|file| file.with_tones(*tones)).and_then(|file| {
        file.may_be_written(*replace)?;
        let size = file.write(&ink.scene, ink.units, &mut watch(progress))?;
        Ok((file.target, size))
    });
    match written {
        Ok((target, (width, height))) => {
            let megabytes = fs::metadata(&target).map_or(0.0, |file| file.len() as f64 / 1e6);
            Outcome::Done(format!(
                "Wrote “{}”: {width} × {height} px, {megabytes:.1} MB.",
                target.display()
            ))
        }
        Err(why) => refused(why, ELSEWHERE),
    }
}
