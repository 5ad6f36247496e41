//! What a sheet or a camera would hold, in small. No painting is read for it.

use super::capital;
use crate::commands::check::{Answer, Found, Read, write_json};
use staffage_desk::{
    FilmBack, HandoverProgress, PagePreview, Product, ProductOrder, ProductPreview,
};
use staffage_handover::{
    Camera, CameraScene, FILM_BACKS, FilmBack as Back, HandoverError, Sheet, picture_from_above,
    write_ledger_csv,
};
use std::ops::ControlFlow;
use std::path::Path;

/// Most lines of a file's beginning.
const LINES: usize = 60;
/// Lines of a table's or an object's beginning.
const FEW: usize = 9;
/// Most letters of a line.
const LETTERS: usize = 160;

pub(super) fn film_backs() -> Vec<FilmBack> {
    let back = |back: &Back| FilmBack { key: back.key, name: back.name, width: back.width };
    FILM_BACKS.iter().map(back).collect()
}

/// None if whoever waits for it gave up.
pub(super) fn preview(
    order: &ProductOrder,
    across: u32,
    progress: &HandoverProgress,
) -> Result<Option<ProductPreview>, String> {
    let made = match order.product {
        Product::Sheet => sheet(order, across, progress),
        Product::Camera => camera(order, across, progress),
    };
    match made {
        Ok(preview) => Ok(Some(preview)),
        Err(HandoverError::Cancelled) => Ok(None),
        Err(why) => Err(format!("{}.", capital(&why.to_string()))),
    }
}

fn ending(order: &ProductOrder) -> String {
    order.path.extension().unwrap_or_default().to_string_lossy().to_lowercase()
}

fn file_name(path: &Path) -> String {
    path.file_name().unwrap_or_default().to_string_lossy().into_owned()
}

fn sheet(
    order: &ProductOrder,
    across: u32,
    progress: &HandoverProgress,
) -> Result<ProductPreview, HandoverError> {
    let ProductOrder { scene, scene_path, units, .. } = order;
    let read = Read::without_painting(scene_path, (**scene).clone(), *units);
    let file = file_name(scene_path);
    let (scene, assessment) = (&read.scene, &read.assessment);
    let markers = assessment.ledger.len();
    match ending(order).as_str() {
        "csv" => {
            let mut table = Vec::new();
            write_ledger_csv(scene, assessment, &file, &mut table)?;
            let holds = vec![format!("the ledger in metres, a row for each marker: {markers}")];
            Ok(ProductPreview { text: Some(beginning(&table, FEW)), holds, ..Default::default() })
        }
        "json" => {
            let holds = vec![
                format!(
                    "the eye, {} levels, {markers} markers, {} findings, in metres and degrees",
                    scene.levels.len(),
                    assessment.findings.len()
                ),
                "as staffage check --json gives it".into(),
            ];
            let found = Found::Scene(Box::new(read));
            let answer = Answer { path: scene_path.clone(), found };
            let mut object = Vec::new();
            write_json(&mut object, &answer)?;
            Ok(ProductPreview { text: Some(beginning(&object, FEW)), holds, ..Default::default() })
        }
        _ => {
            let sheet = Sheet { scene, assessment, file: &file, painting: None, remarks: &[] };
            let page = sheet.first_page(across, &mut go_on(progress))?;
            let (min, max) = page.painting;
            let painting = Some([min.x, min.y, max.x, max.y].map(|share| share as f32));
            let page = PagePreview { size: page.size, rgba: page.rgba, painting };
            Ok(ProductPreview { page: Some(page), holds: sheet.contents(), ..Default::default() })
        }
    }
}

fn camera(
    order: &ProductOrder,
    across: u32,
    progress: &HandoverProgress,
) -> Result<ProductPreview, HandoverError> {
    let ProductOrder { scene, scene_path, units, .. } = order;
    let assessment = staffage_scene::assess_in(scene, *units);
    let file = file_name(scene_path);
    let back = Back::named(&order.film_back).unwrap_or_default();
    let of = CameraScene { scene, assessment: &assessment, file: &file, painting: None, back };
    let camera = Camera::new(&of)?;
    let is_words = ending(order) == "txt";
    let mut holds = if is_words { Vec::new() } else { camera.contents().to_vec() };
    if scene.painting.is_some() && !is_words {
        holds.push("the painting far behind them, as a card".into());
    }
    let page = match is_words {
        true => None,
        false => {
            let (size, rgba) =
                picture_from_above(scene, &assessment, across, &mut go_on(progress))?;
            Some(PagePreview { size, rgba, painting: None })
        }
    };
    Ok(ProductPreview {
        page,
        text: is_words.then(|| beginning(camera.to_text().as_bytes(), LINES)),
        // The words tell them themselves.
        facts: if is_words { Vec::new() } else { camera.facts().to_vec() },
        holds,
        remarks: camera.remarks().to_vec(),
    })
}

/// Goes on until whoever waits for it gives up.
fn go_on(progress: &HandoverProgress) -> impl FnMut() -> ControlFlow<()> {
    || if progress.is_cancelled() { ControlFlow::Break(()) } else { ControlFlow::Continue(()) }
}

/// The first lines of a text, none of them endless.
fn beginning(text: &[u8], most: usize) -> String {
    let text = String::from_utf8_lossy(text);
    let mut lines = text.lines();
    let cut = |line: &str| match line.char_indices().nth(LETTERS) {
        Some((end, _)) => format!("{}…", &line[..end]),
        None => line.to_owned(),
    };
    let mut shown: Vec<String> = lines.by_ref().take(most).map(cut).collect();
    if lines.next().is_some() {
        shown.push("…".into());
    }
    shown.join("\n")
}

#[cfg(test)]
mod tests {
    use super::*;
    use staffage_scene::{Units, load};
    use std::sync::Arc;

    fn order(product: Product, name: &str) -> ProductOrder {
        let demos = Path::new(env!("CARGO_MANIFEST_DIR")).join("demo_scenes");
        let scene_path = demos.join("dam_overlook.ron");
        let scene = Arc::new(load(&scene_path).unwrap());
        ProductOrder {
            product,
            scene,
            scene_path,
            units: Units::Metric,
            film_back: String::new(),
            path: name.into(),
            replace: false,
        }
    }

    fn shown(product: Product, name: &str) -> ProductPreview {
        let made = preview(&order(product, name), 300, &HandoverProgress::default());
        made.unwrap().expect("not given up")
    }

    #[test]
    fn a_sheet_is_a_page_and_a_table_its_beginning() {
        let page = shown(Product::Sheet, "dam.HTML");
        assert_eq!(page.page.unwrap().size, (300, 212));
        assert!(page.holds.iter().any(|line| line.contains("31 markers")));
        let table = shown(Product::Sheet, "dam.csv").text.unwrap();
        assert!(table.starts_with("scene,id,name,measured") && table.ends_with('…'), "{table}");
        assert!(table.lines().all(|line| line.chars().count() <= LETTERS + 1));
        assert!(shown(Product::Sheet, "dam.json").text.unwrap().starts_with("{\"scene\":"));
    }

    #[test]
    fn a_camera_tells_its_lens_and_what_goes_along() {
        let camera = shown(Product::Camera, "dam.glb");
        let page = camera.page.unwrap();
        let clear = page.rgba.chunks(4).position(|pixel| pixel[3] < 255);
        assert_eq!((page.size.0, clear), (300, None));
        let inked = page.rgba.chunks(4).filter(|pixel| pixel[..3] != [255; 3]).count();
        assert!(inked > 500, "the eye and what it sees from above: {inked}");
        // 36 mm / (2 tan 39.93°) = 21.5 mm.
        assert!(camera.facts[0].1.starts_with("21.5 mm on 36.00 mm"), "{:?}", camera.facts);
        assert_eq!(camera.holds.last().unwrap(), "the painting far behind them, as a card");
        assert!(camera.holds.contains(&"5 levels".to_owned()), "{:?}", camera.holds);
        let words = shown(Product::Camera, "dam.txt");
        assert!(words.text.unwrap().starts_with("Staffage camera sheet") && words.holds.is_empty());
        let bare = ProductOrder { scene: Arc::default(), ..order(Product::Camera, "a.glb") };
        let why = preview(&bare, 300, &HandoverProgress::default()).unwrap_err();
        assert!(why.contains("mark a figure") && why.ends_with('.'), "{why}");
    }

    #[test]
    fn a_preview_that_is_given_up_is_none() {
        let progress = HandoverProgress::default();
        progress.cancel();
        assert_eq!(preview(&order(Product::Sheet, "dam.html"), 300, &progress), Ok(None));
    }
}
