//! Sheets and cameras: what the menu asks for, where they go, and what becomes of them.

use crate::actions::act::Act;
use crate::choice::Choice;
use crate::desk::Desk;
use crate::files::{self, file_name};
use crate::handover::errands::Errand;
use crate::handover::handing::{HandAct, plain};
use crate::handover::{Order, Product, ProductOrder};
use crate::questions::Question;
use egui::Ui;
use serde::{Deserialize, Serialize};
use std::ffi::OsStr;
use std::path::{Path, PathBuf};
use std::sync::Arc;

/// For how many scenes it is remembered where their files went.
const SCENES: usize = 50;

/// What can be asked for.
#[derive(Clone, Debug, PartialEq)]
pub(crate) enum ProductAct {
    /// Write it to this file.
    Write(Product, PathBuf),
    /// Write it although something else is there.
    Replace(Box<ProductOrder>),
}

/// Where sheets and cameras of scenes went, those written last first.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(transparent)]
pub struct ProductsRemembered(Vec<(PathBuf, Product, PathBuf)>);

impl ProductsRemembered {
    fn of(&self, scene: &Path, product: Product) -> Option<&Path> {
        let found = self.0.iter().find(|(path, what, _)| path == scene && *what == product);
        found.map(|(_, _, to)| to.as_path())
    }

    /// The ending that was last wanted for any scene.
    fn ending(&self, product: Product) -> &str {
        let last = self.0.iter().find(|(_, what, _)| *what == product);
        let last = last.and_then(|(_, _, to)| to.extension()?.to_str());
        last.unwrap_or(product.endings()[0])
    }

    fn remember(&mut self, scene: &Path, product: Product, to: &Path) {
        self.0.retain(|(path, what, _)| path != scene || *what != product);
        self.0.insert(0, (scene.to_path_buf(), product, to.to_path_buf()));
        self.0.truncate(SCENES);
    }
}

pub(crate) fn act(desk: &mut Desk, act: ProductAct) {
    match act {
        ProductAct::Write(product, path) => {
            let scene_path = plain(files::suggested_path(desk));
            let path = plain(with_ending(path, product));
            desk.remembered.products.remember(&scene_path, product, &path);
            let scene = Arc::clone(desk.history.present());
            let units = desk.units();
            send(desk, ProductOrder { product, scene, scene_path, units, path, replace: false });
        }
        ProductAct::Replace(order) => send(desk, ProductOrder { replace: true, ..*order }),
    }
}

/// What asks where it goes; where it went last, or beside the scene.
pub(crate) fn ask(desk: &Desk, product: Product) -> Act {
    let scene = plain(files::suggested_path(desk));
    let remembered = &desk.remembered.products;
    let suggested = remembered.of(&scene, product).map(Path::to_path_buf).unwrap_or_else(|| {
        let mut name = scene.file_stem().unwrap_or(OsStr::new("scene")).to_owned();
        name.push(format!(".{}.{}", product.word(), remembered.ending(product)));
        scene.with_file_name(name)
    });
    Act::Choose(Choice::Product { product, suggested })
}

/// A name that says what is written; the usual ending is added to any other.
fn with_ending(path: PathBuf, product: Product) -> PathBuf {
    let ends = path.extension().and_then(OsStr::to_str).map(str::to_lowercase);
    if ends.is_some_and(|ends| product.endings().contains(&ends.as_str())) {
        return path;
    }
    let mut name = path.into_os_string();
    name.push(".");
    name.push(product.endings()[0]);
    name.into()
}

fn send(desk: &mut Desk, order: ProductOrder) {
    desk.handing.trouble = None;
    let words = format!("Writing {}", file_name(&order.path));
    let order = Order::Product(order);
    desk.handing.errands.send(Errand { order, words, by_itself: false });
}

/// Asks about a file that is there already and is something else.
pub(crate) fn taken(desk: &mut Desk, order: ProductOrder) {
    desk.question = Some(Question::Taken { order: Box::new(order) });
}

/// What the question shows. Whether it is still open.
pub(crate) fn question(ui: &mut Ui, order: &ProductOrder, acts: &mut Vec<Act>) -> bool {
    let (product, path) = (order.product, &order.path);
    ui.heading(format!("{} is there already and is no {}.", file_name(path), product.word()));
    if let Some(folder) = path.parent() {
        ui.weak(format!("It lies in {}.", folder.display()));
    }
    ui.add_space(8.0);
    let replace = ProductAct::Replace(Box::new(order.clone()));
    let mut open = true;
    ui.horizontal(|ui| {
        for (word, act) in [
            ("Replace it", Act::Hand(HandAct::Product(replace))),
            ("Another file…", Act::Choose(Choice::Product { product, suggested: path.clone() })),
            ("Leave it", Act::Stay),
        ] {
            if ui.button(word).clicked() {
                acts.push(act);
                open = false;
            }
        }
    });
    open
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_name_without_a_known_ending_gets_the_usual_one() {
        let named = |name: &str, product| with_ending(name.into(), product);
        assert_eq!(named("a.CSV", Product::Sheet), Path::new("a.CSV"));
        assert_eq!(named("a.v2", Product::Sheet), Path::new("a.v2.html"));
        assert_eq!(named("a", Product::Camera), Path::new("a.glb"));
        assert_eq!(named("a.html", Product::Camera), Path::new("a.html.glb"));
    }

    #[test]
    fn each_scene_has_its_place_back_and_others_the_ending() {
        let mut remembered = ProductsRemembered::default();
        let (quay, to) = (Path::new("quay.ron"), Path::new("out/eye.gltf"));
        remembered.remember(quay, Product::Camera, to);
        assert_eq!(remembered.of(quay, Product::Camera), Some(to));
        assert_eq!(remembered.of(quay, Product::Sheet), None);
        assert_eq!(remembered.ending(Product::Camera), "gltf");
        assert_eq!(remembered.ending(Product::Sheet), "html");
    }
}
