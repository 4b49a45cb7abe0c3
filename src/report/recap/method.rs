//! How the figures of the recap are to be read: said once, at the end, where it does not stand between reader and pictures.

use super::document::{Block, Chapter};
use crate::report::{Report, words};

/// The chapter; None where there is no figure to read.
pub fn chapter(report: &Report) -> Option<Chapter> {
    if report.summary.shots == 0 {
        return None;
    }
    let mut blocks = vec![Block::paragraph(
        "Levels are mean luminance of the whole picture in linear light, in stops against mid-grey. The settings’ part is \
         counted by the exact values behind the marks. A change is told from the last shot before it to the first one \
         after; levels in the table are medians of a stage; every figure is rounded by itself. What the picture did beyond the settings is the lights, the scene \
         and the framing together.",
    )];
    if !report.lightings.is_empty() {
        blocks.push(Block::paragraph(
            "A light’s strength is told in stops against its own reference frame, aperture and ISO taken out, with its \
             90 % interval; powers are as noted. What a light gives by itself, and what goes without it, is worked out by \
             adding and leaving out light in linear light. Losses are of the frame’s mean luminance; where the sitter is \
             marked, of the subject’s as well.",
        ));
    }
    if has_ratios(report) {
        blocks.push(Block::paragraph(
            "Lighting ratios are written in two ways, so each says which it is. Light against light is one light over the \
             other, each by itself. Both against the fill is key and fill together over the fill alone, as a meter sees \
             the lit side and the shadow side; where the ambient does the filling, it stands for the fill. 4:1 in the \
             first way is 5:1 in the second.",
        ));
    }
    if let Some(count) = &report.keeper_count {
        blocks.push(Block::paragraph(count.rule.clone()));
        if !count.caution.is_empty() {
            blocks.push(Block::paragraph(format!("{}.", words::capital(count.caution.trim_end_matches('.')))));
        }
    }
    Some(Chapter { heading: "How to read the figures".to_owned(), blocks })
}

fn has_ratios(report: &Report) -> bool {
    report.lightings.iter().flat_map(|row| &row.detail.light_account.ratios).any(|ratio| ratio.stops.is_some())
}
