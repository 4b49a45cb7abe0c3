//! `report.html`: the shoot as a ladder on one self-contained page. Lays out rows and words; works nothing out.
//!
//! The page needs no network: style and script are written into it and named by hash in its security policy, pictures are
//! `data:` addresses. Because that policy forbids style attributes, positions are SVG lengths or classes.

mod account;
mod account_light;
mod almanac;
mod ambient_lane;
mod beam;
mod board;
mod keepers;
mod ladder;
mod lane;
mod legend;
mod light_lanes;
mod lights;
mod lists;
mod next_time;
mod notes;
mod opening;
mod picture_lanes;
mod pictures;
mod rung;
mod scale;
mod shots;
mod stages;
mod standing;
mod tally;
mod thread;

use maud::{Markup, html};

use self::ladder::Ladder;
use self::notes::Notes;
use self::pictures::Plan;
use crate::report::cautions::CAUTIONS;
use crate::report::charts::Chart;
use crate::report::shell::Shell;
use crate::report::{Report, words};

const STYLE: &str = include_str!("page.css");
const PAPER: &str = include_str!("print.css");
const SCRIPT: &str = include_str!("page.js");

/// The whole page. `charts` are shown in the order given; none, and the section is left out.
#[must_use]
pub fn render(report: &Report, charts: &[Chart]) -> String {
    let style = format!("{STYLE}{}{}{}{PAPER}", board::STYLE, next_time::STYLE, scale::label_classes());
    let [light, marks] = board::SCRIPTS;
    let script = if report.boards.boards.is_empty() { SCRIPT.to_owned() } else { [SCRIPT, light, marks].concat() };
    let title = format!("{}: {}", words::visible(&report.shoot), opening::under_title(report));
    let shell = Shell { title, style: &style, script: Some(&script), ..Shell::default() };
    shell.around(&html! { (lane::SYMBOLS) (body(report, charts)) })
}

fn body(report: &Report, charts: &[Chart]) -> Markup {
    let ladders = ladder::ladders(report);
    let board = board::section(report);
    let mut plan = Plan::of(report, &ladders, charts, board.0.len());
    let mut notes = Notes::default();
    html! {
        a.skip href="#main" { "Go to the build" }
        (opening::markup(report, &ladders, &mut notes))
        main #main {
            @if !ladders.is_empty() { (build(report, &ladders, &mut plan, &mut notes)) }
            (board)
            (next_time::section(report, &mut notes))
            (keepers::section(report))
            (lists::findings_and_problems(report))
            (lists::not_known(&report.not_known))
            (charts_section(charts))
            @if !ladders.is_empty() { (legend::markup(report, &ladders)) }
            section aria-labelledby="h-cautions" {
                h2 #h-cautions { "Cautions" }
                div.cau { @for caution in CAUTIONS { p { b { (caution.about) "." } " " (caution.text) } } }
            }
            (notes.section())
        }
        footer { "stoptally report, layout " (report.schema) ". The same folder gives the same page. Figures with a dotted line say where they come \
                  from when pointed at, touched or reached with Tab; Escape puts the line away." }
        (plan.bytes(report))
        p #src role="note" aria-live="off" hidden {}
    }
}

fn build(report: &Report, ladders: &[Ladder<'_>], plan: &mut Plan, notes: &mut Notes) -> Markup {
    let placed: usize = ladders.iter().flat_map(|ladder| &ladder.rungs).map(|rung| rung.shots.len()).sum();
    let lit = ladders
        .iter()
        .flat_map(|ladder| &ladder.rungs)
        .any(|rung| rung.lanes.iter().any(|l| l.kind == lane::Kind::Ambient));
    let loose = report.frames.len().saturating_sub(placed);
    html! {
        section.build aria-labelledby="h-build" {
            h2 #h-build { "The build, " (if ladder::lit(ladders) { "lighting by lighting" } else { "stage by stage" }) }
            p.lead { "Time runs down. Across runs light, in stops against mid-grey, over the whole picture."
                @if lit { (marks_of_light(report)) }
                @else if let Some(reference) = &report.reference {
                    " A disc is the picture as shot. The ribbon is the same picture brought to " span.nw { (reference.marked) }
                    ", so that it moves only when the light does; it is as wide as what the files leave open."
                } }
            @if ladders.len() > 1 {
                p.lead { "Each camera has its own ladder: two bodies without a shared moment are not put in one order, so what happened on one says nothing about when it happened on the other." }
            }
            @if loose > 0 { p.lead { (words::capital(&words::count(loose, "shot stands", "shots stand"))) " on no rung; see " a.go href="#h-unread" { "could not read" } "." } }
            p.tools hidden { button type="button" #all { "Open every rung" } }
            @for ladder in ladders {
                @if ladders.len() > 1 { h3.cam { bdi { (ladder.name()) } } }
                div.lh { p { "Further right is more light." } (scale::axis(true)) }
                (rung::ladder(report, ladder, plan, notes))
            }
        }
    }
}

fn marks_of_light(report: &Report) -> Markup {
    html! {
        " Each light has its mark and its thread"
        @if let Some(reference) = &report.reference { ", brought to " span.nw { (reference.marked) } ", so that a mark moves only when its light does" }
        ". The shaded floor is the ambient; a light left of its edge gives less than the ambient does. The account in an opened rung is as shot."
    }
}

fn charts_section(charts: &[Chart]) -> Markup {
    html! {
        @if !charts.is_empty() {
            section aria-labelledby="h-charts" {
                h2 #h-charts { "Charts" }
                div.charts { @for chart in charts {
                    figure {
                        img src=(pictures::data("image/svg+xml", chart.svg.as_bytes())) alt=(chart.alt) decoding="async";
                        figcaption { b { (chart.title) "." } " " (chart.detail) }
                    }
                } }
            }
        }
    }
}
