//! The threads that run down the ladder: where the light stood, from rung to rung.
//!
//! The ribbon joins what is known of the level brought to one set of settings, as wide as it is open; the thin line joins the
//! levels as shot; both turn dotted where a level is not known, and begin and end where knowledge does.

use maud::{Markup, html};

use super::ladder::Rung;
use super::lane::Kind;
use super::scale;

/// Pixels between two rungs without time between them, and per minute; a gap longer than `LONGEST_MINUTES` is drawn broken.
const GAP: f64 = 16.0;
const PER_MINUTE: f64 = 5.0;
const LONGEST_MINUTES: f64 = 20.0;

/// Where one thread stands on one rung.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Stand {
    /// No thread here: nothing known before, or nothing known after.
    None,
    /// Low and high end in percent of the scale.
    Known(f64, f64),
    /// Not known here, but before and after: last known middle, in percent.
    Carried(f64),
}

/// Where the threads of a ladder stand, rung by rung: ribbon, then line.
#[must_use]
pub fn stands(rungs: &[Rung<'_>]) -> Vec<(Stand, Stand)> {
    carry(rungs, Kind::Brought).into_iter().zip(carry(rungs, Kind::AsShot)).collect()
}

fn carry(rungs: &[Rung<'_>], kind: Kind) -> Vec<Stand> {
    let known = |rung: &Rung<'_>| {
        let ends = rung
            .lanes
            .iter()
            .find(|lane| lane.kind == kind || lane.kind == Kind::Both)
            .and_then(|lane| lane.reading.ends());
        ends.map(|(low, high)| (scale::percent(low), scale::percent(high)))
    };
    let last_known = rungs.iter().rposition(|rung| known(rung).is_some());
    let mut middle = None;
    let one = |(place, rung): (usize, &Rung<'_>)| match (known(rung), middle) {
        (Some((low, high)), _) => {
            middle = Some(f64::midpoint(low, high));
            Stand::Known(low, high)
        }
        (None, Some(carried)) if Some(place) < last_known => Stand::Carried(carried),
        (None, _) => Stand::None,
    };
    rungs.iter().enumerate().map(one).collect()
}

/// The threads on a rung, drawn from its top to its foot over the lines of the scale.
#[must_use]
pub fn on_rung((ribbon, line): (Stand, Stand)) -> Markup {
    html! {
        svg.bg width="100%" height="100%" aria-hidden="true" {
            @if let Stand::Known(low, high) = ribbon {
                rect.rib x=(scale::length(low)) width=(scale::length(high - low)) y="0" height="100%" {}
            }
            (scale::lines())
            @match ribbon {
                Stand::Known(low, high) => { (upright(low, "th edge")) @if high > low { (upright(high, "th edge")) } },
                Stand::Carried(at) => (upright(at, "th dot")),
                Stand::None => {},
            }
            @match line {
                Stand::Known(at, _) => (upright(at, "th")),
                Stand::Carried(at) => (upright(at, "th dot")),
                Stand::None => {},
            }
        }
    }
}

fn upright(at: f64, class: &str) -> Markup {
    let x = scale::length(at);
    html! { line class=(class) x1=(x) x2=(x) y1="0" y2="100%" {} }
}

/// Height of the gap in pixels, and whether it is drawn broken.
#[must_use]
pub fn gap_height(seconds: Option<f64>) -> (f64, bool) {
    let minutes = seconds.filter(|s| s.is_finite() && *s > 0.0).unwrap_or(0.0) / 60.0;
    (GAP + PER_MINUTE * minutes.min(LONGEST_MINUTES), minutes > LONGEST_MINUTES)
}

/// The threads between two rungs.
#[must_use]
pub fn between(above: (Stand, Stand), below: (Stand, Stand), height: f64, broken: bool) -> Markup {
    html! {
        svg.gs width="100%" height=(format!("{height:.0}")) viewBox="0 0 100 10" preserveAspectRatio="none" aria-hidden="true" {
            @if let (Stand::Known(a, b), Stand::Known(c, d)) = (above.0, below.0) {
                path.rib d=(format!("M{a:.2} 0H{b:.2}L{d:.2} 10H{c:.2}z")) {}
            }
            @for step in 1..10 { path class=(if step == 8 { "mg" } else { "st" }) d=(format!("M{} 0V10", step * 10)) {} }
            (joined(above.0, below.0, "th edge"))
            (joined(above.1, below.1, "th"))
            @if broken { path.brk d="M0 3.6L100 3.1V6.1L0 6.6z" {} path.brl d="M0 3.6L100 3.1M0 6.6L100 6.1" {} }
        }
    }
}

fn joined(above: Stand, below: Stand, class: &str) -> Markup {
    let path = |from: f64, to: f64, class: &str| html! { path class=(class) d=(format!("M{from:.2} 0L{to:.2} 10")) {} };
    match (above, below) {
        (Stand::Known(a, b), Stand::Known(c, d)) => {
            html! { (path(a, c, class)) @if b > a || d > c { (path(b, d, class)) } }
        }
        (Stand::Carried(from), Stand::Known(low, high)) => path(from, f64::midpoint(low, high), "th dot"),
        (Stand::Known(low, high), Stand::Carried(to)) => path(f64::midpoint(low, high), to, "th dot"),
        (Stand::Carried(from), Stand::Carried(to)) => path(from, to, "th dot"),
        _ => html! {},
    }
}

#[cfg(test)]
mod tests {
    use super::gap_height;

    #[test]
    fn gaps_grow_by_five_pixels_a_minute_and_break_over_night() {
        assert_eq!(gap_height(None), (16.0, false));
        assert_eq!(gap_height(Some(180.0)), (31.0, false));
        assert_eq!(gap_height(Some(1200.0)), (116.0, false));
        assert_eq!(gap_height(Some(36_000.0)), (116.0, true));
        assert_eq!(gap_height(Some(f64::NAN)), (16.0, false));
        assert_eq!(gap_height(Some(-60.0)), (16.0, false));
    }
}
