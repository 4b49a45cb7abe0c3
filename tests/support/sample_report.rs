//! Reports made by hand for tests: an ordinary evening in the tram shed, and what a folder can be at its worst.
//!
//! Every figure is invented but consistent: the levels follow from the settings and from what the lights were said to do.

use std::collections::BTreeMap;
use std::sync::Mutex;

use stoptally::measure::Picture;
use stoptally::report::{
    AccountLine, BroughtLevel, FindingRow, FramePictures, FrameRow, NotKnown, ProblemRow, Reference, Report, SCHEMA, StageAccount,
    StageDetail, StageRow, Summary,
};

/// Aperture, shutter as marked, and what they mean in stops (2 log2 N, log2 t).
#[derive(Clone, Copy)]
struct Settings {
    aperture: (&'static str, f64, f64),
    shutter: (&'static str, f64, f64),
    iso: u32,
}

const F2: (&str, f64, f64) = ("f/2", 2.0, 2.0);
const F28: (&str, f64, f64) = ("f/2.8", 2.8, 3.0);
const F4: (&str, f64, f64) = ("f/4", 4.0, 4.0);
const T200: (&str, f64, f64) = ("1/200", 0.005, -7.5);
const T50: (&str, f64, f64) = ("1/50", 0.02, -5.5);
const REFERENCE: Settings = Settings { aperture: F28, shutter: T200, iso: 100 };

impl Settings {
    fn marked(self) -> String {
        format!("{}, {}, ISO {}", self.aperture.0, self.shutter.0, self.iso)
    }

    fn iso_stops(self) -> f64 {
        libm::log2(f64::from(self.iso) / 100.0)
    }

    /// Effect of going from `self` to `to` on flash and on ambient.
    fn change(self, to: Self) -> (f64, f64) {
        let flash = self.aperture.2 - to.aperture.2 + to.iso_stops() - self.iso_stops();
        (flash, flash + to.shutter.2 - self.shutter.2)
    }
}

/// What a stage of the sample is made of.
struct Part {
    changed: &'static str,
    settings: Settings,
    focal: f64,
    shots: usize,
    minutes_after: f64,
    /// What the lights did, in stops.
    light: f64,
    /// Index of the drawing its pictures show.
    tone: u8,
}

/// A report under construction: rows are appended in shooting order.
pub struct Builder {
    report: Report,
    second: f64,
    level: f64,
    before: Option<(Settings, f64)>,
    camera: (&'static str, &'static str),
    counter: usize,
    with_pictures: bool,
}

impl Builder {
    fn new() -> Self {
        Self {
            report: empty(),
            second: 19.0 * 3600.0 + 131.0,
            level: -4.6,
            before: None,
            camera: ("Field Camera II", "1042"),
            counter: 400,
            with_pictures: true,
        }
    }

    fn taken(&self) -> String {
        let second = self.second as u64;
        let (day, second) = (14 + second / 86_400, second % 86_400);
        format!("2026-03-{day:02}T{:02}:{:02}:{:02}", second / 3600, second / 60 % 60, second % 60)
    }

    fn stage(&mut self, part: &Part) -> &mut Self {
        let number = u32::try_from(self.report.stages.len() + 1).unwrap();
        let first_index = self.report.frames.len();
        let lens = format!("{} mm f/2 prime", part.focal);
        let previous = self.level;
        let account = self.before.map(|(before, _)| {
            let (flash, ambient) = before.change(part.settings);
            self.level += flash + part.light;
            account(before, part.settings, previous, self.level, flash, ambient)
        });
        self.second += part.minutes_after * 60.0;
        let started = self.taken();
        for shot in 0..part.shots {
            let since = if shot == 0 { part.minutes_after * 60.0 } else { 7.0 };
            self.second += if shot == 0 { 0.0 } else { since };
            self.counter += 1;
            let wobble = f64::from(u8::try_from(shot % 3).unwrap()) * 0.05 - 0.05;
            let level = self.level + wobble;
            self.report.frames.push(FrameRow {
                frame: format!("card-a/DSC_{:04}.JPG", self.counter),
                camera: self.camera.0.to_owned(),
                body_serial: self.camera.1.to_owned(),
                lens: lens.clone(),
                taken: self.taken(),
                focal_length_mm: Some(part.focal),
                f_number: Some(part.settings.aperture.1),
                exposure_time_s: Some(part.settings.shutter.1),
                iso: Some(part.settings.iso),
                stage: Some(number),
                setup: Some(number),
                seconds_since_previous: (first_index + shot > 0).then_some(since),
                mean_luminance: Some(0.18 * libm::pow(2.0, level)),
                mean_luminance_stops: Some(level),
                highlights_clipped_percent: Some(if shot % 4 == 0 { 0.0 } else { 0.3 }),
                shadows_clipped_percent: Some(2.4),
                settings: part.settings.marked(),
                measured_from: "full picture".to_owned(),
                ..FrameRow::default()
            });
            let seed = u8::try_from(self.counter % 251).unwrap();
            self.report.pictures.push(self.with_pictures.then(|| pictures(part.tone, seed)));
        }
        let (flash, ambient) = part.settings.change(REFERENCE);
        let (first, last) = (&self.report.frames[first_index], &self.report.frames[self.report.frames.len() - 1]);
        let row = StageRow {
            stage: number,
            setup: number,
            camera: self.camera.0.to_owned(),
            first_frame: first.frame.clone(),
            last_frame: last.frame.clone(),
            frames: part.shots,
            started,
            seconds: Some(7.0 * (part.shots as f64 - 1.0)),
            lens,
            focal_length_mm: Some(part.focal),
            f_number: Some(part.settings.aperture.1),
            exposure_time_s: Some(part.settings.shutter.1),
            iso: Some(part.settings.iso),
            changed: part.changed.to_owned(),
            mean_luminance_stops: Some(self.level),
            light_change_stops: account.as_ref().and_then(|account| account.light_stops),
            settings: part.settings.marked(),
            detail: StageDetail {
                first_index,
                typical_index: first_index + part.shots / 2,
                first_met_in_stage: None,
                account,
                level: Some(BroughtLevel { flash_stops: self.level + flash, ambient_stops: self.level + ambient }),
            },
            ..StageRow::default()
        };
        self.report.stages.push(row);
        self.before = Some((part.settings, part.focal));
        self
    }

    fn finish(mut self) -> Report {
        let report = &mut self.report;
        report.summary.shots = report.frames.len();
        report.summary.files_seen = report.frames.len() + report.problems.iter().filter(|row| row.in_frames == "no").count();
        report.summary.measured = report.frames.iter().filter(|row| row.mean_luminance.is_some()).count();
        report.summary.stages = report.stages.len();
        report.summary.from = report.frames.iter().map(|row| row.taken.clone()).filter(|t| !t.is_empty()).min();
        report.summary.to = report.frames.iter().map(|row| row.taken.clone()).filter(|t| !t.is_empty()).max();
        let mut bodies: Vec<&str> = report.frames.iter().map(|row| row.body_serial.as_str()).collect();
        bodies.sort_unstable();
        bodies.dedup();
        report.summary.cameras = bodies.len();
        self.report
    }
}

fn account(before: Settings, after: Settings, from: f64, to: f64, flash: f64, ambient: f64) -> StageAccount {
    let mut lines = Vec::new();
    let mut line = |setting: &str, was: String, now: String, flash: f64, ambient: f64| {
        lines.push(AccountLine {
            setting: setting.to_owned(),
            from: was,
            to: now,
            flash_stops: Some(flash),
            ambient_stops: Some(ambient),
        });
    };
    if before.aperture.0 != after.aperture.0 {
        let stops = before.aperture.2 - after.aperture.2;
        line("aperture", before.aperture.0.to_owned(), after.aperture.0.to_owned(), stops, stops);
    }
    if before.shutter.0 != after.shutter.0 {
        line("shutter", before.shutter.0.to_owned(), after.shutter.0.to_owned(), 0.0, after.shutter.2 - before.shutter.2);
    }
    if before.iso != after.iso {
        let stops = after.iso_stops() - before.iso_stops();
        line("ISO", before.iso.to_string(), after.iso.to_string(), stops, stops);
    }
    let picture = to - from;
    let agree = (flash - ambient).abs() < 0.05;
    StageAccount {
        brought_forward_stops: Some(from),
        lines,
        settings_flash_stops: Some(flash),
        settings_ambient_stops: Some(ambient),
        picture_stops: Some(picture),
        light_stops: agree.then_some(picture - flash),
        light_stops_low: Some(picture - flash.max(ambient)),
        light_stops_high: Some(picture - flash.min(ambient)),
        stands_at_stops: Some(to),
        why_unknown: if agree { String::new() } else { "it depends on how much of the picture is ambient".to_owned() },
    }
}

/// A report without a single row.
#[must_use]
pub fn empty() -> Report {
    Report {
        schema: SCHEMA,
        shoot: "tram-shed".to_owned(),
        summary: Summary {
            shots: 0,
            cameras: 0,
            stages: 0,
            files_seen: 0,
            companions: 0,
            files_without_row: 0,
            other_files: 0,
            measured: 0,
            from: None,
            to: None,
        },
        reference: None,
        frames: Vec::new(),
        stages: Vec::new(),
        lightings: Vec::new(),
        light_ledger: Vec::new(),
        findings: Vec::new(),
        problems: Vec::new(),
        keepers: Vec::new(),
        not_known: Vec::new(),
        pictures: Vec::new(),
    }
}

fn evening_parts() -> Vec<Part> {
    let at = |aperture, shutter, iso| Settings { aperture, shutter, iso };
    let part = |changed, settings, focal, shots, minutes_after, light, tone| Part {
        changed,
        settings,
        focal,
        shots,
        minutes_after,
        light,
        tone,
    };
    vec![
        part("the first shot", at(F28, T200, 100), 50.0, 2, 0.0, 0.0, 0),
        part("shutter 1/200 to 1/50", at(F28, T50, 100), 50.0, 2, 1.4, 1.9, 0),
        part("shutter 1/50 to 1/200, aperture f/2.8 to f/4", at(F4, T200, 100), 50.0, 3, 3.4, 0.9, 1),
        part("aperture f/4 to f/2.8", at(F28, T200, 100), 50.0, 3, 2.0, 0.0, 1),
        part("a change beyond the settings", at(F28, T200, 100), 50.0, 5, 5.1, 0.2, 2),
        part("lens 50 mm to 85 mm", at(F28, T200, 100), 85.0, 3, 4.6, 0.0, 2),
        part("lens 85 mm to 50 mm", at(F28, T200, 100), 50.0, 5, 4.3, -0.6, 2),
        part("a change beyond the settings", at(F28, T200, 100), 50.0, 4, 7.0, 1.1, 3),
        part("lens 50 mm to 35 mm", at(F28, T200, 100), 35.0, 3, 3.1, -0.1, 3),
        part("lens 35 mm to 50 mm, ISO 100 to 200", at(F28, T200, 200), 50.0, 4, 10.0, -0.8, 4),
        part("ISO 200 to 100", at(F28, T200, 100), 50.0, 30, 3.2, 1.3, 5),
        part("aperture f/2.8 to f/2, ISO 100 to 50", at(F2, T200, 50), 50.0, 5, 4.1, 0.0, 5),
    ]
}

/// The evening in the tram shed.
#[must_use]
pub fn evening() -> Report {
    let mut builder = Builder::new();
    builder.report.reference = Some(Reference { marked: REFERENCE.marked() });
    for part in &evening_parts() {
        builder.stage(part);
    }
    let report = &mut builder.report;
    report.stages[3].detail.first_met_in_stage = Some(1);
    let lost = report.stages[5].detail.account.as_mut().unwrap();
    (lost.light_stops, lost.light_stops_low, lost.light_stops_high) = (None, None, None);
    lost.why_unknown = "another focal length shows another part of the shed, so the pictures cannot be compared".to_owned();
    report.frames[20].problems = "time-equal".to_owned();
    report.findings.push(FindingRow {
        frame: "card-a/DSC_0426.JPG".to_owned(),
        stage: Some(8),
        code: "settings-slip".to_owned(),
        finding: "one shot with other settings between shots that agree".to_owned(),
        evidence: "ISO 125 between shots at ISO 100".to_owned(),
        certainty: "certain".to_owned(),
        remedy: "check the settings of this shot; lock the dial or switch automatic ISO off".to_owned(),
        ..FindingRow::default()
    });
    report.problems = vec![
        problem("card-a/DSC_0470.JPG", "picture-truncated", "could not read", "no"),
        problem("card-a/DSC_0471.JPG", "file-empty", "could not read", "no"),
        problem("card-a/DSC_0472.JPG", "file-empty", "could not read", "no"),
        problem("card-a/DSC_0421.JPG", "time-equal", "note", "yes"),
    ];
    report.not_known = vec![
        NotKnown {
            what: "which light did what".to_owned(),
            why: "there are no light notes".to_owned(),
            remedy: "correct light-notes-draft.csv, save it as light-notes.csv beside the shots, and run again".to_owned(),
        },
        NotKnown {
            what: "what fell on the dancer".to_owned(),
            why: "no subject is marked".to_owned(),
            remedy: "add one subject line to the notes, or give --subject".to_owned(),
        },
    ];
    builder.finish()
}

/// A row of problems.csv with the registry's own words.
#[must_use]
pub fn problem(file: &str, code: &str, weight: &str, in_frames: &str) -> ProblemRow {
    let entry = stoptally::problem::REGISTRY.iter().find(|entry| entry.name == code).unwrap();
    ProblemRow {
        file: file.to_owned(),
        code: code.to_owned(),
        problem: entry.text.to_owned(),
        remedy: entry.remedy.to_owned(),
        weight: weight.to_owned(),
        in_frames: in_frames.to_owned(),
    }
}

/// A drawing that stands in for a photograph: beams on a dark floor.
fn pictures(tone: u8, seed: u8) -> FramePictures {
    static DRAWN: Mutex<BTreeMap<(u8, u8), FramePictures>> = Mutex::new(BTreeMap::new());
    let seed = seed % 3;
    DRAWN.lock().unwrap().entry((tone, seed)).or_insert_with(|| drawn(tone, seed)).clone()
}

fn drawn(tone: u8, seed: u8) -> FramePictures {
    FramePictures { preview: drawing(480, 320, tone, seed), thumbnail: drawing(128, 85, tone, seed) }
}

fn drawing(width: u16, height: u16, tone: u8, seed: u8) -> Picture {
    let mut pixels = Vec::with_capacity(usize::from(width) * usize::from(height) * 3);
    for y in 0..height {
        for x in 0..width {
            let (u, v) = (f64::from(x) / f64::from(width), f64::from(y) / f64::from(height));
            let grain = f64::from((u32::from(x) * 7919 + u32::from(y) * 104_729 + u32::from(seed) * 31) % 97) / 97.0;
            let pool = (1.0 - ((u - 0.5) * 2.2).abs() - ((v - 0.6) * 1.8).abs()).max(0.0) * f64::from(tone.min(5)) / 5.0;
            let beam = (1.0 - ((v - 0.2 - u * 0.5) * 6.0).abs()).max(0.0) * if tone > 2 { 0.6 } else { 0.0 };
            let light = (0.03 + pool * 0.8 + beam * 0.5 + grain * 0.04).min(1.0);
            pixels.extend([light, light * 0.94, light * 0.85].map(|c| (c * 255.0) as u8));
        }
    }
    let mut jpeg = Vec::new();
    let encoder = jpeg_encoder::Encoder::new(&mut jpeg, 80);
    encoder.encode(&pixels, width, height, jpeg_encoder::ColorType::Rgb).unwrap();
    Picture { width, height, jpeg }
}

/// Two bodies without a shared moment.
#[must_use]
pub fn two_bodies() -> Report {
    let mut builder = Builder::new();
    builder.report.reference = Some(Reference { marked: REFERENCE.marked() });
    let parts = evening_parts();
    for part in &parts[..4] {
        builder.stage(part);
    }
    builder.camera = ("Field Camera II", "2077");
    (builder.before, builder.second, builder.level) = (None, 18.0 * 3600.0 + 41.0, -3.2);
    for part in &parts[..3] {
        builder.stage(part);
    }
    builder.finish()
}

/// 44 stages and 616 shots over a night, with a long gap in the middle.
#[must_use]
pub fn long_night() -> Report {
    let mut builder = Builder::new();
    builder.report.reference = Some(Reference { marked: REFERENCE.marked() });
    let parts = evening_parts();
    for number in 0..44 {
        let part = &parts[number % parts.len()];
        let shots = if number == 20 { 280 } else if number % 2 == 0 { 9 } else { 6 };
        let minutes_after = if number == 30 { 640.0 } else { 1.5 };
        builder.stage(&Part { shots, minutes_after, light: part.light * 0.3, ..*part });
    }
    builder.finish()
}
