//! How commands say on standard error what is wrong.

use std::path::Path;

/// Why a file is no scene; a picture is told apart from a scene that was damaged.
pub(super) fn unreadable(path: &Path, why: &str) -> String {
    if staffage_picture::probe(path).is_ok() {
        let path = path.display();
        return format!(
            "“{path}” is a picture, not a scene: open it with `staffage {path}`, trace it and save the scene."
        );
    }
    sentence(why)
}

/// A complaint as a sentence on one line. It may quote a path that a stranger wrote into the scene,
/// so nothing in it may steer a terminal.
pub(super) fn sentence(why: &str) -> String {
    let mut shown = why.chars().filter(|c| !c.is_control());
    let mut sentence: String = shown.next().into_iter().flat_map(char::to_uppercase).collect();
    sentence.extend(shown);
    if !sentence.ends_with('.') {
        sentence.push('.');
    }
    sentence
}
