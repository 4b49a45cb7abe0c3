//! What the pictures of these shots cannot say, as sentences: what is not known, a colon, why.

use crate::light::{SequenceLight, Told};

/// Takes back what automatic white balance makes doubtful, and says what cannot be told.
pub fn say(ledger: &mut SequenceLight, automatic_white_balance: bool) {
    // That it was automatic is said where the report counts such shots.
    if automatic_white_balance {
        colours_aside(ledger);
    }
    let mut sentences = Vec::new();
    for light in 0..ledger.lights.len() {
        sentences.extend(of_light(ledger, light));
    }
    let mut shots = ledger.shots.iter().filter(|s| s.not_comparable.is_empty()).peekable();
    let some = shots.peek().is_some();
    let dark = |shot: &crate::light::ShotLight| shot.entries.iter().all(|e| e.on == Told::No);
    if some && !ledger.lights.is_empty() && !shots.any(dark) {
        sentences.push("the exact share of the ambient: no shot that can be compared has all lights off".to_owned());
    }
    for sentence in sentences {
        if !ledger.cannot.contains(&sentence) {
            ledger.cannot.push(sentence);
        }
    }
}

/// Colours moved by the camera say nothing of gels: strengths are told by luminance, and nothing else.
fn colours_aside(ledger: &mut SequenceLight) {
    for entry in ledger.shots.iter_mut().flat_map(|s| &mut s.entries) {
        entry.gain = None;
        entry.setting.colour = 0;
    }
}

fn of_light(ledger: &SequenceLight, index: usize) -> Option<String> {
    let light = ledger.lights.get(index)?;
    // The sentence is cut at its first colon.
    let name = light.name.replace(": ", " ");
    let of_pair = format!("{name} and ");
    if ledger.cannot.iter().any(|s| s.starts_with(&of_pair) || s.contains(&format!("and {name} "))) {
        return None;
    }
    let entries = || ledger.shots.iter().filter_map(|s| s.entries.get(index));
    let set = entries().filter(|e| e.setting.on == Told::Yes || e.on == Told::Yes).count();
    if set == 0 {
        return None;
    }
    if light.reference_shot.is_none() {
        return Some(format!("what {name} did: no shot shows it clearly enough beside the other light"));
    }
    super::runs::hardly_known(ledger, index).then(|| {
        format!("the strength of {name} as well as that of the others: it is weak and never burns alone in these shots")
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::light::{Entry, Light, Setting, ShotLight};

    /// Lights with their reference and solo, then per shot the share of each; None for off.
    fn ledger(lights: &[(&str, bool, bool)], shots: &[&[Option<f64>]]) -> SequenceLight {
        let told = |share: &Option<f64>| if share.is_some() { Told::Yes } else { Told::No };
        let entry = |share: &Option<f64>| Entry {
            on: told(share),
            share_of_frame: *share,
            setting: Setting { on: told(share), colour: 2, ..Setting::default() },
            gain: Some([1.0, 0.8, 0.6]),
            ..Entry::default()
        };
        SequenceLight {
            lights: lights
                .iter()
                .map(|&(name, known, has_solo)| Light {
                    name: name.to_owned(),
                    reference_shot: known.then_some(0),
                    has_solo,
                    ..Light::default()
                })
                .collect(),
            shots: shots
                .iter()
                .map(|s| ShotLight { entries: s.iter().map(entry).collect(), ..ShotLight::default() })
                .collect(),
            ..SequenceLight::default()
        }
    }

    fn said(mut ledger: SequenceLight) -> Vec<String> {
        say(&mut ledger, false);
        ledger.cannot
    }

    #[test]
    fn nothing_is_said_where_all_is_known() {
        let lights = [("key", true, true), ("rim", true, true)];
        assert_eq!(said(ledger(&lights, &[&[None, None], &[Some(0.5), Some(0.05)]])), [""; 0]);
    }

    #[test]
    fn a_light_never_seen_and_a_weak_one_never_alone_are_named() {
        let list = said(ledger(
            &[("key: big", false, false), ("rim", true, false)],
            &[&[None, None], &[Some(0.5), Some(0.05)]],
        ));
        assert_eq!(list.len(), 2, "{list:?}");
        assert!(list[0].starts_with("what key big did: "), "cut at the first colon: {}", list[0]);
        assert!(list[1].starts_with("the strength of rim "), "{}", list[1]);
    }

    #[test]
    fn a_light_that_was_never_set_on_is_no_gap() {
        assert_eq!(said(ledger(&[("key", false, false)], &[&[None], &[None]])), [""; 0]);
    }

    #[test]
    fn without_a_shot_of_the_ambient_alone_its_share_is_not_exact() {
        let list = said(ledger(&[("key", true, true)], &[&[Some(0.5)], &[Some(0.5)]]));
        assert_eq!(list.len(), 1, "{list:?}");
        assert!(list[0].contains("ambient"), "{}", list[0]);
    }

    #[test]
    fn automatic_white_balance_leaves_no_colour_in_the_ledger() {
        for automatic in [false, true] {
            let mut ledger = ledger(&[("key", true, true)], &[&[None], &[Some(0.5)]]);
            say(&mut ledger, automatic);
            let entry = &ledger.shots[1].entries[0];
            assert_eq!((entry.gain.is_some(), entry.setting.colour == 2), (!automatic, !automatic));
        }
    }
}
