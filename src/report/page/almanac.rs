//! The almanac beside the opening: every lighting on one line, or every stage where lights are not told, with a link to its rung.

use std::collections::BTreeMap;

use maud::{Markup, html};

use super::ladder::{self, Ladder, Rung};
use super::lane::{Kind, symbol};
use super::lights::glyph;
use super::rung::{FOLD_OVER, lens};
use super::tally;
use crate::report::{Report, StageRow, words};

/// More stages than this and the table scrolls within itself; as many as a ladder draws large.
const LONG: usize = FOLD_OVER;

/// The table; scrolls within itself when it is long, and then says that it goes on.
pub fn markup(report: &Report, ladders: &[Ladder<'_>]) -> Markup {
    let mut look: BTreeMap<u32, Vec<&str>> = BTreeMap::new();
    for row in &report.findings {
        if let Some(stage) = row.stage {
            look.entry(stage).or_default().push(&row.code);
        }
    }
    let keepers = report.keeper_count.is_some();
    let lit = ladder::lit(ladders);
    let rungs = ladders.iter().map(|ladder| ladder.rungs.len()).sum::<usize>();
    let long = rungs > LONG;
    let columns = if lit { 5 } else { 6 } + usize::from(keepers);
    let last = ladders.last().and_then(|ladder| ladder.rungs.last()).filter(|_| long);
    html! {
        div.alms { div.almw.long[long] tabindex=[long.then_some("0")] role="region" aria-label="The build in short" {
            table.alm {
                caption { "The shoot in " @if lit && rungs == report.lightings.len() { (words::count(rungs, "lighting", "lightings")) }
                    @else if lit { (words::count(rungs, "rung", "rungs")) } @else { (words::count(rungs, "stage", "stages")) } }
                thead { tr { th scope="col" { "no." } th scope="col" { "from" } @if lit { th scope="col" { "lights" } } @else { th.le scope="col" { "lens" } th scope="col" { "settings" } }
                    th.r scope="col" { "shots" } @if keepers { th scope="col" { "keepers" } } th.fa scope="col" { "to look at" } } }
                @for ladder in ladders {
                    tbody {
                        @if lit && !ladder.lights.is_empty() && ladders.len() == 1 { (key(ladder, columns)) }
                        @if ladders.len() > 1 { tr.cam { th colspan=(columns) scope="rowgroup" { bdi { (ladder.name()) } } }
                            @if !ladder.lights.is_empty() { (key(ladder, columns)) } }
                        @for rung in &ladder.rungs { (row(ladder, rung, (keepers, lit), &look)) }
                    }
                }
            }
        }
        @if let Some(last) = last { p.goes { "The table goes on to " (last.name().replace(' ', "\u{a0}")) ": scroll within it." } } }
    }
}

fn row(ladder: &Ladder<'_>, rung: &Rung<'_>, (keepers, lit): (bool, bool), look: &BTreeMap<u32, Vec<&str>>) -> Markup {
    let lens = if rung.before.is_none() || rung.lens_changed() { short_lens(rung.first) } else { String::new() };
    let marked = &rung.first.settings;
    let kept = rung.keepers.as_ref().map_or(0, |counted| counted.kept.keepers);
    html! {
        tr {
            th scope="row" { a href={ "#" (rung.id) } { @if lit && rung.lighting.is_none() { (rung.name()) } @else { (rung.number()) } span.vh { ", go to " (rung.name()) } } }
            td.nw { (words::moment(&rung.first.started).map_or_else(|| "\u{2013}".to_owned(), |moment| moment.clock)) }
            @if lit { td.ls { (lights(ladder, rung)) } } @else {
                td.le.nw[fits(&lens)] { @if lens.is_empty() { span.vh { "the same" } } @else { bdi { (lens) } } }
                td.wr.se[marked.split(", ").all(fits)] { bdi { (settings(marked)) } }
            }
            td.r { (rung.shots.len()) }
            @if keepers { td.nw { @if kept > 0 { (tally::strokes(kept)) " " (kept) } @else { span.vh { "none" } } } }
            td.wr.fa { (to_look_at(rung, look)) }
        }
    }
}

/// Lights up to this many have a place each in their column; more are counted.
const PLACES: usize = 6;

/// Which mark is which light.
fn key(ladder: &Ladder<'_>, columns: usize) -> Markup {
    html! {
        @if ladder.lights.len() <= PLACES {
            tr.key { td colspan=(columns) { @for (place, light) in ladder.lights.iter().enumerate() {
                span { (glyph(Kind::Light(place))) "\u{a0}" bdi { (words::visible(&light.light)) } } " "
            } } }
        }
    }
}

/// The lights of a rung: each in its own place, so that a column can be read down.
fn lights(ladder: &Ladder<'_>, rung: &Rung<'_>) -> Markup {
    let Some(account) = &rung.base.detail.light_account else { return html! { span.vh { "not told" } } };
    let misfires = |place: usize| {
        let accounts =
            rung.stages.iter().filter_map(|stage| stage.detail.light_account.as_ref()?.each_light.get(place));
        accounts.map(|state| state.misfires).sum::<usize>()
    };
    let named = |on: &str| -> Vec<String> {
        account.each_light.iter().filter(|state| state.on == on).map(|state| words::visible(&state.light)).collect()
    };
    let (on, open) = (named("yes"), named("unknown"));
    if ladder.lights.len() > PLACES {
        let counted = if open.is_empty() { String::new() } else { format!(", {} not told", open.len()) };
        return html! { (on.len()) " on" (counted) };
    }
    let said = match (on.is_empty(), open.is_empty()) {
        (true, true) => "none on".to_owned(),
        (false, true) => format!("{} on", words::and_list(&on)),
        (true, false) => format!("{} not told", words::and_list(&open)),
        (false, false) => format!("{} on, {} not told", words::and_list(&on), words::and_list(&open)),
    };
    let missed = account.each_light.iter().enumerate().filter(|(place, _)| misfires(*place) > 0);
    let missed: Vec<String> = missed
        .map(|(place, state)| {
            format!("{} missed in {}", words::visible(&state.light), words::count(misfires(place), "shot", "shots"))
        })
        .collect();
    let said = [vec![said], missed].concat().join("; ");
    let width = 19 * account.each_light.len();
    html! {
        svg.mks width=(width) height="18" viewBox=(format!("0 0 {width} 18")) role="img" aria-label=(said) {
            @for (place, state) in account.each_light.iter().enumerate() {
                @let x = 9 + 19 * place;
                @match state.on.as_str() {
                    "yes" => { use href={ "#" (symbol(Kind::Light(place))) } x=(x) y="9" {} @if misfires(place) > 0 { path.ms d=(format!("M{} 17.5h16", x - 8)) {} } },
                    "no" => path.nil d=(format!("M{} 9h4", x - 2)) {},
                    _ => rect.hat x=(x - 8) y="2" width="16" height="14" {},
                }
            }
        }
    }
}

/// Whether a figure with its unit is as short as such are: only then it is kept on one line, whatever a file says.
fn fits(part: &str) -> bool {
    part.chars().count() <= 12
}

/// Settings as marked, which break between two of them and nowhere else.
pub fn settings(marked: &str) -> Markup {
    let shown = words::visible(marked);
    let parts: Vec<&str> = shown.split(", ").collect();
    html! {
        @for (place, part) in parts.iter().enumerate() {
            @if place > 0 { " " }
            span.nw[fits(part)] { (part) @if place + 1 < parts.len() { "," } }
        }
    }
}

/// Focal length where known: the almanac has no room for names.
fn short_lens(stage: &StageRow) -> String {
    stage.focal_length_mm.map_or_else(|| lens(stage), |mm| format!("{mm}\u{a0}mm"))
}

fn to_look_at(rung: &Rung<'_>, look: &BTreeMap<u32, Vec<&str>>) -> String {
    let mut counted: BTreeMap<&str, usize> = BTreeMap::new();
    for code in rung.stages.iter().filter_map(|stage| look.get(&stage.stage)).flatten() {
        *counted.entry(code).or_default() += 1;
    }
    let said = counted.iter().map(|(code, number)| {
        let code = words::visible(&code.replace('-', " "));
        if *number > 1 { format!("{code}, {number}\u{a0}shots") } else { code }
    });
    said.collect::<Vec<_>>().join("; ")
}
