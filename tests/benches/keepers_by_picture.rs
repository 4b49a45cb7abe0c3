//! Times the search for 200 exports among 2,000 shots, repeated from the JPEGs of the folders given.
//!
//!     cargo bench --bench keepers_by_picture -- FOLDER…
//!
//! Shots are the folder's pictures again and again, each time a little moved and lit otherwise, so that they are many
//! look-alike twins, the hard and the slow case. The measuring pass is not timed.

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

use rayon::iter::{IntoParallelIterator, ParallelIterator};
use std::path::Path;
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

fn main() {
    let folders: Vec<String> = std::env::args().skip(1).filter(|argument| !argument.starts_with("--")).collect();
    if folders.is_empty() {
        println!("keepers_by_picture: give folders of JPEGs");
        return;
    }
    let paths: Vec<_> = folders.iter().flat_map(|f| make::folder(Path::new(f)).expect("a folder")).collect();
    let made: Vec<(Measurement, Option<Measurement>)> = (0..SHOTS)
        .into_par_iter()
        .map(|number| {
            let (mut picture, _) = make::open(&paths[number % paths.len()]).expect("a picture");
            let mut rng = rng::Rng::new(7, number as u64);
            let (w, h) = (picture.width as f64, picture.height as f64);
            let (left, top) = (rng.range(0.0, 0.02) * w, rng.range(0.0, 0.02) * h);
            let scale = 720.0 / w.max(h);
            let (width, height) = (0.98 * w, 0.98 * h);
            picture = picture.cut(&raster::Cut { left, top, width, height, angle: 0.0, turns: 0, scale });
            let export = (number % (SHOTS / EXPORTS) == 0).then(|| measured(&make::edited(&picture, &mut rng).0));
            (measured(&picture), export)
        })
        .collect();
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
