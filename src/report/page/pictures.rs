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
    pub fn of(report: &Report, ladders: &[Ladder<'_>], charts: &[Chart]) -> Self {
        // Charts are all shown; what they take beyond their usual room, pictures give.
        let drawn: usize = charts.iter().map(|chart| chart.svg.len().div_ceil(3) * 4).sum();
        let budget = BUDGET.saturating_sub(drawn.saturating_sub(CHARTS_ROOM));
        let mut left = LIT_BUDGET.min(budget);
        let room = left;
        let fits = |bytes: &usize| left.checked_sub(*bytes).map(|rest| left = rest).is_some();
        let lit = report.light_pictures.iter().map(|lit| size(&lit.picture)).take_while(fits).count();
        Self { lit, ..Self::within(ladders, budget - (room - left)) }
    }

    fn within(ladders: &[Ladder<'_>], budget: usize) -> Self {
        let rungs = || ladders.iter().flat_map(|ladder| &ladder.rungs);
        let typical = || rungs().filter_map(|rung| rung.shots.get(rung.typical)?.pictures);
        let previews: usize = typical().map(|pictures| size(&pictures.preview)).sum();
        let small: usize = typical().map(|pictures| size(&pictures.thumbnail)).sum();
        let all = || rungs().flat_map(|rung| &rung.shots).filter_map(|shot| shot.pictures).map(|p| size(&p.thumbnail));
        let previews_on_rungs = previews + all().sum::<usize>() <= budget;
        let mut left = budget.saturating_sub(if previews_on_rungs { previews } else { small });
        let fits = |bytes: &usize| left.checked_sub(*bytes).map(|rest| left = rest).is_some();
        Self { previews_on_rungs, thumbnails: all().take_while(fits).count(), lit: 0, shown: BTreeSet::new() }
    }

    /// The typical frame of a rung.
    #[must_use]
    pub fn on_rung(&self, shot: &Shot<'_>, alt: &str) -> Markup {
        let chosen =
            shot.pictures.map(|pictures| if self.previews_on_rungs { &pictures.preview } else { &pictures.thumbnail });
        html! {
            @if let Some(picture) = chosen { (image(picture, alt, false)) } @else { (missing("no picture")) }
        }
    }

    /// A picture of light, by its index; the reason why there is none otherwise.
    pub fn lit(&mut self, report: &Report, index: Option<usize>, alt: &str, why_none: &str) -> Markup {
        self.shown.extend(index.filter(|index| *index < self.lit && *index < report.light_pictures.len()));
        let found = index.and_then(|index| Some((index, report.light_pictures.get(index)?)));
        match found {
            None => missing(why_none),
            Some((index, _)) if index >= self.lit => missing("left out to keep the page small"),
            Some((index, LitPicture { picture, .. })) => html! {
                svg.pic viewBox=(format!("0 0 {} {}", picture.width, picture.height)) role="img" aria-label=(alt) {
                    use href=(format!("#lit-{index}")) {}
                }
            },
        }
    }

    /// The bytes of all pictures of light that are shown, once each.
    #[must_use]
    pub fn lit_bytes(&self, report: &Report) -> Markup {
        html! {
            @if !self.shown.is_empty() {
                svg.defs width="0" height="0" aria-hidden="true" { defs {
                    @for (index, lit) in self.shown.iter().filter_map(|index| Some((index, report.light_pictures.get(*index)?))) {
                        image id=(format!("lit-{index}")) width=(lit.picture.width) height=(lit.picture.height)
                            href=(data("image/jpeg", &lit.picture.jpeg)) {}
                    }
                } }
            }
        }
    }

    /// The thumbnail of a shot, while they last.
    pub fn thumbnail(&mut self, shot: &Shot<'_>, alt: &str) -> Markup {
        match shot.pictures {
            Some(_) if self.thumbnails == 0 => missing("left out to keep the page small"),
            Some(pictures) => {
                self.thumbnails -= 1;
                image(&pictures.thumbnail, alt, true)
            }
            None => missing("no picture"),
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
