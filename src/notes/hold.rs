//! Holds until changed: from rows of the notes to what is said of every light in every shot.

use std::collections::BTreeMap;

use jiff::civil::DateTime;

use super::from::{Falls, Moment};
use super::power::Power;
use super::{Said, Stand};
use crate::light::Told;
use crate::shots::Sequence;

/// From where a row holds.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum Target {
    /// From the shot with this frame, for the camera that took it.
    Frame(String),
    /// From the first shot at or after this moment, for every camera.
    Moment(Moment),
}

/// A row of the notes that holds somewhere.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Row {
    /// Line of the file.
    pub line: u32,
    /// Indices of the lights it speaks of: one, or several where a row could not be followed.
    pub lights: Vec<usize>,
    /// From where.
    pub target: Target,
    /// The power; None where it could not be read.
    pub power: Option<Power>,
    /// The power as typed.
    pub power_text: String,
    /// Gel and modifier; None where the row's cells cannot be told apart.
    pub fittings: Option<(String, String)>,
    /// Where the light stands, as far as this row says.
    pub stand: Stand,
}

/// The rows that begin to hold at one shot for one light, the one that holds last.
pub(super) type Groups<'a> = BTreeMap<(usize, usize), Vec<(Option<DateTime>, &'a Row)>>;

/// Rows by shot and light.
pub(super) fn groups<'a>(rows: &'a [Row], sequence: &Sequence) -> Groups<'a> {
    let frames: BTreeMap<&str, usize> = (0..).zip(&sequence.shots).map(|(i, shot)| (shot.frame.as_str(), i)).collect();
    let mut groups = Groups::new();
    for row in rows {
        let place = match &row.target {
            Target::Frame(frame) => frames.get(frame.as_str()).map(|shot| (*shot, None)),
            Target::Moment(moment) => match moment.falls(sequence) {
                Falls::Shot(shot, at) => Some((shot, Some(at))),
                Falls::Early(at) => Some((0, Some(at))),
                Falls::After | Falls::Several(_) | Falls::NoTimes => None,
            },
        };
        let Some((shot, at)) = place else { continue };
        for light in &row.lights {
            groups.entry((shot, *light)).or_default().push((at, row));
        }
    }
    for group in groups.values_mut() {
        // Moments without a shot between them follow each other; beside a frame's own row the line decides.
        let all_moments = group.iter().all(|(at, _)| at.is_some());
        group.sort_by_key(|(at, row)| (at.filter(|_| all_moments), row.line));
    }
    groups
}

/// For every shot, what holds of every light.
pub(super) fn shots(rows: &[Row], lights: usize, sequence: &Sequence) -> Vec<Vec<Said>> {
    let groups = groups(rows, sequence);
    let mut held = vec![Said::default(); lights];
    let mut shots = Vec::with_capacity(sequence.shots.len());
    for shot in 0..sequence.shots.len() {
        for (light, said) in held.iter_mut().enumerate() {
            for (_, row) in groups.get(&(shot, light)).into_iter().flatten() {
                row.change(said);
            }
        }
        shots.push(held.clone());
    }
    shots
}

impl Row {
    /// What holds after this row.
    fn change(&self, said: &mut Said) {
        let told = match self.power {
            Some(Power::Same) => None,
            Some(Power::Off) => Some((Told::No, None)),
            Some(Power::On) => Some((Told::Yes, None)),
            Some(Power::Stops(stops)) => Some((Told::Yes, Some(stops))),
            Some(Power::NotKnown) | None => Some((Told::Unknown, None)),
        };
        if let Some((on, power)) = told {
            said.on = on;
            said.power = power;
            said.power_text.clone_from(&self.power_text);
        }
        if let Some((gel, modifier)) = &self.fittings {
            said.gel.clone_from(gel);
            said.modifier.clone_from(modifier);
        }
        said.stand.distance_m = self.stand.distance_m.or(said.stand.distance_m);
        said.stand.clock_hours = self.stand.clock_hours.or(said.stand.clock_hours);
        said.stand.height_m = self.stand.height_m.or(said.stand.height_m);
        said.line = Some(self.line);
    }

    /// Whether two rows for one light and one shot cannot both be right.
    pub(super) fn contradicts(&self, other: &Self) -> bool {
        let both = |a: Option<f64>, b: Option<f64>| a.is_some() && b.is_some() && a != b;
        let said = |p: Option<Power>| p.filter(|p| *p != Power::Same);
        let power = matches!((said(self.power), said(other.power)), (Some(a), Some(b)) if a != b);
        let fittings = matches!((&self.fittings, &other.fittings), (Some(a), Some(b)) if a != b);
        power
            || fittings
            || both(self.stand.distance_m, other.stand.distance_m)
            || both(self.stand.clock_hours, other.stand.clock_hours)
            || both(self.stand.height_m, other.stand.height_m)
    }
}
