//! The stages of a rung as a table of facts.

use maud::{Markup, html};

use super::ladder::Rung;
use super::rung::lens;
use crate::report::words::Kept;
use crate::report::{StageRow, words};

/// One row per stage, settings as marked.
#[must_use]
pub fn table(rung: &Rung<'_>) -> Markup {
    let keepers = rung.keepers.is_some();
    let series = rung.stages.iter().any(|stage| stage.series_count.is_some());
    html! {
        div.tw tabindex="0" role="region" aria-label={ "Stages of " (rung.name()) } {
            table.st {
                caption { @if rung.stages.len() > 1 { "Its stages" } @else { "The stage" } ", settings as marked" }
                thead { tr {
                    th scope="col" { "stage" } th scope="col" { "began with" } th scope="col" { "from" } th scope="col" { "lasted" } th scope="col" { "settings" }
                    th scope="col" { "lens" } th scope="col" { "setup" } th scope="col" { "frames" }
                    th.r scope="col" { "shots" }
                    @if series { th.r scope="col" { "series" } }
                    @if keepers { th.r scope="col" { "keepers" } th scope="col" { "series kept" } }
                } }
                tbody { @for stage in &rung.stages { (row(rung, stage, series, keepers)) } }
            }
        }
    }
}

fn row(rung: &Rung<'_>, stage: &StageRow, series: bool, keepers: bool) -> Markup {
    let from = words::moment(&stage.started).map_or_else(|| words::NOT_KNOWN.to_owned(), |moment| moment.clock_seconds);
    let or_not = |text: String| {
        if text.is_empty() { words::NOT_KNOWN.to_owned() } else { text }
    };
    html! {
        tr id=[(stage.stage != rung.first.stage).then(|| format!("stage-{}", stage.stage))] {
            th scope="row" { (stage.stage) }
            td data-th="began with" { bdi { (words::capital(&words::visible(&words::true_minus(&stage.detail.headline)))) } }
            td data-th="from" { (from) }
            td data-th="lasted" { (stage.seconds.map_or_else(|| words::NOT_KNOWN.to_owned(), words::duration)) }
            td data-th="settings" { bdi { (or_not(words::visible(&stage.settings))) } }
            td data-th="lens" { bdi { (or_not(lens(stage))) } }
            td data-th="setup" { span { (stage.setup)
                @if let Some(first) = stage.detail.first_met_in_stage { ", first met in stage " (first) } } }
            td.fn data-th="frames" { span { bdi { (words::visible(words::file_name(&stage.first_frame))) }
                @if stage.last_frame != stage.first_frame { " to " bdi { (words::visible(words::file_name(&stage.last_frame))) } } } }
            td.r data-th="shots" { (stage.frames) }
            @if series { td.r data-th="series" { (number(stage.series_count)) } }
            @if keepers { td.r data-th="keepers" { (number(stage.keepers)) } td data-th="series kept" { span { (series_kept(stage)) } } }
        }
    }
}

/// "7 of 12: 58 % (32 to 81 %)".
fn series_kept(stage: &StageRow) -> String {
    let rate = Kept::of(stage).and_then(|kept| kept.rate_words());
    match (stage.kept_series, stage.candidate_series, rate) {
        (Some(kept), Some(of), Some(rate)) => format!("{kept} of {of}: {rate}"),
        (Some(_), Some(0), _) => "no candidate".to_owned(),
        _ => words::NOT_KNOWN.to_owned(),
    }
}

fn number(value: Option<u32>) -> String {
    value.map_or_else(|| words::NOT_KNOWN.to_owned(), |value| value.to_string())
}
