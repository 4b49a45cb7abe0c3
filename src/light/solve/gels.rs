//! Gels that nobody noted: where nothing but another colour of one light explains its pictures

use rayon::prelude::*;

use super::account::{Account, may_burn};
use super::fit::{self, Column, Fit};
use super::plan::Plan;
use crate::light::{SequenceLight, Told};

/// Colours this far apart, in stops of red or blue against green, are two: more than sitter, chalk and curve make of one.
const APART: f64 = 0.5;
/// A change of gel lasts: it takes at least so many shots in a row.
const SHOTS: usize = 2;
/// A light below this share of its best lit tiles, 0..1, shows no colour of its own.
const SEEN: f64 = 0.2;
/// A channel's gain is known where its standard deviation is below this part of the strongest channel's gain.
const KNOWN: f64 = 0.05;
/// With the light's colour freed an account leaves over less than this part of what it left over before.
const BETTER: f64 = 0.7;
/// No other light's colour, nor the ambient's, may explain as much: its account leaves over more by this factor.
const OTHERS: f64 = 1.2;
/// In the end the account with one more gel leaves over less than this part in its shots, and hardly more elsewhere.
const PROVEN: f64 = 0.6;
const HARDLY: f64 = 1.25;
/// What is left over below this share of the light, 0..1, is noise and counts for nothing.
const NOISE: f64 = 0.01;
/// No shoot changes more gels than this without a note.
const MOST: usize = 4;

/// One light's change: the source and the frames of its other colour.
struct Change {
    source: usize,
    frames: Vec<usize>,
    gain: f64,
}

/// Solves again with gels that were not noted, one after the other, as long as each is proven. `solve` solves a plan
/// from its beginning. The answer says for each source how many of its gels were noted.
pub fn unnoted(
    mut account: Account,
    mut plan: Plan,
    solve: &dyn Fn(&Account, &Plan) -> Account,
) -> (Account, Plan, Vec<usize>) {
    let noted: Vec<usize> = plan.sources.iter().map(|s| s.gels.len()).collect();
    for _ in 0..MOST {
        let Some(change) = change(&account, &plan) else { break };
        let mut more = plan.clone();
        let source = &mut more.sources[change.source];
        let gel = plan.asks[change.frames[0]][change.source].gel;
        source.gels.push(source.gels[gel].clone());
        let last = source.gels.len() - 1;
        for &f in &change.frames {
            more.asks[f][change.source].gel = last;
        }
        let then = solve(&account, &more);
        if !proven(&account, &then, &change.frames) {
            break;
        }
        (account, plan) = (then, more);
    }
    (account, plan, noted)
}

/// Counts the colours of each light that showed one more than its notes have, from 1 in order of appearance.
pub fn count(ledger: &mut SequenceLight, account: &Account, plan: &Plan, noted: &[usize]) {
    for light in 0..ledger.lights.len() {
        let own: Vec<usize> = (0..plan.sources.len()).filter(|&s| plan.sources[s].light == light).collect();
        if own.iter().all(|&s| plan.sources[s].gels.len() == noted[s]) {
            continue;
        }
        let mut seen: Vec<(usize, usize)> = Vec::new();
        for (view, asks) in account.scene.views.iter().zip(&plan.asks) {
            let Some(entry) = ledger.shots.get_mut(view.shot).and_then(|s| s.entries.get_mut(light)) else { continue };
            let Some(&source) = own.iter().find(|&&s| asks[s].on != Told::No) else { continue };
            if entry.on != Told::Yes {
                continue;
            }
            let colour = (source, asks[source].gel);
            let place = seen.iter().position(|c| *c == colour).unwrap_or_else(|| {
                seen.push(colour);
                seen.len() - 1
            });
            entry.setting.colour = place as u32 + 1;
        }
    }
}

/// The change that explains most of what is left over.
fn change(account: &Account, plan: &Plan) -> Option<Change> {
    let changes = (0..plan.sources.len()).filter_map(|s| {
        let gels = 0..plan.sources[s].gels.len();
        gels.filter_map(|gel| of_gel(account, plan, s, gel)).max_by(|a, b| a.gain.total_cmp(&b.gain))
    });
    changes.max_by(|a, b| a.gain.total_cmp(&b.gain))
}

/// The shots of one source behind one noted gel: groups of one colour, and the largest group after the usual one.
fn of_gel(account: &Account, plan: &Plan, s: usize, gel: usize) -> Option<Change> {
    let asked = |f: &usize| plan.asks[*f][s].on == Told::Yes && plan.asks[*f][s].gel == gel;
    let frames: Vec<usize> = (0..account.frames.len()).filter(asked).collect();
    let free: Vec<Option<(Fit, [f64; 2])>> = frames.par_iter().map(|&f| colour(account, plan, f, s)).collect();
    let mut groups: Vec<([f64; 2], Vec<usize>)> = Vec::new();
    let mut last = None;
    for (k, found) in free.iter().enumerate() {
        let Some((_, colour)) = found else { continue };
        let near = |g: &&usize| distance(&groups[**g].0, colour) < APART;
        let group = last.iter().find(near).copied().or_else(|| (0..groups.len()).find(|g| near(&g)));
        let group = group.unwrap_or(groups.len());
        match groups.get_mut(group) {
            Some((_, members)) => members.push(k),
            None => groups.push((*colour, vec![k])),
        }
        last = Some(group);
    }
    let usual = (0..groups.len()).max_by_key(|&g| (groups[g].1.len(), usize::MAX - g))?;
    let lasting = |members: &[usize]| members.windows(SHOTS).any(|w| w[SHOTS - 1] - w[0] == SHOTS - 1);
    let changes = (0..groups.len()).filter(|&g| g != usual && lasting(&groups[g].1)).filter_map(|g| {
        let members = &groups[g].1;
        let gain: f64 = members
            .iter()
            .filter_map(|&k| {
                let (fit, _) = free[k].as_ref()?;
                (fit.misfit < BETTER * account.fits[frames[k]].misfit)
                    .then(|| account.fits[frames[k]].misfit - fit.misfit)
            })
            .sum();
        let frames: Vec<usize> = members.iter().map(|&k| frames[k]).collect();
        let free: Vec<f64> = members.iter().filter_map(|&k| Some(free[k].as_ref()?.0.misfit)).collect();
        (gain > 0.0 && alone(account, plan, s, &frames, &free)).then_some(Change { source: s, frames, gain })
    });
    changes.max_by(|a, b| a.gain.total_cmp(&b.gain))
}

/// Whether no other source's colour explains these shots as well.
fn alone(account: &Account, plan: &Plan, s: usize, frames: &[usize], free: &[f64]) -> bool {
    let own: f64 = free.iter().map(|m| m + NOISE).sum();
    let ambient = plan.sources.len();
    (0..=ambient).filter(|&o| o != s).all(|other| {
        let burns = |f: usize| other == ambient || plan.asks[f][other].on != Told::No;
        let theirs = |&f: &usize| match burns(f) {
            true => freed(account, plan, f, other).misfit,
            false => account.fits[f].misfit,
        };
        frames.iter().map(|f| theirs(f) + NOISE).sum::<f64>() > OTHERS * own
    })
}

/// A frame's account with one source's channels freed from each other.
fn freed(account: &Account, plan: &Plan, f: usize, s: usize) -> Fit {
    let ambient = account.patterns.len() - 1;
    let mix = &account.mixes[f];
    let column = |source: usize, colour: [f64; 3], prior: bool| Column {
        pattern: &account.patterns[source],
        colour,
        prior: prior.then(|| (account.course[f], 0.25 * account.course[f])),
        likely: None,
    };
    let channels =
        (0..3).map(|c| column(s, std::array::from_fn(|k| if k == c { mix.colour[s][k] } else { 0.0 }), false));
    let others = may_burn(&plan.asks[f]).into_iter().chain([ambient]).filter(|&o| o != s);
    let columns: Vec<Column> = channels.chain(others.map(|o| column(o, mix.colour[o], o == ambient))).collect();
    fit::fit(&account.frames[f], &columns, account.plane())
}

/// The freed account of a frame, and the source's colour there: stops of red and of blue against green, beside the colour
/// it is held at. None where it shows none.
fn colour(account: &Account, plan: &Plan, f: usize, s: usize) -> Option<(Fit, [f64; 2])> {
    let gain = account.fits[f].gain[s];
    if gain <= 0.0 || super::judge::share(account, f, s, gain) < SEEN {
        return None;
    }
    let fit = freed(account, plan, f, s);
    let (gain, sd) = (fit.gain.get(..3)?, fit.sd.get(..3)?);
    let most = gain.iter().copied().fold(0.0, f64::max);
    let known = sd.iter().all(|sd| *sd < KNOWN * most);
    if most <= 0.0 || !known {
        return None;
    }
    let log = |c: usize| libm::log2(gain[c].max(KNOWN * most));
    let colour = [log(0) - log(1), log(2) - log(1)];
    Some((fit, colour))
}

fn distance(a: &[f64; 2], b: &[f64; 2]) -> f64 {
    // Red against blue moves most where a gel warms or cools: both differences and that of the two count.
    let (red, blue) = (a[0] - b[0], a[1] - b[1]);
    red.abs().max(blue.abs()).max((red - blue).abs())
}

/// Whether the account with one more gel explains its shots clearly better, and the others as well as before.
fn proven(before: &Account, then: &Account, frames: &[usize]) -> bool {
    let sum = |account: &Account, own: bool| -> f64 {
        let chosen = (0..account.fits.len()).filter(|f| frames.contains(f) == own);
        chosen.map(|f| account.fits[f].misfit).filter(|m| m.is_finite()).map(|m| m + NOISE).sum()
    };
    sum(then, true) < PROVEN * sum(before, true) && sum(then, false) < HARDLY * sum(before, false)
}
