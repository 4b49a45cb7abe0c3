//! Which shots the names of a list are

use std::collections::BTreeMap;

use super::list::Entry;
use super::names::Names;
use super::{Keeper, Match, Settled, ShotId};
use crate::problem::{Code, Flaw};
use crate::shots::Sequence;

/// Matches every name of a list. `file` is the list's own name, under which its lines are spoken of.
#[must_use]
pub fn settle(entries: &[Entry], file: &str, sequences: &[Sequence], names: &Names) -> Settled {
    let mut settled = Settled::default();
    // By what is named: the lines, for the first of which a row is written.
    let mut spelt: BTreeMap<String, Vec<u32>> = BTreeMap::new();
    let mut of_shot: BTreeMap<ShotId, Vec<u32>> = BTreeMap::new();
    let flaw = |flaw: Flaw, settled: &mut Settled| settled.problems.push(flaw.of(file));
    for (line, given, shots) in entries.iter().flat_map(|entry| given(entry, names)) {
        let lines = spelt.entry(given.to_lowercase()).or_default();
        lines.push(line);
        let first = lines.len() == 1;
        if let [one] = shots.as_slice() {
            of_shot.entry(*one).or_default().push(line);
        }
        if !first {
            continue;
        }
        let matched = match shots.as_slice() {
            [] => Match::None,
            [_] => Match::Name,
            _ => Match::OneOfSeveral,
        };
        match matched {
            Match::None => {
                let hint = names.like(&given).map(|like| format!("; did you mean {like}?")).unwrap_or_default();
                flaw(Flaw::with(Code::KeeperUnknown, format!("line {line}: {given:?}{hint}")), &mut settled);
            }
            Match::OneOfSeveral => {
                let may = super::in_words(&shots, sequences);
                flaw(Flaw::with(Code::KeeperAmbiguous, format!("line {line}: {given:?} may be {may}")), &mut settled);
            }
            Match::Name | Match::Time | Match::Picture => {}
        }
        settled.keep(Keeper { given, matched, shots });
    }
    let unmatched =
        spelt.values().filter(|lines| !of_shot.values().any(|others| lines.iter().all(|l| others.contains(l))));
    for lines in of_shot.values().chain(unmatched).filter(|lines| lines.len() > 1) {
        let numbers = lines.iter().map(u32::to_string).collect::<Vec<_>>().join(", ");
        flaw(Flaw::with(Code::KeeperTwice, format!("lines {numbers}")), &mut settled);
    }
    settled
}

/// The names of a line with their shots: the line as a whole where a file is called so, else its cells.
fn given(entry: &Entry, names: &Names) -> Vec<(u32, String, Vec<ShotId>)> {
    let whole = names.of_file(&entry.whole);
    if !entry.whole.is_empty() && !whole.is_empty() {
        return vec![(entry.line, entry.whole.clone(), of(&entry.whole, names))];
    }
    let mut found = vec![(entry.line, entry.given.clone(), of(&entry.given, names))];
    // Remarks, dates and stars stand beside a name too: only what is itself a name counts as one.
    let like_name = |cell: &&String| cell.chars().any(char::is_alphabetic) && cell.chars().any(|c| c.is_ascii_digit());
    for cell in entry.beside.iter().filter(like_name) {
        let shots = of(cell, names);
        if !shots.is_empty() {
            found.push((entry.line, cell.clone(), shots));
        }
    }
    found
}

/// A name that is exactly a path of frames.csv is that frame, whatever else it may be.
fn of(given: &str, names: &Names) -> Vec<ShotId> {
    names.exact(given).map_or_else(|| names.find(given), |shot| vec![shot])
}
