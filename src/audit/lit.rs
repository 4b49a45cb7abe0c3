//! One light through the shots of one camera: what every finding about a light looks at.

use std::ops::Range;

use super::Finding;
use crate::light::lightings::same_setting;
use crate::light::{Entry, Light, SequenceLight, Told};
use crate::problem::Code;
use crate::shots::{Sequence, Shot};
use crate::stages::InStage;

/// A light, its entries and the shots they belong to.
pub struct Lit<'a> {
    /// The light.
    pub light: &'a Light,
    /// The ledger of its camera.
    pub ledger: &'a SequenceLight,
    /// Shot, place and entry, in shooting order.
    pub shots: Vec<(&'a Shot, &'a InStage, &'a Entry)>,
}

impl<'a> Lit<'a> {
    /// The light with this index; None where a shot has no entry for it.
    pub fn of(sequence: &'a Sequence, ledger: &'a SequenceLight, places: &'a [InStage], index: usize) -> Option<Self> {
        let shots = sequence.shots.iter().zip(places).zip(&ledger.shots);
        let shots = shots.map(|((shot, place), light)| Some((shot, place, light.entries.get(index)?)));
        Some(Self { light: ledger.lights.get(index)?, ledger, shots: shots.collect::<Option<_>>()? })
    }

    /// A finding about this light in this shot.
    pub fn finding(&self, shot: usize, code: Code, words: [String; 3]) -> Option<Finding> {
        let (shot, place, _) = self.shots.get(shot)?;
        let [finding, evidence, certainty] = words;
        let frame = shot.frame.clone();
        Some(Finding { frame, stage: place.stage, light: self.light.name.clone(), code, finding, evidence, certainty })
    }

    /// The frame of a shot.
    pub fn frame(&self, shot: usize) -> &str {
        self.shots.get(shot).map_or("", |(shot, _, _)| shot.frame.as_str())
    }

    /// Runs of shots in which the light is set on and the same, whatever the others do. Shots of which its setting is
    /// not told do not end a run.
    pub fn runs(&self) -> Vec<Range<usize>> {
        let mut runs: Vec<Range<usize>> = Vec::new();
        let mut first: Option<&Entry> = None;
        for (index, (_, _, entry)) in self.shots.iter().enumerate() {
            match (entry.setting.on, first) {
                (Told::Unknown, _) => {}
                (Told::No, _) => first = None,
                (Told::Yes, Some(begun)) if same_setting(&begun.setting, &entry.setting) => {
                    if let Some(run) = runs.last_mut() {
                        run.end = index + 1;
                    }
                }
                (Told::Yes, _) => {
                    first = Some(entry);
                    runs.push(index..index + 1);
                }
            }
        }
        runs
    }

    /// The shots of a run with their index.
    pub fn within(&self, run: Range<usize>) -> impl Iterator<Item = (usize, &'a Shot, &'a Entry)> + '_ {
        let len = run.len();
        self.shots.iter().enumerate().skip(run.start).take(len).map(|(index, (shot, _, entry))| (index, *shot, *entry))
    }
}

/// "in TS_0004.JPG", "from TS_0004.JPG to TS_0009.JPG, 6 shots".
pub fn span(first: &str, last: &str, shots: usize) -> String {
    match shots {
        0 | 1 => format!("in {first}"),
        many => format!("from {first} to {last}, {many} shots"),
    }
}

/// A time between shots: "0.9 s", "42 s".
pub fn seconds(value: f64) -> String {
    if value < 9.95 { format!("{value:.1} s") } else { format!("{value:.0} s") }
}
