//! How figures and settings are written on the charts.

use super::super::FrameRow;

/// A level or a change in stops with one decimal, a true minus sign, and a plus sign for a change.
pub fn stops(value: f64, change: bool) -> String {
    let text = format!("{:.1}", value.abs());
    match text.as_str() {
        "0.0" => "0.0".to_owned(),
        _ if value < 0.0 => format!("\u{2212}{text}"),
        _ if change => format!("+{text}"),
        _ => text,
    }
}

/// A whole number of stops for an axis.
pub fn whole_stops(value: f64) -> String {
    if value < 0.0 { format!("\u{2212}{:.0}", -value) } else { format!("{value:.0}") }
}

/// A share of a picture in percent, never rounded to nothing or to all.
pub fn percent(value: f64) -> String {
    match value {
        v if v <= 0.0 => "0 %".to_owned(),
        v if v < 0.01 => "under 0.01 %".to_owned(),
        v if v < 0.995 => format!("{v:.2} %"),
        v if v < 99.95 => format!("{v:.1} %"),
        v if v < 100.0 => "over 99.9 %".to_owned(),
        _ => "100 %".to_owned(),
    }
}

/// "1 shot", "12 shots".
pub fn count(number: usize, one: &str, many: &str) -> String {
    format!("{number} {}", if number == 1 { one } else { many })
}

/// Hours and minutes of an ISO 8601 time, None when it has none.
pub fn clock(taken: &str) -> Option<&str> {
    let time = taken.split_once('T').map(|(_, time)| time)?;
    let minutes = time.get(..5)?;
    let digits = |r: std::ops::Range<usize>| minutes.get(r).is_some_and(|d| d.bytes().all(|b| b.is_ascii_digit()));
    (digits(0..2) && minutes.get(2..3) == Some(":") && digits(3..5)).then_some(minutes)
}

/// One of the three settings a step line is drawn for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Setting {
    /// f-number.
    Aperture,
    /// Exposure time.
    Shutter,
    /// Sensitivity.
    Iso,
}

impl Setting {
    /// The row's heading.
    pub fn word(self) -> &'static str {
        match self {
            Self::Aperture => "aperture",
            Self::Shutter => "shutter",
            Self::Iso => "ISO",
        }
    }

    /// Stops of light this setting lets in, up to a constant; None when it is not known.
    ///
    /// On the logarithmic scale of the marked values: f/11 and 1/60 stand under 0.1 stop from the exact value, which
    /// is less than the line is thick. Figures in words come from the report, never from here.
    pub fn level(self, frame: &FrameRow) -> Option<f64> {
        let value = match self {
            Self::Aperture => frame.f_number.map(|n| 1.0 / (n * n)),
            Self::Shutter => frame.exposure_time_s,
            Self::Iso => frame.iso.map(f64::from),
        }?;
        let level = libm::log2(value);
        level.is_finite().then_some(level)
    }

    /// As marked: the report's own wording where it has one.
    pub fn marked(self, frame: &FrameRow) -> Option<String> {
        self.level(frame)?;
        let said = frame.settings.split(", ").map(str::trim).find(|part| self.is_mine(part));
        if let Some(part) = said {
            return Some(part.to_owned());
        }
        match self {
            Self::Aperture => frame.f_number.map(|n| format!("f/{}", trimmed(n))),
            Self::Shutter => frame.exposure_time_s.map(|t| match t {
                t if t < 0.3 => format!("1/{:.0}", 1.0 / t),
                t => format!("{} s", trimmed(t)),
            }),
            Self::Iso => frame.iso.map(|iso| format!("ISO {iso}")),
        }
    }

    fn is_mine(self, part: &str) -> bool {
        match self {
            Self::Aperture => part.starts_with("f/"),
            Self::Shutter => part.starts_with(|c: char| c.is_ascii_digit()),
            Self::Iso => part.starts_with("ISO "),
        }
    }
}

fn trimmed(value: f64) -> String {
    format!("{value:.2}").trim_end_matches('0').trim_end_matches('.').to_owned()
}
