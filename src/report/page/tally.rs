//! Keepers as strokes by fives, with the words and the rule that stand behind them

use maud::{Markup, html};

use super::ladder::Rung;
use super::notes::{Notes, Trace};
use crate::report::words::Kept;

/// Strokes in a row, and rows before keepers are only counted in figures.
const PER_ROW: u32 = 25;
const ROWS: u32 = 4;
const ROW_HEIGHT: f64 = 20.0;

/// Four upright strokes and the fifth across, as often as it takes. Nothing for none, and for more than can be read.
#[must_use]
pub fn strokes(number: u32) -> Markup {
    if number == 0 || number > PER_ROW * ROWS {
        return html! {};
    }
    let mut path = String::new();
    for stroke in 0..number {
        let (row, place) = (f64::from(stroke / PER_ROW), stroke % PER_ROW);
        let x = f64::from(place / 5) * 27.0 + f64::from(place % 5) * 5.0;
        let y = row * ROW_HEIGHT;
        path.push_str(&if place % 5 == 4 {
            format!("M{} {:.1}l21.6-10", x - 21.4, y + 14.6)
        } else {
            format!("M{} {:.1}l-.6 15.2", x + 2.6, y + 2.2)
        });
    }
    let longest = number.min(PER_ROW);
    let width = f64::from(longest / 5) * 27.0 + f64::from(longest % 5) * 5.0 + 4.0;
    let height = f64::from(number.div_ceil(PER_ROW)) * ROW_HEIGHT;
    html! {
        svg.tally width=(format!("{width:.0}")) height=(format!("{height:.0}")) viewBox=(format!("-2 0 {width:.0} {height:.0}")) aria-hidden="true" { path d=(path) {} }
    }
}

/// Strokes and words on a rung, with the note that traces them.
#[must_use]
pub fn on_rung(rung: &Rung<'_>, notes: &mut Notes) -> Markup {
    let Some(counted) = &rung.keepers else { return html! {} };
    let kept = counted.kept;
    let shown = html! { (strokes(kept.keepers)) @if kept.keepers > 0 { " " } (kept.words()) };
    // That a test of the build gave no keeper is no news on paper.
    let nothing = kept.nothing();
    notes.inside = nothing;
    let cited = notes.cite(shown, note(&rung.name(), &kept, &counted.candidates));
    notes.inside = false;
    html! { p.kp[kept.keepers > 0].nil[nothing] { (cited) } }
}

fn note(name: &str, kept: &Kept, candidates: &str) -> Trace {
    let candidates = if candidates.is_empty() { String::new() } else { format!(" Candidates: {candidates}.") };
    let of = format!("Keepers of {name}: {}.{candidates}", kept.words());
    match kept.rate_words() {
        Some(rate) => Trace::by(
            format!("{of} Rate {rate}."),
            "Rate: series with a keeper per series with a candidate, and the 95 % interval by Wilson.",
        ),
        None => of.into(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Upright strokes and strokes across in the path, and the drawing's size.
    fn drawn(number: u32) -> (usize, usize, String) {
        let svg = strokes(number).into_string();
        let size = svg.split("viewBox=\"").nth(1).and_then(|v| v.split('"').next()).unwrap_or_default().to_owned();
        (svg.matches("l-.6").count(), svg.matches("l21.6").count(), size)
    }

    #[test]
    fn every_fifth_stroke_goes_across_and_none_is_lost() {
        for (number, upright, across) in
            [(1, 1, 0), (4, 4, 0), (5, 4, 1), (7, 6, 1), (25, 20, 5), (26, 21, 5), (100, 80, 20)]
        {
            let (u, a, _) = drawn(number);
            assert_eq!((u, a), (upright, across), "{number}");
        }
        assert_eq!(drawn(7).2, "-2 0 41 20");
        assert_eq!((drawn(26).2, drawn(100).2), ("-2 0 139 40".to_owned(), "-2 0 139 80".to_owned()));
        assert_eq!((drawn(0).0, drawn(101).0), (0, 0), "more than can be read is only counted");
    }
}
