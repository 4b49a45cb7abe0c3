//! `compare.html`: the two shoots on one self-contained page, in the look of `report.html`. Lays out; works nothing out.
//!
//! Everything but our own words comes from files that anyone may have written, so it is escaped, and the security policy
//! allows neither script nor any request.

use maud::{Markup, html};

use super::{MARK, SMALLEST, difference};
use crate::compare::{Alone, Comparison, Figure, Pair, Side};
use crate::report::shell::Shell;
use crate::report::words;

const STYLE: &str = concat!(include_str!("../page/page.css"), include_str!("compare.css"));

/// The drawn differences reach so many stops to either side.
const REACH: f64 = 4.0;

/// The whole page.
#[must_use]
pub fn render(comparison: &Comparison) -> String {
    let title = format!("{} and {}, side by side", seen(&comparison.a.shoot), seen(&comparison.b.shoot));
    let shell = Shell { title, style: STYLE, generator: Some(MARK), class: Some("cmp"), ..Shell::default() };
    shell.around(&html! {
        a.skip href="#main" { "Go to the lightings" }
        (opening(comparison))
        main #main {
            @for pair in &comparison.pairs { (of_pair(pair)) }
            (without(comparison))
            (how(comparison))
        }
        footer { "stoptally comparison. The same two reports give the same page." }
    })
}

/// Text from a file.
fn seen(text: &str) -> String {
    words::visible(&words::true_minus(text))
}

fn opening(comparison: &Comparison) -> Markup {
    let side = |letter: &str, side: &Side| {
        html! { b { (letter) } " is " bdi { (seen(&side.shoot)) } ", " (words::count(side.shots, "shot", "shots")) " in " (words::count(side.lightings, "lighting", "lightings")) }
    };
    let paired = comparison.pairs.len();
    let left = comparison.only_a.len() + comparison.only_b.len();
    let same = comparison.pairs.iter().filter(|pair| nothing(pair)).count();
    html! {
        header {
            div.hd { h1 { bdi { (seen(&comparison.a.shoot)) } " and " bdi { (seen(&comparison.b.shoot)) } } p { "two shoots side by side" } }
            div.open {
                p { (side("A", &comparison.a)) ". " (side("B", &comparison.b)) ". Every difference is B against A: + is more in B." }
                @if comparison.same_shoot { p { "Both are reports of one shoot: they share shots." } }
                p { (words::capital(&words::spelled(paired))) " " (if paired == 1 { "lighting was" } else { "lightings were" }) " paired by their lights"
                    @if same > 0 { "; in " (words::spelled(same)) " of them no figure of light differs" }
                    @if left > 0 { ". " (words::capital(&words::spelled(left))) " without a counterpart " (if left == 1 { "is" } else { "are" }) " " a.go href="#h-alone" { "listed below" } }
                    "." }
            }
            div.alms { div.almw { (almanac(comparison)) } }
        }
    }
}

/// The figures of the whole shoots, and each pair with what differs most in it.
fn almanac(comparison: &Comparison) -> Markup {
    html! {
        table.alm {
            thead { tr { th scope="col" { "" } th.r scope="col" { "A" } th.r scope="col" { "B" } th scope="col" { "B against A" } } }
            tbody {
                @for figure in &comparison.whole {
                    tr { th scope="row" { (figure.what) } td.r { (seen(&figure.a_words)) } td.r { (seen(&figure.b_words)) } td { (difference(figure).unwrap_or_else(|| words::NOT_KNOWN.to_owned())) } }
                }
                @for pair in &comparison.pairs {
                    tr { th scope="row" { a.go href={ "#pair-" (pair.lighting_a) "-" (pair.lighting_b) } { (name(pair)) } }
                        td.r { (pair.lighting_a) } td.r { (pair.lighting_b) }
                        td { @match most(pair) { Some(said) => bdi { (seen(&said)) }, None => "no figure of light differs" } } }
                }
            }
        }
    }
}

/// The figure in stops that differs most.
fn most(pair: &Pair) -> Option<String> {
    let stops = pair.figures.iter().filter(|f| f.unit == "stops");
    let known = stops.filter_map(|f| Some((f, f.difference.filter(|d| d.abs() >= SMALLEST)?)));
    let (figure, _) = known.max_by(|a, b| a.1.abs().total_cmp(&b.1.abs()))?;
    let of = if figure.light.is_empty() { figure.what.clone() } else { format!("{} {}", figure.light, figure.what) };
    Some(format!("{of} {}", difference(figure)?))
}

fn of_pair(pair: &Pair) -> Markup {
    let id = format!("pair-{}-{}", pair.lighting_a, pair.lighting_b);
    html! {
        section aria-labelledby=(id) {
            h2 #(id) { @if pair.names.is_empty() { "No light on" } @else { (name(pair)) } }
            p.lead { b { "A" } ", lighting " (pair.lighting_a) ": " (lights(&pair.lights_a)) ". " b { "B" } ", lighting " (pair.lighting_b) ": " (lights(&pair.lights_b)) ". Paired by " (pair.by) "." }
            @if nothing(pair) { details { summary { "No figure of light that is known in both differs; all of them" } (table(pair)) } }
            @else { (table(pair)) }
        }
    }
}

fn table(pair: &Pair) -> Markup {
    html! {
        table.df {
            thead { tr { th.w scope="col" { "figure" } th.v scope="col" { "A" } th.v scope="col" { "B" } th.d scope="col" { "B against A" } td.dx { (axis()) } } }
            tbody { @for figure in &pair.figures { (line(figure)) } }
        }
    }
}

/// Whether some figures of light are known on both sides and none of those differs: keepers may.
fn nothing(pair: &Pair) -> bool {
    let known: Vec<f64> = pair.figures.iter().filter(|f| f.unit == "stops").filter_map(|f| f.difference).collect();
    !known.is_empty() && known.iter().all(|d| d.abs() < SMALLEST)
}

/// "key and rim", "no light on".
fn name(pair: &Pair) -> Markup {
    let names: Vec<String> = pair.names.iter().map(|name| seen(name)).collect();
    html! { @if names.is_empty() { "no light on" } @else { bdi { (words::and_list(&names)) } } }
}

/// "key 1/8; rim 1/4", "no light on".
fn lights(cell: &str) -> Markup {
    html! { @if cell.is_empty() || cell == "none" { "no light on" } @else { bdi { (seen(&cell.replace(';', "; "))) } } }
}

fn line(figure: &Figure) -> Markup {
    let value = |words: &str, known: bool| match (words.is_empty(), known) {
        (false, _) => seen(words),
        (true, true) => "as in stops".to_owned(),
        (true, false) => words::NOT_KNOWN.to_owned(),
    };
    html! {
        tr {
            th.w scope="row" { @if !figure.light.is_empty() { b { bdi { (seen(&figure.light)) } } ": " } (figure.what) }
            td.v data-th="A" { bdi { (value(&figure.a_words, figure.a.is_some())) } }
            td.v data-th="B" { bdi { (value(&figure.b_words, figure.b.is_some())) } }
            td.d { @match difference(figure) {
                Some(said) => (said),
                None => { span.hat {} "not known" small { (figure.why_unknown) } },
            } }
            td.dx { (bar(figure)) }
        }
    }
}

fn x(stops: f64) -> String {
    format!("{:.2}%", ((stops.clamp(-REACH, REACH) + REACH) / REACH * 48.0) + 2.0)
}

/// The figures of the drawn scale, in stops. Hidden from screen readers: every difference says its own figure.
fn axis() -> Markup {
    html! { svg.ax width="100%" height="26" aria-hidden="true" {
        @for step in [-4.0, -2.0, 0.0, 2.0, 4.0] { text x=(x(step)) y="19" .z[step == 0.0] { (words::stops(step).replace(".0", "")) } }
    } }
}

/// A bar from 0 to the difference; a rate has no place on a scale of stops.
fn bar(figure: &Figure) -> Markup {
    let Some(by) = figure.difference.filter(|_| figure.unit == "stops") else { return html! {} };
    let (from, to) = (by.min(0.0), by.max(0.0));
    let width = (to.min(REACH) - from.max(-REACH)) / REACH * 48.0;
    html! {
        svg width="100%" height="100%" aria-hidden="true" {
            @for step in -4..=4_i32 { line.grid x1=(x(f64::from(step))) x2=(x(f64::from(step))) y1="0" y2="100%" {} }
            line.zero x1=(x(0.0)) x2=(x(0.0)) y1="0" y2="100%" {}
            @if by.abs() >= SMALLEST { rect.solid x=(x(from)) y="36%" width={ (format!("{width:.2}")) "%" } height="28%" {} }
            @else { circle.solid cx=(x(0.0)) cy="50%" r="4" {} }
        }
    }
}

fn without(comparison: &Comparison) -> Markup {
    let row = |side: &str, one: &Alone| {
        html! { div.row { p.of { (side) ", lighting " (one.lighting) } div { p { (lights(&one.lights)) "." } p.ev { bdi { (words::capital(&seen(&one.why))) } "." } } } }
    };
    html! {
        @if !comparison.only_a.is_empty() || !comparison.only_b.is_empty() {
            section aria-labelledby="h-alone" {
                h2 #h-alone { "Without a counterpart" }
                p.lead { "Nothing is forced: a lighting that may have several counterparts, or none, stands here." }
                div.lk {
                    @for one in &comparison.only_a { (row("A", one)) }
                    @for one in &comparison.only_b { (row("B", one)) }
                }
            }
        }
    }
}

fn how(comparison: &Comparison) -> Markup {
    html! {
        section aria-labelledby="h-how" {
            h2 #h-how { "How the two were compared" }
            @if !comparison.lights.is_empty() {
                p { "Lights: " @for (place, pair) in comparison.lights.iter().enumerate() {
                    @if place > 0 { "; " }
                    bdi { (seen(&pair.a)) } @if pair.a != pair.b { " of A is " bdi { (seen(&pair.b)) } " of B" } ", by " (pair.by)
                } "." }
            }
            p.lead { "Power is as noted. A light’s own level is its share of the whole picture, as shot, in the most shot stage of the lighting; \
                at A’s settings, B is brought to A’s aperture and ISO, the ambient to A’s shutter too. Another room, another framing or \
                another picture style changes levels by itself: where those differ, trust the powers and the ratios before the levels. \
                Keepers are counted by series; the interval of their difference is Newcombe’s, and one that holds 0 says that nothing is shown." }
        }
    }
}
