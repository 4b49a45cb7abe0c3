//! One named mark on the stop scale: its figure, its interval, or the reason why there is none.

use maud::{Markup, PreEscaped, html};

use super::notes::{Notes, Trace};
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
    /// The whole picture on a rung whose other marks are lights.
    Picture,
    /// A light, by its place among the lights of its camera.
    Light(usize),
    /// The ambient.
    Ambient,
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
    /// A figure with its 90 % interval.
    Within {
        /// The figure.
        at: f64,
        /// Lower end.
        low: f64,
        /// Upper end.
        high: f64,
    },
    /// Known to be no more than this, with the words that say so.
    Under {
        /// Upper end.
        most: f64,
        /// "at least 5 stops under mid-grey".
        said: String,
    },
    /// Not told: it gave no more than the whole picture, and that is all.
    NotTold {
        /// Level of the whole picture.
        most: f64,
        /// The reason.
        why: String,
    },
    /// Set on and did not burn; where it would stand, if that is known.
    Missed(Option<f64>),
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
    /// The stage it is told from.
    pub stage: u32,
    /// From which frames and by which rule.
    pub from: Trace,
    /// What it shows.
    pub reading: Reading,
    /// What stands beside the figure in softer ink; empty for nothing.
    pub beside: String,
    /// Places of the lights it stands for among those of its camera: one, several not told for one reason, or none.
    pub lights: Vec<usize>,
}

impl Lane {
    /// A lane for the picture as a whole.
    pub fn of_picture(name: &str, kind: Kind, stage: u32, from: Trace, reading: Reading) -> Self {
        Self { name: name.to_owned(), kind, stage, from, reading, beside: String::new(), lights: Vec::new() }
    }

    /// Whether its label needs more than a few words.
    fn is_long(&self) -> bool {
        !self.beside.is_empty()
            || !(self.reading.is_one() || matches!(self.reading, Reading::Within { .. }))
            || self.reading.ends().is_some_and(|(low, _)| scale::beyond(low).is_some())
    }
}

impl Reading {
    /// Lower and upper end in stops, where there is a figure.
    #[must_use]
    pub fn ends(&self) -> Option<(f64, f64)> {
        match self {
            Self::At(stops) => Some((*stops, *stops)),
            Self::Open { flash, ambient } => Some((flash.min(*ambient), flash.max(*ambient))),
            Self::Within { low, high, .. } => Some((*low, *high)),
            Self::Missed(at) => at.map(|stops| (stops, stops)),
            Self::Under { .. } | Self::NotTold { .. } | Self::Black | Self::Unknown(_) => None,
        }
    }

    /// Where a thread runs through the mark, in stops; None where it is not known.
    #[must_use]
    pub fn middle(&self) -> Option<f64> {
        match self {
            Self::At(stops) => Some(*stops),
            Self::Within { at, .. } => Some(*at),
            Self::Under { most, .. } => Some(*most),
            _ => None,
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
        (Reading::Black | Reading::Missed(_), None) => (0.0, 0.0),
        (Reading::Under { most, .. } | Reading::NotTold { most, .. }, None) => (0.0, scale::percent(*most)),
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
            Reading::Under { most, .. } | Reading::NotTold { most, .. } => {
                html! { rect.hat x="0" y="4" width=(scale::x(most)) height="18" {} }
            }
            Reading::Missed(_) => html! {},
            _ => html! { rect.hat x="0" y="4" width="100%" height="18" {} },
        };
    };
    if let Reading::Within { at, .. } = lane.reading {
        return within(lane.kind, at, low, high);
    }
    if matches!(lane.reading, Reading::Missed(_)) {
        return end("e-gap", low);
    }
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

/// A mark with its whiskers: the 90 % interval.
fn within(kind: Kind, at: f64, low: f64, high: f64) -> Markup {
    let (x1, x2) = (scale::x(low), scale::x(high));
    html! {
        line.wk x1=(x1) x2=(x2) y1="13" y2="13" {}
        @if scale::beyond(low).is_none() { line.wk x1=(x1) x2=(x1) y1="8" y2="18" {} }
        @if scale::beyond(high).is_none() { line.wk x1=(x2) x2=(x2) y1="8" y2="18" {} }
        @match scale::beyond(at) {
            Some(side) => (edge(side)),
            None => (mark(kind, at)),
        }
    }
}

fn mark(kind: Kind, stops: f64) -> Markup {
    end(&symbol(kind), stops)
}

/// Name of the shape of a mark.
#[must_use]
pub fn symbol(kind: Kind) -> String {
    match kind {
        Kind::AsShot => "e-disc".to_owned(),
        Kind::Brought => "e-ring".to_owned(),
        Kind::Both => "e-both".to_owned(),
        Kind::Picture => "e-picture".to_owned(),
        Kind::Ambient => "e-floor".to_owned(),
        // More lights than shapes: the name beside the mark tells them apart.
        Kind::Light(place) => format!("e-light-{}", place % SHAPES),
    }
}

/// Different shapes there are for lights.
const SHAPES: usize = 12;

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
    let name = html! { b { bdi { (words::visible(&lane.name)) } } " " };
    let beside = html! { @if !lane.beside.is_empty() { em { " " bdi { (words::visible(&lane.beside)) } } } };
    match &lane.reading {
        Reading::Within { at, .. } => html! { (name) (figure(*at, lane, notes)) (off(*at, *at)) (beside) },
        Reading::Under { said, .. } => html! { (name) (notes.cite(bdi_text(said), &lane.from)) (beside) },
        Reading::NotTold { why, .. } => html! { (name) "not told" em { "; " bdi { (words::visible(why)) } } (beside) },
        Reading::Missed(_) => html! { (name) (notes.cite("did not burn", &lane.from)) (beside) },
        Reading::Unknown(why) => html! { (name) "not known" em { "; " bdi { (words::visible(why)) } } (beside) },
        Reading::Black => {
            html! { (name) (notes.cite("black", &lane.from)) em { "; no light to measure, off the scale" } }
        }
        Reading::At(stops) => html! { (name) (figure(*stops, lane, notes)) (off(*stops, *stops)) (beside) },
        Reading::Open { flash, .. } if lane.reading.is_one() => {
            html! { (name) (figure(*flash, lane, notes)) (off(*flash, *flash)) }
        }
        Reading::Open { flash, ambient } => html! {
            (name) (notes.cite(html! { (words::stops(*flash)) span.vh { " stops" } }, &lane.from)) " if flash, "
            span.nw { (words::stops(*ambient)) " if ambient" } (off(*flash, *ambient))
        },
    }
}

fn bdi_text(text: &str) -> Markup {
    html! { bdi { (words::visible(text)) } }
}

fn figure(stops: f64, lane: &Lane, notes: &mut Notes) -> Markup {
    notes.cite(html! { (words::stops(stops)) span.vh { " stops against mid-grey" } }, &lane.from)
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
<g id="e-picture"><path d="M-5-5L5 5M-5 5L5-5" class="cross"/></g>
<g id="e-floor"><path d="M0-8V8" class="amb"/></g>
<g id="e-gap"><path d="M-8-7V7M8-7V7" class="bar"/></g>
<g id="e-light-0"><circle r="6" class="ink"/></g>
<g id="e-light-1"><circle r="5.1" class="ring"/></g>
<g id="e-light-2"><circle r="5.2" class="shell"/><path d="M0-5.8a5.800 5.800 0 0 0 0 11.600z" class="ink"/></g>
<g id="e-light-3"><circle r="5.2" class="shell"/><path d="M0-5.8a5.800 5.800 0 0 1 0 11.600z" class="ink"/></g>
<g id="e-light-4"><path d="M-5.4-5.4h10.800v10.800h-10.800z" class="ink"/></g>
<g id="e-light-5"><path d="M-4.6-4.6h9.200v9.200h-9.200z" class="ring"/></g>
<g id="e-light-6"><path d="M-4.8-4.8h9.600v9.600h-9.600z" class="shell"/><path d="M-5.4-5.4h5.400v10.800h-5.400z" class="ink"/></g>
<g id="e-light-7"><path d="M-4.8-4.8h9.600v9.600h-9.600z" class="shell"/><path d="M0-5.4h5.400v10.800h-5.400z" class="ink"/></g>
<g id="e-light-8"><path d="M0-6.400L6.400 5.400H-6.400z" class="ink"/></g>
<g id="e-light-9"><path d="M0-5L5.300 4.600H-5.300z" class="ring"/></g>
<g id="e-light-10"><path d="M0-7L7 0L0 7L-7 0z" class="ink"/></g>
<g id="e-light-11"><path d="M0-5.800L5.800 0L0 5.800L-5.800 0z" class="ring"/></g>
<g id="e-left"><path d="M1 0L11-6.5V6.5z" class="ink"/></g>
<g id="e-right"><path d="M-1 0L-11-6.5V6.5z" class="ink"/></g>
<pattern id="hatch" width="6" height="6" patternUnits="userSpaceOnUse" patternTransform="rotate(38)"><path d="M1 0V6" class="hl"/></pattern>
</defs></svg>"##,
);
