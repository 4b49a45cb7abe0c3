//! Reports whose lights are told apart: the evening in the tram shed light by light, with a misfire, a light that is not
//! told, a lens change, a picture too dark to tell the ambient; and a shoot of many lights.
//!
//! Every figure follows from the strengths below: a light's place at the reference settings in stops against mid-grey.

use stoptally::report::light_types::{
    AmbientState, CameraLight, LightAccount, LightDetail, LightStand, LightState, LightingDetail, LitPicture, Ratio,
    Without,
};
use stoptally::report::{LedgerRow, LightingRow, Reference, Report};

use super::builder::{Builder, F2, F4, F28, Part, REFERENCE, Settings, T50, T200};
use super::drawing::{self, pictures};

/// One light on one stage.
#[derive(Clone, Copy)]
pub enum As {
    /// Set off.
    Off,
    /// Burned at this place: stops against mid-grey at the reference settings.
    At(f64),
    /// Set on at this place; missed in so many of the stage's last shots.
    Missed(f64, usize),
    /// Not told, whatever it did.
    Unknown(&'static str),
}

use As::{At, Missed, Off, Unknown};

/// One stage: its sentence, settings, focal length, shots, minutes before it, ambient, lights, lighting.
struct Lit {
    changed: &'static str,
    settings: Settings,
    focal: f64,
    shots: usize,
    minutes: f64,
    ambient: f64,
    lights: Vec<As>,
    lighting: Option<u32>,
}

const NAMES: [&str; 4] = ["key", "rim", "dust-left", "dust-right"];

fn evening() -> Vec<Lit> {
    let at = |aperture, shutter, iso| Settings { aperture, shutter, iso };
    let usual = at(F28, T200, 100);
    let lit = |changed, settings, shots, minutes, ambient, lights: [As; 4], lighting| Lit {
        changed,
        settings,
        focal: 50.0,
        shots,
        minutes,
        ambient,
        lights: lights.to_vec(),
        lighting: Some(lighting),
    };
    let apart = "another focal length: the light pictures of 50 mm do not serve here";
    let never = "never seen alone since the dancer came in";
    let mut all = vec![
        lit("no light on", usual, 2, 0.0, -4.6, [Off; 4], 1),
        lit("shutter 1/200 to 1/50", at(F28, T50, 100), 2, 1.4, -4.7, [Off; 4], 1),
        lit("key on at 1/8", usual, 6, 3.4, -4.9, [At(-2.4), Off, Off, Off], 2),
        lit("rim on at 1/16", usual, 5, 5.0, -5.3, [At(-2.4), At(-4.6), Off, Off], 3),
        lit("key 1/8 to 1/16 (picture -1.0)", usual, 5, 6.0, -5.7, [At(-3.4), At(-4.6), Off, Off], 4),
        lit("dust-left on at 1/4", usual, 7, 5.0, -6.1, [At(-3.4), At(-4.6), At(-2.5), Off], 5),
        lit(
            "key off, dust-left off, dust-right on",
            at(F28, T200, 200),
            4,
            9.0,
            -6.5,
            [Off, Unknown(never), Off, At(-2.9)],
            6,
        ),
        lit("key on, dust-left on", usual, 13, 2.0, -6.8, [At(-3.4), Missed(-4.6, 2), At(-2.5), At(-2.9)], 7),
        lit("lens 50 mm to 35 mm", usual, 5, 4.0, -6.9, [Unknown(apart); 4], 7),
        lit(
            "lens 35 mm to 50 mm, aperture f/2.8 to f/4",
            at(F4, T200, 100),
            4,
            3.0,
            -7.2,
            [At(-3.4), At(-4.6), At(-2.5), At(-2.9)],
            7,
        ),
        lit("rim set on, dust-left off", usual, 2, 4.0, -7.4, [At(-3.4), Missed(-4.6, 2), Off, At(-2.9)], 8),
        lit(
            "rim off, dust-right off, aperture f/2.8 to f/2",
            at(F2, T200, 100),
            4,
            6.0,
            -9.6,
            [At(-3.4), Off, Off, Off],
            9,
        ),
    ];
    all[8].focal = 35.0;
    all
}

/// The evening light by light.
#[must_use]
pub fn lit_evening() -> Report {
    made(&evening(), &NAMES)
}

/// Fourteen lights on 30 stages, most of them on.
#[must_use]
pub fn many_lights() -> Report {
    let names: Vec<String> = (1..=14).map(|n| format!("light-{n}")).collect();
    let stages: Vec<Lit> = (0..30_usize)
        .map(|n| Lit {
            changed: "light-3 on",
            settings: REFERENCE,
            focal: 50.0,
            shots: 2 + n % 5,
            minutes: 1.5,
            ambient: -5.0 - n as f64 * 0.05,
            lights: (0..14_usize)
                .map(|l| match (n * 5 + l * 3) % 7 {
                    0 => Off,
                    1 if n > 3 => Unknown("two lights that burn together"),
                    2 if n % 4 == 1 => Missed(-3.0 - l as f64 * 0.3, 1),
                    _ => At(-3.0 - l as f64 * 0.3),
                })
                .collect(),
            lighting: Some(u32::try_from(n + 1).unwrap()),
        })
        .collect();
    made(&stages, &names.iter().map(String::as_str).collect::<Vec<_>>())
}

/// A long night light by light: so many shots on 44 stages of 44 lightings, each shot with a picture of its own that is as
/// hard to compress as a photograph.
#[must_use]
pub fn lit_night(shots: usize) -> Report {
    let once = evening();
    let stages: Vec<Lit> = (0..44_usize)
        .map(|n| {
            let part = &once[n % once.len()];
            let share = shots / 44 + usize::from(n < shots % 44);
            let lighting = Some(u32::try_from(n + 1).unwrap());
            Lit { shots: share, lights: part.lights.clone(), lighting, ..*part }
        })
        .collect();
    let mut report = made(&stages, &NAMES);
    for (place, pictures) in report.pictures.iter_mut().enumerate() {
        *pictures = Some(drawing::like_photographs(u32::try_from(place).unwrap()));
    }
    report
}

/// Linear parts of one stage as shot: each light's and the ambient's, mid-grey being 1.
fn parts(lit: &Lit) -> (Vec<f64>, f64) {
    let (flash, ambient) = REFERENCE.change(lit.settings);
    let light = |l: &As| match l {
        Missed(_, missed) if *missed >= lit.shots => 0.0,
        At(place) | Missed(place, _) => libm::exp2(place + flash),
        Off => 0.0,
        // What is not told still shines.
        Unknown(_) => libm::exp2(-3.5 + flash),
    };
    (lit.lights.iter().map(light).collect(), libm::exp2(lit.ambient + ambient))
}

fn made(stages: &[Lit], names: &[&str]) -> Report {
    let mut builder = Builder::new();
    builder.report.reference = Some(Reference { marked: REFERENCE.marked() });
    let mut before: Option<(Settings, f64)> = None;
    for lit in stages {
        let (lights, ambient) = parts(lit);
        let level = libm::log2(lights.iter().sum::<f64>() + ambient);
        let turned = before.map_or(0.0, |(was, _)| was.change(lit.settings).0);
        let light = before.map_or(0.0, |(_, was)| level - was - turned);
        builder.level = before.map_or(level, |(_, was)| was);
        let tone = lit.lights.iter().filter(|l| !matches!(l, Off)).count().min(5) as u8;
        builder.stage(&Part {
            changed: lit.changed,
            settings: lit.settings,
            focal: lit.focal,
            shots: lit.shots,
            minutes_after: lit.minutes,
            light,
            tone,
        });
        before = Some((lit.settings, level));
    }
    let mut report = builder.finish();
    details(&mut report, names);
    for (index, lit) in stages.iter().enumerate() {
        stage(&mut report, lit, names, index);
    }
    lightings(&mut report, stages);
    report.light_by_camera.push(CameraLight {
        camera: "Field Camera II".to_owned(),
        noted: true,
        curve: "from noted powers and settings".to_owned(),
        ambient_reference_frame: report.frames[0].frame.clone(),
        ambient_reference_index: Some(0),
        ambient_drift_stops: Some(-5.0),
        ambient_picture: Some(names.len()),
    });
    report
}

fn details(report: &mut Report, names: &[&str]) {
    for (index, name) in names.iter().enumerate() {
        report.lights.push(LightDetail {
            light: (*name).to_owned(),
            camera: "Field Camera II".to_owned(),
            sequence: 0,
            noted: true,
            role: if index == 0 { "main light".to_owned() } else { String::new() },
            reference_frame: report.frames[4 + index].frame.clone(),
            reference_index: Some(4 + index),
            has_solo: index != 1,
            print: None,
            picture: Some(index),
            ..LightDetail::default()
        });
        report.light_pictures.push(picture(format!("{name} alone"), index, if index == 1 { 30.0 } else { 0.0 }));
    }
    report.light_pictures.push(picture("ambient alone".to_owned(), names.len(), 0.0));
}

fn picture(caption: String, tone: usize, hatched_percent: f64) -> LitPicture {
    let thumbnail = pictures((tone % 6) as u8, (tone % 3) as u8).thumbnail;
    let picture = if hatched_percent > 0.0 { drawing::hatched(&thumbnail) } else { thumbnail };
    LitPicture { caption, picture, brightened_stops: 1.5, hatched_percent }
}

/// The ledger's rows and the account of one stage.
fn stage(report: &mut Report, lit: &Lit, names: &[&str], index: usize) {
    let row = report.stages[index].clone();
    let (lights, ambient) = parts(lit);
    let dark = lit.ambient < -9.0;
    let told = !lit.lights.iter().all(|l| matches!(l, Unknown(_)));
    let frames: Vec<usize> = (row.detail.first_index..row.detail.first_index + row.frames).collect();
    for (place, frame) in frames.iter().enumerate() {
        let burns = |l: &As| !matches!(l, Missed(_, n) if place + n >= row.frames);
        let sum: f64 =
            lit.lights.iter().zip(&lights).filter(|(l, _)| burns(l)).map(|(_, part)| part).sum::<f64>() + ambient;
        let level = libm::log2(sum);
        let frame_row = &mut report.frames[*frame];
        frame_row.lighting = lit.lighting;
        (frame_row.mean_luminance, frame_row.mean_luminance_stops) = (Some(0.18 * sum), Some(level));
        frame_row.ambient_share_percent = told.then_some(100.0 * ambient / sum);
        frame_row.ambient_headroom_stops = told.then_some(if dark { 5.0 } else { -libm::log2(ambient) });
        frame_row.ambient = if dark { "at least 5 stops under mid-grey" } else { "" }.to_owned();
        (frame_row.ambient_stops, frame_row.ambient_stops_low, frame_row.ambient_stops_high) = match told && !dark {
            true => (Some(lit.ambient + 4.6), Some(lit.ambient + 4.5), Some(lit.ambient + 4.7)),
            false => (None, None, None),
        };
        for (light_index, (as_set, part)) in lit.lights.iter().zip(&lights).enumerate() {
            let (on, misfire, stops, reason) = match as_set {
                Off => ("no", "no", None, ""),
                Missed(..) if !burns(as_set) => ("no", "yes", None, ""),
                At(place) | Missed(place, _) => ("yes", "no", Some(place + 3.4), ""),
                Unknown(why) => ("unknown", "unknown", None, *why),
            };
            report.light_ledger.push(LedgerRow {
                frame: report.frames[*frame].frame.clone(),
                stage: Some(row.stage),
                light: names[light_index].to_owned(),
                on: on.to_owned(),
                misfire: misfire.to_owned(),
                light_stops: stops,
                light_stops_low: stops.map(|s| s - 0.1 * (light_index + 1).min(4) as f64),
                light_stops_high: stops.map(|s| s + 0.1 * (light_index + 1).min(4) as f64),
                reference_frame: report.lights[light_index].reference_frame.clone(),
                share_of_frame_percent: stops.map(|_| 100.0 * part / sum),
                evidence: "worked out".to_owned(),
                agrees: "as noted".to_owned(),
                reason: reason.to_owned(),
                frame_index: *frame,
                light_index,
                ..LedgerRow::default()
            });
        }
    }
    let account = account(report, lit, names, &frames, dark, told);
    let stage = &mut report.stages[index];
    stage.lighting = lit.lighting;
    stage.lights = names
        .iter()
        .zip(&lit.lights)
        .filter_map(|(name, l)| match l {
            Off => None,
            Unknown(_) => Some(format!("{name} unknown")),
            At(_) | Missed(..) => Some(format!("{name} 1/8")),
        })
        .collect::<Vec<_>>()
        .join(";");
    if stage.lights.is_empty() {
        stage.lights = "none".to_owned();
    }
    stage.misfires = Some(account.each_light.iter().map(|l| l.misfires as u32).sum());
    stage.detail.light_account = Some(account);
}

fn account(report: &Report, lit: &Lit, names: &[&str], frames: &[usize], dark: bool, told: bool) -> LightAccount {
    let each_light = (0..names.len()).map(|light| state(report, &lit.lights[light], frames, light)).collect();
    let (_, ambient) = parts(lit);
    let headroom = if dark { 5.0 } else { -libm::log2(ambient) };
    let stops = (told && !dark).then_some(lit.ambient + 4.6);
    let ambient = AmbientState {
        stops,
        stops_low: stops.map(|s| s - 0.1),
        stops_high: stops.map(|s| s + 0.1),
        share_percent: report.frames[frames[0]].ambient_share_percent,
        at_most: dark,
        headroom_stops: told.then_some(headroom),
        words: match (told, dark) {
            (false, _) => "not known".to_owned(),
            (_, true) => "at least 5 stops under mid-grey".to_owned(),
            _ => format!("{headroom:.1} stops under mid-grey"),
        },
    };
    let ratios = vec![
        Ratio {
            what: "key to fill".to_owned(),
            words: "not known".to_owned(),
            why_unknown: "no burning light is named a fill: note its role as fill".to_owned(),
            ..Ratio::default()
        },
        Ratio {
            what: "key to ambient".to_owned(),
            of: "key".to_owned(),
            to: "ambient".to_owned(),
            stops: Some(2.5),
            over: "frame".to_owned(),
            words: "+2.5 stops over the frame: 5.7:1 light against light, 6.7:1 as both against the ambient".to_owned(),
            ..Ratio::default()
        },
    ];
    LightAccount { each_light, ambient, ratios }
}

fn state(report: &Report, as_set: &As, frames: &[usize], light: usize) -> LightState {
    let rows: Vec<&LedgerRow> =
        report.light_ledger.iter().filter(|r| r.light_index == light && frames.contains(&r.frame_index)).collect();
    let burned = rows.iter().find(|r| r.on == "yes");
    LightState {
        light: report.lights[light].light.clone(),
        light_index: light,
        on: match as_set {
            Off => "no",
            Unknown(_) => "unknown",
            At(_) | Missed(..) => "yes",
        }
        .to_owned(),
        stops: burned.and_then(|r| r.light_stops),
        stops_low: burned.and_then(|r| r.light_stops_low),
        stops_high: burned.and_then(|r| r.light_stops_high),
        noted_power: if matches!(as_set, Off) { String::new() } else { "1/8 -0.3".to_owned() },
        gel: if light == 2 { "CTO".to_owned() } else { String::new() },
        share_of_frame_percent: burned.and_then(|r| r.share_of_frame_percent),
        misfires: rows.iter().filter(|r| r.misfire == "yes").count(),
        frames_unknown: rows.iter().filter(|r| r.on == "unknown").count(),
        agrees: "as noted".to_owned(),
        reason: rows.iter().map(|r| r.reason.clone()).find(|r| !r.is_empty()).unwrap_or_default(),
        ..LightState::default()
    }
}

fn lightings(report: &mut Report, stages: &[Lit]) {
    let mut numbers: Vec<u32> = stages.iter().filter_map(|lit| lit.lighting).collect();
    numbers.dedup();
    for number in numbers {
        let own: Vec<_> = report.stages.iter().filter(|s| s.lighting == Some(number)).cloned().collect();
        let typical = own.iter().rev().max_by_key(|s| s.frames).unwrap();
        let account = typical.detail.light_account.clone().unwrap();
        let stands = account.each_light.iter().filter(|l| l.on != "no").map(stand).collect();
        report.light_pictures.push(picture(format!("lighting {number}, all its lights"), number as usize, 0.0));
        let whole = report.light_pictures.len() - 1;
        let mut without = Vec::new();
        for light in account.each_light.iter().filter(|l| l.on == "yes") {
            let missing = if light.light_index % 2 == 1 { 30.0 } else { 0.0 };
            report.light_pictures.push(picture(
                format!("lighting {number} without {}", light.light),
                light.light_index,
                missing,
            ));
            let left = light.share_of_frame_percent.map(|p| libm::log2(1.0 - p / 100.0));
            without.push(Without {
                light: light.light.clone(),
                light_index: light.light_index,
                frame_stops: left,
                subject_stops: None,
                words: left.map_or_else(
                    || format!("without {}: not known what goes", light.light),
                    |s| format!("without {}: the frame {:.1} stops darker", light.light, s.abs()),
                ),
                shows: "most at the right of the frame, 1.3 stops there".to_owned(),
                picture: Some(report.light_pictures.len() - 1),
                print: None,
                preview: None,
                print_hatched_percent: 0.0,
            });
        }
        report.lightings.push(LightingRow {
            lighting: number,
            stages: own.iter().map(|s| s.stage.to_string()).collect::<Vec<_>>().join(";"),
            frames: own.iter().map(|s| s.frames).sum(),
            lights: own[0].lights.clone(),
            changed: own[0].changed.clone(),
            camera: own[0].camera.clone(),
            first_frame: own[0].first_frame.clone(),
            misfires: own.iter().map(|s| s.misfires.unwrap_or(0) as usize).sum(),
            detail: LightingDetail {
                sequence: 0,
                typical_stage: typical.stage,
                typical_index: typical.detail.typical_index,
                stage_numbers: own.iter().map(|s| s.stage).collect(),
                light_account: account,
                set_anew_index: None,
                why_no_board: String::new(),
                whole_picture: Some(whole),
                without,
                stands,
                shows: "key on; brightest in the middle of the frame".to_owned(),
            },
            ..LightingRow::default()
        });
    }
}

/// Key in front at the left, rim behind at the right, dust-left without a height, dust-right without a clock position.
/// 3.9 m at 7:30: 3.9 times sin 45° is 2.757716. 5 m at 1:30: 3.535534. 5.4 m at 10: 5.4 times sin 60° and cos 60°.
fn stand(state: &LightState) -> LightStand {
    let (distance, hours, height, place, words) = match state.light_index % 4 {
        0 => (3.9, Some(7.5), Some(2.8), Some((-2.757_716, 2.757_716)), "3.9 m from the sitter at 7:30, 2.8 m high"),
        1 => (5.0, Some(1.5), Some(4.0), Some((3.535_534, -3.535_534)), "5 m from the sitter at 1:30, 4 m high"),
        2 => (5.4, Some(10.0), None, Some((-4.676_537, -2.7)), "5.4 m from the sitter at 10"),
        _ => (5.4, None, Some(1.4), None, "5.4 m from the sitter, 1.4 m high"),
    };
    LightStand {
        light: state.light.clone(),
        light_index: state.light_index,
        distance_m: Some(distance),
        clock_hours: hours,
        height_m: height,
        right_m: place.map(|(right, _)| right),
        towards_camera_m: place.map(|(_, towards)| towards),
        moved: state.light_index % 4 == 2,
        words: words.to_owned(),
        why_not_drawn: if place.is_some() { "" } else { "no clock position is noted" }.to_owned(),
    }
}
