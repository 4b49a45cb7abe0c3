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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::light::{Light, LightPicture, ShotLight};
    use crate::notes::NotedLight;

    /// Powers of each light, shot by shot; None for off.
    fn notes(shots: &[&[Option<f64>]]) -> NotedSequence {
        let said = |power: &Option<f64>| Said {
            on: if power.is_some() { Told::Yes } else { Told::No },
            power: *power,
            ..Said::default()
        };
        let lights = shots.first().map_or(0, |s| s.len());
        NotedSequence {
            lights: (0..lights).map(|l| NotedLight { name: format!("l{l}"), ..NotedLight::default() }).collect(),
            shots: shots.iter().map(|s| s.iter().map(said).collect()).collect(),
        }
    }

    const A: Option<f64> = Some(-3.0);
    const B: Option<f64> = Some(-4.0);

    fn groups(shots: &[&[Option<f64>]]) -> Vec<Vec<usize>> {
        Twins::of(&notes(shots), &(0..shots.len()).collect::<Vec<_>>()).groups
    }

    #[test]
    fn one_ratio_throughout_makes_twins_and_one_shot_apart_unmakes_them() {
        assert_eq!(groups(&[&[None, None, A], &[A, B, A], &[B, Some(-5.0), None]]), [[0, 1]]);
        assert_eq!(groups(&[&[None, None, A], &[A, B, A], &[B, B, None]]), [[0; 0]; 0], "another ratio");
        assert_eq!(groups(&[&[None, B, A], &[A, B, A]]), [[0; 0]; 0], "once alone");
        assert_eq!(groups(&[&[None, None], &[None, None]]), [[0; 0]; 0], "never on");
        assert_eq!(groups(&[&[A, A, A]]), [[0, 1, 2]], "three heads of one bank");
    }

    #[test]
    fn a_gel_that_comes_to_one_of_them_tells_something() {
        let mut noted = notes(&[&[A, B], &[A, B]]);
        assert_eq!(Twins::of(&noted, &[0, 1]).groups.len(), 1);
        noted.shots[1][1].gel = "CTO".to_owned();
        assert_eq!(Twins::of(&noted, &[0, 1]).groups.len(), 0);
    }

    #[test]
    fn the_plan_keeps_one_source_for_both() {
        let noted = notes(&[&[A, B, None], &[A, B, A]]);
        let (mut plan, twins) = (Plan::noted(&noted, &[0, 1]), Twins::of(&noted, &[0, 1]));
        twins.as_one(&mut plan);
        assert_eq!(plan.sources.iter().map(|s| s.light).collect::<Vec<_>>(), [0, 2]);
        assert!(plan.top.len() == 2 && plan.asks.iter().all(|a| a.len() == 2));
    }

    /// Two lights of which the first has the sum's entry.
    fn ledger(sum: Entry) -> SequenceLight {
        let light = |name: &str| Light {
            name: name.to_owned(),
            reference_shot: Some(0),
            has_solo: true,
            picture: Some(LightPicture::default()),
            ..Light::default()
        };
        SequenceLight {
            lights: vec![light("key"), light("rim")],
            shots: vec![ShotLight { entries: vec![sum, Entry::default()], ..ShotLight::default() }],
            ..SequenceLight::default()
        }
    }

    fn sum(against: f64) -> Entry {
        Entry {
            on: Told::Yes,
            evidence: Evidence::Solo,
            stops: Some(Stops { value: 0.0, low: 0.0, high: 0.0 }),
            share_of_frame: Some(0.9),
            against_note: Some(Stops { value: against, low: against - 0.1, high: against + 0.1 }),
            ..Entry::default()
        }
    }

    #[test]
    fn of_the_sum_both_burn_and_neither_has_a_strength() {
        let mut ledger = ledger(sum(0.0));
        Twins { groups: vec![vec![0, 1]] }.say(&mut ledger);
        for (entry, other) in ledger.shots[0].entries.iter().zip(["rim", "key"]) {
            assert_eq!((entry.on, entry.evidence), (Told::Yes, Evidence::WorkedOut));
            assert!(entry.stops.is_none() && entry.share_of_frame.is_none() && entry.power.is_none());
            assert_eq!(entry.reason, format!("always burns together with {other}: only the sum can be told"));
        }
        assert!(ledger.lights.iter().all(|l| !l.has_solo && l.picture.is_none() && l.reference_shot.is_none()));
        assert_eq!(ledger.cannot.len(), 1);
        assert!(ledger.cannot[0].contains("cannot be told apart"), "{}", ledger.cannot[0]);
    }

    #[test]
    fn half_a_sum_does_not_say_which_of_them_is_missing() {
        let mut ledger = ledger(sum(-1.0));
        Twins { groups: vec![vec![0, 1]] }.say(&mut ledger);
        assert!(ledger.shots[0].entries.iter().all(|e| e.on == Told::Unknown && e.misfire == Told::Unknown));
    }
}
