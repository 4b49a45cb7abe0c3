//! From rows to rungs: which stages and shots stand on which rung, what its marks are and what they say.
//!
//! A rung is a lighting: the unbroken run of stages that share it. A lighting met again later has a rung of its own that says
//! so. Where lights are not told apart a rung is a stage. Everything that draws a rung knows only [`Rung`].

use std::collections::{BTreeMap, BTreeSet};

use super::lane::Lane;
use super::{light_lanes, picture_lanes};
use crate::report::light_types::LightDetail;
use crate::report::words::Kept;
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
    /// Anchor on the page: that of its first stage. The other stages have theirs in the opened part.
    pub id: String,
    /// What began it.
    pub changed: &'a str,
    /// What the lights or the scene did beyond the settings; None for a camera's first rung.
    pub beyond: Option<Beyond<'a>>,
    /// The last stage of the rung before, where there is one.
    pub before: Option<&'a StageRow>,
    /// Its first stage.
    pub first: &'a StageRow,
    /// Its stages in order, the first among them.
    pub stages: Vec<&'a StageRow>,
    /// The stage that its typical frame is of, and its marks where nothing else is said.
    pub base: &'a StageRow,
    /// Its shots in order.
    pub shots: Vec<Shot<'a>>,
    /// Place among `shots` of the typical frame.
    pub typical: usize,
    /// Marks on the scale, in their fixed order.
    pub lanes: Vec<Lane>,
    /// Its lighting, where that is known.
    pub lighting: Option<Lighting<'a>>,
    /// Places among `shots` before which lens or focal length changed.
    pub notches: BTreeSet<usize>,
    /// Keepers among the shots, where keepers were given.
    pub keepers: Option<Counted>,
    /// Seconds between the last shot before and the first here.
    pub gap_seconds: Option<f64>,
}

/// The lighting of a rung.
#[derive(Clone, Copy)]
pub struct Lighting<'a> {
    /// Its row.
    pub row: &'a LightingRow,
    /// Whether an earlier rung is of the same lighting.
    pub again: bool,
}

/// Keepers of a rung.
pub struct Counted {
    /// Figures.
    pub kept: Kept,
    /// Over which shots they are counted, in words; empty where only stages say.
    pub candidates: String,
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
    /// A light burned weaker in it than it was set.
    pub weak: bool,
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

impl Rung<'_> {
    /// "lighting 14", "stage 3".
    #[must_use]
    pub fn name(&self) -> String {
        match &self.lighting {
            Some(lighting) => format!("lighting {}", lighting.row.lighting),
            None => format!("stage {}", self.first.stage),
        }
    }

    /// Its number as people read it: that of its lighting, or of its stage.
    #[must_use]
    pub fn number(&self) -> u32 {
        self.lighting.map_or(self.first.stage, |lighting| lighting.row.lighting)
    }

    /// Whether its lens or focal length changed where it begins.
    #[must_use]
    pub fn lens_changed(&self) -> bool {
        self.notches.contains(&0)
    }
}

/// Whether any rung is a lighting.
#[must_use]
pub fn lit(ladders: &[Ladder<'_>]) -> bool {
    ladders.iter().flat_map(|ladder| &ladder.rungs).any(|rung| rung.lighting.is_some())
}

/// The ladders of a shoot, one per camera, in the order of the rows.
#[must_use]
pub fn ladders(report: &Report) -> Vec<Ladder<'_>> {
    let mut shots = shots(report);
    let mut met = BTreeSet::new();
    let mut ladders: Vec<Ladder<'_>> = Vec::new();
    let mut before: Option<&StageRow> = None;
    for run in report.stages.chunk_by(|a, b| together(report, a, b)) {
        let Some(first) = run.first() else { continue };
        let serial = body(report, first);
        if !ladders.last().is_some_and(|ladder| ladder.camera == first.camera && ladder.serial == serial) {
            ladders.push(Ladder { camera: &first.camera, serial, lights: lights(report, first), rungs: Vec::new() });
            before = None;
        }
        let of_run = run.iter().flat_map(|stage| shots.remove(&stage.stage).unwrap_or_default()).collect();
        let lighting = report.lightings.iter().find(|row| Some(row.lighting) == first.lighting);
        let lighting = lighting.map(|row| Lighting { row, again: !met.insert(row.lighting) });
        if let Some(ladder) = ladders.last_mut() {
            let rung = rung(report, &ladder.lights, (first, run), before, of_run, lighting);
            ladder.rungs.push(rung);
        }
        before = run.last();
    }
    for ladder in &mut ladders {
        light_lanes::place_gaps(&mut ladder.rungs, ladder.lights.len());
    }
    ladders
}

fn shots(report: &Report) -> BTreeMap<u32, Vec<Shot<'_>>> {
    let missed = report.light_ledger.iter().filter(|row| row.misfire == "yes");
    let missed: BTreeSet<&str> = missed.map(|row| row.frame.as_str()).collect();
    let weak = report.culling.iter().filter(|row| !row.short_lights.is_empty());
    let weak: BTreeSet<&str> = weak.map(|row| row.frame.as_str()).collect();
    let mut shots: BTreeMap<u32, Vec<Shot<'_>>> = BTreeMap::new();
    for (place, row) in report.frames.iter().enumerate() {
        if let Some(stage) = row.stage {
            let pictures = report.pictures.get(place).and_then(Option::as_ref);
            let (misfired, weak) = (missed.contains(row.frame.as_str()), weak.contains(row.frame.as_str()));
            shots.entry(stage).or_default().push(Shot { place, row, pictures, misfired, weak });
        }
    }
    shots
}

/// Serial number of the body that shot a stage.
fn body<'a>(report: &'a Report, stage: &StageRow) -> &'a str {
    report.frames.get(stage.detail.first_index).map_or("", |row| row.body_serial.as_str())
}

/// Whether two neighbouring stages stand on one rung.
fn together(report: &Report, a: &StageRow, b: &StageRow) -> bool {
    a.lighting.is_some() && a.lighting == b.lighting && a.camera == b.camera && body(report, a) == body(report, b)
}

/// The lights of the camera that shot a stage.
fn lights<'a>(report: &'a Report, stage: &StageRow) -> Vec<&'a LightDetail> {
    let of_stage = stage.detail.light_account.as_ref().and_then(|account| account.each_light.first());
    let sequence = of_stage.and_then(|state| report.lights.get(state.light_index)).map(|light| light.sequence);
    report.lights.iter().filter(|light| Some(light.sequence) == sequence).collect()
}

fn rung<'a>(
    report: &'a Report,
    lights: &[&LightDetail],
    (first, run): (&'a StageRow, &'a [StageRow]),
    before: Option<&'a StageRow>,
    shots: Vec<Shot<'a>>,
    lighting: Option<Lighting<'a>>,
) -> Rung<'a> {
    let base = light_lanes::by_what_is_told(run).first().copied().unwrap_or(first);
    let typical_row = report.frames.get(base.detail.typical_index);
    let typical = shots.iter().position(|shot| typical_row.is_some_and(|row| std::ptr::eq(row, shot.row)));
    let lit = light_lanes::lanes(report, lights, run, &shots);
    // What the lights did is the lighting's own sentence; what the camera did besides stands with its stages.
    let changed = lighting.filter(|lighting| !lighting.again).map_or("", |lighting| lighting.row.changed.as_str());
    Rung {
        id: format!("stage-{}", first.stage),
        changed: if changed.is_empty() { &first.detail.headline } else { changed },
        beyond: first.detail.account.as_ref().map(|account| {
            match (account.light_stops, account.light_stops_low, account.light_stops_high) {
                (Some(stops), _, _) => Beyond::Known(stops),
                (None, Some(low), Some(high)) => Beyond::Between(low, high),
                _ => Beyond::Unknown(&account.why_unknown),
            }
        }),
        before,
        first,
        base,
        typical: typical.unwrap_or(0),
        lanes: lit.unwrap_or_else(|| picture_lanes::lanes(report, base, &shots)),
        lighting,
        notches: notches(run, before, &shots),
        keepers: counted(run, lighting).filter(|_| report.keeper_count.is_some()),
        gap_seconds: before.and(shots.first()).and_then(|shot| shot.row.seconds_since_previous),
        stages: run.iter().collect(),
        shots,
    }
}

fn notches(run: &[StageRow], before: Option<&StageRow>, shots: &[Shot<'_>]) -> BTreeSet<usize> {
    let befores = before.into_iter().map(Some).chain(before.is_none().then_some(None)).chain(run.iter().map(Some));
    let changed = befores
        .zip(run)
        .filter(|(was, is)| was.is_some_and(|was| was.lens != is.lens || was.focal_length_mm != is.focal_length_mm));
    changed.filter_map(|(_, is)| shots.iter().position(|shot| shot.row.stage == Some(is.stage))).collect()
}

/// Keepers of a run of stages: of its lighting where the run is all of it, else of its stages together.
fn counted(run: &[StageRow], lighting: Option<Lighting<'_>>) -> Option<Counted> {
    if let Some(row) = lighting.map(|lighting| lighting.row).filter(|row| row.detail.stage_numbers.len() == run.len()) {
        return Some(Counted { kept: Kept::of_lighting(row)?, candidates: row.candidates.clone() });
    }
    if let [stage] = run {
        return Some(Counted { kept: Kept::of(stage)?, candidates: stage.candidates.clone() });
    }
    // A series lies within one stage, so stages are added; an interval is not.
    let series = run.iter().map(|stage| stage.kept_series.zip(stage.candidate_series));
    let series = series.collect::<Option<Vec<_>>>().map(|all| all.iter().fold((0, 0), |(a, b), (c, d)| (a + c, b + d)));
    let keepers = run.iter().map(|stage| stage.keepers).sum::<Option<u32>>()?;
    Some(Counted { kept: Kept { keepers, series, rate: None }, candidates: String::new() })
}

/// `0402` or `0402 to 0408`.
#[must_use]
pub fn frames_span(first: &str, last: &str) -> String {
    let (first, last) = (words::file_name(first), words::file_name(last));
    if first == last { first.to_owned() } else { format!("{first} to {last}") }
}
