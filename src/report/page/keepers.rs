//! The keepers of the shoot: which lighting, lens and light gave them, over which candidates, and by which rule

use maud::{Markup, html};

use super::notes::{Notes, Trace};
use super::tally::strokes;
use crate::report::keeper_types::{KeeperCount, KeeperCountRow};
use crate::report::words::{Kept, all};
use crate::report::{Report, words};

/// The sentences of the opening; nothing where no keepers were asked for.
#[must_use]
pub fn opening(report: &Report, notes: &mut Notes) -> Markup {
    let Some(count) = &report.keeper_count else { return html! {} };
    html! {
        p { b { bdi { (said(&count.summary)) } } "." }
        p { (notes.cite(html! { bdi { (said(&count.comparison)) } }, trace(count))) "." }
    }
}

/// The section with a table of lightings, lenses and lights.
#[must_use]
pub fn section(report: &Report) -> Markup {
    let Some(count) = &report.keeper_count else { return html! {} };
    let of = |what: &str| count.rows.iter().filter(|row| row.what == what).collect::<Vec<_>>();
    html! {
        section aria-labelledby="h-keepers" {
            h2 #h-keepers { "What gave the keepers" }
            p.lead { bdi { (said(&count.comparison)) } "." @if !count.caution.is_empty() { " " (words::capital(&count.caution)) "." } }
            p.lead { (count.rule) }
            div.kts { @for (what, caption) in [("lighting", "By lighting"), ("lens", "By lens"), ("light", "By light that was set on")] {
                @let rows = of(what);
                @if !rows.is_empty() { (table(report, what, caption, &rows)) }
            } }
        }
    }
}

fn table(report: &Report, what: &str, caption: &str, rows: &[&KeeperCountRow]) -> Markup {
    let timed = what == "lighting";
    html! {
        div.tw tabindex="0" role="region" aria-label=(caption) {
            table.st.kt {
                caption { (caption) }
                thead { tr { th scope="col" { (what) } th scope="col" { "keepers" } th scope="col" { "series kept, 95 % interval" }
                    @if timed { th.r scope="col" { "shot for" } } th.of scope="col" { "candidates" } } }
                tbody { @for row in rows { (line(report, what, row, timed)) } }
            }
        }
    }
}

fn line(report: &Report, what: &str, row: &KeeperCountRow, timed: bool) -> Markup {
    let kept = Kept {
        keepers: row.keepers,
        series: row.kept_series.zip(row.series),
        rate: all(row.rate, row.rate_low, row.rate_high),
    };
    let name = if row.value.is_empty() { words::NOT_KNOWN.to_owned() } else { words::visible(&row.value) };
    let number = row.value.parse::<u32>().ok().filter(|_| what == "lighting");
    let lighting = number.and_then(|n| report.lightings.iter().find(|l| l.lighting == n));
    let rung = lighting.map(|l| l.lighting);
    let shot_for = || match lighting {
        Some(lighting) => words::shot_for(lighting),
        None => row.seconds.map_or_else(|| words::NOT_KNOWN.to_owned(), words::duration),
    };
    // What was no candidate is a row on the screen; paper has no room to say nothing.
    html! {
        tr.nil[kept.nothing()] {
            th scope="row" data-th=(what) { @match rung { Some(n) => a.go href={ "#lighting-" (n) } { (n) span.vh { ", go to its rung" } }, None => bdi { (name) } } }
            td.nw data-th="keepers" { span { (strokes(row.keepers)) @if row.keepers > 0 { " " (row.keepers) } @else { "none" }
                @if row.perhaps > 0 { ", perhaps " (row.perhaps) " more" } } }
            td data-th="series kept" { @match (kept.series, kept.rate_words()) {
                (Some((some, of)), Some(rate)) => span { (some) " of " (of) ": " (rate) },
                (Some(_), None) => "no candidate",
                (None, _) => (words::NOT_KNOWN),
            } }
            @if timed { td.r data-th="shot for" { (shot_for()) } }
            td.of data-th="candidates" { span { (words::capital(&row.candidates)) } }
        }
    }
}

/// Where the comparison comes from.
fn trace(count: &KeeperCount) -> Trace {
    let by = match &count.compared {
        Some(made) => format!(
            "The lighting whose rate is surest to be high (the highest lower end), against all others together: {} of {} series against {} of {}; \
             difference of the two rates with its 95 % interval by Newcombe. {}.",
            made.best_kept_series,
            made.best_series,
            made.others_kept_series,
            made.others_series,
            words::capital(&count.caution),
        ),
        None => "Which lighting gave more keepers.".to_owned(),
    };
    Trace::by(by, count.rule.as_str())
}

/// A sentence of the count, without its full stop.
fn said(text: &str) -> String {
    words::capital(&words::visible(text))
}
