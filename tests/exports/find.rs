//! Finds exports in a shoot by the picture alone and counts against truth.csv: `find_exports SHOOT EXPORTS [--absent N]`

use rayon::iter::{IntoParallelRefIterator, ParallelIterator};
use std::collections::BTreeMap;
use std::error::Error;
use std::path::{Path, PathBuf};
use std::time::Instant;
use stoptally::keepers::picture;
use stoptally::measure::{Measurement, Scratch, measure};
use stoptally::metadata;
use stoptally::walk::{Kind, PhotoFile};

fn jpegs(path: &Path) -> Result<Vec<PathBuf>, Box<dyn Error>> {
    let mut found = Vec::new();
    for entry in std::fs::read_dir(path)? {
        let path = entry?.path();
        if path.is_dir() {
            found.extend(jpegs(&path)?);
        } else if path.extension().is_some_and(|e| e.eq_ignore_ascii_case("jpg")) {
            found.push(path);
        }
    }
    found.sort();
    Ok(found)
}

fn measured(paths: &[PathBuf]) -> Vec<(String, Measurement)> {
    let one = |path: &PathBuf| {
        let bytes = std::fs::read(path).ok()?;
        let name = path.file_name()?.to_string_lossy().into_owned();
        let file = PhotoFile { path: path.clone(), name: name.clone(), kind: Kind::Jpeg, bytes: bytes.len() as u64 };
        let notes = metadata::read(&file, &bytes);
        Some((name, measure(Kind::Jpeg, &bytes, notes.orientation, &mut Scratch::default()).result.ok()?))
    };
    paths.par_iter().map(one).collect::<Vec<_>>().into_iter().flatten().collect()
}

fn main() -> Result<(), Box<dyn Error>> {
    let args: Vec<String> = std::env::args().skip(1).collect();
    let value = |name: &str| args.iter().position(|a| a == name).and_then(|i| args.get(i + 1)).cloned();
    let [shoot, exports] = args.get(..2).ok_or("usage: find_exports SHOOT EXPORTS [--absent N]")? else {
        return Err("two folders".into());
    };
    // Every Nth shot is taken away: its exports have become foreign, among twins that stay.
    let absent = value("--absent").map_or(Ok(0), |n| n.parse::<usize>())?;
    let mut shots = measured(&jpegs(Path::new(shoot))?);
    if absent > 0 {
        shots = shots.into_iter().enumerate().filter(|(i, _)| i % absent != 0).map(|(_, shot)| shot).collect();
    }
    let pictures = measured(&jpegs(Path::new(exports))?);
    let mut truth = BTreeMap::new();
    for row in csv::Reader::from_path(Path::new(exports).join("truth.csv"))?.records() {
        let row = row?;
        truth.insert(row[0].to_owned(), (row[1].to_owned(), row[2].to_owned()));
    }
    let start = Instant::now();
    let found = picture::find(
        &pictures.iter().map(|(_, m)| m).collect::<Vec<_>>(),
        &shots.iter().map(|(_, m)| m).collect::<Vec<_>>(),
    );
    let seconds = start.elapsed().as_secs_f64();
    let mut counts: BTreeMap<&str, usize> = BTreeMap::new();
    for ((name, _), found) in pictures.iter().zip(&found) {
        let (frame, done) = truth.get(name).ok_or(format!("{name} is not in truth.csv"))?;
        let frame = shots.iter().position(|(shot, _)| shot == frame);
        let word = match (frame, found.as_slice()) {
            (Some(frame), [one]) if frame == *one => "right",
            (Some(frame), several) if several.contains(&frame) => "one of several",
            (Some(_), []) => "missed",
            (None, []) => "foreign, none",
            (None, [_]) => "WRONG (foreign, one)",
            (None, _) => "WRONG (foreign, several)",
            (Some(_), [_]) => "WRONG (one)",
            (Some(_), _) => "WRONG (several)",
        };
        *counts.entry(word).or_default() += 1;
        if word != "right" && word != "foreign, none" {
            let names = |list: &[usize]| list.iter().map(|i| shots[*i].0.clone()).collect::<Vec<_>>().join(" ");
            let frame = frame.map(|f| shots[f].0.as_str()).unwrap_or("-");
            println!("  {word}: {name} is {frame}, found {}: {done}", names(found));
        }
    }
    println!("{shoot}: {} exports, {} shots, {seconds:.2} s: {counts:?}", pictures.len(), shots.len());
    Ok(())
}
