//! The subject box as typed: X,Y,W,H in percent of the upright picture.

use std::str::FromStr;

use super::SubjectBox;
use super::numbers::decimal;
use crate::shots::{Sequence, Shot};

/// How a box is to be written.
const HELP: &str =
    "write left edge, top edge, width and height in percent of the upright picture, for example 30,10,40,80";

/// Reads `30,10,40,80`, `30;10;40;80`, `30 10 40 80`, each with or without %. Decimal commas need another separator.
pub fn percent(typed: &str) -> Result<[f64; 4], String> {
    let text = typed.replace('%', " ");
    let text = text.trim().trim_start_matches('(').trim_end_matches(')');
    let pieces = |signs: &[char]| -> Vec<f64> {
        let parts: Vec<&str> = text.split(signs).map(str::trim).filter(|p| !p.is_empty()).collect();
        let numbers: Option<Vec<f64>> = parts.iter().map(|part| decimal(part)).collect();
        numbers.unwrap_or_default()
    };
    let parts = if text.contains(';') {
        pieces(&[';'])
    } else if text.matches(',').count() == 3 && !text.contains(", ") {
        pieces(&[','])
    } else {
        pieces(&[' ', '\t', ','])
    };
    match parts.as_slice() {
        [x, y, w, h] if *w > 0.0 && *h > 0.0 => Ok([*x, *y, *w, *h]),
        [_, _, _, _] => Err(format!("width and height must be above 0; {HELP}")),
        _ => Err(HELP.to_owned()),
    }
}

/// The part inside the picture, and whether any was cut off; None when nothing is left.
pub(super) fn clipped([x, y, w, h]: [f64; 4]) -> Option<([f64; 4], bool)> {
    let side = |from: f64, length: f64| (from.clamp(0.0, 100.0), (from + length).clamp(0.0, 100.0));
    let ((left, right), (top, bottom)) = (side(x, w), side(y, h));
    // A sum of decimals may pass 100 by a rounding.
    let cut = x < 0.0 || y < 0.0 || x + w > 100.0 + 1e-9 || y + h > 100.0 + 1e-9;
    let kept = if cut { [left, top, right - left, bottom - top] } else { [x, y, w, h] };
    (right > left && bottom > top).then_some((kept, cut))
}

impl SubjectBox {
    /// The box that holds for each shot of a camera, in percent: the last one drawn before it, else the first after, of
    /// those drawn through the same lens at the same focal length and held the same way; None without one. Boxes are
    /// those of [`super::LightNotes`].
    #[must_use]
    pub fn held(boxes: &[Self], sequence: &Sequence) -> Vec<Option<[f64; 4]>> {
        let framing = |shot: &Shot| {
            let upright = shot.measurement.as_ref().map(|m| m.width < m.height);
            (shot.metadata.lens.clone(), shot.metadata.focal_length_mm.map(f64::to_bits), upright)
        };
        let drawn: Vec<(usize, _, [f64; 4])> = sequence
            .shots
            .iter()
            .enumerate()
            .filter_map(|(index, shot)| {
                let own = boxes.iter().find(|b| b.frame == shot.frame)?;
                Some((index, framing(shot), own.percent))
            })
            .collect();
        let holds = |(index, shot): (usize, &Shot)| {
            let same: Vec<_> = drawn.iter().filter(|(_, of, _)| *of == framing(shot)).collect();
            let last_before = same.iter().rev().find(|(at, ..)| *at <= index);
            last_before.or(same.first()).map(|(.., percent)| *percent)
        };
        sequence.shots.iter().enumerate().map(holds).collect()
    }
}

impl FromStr for SubjectBox {
    type Err = String;

    /// Reads `FRAME=X,Y,W,H` as typed on the command line.
    fn from_str(text: &str) -> Result<Self, String> {
        let (frame, numbers) = text.rsplit_once('=').ok_or("write FRAME=X,Y,W,H, for example TS_0001=30,10,40,80")?;
        if frame.trim().is_empty() {
            return Err("name the frame before the =, for example TS_0001=30,10,40,80".to_owned());
        }
        Ok(Self { frame: frame.trim().to_owned(), percent: percent(numbers)? })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn boxes_as_people_type_them() {
        for text in [
            "30,10,40,80",
            "30, 10, 40, 80",
            "30%,10%,40%,80%",
            "30 10 40 80",
            "30;10;40;80",
            "(30,10,40,80)",
            "30,0;10;40,0;80",
        ] {
            assert_eq!(percent(text), Ok([30.0, 10.0, 40.0, 80.0]), "{text}");
        }
        assert_eq!(percent("30.5,10,40.25,80"), Ok([30.5, 10.0, 40.25, 80.0]));
        for text in [
            "",
            "30,10,40",
            "30,10,40,80,5",
            "30,10,0,80",
            "30,10,40,-80",
            "a,b,c,d",
            "NaN,1,1,1",
            "inf,1,1,1",
            "1e9,1,1,1",
        ] {
            assert!(percent(text).is_err(), "{text}");
        }
        let named: SubjectBox = "a=b.JPG=30,10,40,80".parse().unwrap();
        assert_eq!((named.frame.as_str(), named.percent), ("a=b.JPG", [30.0, 10.0, 40.0, 80.0]));
        assert!("=1,1,1,1".parse::<SubjectBox>().is_err() && "a".parse::<SubjectBox>().is_err());
    }

    #[test]
    fn boxes_are_cut_at_the_edge() {
        assert_eq!(clipped([30.0, 10.0, 40.0, 80.0]), Some(([30.0, 10.0, 40.0, 80.0], false)));
        assert_eq!(clipped([-10.0, 50.0, 40.0, 80.0]), Some(([0.0, 50.0, 30.0, 50.0], true)));
        assert_eq!(clipped([100.0, 0.0, 10.0, 10.0]), None);
        assert_eq!(clipped([-20.0, 0.0, 10.0, 10.0]), None);
    }
}
