//! How figures and names are written for people: one spelling for page, recap and the sentences of the first minute.
//!
//! Numbers carry a true minus sign (U+2212) and stay on one line with their unit (U+00A0). A figure that is not
//! finite is written "not known": it never reaches a reader as a number.

mod kept;
mod text;

pub use kept::{Kept, all, shot_for};
pub use text::{file_name, markdown, true_minus, visible};

/// What stands where a figure is missing.
pub const NOT_KNOWN: &str = "not known";

/// Stops with a sign and one decimal: `+0.6`, `−1.0`, `0.0`.
#[must_use]
pub fn stops(value: f64) -> String {
    if !value.is_finite() {
        return NOT_KNOWN.to_owned();
    }
    let size = format!("{:.1}", value.abs());
    match () {
        () if size == "0.0" => size,
        () if value < 0.0 => format!("\u{2212}{size}"),
        () => format!("+{size}"),
    }
}

/// Stops with their unit: `+0.6 stop`, `+1.3 stops`.
#[must_use]
pub fn stops_unit(value: f64) -> String {
    if value.is_finite() { format!("{}\u{a0}{}", stops(value), unit(value)) } else { NOT_KNOWN.to_owned() }
}

/// A figure that lies somewhere between two: `−0.1 to +0.9 stop`. One figure where both ends read the same.
#[must_use]
pub fn stops_between(low: f64, high: f64) -> String {
    let (from, to) = (stops(low), stops(high));
    if from == to || !low.is_finite() || !high.is_finite() {
        return stops_unit(high);
    }
    let widest = if low.abs() > high.abs() { low } else { high };
    format!("{from} to {to}\u{a0}{}", unit(widest))
}

fn unit(value: f64) -> &'static str {
    // 1.04 reads as 1.0, and "1.0 stop" is singular.
    if value.abs() < 1.05 { "stop" } else { "stops" }
}

/// A share in percent: `0 %`, `under 0.1 %`, `0.3 %`, `12 %`.
#[must_use]
pub fn percent(value: f64) -> String {
    match value {
        v if !v.is_finite() => NOT_KNOWN.to_owned(),
        v if v <= 0.0 => "0\u{a0}%".to_owned(),
        v if v < 0.1 => "under\u{a0}0.1\u{a0}%".to_owned(),
        v if v < 9.95 => format!("{v:.1}\u{a0}%"),
        v if v < 99.5 => format!("{v:.0}\u{a0}%"),
        v if v < 100.0 => format!("{v:.1}\u{a0}%"),
        v => format!("{v:.0}\u{a0}%"),
    }
}

/// A length of time: `0.9 s`, `42 s`, `3 min`, `1 h 12 min`.
#[must_use]
pub fn duration(seconds: f64) -> String {
    if !seconds.is_finite() || seconds < 0.0 {
        return NOT_KNOWN.to_owned();
    }
    if seconds < 9.95 {
        return format!("{seconds:.1}\u{a0}s");
    }
    if seconds < 89.5 {
        return format!("{seconds:.0}\u{a0}s");
    }
    let minutes = (seconds / 60.0).round();
    if minutes < 60.0 {
        return format!("{minutes:.0}\u{a0}min");
    }
    let hours = (minutes / 60.0).floor();
    match minutes - hours * 60.0 {
        0.0 => format!("{hours:.0}\u{a0}h"),
        rest => format!("{hours:.0}\u{a0}h {rest:.0}\u{a0}min"),
    }
}

/// A length: `3.9 m`, `0.85 m`, at most two decimals.
#[must_use]
pub fn metres(value: f64) -> String {
    if !value.is_finite() {
        return NOT_KNOWN.to_owned();
    }
    let text = format!("{value:.2}");
    format!("{}\u{a0}m", text.trim_end_matches('0').trim_end_matches('.').replace('-', "\u{2212}"))
}

/// Hours of a clock face as people write them: `7:30`, `12`.
#[must_use]
pub fn clock(hours: f64) -> String {
    let minutes = libm::round(hours * 60.0).clamp(0.0, 720.0) as u32;
    let hour = match minutes / 60 % 12 {
        0 => 12,
        hour => hour,
    };
    if minutes.is_multiple_of(60) { hour.to_string() } else { format!("{hour}:{:02}", minutes % 60) }
}

/// A moment cut into the parts people read. Made from ISO 8601 text, without a calendar.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Moment {
    /// "14 March 2026".
    pub day: String,
    /// "19:02".
    pub clock: String,
    /// "19:02:11".
    pub clock_seconds: String,
}

/// Reads `YYYY-MM-DDTHH:MM:SS` at the head of a text; anything after it (fraction, offset) is left out.
#[must_use]
pub fn moment(iso: &str) -> Option<Moment> {
    const MONTHS: [&str; 12] = [
        "January",
        "February",
        "March",
        "April",
        "May",
        "June",
        "July",
        "August",
        "September",
        "October",
        "November",
        "December",
    ];
    let shape = iso.get(..19)?.bytes().zip(b"0000-00-00T00:00:00");
    if !shape.into_iter().all(|(have, want)| if *want == b'0' { have.is_ascii_digit() } else { have == *want }) {
        return None;
    }
    let month = MONTHS.get(iso.get(5..7)?.parse::<usize>().ok()?.checked_sub(1)?)?;
    let day = iso.get(8..10)?.trim_start_matches('0');
    Some(Moment {
        day: format!("{day} {month} {}", iso.get(..4)?),
        clock: iso.get(11..16)?.to_owned(),
        clock_seconds: iso.get(11..19)?.to_owned(),
    })
}

/// `1 shot`, `61 shots`.
#[must_use]
pub fn count(number: usize, one: &str, many: &str) -> String {
    format!("{number}\u{a0}{}", if number == 1 { one } else { many })
}

/// Small whole numbers in prose: `one` to `twelve`, digits above.
#[must_use]
pub fn spelled(number: usize) -> String {
    const WORDS: [&str; 13] =
        ["no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve"];
    WORDS.get(number).map_or_else(|| number.to_string(), |word| (*word).to_owned())
}

/// `a`, `a and b`, `a, b and c`.
#[must_use]
pub fn and_list<S: AsRef<str>>(parts: &[S]) -> String {
    match parts {
        [] => String::new(),
        [only] => only.as_ref().to_owned(),
        [head @ .., last] => {
            let head: Vec<&str> = head.iter().map(AsRef::as_ref).collect();
            format!("{} and {}", head.join(", "), last.as_ref())
        }
    }
}

/// The sentence's first letter as a capital.
#[must_use]
pub fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}

/// Lens and focal length as people read them, whatever of them is known; the focal length is not said twice.
#[must_use]
pub fn lens(name: &str, focal_length_mm: Option<f64>) -> String {
    let focal =
        focal_length_mm.filter(|mm| mm.is_finite()).map(|mm| format!("{}\u{a0}mm", libm::round(mm * 10.0) / 10.0));
    match (focal, name.is_empty()) {
        (Some(focal), true) => focal,
        (Some(focal), false) if says_focal(name, &focal.replace('\u{a0}', "")) => name.to_owned(),
        (Some(focal), false) => format!("{name} at {focal}"),
        (None, _) => name.to_owned(),
    }
}

/// Whether the name gives this very focal length: `50mm` is not said by `150mm`, nor by `24-50mm`.
fn says_focal(name: &str, focal: &str) -> bool {
    let name = name.replace([' ', '\u{a0}'], "");
    name.match_indices(focal).any(|(at, _)| {
        !name
            .get(..at)
            .and_then(|before| before.chars().next_back())
            .is_some_and(|c| c.is_ascii_digit() || c == '-' || c == '.')
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn stops_have_a_sign_a_true_minus_and_no_negative_zero() {
        let cases = [
            (0.6, "+0.6"),
            (-1.0, "−1.0"),
            (0.0, "0.0"),
            (-0.04, "0.0"),
            (0.04, "0.0"),
            (-0.06, "−0.1"),
            (f64::NAN, "not known"),
        ];
        for (value, written) in cases {
            assert_eq!(stops(value), written);
        }
        assert_eq!(stops_unit(-1.04), "−1.0\u{a0}stop");
        assert_eq!(stops_unit(1.3), "+1.3\u{a0}stops");
        assert_eq!(stops_between(-0.1, 0.9), "−0.1 to +0.9\u{a0}stop");
        assert_eq!(stops_between(-2.1, 0.9), "−2.1 to +0.9\u{a0}stops");
        assert_eq!(stops_between(0.61, 0.63), "+0.6\u{a0}stop");
    }

    #[test]
    fn shares_and_times_read_as_people_write_them() {
        for (value, written) in
            [(0.0, "0 %"), (0.02, "under 0.1 %"), (0.34, "0.3 %"), (12.4, "12 %"), (99.8, "99.8 %"), (100.0, "100 %")]
        {
            assert_eq!(percent(value).replace('\u{a0}', " "), written);
        }
        for (value, written) in
            [(0.9, "0.9 s"), (42.0, "42 s"), (180.0, "3 min"), (4320.0, "1 h 12 min"), (7200.0, "2 h"), (3599.0, "1 h")]
        {
            assert_eq!(duration(value).replace('\u{a0}', " "), written);
        }
    }

    #[test]
    fn a_moment_is_read_or_refused_never_guessed() {
        let read = moment("2026-03-04T19:02:11.52+01:00").unwrap();
        assert_eq!(
            (read.day.as_str(), read.clock.as_str(), read.clock_seconds.as_str()),
            ("4 March 2026", "19:02", "19:02:11")
        );
        for text in [
            "",
            "2026-03-04",
            "2026-13-04T19:02:11",
            "2026-00-04T19:02:11",
            "2026:03:04 19:02:11",
            "２026-03-04T19:02:11x",
        ] {
            assert_eq!(moment(text), None, "{text:?}");
        }
    }

    #[test]
    fn the_focal_length_is_said_once_and_never_swallowed() {
        for (name, focal, written) in [
            ("50 mm f/2", Some(50.0), "50 mm f/2"),
            ("150 mm f/2", Some(50.0), "150 mm f/2 at 50 mm"),
            ("24-50 mm f/4", Some(50.0), "24-50 mm f/4 at 50 mm"),
            ("", Some(35.0), "35 mm"),
            ("Prime", None, "Prime"),
            ("", None, ""),
        ] {
            assert_eq!(lens(name, focal).replace('\u{a0}', " "), written);
        }
    }
}
