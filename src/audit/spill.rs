//! A light meant for the background or the dust that falls on the subject too. Told only with a subject box.

use super::Finding;
use super::lit::{Lit, span};
use crate::exposure::words;
use crate::light::{ShotLight, Told};
use crate::problem::Code;
use crate::stages::as_set::median;
use crate::stages::purpose::purpose;

/// Spill counts above this part of the key, three stops below it: less is lost beside the key (common practice, no
/// source).
const NOTICED: f64 = 1.0 / 8.0;

/// One finding per run of the light.
pub fn find(lit: &Lit) -> Vec<Finding> {
    if !matches!(purpose(lit.light), Some("background" | "dust")) {
        return Vec::new();
    }
    lit.runs().into_iter().filter_map(|run| in_run(lit, run)).collect()
}

fn in_run(lit: &Lit, run: std::ops::Range<usize>) -> Option<Finding> {
    let mut against: Vec<(usize, &str, f64)> = Vec::new();
    for (index, _, entry) in lit.within(run).filter(|(_, _, e)| e.on == Told::Yes) {
        let key = lit.ledger.shots.get(index).and_then(|shot| key(lit, shot));
        if let (Some(own), Some((name, key))) = (entry.share_of_subject, key) {
            against.push((index, name, own / key));
        }
    }
    let (first, key, _) = *against.first()?;
    let (last, ..) = *against.last()?;
    let part = median(against.iter().filter(|(_, name, _)| *name == key).map(|(.., part)| *part).collect())?;
    if part <= NOTICED {
        return None;
    }
    let stops = libm::log2(part);
    lit.finding(
        first,
        Code::SpillOnSubject,
        [
            format!("{} falls on the subject, {} against {key}", lit.light.name, words::stops_unit(stops)),
            format!(
                "median of its share of the subject's light against that of {key}, {}",
                span(lit.frame(first), lit.frame(last), against.len())
            ),
            "within the subject box; whether it was wanted there cannot be known".to_owned(),
        ],
    )
}

/// The key of a shot: the burning light named so, else the strongest on the subject that is for neither dust nor
/// background; with its share of the subject's light.
fn key<'a>(lit: &Lit<'a>, shot: &ShotLight) -> Option<(&'a str, f64)> {
    let burning = lit.ledger.lights.iter().zip(&shot.entries).filter(|(_, e)| e.on == Told::Yes);
    let others: Vec<_> = burning.filter(|(l, _)| !matches!(purpose(l), Some("background" | "dust"))).collect();
    let named = others.iter().find(|(l, _)| purpose(l) == Some("key"));
    let share = |e: &crate::light::Entry| e.share_of_subject.filter(|s| *s > 0.0);
    match named {
        Some((light, entry)) => Some((light.name.as_str(), share(entry)?)),
        None => {
            let all = others.iter().filter_map(|(light, entry)| Some((light.name.as_str(), share(entry)?)));
            all.max_by(|a, b| a.1.total_cmp(&b.1))
        }
    }
}
