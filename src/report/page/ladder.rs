//! From rows to rungs: which shots stand on which rung, what its marks are and what they say.
//!
//! Today a rung is a stage. A rung of a lighting will be built beside [`stage_rung`] from the lighting's own rows;
//! everything that draws a rung knows only [`Rung`].

use std::collections::{BTreeMap, BTreeSet};

use super::lane::{Kind, Lane, ONE_FIGURE, Reading};
use super::light_lanes;
use crate::report::light_types::LightDetail;
use crate::report::{FramePictures, FrameRow, LightingRow, Report, StageRow, words};

/// The rungs of one camera. Two cameras have no common order, so they never share a ladder.
pub struct Ladder<'a> {
    /// The camera's name, empty where no file says.
    pub camera: &'a str,
    /// Serial number of its body, empty where no file says.
    pub serial: &'a str,
    /// Its lights in their fixed order; none while they are not told apart.
    pub lights: Vec<&'a LightDetail>,
    /// In shooting order.
    pub rungs: Vec<Rung<'a>>,
}

/// One rung.
pub struct Rung<'a> {
    /// Anchor on the page.
    pub id: String,
    /// Its number as people read it.
    pub number: u32,
    /// What began it.
    pub changed: &'a str,
    /// What the lights or the scene did beyond the settings; None for a camera's first rung.
    pub beyond: Option<Beyond<'a>>,
    /// The rung before, where there is one.
    pub before: Option<&'a StageRow>,
    /// Its stages; one for now.
    pub stages: Vec<&'a StageRow>,
    /// Its shots in order.
    pub shots: Vec<Shot<'a>>,
    /// Place among `shots` of the typical frame.
    pub typical: usize,
    /// Marks on the scale, in their fixed order.
    pub lanes: Vec<Lane>,
    /// Its lighting, where that is known.
    pub lighting: Option<Lighting<'a>>,
    /// Whether lens or focal length changed here.
    pub lens_changed: bool,
    /// Keepers among the shots, where keepers were given.
    pub keepers: Option<u32>,
    /// Seconds between the last shot before and the first here.
    pub gap_seconds: Option<f64>,
}

/// The lighting of a rung.
#[derive(Clone, Copy)]
pub struct Lighting<'a> {
    /// Its row.
    pub row: &'a LightingRow,
    /// The rung where it was first met, when that is another one.
    pub first_met: Option<u32>,
}

/// One shot with its pictures.
#[derive(Clone, Copy)]
pub struct Shot<'a> {
    /// Index into `Report::frames`.
    pub place: usize,
    /// Its row.
    pub row: &'a FrameRow,
    /// Its pictures.
    pub pictures: Option<&'a FramePictures>,
    /// A light that was set on did not burn in it.
    pub misfired: bool,
}

/// What lies beyond the settings.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Beyond<'a> {
    /// A figure in stops.
    Known(f64),
    /// Somewhere between two figures.
    Between(f64, f64),
    /// Not known, with the reason.
    Unknown(&'a str),
}

impl Ladder<'_> {
    /// The camera's name and the serial number that tells two of a kind apart.
    #[must_use]
    pub fn name(&self) -> String {
        let name = if self.camera.is_empty() { "camera not known".to_owned() } else { words::visible(self.camera) };
        if self.serial.is_empty() { name } else { format!("{name}, body {}", words::visible(self.serial)) }
    }
}

/// The ladders of a shoot, one per camera, in the order of the rows.
#[must_use]
pub fn ladders(report: &Report) -> Vec<Ladder<'_>> {
    let mut shots: BTreeMap<u32, Vec<Shot<'_>>> = BTreeMap::new();
    let misfired: BTreeSet<&str> =
        report.light_ledger.iter().filter(|row| row.misfire == "yes").map(|row| row.frame.as_str()).collect();
    for (place, row) in report.frames.iter().enumerate() {
        if let Some(stage) = row.stage {
            let pictures = report.pictures.get(place).and_then(Option::as_ref);
            let misfired = misfired.contains(row.frame.as_str());
            shots.entry(stage).or_default().push(Shot { place, row, pictures, misfired });
        }
    }
    let mut ladders: Vec<Ladder<'_>> = Vec::new();
    let mut before: Option<&StageRow> = None;
    for stage in &report.stages {
        let serial = report.frames.get(stage.detail.first_index).map_or("", |row| row.body_serial.as_str());
        let of_stage = shots.remove(&stage.stage).unwrap_or_default();
        if !ladders.last().is_some_and(|ladder| ladder.camera == stage.camera && ladder.serial == serial) {
            ladders.push(Ladder { camera: &stage.camera, serial, lights: lights(report, stage), rungs: Vec::new() });
            before = None;
        }
        if let Some(ladder) = ladders.last_mut() {
            let rung = stage_rung(report, &ladder.lights, stage, before, of_stage);
            ladder.rungs.push(rung);
        }
        before = Some(stage);
    }
    for ladder in &mut ladders {
        light_lanes::place_gaps(&mut ladder.rungs, ladder.lights.len());
    }
    ladders
}

/// The lights of the camera that shot a stage.
fn lights<'a>(report: &'a Report, stage: &StageRow) -> Vec<&'a LightDetail> {
    let of_stage = stage.detail.light_account.as_ref().and_then(|account| account.each_light.first());
    let sequence = of_stage.and_then(|state| report.lights.get(state.light_index)).map(|light| light.sequence);
    report.lights.iter().filter(|light| Some(light.sequence) == sequence).collect()
}

fn lighting<'a>(report: &'a Report, stage: &StageRow) -> Option<Lighting<'a>> {
    let row = report.lightings.iter().find(|row| Some(row.lighting) == stage.lighting)?;
    let first_met = row.detail.stage_numbers.first().copied().filter(|first| *first != stage.stage);
    Some(Lighting { row, first_met })
}

fn stage_rung<'a>(
    report: &'a Report,
    lights: &[&LightDetail],
    stage: &'a StageRow,
    before: Option<&'a StageRow>,
    shots: Vec<Shot<'a>>,
) -> Rung<'a> {
    let typical_row = report.frames.get(stage.detail.typical_index);
    let typical = shots.iter().position(|shot| typical_row.is_some_and(|row| std::ptr::eq(row, shot.row)));
    Rung {
        id: format!("stage-{}", stage.stage),
        number: stage.stage,
        changed: &stage.detail.headline,
        beyond: stage.detail.account.as_ref().map(|account| {
            match (account.light_stops, account.light_stops_low, account.light_stops_high) {
                (Some(stops), _, _) => Beyond::Known(stops),
                (None, Some(low), Some(high)) => Beyond::Between(low, high),
                _ => Beyond::Unknown(&account.why_unknown),
            }
        }),
        before,
        typical: typical.unwrap_or(0),
        lanes: light_lanes::lanes(report, lights, stage, &shots).unwrap_or_else(|| lanes(report, stage, &shots)),
        lighting: lighting(report, stage),
        lens_changed: before.is_some_and(|b| b.lens != stage.lens || b.focal_length_mm != stage.focal_length_mm),
        keepers: stage.keepers.filter(|_| report.keeper_count.is_some()),
        gap_seconds: before.and(shots.first()).and_then(|shot| shot.row.seconds_since_previous),
        stages: vec![stage],
        shots,
    }
}

/// The picture as shot, as its mean luminance says.
pub fn as_shot(stage: &StageRow, shots: &[Shot<'_>], kind: Kind) -> Lane {
    let black = shots.iter().any(|shot| shot.row.mean_luminance == Some(0.0));
    let reading = match stage.mean_luminance_stops {
        Some(stops) if stops.is_finite() => Reading::At(stops),
        Some(_) => Reading::Black,
        None if black => Reading::Black,
        None => Reading::Unknown("no picture of this stage could be measured".to_owned()),
    };
    let from = format!(
        "Stage {}, as shot: median of the mean luminance of its {}, {}, as log2(Y / 0.18). Y is the mean over all \
         pixels in linear light, ITU-R BT.709 weights.",
        stage.stage,
        words::count(stage.frames, "shot", "shots"),
        frames_span(&stage.first_frame, &stage.last_frame),
    );
    Lane::of_picture("as shot", kind, from, reading)
}

fn lanes(report: &Report, stage: &StageRow, shots: &[Shot<'_>]) -> Vec<Lane> {
    let first = as_shot(stage, shots, Kind::AsShot);
    let as_shot = first.reading.clone();
    let mut lanes = vec![first];
    if let Some(reference) = &report.reference {
        let reading = match (&stage.detail.level, as_shot) {
            (Some(level), Reading::At(_)) => Reading::Open { flash: level.flash_stops, ambient: level.ambient_stops },
            (_, Reading::Black) => Reading::Unknown("a black picture cannot be brought to other settings".to_owned()),
            (_, Reading::Unknown(_)) => return lanes,
            _ => Reading::Unknown("a setting of this stage is not known".to_owned()),
        };
        let same = |ends: (f64, f64)| {
            let shot = stage.mean_luminance_stops.unwrap_or(f64::NAN);
            (ends.0 - shot).abs() < ONE_FIGURE && (ends.1 - shot).abs() < ONE_FIGURE
        };
        if let (Some(lane), true) = (lanes.first_mut(), reading.ends().is_some_and(same)) {
            (lane.kind, lane.name) = (Kind::Both, "level".to_owned());
            return lanes;
        }
        let from = format!(
            "Stage {}, brought from {} to {}: the level as shot plus the settings’ effect. Aperture and ISO act on all light, \
             shutter on ambient alone; so the two ends differ where the shutter does.",
            stage.stage, stage.settings, reference.marked,
        );
        lanes.push(Lane::of_picture("brought", Kind::Brought, from, reading));
    }
    lanes
}

/// `0402` or `0402 to 0408`.
#[must_use]
pub fn frames_span(first: &str, last: &str) -> String {
    let (first, last) = (words::file_name(first), words::file_name(last));
    if first == last { first.to_owned() } else { format!("{first} to {last}") }
}
