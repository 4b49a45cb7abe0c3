//! The last of the build: what the shoot leaves room for the next time. A figure, or the reason why there is none.

use maud::{Markup, html};

use super::lane::Kind;
use super::lights::glyph;
use super::notes::Notes;
use crate::report::next_types::{AperturePrice, Gap, Moving, NextLighting, NextTime, PowerLeft, Statement};
use crate::report::{Report, words};

/// What only this section needs of style.
pub const STYLE: &str = include_str!("next_time.css");

/// The lowest power of the drawing, in stops against full: 1/256.
const DRAWN: f64 = 8.0;

/// The section; nothing where nothing is said.
#[must_use]
pub fn section(report: &Report, notes: &mut Notes) -> Markup {
    let next = &report.next_time;
    if next.nothing() {
        return html! {};
    }
    html! {
        section.nx aria-labelledby="h-next" {
            h2 #h-next { "Next time" }
            @if !next.why_unknown.is_empty() {
                p.lead { span.hat {} "Not known: " (text(&next.why_unknown)) ". Note which lights were on, and at what power." }
            } @else {
                p.lead { "What the figures of this shoot leave room for, from the lighting shot most and from the last. No forecast: what the sky and the air will do is not asked." }
                @for lighting in &next.lightings { (of_lighting(report, next, lighting, notes)) }
                (statements("The ambient under the key", &next.ambient, notes))
                (statements("By your guide numbers", &next.guide_numbers, notes))
                (gaps(report, &next.gaps, notes))
            }
        }
    }
}

/// Words of the report as they stand on the page.
fn text(words: &str) -> Markup {
    html! { bdi { (words::visible(&words::true_minus(words))) } }
}

fn of_lighting(report: &Report, next: &NextTime, lighting: &NextLighting, notes: &mut Notes) -> Markup {
    let number = lighting.lighting;
    let powers: Vec<&PowerLeft> = next.powers.iter().filter(|row| row.lighting == number).collect();
    let prices: Vec<&AperturePrice> = next.apertures.iter().filter(|row| row.lighting == number).collect();
    let moving: Vec<&Moving> = next.distances.iter().filter(|row| row.lighting == number).collect();
    html! {
        h3 { "As in " a.go href={ "#lighting-" (number) } { "lighting " (number) } ", " (lighting.chosen)
            @if report.summary.cameras > 1 { ", " bdi { (words::visible(&lighting.camera)) } } }
        @if !powers.is_empty() { (power_table(report, number, &powers, notes)) }
        @if !prices.is_empty() {
            details { summary { "Another aperture than " (prices.first().map_or("", |row| row.from.as_str())) }
                (price_table(lighting, &prices)) }
        }
        @if !moving.is_empty() { details { summary { "Moving a light" } (moving_table(report, number, &moving)) } }
    }
}

/// The mark of a light among those of its camera.
fn mark(report: &Report, light_index: usize) -> Markup {
    let place = report.lights.get(light_index).map(|own| {
        let before = report.lights.iter().take(light_index).filter(|light| light.sequence == own.sequence);
        before.count()
    });
    html! { @if let Some(place) = place { (glyph(Kind::Light(place))) " " } }
}

fn power_table(report: &Report, number: u32, rows: &[&PowerLeft], notes: &mut Notes) -> Markup {
    html! {
        div.tw tabindex="0" role="region" aria-label={ "Power left, lighting " (number) } {
            table.st.kt {
                caption { "Power left" span { "a line runs as far as is known, dots where it is not; a stop to a step" } }
                thead { tr { th scope="col" { "light" } th.nw scope="col" { "as noted" }
                    th.room scope="col" { div.ends aria-hidden="true" { span { "1/256" } span { "1/1" } } span.vh { "room" } }
                    th scope="col" { "up" } th scope="col" { "down" } } }
                tbody { @for row in rows { tr {
                    th scope="row" data-th="light" { span { (mark(report, row.light_index)) bdi { (words::visible(&row.light)) } } }
                    td.nw data-th="as noted" { @if row.noted_power.is_empty() { "not noted" } @else { (text(&row.noted_power)) } }
                    td.room { (room(row)) }
                    td data-th="up" { (said(&row.up, notes)) }
                    td data-th="down" { (said(&row.down, notes)) }
                } } }
            }
        }
    }
}

/// The way up to 1/1 and down, on a line of nine powers; nothing where no power is noted.
fn room(row: &PowerLeft) -> Markup {
    let x = |stops: f64| format!("{:.2}%", ((stops + DRAWN) / DRAWN * 96.0 + 2.0).clamp(0.0, 100.0));
    let Some(at) = row.power_stops else { return html! { span.hat {} } };
    let sure = row.lowest_said_stops.or(row.lowest_noted_stops).unwrap_or(at).min(at);
    let open = row.lowest_said_stops.is_none();
    html! {
        svg width="100%" height="22" aria-hidden="true" {
            @for step in 0..=8_i32 { line.stop x1=(x(f64::from(-step))) x2=(x(f64::from(-step))) y1="5" y2="17" {} }
            @if open { line.may x1=(x(-DRAWN)) x2=(x(sure)) y1="11" y2="11" {} }
            line.run x1=(x(sure)) x2=(x(0.0)) y1="11" y2="11" {}
            circle.solid cx=(x(at)) cy="11" r="6" {}
        }
    }
}

/// A statement: its words with their source behind them, or why there is none.
fn said(statement: &Statement, notes: &mut Notes) -> Markup {
    html! {
        @if statement.why_unknown.is_empty() { (notes.cite(text(&statement.words), sentence(&statement.how))) }
        @else { span.hat {} "not known: " (text(&statement.why_unknown)) }
    }
}

fn sentence(words: &str) -> String {
    format!("{}.", words::true_minus(&words::capital(words)))
}

fn statements(title: &str, rows: &[Statement], notes: &mut Notes) -> Markup {
    html! {
        @if !rows.is_empty() {
            h3 { (title) }
            ul { @for row in rows { li {
                @if let Some(number) = row.lighting { a.go href={ "#lighting-" (number) } { "Lighting " (number) } ": " }
                (said(row, notes)) "."
            } } }
        }
    }
}

fn price_table(lighting: &NextLighting, rows: &[&AperturePrice]) -> Markup {
    html! {
        div.tw tabindex="0" role="region" aria-label={ "Another aperture, lighting " (lighting.lighting) } {
            table.st.kt {
                caption { "Another aperture" span { "from " (words::visible(&lighting.settings)) "; any one of the ways keeps the lights in the picture as bright" } }
                thead { tr { th scope="col" { "to" } th.r scope="col" { "light" } th scope="col" { "by power" } th scope="col" { "the ambient then" } th scope="col" { "or by ISO" } th scope="col" { "or by filter" } } }
                tbody { @for row in rows { tr {
                    th.nw scope="row" data-th="to" { (row.to) }
                    td.r.nw data-th="light" { (words::stops(row.light_stops)) }
                    td data-th="by power" { (text(&words::capital(&row.power_words))) }
                    td data-th="the ambient" { (text(&words::capital(&row.ambient_words))) }
                    td data-th="or by ISO" { (text(&words::capital(&row.iso_words))) }
                    td data-th="or by filter" { @if row.filter_words.is_empty() { "None: a filter only takes light away" } @else { (text(&words::capital(&row.filter_words))) } }
                } } }
            }
        }
        p.soft { "Whether the lens opens or closes so far, and what becomes of the depth of field, is not asked." }
    }
}

fn moving_table(report: &Report, number: u32, rows: &[&Moving]) -> Markup {
    let longest = rows.iter().map(|row| &row.moves).max_by_key(|moves| moves.len());
    html! {
        div.tw tabindex="0" role="region" aria-label={ "Moving a light, lighting " (number) } {
            table.st.kt {
                caption { "Moving a light" span { "what the sitter gains by the inverse square, and the power that takes it back" } }
                thead { tr { th scope="col" { "light" } th.nw scope="col" { "stood at" }
                    @for step in longest.into_iter().flatten() { th scope="col" { (words::stops_unit(step.stops)) } }
                    th scope="col" { "where the rule ends" } } }
                tbody { @for row in rows { tr {
                    th scope="row" data-th="light" { span { (mark(report, row.light_index)) bdi { (words::visible(&row.light)) } } }
                    @match row.distance_m {
                        Some(metres) => {
                            td.nw data-th="stood at" { (length(metres)) }
                            @for step in &row.moves { td data-th=(words::stops_unit(step.stops)) {
                                span { span.nw { (length(step.to_m)) } @if !step.same_light_at.is_empty() { ", " (text(&step.same_light_at)) }
                                @if !step.remark.is_empty() { small { " (" (text(&step.remark)) ")" } } } } }
                            td data-th="the rule ends" { (text(&words::capital(&row.limit))) }
                        }
                        None => { td colspan=(longest.map_or(2, |moves| moves.len() + 2)) data-th="stood at" { span { span.hat {} "not known: " (text(&row.why_unknown)) } } }
                    }
                } } }
            }
        }
        p.soft { "The rule is that of a small bare source. Grids, zoom heads and large modifiers near by depart from it, and walls give light back." }
    }
}

/// Near by the second decimal counts.
fn length(metres: f64) -> String {
    if metres < 2.995 { format!("{metres:.2}\u{a0}m") } else { format!("{metres:.1}\u{a0}m") }
}

fn gaps(report: &Report, rows: &[Gap], notes: &mut Notes) -> Markup {
    html! {
        @if !rows.is_empty() {
            details { summary { "Time to recycle, as seen" }
                div.tw tabindex="0" role="region" aria-label="Time to recycle" {
                    table.st.kt {
                        caption { "Time to recycle" span { "gaps since the light last burned; shorter ones were not tried" } }
                        thead { tr { th scope="col" { "light" } th scope="col" { "at" } th scope="col" { "seen" } } }
                        tbody { @for row in rows { tr {
                            th scope="row" data-th="light" { span { bdi { (words::visible(&row.light)) } @if report.summary.cameras > 1 { small { " " bdi { (words::visible(&row.camera)) } } } } }
                            td.nw data-th="at" { @if row.noted_power.is_empty() { "not noted" } @else { (text(&row.noted_power)) } }
                            td data-th="seen" { span { (notes.cite(text(&words::capital(&row.words)), sentence(&row.how))) } }
                        } } }
                    }
                }
            }
        }
    }
}
