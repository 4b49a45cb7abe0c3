//! One export by seed and number: which frame, what is done to it, what is left of its notes, how it is called

use crate::file::{self, Kept};
use crate::grade::Grade;
use crate::raster::{Cut, Raster};
use crate::rng::Rng;
use std::error::Error;
use std::path::{Path, PathBuf};
use stoptally::metadata::{self, Metadata};
use stoptally::walk::{Kind, PhotoFile};

/// Every tenth export is foreign where there is a foreign folder.
const FOREIGN: f64 = 0.1;

pub struct Export {
    pub name: String,
    pub bytes: Vec<u8>,
    /// The file it was made of, None for a foreign picture.
    pub frame: Option<String>,
    /// What was done, separated by semicolons.
    pub done: String,
}

/// JPEGs of a folder and its sub-folders, in order.
pub fn folder(path: &Path) -> Result<Vec<PathBuf>, Box<dyn Error>> {
    let mut found = Vec::new();
    for entry in std::fs::read_dir(path)? {
        let path = entry?.path();
        if path.is_dir() {
            found.extend(folder(&path)?);
        } else if path.extension().is_some_and(|e| e.eq_ignore_ascii_case("jpg")) {
            found.push(path);
        }
    }
    found.sort();
    Ok(found)
}

/// The upright picture of a file and its notes.
pub fn open(path: &Path) -> Result<(Raster, Metadata), Box<dyn Error>> {
    let bytes = std::fs::read(path)?;
    let file = PhotoFile {
        path: path.to_owned(),
        name: path.file_name().unwrap_or_default().to_string_lossy().into_owned(),
        kind: Kind::Jpeg,
        bytes: bytes.len() as u64,
    };
    let notes = metadata::read(&file, &bytes);
    let stored = image::load_from_memory(&bytes)?.to_rgb8();
    Ok((Raster::upright(&stored, notes.orientation), notes))
}

pub fn export(own: &[PathBuf], foreign: &[PathBuf], seed: u64, number: usize) -> Result<Export, Box<dyn Error>> {
    let mut rng = Rng::new(seed, number as u64);
    let is_foreign = rng.chance(FOREIGN) && !foreign.is_empty();
    // Every frame in turn, beginning anywhere: the step shares no divisor with their number.
    let coprime = |step: &usize| (2..=*step).all(|d| !step.is_multiple_of(d) || !own.len().is_multiple_of(d));
    let step = (own.len() * 5 / 13 + 1..).find(coprime).unwrap_or(1);
    let path =
        if is_foreign { &foreign[rng.below(foreign.len())] } else { &own[(seed as usize + number * step) % own.len()] };
    let (picture, notes) = open(path)?;
    let name = path.file_name().unwrap_or_default().to_string_lossy().into_owned();
    let (picture, mut done) = edited(&picture, &mut rng);
    let quality = rng.range(70.0, 96.0) as u8;
    let kept = match rng.unit() {
        u if u < 0.6 || is_foreign => Kept::Nothing,
        u if u < 0.75 => Kept::Time,
        u if u < 0.85 => Kept::Serial,
        _ => Kept::All,
    };
    done.push(kept.word().to_owned());
    let stem = name.rsplit_once('.').map_or(name.as_str(), |(stem, _)| stem);
    let called = match rng.unit() {
        u if u < 0.6 || is_foreign => format!("tram-shed-{:03}.jpg", number + 1),
        u if u < 0.85 => format!("{stem}-edit-{}.jpg", number + 1),
        // A frame comes back under its own name once.
        _ if number < own.len() => format!("{stem}.jpg"),
        _ => format!("{stem}-{}.jpg", number + 1),
    };
    let bytes = file::noted(&file::jpeg(&picture, quality), &notes, kept);
    Ok(Export { name: called, bytes, frame: (!is_foreign).then_some(name), done: done.join("; ") })
}

/// Cut, graded, framed, marked.
pub fn edited(picture: &Raster, rng: &mut Rng) -> (Raster, Vec<String>) {
    let cut = cut(picture, rng);
    let mut done = vec![format!(
        "crop {:.2}x{:.2} at {:.2} {:.2}",
        cut.width / picture.width as f64,
        cut.height / picture.height as f64,
        cut.left / picture.width as f64,
        cut.top / picture.height as f64
    )];
    if cut.turns > 0 {
        done.push(format!("turned {}", cut.turns * 90));
    }
    if cut.angle != 0.0 {
        done.push(format!("straightened {:+.1}", cut.angle));
    }
    let mut made = picture.cut(&cut);
    done.push(format!("{}x{}", made.width, made.height));
    let grade = if rng.chance(0.9) { Grade::by(rng) } else { Grade::neutral() };
    done.extend(grade.words());
    grade.apply(&mut made, rng);
    if rng.chance(0.12) {
        watermark(&mut made, rng);
        done.push("watermark".into());
    }
    if rng.chance(0.12) {
        let wide = (rng.range(0.008, 0.035) * made.width.max(made.height) as f64) as usize;
        let colour = if rng.chance(0.6) { [1.0; 3] } else { [0.02; 3] };
        made = made.framed(wide.max(2), colour);
        done.push(format!("border {wide}"));
    }
    (made, done)
}

fn cut(picture: &Raster, rng: &mut Rng) -> Cut {
    let (w, h) = (picture.width as f64, picture.height as f64);
    let cropped = rng.chance(0.75);
    let (mut across, mut down) = (1.0, 1.0);
    if cropped {
        across = rng.range(0.6, 1.0);
        // Half the crops keep the proportions.
        down = if rng.chance(0.5) { across } else { rng.range(0.6, 1.0) };
    }
    let angle = if rng.chance(0.35) { rng.range(-6.0, 6.0) } else { 0.0 };
    let turns = if rng.chance(0.12) { 1 + rng.below(3) } else { 0 };
    let (mut u, mut v) = (rng.unit(), rng.unit());
    let mut cut = Cut { left: 0.0, top: 0.0, width: w * across, height: h * down, angle, turns, scale: 1.0 };
    loop {
        (cut.left, cut.top) = (u * (w - cut.width), v * (h - cut.height));
        if picture.holds(&cut) {
            break;
        }
        // Straightened corners that lie outside: a little smaller, a little nearer to the middle.
        (cut.width, cut.height) = (cut.width * 0.99, cut.height * 0.99);
        (u, v) = (0.5 + (u - 0.5) * 0.9, 0.5 + (v - 0.5) * 0.9);
    }
    let long = cut.width.max(cut.height);
    let wanted = [480.0, 640.0, 800.0, 1080.0, 1600.0][rng.below(5)];
    cut.scale = (wanted / long).min(1.3);
    cut
}

/// A line of strokes near a corner, half see-through.
fn watermark(picture: &mut Raster, rng: &mut Rng) {
    let (w, h) = (picture.width as f64, picture.height as f64);
    let (wide, high) = (w * rng.range(0.10, 0.2), h * rng.range(0.02, 0.04));
    let left = if rng.chance(0.5) { w * 0.03 } else { w * 0.97 - wide };
    let top = if rng.chance(0.3) { h * 0.04 } else { h * 0.96 - high };
    let strength = rng.range(0.4, 0.9);
    let strokes: Vec<bool> = (0..48).map(|_| rng.chance(0.55)).collect();
    for y in top as usize..(top + high) as usize {
        for x in left as usize..(left + wide) as usize {
            let column = ((x as f64 - left) / wide * 24.0) as usize;
            let row = usize::from(y as f64 - top > high / 2.0);
            if strokes[(column * 2 + row).min(47)] {
                let code = &mut picture.codes[y * picture.width + x];
                *code = code.map(|c| c + (1.0 - c) * strength);
            }
        }
    }
}
