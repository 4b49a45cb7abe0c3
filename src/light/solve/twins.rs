//! Lights that always burn together at one ratio: the pictures hold their sum and nothing of each, so one stands for all.

use super::plan::Plan;
use crate::light::{Entry, Evidence, SequenceLight, Stops, Told};
use crate::notes::{NotedSequence, Said};

/// Ratios of noted powers this near in stops are one ratio: half the finest step of a flash.
const SAME_RATIO: f64 = 0.05;
/// If the sum falls short of the notes by more stops than this, beyond its interval, one of the lights may be missing.
const SHORT: f64 = 0.3;

/// Groups of lights, each by their indices; the first of a group stands for its sum.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Twins {
    /// The groups, none smaller than two.
    pub groups: Vec<Vec<usize>>,
}

impl Twins {
    /// Looks through the notes of the given shots.
    pub fn of(notes: &NotedSequence, shots: &[usize]) -> Self {
        let mut groups: Vec<Vec<usize>> = Vec::new();
        let course = |light: usize| -> Vec<Option<&Said>> {
            shots.iter().map(|&shot| notes.shots.get(shot).and_then(|s| s.get(light))).collect()
        };
        for light in 0..notes.lights.len() {
            let own = course(light);
            let with = groups.iter_mut().find(|g| g.first().is_some_and(|&head| together(&course(head), &own)));
            match with {
                Some(group) => group.push(light),
                None => groups.push(vec![light]),
            }
        }
        groups.retain(|g| g.len() > 1);
        Self { groups }
    }

    /// The plan with one source for each group: a second one would have no picture of its own.
    pub fn as_one(&self, plan: &mut Plan) {
        let gone = |light: usize| self.groups.iter().any(|g| g.iter().skip(1).any(|&l| l == light));
        let keep: Vec<bool> = plan.sources.iter().map(|s| !gone(s.light)).collect();
        kept(&mut plan.sources, &keep);
        kept(&mut plan.top, &keep);
        for asks in &mut plan.asks {
            kept(asks, &keep);
        }
    }

    /// Gives every light of a group what is known of the sum: whether they burned, and no strength.
    pub fn say(&self, ledger: &mut SequenceLight) {
        for group in &self.groups {
            let names: Vec<String> =
                group.iter().filter_map(|&l| ledger.lights.get(l)).map(|l| l.name.clone()).collect();
            for shot in ledger.shots.iter_mut().filter(|s| s.not_comparable.is_empty()) {
                let Some(sum) = group.first().and_then(|&head| shot.entries.get(head)).cloned() else { continue };
                for (&light, name) in group.iter().zip(&names) {
                    let others: Vec<&str> = names.iter().filter(|n| *n != name).map(String::as_str).collect();
                    if let Some(entry) = shot.entries.get_mut(light) {
                        *entry = part(&sum, entry, &others.join(" and "));
                    }
                }
            }
            for &light in group {
                if let Some(light) = ledger.lights.get_mut(light) {
                    (light.reference_shot, light.has_solo, light.picture, light.drift) = (None, false, None, None);
                }
            }
            let list = names.join(" and ").replace(": ", " ");
            ledger.cannot.push(format!(
                "{list} each by itself: they always burn together at one ratio, so they cannot be told apart"
            ));
        }
    }
}

/// What the sum says of one of its lights.
fn part(sum: &Entry, own: &Entry, others: &str) -> Entry {
    let mut entry = Entry {
        on: sum.on,
        misfire: sum.misfire,
        evidence: if sum.evidence == Evidence::Solo { Evidence::WorkedOut } else { sum.evidence },
        reason: sum.reason.clone(),
        setting: own.setting.clone(),
        agrees: sum.agrees,
        late_note: sum.late_note,
        ..Entry::default()
    };
    match sum.on {
        Told::Yes if sum.against_note.is_some_and(|a: Stops| a.high < -SHORT) => {
            entry.on = Told::Unknown;
            entry.misfire = Told::Unknown;
            entry.evidence = Evidence::NotComparable;
            entry.reason = format!(
                "always burns together with {others}: the sum is weaker than noted, which of them failed or was short cannot be told"
            );
        }
        Told::Yes => {
            entry.reason = format!("always burns together with {others}: only the sum can be told");
        }
        _ => {}
    }
    if sum.on == Told::No {
        entry.share_of_frame = sum.share_of_frame;
        entry.share_of_subject = sum.share_of_subject;
    }
    entry
}

/// Whether two lights are noted on and off together, at one ratio, each behind one gel and modifier throughout.
fn together(a: &[Option<&Said>], b: &[Option<&Said>]) -> bool {
    let mut pairs: Vec<(&Said, &Said)> = Vec::new();
    for pair in a.iter().zip(b) {
        let (Some(a), Some(b)) = pair else { return false };
        if a.on != b.on || a.on == Told::Unknown {
            return false;
        }
        if a.on == Told::Yes {
            pairs.push((a, b));
        }
    }
    let Some(&(first_a, first_b)) = pairs.first() else { return false };
    let looks = |x: &Said, y: &Said| x.gel == y.gel && x.modifier == y.modifier;
    let ratio = |a: &Said, b: &Said| match (a.power, b.power) {
        (Some(a), Some(b)) => Some(a - b),
        _ => None,
    };
    pairs.iter().all(|&(a, b)| {
        let ratios = match (ratio(a, b), ratio(first_a, first_b)) {
            (Some(now), Some(then)) => (now - then).abs() <= SAME_RATIO,
            // Without a power it is the same one as long as nobody noted another.
            _ => a.power == first_a.power && b.power == first_b.power,
        };
        ratios && looks(a, first_a) && looks(b, first_b)
    })
}

fn kept<T>(list: &mut Vec<T>, keep: &[bool]) {
    let mut keep = keep.iter();
    list.retain(|_| keep.next().copied().unwrap_or(true));
}
