//! CPU time of one frame of the window: the furniture, the ink and its triangles, without the graphics card.

use criterion::{Criterion, criterion_group, criterion_main};
use egui::{Context, Event, Modifiers, MouseWheelUnit, Pos2, RawInput, Rect, TouchPhase, vec2};
use glam::{DVec2, DVec3};
use staffage_desk::{Desk, Remembered, ShownGuides};
use staffage_scene::{
    BlockId, Family, Known, LevelId, Line, LineId, Marker, MarkerId, Scene, Segment, Span, Stands,
    Statement, assess, save,
};
use staffage_solver::Eye;
use std::hint::black_box;
use std::time::{Duration, Instant};

const WINDOW: egui::Vec2 = vec2(1600.0, 1000.0);

/// A crowded square under a canted eye: figures to a kilometre, and the edges of the houses around.
fn square(markers: u32, lines: u32) -> Scene {
    let (pitch, cant) = (3f64.to_radians(), 4f64.to_radians());
    let eye = Eye { focal: 0.9, pitch, cant, principal: DVec2::ZERO };
    let scattered = |i: u32, step: f64| (f64::from(i) * step).fract();
    let mut scene = Scene { title: "Square".into(), ..Scene::default() };
    for i in 0.. {
        if scene.markers.len() as u32 == markers {
            break;
        }
        let distance = 12.0 * 80f64.powf(scattered(i, 0.618_033_988_75));
        let place = DVec3::new((scattered(i, 0.754_877_666) - 0.5) * distance, -4.0, -distance);
        let ends = (eye.project(place), eye.project(place + 1.7 * DVec3::Y));
        let (Some(foot), Some(head)) = ends else { continue };
        let size = Known { metres: 1.7, spread: 0.06 };
        let said = Statement::KnownSize { size, as_: "adult".into() };
        scene.markers.push(Marker {
            id: MarkerId(i + 1),
            name: format!("Figure {i}"),
            foot,
            head,
            span: Span::Upright,
            stands: Stands::On(LevelId(1)),
            statements: if i % 3 == 0 { vec![said] } else { Vec::new() },
        });
    }
    let (right, left) = (DVec3::new(0.8, 0.0, -0.6), DVec3::new(-0.6, 0.0, -0.8));
    for i in 0.. {
        if scene.lines.len() as u32 == lines {
            break;
        }
        let side = if i % 2 == 0 { -1.0 } else { 1.0 };
        let from = DVec3::new(side * 14.0, 12.0 * scattered(i, 0.618) - 4.0, -30.0);
        let (along, family) = match i % 3 {
            0 => (right, Family::RecedingRight(BlockId(1))),
            1 => (left, Family::RecedingLeft(BlockId(1))),
            _ => (DVec3::Y, Family::Upright),
        };
        let to = from + along * (3.0 + 6.0 * scattered(i, 0.755));
        let (Some(a), Some(b)) = (eye.project(from), eye.project(to)) else { continue };
        scene.lines.push(Line { id: LineId(i + 1), family, segment: Segment(a, b) });
    }
    scene
}

/// A window without a screen, with a scene on its desk.
struct Room {
    ctx: Context,
    desk: Desk,
    time: f64,
}

impl Room {
    /// The grid is on, the section and the ledger are open.
    fn with(scene: &Scene) -> Self {
        let folder = tempfile::tempdir().expect("a temporary folder");
        let path = folder.path().join("square.ron");
        save(&path, scene).expect("saved");
        let ctx = Context::default();
        let guides = ShownGuides { grid: true, ..ShownGuides::default() };
        let remembered = Remembered { guides, hint_seen: true, ..Remembered::default() };
        let mut desk = Desk::new(&ctx, remembered);
        desk.open(&ctx, path);
        let mut room = Self { ctx, desk, time: 0.0 };
        while room.desk.scene().markers.is_empty() || room.desk.is_busy() {
            room.frame(Vec::new());
        }
        (0..5).for_each(|_| room.frame(Vec::new()));
        room
    }

    fn frame(&mut self, events: Vec<Event>) {
        self.time += 1.0 / 60.0;
        let input = RawInput {
            screen_rect: Some(Rect::from_min_size(Pos2::ZERO, WINDOW)),
            time: Some(self.time),
            events,
            ..RawInput::default()
        };
        self.desk.logic(&self.ctx);
        let desk = &mut self.desk;
        let mut output = self.ctx.run_ui(input, |ui| desk.ui(ui));
        output.textures_delta.clear();
        black_box(self.ctx.tessellate(output.shapes, output.pixels_per_point));
    }

    /// Moves the picture a little to and fro, so that all ink is made again.
    fn pan(&mut self, right: bool) {
        let delta = vec2(if right { 3.0 } else { -3.0 }, 0.0);
        let (unit, modifiers) = (MouseWheelUnit::Point, Modifiers::NONE);
        let (phase, source) = (TouchPhase::Move, egui::MouseWheelSource::Unknown);
        let over = self.desk.canvas().center();
        self.frame(vec![
            Event::PointerMoved(over),
            Event::MouseWheel { unit, delta, phase, source, modifiers },
        ]);
    }

    /// Takes hold of the head of the nearest figure that is seen whole; where it was taken hold of.
    fn take_hold(&mut self) -> Pos2 {
        let (view, canvas) = (self.desk.view(), self.desk.canvas());
        let heads = self.desk.scene().markers.iter().map(|m| (m.foot.distance(m.head), m.head));
        let on_screen = heads.map(|(size, head)| (size, view.to_screen(canvas, head)));
        let seen = on_screen.filter(|(_, at)| canvas.shrink(40.0).contains(*at));
        let (_, head) = seen.max_by(|a, b| a.0.total_cmp(&b.0)).expect("a figure in sight");
        let button = egui::PointerButton::Primary;
        let press = |pos, pressed| {
            let modifiers = Modifiers::NONE;
            vec![Event::PointerMoved(pos), Event::PointerButton { pos, button, pressed, modifiers }]
        };
        // Selected first, so that its ends can be taken hold of.
        self.frame(press(head, true));
        self.frame(press(head, false));
        self.time += 1.0;
        self.frame(press(head, true));
        for step in 1..5 {
            self.drag_to(head + vec2(0.0, -3.0 * step as f32));
        }
        head + vec2(0.0, -12.0)
    }

    fn drag_to(&mut self, at: Pos2) {
        self.frame(vec![Event::PointerMoved(at)]);
    }
}

/// CPU time of this thread so far, where the system tells it: other work on the machine does not count.
/// Elsewhere the time by the clock.
fn spent(start: Instant) -> Duration {
    let told = std::fs::read_to_string("/proc/thread-self/schedstat").ok();
    let ran = told.and_then(|told| told.split_whitespace().next()?.parse().ok());
    ran.map_or_else(|| start.elapsed(), Duration::from_nanos)
}

fn bench(c: &mut Criterion, name: &str, mut work: impl FnMut()) {
    let start = Instant::now();
    c.bench_function(name, |b| {
        b.iter_custom(|times| {
            let before = spent(start);
            (0..times).for_each(|_| work());
            spent(start).saturating_sub(before)
        });
    });
}

fn benches(c: &mut Criterion) {
    for (markers, lines) in [(100, 30), (1000, 200)] {
        let scene = square(markers, lines);
        let mut room = Room::with(&scene);
        let name = |frame: &str| format!("{frame}, {markers} markers, {lines} lines");
        bench(c, &name("still frame"), || room.frame(Vec::new()));
        let mut right = false;
        bench(c, &name("panned frame"), || {
            right = !right;
            room.pan(right);
        });
        let at = room.take_hold();
        let mut up = false;
        let mut drag = || {
            up = !up;
            room.drag_to(at + vec2(0.0, if up { -1.0 } else { 1.0 }));
        };
        drag();
        bench(c, &name("dragged frame"), drag);
        assert!(*room.desk.scene() != scene, "nothing was dragged");
        bench(c, &name("assessment alone"), || {
            black_box(assess(black_box(&scene)));
        });
    }
}

criterion_group!(name = all; config = Criterion::default().sample_size(20); targets = benches);
criterion_main!(all);
