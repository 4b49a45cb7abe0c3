//! One named mark on the stop scale: its figure, its interval, or the reason why there is none.

use maud::{Markup, PreEscaped, html};

use super::notes::Notes;
use super::scale::{self, Side};
use crate::report::words;

/// Two figures nearer than this are drawn and written as one.
pub const ONE_FIGURE: f64 = 0.05;

/// What a lane stands for; the shape of its mark follows.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// The picture as shot.
    AsShot,
    /// The picture brought to the settings all marks share.
    Brought,
    /// Both at once, where they are the same.
    Both,
}

/// What a lane shows.
#[derive(Clone, Debug, PartialEq)]
pub enum Reading {
    /// A figure in stops against mid-grey.
    At(f64),
    /// A figure that depends on what made the light.
    Open {
        /// If all of it were flash.
        flash: f64,
        /// If all of it were ambient.
        ambient: f64,
    },
    /// A picture without any light: below every stop.
    Black,
    /// Not known, with the reason.
    Unknown(String),
}

/// One lane of a rung.
#[derive(Clone, Debug)]
pub struct Lane {
    /// Its name, in the fixed order of the page.
    pub name: String,
    /// What it stands for.
    pub kind: Kind,
    /// From which frames and by which rule.
    pub from: String,
    /// What it shows.
    pub reading: Reading,
}

impl Lane {
    /// Whether its label needs more than a few words.
    fn is_long(&self) -> bool {
        !self.reading.is_one() || self.reading.ends().is_some_and(|(low, _)| scale::beyond(low).is_some())
    }
}

impl Reading {
    /// Lower and upper end in stops, where there is a figure.
    #[must_use]
    pub fn ends(&self) -> Option<(f64, f64)> {
        match self {
            Self::At(stops) => Some((*stops, *stops)),
            Self::Open { flash, ambient } => Some((flash.min(*ambient), flash.max(*ambient))),
            Self::Black | Self::Unknown(_) => None,
        }
    }

    fn is_one(&self) -> bool {
        self.ends().is_some_and(|(low, high)| high - low < ONE_FIGURE)
    }
}

/// The lane: mark and interval drawn, name and figure beside it.
pub fn markup(lane: &Lane, notes: &mut Notes) -> Markup {
    let (low, high) = match (&lane.reading, lane.reading.ends()) {
        (_, Some((low, high))) => (scale::percent(low), scale::percent(high)),
        (Reading::Black, None) => (0.0, 0.0),
        (_, None) => (0.0, 100.0),
    };
    html! {
        div.lane {
            svg.ln width="100%" height="26" aria-hidden="true" { (drawn(lane)) }
            p.lb .(scale::label_class(low, high, lane.is_long())) { (label(lane, notes)) }
        }
    }
}

fn drawn(lane: &Lane) -> Markup {
    let Some((low, high)) = lane.reading.ends() else {
        return match lane.reading {
            Reading::Black => edge(Side::Left),
            _ => html! { rect.hat x="0" y="4" width="100%" height="18" {} },
        };
    };
    if lane.reading.is_one() || scale::percent(low) >= scale::percent(high) {
        return scale::beyond(low).map_or_else(|| html! { (mark(lane.kind, low)) }, edge);
    }
    html! {
        rect.hat x=(scale::x(low)) y="4" width=(scale::length(scale::percent(high) - scale::percent(low))) height="18" {}
        @if let Reading::Open { flash, ambient } = &lane.reading {
            @if let Some(side) = scale::beyond(*ambient) { (edge(side)) } @else { (end("e-ambient", *ambient)) }
            @if let Some(side) = scale::beyond(*flash) { (edge(side)) } @else { (end("e-flash", *flash)) }
        }
    }
}

fn mark(kind: Kind, stops: f64) -> Markup {
    let symbol = match kind {
        Kind::AsShot => "e-disc",
        Kind::Brought => "e-ring",
        Kind::Both => "e-both",
    };
    end(symbol, stops)
}

fn end(symbol: &str, stops: f64) -> Markup {
    html! { use href={ "#" (symbol) } x=(scale::x(stops)) y="13" {} }
}

/// An arrowhead at the edge: the figure lies beyond the scale.
fn edge(side: Side) -> Markup {
    match side {
        Side::Left => html! { use href="#e-left" x="0" y="13" {} },
        Side::Right => html! { use href="#e-right" x="100%" y="13" {} },
    }
}

fn label(lane: &Lane, notes: &mut Notes) -> Markup {
    let name = html! { b { (lane.name) } " " };
    match &lane.reading {
        Reading::Unknown(why) => html! { (name) "not known" em { "; " (why) } },
        Reading::Black => {
            html! { (name) (notes.cite("black", lane.from.as_str())) em { "; no light to measure, off the scale" } }
        }
        Reading::At(stops) => html! { (name) (figure(*stops, lane, notes)) (off(*stops, *stops)) },
        Reading::Open { flash, .. } if lane.reading.is_one() => {
            html! { (name) (figure(*flash, lane, notes)) (off(*flash, *flash)) }
        }
        Reading::Open { flash, ambient } => html! {
            (name) (notes.cite(html! { (words::stops(*flash)) span.vh { " stops" } }, lane.from.as_str())) " if flash, "
            span.nw { (words::stops(*ambient)) " if ambient" } (off(*flash, *ambient))
        },
    }
}

fn figure(stops: f64, lane: &Lane, notes: &mut Notes) -> Markup {
    notes.cite(html! { (words::stops(stops)) span.vh { " stops against mid-grey" } }, lane.from.as_str())
}

fn off(a: f64, b: f64) -> Markup {
    html! { @if scale::beyond(a).or(scale::beyond(b)).is_some() { em { ", off the scale" } } }
}

/// The shapes all lanes share, drawn around their own middle. Fixed text of this program.
pub const SYMBOLS: PreEscaped<&str> = PreEscaped(
    r##"<svg width="0" height="0" class="defs" aria-hidden="true"><defs>
<g id="e-disc"><circle r="6" class="ink"/></g>
<g id="e-ring"><circle r="5.1" class="ring"/></g>
<g id="e-both"><circle r="6.6" class="ring"/><circle r="3.4" class="ink"/></g>
<g id="e-flash"><path d="M0-10V10" class="bar"/><circle r="3.6" class="ring"/></g>
<g id="e-ambient"><path d="M0-10V10" class="bar"/><path d="M-3.4-3.4h6.8v6.8h-6.8z" class="ring"/></g>
<g id="e-left"><path d="M1 0L11-6.5V6.5z" class="ink"/></g>
<g id="e-right"><path d="M-1 0L-11-6.5V6.5z" class="ink"/></g>
<pattern id="hatch" width="6" height="6" patternUnits="userSpaceOnUse" patternTransform="rotate(38)"><path d="M1 0V6" class="hl"/></pattern>
</defs></svg>"##,
);
