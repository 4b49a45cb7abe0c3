//! From a shoot to files, and from files to the program's report.

use std::fs;

use stoptally::light::Method;
use stoptally::notes::SubjectBox;
use stoptally::pipeline::{Request, analyse};
use stoptally::read::Watch;
use stoptally::report::{LedgerRow, Report};

use super::shoot::{Shoot, Shot};
use super::support::tiff::{ascii, block, rational, short, with_exif};

pub struct Quiet;

impl Watch for Quiet {
    fn files_found(&self, _count: usize) {}
    fn file_done(&self) {}
    fn stop(&self) -> bool {
        false
    }
}

/// A JPEG of quality 95, colours at full resolution, with the EXIF a camera would write.
pub fn jpeg(pixels: &[u8], size: (usize, usize), shot: &Shot, shoot: &Shoot) -> Vec<u8> {
    let mut picture = Vec::new();
    let mut encoder = jpeg_encoder::Encoder::new(&mut picture, 95);
    encoder.set_sampling_factor(jpeg_encoder::SamplingFactor::R_4_4_4);
    encoder.encode(pixels, size.0 as u16, size.1 as u16, jpeg_encoder::ColorType::Rgb).unwrap();
    let s = shot.settings;
    let (seconds, hundredths) = (shot.second as u32, (shot.second.fract() * 100.0).round() as u32);
    let (hour, minute) = (16 + (20 + seconds / 60) / 60, (20 + seconds / 60) % 60);
    let taken = format!("2026:11:07 {hour}:{minute:02}:{:02}", seconds % 60);
    let mut exif = vec![
        rational(0x829A, &[s.time]),
        rational(0x829D, &[s.f_number]),
        short(0x8822, &[if shot.exposed_by_camera { 2 } else { 1 }]),
        short(0x8827, &[s.iso]),
        ascii(0x9003, &taken),
        ascii(0x9291, &format!("{hundredths:02}")),
        rational(0x920A, &[(35, 1)]),
        short(0xA403, &[u16::from(!shoot.automatic_white)]),
        ascii(0xA431, "TS-0417"),
        ascii(0xA434, "35mm F2"),
    ];
    if shoot.by_hand {
        // Exif 2.2, tag 41986: 0 automatic, 1 manual.
        exif.push(short(0xA402, &[u16::from(!shot.exposed_by_camera)]));
        exif.sort_by_key(|field| field.tag);
    }
    let tiff = block(b"MM", &[ascii(0x010F, "Testcam"), ascii(0x0110, "T1")], &exif);
    with_exif(&picture, &tiff)
}

/// Writes the shoot to a folder and runs the program on it.
pub fn told(shoot: &Shoot) -> Report {
    told_by(shoot, Method::default(), &[])
}

/// The same with a part of the computation left out, or with subject boxes.
pub fn told_by(shoot: &Shoot, method: Method, subjects: &[SubjectBox]) -> Report {
    let base = tempfile::tempdir().unwrap();
    let folder = base.path().join("shed");
    fs::create_dir(&folder).unwrap();
    for i in 0..shoot.shots.len() {
        fs::write(folder.join(Shoot::frame(i)), shoot.jpeg(i)).unwrap();
    }
    fs::write(folder.join("light-notes.csv"), shoot.notes()).unwrap();
    let request = Request { method, subjects: subjects.to_vec(), ..Request::of(folder) };
    let report = analyse(&request, &Quiet).unwrap();
    assert!(report.problems.is_empty(), "{:?}", report.problems);
    assert_eq!(report.frames.len(), shoot.shots.len());
    report
}

/// The row of one light in one shot.
pub fn row<'a>(report: &'a Report, shot: usize, light: &str) -> &'a LedgerRow {
    let frame = Shoot::frame(shot);
    let mut rows = report.light_ledger.iter().filter(|r| r.frame == frame && r.light == light);
    let row = rows.next().unwrap_or_else(|| panic!("no row of {light} in {frame}"));
    assert!(rows.next().is_none(), "two rows of {light} in {frame}");
    row
}

/// Index of the shot a light is told against.
pub fn reference(row: &LedgerRow) -> usize {
    row.reference_frame.trim_start_matches("TS_").trim_end_matches(".JPG").parse::<usize>().unwrap() - 1
}

/// Every light of every shot against the truth: on, strength against its reference frame within `stops`, share of the
/// frame within `percent`; returns the largest errors of both.
pub fn agrees(shoot: &Shoot, report: &Report, stops: f64, percent: f64) -> (f64, f64) {
    let (mut worst, mut wrong) = ((0.0_f64, 0.0_f64), String::new());
    for (i, shot) in shoot.shots.iter().enumerate() {
        for (l, name) in shoot.names.iter().enumerate() {
            let row = row(report, i, name);
            let burned = shot.burns[l].real;
            if row.on != if burned.is_some() { "yes" } else { "no" } {
                wrong += &format!("shot {i} {name}: on {} {}, burned {burned:?}\n", row.on, row.reason);
                continue;
            }
            let share = (row.share_of_frame_percent.unwrap_or(f64::NAN) - shoot.share(i, l)).abs();
            let off = burned.map_or(0.0, |_| {
                let against = reference(row);
                let settings = |i: usize| shoot.shots[i].settings.factors().0;
                let light = |i: usize| shoot.falls(i, l) / settings(i);
                (row.light_stops.unwrap_or(f64::NAN) - (light(i) / light(against)).log2()).abs()
            });
            if off.is_nan() || off > stops || share.is_nan() || share > percent {
                wrong += &format!(
                    "shot {i} {name}: {:?} stops against {}, off by {off:.3}; share {:?}, really {:.2}; {}\n",
                    row.light_stops,
                    row.reference_frame,
                    row.share_of_frame_percent,
                    shoot.share(i, l),
                    row.reason
                );
            }
            worst = (worst.0.max(off), worst.1.max(share));
        }
    }
    assert!(wrong.is_empty(), "\n{wrong}");
    worst
}
