//! Pictures on the clipboard.

use arboard::{Clipboard, Error, ImageData};

/// Pixels: width and height, then red, green, blue and straight alpha, row by row from the top left.
pub(super) type Pixels = ((u32, u32), Vec<u8>);

/// A clipboard as far as pictures go. Failures are sentences.
pub(super) trait Pictures: Send + Sync {
    /// The picture on it.
    fn take(&self) -> Result<Pixels, String>;

    /// Puts a picture on it.
    fn put(&self, size: (u32, u32), rgba: Vec<u8>) -> Result<(), String>;
}

/// The desktop's clipboard. What is put there stays as long as the window, which holds on to it too.
pub(super) struct SystemClipboard;

impl Pictures for SystemClipboard {
    fn take(&self) -> Result<Pixels, String> {
        let picture = Clipboard::new().and_then(|mut c| c.get_image()).map_err(|e| unread(&e))?;
        let side = |n| u32::try_from(n).map_err(|_| "The picture is too large.".to_owned());
        Ok(((side(picture.width)?, side(picture.height)?), picture.bytes.into_owned()))
    }

    fn put(&self, (width, height): (u32, u32), rgba: Vec<u8>) -> Result<(), String> {
        let (width, height) = (width as usize, height as usize);
        let picture = ImageData { width, height, bytes: rgba.into() };
        Clipboard::new()
            .and_then(|mut c| c.set_image(picture))
            .map_err(|error| format!("The ink could not be put on the clipboard: {error}."))
    }
}

/// Why there is no picture. What goes wrong between programs is told in terms of their protocol, which
/// helps nobody; it goes to the log.
fn unread(error: &Error) -> String {
    if let Error::ContentNotAvailable = error {
        return "There is no picture on the clipboard.".into();
    }
    tracing::warn!(%error, "no picture could be taken from the clipboard");
    "No picture could be read from the clipboard: copy it again, or save it as a file and open that."
        .into()
}

#[cfg(test)]
pub(super) mod tests {
    use super::*;
    use std::sync::Mutex;

    /// A clipboard of the test's own.
    #[derive(Default)]
    pub(in crate::handovers) struct Board(pub Mutex<Option<Pixels>>);

    impl Pictures for Board {
        fn take(&self) -> Result<Pixels, String> {
            let held = self.0.lock().unwrap();
            held.clone().ok_or_else(|| "There is no picture on the clipboard.".into())
        }

        fn put(&self, size: (u32, u32), rgba: Vec<u8>) -> Result<(), String> {
            *self.0.lock().unwrap() = Some((size, rgba));
            Ok(())
        }
    }
}
