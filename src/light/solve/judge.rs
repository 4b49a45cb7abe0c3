//! On, off or not told: what a fitted gain says of one source in one frame, beside what the notes have.

use super::account::{Account, may_burn};
use super::fit::Fit;
use super::peers;
use super::plan::Plan;
use crate::light::Told;
use rayon::prelude::*;

/// 90 % of a normal distribution lie within this many standard deviations.
pub const NINETY: f64 = 1.645;
/// What a solo shows and what a long series shows of a light differ by more than either's own spread (chalk, the sitter's
/// place): intervals are this much wider than that spread. Chosen on made shoots whose truth is known, so that nine of
/// ten hold it.
pub const WIDER: f64 = 2.0;
/// The same where the account explains the picture, and the share of it left over (0..1) that widens it by two fifths; no
/// more than the last is held against a picture. Chosen on the same shoots, so that nine of ten hold in every class.
const EXPLAINED: f64 = 1.15;
const LEFT: f64 = 0.055;
const MOST_LEFT: f64 = 0.3;
/// Beside a spread over the picture: error that other light makes in a strength, as a share of that other light.
const BESIDE: f64 = 0.025;
/// Errors of a gain that no spread over the picture shows: flashes repeat to about a fiftieth of a stop (common practice,
/// no source).
const OWN: f64 = 0.012;
/// Error that other light makes in a weak one, as a share of that other light: its picture is never right to more.
const OTHER: f64 = 0.02;
/// A light that was set on and gives less than this share of its usual light did not burn.
pub const DEAD: f64 = 0.3;
/// A light that gives surely more than this share of its usual light burned, if weakly.
const ALIVE: f64 = 0.15;
/// A light's share of the best lit tiles below which its burning cannot be seen beside other light.
const SEEN: f64 = 0.05;
/// A light of which nothing is noted, at less than this part of its strong frames, is what other pictures hold of it.
const OPEN: f64 = 0.03;
/// How much the cost must rise without it before a light noted off is said to burn.
pub const PROVEN: f64 = 25.0;

/// What was found of one source in one frame.
#[derive(Clone, Copy, Debug, Default)]
pub struct Verdict {
    /// Whether it burned.
    pub on: Told,
    /// Gain, channel factors aside.
    pub gain: f64,
    /// Standard deviation of the gain.
    pub sd: f64,
    /// Gain it usually has at its setting; None where no frame tells.
    pub usual: Option<f64>,
    /// Its part of the light where it tells most, 0..1.
    pub part: f64,
    /// Share of the frame's light on its own best tenth of the tiles if it burned as usual, 0..1.
    pub share: f64,
    /// Why it is not told.
    pub reason: &'static str,
    /// Whether the picture itself says so (else only the notes do).
    pub seen: bool,
}

/// Half of a strength's 90 % interval in stops. What the account leaves over of a picture is the best witness of how far
/// its figures can be trusted: a sitter elsewhere, more chalk, a frame laid wrong. `misfit` is its median, 0..1.
pub fn half(verdict: &Verdict, misfit: f64) -> f64 {
    let left = if misfit.is_nan() { MOST_LEFT } else { misfit.min(MOST_LEFT) };
    let other = BESIDE * (1.0 - verdict.part) / verdict.part.max(1e-3);
    let own = libm::hypot(verdict.sd / verdict.gain, other);
    EXPLAINED * libm::hypot(1.0, left / LEFT) * NINETY * std::f64::consts::LOG2_E * own
}

/// Verdicts of all frames: one entry per source.
pub fn judge(account: &Account, plan: &Plan) -> Vec<Vec<Verdict>> {
    let usual = usual_gains(account, plan);
    let mut verdicts: Vec<Vec<Verdict>> = (0..account.frames.len())
        .into_par_iter()
        .map(|f| {
            let asked = may_burn(&plan.asks[f]);
            let verdicts = (0..plan.sources.len()).map(|s| {
                if asked.contains(&s) {
                    set_on(account, plan, f, s, usual[f][s])
                } else {
                    set_off(account, plan, f, s, usual[f][s])
                }
            });
            one_failed(verdicts.collect(), plan, f)
        })
        .collect();
    peers::compare(&mut verdicts, account, plan);
    verdicts
}

/// Where several lights that were set on seem dead in one frame, pictures that are not quite right may have shifted the
/// loss of one to another: only the surest is said.
fn one_failed(mut verdicts: Vec<Verdict>, plan: &Plan, f: usize) -> Vec<Verdict> {
    let dead = |v: &Verdict, s: usize| plan.asks[f][s].on == Told::Yes && v.on == Told::No;
    let sure = |v: &Verdict| (v.usual.unwrap_or(0.0) - v.gain) / v.sd.max(1e-12);
    let list: Vec<usize> = (0..verdicts.len()).filter(|&s| dead(&verdicts[s], s)).collect();
    let first = list.iter().copied().max_by(|&a, &b| sure(&verdicts[a]).total_cmp(&sure(&verdicts[b])));
    for s in list {
        if Some(s) != first {
            (verdicts[s].on, verdicts[s].seen) = (Told::Unknown, false);
            verdicts[s].reason = "light is missing here, but more surely of another light";
        }
    }
    verdicts
}

/// The usual gain of each source in each frame: its noted level, else the median of the run of frames around.
fn usual_gains(account: &Account, plan: &Plan) -> Vec<Vec<Option<f64>>> {
    let floors: Vec<f64> = (0..plan.sources.len()).map(|s| floor(account, plan, s)).collect();
    let of = |f: usize, s: usize| -> Option<f64> {
        if let Some(level) = plan.asks[f][s].level {
            return Some(level);
        }
        let near = |g: &usize| g.abs_diff(f) <= 6 && *g != f && plan.asks[*g][s].on != Told::No;
        let gain = |g: usize| (account.fits[g].gain[s], account.fits[g].sd[s]);
        let mut gains: Vec<f64> = (0..account.fits.len())
            .filter(near)
            .map(gain)
            .filter(|(gain, sd)| *gain > 4.0 * sd && *gain > floors[s])
            .map(|(gain, _)| gain)
            .collect();
        (!gains.is_empty()).then(|| super::fit::median(&mut gains))
    };
    (0..account.fits.len()).map(|f| (0..plan.sources.len()).map(|s| of(f, s)).collect()).collect()
}

/// Gain below which a light of which nothing is noted is not said to burn: a small part of its strongest, which other
/// lights' pictures may hold of it. 0 with notes.
fn floor(account: &Account, plan: &Plan, s: usize) -> f64 {
    if plan.asks.iter().any(|asks| asks[s].on != Told::Unknown || asks[s].level.is_some()) {
        return 0.0;
    }
    let mut gains: Vec<f64> = account.fits.iter().map(|f| f.gain[s]).filter(|g| *g > 0.0).collect();
    gains.sort_by(f64::total_cmp);
    OPEN * gains.get(gains.len() * 4 / 5).copied().unwrap_or(0.0)
}

fn set_on(account: &Account, plan: &Plan, f: usize, s: usize, usual: Option<f64>) -> Verdict {
    let fit = &account.fits[f];
    let gain = fit.gain[s];
    let part = part(account, fit, f, s, usual.unwrap_or(gain));
    let sd = total(gain, fit.sd[s], part, usual.unwrap_or(gain));
    let share = share(account, f, s, usual.unwrap_or(gain));
    let mut verdict = Verdict { gain, sd, usual, part, share, ..Verdict::default() };
    if fit.misfit.is_nan() || !sd.is_finite() {
        verdict.reason = "too little of the picture can be used";
        return verdict;
    }
    let noted = plan.asks[f][s].on == Told::Yes;
    let floor = floor(account, plan, s);
    if gain < floor {
        let visible = share >= SEEN || usual.is_none();
        (verdict.on, verdict.seen) = (if visible { Told::No } else { Told::Unknown }, visible);
        verdict.reason = if visible { "" } else { "too weak beside the other light to be seen" };
        return verdict;
    }
    let burns_at = |gain: f64| gain > 4.0 * sd && fit.needed[s] > PROVEN && self::share(account, f, s, gain) > SEEN;
    let Some(usual) = usual else {
        let burns = burns_at(gain);
        (verdict.on, verdict.seen) = (
            if burns {
                Told::Yes
            } else if noted {
                Told::Unknown
            } else {
                Told::No
            },
            burns,
        );
        if !burns && noted {
            verdict.reason = "no frame shows it clearly";
        }
        return verdict;
    };
    // Whoever notes only "on" may have set it to any power: what its neighbours give is no measure for it.
    if noted && plan.asks[f][s].level.is_none() && burns_at(gain) {
        (verdict.on, verdict.seen) = (Told::Yes, true);
        return verdict;
    }
    let (low, high) = ((gain - NINETY * sd) / usual, (gain + NINETY * sd) / usual);
    let enough = fit.tiles * 4 >= account.plane().len();
    if high < DEAD && share < SEEN && (noted || floor > 0.0) {
        verdict.reason = "too weak beside the other light to be seen";
    } else if high < DEAD && enough {
        (verdict.on, verdict.seen) = (Told::No, true);
    } else if low > ALIVE || (gain / usual > 0.5 && low > 0.0) {
        (verdict.on, verdict.seen) = (Told::Yes, true);
    } else if share < SEEN {
        verdict.reason = "too weak beside the other light to be seen";
    } else {
        verdict.reason = "the picture allows both";
    }
    verdict
}

/// A light noted off burns only where leaving it out clearly spoils the account.
fn set_off(account: &Account, plan: &Plan, f: usize, s: usize, usual: Option<f64>) -> Verdict {
    let usual = usual.or_else(|| strongest(account, s));
    let mut verdict = Verdict { on: Told::No, usual, ..Verdict::default() };
    let Some(usual) = usual else { return verdict };
    let with: Vec<usize> = may_burn(&plan.asks[f]).into_iter().chain([s]).collect();
    let fit = account.fit_with(f, &with, &plan.asks[f]);
    let gain = fit.gain[s];
    let sd = total(gain, fit.sd[s], part(account, &fit, f, s, usual), usual);
    verdict.share = share(account, f, s, usual);
    verdict.seen = (gain + NINETY * sd) / usual < 0.5;
    if fit.needed[s] > PROVEN && gain - NINETY * sd > 0.3 * usual && verdict.share > SEEN {
        verdict = Verdict { on: Told::Yes, gain, sd, seen: true, ..verdict };
    }
    verdict
}

fn strongest(account: &Account, s: usize) -> Option<f64> {
    account.mixes.iter().map(|m| m.gain[s]).filter(|g| *g > 0.0).min_by(f64::total_cmp)
}

/// A gain's standard deviation with what no spread over the picture shows. The other light errs by as much whether this
/// one burned or not: `part` is its part at the gain `at`.
pub fn total(gain: f64, sd: f64, part: f64, at: f64) -> f64 {
    let other = OTHER * (1.0 - part) / part.max(1e-3) * at;
    (sd * sd + OWN * OWN * gain * gain + other * other).sqrt()
}

/// A source's part of the light on the tiles that tell most of it (each weighted by what it tells), were it to burn at
/// `gain`.
pub fn part(account: &Account, fit: &Fit, f: usize, s: usize, gain: f64) -> f64 {
    let colour = account.mixes[f].colour[s];
    let (mut top, mut bottom) = (1e-300, 1e-300);
    for i in 0..account.plane().len() {
        let variance = f64::from(account.frames[f].variance[i][1]);
        let own = colour[1] * f64::from(account.patterns[s][i][1]);
        if fit.weight[i] <= 0.0 || !variance.is_finite() || own.is_nan() {
            continue;
        }
        let rest = (account.sum(fit, &account.mixes[f], i, 1) - fit.gain[s] * own).max(0.0);
        let tells = f64::from(fit.weight[i]) * own * own / variance;
        top += tells * gain * own / (gain * own + rest + 1e-12);
        bottom += tells;
    }
    top / bottom
}

/// The source's share of the light where it is strongest, at a given gain: over its best lit tenth of the tiles.
pub fn share(account: &Account, f: usize, s: usize, gain: f64) -> f64 {
    let colour = account.mixes[f].colour[s];
    let own = |i: usize| gain * colour[1] * f64::from(account.patterns[s][i][1]);
    let mut shares: Vec<f64> = (0..account.plane().len())
        .filter(|&i| account.frames[f].variance[i][1].is_finite() && !account.patterns[s][i][1].is_nan())
        .map(|i| {
            let rest = account.sum(&account.fits[f], &account.mixes[f], i, 1)
                - account.fits[f].gain[s] * colour[1] * f64::from(account.patterns[s][i][1]);
            own(i) / (own(i) + rest.max(0.0) + f64::from(account.frames[f].variance[i][1]).sqrt())
        })
        .collect();
    if shares.is_empty() {
        return 0.0;
    }
    let at = shares.len() * 9 / 10;
    *shares.select_nth_unstable_by(at, f64::total_cmp).1
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Half an interval over the spread alone in stops, 1.645 deviations of log2: what explained pictures are widened from.
    fn widened(sd: f64, part: f64, misfit: f64) -> f64 {
        let verdict = Verdict { gain: 0.5, sd: 0.5 * sd, part, ..Verdict::default() };
        half(&verdict, misfit) / (1.645 * std::f64::consts::LOG2_E)
    }

    #[test]
    fn an_interval_is_as_wide_as_the_spread_and_what_is_left_of_the_picture_make_it() {
        let near = |a: f64, b: f64| assert!((a - b).abs() < 1e-9, "{a} is not {b}");
        near(widened(0.04, 1.0, 0.0), EXPLAINED * 0.04);
        near(widened(0.04, 1.0, LEFT), EXPLAINED * 0.04 * 2f64.sqrt());
        near(widened(0.04, 1.0, 2.0 * LEFT), EXPLAINED * 0.04 * 5f64.sqrt());
        // Half of the light is another's: its error is as large a share of this one.
        near(widened(0.0, 0.5, 0.0), EXPLAINED * BESIDE);
        near(widened(0.04, 0.2, 0.0), EXPLAINED * libm::hypot(0.04, 4.0 * BESIDE));
    }

    #[test]
    fn a_picture_hardly_explained_and_one_not_explained_at_all_count_alike() {
        let most = widened(0.04, 1.0, MOST_LEFT);
        assert_eq!(widened(0.04, 1.0, 0.9), most);
        assert_eq!(widened(0.04, 1.0, f64::NAN), most);
        assert!(widened(0.04, 1.0, 0.9 * MOST_LEFT) < most);
    }
}
