//! Decides which shots explain an export: by what they leave unexplained, block by block, against each other's
//!
//! Three questions, each with a rule over blocks. Is it this scene at all? Is it this moment, or did something move? Do
//! other shots explain it as well?

use super::blocks::{Block, Blocks};
use super::changed::changed;

/// A shot laid exactly under an export.
#[derive(Clone, Debug)]
pub struct Candidate {
    pub shot: usize,
    /// Correlation of locally normalised planes, -1 to 1.
    pub likeness: f64,
    /// Share of the export that lies on the shot.
    pub inside: f64,
    pub blocks: Blocks,
}

/// Least likeness of the same scene. Pictures of other scenes reached 0.26 on made exports, the shot itself fell to 0.51
/// in the darkest.
const SAME_SCENE: f64 = 0.42;
/// So large a share of changed blocks, and not fewer than these, and it is another moment. The shot itself has patches of
/// noise at sharp edges, the more the larger the picture.
const MOVED: (f64, f64) = (0.007, 6.0);
/// Two shots of a motionless scene differ in the mean logarithm of what they leave by so much without meaning: the
/// places of their pixels under the export's differ, and so does their noise.
const EQUAL: f64 = 0.10;
/// Standard errors that a mean must clear [`EQUAL`] by: 1 in 2,000 by chance.
const ERRORS: f64 = 3.3;
/// Natural logarithm of the chance at which blocks that favour one shot are no accident: 1 in a million.
const ACCIDENT: f64 = -13.8;
/// A block favours one shot when the other leaves so many times as much, as a natural logarithm.
const FAVOURS: f64 = 1.0;
/// Blocks of a side that are taken together for the standard error: neighbours share their local contrast.
const TOGETHER: usize = 4;

/// Noise of an export, from what its best candidate leaves: a floor, and a share of the detail there is.
#[derive(Clone, Copy, Debug)]
pub struct Noise {
    floor: f32,
    share: f32,
}

fn median(values: &mut [f32]) -> Option<f32> {
    values.sort_by(f32::total_cmp);
    values.get(values.len() / 2).copied()
}

fn activity(block: &Block) -> f32 {
    block.own.max(block.detail)
}

impl Noise {
    pub fn of(blocks: &Blocks) -> Self {
        let all = || blocks.blocks.iter().flatten();
        let mut active: Vec<f32> = all().map(activity).collect();
        let middle = median(&mut active).unwrap_or(0.0);
        let mut quiet: Vec<f32> = all().filter(|b| activity(b) <= middle).map(|b| b.left).collect();
        let floor = median(&mut quiet).unwrap_or(0.0).max(0.3);
        let mut shares: Vec<f32> =
            all().filter(|b| activity(b) > 16.0 * floor).map(|b| (b.left - floor).max(0.0) / activity(b)).collect();
        Self { floor, share: median(&mut shares).unwrap_or(0.0).clamp(0.035, 0.1) }
    }

    pub fn at(&self, block: &Block) -> f32 {
        self.floor + self.share * activity(block)
    }
}

/// Shots that explain the export, in order of their index.
pub fn decide(candidates: &[Candidate]) -> Vec<usize> {
    let most = candidates.iter().map(|c| c.inside).fold(0.0, f64::max);
    let scene = candidates.iter().filter(|c| c.likeness >= SAME_SCENE && c.inside >= 0.9 * most);
    let Some(best) = scene.clone().min_by(|a, b| a.rest().total_cmp(&b.rest()).then(a.shot.cmp(&b.shot))) else {
        return Vec::new();
    };
    let moved = (MOVED.0 * best.blocks.blocks.iter().flatten().count() as f64).max(MOVED.1);
    if changed(&best.blocks, &Noise::of(&best.blocks)) as f64 >= moved {
        return Vec::new();
    }
    let mut found: Vec<usize> = scene.filter(|other| !worse(best, other)).map(|other| other.shot).collect();
    found.sort_unstable();
    found
}

impl Candidate {
    /// Mean logarithm of what is left.
    pub fn rest(&self) -> f64 {
        let all = self.blocks.blocks.iter().flatten();
        let (count, sum) = all.fold((0, 0.0), |(count, sum), block| (count + 1, sum + log_left(block, 1.0)));
        sum / f64::from(count.max(1))
    }
}

fn log_left(block: &Block, floor: f32) -> f64 {
    libm::log(f64::from(block.left + floor))
}

/// How a candidate compares with the best.
#[derive(Clone, Copy, Debug)]
pub struct Comparison {
    /// Mean over blocks of the logarithm of what it leaves against what the best leaves.
    pub mean: f64,
    pub error: f64,
    /// Blocks that favour the best, and the other.
    pub best: u32,
    pub other: u32,
}

pub fn compare(best: &Candidate, other: &Candidate) -> Comparison {
    let floor = Noise::of(&best.blocks).floor.max(1.0);
    let columns = best.blocks.columns.max(1);
    let across = columns.div_ceil(TOGETHER);
    let rows = best.blocks.blocks.len().div_ceil(columns).div_ceil(TOGETHER);
    let mut cells = vec![(0.0_f64, 0_u32); across * rows];
    let mut comparison = Comparison { mean: 0.0, error: f64::INFINITY, best: 0, other: 0 };
    for (index, pair) in best.blocks.blocks.iter().zip(&other.blocks.blocks).enumerate() {
        let (Some(a), Some(b)) = pair else { continue };
        let ratio = log_left(b, floor) - log_left(a, floor);
        comparison.best += u32::from(ratio > FAVOURS);
        comparison.other += u32::from(ratio < -FAVOURS);
        let cell = (index / columns / TOGETHER) * across + index % columns / TOGETHER;
        if let Some((sum, count)) = cells.get_mut(cell) {
            (*sum, *count) = (*sum + ratio, *count + 1);
        }
    }
    // Every cell counts by its blocks.
    let total: u32 = cells.iter().map(|(_, count)| count).sum();
    let used = cells.iter().filter(|(_, count)| *count > 0).count();
    if used < 2 {
        return comparison;
    }
    comparison.mean = cells.iter().map(|(sum, _)| sum).sum::<f64>() / f64::from(total);
    let spread = |(sum, count): &(f64, u32)| {
        let off = sum - comparison.mean * f64::from(*count);
        off * off
    };
    let squares: f64 = cells.iter().map(spread).sum();
    comparison.error = libm::sqrt(squares * used as f64 / (used as f64 - 1.0)) / f64::from(total);
    comparison
}

/// Whether another candidate explains the export worse than the best, beyond chance.
fn worse(best: &Candidate, other: &Candidate) -> bool {
    if best.shot == other.shot {
        return false;
    }
    let by = compare(best, other);
    let clearly = by.mean - ERRORS * by.error > EQUAL;
    // The sign test (Arbuthnot 1710): blocks favour either shot by halves if both explain the export alike.
    let favoured = by.best > by.other && sign_test(by.best, by.other) < ACCIDENT;
    // What speaks for the other must not be as strong.
    let against = by.other > by.best && sign_test(by.other, by.best) < libm::log(0.01);
    (clearly || favoured) && !against
}

/// Natural logarithm of the chance that at least `more` of all are on one side when either side is as likely.
fn sign_test(more: u32, less: u32) -> f64 {
    let all = f64::from(more + less);
    let choose = |k: f64| libm::lgamma(all + 1.0) - libm::lgamma(k + 1.0) - libm::lgamma(all - k + 1.0);
    let sum: f64 = (more..=more + less).map(|k| libm::exp(choose(f64::from(k)) - all * std::f64::consts::LN_2)).sum();
    libm::log(sum.max(1e-300))
}
