//! The pictures against the notes: misfires, wrong powers, notes that start late.

use super::judge::{NINETY, WIDER};
use super::ledger::{Findings, TOO_WEAK};
use crate::light::{Agreement, Evidence, SequenceLight, ShotLight, Stops, Told};

/// A picture this far from the note, beyond its own uncertainty, differs: half a click of a power dial.
const BEYOND: f64 = 0.15;

/// An account that leaves over more of a picture than this, 0..1, as a median over its tiles, proves no light absent.
const NOTHING: f64 = 0.15;

/// A picture with less than this part of the light that one light alone usually gives is too dark for it to have burned.
const DARK: f64 = 0.5;

/// Fills `misfire`, `agrees` and `against_note` of every entry.
pub fn compare(findings: &Findings, ledger: &mut SequenceLight) {
    let shots: Vec<usize> = findings.account.scene.views.iter().map(|v| v.shot).collect();
    for light in 0..findings.names.len() {
        for (f, &shot) in shots.iter().enumerate() {
            if !too_dark(findings, f, light) {
                withdraw(&mut ledger.shots[shot], light);
            }
        }
        for (f, &shot) in shots.iter().enumerate() {
            let entry = &ledger.shots[shot].entries[light];
            let (on, set, seen) = (entry.on, entry.setting.on, entry.evidence);
            let mut next = entry.clone();
            next.misfire = match (set, on) {
                (Told::Yes, Told::No) => misfire(ledger, &shots, f, light),
                (Told::Yes, Told::Unknown) => Told::Unknown,
                (Told::Unknown, Told::Unknown) => Told::Unknown,
                _ => Told::No,
            };
            next.agrees = match (set, on) {
                _ if findings.notes.is_none() => Agreement::NotTested,
                (Told::Yes, Told::No) if next.misfire == Told::No => Agreement::Differs,
                (Told::No, Told::Yes) => Agreement::Differs,
                (Told::No, Told::No) if seen != Evidence::Noted => Agreement::AsNoted,
                _ => Agreement::NotTested,
            };
            if set == Told::Yes && on == Told::Yes {
                let source = findings.plan.sources.iter().zip(&findings.plan.asks[f]).zip(&findings.verdicts[f]);
                let asked = source.filter(|((s, a), _)| s.light == light && a.on == Told::Yes);
                for ((_, ask), verdict) in asked {
                    if let Some(level) = ask.level.filter(|_| verdict.gain > 0.0 && verdict.sd < 0.5 * verdict.gain) {
                        let value = libm::log2(verdict.gain / level);
                        let half = WIDER * NINETY * verdict.sd / verdict.gain * std::f64::consts::LOG2_E;
                        next.against_note = Some(Stops { value, low: value - half, high: value + half });
                        next.agrees = if value.abs() > half + BEYOND { Agreement::Differs } else { Agreement::AsNoted };
                    }
                }
            }
            ledger.shots[shot].entries[light] = next;
        }
    }
}

/// Whether a picture holds far less light than this light alone usually gives: then it cannot have burned, however badly
/// the rest is explained.
fn too_dark(findings: &Findings, f: usize, light: usize) -> bool {
    let (account, sources) = (findings.account, &findings.plan.sources);
    let asked = (0..sources.len()).find(|&s| sources[s].light == light && findings.plan.asks[f][s].on != Told::No);
    let Some((source, usual)) = asked.and_then(|s| Some((s, findings.verdicts[f][s].usual?))) else { return false };
    let (mut all, mut own) = (0.0, 0.0);
    for (i, pattern) in account.patterns[source].iter().enumerate() {
        if !pattern[1].is_nan() && account.frames[f].variance[i][1].is_finite() {
            all += f64::from(account.frames[f].light[i][1]);
            own += usual * account.mixes[f].colour[source][1] * f64::from(pattern[1]);
        }
    }
    all < DARK * own
}

/// A picture that is not explained at all proves no absence.
fn withdraw(shot: &mut ShotLight, light: usize) {
    let unexplained = shot.misfit.is_none_or(|m| m > NOTHING);
    let entry = &mut shot.entries[light];
    if unexplained && entry.setting.on == Told::Yes && entry.on == Told::No {
        entry.on = Told::Unknown;
        entry.evidence = Evidence::NotComparable;
        (entry.share_of_frame, entry.share_of_subject) = (None, None);
        "the lights as known do not explain this picture".clone_into(&mut entry.reason);
    }
}

/// Whether a light that was set on and is missing failed by itself: one or two frames, burning before or after at the
/// same note. More in a row are a note that does not hold.
fn misfire(ledger: &SequenceLight, shots: &[usize], f: usize, light: usize) -> Told {
    let state = |g: usize| {
        let entry = &ledger.shots[shots[g]].entries[light];
        (entry.setting.on == Told::Yes).then_some(entry.on)
    };
    let here = &ledger.shots[shots[f]].entries[light].setting;
    let hardly = |g: usize| ledger.shots[shots[g]].entries[light].reason == TOO_WEAK;
    let as_here = |g: usize| ledger.shots[shots[g]].entries[light].setting == *here;
    // Shots between two dark ones that tell nothing count with them.
    let away = |range: &mut dyn Iterator<Item = usize>| {
        let (mut dead, mut open, mut blank) = (0, 0, false);
        for g in range {
            match state(g) {
                Some(Told::No) => {
                    dead += open + 1;
                    open = 0;
                }
                Some(Told::Unknown) => {
                    open += 1;
                    blank = true;
                }
                // So little of a light vouches for nothing: where it is dark around, it may be another light's.
                Some(Told::Yes) if hardly(g) => open += 1,
                // Beside shots that tell nothing the light may have been otherwise there too: none vouches across them.
                other => return (dead, !blank && other == Some(Told::Yes) && as_here(g)),
            }
        }
        (dead, false)
    };
    let (before, left) = away(&mut (0..f).rev());
    let (after, right) = away(&mut (f + 1..shots.len()));
    match 1 + before + after {
        1 if left || right => Told::Yes,
        2 if left && right => Told::Yes,
        1 => Told::Unknown,
        _ => Told::No,
    }
}

#[cfg(test)]
mod tests {
    use super::super::account::tests::{at, unsolved};
    use super::super::judge::Verdict;
    use super::super::plan::Ask;
    use super::*;
    use crate::light::{Entry, Setting};

    /// One light: in each shot its noted power (None for off), and whether it burned.
    fn ledger(shots: &[(Option<f64>, Told)]) -> SequenceLight {
        let entry = |&(power, on): &(Option<f64>, Told)| Entry {
            on,
            setting: Setting { on: if power.is_some() { Yes } else { No }, noted_power: power, ..Setting::default() },
            ..Entry::default()
        };
        let shot = |s: &(Option<f64>, Told)| ShotLight { entries: vec![entry(s)], ..ShotLight::default() };
        SequenceLight { shots: shots.iter().map(shot).collect(), ..SequenceLight::default() }
    }

    fn failed(shots: &[(Option<f64>, Told)], f: usize) -> Told {
        misfire(&ledger(shots), &(0..shots.len()).collect::<Vec<_>>(), f, 0)
    }

    const SET: Option<f64> = Some(-4.0);
    use Told::{No, Unknown, Yes};

    #[test]
    fn one_dark_shot_among_burning_ones_is_a_misfire_and_a_dark_run_is_a_wrong_note() {
        assert_eq!(failed(&[(SET, Yes), (SET, No), (SET, Yes)], 1), Yes);
        assert_eq!(failed(&[(SET, Yes), (SET, No), (SET, No), (SET, Yes)], 1), Yes, "two, burning on both sides");
        assert_eq!(failed(&[(SET, Yes), (SET, No), (SET, No), (None, No)], 1), No, "two at the end of a run");
        assert_eq!(failed(&[(SET, Yes), (SET, No), (SET, No), (SET, No), (SET, Yes)], 1), No);
        assert_eq!(failed(&[(None, No), (SET, No), (None, No)], 1), Unknown, "nothing to hold it against");
    }

    #[test]
    fn a_shot_not_told_between_dark_ones_belongs_to_their_run() {
        let shots = [(SET, Yes), (SET, No), (SET, Unknown), (SET, No), (SET, Yes)];
        assert_eq!((failed(&shots, 1), failed(&shots, 3)), (No, No));
    }

    #[test]
    fn no_shot_vouches_across_one_that_tells_nothing() {
        assert_eq!(failed(&[(None, No), (SET, No), (SET, Unknown), (SET, Yes)], 1), Unknown);
        assert_eq!(failed(&[(SET, Yes), (SET, No), (SET, Unknown), (SET, Yes)], 1), Yes, "the shot before does");
    }

    #[test]
    fn a_trace_of_light_between_dark_shots_vouches_for_nothing() {
        let mut trace = ledger(&[(SET, Yes), (SET, No), (SET, Yes), (SET, No)]);
        let failed = |trace: &SequenceLight| misfire(trace, &[0, 1, 2, 3], 3, 0);
        assert_eq!(failed(&trace), Yes);
        trace.shots[2].entries[0].reason = TOO_WEAK.to_owned();
        assert_eq!(failed(&trace), No);
    }

    #[test]
    fn burning_at_another_note_vouches_for_nothing() {
        assert_eq!(failed(&[(SET, Yes), (SET, No), (SET, No), (Some(-3.0), Yes)], 1), No);
    }

    #[test]
    fn a_picture_that_is_not_explained_proves_no_light_absent() {
        for (misfit, wanted) in [(Some(0.1), No), (Some(0.2), Unknown), (None, Unknown)] {
            let mut shot = ledger(&[(SET, No)]).shots.remove(0);
            shot.misfit = misfit;
            withdraw(&mut shot, 0);
            assert_eq!(shot.entries[0].on, wanted, "{misfit:?}");
            assert_eq!(shot.entries[0].reason.is_empty(), wanted == No);
        }
    }

    #[test]
    fn a_picture_with_less_than_half_of_what_a_light_alone_gives_is_too_dark_for_it() {
        let (mut account, plan) = unsolved(vec![vec![at(1.0), Ask::OFF]]);
        let usual = |usual| Verdict { usual, ..Verdict::default() };
        account.patterns[0] = vec![[0.4; 3], [0.2; 3]];
        let mut dark = |light: [f32; 2], set: Option<f64>| {
            account.frames[0].light = light.map(|l| [l; 3]).to_vec();
            let verdicts = [vec![usual(set), usual(Some(1.0))]];
            let names = vec![(String::new(), String::new(), true); 2];
            let (account, plan) = (&account, &plan);
            let findings = Findings { account, plan, verdicts: &verdicts, notes: None, names, subject: vec![None] };
            [0, 1].map(|light| too_dark(&findings, 0, light))
        };
        assert_eq!(dark([0.2, 0.09], Some(1.0)), [true, false], "0.29 of 0.6; nobody set the second on");
        assert_eq!(dark([0.2, 0.11], Some(1.0)), [false, false], "0.31 of 0.6");
        assert_eq!(dark([0.2, 0.09], Some(0.9)), [false, false], "0.29 of 0.54");
        assert_eq!(dark([0.0, 0.0], None), [false, false], "nothing known to hold it against");
        assert_eq!(dark([f32::NAN, 0.09], Some(1.0)), [false, false], "no light is known to be missing");
    }
}
