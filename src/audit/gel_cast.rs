//! A noted light that changed its colour while its note did not. Under automatic white balance nothing is claimed.

use super::Finding;
use super::lit::Lit;
use crate::exposure::words;
use crate::light::Told;
use crate::metadata::WhiteBalance;
use crate::problem::Code;
use crate::stages::relit::{hue, warmth};

/// One finding per change. Without notes a change of gel is told as a change, not as a finding.
pub fn find(lit: &Lit) -> Vec<Finding> {
    if !lit.light.noted {
        return Vec::new();
    }
    let seen = lit.shots.iter().enumerate().filter(|(_, (_, _, e))| e.on == Told::Yes && e.setting.colour != 0);
    let seen: Vec<_> = seen.collect();
    let pairs = seen.windows(2).filter_map(|pair| {
        let [(_, (shot, _, was)), (index, (own, _, now))] = pair else { return None };
        let by_hand = |s: &crate::shots::Shot| s.metadata.white_balance == Some(WhiteBalance::Manual);
        let unsaid = was.setting.gel == now.setting.gel && was.setting.colour != now.setting.colour;
        if !unsaid || !by_hand(shot) || !by_hand(own) {
            return None;
        }
        let noted = if now.setting.gel.is_empty() { "no gel noted in either" } else { "the same gel noted in both" };
        let by = was.gain.and_then(warmth).zip(now.gain.and_then(warmth)).map(|(a, b)| b - a);
        let figure = by.map_or_else(
            || "how far is not known".to_owned(),
            |by| format!("red against blue {}", words::stops_unit(by)),
        );
        lit.finding(
            *index,
            Code::GelCast,
            [
                format!("{} changed colour without a note: {}", lit.light.name, hue(was.gain, now.gain)),
                format!("{figure} against {}; {noted}", shot.frame),
                "the change of colour is proven by the pictures, white balance set by hand; its cause is not known"
                    .to_owned(),
            ],
        )
    });
    pairs.collect()
}
