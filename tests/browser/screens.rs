//! Screens held against reviewed references, coarsely: fonts differ between machines, a missing section does not pass.
//!
//! A screen is cut into cells of 25 pixels. A cell says how bright it is on average and how much it varies: paper, text, picture
//! and drawing differ in these whatever the font. A cell agrees when one of the other screen's cells at or beside its place is
//! alike, so that a word that wraps elsewhere does not count; both screens are held against each other. References are grey
//! pictures in `tests/browser/screens`; `BLESS_SCREENS=1` writes them anew, to be looked at before they are committed.

use std::path::PathBuf;
use std::{env, fs};

use image::{GrayImage, ImageFormat};

/// Pixels of a cell's side.
const CELL: u32 = 25;
/// Cells are alike within so many code values of 255: of their mean, and of their standard deviation.
const MEAN: f64 = 12.0;
const SPREAD: f64 = 22.0;
/// Share of cells that may disagree.
const TOLERANCE: f64 = 0.05;

struct Cells {
    wide: i64,
    high: i64,
    /// Mean and standard deviation, row by row.
    values: Vec<(f64, f64)>,
}

impl Cells {
    fn of(picture: &GrayImage) -> Self {
        let (wide, high) = (picture.width() / CELL, picture.height() / CELL);
        let one = |n: u32| {
            let (x, y) = (n % wide * CELL, n / wide * CELL);
            let pixels = (0..CELL * CELL).map(|p| f64::from(picture.get_pixel(x + p % CELL, y + p / CELL)[0]));
            let (sum, squares) = pixels.fold((0.0, 0.0), |(sum, squares), v| (sum + v, squares + v * v));
            let number = f64::from(CELL * CELL);
            let mean = sum / number;
            (mean, (squares / number - mean * mean).max(0.0).sqrt())
        };
        Self { wide: i64::from(wide), high: i64::from(high), values: (0..wide * high).map(one).collect() }
    }

    fn at(&self, x: i64, y: i64) -> Option<(f64, f64)> {
        let inside = (0..self.wide).contains(&x) && (0..self.high).contains(&y);
        inside.then(|| self.values[usize::try_from(y * self.wide + x).unwrap()])
    }

    /// Share of the cells that nothing at or beside their place in the other is like.
    fn unlike(&self, other: &Self) -> f64 {
        let alone = |x: i64, y: i64| {
            let (mean, spread) = self.at(x, y).unwrap();
            let beside = (-1..=1).flat_map(|dy| (-1..=1).map(move |dx| (x + dx, y + dy)));
            !beside
                .filter_map(|(x, y)| other.at(x, y))
                .any(|(m, s)| (m - mean).abs() <= MEAN && (s - spread).abs() <= SPREAD)
        };
        let all = (0..self.high).flat_map(|y| (0..self.wide).map(move |x| (x, y)));
        let number = all.filter(|(x, y)| alone(*x, *y)).count();
        number as f64 / (self.wide * self.high) as f64
    }
}

fn grey(png: &[u8]) -> GrayImage {
    image::load_from_memory_with_format(png, ImageFormat::Png).unwrap().into_luma8()
}

fn difference(a: &GrayImage, b: &GrayImage) -> f64 {
    assert_eq!(a.dimensions(), b.dimensions(), "the window has another size");
    let (a, b) = (Cells::of(a), Cells::of(b));
    a.unlike(&b).max(b.unlike(&a))
}

/// Share of cells in which a screen disagrees with its reference.
pub fn against_reference(name: &str, png: &[u8]) -> f64 {
    let file = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join(format!("tests/browser/screens/{name}.png"));
    let seen = grey(png);
    if env::var("BLESS_SCREENS").as_deref() == Ok("1") {
        seen.save(&file).unwrap();
    }
    let wanted = fs::read(&file).unwrap_or_else(|_| panic!("no reference {name}.png: write it with BLESS_SCREENS=1"));
    difference(&grey(&wanted), &seen)
}

/// The screen is as it was reviewed.
pub fn agrees(name: &str, png: &[u8]) {
    let found = against_reference(name, png);
    assert!(found <= TOLERANCE, "{name}: {:.1} % of the screen is not as reviewed", 100.0 * found);
}

/// Something is missing on the screen, and the comparison sees it.
pub fn misses(name: &str, what: &str, png: &[u8]) {
    let file = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join(format!("tests/browser/screens/{name}.png"));
    let found = difference(&grey(&fs::read(file).unwrap()), &grey(png));
    assert!(found > TOLERANCE, "{name} without {what} passes: only {:.1} % differ", 100.0 * found);
}

#[test]
fn cells_know_shifted_text_from_missing_text() {
    // Lines of "text" on paper: strokes of ink, twelve pixels apart; by hand, a line moved by half a cell stays alike,
    // and a sheet without a third of its lines has nearly that share of its cells unlike.
    let sheet = |lines: &[u32], shift: u32| {
        GrayImage::from_fn(500, 500, |x, y| {
            let inside = lines.iter().any(|line| (line * 50 + shift..line * 50 + shift + 30).contains(&y));
            image::Luma([if inside && x % 12 == 0 { 20 } else { 243 }])
        })
    };
    let all: Vec<u32> = (0..9).collect();
    let whole = sheet(&all, 0);
    assert!(difference(&whole, &sheet(&all, 12)) < 0.01);
    let less = difference(&whole, &sheet(&all[..6], 0));
    assert!((0.1..0.4).contains(&less), "{less}");
}
