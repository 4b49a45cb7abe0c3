//! The finished account as plain rows and words. Everything here is written out; nothing is computed from here on.
//!
//! Field names of the row types are the column names of the output contract, in order; units are in the names.
//! A `None` is an empty cell: not known, with a code or a sentence elsewhere saying why.

pub mod board_types;
pub mod cautions;
pub mod charts;
pub mod columns;
pub mod compare;
pub mod csv;
pub mod files;
pub mod first_minute;
mod gathered;
pub mod keeper_types;
pub mod legend;
pub mod light_types;
pub mod next_types;
pub mod page;
pub mod place;
pub mod plan_view;
pub mod recap;
mod shell;
mod staging;
pub mod words;
pub mod write;

use std::collections::BTreeMap;

use serde::Serialize;

use crate::measure::Picture;
use board_types::Boards;
use keeper_types::KeeperCount;
use light_types::{CameraLight, LightAccount, LightDetail, LightingDetail, LitPicture};
use next_types::NextTime;

/// Version of the layout of `shoot.json` and the CSV files. Raised when a name or a meaning changes.
pub const SCHEMA: u32 = 1;

/// The account for programs, and the file by which a report folder is known.
pub const SHOOT_JSON: &str = "shoot.json";

/// The file by which a published report's folder is known: it holds no more than times and levels of numbered shots.
pub const PUBLISHED_JSON: &str = "published.json";

/// Written into both, by which a report folder is known again.
pub const GENERATOR: &str = "stoptally report";

/// The whole report of one shoot.
#[derive(Clone, Debug, Serialize)]
pub struct Report {
    /// Always [`GENERATOR`].
    pub generator: &'static str,
    /// Layout version, see [`SCHEMA`].
    pub schema: u32,
    /// Name of the shoot: its folder's name.
    pub shoot: String,
    /// The numbers of the first sentence.
    pub summary: Summary,
    /// The settings that the ladder's marks are brought to.
    pub reference: Option<Reference>,
    /// A row per shot, in shooting order, cameras one after the other.
    pub frames: Vec<FrameRow>,
    /// A row per shot, grouped by series: how it stands among its own.
    pub culling: Vec<CullingRow>,
    /// A row per stage.
    pub stages: Vec<StageRow>,
    /// A row per lighting; empty while the lights are not told apart.
    pub lightings: Vec<LightingRow>,
    /// A row per frame and light; empty while the lights are not told apart.
    pub light_ledger: Vec<LedgerRow>,
    /// Every light of every camera, cameras one after the other.
    pub lights: Vec<LightDetail>,
    /// What is known of the light as a whole, one per camera; empty while the lights are not told apart.
    pub light_by_camera: Vec<CameraLight>,
    /// Look at these.
    pub findings: Vec<FindingRow>,
    /// Could not read.
    pub problems: Vec<ProblemRow>,
    /// A row per keeper given.
    pub keepers: Vec<KeeperRow>,
    /// What was counted of them; None where no keepers were asked for.
    pub keeper_count: Option<KeeperCount>,
    /// What is not known and how to make it known, as sentences.
    pub not_known: Vec<NotKnown>,
    /// What the shoot teaches for the next time.
    pub next_time: NextTime,
    /// The draft of light notes; None when notes were read.
    #[serde(skip)]
    pub notes_draft: Option<String>,
    /// Pictures of the shots, index by index beside `frames`; not part of the data files.
    #[serde(skip)]
    pub pictures: Vec<Option<FramePictures>>,
    /// Pictures worked out of the lights' own tiles; lights and lightings name them by index. Not part of the data files.
    #[serde(skip)]
    pub light_pictures: Vec<LitPicture>,
    /// Large pictures of the lightings' typical shots, by index into `frames`. Not part of the data files.
    #[serde(skip)]
    pub prints: BTreeMap<usize, Picture>,
    /// What the page needs to set lightings anew. Not part of the data files.
    #[serde(skip)]
    pub boards: Boards,
}

/// What cannot be said, why, and what would make it known.
#[derive(Clone, Debug, Serialize)]
pub struct NotKnown {
    /// What is not known, for example "which light did what".
    pub what: String,
    /// Why not.
    pub why: String,
    /// How to make it known, as an instruction.
    pub remedy: String,
}

/// Small pictures of one shot.
#[derive(Clone, Debug)]
pub struct FramePictures {
    /// Long side 480 pixels.
    pub preview: Picture,
    /// Long side 128 pixels.
    pub thumbnail: Picture,
}

/// The numbers of the first sentence of every output.
#[derive(Clone, Debug, Serialize)]
pub struct Summary {
    /// Shots (rows of `frames`).
    pub shots: usize,
    /// Cameras (sequences).
    pub cameras: usize,
    /// Stages.
    pub stages: usize,
    /// Files seen that end like a picture: shots + companions + files that are no row.
    pub files_seen: usize,
    /// Files that belong to a shot of another file.
    pub companions: usize,
    /// Files that end like a picture and are no row (each has a row in `problems`).
    pub files_without_row: usize,
    /// Other files in the folder, left alone.
    pub other_files: usize,
    /// Shots whose pixels were measured.
    pub measured: usize,
    /// Earliest time of a shot, local, ISO 8601.
    pub from: Option<String>,
    /// Latest time of a shot, local, ISO 8601.
    pub to: Option<String>,
}

/// One set of settings that all ladder marks are brought to: the most used one of the shoot.
#[derive(Clone, Debug, Serialize)]
pub struct Reference {
    /// As marked, for example "f/5.6, 1/200, ISO 100".
    pub marked: String,
}

/// A row of `frames.csv`: one shot.
#[derive(Clone, Debug, Default, Serialize)]
#[allow(missing_docs)]
pub struct FrameRow {
    pub frame: String,
    pub companion: String,
    pub camera: String,
    pub body_serial: String,
    pub lens: String,
    pub taken: String,
    pub clock_offset_s: Option<f64>,
    pub focal_length_mm: Option<f64>,
    pub f_number: Option<f64>,
    pub exposure_time_s: Option<f64>,
    pub iso: Option<u32>,
    pub exposure_compensation_stops: Option<f64>,
    pub white_balance: String,
    pub ev100: Option<f64>,
    pub stage: Option<u32>,
    pub setup: Option<u32>,
    pub lighting: Option<u32>,
    pub series: Option<u32>,
    pub seconds_since_previous: Option<f64>,
    pub mean_luminance: Option<f64>,
    pub mean_luminance_stops: Option<f64>,
    pub median_luminance: Option<f64>,
    pub highlights_clipped_percent: Option<f64>,
    pub highlights_clipped_r_percent: Option<f64>,
    pub highlights_clipped_g_percent: Option<f64>,
    pub highlights_clipped_b_percent: Option<f64>,
    pub shadows_clipped_percent: Option<f64>,
    pub settings_change_flash_stops: Option<f64>,
    pub settings_change_ambient_stops: Option<f64>,
    pub picture_change_stops: Option<f64>,
    pub light_change_stops: Option<f64>,
    pub light_change_stops_low: Option<f64>,
    pub light_change_stops_high: Option<f64>,
    pub sharpness: Option<f64>,
    pub keeper: String,
    pub keeper_match: String,
    pub problems: String,
    /// Settings as people read them: "f/5.6, 1/200, ISO 100".
    pub settings: String,
    /// Upright size of the measured picture.
    pub width: Option<u32>,
    pub height: Option<u32>,
    /// "full picture" or "embedded picture".
    pub measured_from: String,
    /// Lights that burned, separated by `;`; "none" where none did, empty where that is not known.
    pub lights: String,
    /// Lights that were set on and did not burn, separated by `;`.
    pub misfires: String,
    /// The ambient against its reference frame, settings taken out.
    pub ambient_stops: Option<f64>,
    pub ambient_stops_low: Option<f64>,
    pub ambient_stops_high: Option<f64>,
    pub ambient_share_percent: Option<f64>,
    /// How far the ambient alone stays under mid-grey at the frame's settings; `ambient` says it in words.
    pub ambient_headroom_stops: Option<f64>,
    pub ambient: String,
}

/// A row of `culling.csv`: one shot.
#[derive(Clone, Debug, Default, Serialize)]
#[allow(missing_docs)]
pub struct CullingRow {
    pub frame: String,
    pub series: Option<u32>,
    pub shot_in_series: Option<usize>,
    pub shots_in_series: Option<usize>,
    pub stage: Option<u32>,
    pub lighting: Option<u32>,
    pub standing: String,
    pub reasons: String,
    pub sharpness_of_sharpest_percent: Option<f64>,
    pub sharpness_measured_on: String,
    pub misfires: String,
    pub short_lights: String,
    pub veil_stops: Option<f64>,
    pub band_percent: Option<f64>,
}

/// A row of `stages.csv`, with what the page and the recap say of the stage.
#[derive(Clone, Debug, Default, Serialize)]
#[allow(missing_docs)]
pub struct StageRow {
    pub stage: u32,
    pub setup: u32,
    pub lighting: Option<u32>,
    pub camera: String,
    pub first_frame: String,
    pub last_frame: String,
    pub frames: usize,
    pub started: String,
    pub seconds: Option<f64>,
    pub lens: String,
    pub focal_length_mm: Option<f64>,
    pub f_number: Option<f64>,
    pub exposure_time_s: Option<f64>,
    pub iso: Option<u32>,
    pub changed: String,
    pub mean_luminance_stops: Option<f64>,
    pub light_change_stops: Option<f64>,
    pub lights: String,
    pub misfires: Option<u32>,
    pub series_count: Option<u32>,
    pub keepers: Option<u32>,
    pub keeper_rate: Option<f64>,
    pub keeper_rate_low: Option<f64>,
    pub keeper_rate_high: Option<f64>,
    /// Settings as people read them: "f/5.6, 1/200, ISO 100".
    pub settings: String,
    pub kept_series: Option<u32>,
    pub candidate_series: Option<u32>,
    pub candidate_shots: Option<u32>,
    pub candidates: String,
    /// What the CSV has no cell for.
    #[serde(flatten)]
    pub detail: StageDetail,
}

/// What page, charts and recap show of a stage beyond its CSV row. In `shoot.json`, not in the CSV.
#[derive(Clone, Debug, Default, Serialize)]
pub struct StageDetail {
    /// What changed, without figures: "aperture f/5.6 to f/8, ISO 100 to 200". `changed` adds the account.
    pub headline: String,
    /// Index into `Report::frames` of the stage's first shot.
    pub first_index: usize,
    /// Index into `Report::frames` of the shot whose mean luminance is nearest the stage's median.
    pub typical_index: usize,
    /// Number of the stage where this setup was first met, when this is not the first time.
    pub first_met_in_stage: Option<u32>,
    /// The account against the stage before of the same camera; None for a camera's first stage.
    pub account: Option<StageAccount>,
    /// The stage's level brought to [`Report::reference`]: all flash, and all ambient.
    pub level: Option<BroughtLevel>,
    /// What each light and the ambient did on the stage; None while the lights are not told apart.
    pub light_account: Option<LightAccount>,
}

/// The account in stops between a stage and the one before it.
#[derive(Clone, Debug, Default, Serialize)]
pub struct StageAccount {
    /// Level brought forward: last measured shot of the stage before, stops from mid-grey.
    pub brought_forward_stops: Option<f64>,
    /// One line per setting that changed.
    pub lines: Vec<AccountLine>,
    /// Sum of the lines on light that lasts only for the flash. None when a setting is not known.
    pub settings_flash_stops: Option<f64>,
    /// Sum of the lines on light that lasts.
    pub settings_ambient_stops: Option<f64>,
    /// What the picture did.
    pub picture_stops: Option<f64>,
    /// What the lights or the scene did, beyond the settings.
    pub light_stops: Option<f64>,
    /// Lower end of that, when it depends on how much of the picture is ambient.
    pub light_stops_low: Option<f64>,
    /// Upper end of that.
    pub light_stops_high: Option<f64>,
    /// Level the new stage begins at, stops from mid-grey.
    pub stands_at_stops: Option<f64>,
    /// Why `light_stops` is empty, in words; empty when it is not.
    pub why_unknown: String,
}

/// One setting that changed.
#[derive(Clone, Debug, Default, Serialize)]
pub struct AccountLine {
    /// "aperture", "shutter", "ISO".
    pub setting: String,
    /// As marked before, for example "f/2".
    pub from: String,
    /// As marked after, for example "f/2.8".
    pub to: String,
    /// Effect on flash light in stops, exact, + is brighter.
    pub flash_stops: Option<f64>,
    /// Effect on ambient light in stops, exact, + is brighter.
    pub ambient_stops: Option<f64>,
}

/// A level brought to the reference settings, which depends on what made the light.
#[derive(Clone, Copy, Debug, Default, Serialize)]
pub struct BroughtLevel {
    /// If all light were flash, stops from mid-grey.
    pub flash_stops: f64,
    /// If all light were ambient, stops from mid-grey.
    pub ambient_stops: f64,
}

/// A row of `lighting.csv`.
#[derive(Clone, Debug, Default, Serialize)]
#[allow(missing_docs)]
pub struct LightingRow {
    pub lighting: u32,
    pub stages: String,
    pub frames: usize,
    pub lights: String,
    pub changed: String,
    pub keepers: Option<u32>,
    pub series_count: Option<u32>,
    pub camera: String,
    pub first_frame: String,
    pub misfires: usize,
    pub keeper_rate: Option<f64>,
    pub keeper_rate_low: Option<f64>,
    pub keeper_rate_high: Option<f64>,
    pub kept_series: Option<u32>,
    pub candidate_series: Option<u32>,
    pub candidate_shots: Option<u32>,
    pub candidates: String,
    /// First shot to last, over all runs of shots at this lighting.
    pub seconds: Option<f64>,
    /// What the CSV has no cell for.
    #[serde(flatten)]
    pub detail: LightingDetail,
}

/// A row of `light-ledger.csv`.
#[derive(Clone, Debug, Default, Serialize)]
#[allow(missing_docs)]
pub struct LedgerRow {
    pub frame: String,
    pub stage: Option<u32>,
    pub light: String,
    pub on: String,
    pub misfire: String,
    pub light_stops: Option<f64>,
    pub light_stops_low: Option<f64>,
    pub light_stops_high: Option<f64>,
    pub reference_frame: String,
    pub power: String,
    pub gain_r: Option<f64>,
    pub gain_g: Option<f64>,
    pub gain_b: Option<f64>,
    pub share_of_frame_percent: Option<f64>,
    pub share_of_subject_percent: Option<f64>,
    pub evidence: String,
    pub noted_power: String,
    pub agrees: String,
    pub noted_gel: String,
    pub noted_modifier: String,
    pub against_note_stops: Option<f64>,
    pub against_note_low: Option<f64>,
    pub against_note_high: Option<f64>,
    pub reason: String,
    /// Index into `Report::frames`.
    #[serde(skip)]
    pub frame_index: usize,
    /// Index into `Report::lights`.
    #[serde(skip)]
    pub light_index: usize,
}

/// A row of `findings.csv`.
#[derive(Clone, Debug, Default, Serialize)]
#[allow(missing_docs)]
pub struct FindingRow {
    pub frame: String,
    pub stage: Option<u32>,
    pub light: String,
    pub code: String,
    pub finding: String,
    pub evidence: String,
    pub certainty: String,
    pub remedy: String,
}

/// A row of `problems.csv`.
#[derive(Clone, Debug, Default, Serialize)]
#[allow(missing_docs)]
pub struct ProblemRow {
    pub file: String,
    pub code: String,
    pub problem: String,
    pub remedy: String,
    /// "note", "look at" or "could not read".
    pub weight: String,
    /// Whether the file is a row of frames.csv (or a companion of one): yes or no.
    pub in_frames: String,
}

/// A row of `keepers.csv`.
#[derive(Clone, Debug, Default, Serialize)]
#[allow(missing_docs)]
pub struct KeeperRow {
    pub given: String,
    pub frame: String,
    pub stage: Option<u32>,
    #[serde(rename = "match")]
    pub matched: String,
    pub candidates: String,
}
