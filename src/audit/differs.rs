//! Pictures that do not agree with the notes: one finding for consecutive frames of one light.

use super::Finding;
use super::lit::{Lit, span};
use crate::exposure::words;
use crate::light::lightings::same_setting;
use crate::light::{Agreement, Entry, Stops, Told};
use crate::problem::Code;
use crate::stages::as_set::{median, median_stops};

/// One finding per run of frames that differ in the same way.
pub fn find(lit: &Lit) -> Vec<Finding> {
    let mut groups: Vec<Vec<(usize, &Entry)>> = Vec::new();
    let mut open = false;
    for (index, (_, _, entry)) in lit.shots.iter().enumerate() {
        // A misfire and a note that begins late are findings of their own; a shot not tested says nothing either way.
        if entry.misfire == Told::Yes || entry.late_note || entry.agrees == Agreement::NotTested {
            continue;
        }
        let differs = entry.agrees == Agreement::Differs;
        let goes_on = |group: &&mut Vec<(usize, &Entry)>| {
            open && group.last().is_some_and(|(_, before)| in_the_same_way(before, entry))
        };
        if differs {
            match groups.last_mut().filter(goes_on) {
                Some(group) => group.push((index, entry)),
                None => groups.push(vec![(index, entry)]),
            }
        }
        open = differs;
    }
    groups.iter().filter_map(|group| one(lit, group)).collect()
}

fn in_the_same_way(a: &Entry, b: &Entry) -> bool {
    let overlap = match (a.against_note, b.against_note) {
        (Some(a), Some(b)) => a.low <= b.high && b.low <= a.high,
        (None, None) => true,
        _ => false,
    };
    a.on == b.on && overlap && same_setting(&a.setting, &b.setting)
}

fn one(lit: &Lit, group: &[(usize, &Entry)]) -> Option<Finding> {
    let ((first, entry), (last, _)) = (group.first()?, group.last()?);
    let stops: Vec<Stops> = group.iter().filter_map(|(_, e)| e.against_note).collect();
    let what = match (median_stops(&stops), entry.setting.on, entry.on) {
        (_, Told::Yes, Told::No) => "differs: noted on, and the picture shows none of it".to_owned(),
        (_, Told::No, Told::Yes) => "differs: noted off, and the picture shows it burning".to_owned(),
        (Some(s), _, _) => {
            format!("differs: the picture says {} against the note", words::plus_minus(s.value, s.low, s.high))
        }
        (None, _, _) => "differs from the note, by how much is not known".to_owned(),
    };
    let noted = entry.setting.noted_power.map(|p| format!("; noted {}", words::power(p))).unwrap_or_default();
    let power = median(group.iter().filter_map(|(_, e)| e.power).collect());
    let seen = power.map(|p| format!(", seen as {}", words::power(p))).unwrap_or_default();
    let reference = lit.light.reference_shot.map(|r| lit.frame(r)).filter(|f| !f.is_empty());
    let certainty = match reference {
        Some(frame) if !stops.is_empty() => {
            format!(
                "certain within the interval; whether this note or that of {frame}, its reference frame, is wrong cannot be known"
            )
        }
        _ => "told by the pictures; which of note and light was meant cannot be known".to_owned(),
    };
    lit.finding(
        *first,
        Code::DiffersFromNote,
        [
            format!("{} {what}", lit.light.name),
            format!("{}{noted}{seen}", span(lit.frame(*first), lit.frame(*last), group.len())),
            certainty,
        ],
    )
}
