//! How a shot stands among its own, in the words of culling.csv: each remark with its reason as its trace.

use maud::{Markup, html};

use super::ladder::Shot;
use super::notes::Notes;
use crate::report::{Report, words};

/// What culling.csv says where nothing is to be said; and of a shot without figures, which its block says itself.
const SAID_OF_NONE: [&str; 2] = ["nothing to remark", "not measured"];

/// A remark that names the light which did not burn.
const MISFIRE: &str = "misfire of ";
/// A remark that names a clipped channel.
const CLIPPED: &str = " clipped";

/// The remarks of a shot that nothing else in its block says.
pub fn remarks(report: &Report, shot: &Shot<'_>, notes: &mut Notes) -> Markup {
    let own = pairs(report, shot);
    let frame = words::file_name(&shot.row.frame);
    html! {
        @for (remark, reason) in own.iter().filter(|(remark, _)| !said_elsewhere(report, shot, remark)) {
            @let shown = words::true_minus(&words::visible(remark));
            p.sd {
                @if reason.is_empty() { bdi { (shown) } }
                @else { (notes.cite(html! { bdi { (shown) } }, format!("{frame}, {shown}: {}.", words::true_minus(reason)))) }
            }
        }
    }
}

/// "red 2.4 % of all pixels, green 3.1 % of all pixels"; None where no channel is remarked.
pub fn channels(report: &Report, shot: &Shot<'_>) -> Option<String> {
    let own = pairs(report, shot);
    let clipped = own.iter().filter_map(|(remark, reason)| Some(format!("{} {reason}", remark.strip_suffix(CLIPPED)?)));
    let said = clipped.collect::<Vec<_>>().join(", ");
    (!said.is_empty()).then_some(said)
}

/// Remarks with their reasons. Rows are in the order of the shots; one that is of another shot says nothing of this one.
fn pairs<'a>(report: &'a Report, shot: &Shot<'_>) -> Vec<(&'a str, &'a str)> {
    let Some(row) = report.culling.get(shot.place).filter(|row| row.frame == shot.row.frame) else { return Vec::new() };
    let parts = |text: &'a str| text.split(';').map(str::trim);
    let reasons = parts(&row.reasons).chain(std::iter::repeat(""));
    parts(&row.standing).zip(reasons).filter(|(remark, _)| !remark.is_empty()).collect()
}

/// Whether the block has said it: a line for each misfire of the ledger, the clipped share with its channels behind it.
fn said_elsewhere(report: &Report, shot: &Shot<'_>, remark: &str) -> bool {
    let missed = |light: &str| {
        let mut own = report.light_ledger.iter().filter(|row| row.frame_index == shot.place && row.misfire == "yes");
        own.any(|row| row.light.replace(';', ",").trim() == light)
    };
    SAID_OF_NONE.contains(&remark)
        || remark.strip_prefix(MISFIRE).is_some_and(missed)
        || remark.ends_with(CLIPPED) && shot.row.highlights_clipped_percent.is_some()
}
