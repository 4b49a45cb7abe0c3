//! The one axis of the whole page: stops against mid-grey, -8 to +2, `x% = (s + 8) * 10`.

use std::fmt::Write as _;

use maud::{Markup, html};

use crate::report::words;

/// Stops at the left edge.
pub const LOWEST: f64 = -8.0;
/// Stops at the right edge.
pub const HIGHEST: f64 = 2.0;

/// A side of the scale beyond which a figure may lie.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Side {
    /// Under the lowest stop.
    Left,
    /// Over the highest stop.
    Right,
}

/// Where a figure stands across the scale, 0 to 100; a figure beyond the scale stands at its edge.
#[must_use]
pub fn percent(stops: f64) -> f64 {
    ((stops - LOWEST) * 10.0).clamp(0.0, 100.0)
}

/// The side on which a figure lies beyond the scale, if it does.
#[must_use]
pub fn beyond(stops: f64) -> Option<Side> {
    match stops {
        s if s < LOWEST => Some(Side::Left),
        s if s > HIGHEST => Some(Side::Right),
        _ => None,
    }
}

/// A position as an SVG length: `46.2%`.
#[must_use]
pub fn x(stops: f64) -> String {
    length(percent(stops))
}

/// A share of the scale's width as an SVG length.
#[must_use]
pub fn length(percent: f64) -> String {
    format!("{percent:.2}%")
}

/// The numbered axis. Hidden from screen readers: every mark says its own figure.
#[must_use]
pub fn axis(named: bool) -> Markup {
    html! {
        div.ax aria-hidden="true" {
            svg width="100%" height=(if named { "42" } else { "26" }) {
                @for step in 0..=10_i32 {
                    @let stops = f64::from(step) + LOWEST;
                    @let words = words::stops(stops).replace(".0", "");
                    text x=(x(stops)) y=(if named { "33" } else { "19" }) .z[step == 8] { (words) }
                }
                @if named { text x=(x(0.0)) y="13" { "mid-grey" } }
            }
        }
    }
}

/// The vertical lines of the scale, as a background that fills its box: one per stop, mid-grey 2 px wide.
#[must_use]
pub fn lines() -> Markup {
    html! {
        @for step in 1..10_i32 {
            @if step != 8 { line.st x1=(length(f64::from(step) * 10.0)) x2=(length(f64::from(step) * 10.0)) y1="0" y2="100%" {} }
        }
        line.mg x1="80%" x2="80%" y1="0" y2="100%" {}
    }
}

/// On which side of its mark a label stands, and how far across: a class of [`label_classes`].
///
/// `low` and `high` are the ends of what is drawn, in percent of the scale; a long label needs more room.
#[must_use]
pub fn label_class(low: f64, high: f64, long: bool) -> String {
    let half_percents = |percent: f64| (percent * 2.0).round();
    let room = if long { 42.0 } else { 30.0 };
    if high <= 100.0 - room {
        format!("a{:.0}", half_percents(high))
    } else if low >= room {
        format!("z{:.0}", half_percents(low))
    } else {
        // Wide: the label goes under it, where there is room.
        format!("u{:.0}", half_percents(low.min(40.0)))
    }
}

/// The rules behind [`label_class`]. Positions are classes because the page's security policy forbids style attributes.
#[must_use]
pub fn label_classes() -> String {
    let mut css = String::new();
    for half in 0..=200_i32 {
        let percent = f64::from(half) / 2.0;
        let rest = 100.0 - percent;
        // Writing to a String cannot fail.
        let _ = write!(
            css,
            ".a{half}{{margin-left:calc({percent}% + 13px)}}.z{half}{{text-align:right;margin-left:auto;margin-right:calc({rest}% + 13px)}}"
        );
        if half <= 80 {
            let _ = write!(css, ".u{half}{{margin-left:{percent}%}}");
        }
    }
    css
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_axis_is_the_agreed_one_and_never_leaves_its_box() {
        for (stops, written) in
            [(-8.0, "0.00%"), (0.0, "80.00%"), (2.0, "100.00%"), (-3.4, "46.00%"), (-11.2, "0.00%"), (5.0, "100.00%")]
        {
            assert_eq!(x(stops), written);
        }
        assert_eq!(
            (beyond(-8.01), beyond(-8.0), beyond(2.0), beyond(2.01)),
            (Some(Side::Left), None, None, Some(Side::Right))
        );
    }

    #[test]
    fn every_label_has_a_rule() {
        let css = label_classes();
        for tenth in 0..=1000_i32 {
            for width in [0.0, 10.0, 60.0, 100.0] {
                let low = f64::from(tenth) / 10.0;
                for long in [true, false] {
                    let class = label_class(low, (low + width).min(100.0), long);
                    assert!(css.contains(&format!(".{class}{{")), "{class}");
                }
            }
        }
    }
}
