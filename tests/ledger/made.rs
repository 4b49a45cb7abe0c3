//! A shoot made by hand: settings and a filled ledger, shot by shot, and everything that follows from them.

use std::sync::Arc;

use jiff::civil::date;
use stoptally::assemble::{self, Counted, Parts};
use stoptally::audit;
use stoptally::keepers::Choice;
use stoptally::keepers::count::{self, Count};
use stoptally::light::{
    AmbientEntry, Entry, Evidence, Light, LightLedger, LightPicture, SequenceLight, Setting, ShotLight, Stops, Told,
    ToneCurve, lightings,
};
use stoptally::measure::{Clipping, FocusMap, Measurement, Picture, PixelSource, TileGrid};
use stoptally::metadata::{ExposureMode, Lens, Marked, Metadata, Taken, WhiteBalance};
use stoptally::next_time::Heads;
use stoptally::notes::{LightNotes, NOTES_FILE, of_bytes};
use stoptally::report::{Report, files};
use stoptally::series::{self, AllSeries, Cull};
use stoptally::shots::{Sequence, Shot};
use stoptally::stages::{self, MID_GREY, Stages};

pub const NAMES: [&str; 4] = ["key", "rim", "dust-left", "dust-right"];

/// A shoot under construction.
pub struct Made {
    pub sequence: Sequence,
    pub light: SequenceLight,
    pub second: f64,
    /// Level of every shot made from here on, in stops from mid-grey.
    pub level: f64,
    pub settings: (Marked, Marked, u32),
    /// Light notes as typed, for what only the notes tell.
    pub notes: String,
}

/// What follows from it.
pub struct Found {
    pub stages: Stages,
    pub report: Report,
    pub ledger: LightLedger,
}

impl Made {
    pub fn of(names: &[&str]) -> Self {
        let light = |name: &&str| Light {
            name: (*name).to_owned(),
            reference_shot: Some(0),
            has_solo: true,
            ..Light::default()
        };
        Self {
            sequence: Sequence {
                camera: "Testcam T1".to_owned(),
                body_serial: Some("TS-0417".to_owned()),
                clock_offset_s: None,
                shots: Vec::new(),
            },
            light: SequenceLight {
                lights: names.iter().map(light).collect(),
                curve: Some(ToneCurve { points: Vec::new(), source: "the file's own transfer curve".to_owned() }),
                ambient_reference: Some(0),
                ..SequenceLight::default()
            },
            second: 0.0,
            level: -1.0,
            settings: (Marked { num: 56, den: 10 }, Marked { num: 1, den: 200 }, 100),
            notes: String::new(),
        }
    }

    /// Key, rim, dust-left, dust-right.
    pub fn four() -> Self {
        Self::of(&NAMES)
    }

    /// The same with everything noted.
    pub fn noted() -> Self {
        let mut made = Self::four();
        made.light.noted = true;
        for light in &mut made.light.lights {
            light.noted = true;
        }
        made
    }

    /// One shot, so many seconds after the one before.
    pub fn after(&mut self, seconds: f64, entries: &[Entry]) -> &mut Self {
        let number = self.sequence.shots.len() + 1;
        self.second += seconds;
        let local = date(2026, 11, 7).at(16, 20, 0, 0) + jiff::SignedDuration::from_secs_f64(self.second);
        let (f, t, iso) = self.settings;
        self.sequence.shots.push(Shot {
            frame: format!("TS_{number:04}.JPG"),
            companions: Vec::new(),
            metadata: Metadata {
                lens: Lens::Named("35mm F2".to_owned()),
                focal_length_mm: Some(35.0),
                f_number: Some(f),
                exposure_time_s: Some(t),
                iso: Some(iso),
                white_balance: Some(WhiteBalance::Manual),
                exposure_mode: Some(ExposureMode::Manual),
                ..Metadata::default()
            },
            measurement: Some(measured(self.level)),
            taken: Some(Taken { local, fraction_digits: 2, offset_minutes: None }),
            seconds_since_previous: (number > 1).then_some(seconds),
            problems: Vec::new(),
        });
        self.light.shots.push(ShotLight { entries: entries.to_vec(), ..ShotLight::default() });
        self
    }

    /// So many shots, seven seconds apart.
    pub fn add(&mut self, shots: usize, entries: &[Entry]) -> &mut Self {
        for _ in 0..shots {
            self.after(7.0, entries);
        }
        self
    }

    /// The last shot cannot be compared with others.
    pub fn not_comparable(&mut self) -> &mut Self {
        self.light.shots.last_mut().unwrap().not_comparable = "it shows another part of the shed".to_owned();
        self
    }

    /// The ambient of the last shot.
    pub fn ambient(&mut self, ambient: AmbientEntry) -> &mut Self {
        self.light.shots.last_mut().unwrap().ambient = ambient;
        self
    }

    /// Aperture by tenths, the shutter's denominator and ISO of the shots made from here on.
    pub fn set(&mut self, f_tenths: u32, one_over: u32, iso: u32) -> &mut Self {
        self.settings = (Marked { num: f_tenths, den: 10 }, Marked { num: 1, den: one_over }, iso);
        self
    }

    /// The lightings' numbers, shot by shot.
    pub fn numbers(&self) -> Vec<Option<u32>> {
        let mut light = self.light.clone();
        lightings::number(&mut light, 1);
        light.shots.iter().map(|s| s.lighting).collect()
    }

    /// Stages, findings and report.
    pub fn found(&self) -> Found {
        found(&[self])
    }

    /// The words that began a stage, from 1, without figures.
    pub fn headline(&self, stage: usize) -> String {
        self.found().report.stages[stage - 1].detail.headline.clone()
    }

    /// Codes of the findings with their frame and light.
    pub fn codes(&self) -> Vec<(String, String, String)> {
        let report = self.found().report;
        report.findings.into_iter().map(|f| (f.code, f.frame, f.light)).collect()
    }
}

/// Everything that follows from the shots of several cameras.
pub fn found(all: &[&Made]) -> Found {
    found_with(all, &|sequences, stages| series::split(sequences, stages), None).0
}

/// The same with series by hand and, where a choice is given, its keepers counted.
pub fn found_with(
    all: &[&Made],
    series: &dyn Fn(&[Sequence], &Stages) -> AllSeries,
    choice: Option<&Choice>,
) -> (Found, Option<Count>) {
    let sequences: Vec<Sequence> = all.iter().map(|m| m.sequence.clone()).collect();
    let mut ledger = LightLedger { sequences: all.iter().map(|m| m.light.clone()).collect() };
    let mut next = 1;
    for light in &mut ledger.sequences {
        next = lightings::number(light, next);
    }
    let stages = stages::split(&sequences, &ledger, 1.0 / 250.0);
    let cull =
        Cull { series: series(&sequences, &stages), ..series::look(&sequences, &stages, &ledger, &[], 1.0 / 250.0) };
    let count = count::count(choice, &cull.series, &sequences, &stages, &ledger);
    let findings = audit::audit(&audit::Shoot {
        sequences: &sequences,
        stages: &stages,
        ledger: &ledger,
        cull: &cull,
        subjects: &[],
        sync_time_s: 1.0 / 250.0,
    });
    let shots = sequences.iter().map(|s| s.shots.len()).sum();
    let typed: String = all.iter().map(|made| made.notes.as_str()).collect();
    let notes = match typed.as_str() {
        "" => LightNotes::default(),
        typed => of_bytes(typed.as_bytes(), NOTES_FILE).settle(&sequences, &[]),
    };
    let report = assemble::assemble(&Parts {
        shoot: "tram-shed".to_owned(),
        counted: Counted { seen: shots, not_rows: 0, others: 0 },
        sequences: &sequences,
        notes: &notes,
        ledger: &ledger,
        stages: &stages,
        cull: &cull,
        count: count.as_ref(),
        findings: &findings,
        problems: &[],
        heads: &Heads::default(),
        sync_time_s: 1.0 / 250.0,
    });
    (Found { stages, report, ledger }, count)
}

/// The rows of a written table, read back from its bytes: header name to cell.
pub fn written(report: &Report, file: &str) -> Vec<std::collections::BTreeMap<String, String>> {
    let files = files::files(report).unwrap();
    let mut reader = csv::Reader::from_reader(&*files[file]);
    let header = reader.headers().unwrap().clone();
    let row = |r: csv::StringRecord| header.iter().map(str::to_owned).zip(r.iter().map(str::to_owned)).collect();
    reader.records().map(|r| row(r.unwrap())).collect()
}

/// A figure with a tenth of a stop to either side.
pub fn about(value: f64) -> Stops {
    Stops { value, low: value - 0.1, high: value + 0.1 }
}

pub fn off() -> Entry {
    Entry {
        on: Told::No,
        misfire: Told::No,
        evidence: Evidence::WorkedOut,
        setting: Setting { on: Told::No, ..Setting::default() },
        ..Entry::default()
    }
}

/// Burning without notes, at this level against its reference, a quarter of the frame's light.
pub fn on(level: f64) -> Entry {
    let gain = libm::exp2(level);
    Entry {
        on: Told::Yes,
        misfire: Told::No,
        stops: Some(about(level)),
        gain: Some([gain; 3]),
        share_of_frame: Some(0.25),
        evidence: Evidence::WorkedOut,
        setting: Setting { on: Told::Yes, level: Some(level), colour: 1, ..Setting::default() },
        ..Entry::default()
    }
}

/// Burning at a noted power (stops against full), the picture at `stops` against the reference.
pub fn noted(power: f64, stops: f64) -> Entry {
    let mut entry = on(stops);
    (entry.setting.noted_power, entry.setting.level) = (Some(power), None);
    entry
}

/// The entry of a light set like this that did not burn.
pub fn missed(entry: Entry) -> Entry {
    Entry { on: Told::No, misfire: Told::Yes, stops: None, gain: None, share_of_frame: Some(0.0), ..entry }
}

/// Nothing told.
pub fn unknown(reason: &str) -> Entry {
    Entry { evidence: Evidence::WorkedOut, reason: reason.to_owned(), ..Entry::default() }
}

pub fn gel(mut entry: Entry, gel: &str) -> Entry {
    entry.setting.gel = gel.to_owned();
    entry
}

/// Another colour seen, without a note: red and blue against the reference.
pub fn colour(mut entry: Entry, number: u32, red: f64, blue: f64) -> Entry {
    entry.setting.colour = number;
    entry.gain = Some([red, 1.0, blue]);
    entry
}

/// A picture of a light: the left half lit at `bright`, the last row missing.
pub fn half_lit(bright: f32) -> LightPicture {
    let (columns, rows) = (12_u16, 8_u16);
    let tiles = (0..rows).flat_map(|y| (0..columns).map(move |x| (x, y)));
    LightPicture {
        columns,
        rows,
        linear: tiles.clone().map(|(x, _)| [if x < columns / 2 { bright } else { 0.0 }; 3]).collect(),
        missing: tiles.map(|(_, y)| y == rows - 1).collect(),
    }
}

fn measured(level: f64) -> Measurement {
    let blank = Picture { width: 1, height: 1, jpeg: Arc::new([0xff, 0xd8]) };
    let mean_luminance = if level.is_finite() { MID_GREY * libm::exp2(level) } else { 0.0 };
    Measurement {
        source: PixelSource::FullPicture,
        decoder: "by hand",
        width: 600,
        height: 400,
        mean_luminance,
        median_luminance: mean_luminance,
        clipping: Clipping::default(),
        sharpness: None,
        focus: FocusMap::default(),
        tiles: TileGrid { columns: 1, rows: 1, means: vec![[0; 3]], clipped: vec![0] },
        preview: blank.clone(),
        thumbnail: blank,
    }
}
