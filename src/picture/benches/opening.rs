//! Opening a painting at delivery size, held against its bars: the first sight of the whole against the bare
//! decode, the peak of memory against the raw pixels, and a tone view of it. Prints a table.
//!
//! Times are the best of several rounds in which decoding and opening take turns, so that a busy machine spoils
//! both alike. Memory is that of a process of its own (`VmHWM`; Linux alone tells it). Progressive JPEG is made by
//! ImageMagick, and passed over where that is not installed.

use std::fs::{self, File};
use std::hint::black_box;
use std::io::BufWriter;
use std::path::{Path, PathBuf};
use std::process::Command;
use std::sync::Arc;
use std::time::{Duration, Instant};

use image::codecs::jpeg::JpegEncoder;
use image::{ExtendedColorType, ImageEncoder};
use staffage_picture::{Limits, Picture, Progress, Region, Size, ToneView, Toned, Tones};

const USUAL: Size = Size { width: 10_000, height: 4_255 };
const LARGE: Size = Size { width: 30_000, height: 12_766 };
const TEXTURE_SIDE: u32 = 8_192;
/// Width of the canvas in screen pixels.
const CANVAS: f64 = 1_600.0;
/// A squint's radius as a share of the longer side.
const RADIUS: f64 = 0.01;
/// Names the painting to the process that only opens it.
const ONLY_OPEN: &str = "STAFFAGE_BENCH_OPEN";
/// Set where it is opened once more while it is in sight, as when it was saved.
const AGAIN: &str = "STAFFAGE_BENCH_AGAIN";

/// Bars: first sight in bare decodes, memory in raw pixels, tone views in milliseconds.
const SIGHT_BAR: f64 = 1.15;
const MEMORY_BAR: f64 = 2.5;
const TONE_BAR: Duration = Duration::from_millis(100);

/// Broad gradients with the grain of brush and scan on top: compresses as a painting does, by half.
struct Rows {
    size: Size,
    state: u32,
}

impl Rows {
    fn of(size: Size) -> Self {
        Self { size, state: 0x2545_F491 }
    }

    /// The RGB samples of one row.
    fn row(&mut self, y: u32) -> Vec<u8> {
        let down = (u64::from(y) * 200 / u64::from(self.size.height)) as u8;
        let mut samples = Vec::with_capacity(3 * self.size.width as usize);
        for x in 0..self.size.width {
            self.state ^= self.state << 13;
            self.state ^= self.state >> 17;
            self.state ^= self.state << 5;
            let grain = (self.state >> 29) as u8;
            let across = (u64::from(x) * 200 / u64::from(self.size.width)) as u8;
            samples.extend([across + grain, down + grain, 100 + across / 2 - down / 4 + grain]);
        }
        samples
    }
}

/// A PNG with 8 or 16 bits, written row by row.
fn png(folder: &Path, name: &str, size: Size, depth: png::BitDepth) -> PathBuf {
    use std::io::Write;
    let path = folder.join(name);
    let file = File::create(&path).expect("the temporary folder takes the painting");
    let mut encoder = png::Encoder::new(BufWriter::new(file), size.width, size.height);
    encoder.set_color(png::ColorType::Rgb);
    encoder.set_depth(depth);
    encoder.set_compression(png::Compression::Fast);
    let mut writer = encoder.write_header().expect("a header");
    let mut stream = writer.stream_writer().expect("a stream");
    let mut rows = Rows::of(size);
    for y in 0..size.height {
        let row = rows.row(y);
        let row = match depth {
            png::BitDepth::Sixteen => row.into_iter().flat_map(|value| [value, 77]).collect(),
            _ => row,
        };
        stream.write_all(&row).expect("the disk takes it");
    }
    stream.finish().expect("the disk takes it");
    writer.finish().expect("the disk takes it");
    path
}

fn jpeg(folder: &Path, name: &str, size: Size) -> PathBuf {
    let path = folder.join(name);
    let mut rows = Rows::of(size);
    let samples: Vec<u8> = (0..size.height).flat_map(|y| rows.row(y)).collect();
    let file = BufWriter::new(File::create(&path).expect("the temporary folder takes it"));
    JpegEncoder::new_with_quality(file, 92)
        .write_image(&samples, size.width, size.height, ExtendedColorType::Rgb8)
        .expect("the disk takes it");
    path
}

/// The same picture as a progressive JPEG; `None` without ImageMagick.
fn progressive(from: &Path, name: &str, sampling: &str) -> Option<PathBuf> {
    let path = from.with_file_name(name);
    let options = ["-quality", "92", "-interlace", "JPEG", "-sampling-factor", sampling];
    let made = Command::new("convert").arg(from).args(options).arg(&path).status();
    made.is_ok_and(|status| status.success()).then_some(path)
}

fn bare_decode(path: &Path) {
    let mut reader = image::ImageReader::open(path).expect("it is there");
    reader.no_limits();
    black_box(reader.decode().expect("it is whole"));
}

/// Loads and cuts the tiles that show the whole picture in the canvas.
fn open(path: &Path) -> Picture {
    let picture = Picture::load(path, &Limits::default(), TEXTURE_SIDE, &Progress::default())
        .expect("it is whole");
    let width = f64::from(picture.size().width);
    let everything = Region { left: 0.0, top: 0.0, right: f64::INFINITY, bottom: f64::INFINITY };
    let level = picture.level_for(CANVAS / width);
    picture
        .tiles_in(level, everything)
        .filter_map(|tile| picture.tile_pixels(tile.key))
        .for_each(|tile| drop(black_box(tile)));
    picture
}

fn timed<T>(work: impl FnOnce() -> T) -> (Duration, T) {
    let start = Instant::now();
    let result = work();
    (start.elapsed(), result)
}

/// The best times of the bare decode and of the first sight.
fn times(path: &Path, rounds: usize) -> (Duration, Duration) {
    let round = |_| (timed(|| bare_decode(path)).0, timed(|| drop(open(path))).0);
    let rounds: Vec<_> = (0..rounds).map(round).collect();
    let best = |of: fn(&(Duration, Duration)) -> Duration| rounds.iter().map(of).min();
    (best(|r| r.0).expect("a round"), best(|r| r.1).expect("a round"))
}

/// The most memory this process ever took, bytes.
fn peak() -> Option<u64> {
    let status = fs::read_to_string("/proc/self/status").ok()?;
    let line = status.lines().find_map(|line| line.strip_prefix("VmHWM:"))?;
    Some(1024 * line.trim().trim_end_matches("kB").trim().parse::<u64>().ok()?)
}

/// What a process that does nothing but open the painting, or open it twice, came to: its peak, bytes, and the slowest
/// tone view to first sight.
fn alone(path: &Path, again: bool) -> (Option<u64>, Duration) {
    let this = std::env::current_exe().expect("this program");
    let mut command = Command::new(this);
    if again {
        command.env(AGAIN, "1");
    }
    let output = command.env(ONLY_OPEN, path).output().expect("it starts");
    let said = String::from_utf8_lossy(&output.stdout);
    let mut numbers = said.split_whitespace().map(|word| word.parse::<u64>().unwrap_or(0));
    let (peak, micros) = (numbers.next().unwrap_or(0), numbers.next().unwrap_or(0));
    ((peak > 0).then_some(peak), Duration::from_micros(micros))
}

fn only_open(path: &Path) {
    let picture = Arc::new(open(path));
    if std::env::var_os(AGAIN).is_some() {
        black_box(open(path));
    }
    let peak = peak().unwrap_or(0);
    let views = [
        ToneView { tones: Tones::Values, ..ToneView::PLAIN },
        ToneView { tones: Tones::Flat(3), ..ToneView::PLAIN },
        ToneView { squint: Some(RADIUS), ..ToneView::PLAIN },
        ToneView { tones: Tones::Flat(5), squint: Some(RADIUS) },
    ];
    let first_sight = |view| {
        let toned = Toned::new(&picture, view);
        let level = toned.ground().levels() - 1;
        black_box(toned.tile_pixels(staffage_picture::TileKey { level, column: 0, row: 0 }));
    };
    let best = |view| (0..5).map(|_| timed(|| first_sight(view)).0).min().unwrap_or_default();
    let slowest = views.map(best).into_iter().max().unwrap_or_default();
    println!("{peak} {}", slowest.as_micros());
}

/// One row of the table; `bytes` is what the raw pixels take as they are stored.
fn row(name: &str, path: &Path, size: Size, bytes: u64, rounds: usize) {
    let (decode, sight) = times(path, rounds);
    let (peak, tone) = alone(path, false);
    let (twice, _) = alone(path, true);
    let ratio = sight.as_secs_f64() / decode.as_secs_f64();
    let raw = (size.pixels() * bytes) as f64;
    let [memory, twice] = [peak, twice].map(|peak| peak.map(|peak| peak as f64 / raw));
    let told = |number: Option<f64>| number.map_or("not known".into(), |n| format!("{n:.2} ×"));
    println!(
        "| {name} | {:.2} s | {:.2} s | {ratio:.2} × | {} | {} | {:.1} ms |",
        decode.as_secs_f64(),
        sight.as_secs_f64(),
        told(memory),
        told(twice),
        1e3 * tone.as_secs_f64(),
    );
    let is_png = path.extension().is_some_and(|e| e == "png");
    let much = [memory, twice].into_iter().flatten().any(|memory| memory > MEMORY_BAR);
    if is_png && ratio > SIGHT_BAR || much || tone > TONE_BAR {
        println!(
            "  over a bar: {SIGHT_BAR} × of the decode, {MEMORY_BAR} × of the pixels, {TONE_BAR:?}"
        );
    }
}

fn main() {
    if let Some(path) = std::env::var_os(ONLY_OPEN) {
        return only_open(Path::new(&path));
    }
    let folder = tempfile::tempdir().expect("a temporary folder");
    let folder = folder.path();
    println!(
        "| painting | bare decode | first sight | ratio | peak memory, of raw pixels | read again in sight | slowest tone view |"
    );
    println!("| --- | --- | --- | --- | --- | --- | --- |");
    let usual = png(folder, "usual.png", USUAL, png::BitDepth::Eight);
    row("10,000 × 4,255 PNG", &usual, USUAL, 3, 25);
    let deep = png(folder, "deep.png", USUAL, png::BitDepth::Sixteen);
    row("the same with 16 bits", &deep, USUAL, 6, 5);
    row("as JPEG", &jpeg(folder, "usual.jpg", USUAL), USUAL, 3, 5);
    for (name, file, sampling) in [
        ("as progressive JPEG, colours halved", "halved.jpg", "4:2:0"),
        ("as progressive JPEG, colours whole", "whole.jpg", "4:4:4"),
    ] {
        match progressive(&usual, file, sampling) {
            Some(path) => row(name, &path, USUAL, 3, 3),
            None => println!("{name}: passed over, ImageMagick’s convert is not installed"),
        }
    }
    let large = png(folder, "large.png", LARGE, png::BitDepth::Eight);
    row("30,000 × 12,766 PNG", &large, LARGE, 3, 5);
}
