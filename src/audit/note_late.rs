//! A note that begins a frame late: the frame just before the noted change already shows the light as noted after it.

use super::Finding;
use super::lit::Lit;
use crate::problem::Code;

/// One finding per frame.
pub fn find(lit: &Lit) -> Vec<Finding> {
    let late = lit.shots.iter().enumerate().filter(|(_, (_, _, entry))| entry.late_note);
    late.filter_map(|(index, (shot, _, _))| {
        let next = lit.frame(index + 1);
        let from = if next.is_empty() { String::new() } else { format!(" from {next} on") };
        lit.finding(
            index,
            Code::NoteLate,
            [
                format!("the note for {} begins a frame late", lit.light.name),
                format!("{} already shows it as noted{from}", shot.frame),
                "the picture fits the later note and not the earlier one; a slip of one frame is likely, not proven"
                    .to_owned(),
            ],
        )
    })
    .collect()
}
