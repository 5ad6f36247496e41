//! A saved scene on the desk, and a clerk who takes orders down instead of carrying them out.

use crate::driver::Driver;
use egui::Key;
use glam::DVec2;
use staffage_desk::{
    FilmBack, HandoverProgress, Handovers, Ink, InkPreview, LevelAim, Order, Outcome, OverlayOrder,
    PagePreview, Product, ProductOrder, ProductPreview, Remembered,
};
use staffage_scene::{Scene, save};
use staffage_solver::Eye;
use std::path::PathBuf;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, Mutex};
use tempfile::TempDir;

/// Takes orders down, and answers as it was told to.
#[derive(Default)]
pub struct Clerk {
    orders: Mutex<Vec<Order>>,
    answer: Mutex<Option<Outcome>>,
    /// Goes on with an order until it is cancelled.
    pub slow: AtomicBool,
    /// What sheets and cameras were previewed.
    pub previewed: Mutex<Vec<ProductOrder>>,
    /// Does not come to an end with a preview of them.
    pub ponders: AtomicBool,
}

impl Clerk {
    pub fn answers(&self, outcome: Outcome) {
        *self.answer.lock().unwrap() = Some(outcome);
    }

    pub fn count(&self) -> usize {
        self.orders.lock().unwrap().len()
    }

    pub fn last(&self) -> Order {
        self.orders.lock().unwrap().last().cloned().expect("something was ordered")
    }

    pub fn overlay(&self) -> OverlayOrder {
        match self.last() {
            Order::Overlay(order) => order,
            other => panic!("{other:?}"),
        }
    }
}

impl Handovers for Clerk {
    fn carry_out(&self, order: &Order, progress: &HandoverProgress) -> Outcome {
        self.orders.lock().unwrap().push(order.clone());
        progress.report(0.5);
        while self.slow.load(Ordering::SeqCst) && !progress.is_cancelled() {
            std::thread::yield_now();
        }
        if progress.is_cancelled() {
            return Outcome::Cancelled;
        }
        let told = self.answer.lock().unwrap().clone();
        told.unwrap_or_else(|| Outcome::Done("Handed over.".into()))
    }

    fn preview(
        &self,
        ink: &Ink,
        _across: u32,
        _progress: &HandoverProgress,
    ) -> Result<Option<InkPreview>, String> {
        Ok(Some(InkPreview { full: (ink.width, ink.width / 2), size: (2, 1), rgba: vec![99; 8] }))
    }

    fn preview_product(
        &self,
        order: &ProductOrder,
        _across: u32,
        progress: &HandoverProgress,
    ) -> Result<Option<ProductPreview>, String> {
        self.previewed.lock().unwrap().push(order.clone());
        while self.ponders.load(Ordering::SeqCst) && !progress.is_cancelled() {
            std::thread::yield_now();
        }
        let lines = order.scene.lines.len();
        let holds = vec![format!("{lines} lines in {:?}", order.units)];
        match order.product {
            Product::Sheet if order.path.extension().is_some_and(|e| e == "html") => {
                let page = PagePreview {
                    size: (4, 3),
                    rgba: vec![255; 48],
                    painting: Some([0.1, 0.2, 0.9, 0.8]),
                };
                Ok(Some(ProductPreview { page: Some(page), holds, ..Default::default() }))
            }
            Product::Sheet => {
                let text = Some("scene,id,name".into());
                Ok(Some(ProductPreview { text, holds, ..Default::default() }))
            }
            Product::Camera if order.scene.levels[0].clearance.is_none() => {
                Err("Nothing in the scene is known in metres.".into())
            }
            Product::Camera => {
                let facts = vec![("focal length".into(), format!("for “{}”", order.film_back))];
                Ok(Some(ProductPreview { facts, holds, ..Default::default() }))
            }
        }
    }

    fn film_backs(&self) -> Vec<FilmBack> {
        vec![
            FilmBack { key: "still", name: "Still camera", width: 36.0 },
            FilmBack { key: "super-35", name: "Super 35", width: 24.892 },
        ]
    }

    fn measure(&self, _: &Eye, size: (u32, u32), aim: LevelAim) -> Result<String, String> {
        match aim {
            LevelAim::Plumb => Err("It would be torn apart.".into()),
            aim => Ok(format!("{} px of {aim:?}", size.0)),
        }
    }
}

/// A saved scene on the desk, and who takes its orders.
pub struct Office {
    pub driver: Driver,
    pub clerk: Arc<Clerk>,
    pub folder: TempDir,
}

impl Office {
    pub fn new() -> Self {
        let folder = tempfile::tempdir().expect("a folder");
        let mut office = Self::with(Remembered::default(), folder);
        let scene = office.path("quay.ron");
        save(&scene, &Scene::default()).expect("saved");
        office.driver.open(&scene);
        office
    }

    pub fn with(remembered: Remembered, folder: TempDir) -> Self {
        let mut driver = Driver::with(remembered);
        let clerk = Arc::new(Clerk::default());
        driver.harness.state_mut().desk.hand_over_by(Arc::<Clerk>::clone(&clerk));
        driver.settle();
        Self { driver, clerk, folder }
    }

    pub fn path(&self, name: &str) -> PathBuf {
        self.folder.path().join(name)
    }

    pub fn menu(&mut self, item: &str) {
        self.driver.click_button("Handover");
        // A name that ends with its key, where it has one.
        let names = self.driver.labels(item);
        self.driver.click(&names[0]);
    }

    pub fn trace(&mut self, u: f64) {
        self.driver.press(Key::Num2);
        self.driver.drag(DVec2::new(u, 0.1), DVec2::new(u, -0.1));
        self.driver.press(Key::Escape);
    }
}
