//! Corrects camera clocks by what the photographer says: `--clock SERIAL=-192s`, or two frames of one moment.

use std::collections::BTreeMap;
use std::str::FromStr;

use super::Sequence;
use super::clock_pairs::{self, Offset, SameMoment};
use crate::problem::{Code, Flaw, Problem};

/// What is said of the bodies' clocks.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Clocks {
    /// Seconds to add to the clock of each body, by serial number.
    by_serial: BTreeMap<String, f64>,
    /// Pairs of frames of one moment.
    moments: Vec<SameMoment>,
}

impl Clocks {
    /// The same with pairs of frames that were taken at one moment.
    #[must_use]
    pub fn with_moments(mut self, moments: Vec<SameMoment>) -> Self {
        self.moments = moments;
        self
    }
}

/// One correction as typed: `SERIAL=-192s`, `SERIAL=+3min12s`, `SERIAL=1h`.
#[derive(Clone, Debug, PartialEq)]
pub struct Correction {
    /// Serial number of the body.
    pub serial: String,
    /// Seconds to add.
    pub seconds: f64,
}

impl FromStr for Correction {
    type Err = String;

    fn from_str(text: &str) -> Result<Self, String> {
        let help =
            "write the body's serial number, =, and what to add to its clock, for example 0417=-192s or 0417=3min12s";
        let (serial, amount) = text.rsplit_once('=').ok_or(help)?;
        let (sign, digits) = match amount.trim().strip_prefix(['-', '\u{2212}']) {
            Some(rest) => (-1.0, rest),
            None => (1.0, amount.trim().trim_start_matches('+')),
        };
        if serial.trim().is_empty() || digits.is_empty() {
            return Err(help.to_owned());
        }
        let mut seconds = 0.0;
        let mut rest = digits;
        while !rest.is_empty() {
            let end = rest.find(|c: char| !c.is_ascii_digit() && c != '.').unwrap_or(rest.len());
            let (number, tail) = rest.split_at(end);
            let value: f64 = number.parse().map_err(|_| help.to_owned())?;
            let unit_end = tail.find(|c: char| c.is_ascii_digit()).unwrap_or(tail.len());
            let (unit, after) = tail.split_at(unit_end);
            seconds += value
                * match unit.trim() {
                    "s" | "sec" | "" => 1.0,
                    "m" | "min" => 60.0,
                    "h" => 3600.0,
                    "d" => 86_400.0,
                    _ => return Err(help.to_owned()),
                };
            rest = after;
        }
        Ok(Self { serial: serial.trim().to_owned(), seconds: sign * seconds })
    }
}

impl FromIterator<Correction> for Clocks {
    fn from_iter<I: IntoIterator<Item = Correction>>(corrections: I) -> Self {
        let by_serial = corrections.into_iter().map(|c| (c.serial, c.seconds)).collect();
        Self { by_serial, moments: Vec::new() }
    }
}

/// Moves the times of every body whose clock is known to be off, and says which corrections could not be used.
///
/// [`Sequence::clock_offset_s`] stays empty for a body that keeps its own time, also where others are brought to it.
pub fn correct(sequences: &mut [Sequence], clocks: &Clocks) -> Vec<Problem> {
    let mut known = BTreeMap::new();
    let mut used = Vec::new();
    for (index, sequence) in sequences.iter().enumerate() {
        if let Some((serial, seconds)) = sequence.body_serial.as_deref().and_then(|s| clocks.by_serial.get_key_value(s))
        {
            used.push(serial);
            known.insert(index, Offset::steady(*seconds));
        }
    }
    let missing = clocks.by_serial.keys().filter(|serial| !used.contains(serial));
    let unknown = |serial: &String| Flaw::plain(Code::ClockUnknownBody).of(&format!("--clock {serial}"));
    let mut problems: Vec<Problem> = missing.map(unknown).collect();
    problems.extend(clock_pairs::tie(&mut known, &clocks.moments, sequences));
    for (index, sequence) in sequences.iter_mut().enumerate() {
        let Some(offset) = known.get(&index) else { continue };
        let mut first = None;
        for taken in sequence.shots.iter_mut().filter_map(|shot| shot.taken.as_mut()) {
            first = first.min(Some(taken.local)).or(Some(taken.local));
            taken.local = offset.corrected(taken.local);
        }
        sequence.clock_offset_s = Some(first.map_or(0.0, |shown| offset.seconds(shown)));
    }
    problems
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn corrections_as_people_type_them() {
        for (text, serial, seconds) in [
            ("0417=-192s", "0417", -192.0),
            ("TS-0417=3min12s", "TS-0417", 192.0),
            ("a=b=+1h", "a=b", 3600.0),
            ("7=\u{2212}0.5s", "7", -0.5),
            ("7=90", "7", 90.0),
        ] {
            assert_eq!(
                text.parse::<Correction>().unwrap(),
                Correction { serial: serial.to_owned(), seconds },
                "{text}"
            );
        }
        for text in ["0417", "=5s", "0417=", "0417=soon", "0417=5 apples"] {
            assert!(text.parse::<Correction>().is_err(), "{text}");
        }
    }
}
