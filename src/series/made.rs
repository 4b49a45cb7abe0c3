//! Tile grids, shots and lights made by hand, for the tests of this folder.

use jiff::civil::date;

use crate::light::{Entry, Light, SequenceLight, Setting, ShotLight, Stops, Told};
use crate::measure::{Clipping, FocusMap, Measurement, Picture, PixelSource, TileGrid};
use crate::metadata::{Marked, Metadata, Taken};
use crate::shots::{Sequence, Shot};

/// A grid of grey tiles from a function of the place; light 0..1.
pub fn tiles(columns: u16, rows: u16, light: impl Fn(usize, usize) -> f64) -> TileGrid {
    let places = (0..usize::from(rows)).flat_map(|y| (0..usize::from(columns)).map(move |x| (x, y)));
    let means: Vec<[u16; 3]> = places.map(|(x, y)| [(light(x, y) * 65535.0).clamp(0.0, 65535.0) as u16; 3]).collect();
    TileGrid { columns, rows, clipped: vec![0; means.len()], means }
}

/// Shots without pictures, so many seconds after one another.
pub fn shots_after(gaps: &[f64]) -> Vec<Shot> {
    let mut second = 0.0;
    let shot = |(index, gap): (usize, &f64)| {
        second += gap;
        let local = date(2026, 11, 7).at(16, 20, 0, 0) + jiff::SignedDuration::from_secs_f64(second);
        Shot {
            frame: format!("TS_{index:04}.JPG"),
            companions: Vec::new(),
            metadata: Metadata::default(),
            measurement: None,
            taken: Some(Taken { local, fraction_digits: 2, offset_minutes: None }),
            seconds_since_previous: (index > 0).then_some(*gap),
            problems: Vec::new(),
        }
    };
    gaps.iter().enumerate().map(shot).collect()
}

/// One light set on at 1/8 throughout: its strength in each shot with an interval of a tenth, None where it failed.
pub fn burning(stops: &[Option<f64>]) -> SequenceLight {
    let entry = |stops: &Option<f64>| Entry {
        on: if stops.is_some() { Told::Yes } else { Told::No },
        misfire: if stops.is_some() { Told::No } else { Told::Yes },
        stops: stops.map(|value| Stops { value, low: value - 0.1, high: value + 0.1 }),
        setting: Setting { on: Told::Yes, noted_power: Some(-3.0), ..Setting::default() },
        ..Entry::default()
    };
    SequenceLight {
        lights: vec![Light { name: "key".to_owned(), ..Light::default() }],
        shots: stops.iter().map(|s| ShotLight { entries: vec![entry(s)], ..ShotLight::default() }).collect(),
        ..SequenceLight::default()
    }
}

/// Figures of a picture of a million pixels with these tiles and this sharpness.
pub fn figures(tiles: TileGrid, sharpness: f64) -> Measurement {
    let blank = Picture { width: 1, height: 1, jpeg: [0xff, 0xd8].into() };
    Measurement {
        source: PixelSource::FullPicture,
        decoder: "by hand",
        width: 1000,
        height: 1000,
        mean_luminance: 0.1,
        median_luminance: 0.1,
        clipping: Clipping::default(),
        sharpness: Some(sharpness),
        focus: FocusMap::default(),
        tiles,
        preview: blank.clone(),
        thumbnail: blank,
    }
}

/// Shots of one camera, each so many seconds after the one before, with these figures.
pub fn sequence(shots: Vec<(f64, Measurement)>) -> Sequence {
    let gaps: Vec<f64> = shots.iter().map(|(gap, _)| *gap).collect();
    let mut own = shots_after(&gaps);
    for (shot, (_, figures)) in own.iter_mut().zip(shots) {
        shot.metadata.f_number = Some(Marked { num: 56, den: 10 });
        shot.metadata.exposure_time_s = Some(Marked { num: 1, den: 200 });
        shot.metadata.iso = Some(100);
        shot.measurement = Some(figures);
    }
    Sequence { camera: "Testcam T1".to_owned(), body_serial: None, clock_offset_s: None, shots: own }
}
