//! Sheets and cameras: what the menu and their panels ask for, where they go, and what becomes of them.

use crate::choice::Choice;
use crate::desk::Desk;
use crate::files::{self, file_name};
use crate::handover::errands::Errand;
use crate::handover::handing::{self, BesideCanvas, plain};
use crate::handover::product_preview::ProductPreviewing;
use crate::handover::{Order, Product, ProductOrder};
use serde::{Deserialize, Serialize};
use std::ffi::OsStr;
use std::path::{Path, PathBuf};
use std::sync::Arc;

/// For how many scenes it is remembered where their files went.
const SCENES: usize = 50;

const NOWHERE: &str = "This scene has no file yet, so there is no place beside it: save it first \
     (Ctrl+S), or choose where it goes.";

/// What is known of sheets and cameras.
#[derive(Default)]
pub(crate) struct Products {
    pub(crate) previewing: ProductPreviewing,
    /// What was not written because something else is there.
    pub(crate) taken: Option<Box<ProductOrder>>,
}

/// What can be asked for.
#[derive(Clone, Debug, PartialEq)]
pub(crate) enum ProductAct {
    /// Open or close its panel.
    Toggle(Product),
    /// Write it to this file from now on.
    SendTo(Product, PathBuf),
    /// Write it with this ending from now on.
    WriteAs(Product, &'static str),
    /// Tell focal lengths for this film back from now on.
    FilmBack(String),
    /// Write it.
    Write(Product),
    /// Write it although something else is there.
    Replace,
    /// Leave alone what is there.
    LeaveAlone,
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
    let products = &mut desk.handing.products;
    match act {
        ProductAct::Toggle(product) => {
            products.taken = None;
            desk.handing.toggle(BesideCanvas::Product(product));
        }
        ProductAct::SendTo(product, path) => {
            products.taken = None;
            desk.handing.wants_focus = true;
            let path = with_ending(handing::absolute(desk, &path), product);
            remember(desk, product, &path);
        }
        ProductAct::WriteAs(product, ending) => {
            products.taken = None;
            let path = suggested(desk, product).with_extension(ending);
            remember(desk, product, &path);
        }
        ProductAct::FilmBack(back) => desk.remembered.film_back = back,
        ProductAct::Write(product) => write(desk, product),
        ProductAct::Replace => {
            if let Some(order) = products.taken.take() {
                send(desk, ProductOrder { replace: true, ..*order });
            }
        }
        ProductAct::LeaveAlone => products.taken = None,
    }
}

/// What a place is remembered by: the scene, and the alternative on show, as if it lay in the scene's file.
/// So none is written over another's.
fn remembered_by(desk: &Desk) -> PathBuf {
    let scene = plain(files::suggested_path(desk));
    match desk.scene().alternative_shown() {
        Some(shown) => scene.join(shown.name_for_a_file()),
        None => scene,
    }
}

fn remember(desk: &mut Desk, product: Product, to: &Path) {
    let of = remembered_by(desk);
    desk.remembered.products.remember(&of, product, to);
}

/// Where it goes: where it went last, else beside the scene, whether or not that has a place.
fn suggested(desk: &Desk, product: Product) -> PathBuf {
    let scene = plain(files::suggested_path(desk));
    let remembered = &desk.remembered.products;
    remembered.of(&remembered_by(desk), product).map(Path::to_path_buf).unwrap_or_else(|| {
        let mut name = scene.file_stem().unwrap_or(OsStr::new("scene")).to_owned();
        if let Some(shown) = desk.scene().alternative_shown() {
            name.push(format!(".{}", shown.name_for_a_file()));
        }
        name.push(format!(".{}.{}", product.word(), remembered.ending(product)));
        scene.with_file_name(name)
    })
}

/// Where it goes; none while there is no place beside the scene and none was chosen.
pub(crate) fn target(desk: &Desk, product: Product) -> Option<PathBuf> {
    let scene = files::suggested_path(desk);
    let has_folder = scene.parent().is_some_and(|folder| !folder.as_os_str().is_empty());
    let chosen = desk.remembered.products.of(&remembered_by(desk), product).is_some();
    (has_folder || chosen).then(|| suggested(desk, product))
}

/// What asks where it goes.
pub(crate) fn choice(desk: &Desk, product: Product) -> Choice {
    Choice::Product { product, suggested: suggested(desk, product) }
}

/// It as it would be written now.
pub(crate) fn order(desk: &Desk, product: Product) -> ProductOrder {
    ProductOrder {
        product,
        scene: Arc::clone(desk.history.present()),
        scene_path: plain(files::suggested_path(desk)),
        units: desk.units(),
        film_back: desk.remembered.film_back.clone(),
        path: suggested(desk, product),
        replace: false,
    }
}

fn write(desk: &mut Desk, product: Product) {
    let Some(path) = target(desk, product) else {
        desk.handing.trouble = Some(NOWHERE.into());
        return;
    };
    let order = order(desk, product);
    // From now on it goes there, whatever the scene is called later.
    remember(desk, product, &path);
    send(desk, order);
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
    desk.handing.products.taken = None;
    desk.handing.trouble = None;
    let words = format!("Writing {}", file_name(&order.path));
    let order = Order::Product(order);
    desk.handing.errands.send(Errand { order, words, by_itself: false });
}

/// Keeps that something else was there already, to ask about it in the panel.
pub(crate) fn taken(desk: &mut Desk, order: ProductOrder) {
    desk.handing.panel = Some(BesideCanvas::Product(order.product));
    desk.handing.products.taken = Some(Box::new(order));
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
