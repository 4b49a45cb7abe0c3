//! How long each light was given to recycle at each noted power, over all shots of its camera.

use crate::exposure::words::power;
use crate::next_time::gaps::{self, Gaps};
use crate::report::next_types::Gap;
use crate::shots::Sequence;

use super::super::Parts;

/// A row per camera, light and power with a known gap.
pub fn gaps(parts: &Parts) -> Vec<Gap> {
    let mut rows = Vec::new();
    for ((sequence, light), firings) in parts.sequences.iter().zip(&parts.ledger.sequences).zip(&parts.cull.firings) {
        for found in gaps::gaps(firings) {
            let Some(own) = light.lights.get(found.light) else { continue };
            rows.push(row(sequence, &own.name, &found));
        }
    }
    rows
}

fn row(sequence: &Sequence, light: &str, found: &Gaps) -> Gap {
    let exact = sequence.shots.iter().all(|shot| shot.taken.as_ref().is_some_and(|t| t.fraction_digits > 0));
    let clock = if exact { "" } else { "; each gap is known to ±1 s" };
    Gap {
        light: light.to_owned(),
        camera: sequence.camera.clone(),
        noted_power: found.power.map(power).unwrap_or_default(),
        shortest_full_s: found.shortest_full_s,
        full: found.full,
        failed_s: found.failed_s.clone(),
        full_from_s: found.full_from_s,
        words: words(found),
        how: format!(
            "from the times of the shots, each gap since the light last burned{clock}; nothing is said of other powers"
        ),
    }
}

/// "in full 13 times, the shortest gap 1.1 s; short or missing after 0.9 s".
fn words(found: &Gaps) -> String {
    let times = |n: usize| if n == 1 { "once".to_owned() } else { format!("{n} times") };
    let full = found.shortest_full_s.map(|gap| format!("in full {}, the shortest gap {gap:.1} s", times(found.full)));
    let mut failed_gaps = found.failed_s.clone();
    failed_gaps.sort_by(f64::total_cmp);
    let failed = match failed_gaps.as_slice() {
        [] => None,
        [one] => Some(format!("short or missing after {one:.1} s")),
        [first, .., last] => {
            Some(format!("short or missing {} after {first:.1} to {last:.1} s", times(failed_gaps.len())))
        }
    };
    let rule = found.full_from_s.map(|gap| format!("never from {gap:.1} s on"));
    let longest = failed_gaps.last().copied();
    let other = found.shortest_full_s.zip(longest).is_some_and(|(full, failed)| failed >= full);
    let doubt = (other && rule.is_none()).then(|| "so the gap alone does not say why".to_owned());
    [full, failed, rule, doubt].into_iter().flatten().collect::<Vec<_>>().join("; ")
}
