//! Times the search for 200 exports among 2,000 shots, made of the sample images or of the JPEGs of the folders given.
//!
//!     cargo bench --bench keepers_by_picture [-- FOLDER…]
//!
//! Shots are a few scenes again and again, each time a little moved, lit otherwise, with its own noise and with a part
//! that went elsewhere: many look-alike twins, the hard and the slow case. Only the search is timed.

#[path = "../exports/file.rs"]
#[allow(dead_code)]
mod file;
#[path = "../exports/grade.rs"]
mod grade;
#[path = "../exports/make.rs"]
#[allow(dead_code)]
mod make;
#[path = "../exports/raster.rs"]
mod raster;
#[path = "../exports/rng.rs"]
mod rng;

use rayon::iter::{IntoParallelIterator, IntoParallelRefIterator, ParallelIterator};
use std::path::{Path, PathBuf};
use std::time::Instant;
use stoptally::keepers::picture::find;
use stoptally::measure::{Measurement, Scratch, measure};
use stoptally::metadata::Orientation;
use stoptally::walk::Kind;

const SHOTS: usize = 2000;
const EXPORTS: usize = 200;

fn measured(picture: &raster::Raster) -> Measurement {
    let jpeg = file::jpeg(picture, 90);
    measure(Kind::Jpeg, &jpeg, Orientation::TopLeft, &mut Scratch::default()).result.expect("a sound JPEG")
}

/// Seconds of CPU of this process: fields 14 and 15 of its statistics, in hundredths (Linux).
fn cpu() -> f64 {
    let text = std::fs::read_to_string("/proc/self/stat").unwrap_or_default();
    let fields: Vec<f64> =
        text.rsplit(") ").next().unwrap_or("").split(' ').map(|f| f.parse().unwrap_or(0.0)).collect();
    fields.get(11..13).map_or(0.0, |ticks| (ticks[0] + ticks[1]) / 100.0)
}

/// A scene at the size of a preview: moved by some pixels, lit otherwise, a part of it copied elsewhere, noise.
fn altered(scene: &raster::Raster, rng: &mut rng::Rng) -> raster::Raster {
    let (width, height) = (scene.width * 49 / 50, scene.height * 49 / 50);
    let (left, top) = (rng.below(scene.width - width + 1), rng.below(scene.height - height + 1));
    let rows = scene.codes.chunks(scene.width).skip(top).take(height);
    let mut codes: Vec<[f64; 3]> = rows.flat_map(|row| &row[left..left + width]).copied().collect();
    let (wide, high) = (width / 6, height / 4);
    let mut spot = || (rng.below(width - wide), rng.below(height - high));
    let (from, to) = (spot(), spot());
    for y in 0..high {
        let start = (from.1 + y) * width + from.0;
        codes.copy_within(start..start + wide, (to.1 + y) * width + to.0);
    }
    let light = rng.range(0.85, 1.15);
    for code in &mut codes {
        let noise = rng.range(-0.012, 0.012);
        *code = code.map(|c| (c * light + noise).clamp(0.0, 1.0));
    }
    raster::Raster { width, height, codes }
}

fn main() {
    let mut folders: Vec<String> = std::env::args().skip(1).filter(|argument| !argument.starts_with("--")).collect();
    if folders.is_empty() {
        folders.push(concat!(env!("CARGO_MANIFEST_DIR"), "/sample-images").into());
    }
    let paths: Vec<_> = folders.iter().flat_map(|f| make::folder(Path::new(f)).expect("a folder")).collect();
    let scene = |path: &PathBuf| {
        let (picture, _) = make::open(path).expect("a picture");
        let (width, height) = (picture.width as f64, picture.height as f64);
        let scale = 480.0 / width.max(height);
        picture.cut(&raster::Cut { left: 0.0, top: 0.0, width, height, angle: 0.0, turns: 0, scale })
    };
    let scenes: Vec<raster::Raster> = paths.par_iter().map(scene).collect();
    let one = |number: usize| {
        let mut rng = rng::Rng::new(7, number as u64);
        let picture = altered(&scenes[number % scenes.len()], &mut rng);
        let export = number.is_multiple_of(SHOTS / EXPORTS).then(|| measured(&make::edited(&picture, &mut rng).0));
        (measured(&picture), export)
    };
    let start = Instant::now();
    let made: Vec<(Measurement, Option<Measurement>)> = (0..SHOTS).into_par_iter().map(one).collect();
    println!("{} scenes, all made in {:.2} s", scenes.len(), start.elapsed().as_secs_f64());
    let shots: Vec<&Measurement> = made.iter().map(|(shot, _)| shot).collect();
    let exports: Vec<(usize, &Measurement)> =
        made.iter().enumerate().filter_map(|(number, (_, export))| Some((number, export.as_ref()?))).collect();
    let (start, before) = (Instant::now(), cpu());
    let found = find(&exports.iter().map(|(_, export)| *export).collect::<Vec<_>>(), &shots);
    let (seconds, cpu) = (start.elapsed().as_secs_f64(), cpu() - before);
    let sure = exports.iter().zip(&found).filter(|((number, _), found)| found.as_slice() == [*number]).count();
    let several = exports.iter().zip(&found).filter(|((number, _), f)| f.len() > 1 && f.contains(number)).count();
    let none = found.iter().filter(|found| found.is_empty()).count();
    println!("{} exports, {} shots: {seconds:.2} s, {cpu:.2} s of CPU", exports.len(), shots.len());
    println!("{sure} right, {several} one of several, {none} none, {} wrong", exports.len() - sure - several - none);
    let status = std::fs::read_to_string("/proc/self/status").unwrap_or_default();
    println!("{}", status.lines().find(|line| line.starts_with("VmHWM")).unwrap_or("VmHWM: unknown"));
}
