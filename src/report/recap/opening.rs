//! What stands before the first chapter: how much was shot, which lighting gave the keepers.

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
