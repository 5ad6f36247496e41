//! The frame around a sheet: its head, its typeface and how it lies on paper.

use super::SHEET_SIGNATURE;
use base64::Engine as _;
use maud::{DOCTYPE, Markup, PreEscaped, html};
use std::sync::LazyLock;

/// Nothing is fetched and nothing runs: pictures and type lie in the page itself.
const POLICY: &str = "default-src 'none'; img-src data:; font-src data:; style-src 'unsafe-inline'; \
     base-uri 'none'; form-action 'none'";

/// How it looks. Paper is as the printer has it, A4 or Letter, across.
const STYLE: &str = include_str!("sheet.css");

pub(super) fn document(title: &str, body: &Markup) -> String {
    let page = html! {
        (DOCTYPE)
        html lang="en" {
            head {
                meta charset="utf-8";
                meta name="generator" content=(SHEET_SIGNATURE);
                meta http-equiv="Content-Security-Policy" content=(POLICY);
                meta name="viewport" content="width=device-width, initial-scale=1";
                meta name="referrer" content="no-referrer";
                title { (title) " – review sheet" }
                style { (PreEscaped(TYPE.as_str())) (PreEscaped(STYLE)) }
            }
            body { (body) }
        }
    };
    page.into_string()
}

/// The typeface, so that the sheet looks the same everywhere and words fit the plates behind them.
static TYPE: LazyLock<String> = LazyLock::new(|| {
    let face = |weight: u16, font: &[u8]| {
        let font = base64::engine::general_purpose::STANDARD.encode(font);
        format!(
            "@font-face{{font-family:'IBM Plex Sans';font-weight:{weight};\
             src:url(data:font/ttf;base64,{font})format('truetype')}}\n"
        )
    };
    let regular = include_bytes!("../../../assets/fonts/IBMPlexSans-Regular.ttf");
    let bold = include_bytes!("../../../assets/fonts/IBMPlexSans-SemiBold.ttf");
    face(400, regular) + &face(600, bold)
});
