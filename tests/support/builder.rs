//! Builds a report stage by stage, so that levels, settings and accounts agree with each other.

use stoptally::report::{AccountLine, BroughtLevel, FrameRow, Report, StageAccount, StageDetail, StageRow};

use super::drawing::pictures;
use super::sample_report::empty;

/// Aperture, shutter as marked, and what they mean in stops (2 log2 N, log2 t).
#[derive(Clone, Copy)]
pub struct Settings {
    pub aperture: (&'static str, f64, f64),
    pub shutter: (&'static str, f64, f64),
    pub iso: u32,
}

pub const F2: (&str, f64, f64) = ("f/2", 2.0, 2.0);
pub const F28: (&str, f64, f64) = ("f/2.8", 2.8, 3.0);
pub const F4: (&str, f64, f64) = ("f/4", 4.0, 4.0);
pub const T200: (&str, f64, f64) = ("1/200", 0.005, -7.5);
pub const T50: (&str, f64, f64) = ("1/50", 0.02, -5.5);
pub const REFERENCE: Settings = Settings { aperture: F28, shutter: T200, iso: 100 };

impl Settings {
    pub fn marked(self) -> String {
        format!("{}, {}, ISO {}", self.aperture.0, self.shutter.0, self.iso)
    }

    fn iso_stops(self) -> f64 {
        libm::log2(f64::from(self.iso) / 100.0)
    }

    /// Effect of going from `self` to `to` on flash and on ambient.
    pub fn change(self, to: Self) -> (f64, f64) {
        let flash = self.aperture.2 - to.aperture.2 + to.iso_stops() - self.iso_stops();
        (flash, flash + to.shutter.2 - self.shutter.2)
    }
}

/// What a stage of the sample is made of.
pub struct Part {
    pub changed: &'static str,
    pub settings: Settings,
    pub focal: f64,
    pub shots: usize,
    pub minutes_after: f64,
    /// What the lights did, in stops.
    pub light: f64,
    /// Index of the drawing its pictures show.
    pub tone: u8,
}

/// A report under construction: rows are appended in shooting order.
pub struct Builder {
    pub report: Report,
    pub second: f64,
    pub level: f64,
    pub before: Option<(Settings, f64)>,
    pub camera: (&'static str, &'static str),
    pub counter: usize,
    pub with_pictures: bool,
}

impl Builder {
    pub fn new() -> Self {
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

    pub fn stage(&mut self, part: &Part) -> &mut Self {
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
                headline: part.changed.to_owned(),
                first_index,
                typical_index: first_index + part.shots / 2,
                first_met_in_stage: None,
                account,
                level: Some(BroughtLevel { flash_stops: self.level + flash, ambient_stops: self.level + ambient }),
                light_account: None,
            },
            ..StageRow::default()
        };
        self.report.stages.push(row);
        self.before = Some((part.settings, part.focal));
        self
    }

    pub fn finish(mut self) -> Report {
        let report = &mut self.report;
        report.summary.shots = report.frames.len();
        report.summary.files_seen =
            report.frames.len() + report.problems.iter().filter(|row| row.in_frames == "no").count();
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
        line(
            "shutter",
            before.shutter.0.to_owned(),
            after.shutter.0.to_owned(),
            0.0,
            after.shutter.2 - before.shutter.2,
        );
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
