//! What is not known of the light: grouped by reason, each with what would make it known.

use super::lights;
use super::not_known::row;
use crate::light::{LightLedger, SequenceLight, Told};
use crate::metadata::WhiteBalance;
use crate::report::NotKnown;
use crate::shots::Sequence;

/// More groups of reasons than this stay in light-ledger.csv.
const MOST_REASONS: usize = 5;

const SOLO: &str = "keep one test frame of each light alone, and one with all flashes off";

/// The sentences about the light of all cameras.
pub fn list(sequences: &[Sequence], ledger: &LightLedger) -> Vec<NotKnown> {
    let cameras: Vec<(&Sequence, &SequenceLight)> =
        sequences.iter().zip(&ledger.sequences).filter(|(s, _)| !s.shots.is_empty()).collect();
    if cameras.is_empty() {
        return Vec::new();
    }
    let mut list = Vec::new();
    if cameras.iter().any(|(_, light)| light.lights.is_empty()) {
        list.push(no_lights(&cameras));
    }
    let mut said: Vec<&str> = Vec::new();
    for sentence in cameras.iter().flat_map(|(_, light)| &light.cannot) {
        if !said.contains(&sentence.as_str()) {
            said.push(sentence);
            let (what, why) = split(sentence);
            list.push(row(what, why, remedy(sentence)));
        }
    }
    let lit: Vec<(&Sequence, &SequenceLight)> =
        cameras.into_iter().filter(|(_, light)| !light.lights.is_empty()).collect();
    list.extend(reasons(&lit));
    list.extend(general(&lit));
    list
}

/// No light was told apart in at least one camera's shots.
fn no_lights(cameras: &[(&Sequence, &SequenceLight)]) -> NotKnown {
    let without: Vec<&str> =
        cameras.iter().filter(|(_, l)| l.lights.is_empty()).map(|(s, _)| s.camera.as_str()).collect();
    let whose = if without.len() == cameras.len() {
        String::new()
    } else {
        format!(" in the shots of {}", without.join(" and "))
    };
    let why = if cameras.iter().filter(|(_, l)| l.lights.is_empty()).all(|(_, l)| lights::nothing(l)) {
        "cameras do not record which flash fired, how strong, behind which gel, and no flash was told apart in the pictures"
    } else {
        "no flash was told apart: the settings and the ambient explain the pictures"
    };
    row(&format!("which light did what{whose}"), why, SOLO)
}

/// A sentence cut into what is not known and why.
fn split(sentence: &str) -> (&str, &str) {
    let sentence = sentence.trim_end_matches('.');
    let cut = sentence.split_once(": ").or_else(|| sentence.split_once(" because "));
    cut.unwrap_or((sentence, "the pictures do not hold it"))
}

/// What would make it known, by what the reason is about.
fn remedy(reason: &str) -> &'static str {
    let reason = reason.to_lowercase();
    let about = |words: &[&str]| words.iter().any(|word| reason.contains(word));
    match () {
        () if about(&["curve"]) => "note one light at two powers, or bracket the exposure once under constant light",
        () if about(&["white balance"]) => "set the white balance by hand",
        () if about(&["sync"]) => "stay at or below sync speed",
        () if about(&["clipped"]) => "take one test frame a stop or two darker",
        () if about(&["framing", "lens", "place", "moved", "entered", "sitter", "align", "correlate"]) => {
            "keep one test frame of each light alone from the same place, with the sitter in it"
        }
        () if about(&["ambient"]) => "take one frame with all flashes off",
        () => SOLO,
    }
}

/// Reasons of shots and of lights, each said once with how often.
fn reasons(cameras: &[(&Sequence, &SequenceLight)]) -> Vec<NotKnown> {
    let mut groups: Vec<Group> = Vec::new();
    for (sequence, light) in cameras {
        for (shot, own) in sequence.shots.iter().zip(&light.shots) {
            if !own.not_comparable.is_empty() {
                add(&mut groups, &own.not_comparable, &shot.frame, None);
                continue;
            }
            for (entry, name) in own.entries.iter().zip(&light.lights) {
                let open = entry.on == Told::Unknown || entry.stops.is_none();
                if open && !entry.reason.is_empty() {
                    add(&mut groups, &entry.reason, &shot.frame, Some(&name.name));
                }
            }
        }
    }
    let left = groups.len().saturating_sub(MOST_REASONS);
    // The most frequent first; the sort keeps shooting order among equals.
    groups.sort_by_key(|group| std::cmp::Reverse(group.frames.len()));
    let mut list: Vec<NotKnown> = groups.iter().take(MOST_REASONS).map(Group::sentence).collect();
    if left > 0 {
        let reasons = if left == 1 { "1 more reason".to_owned() } else { format!("{left} more reasons") };
        list.push(row("lights of single shots", &format!("{reasons}, in the column reason of light-ledger.csv"), SOLO));
    }
    list
}

/// One reason and whom it concerns.
struct Group<'a> {
    reason: &'a str,
    /// Empty for the light of whole shots.
    lights: Vec<&'a str>,
    frames: Vec<&'a str>,
}

fn add<'a>(groups: &mut Vec<Group<'a>>, reason: &'a str, frame: &'a str, light: Option<&'a str>) {
    let index = groups.iter().position(|g| g.reason == reason && g.lights.is_empty() == light.is_none());
    let index = index.unwrap_or_else(|| {
        groups.push(Group { reason, lights: Vec::new(), frames: Vec::new() });
        groups.len() - 1
    });
    let Some(group) = groups.get_mut(index) else { return };
    if let Some(light) = light.filter(|light| !group.lights.contains(light)) {
        group.lights.push(light);
    }
    // Shots come in order, so a frame met again is the last one.
    if group.frames.last() != Some(&frame) {
        group.frames.push(frame);
    }
}

impl Group<'_> {
    fn sentence(&self) -> NotKnown {
        let shots = match self.frames.as_slice() {
            [one] => (*one).to_owned(),
            all => format!("{} shots", all.len()),
        };
        let what = match self.lights.as_slice() {
            [] => format!("the light of {shots}"),
            [one] => format!("what {one} did in {shots}"),
            [most @ .., last] => format!("what {} and {last} did in {shots}", most.join(", ")),
        };
        row(&what, self.reason, remedy(self.reason))
    }
}

/// What no picture tells, said once.
fn general(cameras: &[(&Sequence, &SequenceLight)]) -> Vec<NotKnown> {
    let mut list = Vec::new();
    if cameras.is_empty() {
        return list;
    }
    let shots = || cameras.iter().flat_map(|(sequence, _)| &sequence.shots);
    let automatic = shots().filter(|s| s.metadata.white_balance == Some(WhiteBalance::Auto)).count();
    if automatic > 0 {
        let how_many = if automatic == shots().count() {
            String::new()
        } else {
            format!(" in {automatic} {}", if automatic == 1 { "shot" } else { "shots" })
        };
        list.push(row(
            &format!("gels and casts{how_many}"),
            "automatic white balance moves the colours by itself",
            "set the white balance by hand",
        ));
    }
    if cameras.iter().all(|(_, light)| !light.noted) {
        list.push(row(
            "powers, and why a light changed",
            "no light notes were given: power, distance, grid and gel look alike in a picture",
            "correct light-notes-draft.csv, save it as light-notes.csv beside the shots, and run again",
        ));
    }
    let on_subject = |light: &SequenceLight| {
        light.shots.iter().flat_map(|shot| &shot.entries).any(|entry| entry.share_of_subject.is_some())
    };
    if cameras.iter().all(|(_, light)| !on_subject(light)) {
        list.push(row(
            "what fell on the subject",
            "no subject is marked",
            "add one subject line to the notes, or give --subject FRAME=X,Y,W,H in percent of the upright picture",
        ));
    }
    list
}
