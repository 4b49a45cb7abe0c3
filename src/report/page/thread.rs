//! The threads that run down the ladder: where the light stood, from rung to rung.
//!
//! A light's thread begins where it is lit, jogs where its strength changes, turns dotted where it is not told, and ends where it
//! is off; the shaded floor is the ambient. While lights are not told apart, the ribbon joins what is known of the level brought to one set of settings, as wide as it is open; the thin line joins the
//! levels as shot; both turn dotted where a level is not known, and begin and end where knowledge does.

use maud::{Markup, html};

use super::ladder::Rung;
use super::lane::{Kind, Reading};
use super::scale;

/// Pixels between two rungs without time between them, and per minute; a gap longer than `LONGEST_MINUTES` is drawn broken.
const GAP: f64 = 16.0;
const PER_MINUTE: f64 = 5.0;
const LONGEST_MINUTES: f64 = 20.0;

/// Where one thread stands on one rung.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub enum Stand {
    /// No thread here: off, nothing known before, or nothing known after.
    #[default]
    None,
    /// Low and high end in percent of the scale.
    Known(f64, f64),
    /// Not known here, but before and after: last known middle, in percent.
    Carried(f64),
}

/// All threads on one rung.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Threads {
    /// The level brought to one set of settings.
    ribbon: Stand,
    /// The level as shot.
    line: Stand,
    /// The ambient.
    floor: Stand,
    /// Whether the floor's edge is no more than an upper end.
    at_most: bool,
    /// The camera's lights, in their order.
    lights: Vec<Stand>,
}

/// What a rung says of one thread.
enum Said {
    /// Low and high end in percent.
    Here(f64, f64),
    NotKnown,
    /// No thread here, and none goes on from before.
    Off,
}

/// The threads of a ladder, rung by rung.
#[must_use]
pub fn threads(rungs: &[Rung<'_>], lights: usize) -> Vec<Threads> {
    let of_kind = |kind: Kind| move |rung: &Rung<'_>| of_picture(rung, kind);
    let (ribbon, line) = (carry(rungs, true, of_kind(Kind::Brought)), carry(rungs, true, of_kind(Kind::AsShot)));
    let floor = carry(rungs, true, |rung| {
        match rung.lanes.iter().find(|lane| lane.kind == Kind::Ambient).map(|lane| lane.reading.middle()) {
            Some(Some(at)) => Said::Here(scale::percent(at), scale::percent(at)),
            Some(None) => Said::NotKnown,
            None => Said::Off,
        }
    });
    let each: Vec<Vec<Stand>> = (0..lights).map(|light| carry(rungs, false, |rung| of_light(rung, light))).collect();
    let joined = rungs.iter().zip(ribbon).zip(line).zip(floor).enumerate();
    joined
        .map(|(place, (((rung, ribbon), line), floor))| Threads {
            ribbon,
            line,
            floor,
            at_most: rung.lanes.iter().any(|l| l.kind == Kind::Ambient && matches!(l.reading, Reading::Under { .. })),
            lights: each.iter().filter_map(|stands| stands.get(place).copied()).collect(),
        })
        .collect()
}

fn of_picture(rung: &Rung<'_>, kind: Kind) -> Said {
    let mut lanes = rung.lanes.iter();
    if lanes.clone().any(|lane| lane.kind == Kind::Ambient) {
        return Said::Off;
    }
    let ends = lanes.find(|lane| lane.kind == kind || lane.kind == Kind::Both).and_then(|lane| lane.reading.ends());
    ends.map_or(Said::NotKnown, |(low, high)| Said::Here(scale::percent(low), scale::percent(high)))
}

fn of_light(rung: &Rung<'_>, light: usize) -> Said {
    match rung.lanes.iter().find(|lane| lane.lights.contains(&light)).map(|lane| &lane.reading) {
        None => Said::Off,
        Some(Reading::Within { .. } | Reading::At(_)) => {
            let middle = rung.lanes.iter().find(|lane| lane.lights.contains(&light)).and_then(|l| l.reading.middle());
            middle.map_or(Said::NotKnown, |at| Said::Here(scale::percent(at), scale::percent(at)))
        }
        Some(_) => Said::NotKnown,
    }
}

/// Where one thread stands. `returns`: it is carried over what is not known only where it is known again later.
fn carry(rungs: &[Rung<'_>], returns: bool, said: impl Fn(&Rung<'_>) -> Said) -> Vec<Stand> {
    let last_known = rungs.iter().rposition(|rung| matches!(said(rung), Said::Here(..)));
    let mut middle = None;
    let one = |(place, rung): (usize, &Rung<'_>)| match (said(rung), middle) {
        (Said::Here(low, high), _) => {
            middle = Some(f64::midpoint(low, high));
            Stand::Known(low, high)
        }
        (Said::NotKnown, Some(carried)) if !returns || Some(place) < last_known => Stand::Carried(carried),
        (Said::NotKnown, _) => Stand::None,
        (Said::Off, _) => {
            middle = None;
            Stand::None
        }
    };
    rungs.iter().enumerate().map(one).collect()
}

/// The threads on a rung, drawn from its top to its foot over the lines of the scale.
#[must_use]
pub fn on_rung(threads: &Threads) -> Markup {
    html! {
        svg.bg width="100%" height="100%" aria-hidden="true" {
            @match threads.floor {
                Stand::Known(at, _) | Stand::Carried(at) => rect.flo x="0" width=(scale::length(at)) y="0" height="100%" {},
                Stand::None => {},
            }
            @if let Stand::Known(low, high) = threads.ribbon {
                rect.rib x=(scale::length(low)) width=(scale::length(high - low)) y="0" height="100%" {}
            }
            (scale::lines())
            @match threads.floor {
                Stand::Known(at, _) => (upright(at, if threads.at_most { "th dot" } else { "th edge" })),
                Stand::Carried(at) => (upright(at, "th dot")),
                Stand::None => {},
            }
            @match threads.ribbon {
                Stand::Known(low, high) => { (upright(low, "th edge")) @if high > low { (upright(high, "th edge")) } },
                Stand::Carried(at) => (upright(at, "th dot")),
                Stand::None => {},
            }
            @for stand in [&threads.line].into_iter().chain(&threads.lights) {
                @match stand {
                    Stand::Known(at, _) => (upright(*at, "th")),
                    Stand::Carried(at) => (upright(*at, "th dot")),
                    Stand::None => {},
                }
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
pub fn between(above: &Threads, below: &Threads, height: f64, broken: bool) -> Markup {
    let at = |stand: Stand| match stand {
        Stand::Known(at, _) | Stand::Carried(at) => Some(at),
        Stand::None => None,
    };
    let edge = if above.at_most || below.at_most { "th dot" } else { "th edge" };
    html! {
        svg.gs width="100%" height=(format!("{height:.0}")) viewBox="0 0 100 10" preserveAspectRatio="none" aria-hidden="true" {
            @if let Some((a, b)) = at(above.floor).zip(at(below.floor)) {
                path.flo d=(format!("M0 0H{a:.2}L{b:.2} 10H0z")) {}
            }
            @if let (Stand::Known(a, b), Stand::Known(c, d)) = (above.ribbon, below.ribbon) {
                path.rib d=(format!("M{a:.2} 0H{b:.2}L{d:.2} 10H{c:.2}z")) {}
            }
            @for step in 1..10 { path class=(if step == 8 { "mg" } else { "st" }) d=(format!("M{} 0V10", step * 10)) {} }
            (joined(above.floor, below.floor, edge))
            (joined(above.ribbon, below.ribbon, "th edge"))
            (joined(above.line, below.line, "th"))
            @for (above, below) in above.lights.iter().zip(&below.lights) { (joined(*above, *below, "th")) }
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
