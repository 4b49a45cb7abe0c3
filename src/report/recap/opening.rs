//! What stands before the first chapter: how much was shot, which lighting gave the keepers, how to read the rest.

use super::document::Block;
use crate::report::{Report, words};

/// The opening.
pub fn blocks(report: &Report) -> Vec<Block> {
    if report.summary.shots == 0 {
        return vec![Block::paragraph("No shot was found in this folder.")];
    }
    let mut blocks = vec![Block::paragraph(headline(report))];
    if let Some(count) = &report.keeper_count {
        let sentence = |clause: &str| format!("{}.", words::capital(clause.trim_end_matches('.')));
        blocks.push(Block::paragraph(format!("{} {}", sentence(&count.summary), sentence(&count.comparison))));
        if !count.caution.is_empty() {
            blocks.push(Block::paragraph(sentence(&count.caution)));
        }
        blocks.push(Block::paragraph(count.rule.clone()));
    }
    let unit = if report.lightings.is_empty() { "stage" } else { "lighting" };
    blocks.push(Block::paragraph(format!(
        "Each {unit} says what was changed, what the settings did in stops, and what the picture did beyond them: that is \
         the lights, the scene and the framing together. Levels are mean luminance of the whole picture in linear light, \
         in stops against mid-grey."
    )));
    if !report.lightings.is_empty() {
        blocks.push(Block::paragraph(
            "A light’s strength is told in stops against its own reference frame, aperture and ISO taken out, with its \
             90 % interval; powers are as noted. What a light gives by itself, and what goes without it, is worked out by \
             adding and leaving out light in linear light.",
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
    blocks
}

fn headline(report: &Report) -> String {
    let summary = &report.summary;
    let cameras =
        format!("{} {}", words::spelled(summary.cameras), if summary.cameras == 1 { "camera" } else { "cameras" });
    let lightings = match report.lightings.len() {
        0 => String::new(),
        many => format!("{} and ", words::count(many, "lighting", "lightings")),
    };
    let order = if summary.cameras > 1 {
        " The order across cameras is not known: two bodies without a shared moment are not put in one order."
    } else {
        ""
    };
    format!(
        "{} by {cameras} in {lightings}{}{}.{order}",
        words::count(summary.shots, "shot", "shots"),
        words::count(summary.stages, "stage", "stages"),
        span(report),
    )
}

fn span(report: &Report) -> String {
    let moment = |iso: &Option<String>| iso.as_deref().and_then(words::moment);
    match (moment(&report.summary.from), moment(&report.summary.to)) {
        (Some(from), Some(to)) if from.day == to.day => format!(", {}, {} to {}", from.day, from.clock, to.clock),
        (Some(from), Some(to)) => format!(", {}, {} to {}, {}", from.day, from.clock, to.day, to.clock),
        _ => String::new(),
    }
}

fn has_ratios(report: &Report) -> bool {
    report.lightings.iter().flat_map(|row| &row.detail.light_account.ratios).any(|ratio| ratio.stops.is_some())
}
