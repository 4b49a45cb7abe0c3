//! What the two charts of light share: the lights by name, their reasons by letter, and how a figure's place is found.

use std::collections::BTreeMap;

use super::super::{LedgerRow, Report};
use super::sheet::readable;

/// Names of all lights in the report's order, each once: a light of this name on a second camera is the same light.
pub fn names(report: &Report) -> Vec<String> {
    let mut names: Vec<String> = Vec::new();
    for light in &report.lights {
        if !names.contains(&light.light) {
            names.push(light.light.clone());
        }
    }
    names
}

/// Place of each of the report's lights among [`names`].
pub fn places(report: &Report, names: &[String]) -> Vec<Option<usize>> {
    report.lights.iter().map(|light| names.iter().position(|name| *name == light.light)).collect()
}

/// Reasons that get a letter of their own; rarer ones share the last.
pub const LETTERS: [&str; 6] = ["a", "b", "c", "d", "e", "f"];

/// Why a light is not told, as classes with a letter each, the most frequent first.
pub struct Reasons {
    classes: Vec<(String, usize)>,
}

impl Reasons {
    /// The classes of these rows.
    pub fn of<'a>(rows: impl Iterator<Item = &'a LedgerRow>) -> Self {
        let mut counted: BTreeMap<String, usize> = BTreeMap::new();
        for row in rows {
            *counted.entry(class(row)).or_default() += 1;
        }
        let mut classes: Vec<(String, usize)> = counted.into_iter().collect();
        // Equally frequent ones keep the order of their words, so that nothing depends on chance.
        classes.sort_by_key(|(_, number)| std::cmp::Reverse(*number));
        Self { classes }
    }

    /// The letter of a row's class.
    pub fn letter(&self, row: &LedgerRow) -> &'static str {
        let own = class(row);
        let place = self.classes.iter().position(|(reason, _)| *reason == own).unwrap_or_default();
        LETTERS.get(place.min(LETTERS.len() - 1)).copied().unwrap_or_default()
    }

    /// Letter, meaning and number of light-shots, in order.
    pub fn lines(&self) -> Vec<(&'static str, String, usize)> {
        let last = LETTERS.len() - 1;
        let rest = self.classes.iter().skip(last);
        let more = rest.clone().count();
        LETTERS
            .iter()
            .enumerate()
            .filter_map(|(place, letter)| {
                let (reason, number) = self.classes.get(place)?;
                if place == last && more > 1 {
                    let all = rest.clone().map(|(_, number)| number).sum();
                    return Some((*letter, format!("{more} other reasons, see light-ledger.csv"), all));
                }
                Some((*letter, reason.clone(), *number))
            })
            .collect()
    }
}

fn class(row: &LedgerRow) -> String {
    let reason = readable(&row.reason);
    match reason.trim() {
        "" if row.evidence.is_empty() => "no reason given".to_owned(),
        "" => readable(&row.evidence),
        reason => reason.to_owned(),
    }
}
