//! Pictures as `data:` addresses, and the rule that keeps the page small enough to send.

use std::collections::BTreeSet;

use base64::{Engine as _, engine::general_purpose::STANDARD};
use maud::{Markup, html};

use super::ladder::{Ladder, Shot};
use crate::measure::Picture;
use crate::report::Report;
use crate::report::charts::Chart;
use crate::report::light_types::LitPicture;

/// Bytes of base64 text that all pictures together may take; words and drawings of 600 shots need less than the rest of 6 MB.
const BUDGET: usize = 4_900_000;
/// Of these, what pictures of lights may take: they stand first in the budget, each written once however often it is shown.
const LIT_BUDGET: usize = 1_400_000;
/// What the charts of an ordinary shoot take: counted with the words and drawings.
const CHARTS_ROOM: usize = 250_000;

/// What fits: decided once for the whole page, in the order of the rungs.
pub struct Plan {
    previews_on_rungs: bool,
    thumbnails: usize,
    /// Shots whose thumbnail stands on a rung and in its list: written once, referred to twice.
    shared: BTreeSet<usize>,
    /// Pictures of lights that fit, counted from the first.
    lit: usize,
    /// Those that are shown somewhere.
    shown: BTreeSet<usize>,
}

fn size(picture: &Picture) -> usize {
    picture.jpeg.len().div_ceil(3) * 4
}

impl Plan {
    /// Previews on rungs and a thumbnail for every shot; if that is too much, thumbnails on rungs;
    /// if that is still too much, thumbnails of as many shots as fit.
    #[must_use]
    pub fn of(report: &Report, ladders: &[Ladder<'_>], charts: &[Chart], board: usize) -> Self {
        // The light board is whole or not there. Charts are all shown; what they take beyond their usual room, pictures give.
        let drawn: usize = charts.iter().map(|chart| chart.svg.len().div_ceil(3) * 4).sum();
        let budget = BUDGET.saturating_sub(drawn.saturating_sub(CHARTS_ROOM)).saturating_sub(board);
        let mut left = LIT_BUDGET.min(budget);
        let room = left;
        let fits = |bytes: &usize| left.checked_sub(*bytes).map(|rest| left = rest).is_some();
        let lit = report.light_pictures.iter().map(|lit| size(&lit.picture)).take_while(fits).count();
        Self { lit, ..Self::within(ladders, budget - (room - left)) }
    }

    fn within(ladders: &[Ladder<'_>], budget: usize) -> Self {
        let rungs = || ladders.iter().flat_map(|ladder| &ladder.rungs);
        let typical = || rungs().filter_map(|rung| rung.shots.get(rung.typical)).filter(|shot| shot.pictures.is_some());
        let weight = |shot: &Shot<'_>| shot.pictures.map_or(0, |pictures| size(&pictures.thumbnail));
        let previews: usize = typical().filter_map(|shot| shot.pictures).map(|p| size(&p.preview)).sum();
        let all = || rungs().flat_map(|rung| &rung.shots).filter(|shot| shot.pictures.is_some());
        let previews_on_rungs = previews + all().map(weight).sum::<usize>() <= budget;
        let shared: BTreeSet<usize> =
            if previews_on_rungs { BTreeSet::new() } else { typical().map(|shot| shot.place).collect() };
        let mut left = budget.saturating_sub(if previews_on_rungs { previews } else { typical().map(weight).sum() });
        let fits = |bytes: &usize| left.checked_sub(*bytes).map(|rest| left = rest).is_some();
        let thumbnails = all().filter(|shot| !shared.contains(&shot.place)).map(weight).take_while(fits).count();
        Self { previews_on_rungs, thumbnails, shared, lit: 0, shown: BTreeSet::new() }
    }

    /// The typical frame of a rung.
    #[must_use]
    pub fn on_rung(&self, shot: &Shot<'_>, alt: &str) -> Markup {
        html! {
            @match shot.pictures {
                Some(pictures) if self.previews_on_rungs => (image(&pictures.preview, alt, false)),
                Some(pictures) => (reference(&pictures.thumbnail, &format!("shot-{}", shot.place), alt)),
                None => (missing("no picture")),
            }
        }
    }

    /// A picture of light, by its index; the reason why there is none otherwise.
    pub fn lit(&mut self, report: &Report, index: Option<usize>, alt: &str, why_none: &str) -> Markup {
        self.shown.extend(index.filter(|index| *index < self.lit && *index < report.light_pictures.len()));
        let found = index.and_then(|index| Some((index, report.light_pictures.get(index)?)));
        match found {
            None => missing(why_none),
            Some((index, _)) if index >= self.lit => missing("left out to keep the page small"),
            Some((index, LitPicture { picture, .. })) => reference(picture, &format!("lit-{index}"), alt),
        }
    }

    /// The bytes of all pictures that are shown in more than one place, once each.
    #[must_use]
    pub fn bytes(&self, report: &Report) -> Markup {
        let lit = self
            .shown
            .iter()
            .filter_map(|index| Some((format!("lit-{index}"), &report.light_pictures.get(*index)?.picture)));
        let shot = |place: &usize| Some((format!("shot-{place}"), &report.pictures.get(*place)?.as_ref()?.thumbnail));
        let all: Vec<(String, &Picture)> = lit.chain(self.shared.iter().filter_map(shot)).collect();
        html! {
            @if !all.is_empty() {
                svg.defs width="0" height="0" aria-hidden="true" { defs {
                    @for (id, picture) in all {
                        image id=(id) width=(picture.width) height=(picture.height) href=(data("image/jpeg", &picture.jpeg)) {}
                    }
                } }
            }
        }
    }

    /// The thumbnail of a shot, while they last.
    pub fn thumbnail(&mut self, shot: &Shot<'_>, alt: &str) -> Markup {
        match shot.pictures {
            Some(pictures) if self.shared.contains(&shot.place) => {
                reference(&pictures.thumbnail, &format!("shot-{}", shot.place), alt)
            }
            Some(_) if self.thumbnails == 0 => missing("left out to keep the page small"),
            Some(pictures) => {
                self.thumbnails -= 1;
                image(&pictures.thumbnail, alt, true)
            }
            None => missing("no picture"),
        }
    }
}

/// A picture whose bytes stand elsewhere on the page.
fn reference(picture: &Picture, id: &str, alt: &str) -> Markup {
    html! {
        svg.pic viewBox=(format!("0 0 {} {}", picture.width, picture.height)) role="img" aria-label=(alt) {
            use href={ "#" (id) } {}
        }
    }
}

fn missing(why: &str) -> Markup {
    html! { span.nopic { (why) } }
}

fn image(picture: &Picture, alt: &str, lazy: bool) -> Markup {
    html! {
        img.pic src=(data("image/jpeg", &picture.jpeg)) alt=(alt) width=(picture.width) height=(picture.height)
            decoding="async" loading=[lazy.then_some("lazy")];
    }
}

/// Bytes as a `data:` address.
#[must_use]
pub fn data(kind: &str, bytes: &[u8]) -> String {
    format!("data:{kind};base64,{}", STANDARD.encode(bytes))
}
