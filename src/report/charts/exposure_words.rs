//! What the exposure chart shows of each shot, and the chart in words.

use super::super::{FrameRow, Report};
use super::wording::{count, stops};

/// Mid-grey in linear light, from which stops are counted (`mean_luminance_stops` of the report).
const MID_GREY: f64 = 0.18;

/// What one shot shows.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Level {
    /// Stops from mid-grey.
    Stops(f64),
    /// Measured, and not one bit of light: below every scale.
    Black,
    /// Not measured.
    Unknown,
}

impl Level {
    /// The figure, where it is one.
    pub fn stops(self) -> Option<f64> {
        if let Self::Stops(value) = self { Some(value) } else { None }
    }
}

/// A shot's mean luminance.
pub fn mean(frame: &FrameRow) -> Level {
    match frame.mean_luminance_stops {
        Some(value) if value.is_finite() => Level::Stops(value),
        Some(value) if value == f64::NEG_INFINITY => Level::Black,
        None if frame.mean_luminance == Some(0.0) => Level::Black,
        _ => Level::Unknown,
    }
}

/// A shot's median luminance in stops from mid-grey.
pub fn median(frame: &FrameRow) -> Option<f64> {
    // The report gives the median in linear light; the axis is its logarithm.
    frame.median_luminance.map(|y| libm::log2(y / MID_GREY)).filter(|stops| stops.is_finite())
}

/// The finding: darkest and brightest mean.
pub fn title(means: &[Level]) -> String {
    let shots = count(means.len(), "shot", "shots");
    let measured = means.iter().filter(|l| **l != Level::Unknown).count();
    let black = means.iter().filter(|l| **l == Level::Black).count();
    let over = if measured == means.len() { shots.clone() } else { format!("{measured} of {shots}") };
    let black_too = match black {
        0 => String::new(),
        1 => ", one picture black".to_owned(),
        n => format!(", {n} pictures black"),
    };
    let ends = ends(means);
    match ends {
        Some((low, high)) if stops(low, false) == stops(high, false) => {
            format!("Mean luminance over {over}: {} stops from mid-grey{black_too}", stops(low, false))
        }
        Some((low, high)) => format!(
            "Mean luminance over {over}: from {} to {} stops from mid-grey{black_too}",
            stops(low, false),
            stops(high, false)
        ),
        None if black > 0 => format!("Mean luminance over {over}: every picture black"),
        None => format!("Mean luminance over {shots}: not known, no picture could be measured"),
    }
}

fn ends(means: &[Level]) -> Option<(f64, f64)> {
    let mut values = means.iter().filter_map(|l| l.stops());
    let first = values.next()?;
    Some(values.fold((first, first), |(low, high), v| (low.min(v), high.max(v))))
}

/// What the chart shows beyond its title, in words.
pub fn detail(report: &Report, means: &[Level]) -> String {
    let mut text = "Each shot stands in shooting order with its mean and median".to_owned();
    for (name, wanted) in [("Darkest", false), ("Brightest", true)] {
        let found = means.iter().enumerate().filter_map(|(i, l)| l.stops().map(|v| (i, v)));
        let best = found.reduce(|a, b| if (b.1 > a.1) == wanted && b.1 != a.1 { b } else { a });
        if let Some((index, value)) = best {
            let stage = report.frames.get(index).and_then(|f| f.stage);
            let place = stage.map_or_else(String::new, |s| format!(" in stage {s}"));
            text.push_str(&format!(". {name}: shot {}{place}, {} stops", index + 1, stops(value, false)));
        }
    }
    text.push_str(". Below, aperture, shutter and ISO as steps in stops against the first shot of each camera.");
    text
}
