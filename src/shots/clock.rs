//! Corrects camera clocks by what the photographer says: `--clock SERIAL=-192s`.

use std::collections::BTreeMap;
use std::str::FromStr;

use jiff::SignedDuration;

use super::Sequence;
use crate::problem::{Code, Flaw, Problem};

/// Seconds to add to the clock of each body, by serial number.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Clocks(BTreeMap<String, f64>);

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
        Self(corrections.into_iter().map(|c| (c.serial, c.seconds)).collect())
    }
}

/// Moves the times of every body that is named, and returns a problem for each body that took none of the shots.
pub fn correct(sequences: &mut [Sequence], clocks: &Clocks) -> Vec<Problem> {
    let mut used = Vec::new();
    for sequence in sequences.iter_mut() {
        let Some((serial, seconds)) = sequence.body_serial.as_deref().and_then(|s| clocks.0.get_key_value(s)) else {
            continue;
        };
        used.push(serial);
        sequence.clock_offset_s = Some(*seconds);
        let shift = SignedDuration::try_from_secs_f64(*seconds).unwrap_or_default();
        for taken in sequence.shots.iter_mut().filter_map(|shot| shot.taken.as_mut()) {
            taken.local = taken.local.saturating_add(shift);
        }
    }
    let missing = clocks.0.keys().filter(|serial| !used.contains(serial));
    missing.map(|serial| Flaw::plain(Code::ClockUnknownBody).of(&format!("--clock {serial}"))).collect()
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
