//! A light too weak to be judged in one frame by itself, held against the frames around it at like notes

use super::account::Account;
use super::fit;
use super::judge::{DEAD, NINETY, PROVEN, Verdict};
use super::plan::Plan;
use crate::light::Told;

/// Frames this far away, either way, see the same scene.
const NEAR: usize = 8;
/// So many of them must show the light before one without it stands out.
const FEWEST: usize = 5;
/// Each of them shows it by so many times what proves a light, and with more than this part of its noted strength.
const PLAIN: f64 = 3.0;
const BURNS: f64 = 0.4;
/// The one without it does without it: so little of what proves a light, and surely under this part of the others' gain.
const NOTHING: f64 = 0.5;
const HALF: f64 = 0.5;
/// A light of a smaller share of its best lit tiles, 0..1, is mixed up with the others: the loss of one looks like another's.
const APART: f64 = 0.04;
/// Powers within so many times of each other are seen alike well.
const LIKE: f64 = 2.0;

/// What other pictures hold of a weak light shifts all frames of a run alike: an error that is too wide for one frame says
/// nothing against a frame that alone does without a light all others plainly need.
pub fn compare(verdicts: &mut [Vec<Verdict>], account: &Account, plan: &Plan) {
    for s in 0..plan.sources.len() {
        let missing: Vec<usize> = (0..verdicts.len()).filter(|&f| stands_out(verdicts, account, plan, f, s)).collect();
        for f in missing {
            let verdict = &mut verdicts[f][s];
            (verdict.on, verdict.seen, verdict.reason) = (Told::No, true, "");
        }
    }
}

fn stands_out(verdicts: &[Vec<Verdict>], account: &Account, plan: &Plan, f: usize, s: usize) -> bool {
    let (ask, fit) = (&plan.asks[f][s], &account.fits[f]);
    let Some(level) = ask.level.filter(|_| ask.on == Told::Yes && verdicts[f][s].on == Told::Unknown) else {
        return false;
    };
    let one_dead = plan.asks[f].iter().zip(&verdicts[f]).any(|(a, v)| a.on == Told::Yes && v.on == Told::No);
    if one_dead
        || verdicts[f][s].share < APART
        || fit.misfit.is_nan()
        || fit.needed[s] >= NOTHING * PROVEN
        || fit.gain[s] >= DEAD * level
    {
        return false;
    }
    let relative = |g: usize| plan.asks[g][s].level.map(|other| other / level);
    let peers: Vec<usize> = (f.saturating_sub(NEAR)..(f + NEAR + 1).min(verdicts.len()))
        .filter(|&g| g != f && plan.asks[g][s].on == Told::Yes && !account.fits[g].misfit.is_nan())
        .filter(|&g| relative(g).is_some_and(|times| (1.0 / LIKE..=LIKE).contains(&times)))
        .collect();
    let share_of_note = |g: usize| account.fits[g].gain[s] / plan.asks[g][s].level.unwrap_or(level);
    let plain = |g: &usize| {
        let fit = &account.fits[*g];
        fit.needed[s] > PLAIN * PROVEN && share_of_note(*g) > BURNS
    };
    let mut gains: Vec<f64> = peers.iter().map(|&g| share_of_note(g)).collect();
    peers.len() >= FEWEST
        && peers.iter().all(plain)
        && fit.gain[s] + NINETY * fit.sd[s] < HALF * level * fit::median(&mut gains)
}

#[cfg(test)]
mod tests {
    use super::super::account::tests::{at, unsolved};
    use super::*;

    /// Whether the light is told to be missing from the fourth of eight frames: needed and gain there, and in the first.
    fn told(here: (f64, f64), first: (f64, f64)) -> Told {
        told_of(8, here, first)
    }

    fn told_of(frames: usize, here: (f64, f64), first: (f64, f64)) -> Told {
        let (mut account, plan) = unsolved(vec![vec![at(0.5)]; frames]);
        let mut verdicts = vec![vec![Verdict { on: Told::Unknown, share: 0.05, ..Verdict::default() }]; frames];
        for (f, fit) in account.fits.iter_mut().enumerate() {
            let (needed, gain) = match f {
                0 => first,
                3 => here,
                _ => (200.0, 0.5),
            };
            (fit.needed[0], fit.gain[0], fit.misfit) = (needed, gain, 0.02);
        }
        compare(&mut verdicts, &account, &plan);
        assert!((0..frames).all(|f| f == 3 || verdicts[f][0].on == Told::Unknown));
        verdicts[3][0].on
    }

    #[test]
    fn one_frame_that_does_without_a_light_all_others_need_did_not_have_it() {
        assert_eq!(told((1.0, 0.02), (200.0, 0.4)), Told::No);
        assert_eq!(told((30.0, 0.02), (200.0, 0.4)), Told::Unknown, "a trace of it is needed here too");
        assert_eq!(told((1.0, 0.2), (200.0, 0.4)), Told::Unknown, "it may have been weak here");
        assert_eq!(told((1.0, 0.02), (20.0, 0.4)), Told::Unknown, "another frame does nearly without it too");
        assert_eq!(told((1.0, 0.02), (200.0, 0.1)), Told::Unknown, "another frame hardly has it either");
    }
    #[test]
    fn four_frames_around_are_too_few_to_say_it_of_one_and_five_are_enough() {
        assert_eq!(told_of(5, (1.0, 0.02), (200.0, 0.5)), Told::Unknown);
        assert_eq!(told_of(6, (1.0, 0.02), (200.0, 0.5)), Told::No);
    }
}
