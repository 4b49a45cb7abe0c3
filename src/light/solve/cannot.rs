//! What the pictures of these shots cannot say, as sentences: what is not known, a colon, why.

use crate::light::{SequenceLight, Told};
use crate::metadata::WhiteBalance;
use crate::shots::Sequence;

/// Takes back what automatic white balance makes doubtful, and says what cannot be told.
pub fn say(ledger: &mut SequenceLight, sequence: &Sequence) {
    let automatic = sequence.shots.iter().any(|s| s.metadata.white_balance == Some(WhiteBalance::Auto));
    if automatic {
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
    if automatic && !ledger.lights.is_empty() {
        sentences.push("gels and casts: automatic white balance moves the colours by itself".to_owned());
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
