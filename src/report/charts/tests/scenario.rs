//! Reports of an invented shoot: a dancer in a disused tram shed, chalk dust in the air, lights key, rim, dust-left, dust-right.

use super::super::super::light_types::{AmbientState, LightAccount, LightDetail, LightState, LightingDetail};
use super::super::super::{
    AccountLine, FrameRow, LedgerRow, LightingRow, Report, StageAccount, StageDetail, StageRow, Summary,
};

/// Settings a stage is shot at.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Set {
    pub f_number: f64,
    pub time: (&'static str, f64),
    pub iso: u32,
}

/// One stage to be made.
#[derive(Clone, Debug)]
pub struct Stage {
    pub set: Set,
    pub shots: usize,
    /// Mean luminance in stops; None is not measured.
    pub level: Option<f64>,
    pub changed: String,
    pub light: [Option<f64>; 3],
    pub why: String,
}

pub const NIGHT: Set = Set { f_number: 8.0, time: ("1/200", 1.0 / 200.0), iso: 100 };

pub fn stage(set: Set, shots: usize, level: f64, changed: &str) -> Stage {
    Stage { set, shots, level: Some(level), changed: changed.into(), light: [None; 3], why: String::new() }
}

/// Adds a camera's stages to a report.
pub fn shoot(report: &mut Report, camera: &str, serial: &str, stages: &[Stage]) {
    let mut before: Option<Set> = None;
    for made in stages {
        let number = report.stages.len() as u32 + 1;
        let first_index = report.frames.len();
        let settings = format!("f/{}, {}, ISO {}", made.set.f_number, made.set.time.0, made.set.iso);
        for shot in 0..made.shots {
            let index = report.frames.len();
            // A gentle, fixed scatter so that shots of one stage differ.
            let level = made.level.map(|l| l + 0.12 * ((index * 7 % 5) as f64 - 2.0) / 2.0);
            let mean = level.map(|l| 0.18 * libm::exp2(l));
            let clipped = level.map(|l| if l > -3.0 { 0.4 * (l + 3.0) * (1 + shot % 3) as f64 } else { 0.0 });
            report.frames.push(FrameRow {
                frame: format!("shed_{:04}.jpg", index + 1),
                camera: camera.into(),
                body_serial: serial.into(),
                lens: "35mm f/2".into(),
                taken: format!("2024-11-02T19:{:02}:{:02}", (index * 2 / 3) % 60, index * 7 % 60),
                f_number: Some(made.set.f_number),
                exposure_time_s: Some(made.set.time.1),
                iso: Some(made.set.iso),
                stage: Some(number),
                mean_luminance: mean,
                mean_luminance_stops: level,
                median_luminance: mean.map(|m| m * 0.45),
                highlights_clipped_percent: clipped,
                highlights_clipped_r_percent: clipped.map(|c| c * 0.9),
                highlights_clipped_g_percent: clipped.map(|c| c * 0.3),
                highlights_clipped_b_percent: clipped.map(|c| c * 0.05),
                shadows_clipped_percent: level.map(|l| if l < -5.0 { 8.0 * -l } else { 0.02 }),
                settings: settings.clone(),
                ..FrameRow::default()
            });
        }
        report.stages.push(StageRow {
            stage: number,
            camera: camera.into(),
            frames: made.shots,
            changed: made.changed.clone(),
            settings,
            detail: StageDetail {
                headline: made.changed.clone(),
                first_index,
                account: before.map(|b| account(b, made)),
                ..StageDetail::default()
            },
            ..StageRow::default()
        });
        before = Some(made.set);
    }
    report.summary.shots = report.frames.len();
}

fn account(before: Set, made: &Stage) -> StageAccount {
    let aperture = 2.0 * libm::log2(before.f_number / made.set.f_number);
    let shutter = libm::log2(made.set.time.1 / before.time.1);
    let iso = libm::log2(f64::from(made.set.iso) / f64::from(before.iso));
    StageAccount {
        lines: vec![AccountLine { setting: "aperture".into(), flash_stops: Some(aperture), ..AccountLine::default() }],
        settings_flash_stops: Some(aperture + iso),
        settings_ambient_stops: Some(aperture + shutter + iso),
        light_stops: made.light[0],
        light_stops_low: made.light[1],
        light_stops_high: made.light[2],
        why_unknown: made.why.clone(),
        ..StageAccount::default()
    }
}

pub fn empty() -> Report {
    Report {
        generator: crate::report::GENERATOR,
        schema: 1,
        shoot: "tram-shed".into(),
        summary: Summary {
            shots: 0,
            cameras: 1,
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
        frames: vec![],
        stages: vec![],
        lightings: vec![],
        light_ledger: vec![],
        lights: vec![],
        light_by_camera: vec![],
        findings: vec![],
        problems: vec![],
        culling: Vec::new(),
        keepers: vec![],
        keeper_count: None,
        not_known: vec![],
        next_time: crate::report::next_types::NextTime::default(),
        notes_draft: None,
        pictures: vec![],
        light_pictures: vec![],
        prints: std::collections::BTreeMap::new(),
        boards: crate::report::board_types::Boards::default(),
    }
}

/// The evening as built: ambient first, then light by light.
pub fn evening() -> Vec<Stage> {
    let dark = Set { time: ("1/60", 1.0 / 60.0), ..NIGHT };
    let open = Set { f_number: 5.6, ..NIGHT };
    let high = Set { iso: 400, ..dark };
    let mut stages = vec![
        stage(dark, 3, -8.6, ""),
        stage(high, 2, -6.5, "ISO 100 to 400"),
        stage(NIGHT, 6, -5.2, "shutter 1/60 to 1/200, ISO 400 to 100; a light more"),
        stage(NIGHT, 5, -4.1, "the light changed: brighter at the left"),
        stage(open, 9, -3.2, "aperture f/8 to f/5.6"),
        stage(open, 4, -2.6, "the light changed: dust lit from the right"),
        stage(open, 8, -2.9, "lens 35mm to 85mm"),
        stage(dark, 8, -3.3, "aperture f/5.6 to f/8, shutter 1/200 to 1/60"),
    ];
    let light = [
        [None; 3],
        [Some(0.04), Some(0.04), Some(0.04)],
        [None, Some(2.1), Some(4.3)],
        [Some(1.1), Some(1.1), Some(1.1)],
        [Some(-0.1), Some(-0.1), Some(-0.1)],
        [Some(0.6), Some(0.6), Some(0.6)],
        [None; 3],
        [None, Some(-1.2), Some(0.5)],
    ];
    for (made, light) in stages.iter_mut().zip(light) {
        made.light = light;
    }
    stages[6].why = "the lens changed, so the picture is another one".into();
    stages
}

pub fn evening_report() -> Report {
    let mut report = empty();
    shoot(&mut report, "Body A", "1", &evening());
    report
}

/// The lights of the shoot, in their order.
pub const LIGHTS: [&str; 4] = ["key", "rim", "dust-left", "dust-right"];

/// One light in one shot.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum As {
    Off,
    /// Strength against its reference, and how far the interval reaches either way.
    At(f64, f64),
    Misfire,
    Unknown(&'static str),
}

/// Adds lights to the shots from `first` on, a row of `shots` each.
pub fn light(report: &mut Report, names: &[&str], shots: &[&[As]], first: usize) {
    let lights_before = report.lights.len();
    let sequence = report.lights.last().map_or(0, |light| light.sequence + 1);
    for name in names {
        report.lights.push(LightDetail { light: (*name).into(), sequence, ..LightDetail::default() });
    }
    for (place, shot) in shots.iter().enumerate() {
        let frame_index = first + place;
        for (l, as_seen) in shot.iter().enumerate() {
            let (on, misfire, figure, reason) = match as_seen {
                As::Off => ("no", "no", None, ""),
                As::At(at, reach) => ("yes", "no", Some((*at, *reach)), ""),
                As::Misfire => ("no", "yes", None, ""),
                As::Unknown(why) => ("unknown", "unknown", None, *why),
            };
            report.light_ledger.push(LedgerRow {
                frame: report.frames[frame_index].frame.clone(),
                light: names[l].into(),
                on: on.into(),
                misfire: misfire.into(),
                light_stops: figure.map(|(at, _)| at),
                light_stops_low: figure.map(|(at, reach)| at - reach),
                light_stops_high: figure.map(|(at, reach)| at + reach),
                reason: reason.into(),
                frame_index,
                light_index: lights_before + l,
                ..LedgerRow::default()
            });
        }
        let frame = &mut report.frames[frame_index];
        frame.ambient_stops = Some(-0.02 * place as f64);
        frame.ambient_headroom_stops = Some(5.0);
    }
}

/// Adds a lighting with these shares in percent; None is a light that is not told.
pub fn lighting(report: &mut Report, changed: &str, shares: &[Option<f64>], ambient: Option<f64>) {
    let state = |(light_index, share): (usize, &Option<f64>)| LightState {
        light: report.lights[light_index].light.clone(),
        light_index,
        on: match share {
            Some(0.0) => "no",
            Some(_) => "yes",
            None => "unknown",
        }
        .into(),
        share_of_frame_percent: share.filter(|s| *s > 0.0),
        ..LightState::default()
    };
    let each_light = shares.iter().enumerate().map(state).collect();
    let ambient = AmbientState { share_percent: ambient, ..AmbientState::default() };
    report.lightings.push(LightingRow {
        lighting: report.lightings.len() as u32 + 1,
        changed: changed.into(),
        detail: LightingDetail {
            light_account: LightAccount { each_light, ambient, ..LightAccount::default() },
            ..LightingDetail::default()
        },
        ..LightingRow::default()
    });
}

/// Twelve shots in four lightings: ambient alone, key and rim, all four with a misfire, and one where the rim is not told.
pub fn lit_report() -> Report {
    use As::{At, Misfire, Off, Unknown};
    let mut report = empty();
    let stages = [(3, "no light on"), (3, "key on"), (4, "dust-left on"), (2, "rim not told")];
    let stages: Vec<Stage> = stages.iter().map(|(shots, changed)| stage(NIGHT, *shots, -3.0, changed)).collect();
    shoot(&mut report, "Body A", "1", &stages);
    let (key, rim, dust) = (At(0.0, 0.1), At(-1.2, 0.3), At(0.8, 0.2));
    let all: [&[As]; 4] =
        [&[Off; 4], &[key, rim, Off, Off], &[key, rim, dust, dust], &[key, Unknown("never seen alone"), Off, dust]];
    let order = [0, 0, 0, 1, 1, 1, 2, 2, 2, 2, 3, 3];
    let mut shots: Vec<&[As]> = order.iter().map(|place| all[*place]).collect();
    let missed = [key, Misfire, dust, dust];
    shots[8] = &missed;
    light(&mut report, &LIGHTS, &shots, 0);
    for (frame, place) in report.frames.iter_mut().zip(order) {
        frame.lighting = Some(place as u32 + 1);
    }
    lighting(&mut report, "no light on", &[Some(0.0); 4], Some(100.0));
    lighting(&mut report, "key on, rim on", &[Some(60.0), Some(20.0), Some(0.0), Some(0.0)], Some(12.0));
    lighting(&mut report, "dust-left on, dust-right on", &[Some(30.0), Some(10.0), Some(30.0), Some(25.0)], Some(4.0));
    lighting(&mut report, "rim not told from here", &[Some(40.0), None, Some(0.0), Some(25.0)], Some(5.0));
    report
}
