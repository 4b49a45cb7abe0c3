//! The almanac beside the opening: every stage on one line, with a link to its rung.

use std::collections::BTreeMap;

use maud::{Markup, html};

use super::beam;
use super::ladder::{Ladder, Rung};
use super::rung::lens;
use crate::report::{Report, StageRow, words};

/// The table; scrolls within itself when it is long.
pub fn markup(report: &Report, ladders: &[Ladder<'_>]) -> Markup {
    let mut look: BTreeMap<u32, Vec<&str>> = BTreeMap::new();
    for row in &report.findings {
        if let Some(stage) = row.stage {
            look.entry(stage).or_default().push(&row.code);
        }
    }
    let keepers = !report.keepers.is_empty();
    html! {
        div.almw.long[report.stages.len() > 16] tabindex=[(report.stages.len() > 16).then_some("0")] role="region" aria-label="The stages in short" {
            table.alm {
                caption { "The shoot in " (words::count(report.stages.len(), "stage", "stages")) }
                thead { tr { th scope="col" { "no." } th scope="col" { "from" } th.le scope="col" { "lens" } th scope="col" { "settings" }
                    th.r scope="col" { "shots" } @if keepers { th scope="col" { "keepers" } } th.fa scope="col" { "to look at" } } }
                @for ladder in ladders {
                    tbody {
                        @if ladders.len() > 1 { tr.cam { th colspan=(6 + usize::from(keepers)) scope="rowgroup" { bdi { (ladder.name()) } } } }
                        @for rung in &ladder.rungs { @for stage in &rung.stages { (row(rung, stage, keepers, look.get(&stage.stage))) } }
                    }
                }
            }
        }
    }
}

fn row(rung: &Rung<'_>, stage: &StageRow, keepers: bool, look: Option<&Vec<&str>>) -> Markup {
    let lens = if rung.before.is_none() || rung.lens_changed { short_lens(stage) } else { String::new() };
    html! {
        tr {
            th scope="row" { a href={ "#" (rung.id) } { (stage.stage) span.vh { ", go to stage " (stage.stage) } } }
            td.nw { (words::moment(&stage.started).map_or_else(|| "\u{2013}".to_owned(), |moment| moment.clock)) }
            td.wr.le { @if lens.is_empty() { span.vh { "the same" } } @else { bdi { (lens) } } }
            td.wr { bdi { (words::visible(&stage.settings)) } }
            td.r { (stage.frames) }
            @if keepers { td.nw { @match rung.keepers { Some(n) if n > 0 => { (beam::tally(n)) " " (n) }, _ => span.vh { "none" } } } }
            td.wr.fa { (to_look_at(look)) }
        }
    }
}

/// Focal length where known: the almanac has no room for names.
fn short_lens(stage: &StageRow) -> String {
    stage.focal_length_mm.map_or_else(|| lens(stage), |mm| format!("{mm}\u{a0}mm"))
}

fn to_look_at(codes: Option<&Vec<&str>>) -> String {
    let mut counted: BTreeMap<&str, usize> = BTreeMap::new();
    for code in codes.into_iter().flatten() {
        *counted.entry(code).or_default() += 1;
    }
    let said = counted.iter().map(|(code, number)| {
        let code = words::visible(&code.replace('-', " "));
        if *number > 1 { format!("{code}, {number}\u{a0}shots") } else { code }
    });
    said.collect::<Vec<_>>().join("; ")
}
