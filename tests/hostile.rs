//! Files made to break readers: no panic, no abort, no hang, no memory without bounds; each a row or a named problem.

mod support;

use std::fs;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::{Path, PathBuf};

use stoptally::measure::Scratch;
use stoptally::read::from_bytes;
use stoptally::walk::{self, Kind, PhotoFile};
use support::shoot;

fn fixtures(kind: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/fixtures").join(kind)
}

/// Every hostile file goes through the whole program; `FRAMES_DIR` names a larger collection to put through as well.
#[test]
fn every_hostile_file_is_a_row_or_a_problem() {
    let collections = [Some(fixtures("hostile")), std::env::var_os("FRAMES_DIR").map(PathBuf::from)];
    for folder in collections.into_iter().flatten() {
        let out = tempfile::tempdir().unwrap();
        let run = shoot::analyse(&folder, &out.path().join("report"), &[]);
        assert_eq!(run.status.code(), Some(1), "{run:?}");
        let seen = walk::walk(&folder, None);
        let rows = shoot::rows(&out.path().join("report/frames.csv"));
        let problems = shoot::rows(&out.path().join("report/problems.csv"));
        let companions: usize = rows.iter().map(|r| r["companion"].split(';').filter(|c| !c.is_empty()).count()).sum();
        assert_eq!(seen.files.len(), rows.len() + companions);
        for row in rows.iter().filter(|r| r["mean_luminance"].is_empty()) {
            let named = problems.iter().any(|p| p["file"] == row["frame"] && p["weight"] == "could not read");
            assert!(named, "{} has no figures and no cause", row["frame"]);
        }
        for row in &rows {
            let known = row["mean_luminance"].is_empty()
                || row["mean_luminance"].parse::<f64>().is_ok_and(|y| (0.0..=1.0).contains(&y));
            assert!(known, "{row:?}");
        }
    }
}

/// A small generator of its own, so that a seed means the same mutation for ever (xorshift64*, Vigna 2016, from memory).
struct Dice(u64);

impl Dice {
    fn roll(&mut self) -> u64 {
        self.0 ^= self.0 >> 12;
        self.0 ^= self.0 << 25;
        self.0 ^= self.0 >> 27;
        self.0.wrapping_mul(0x2545_F491_4F6C_DD1D)
    }

    fn below(&mut self, n: usize) -> usize {
        (self.roll() >> 16) as usize % n.max(1)
    }
}

/// Changes, cuts, doubles or fills a few stretches of the bytes; half of the changes fall into the first kilobyte,
/// where the headers are.
fn mutate(bytes: &[u8], dice: &mut Dice) -> Vec<u8> {
    let mut bytes = bytes.to_vec();
    for _ in 0..=dice.below(6) {
        let reach = if dice.below(2) == 0 { bytes.len().min(1024) } else { bytes.len() };
        let at = dice.below(reach);
        let end = (at + 1 + dice.below(16)).min(bytes.len());
        match dice.below(6) {
            0 => bytes.truncate(at),
            1 => bytes[at..end].fill(0xFF),
            2 => bytes[at..end].fill(0),
            3 => {
                let piece = bytes[at..end].to_vec();
                bytes.splice(at..at, piece);
            }
            _ => {
                for byte in &mut bytes[at..end] {
                    *byte = dice.roll() as u8;
                }
            }
        }
        if bytes.is_empty() {
            break;
        }
    }
    bytes
}

/// Small good files of every format, so that two thousand of them are read in a short time.
fn seeds() -> Vec<(PhotoFile, Vec<u8>)> {
    let mut seeds = Vec::new();
    for kind in ["good", "exif", "raw"] {
        for file in walk::walk(&fixtures(kind), None).files.into_iter().filter(|f| f.bytes < 120_000) {
            let bytes = fs::read(&file.path).unwrap();
            seeds.push((file, bytes));
        }
    }
    assert!(
        seeds.len() > 40
            && [Kind::Jpeg, Kind::Png, Kind::Tiff, Kind::Webp, Kind::Heic, Kind::Raw]
                .iter()
                .all(|k| seeds.iter().any(|(f, _)| f.kind == *k))
    );
    seeds
}

/// Bytes of memory this process had at its peak (Linux; elsewhere nothing is claimed).
fn peak_memory() -> Option<u64> {
    let status = fs::read_to_string("/proc/self/status").ok()?;
    let line = status.lines().find(|l| l.starts_with("VmHWM:"))?;
    line.split_whitespace().nth(1)?.parse::<u64>().ok().map(|kb| kb * 1024)
}

#[test]
fn two_thousand_mutations_of_good_files() {
    let seeds = seeds();
    let mut dice = Dice(0x7A11_2026);
    let mut scratch = Scratch::default();
    let (mut measured, mut refused) = (0, 0);
    for round in 0..2000 {
        let (file, good) = &seeds[round % seeds.len()];
        let bytes = mutate(good, &mut dice);
        // `from_bytes` catches a decoder's panic itself; what gets through to here is a defect of ours.
        let read = catch_unwind(AssertUnwindSafe(|| from_bytes(file.clone(), &bytes, true, &mut scratch)));
        let read = read.unwrap_or_else(|_| panic!("round {round}, {} came through", file.name));
        match read.measurement {
            Some(m) => {
                measured += 1;
                assert!((0.0..=1.0).contains(&m.mean_luminance), "round {round}, {}: {}", file.name, m.mean_luminance);
            }
            None => {
                refused += 1;
                assert!(!read.flaws.is_empty(), "round {round}, {}: no figures and no cause", file.name);
            }
        }
    }
    assert!(
        measured > 200 && refused > 200,
        "{measured} measured, {refused} refused: the mutations test one side only"
    );
    if let Some(bytes) = peak_memory() {
        assert!(bytes < 1 << 30, "{} MB at the peak", bytes >> 20);
    }
}

#[test]
fn nothing_at_all_and_one_byte() {
    let dir = tempfile::tempdir().unwrap();
    let folder = dir.path().join("shed");
    fs::create_dir(&folder).unwrap();
    assert_eq!(
        shoot::analyse(&folder, &dir.path().join("empty"), &[]).status.code(),
        Some(0),
        "an empty folder is no error"
    );
    for ending in ["jpg", "png", "tif", "webp", "heic", "cr3", "raf", "dng"] {
        fs::write(folder.join(format!("{ending}-one.{ending}")), b"\xFF").unwrap();
    }
    let run = shoot::analyse(&folder, &dir.path().join("report"), &[]);
    assert_eq!(run.status.code(), Some(1));
    assert_eq!(shoot::rows(&dir.path().join("report/frames.csv")).len(), 8);
}
