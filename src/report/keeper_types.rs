//! The keepers' part of a report: what was counted over which shots, and whether one lighting gave more, in figures and words

use serde::Serialize;

/// What was counted; a report has it only where keepers were given.
#[derive(Clone, Debug, Default, Serialize)]
pub struct KeeperCount {
    /// Keepers given.
    pub given: usize,
    /// Of these, keepers that are no shot of this shoot.
    pub not_found: usize,
    /// Which lightings gave the keepers, a sentence without its full stop.
    pub summary: String,
    /// Whether one lighting gave more than the others, a sentence without its full stop.
    pub comparison: String,
    /// What no interval holds, a sentence without its full stop. Empty where nothing was compared.
    pub caution: String,
    /// Which shots were candidates and why, as sentences.
    pub rule: String,
    /// The comparison in figures; None where none could be made.
    pub compared: Option<Compared>,
    /// A row of `keeper-count.csv` for the shoot, and for every lighting, stage, setup, lens and light.
    pub rows: Vec<KeeperCountRow>,
}

/// A row of `keeper-count.csv`.
#[derive(Clone, Debug, Default, Serialize)]
#[allow(missing_docs)]
pub struct KeeperCountRow {
    /// shoot, lighting, stage, setup, lens or light.
    pub what: String,
    /// Its number or name; empty for the shoot.
    pub value: String,
    pub keepers: u32,
    pub kept_series: Option<u32>,
    pub series: Option<u32>,
    pub shots: u32,
    pub rate: Option<f64>,
    pub rate_low: Option<f64>,
    pub rate_high: Option<f64>,
    pub perhaps: u32,
    pub shots_not_judged: u32,
    pub shots_without_picture: u32,
    pub shots_misfired: u32,
    pub shots_of_tests: u32,
    /// Lightings only: seconds it was shot.
    pub seconds: Option<f64>,
    /// "12 series in 31 shots; left out: 3 shots of tests".
    pub candidates: String,
}

/// The best lighting against the others together.
#[derive(Clone, Debug, Default, Serialize)]
pub struct Compared {
    /// Camera whose lightings are compared; empty where there is one camera.
    pub camera: String,
    /// The lighting whose interval begins highest.
    pub best_lighting: u32,
    /// Its series with a keeper.
    pub best_kept_series: u32,
    /// Its candidate series.
    pub best_series: u32,
    /// The other lightings with a candidate series.
    pub other_lightings: Vec<u32>,
    /// Their series with a keeper, together.
    pub others_kept_series: u32,
    /// Their candidate series, together.
    pub others_series: u32,
    /// Lightings the best was picked from, for which the interval is widened; 1 between two.
    pub picked_from: usize,
    /// Lower end of what its rate is above theirs, -1..1.
    pub difference_low: f64,
    /// Upper end of that.
    pub difference_high: f64,
    /// Fisher's exact test, two-sided, 0..1, not widened.
    pub fisher_p: f64,
    /// Whether counts are so small that Fisher's exact test decides too.
    pub small_counts: bool,
    /// Whether the best may be called better.
    pub better: bool,
}
