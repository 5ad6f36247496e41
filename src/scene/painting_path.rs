//! A scene names its painting and its size book relative to its own folder, so that all can move
//! together.

use crate::Scene;
use std::io;
use std::path::{Component, Path, PathBuf};

/// Where the scene's painting is, given where the scene is; `None` for a blank frame.
#[must_use]
pub fn painting_path(scene_path: &Path, scene: &Scene) -> Option<PathBuf> {
    let painting = scene.painting.as_ref()?;
    Some(scene_path.parent().unwrap_or(Path::new("")).join(&painting.path))
}

/// Where the scene's size book is, given where the scene is; `None` when it names none.
#[must_use]
pub fn size_book_path(scene_path: &Path, scene: &Scene) -> Option<PathBuf> {
    let book = scene.size_book.as_ref()?;
    Some(scene_path.parent().unwrap_or(Path::new("")).join(book))
}

/// What a scene at `scene_path` should call a picture: relative to the scene's folder, with `/`
/// between the parts on every system; absolute only where no relative path leads there.
///
/// # Errors
/// When a path is empty or the working folder is unknown.
pub fn relative_painting(scene_path: &Path, picture: &Path) -> io::Result<PathBuf> {
    let folder = plain_absolute(scene_path.parent().unwrap_or(Path::new("")))?;
    let picture = plain_absolute(picture)?;
    let (from, to): (Vec<_>, Vec<_>) =
        (folder.components().collect(), picture.components().collect());
    let shared = from.iter().zip(&to).take_while(|(a, b)| a == b).count();
    if shared == 0 {
        return Ok(picture);
    }
    let up = std::iter::repeat_n("..".as_ref(), from.len() - shared);
    let down = to[shared..].iter().map(|part| part.as_os_str());
    let parts: Vec<_> = up.chain(down).collect();
    Ok(parts.join("/".as_ref()).into())
}

/// The path from the root without `.` and `..`. Links are not resolved: the painter's own name for
/// a folder is kept.
///
/// # Errors
/// When the working folder is unknown.
pub fn plain_absolute(path: &Path) -> io::Result<PathBuf> {
    let path = if path.as_os_str().is_empty() { Path::new(".") } else { path };
    let mut plain = PathBuf::new();
    for part in std::path::absolute(path)?.components() {
        match part {
            Component::CurDir => {}
            Component::ParentDir => {
                plain.pop();
            }
            part => plain.push(part),
        }
    }
    Ok(plain)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Painting;

    fn with_painting(path: &str) -> Scene {
        let painting = Some(Painting { path: path.into(), size: (2300, 979) });
        Scene { painting, ..Scene::default() }
    }

    #[test]
    fn a_painting_is_found_from_the_folder_of_the_scene() {
        let scene = with_painting("paint/quay.png");
        let found = painting_path(Path::new("work/quay.ron"), &scene);
        assert_eq!(found.unwrap(), Path::new("work/paint/quay.png"));
        let found = painting_path(Path::new("quay.ron"), &scene);
        assert_eq!(found.unwrap(), Path::new("paint/quay.png"));
        assert_eq!(painting_path(Path::new("quay.ron"), &Scene::default()), None);
    }

    #[test]
    fn a_size_book_is_found_from_the_folder_of_the_scene() {
        let scene = Scene { size_book: Some("../works.ron".into()), ..Scene::default() };
        let found = size_book_path(Path::new("work/quay.ron"), &scene);
        assert_eq!(found.unwrap(), Path::new("work/../works.ron"));
        assert_eq!(size_book_path(Path::new("quay.ron"), &Scene::default()), None);
    }

    #[test]
    fn a_relative_name_leads_back_to_the_painting() {
        let cases = [
            ("/art/quay.ron", "/art/quay.png", "quay.png"),
            ("/art/quay.ron", "/art/paint/quay.png", "paint/quay.png"),
            ("/art/scenes/quay.ron", "/art/paint/quay.png", "../paint/quay.png"),
            ("/art/./scenes/../quay.ron", "/art/quay.png", "quay.png"),
            ("quay.ron", "paint/quay.png", "paint/quay.png"),
        ];
        for (scene, picture, name) in cases {
            let relative = relative_painting(Path::new(scene), Path::new(picture)).unwrap();
            assert_eq!(relative, Path::new(name), "{scene} {picture}");
        }
    }
}
