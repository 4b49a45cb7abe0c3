//! Every mark and word of the page, explained once.

use maud::{Markup, html};

use super::ladder::Ladder;
use super::lane::Kind;
use super::lights::glyph;
use super::tally::strokes;
use crate::report::{Report, words};

/// The legend: only what the page shows.
#[must_use]
pub fn markup(report: &Report, ladders: &[Ladder<'_>]) -> Markup {
    let kinds: Vec<Kind> = ladders.iter().flat_map(|l| &l.rungs).flat_map(|r| &r.lanes).map(|lane| lane.kind).collect();
    let whole = kinds.iter().any(|kind| matches!(kind, Kind::AsShot | Kind::Brought | Kind::Both));
    let lit = kinds.contains(&Kind::Ambient);
    let weak = ladders.iter().flat_map(|l| &l.rungs).flat_map(|r| &r.shots).any(|shot| shot.weak);
    html! {
        section aria-labelledby="h-legend" {
            h2 #h-legend { "The marks and words" }
            dl.lg {
                @if lit { (of_light(ladders)) }
                @if whole {
                (entry(drawing(html! { use href="#e-disc" x="23" y="10" {} }), "As shot", "The picture as the camera wrote it, whatever the settings."))
                (entry(drawing(html! { use href="#e-ring" x="23" y="10" {} }), "Brought",
                    "The same picture brought to one set of settings, so that it moves only when the light does."))
                (entry(drawing(html! { use href="#e-both" x="23" y="10" {} }), "Level", "As shot and brought in one: these are the settings all marks are brought to."))
                (entry(drawing(html! { rect.hat x="6" y="1" width="34" height="18" {} use href="#e-flash" x="6" y="10" {} use href="#e-ambient" x="40" y="10" {} }),
                    "If flash, if ambient", "How far a picture must be brought depends on what made its light. The round end holds if all of it were flash, \
                     the square end if all were ambient; the truth lies in the hatching."))
                }
                (entry(drawing(html! { rect.hat x="0" y="1" width="46" height="18" {} }), "Not known", "No figure can be given; the reason stands beside it."))
                @if whole {
                (entry(drawing(html! { path.rib d="M8 0h16l12 20H20z" {} path.th.edge d="M8 0l12 20M24 0l12 20" {} }), "Ribbon, thread",
                    "The ribbon joins the brought levels from rung to rung, as wide as they are open; the thin thread joins the levels as shot. Dotted where a level is not known."))
                }
                (entry(drawing(html! { use href="#e-left" x="8" y="10" {} use href="#e-right" x="38" y="10" {} }), "Off the scale", "The figure lies beyond the edge; read it in words."))
                (entry(drawing(html! { path.bl d="M0 1h11v8.5H0zM13 1h11v8.5H13z" {} path.un d="M26.500 1.500h10v7.500h-10z" {} @if report.keeper_count.is_some() { path.kp d="M6 11.500v7" {} } }),
                    "Shots", &shots(report, weak)))
                @if let Some(count) = &report.keeper_count {
                (entry(strokes(7), "Tally", "Kept shots, four strokes and the fifth across. The words beside it say in how many of the series that were candidates."))
                (entry(html! {}, "Candidates", &count.rule))
                }
                (entry(drawing(html! { path.nt d="M3 1l4.500 10l4.500-10" {} }), "Notch", "The lens or its focal length was changed before the shot that follows."))
                (entry(drawing(html! { rect.solid x="4" y="2" width="30" height="7" {} rect.open x="12" y="11" width="26" height="7" {} }), "Bars of the account",
                    "Solid: what an entry did to light from flash. Open: what it did to ambient. One bar where both are the same."))
                (entry(html! {}, "Stop", "A doubling or halving of light. Every figure in stops has its sign: + is brighter."))
                (entry(html! {}, "Mid-grey", "A mean luminance of 0.18 in linear light: the 0 of the scale."))
                @if series(report) { (entry(html! {}, "Series", "Near-identical shots of one stage, seconds apart; a shot alone is a series too.")) }
                (of_standing(report))
                (entry(html! {}, "Stage, setup", "A stage is an unbroken run of shots with one lens, one set of settings and one lighting; the same combination met again is the same setup."))
                (entry(html! {}, "Settings", "Aperture, shutter and ISO as marked; calculated with exact stops. Aperture and ISO act on all light, shutter on ambient alone."))
                (entry(html! {}, "Beyond the settings", "Change of the picture less what the settings explain: the lights or the scene did it."))
                (entry(html! {}, "Clipped", "Highlights: any channel at 254 of 255 or above. Shadows: all three at 1 or below. A black picture is often intended, so it is a figure and no more."))
            }
        }
    }
}

/// What the blocks on a rung say.
fn shots(report: &Report, weak: bool) -> String {
    let kept = report.keeper_count.is_some().then_some("a stroke beneath is a keeper");
    let parts = [
        Some("A block is a shot"),
        weak.then_some("a low block one in which a light burned weak"),
        Some("an open block could not be measured"),
        kept,
        series(report).then_some("a space begins the next series"),
    ];
    format!("{}.", parts.into_iter().flatten().collect::<Vec<_>>().join("; "))
}

/// Whether series are told apart.
fn series(report: &Report) -> bool {
    report.frames.iter().any(|row| row.series.is_some())
}

/// The words of what is remarked of a shot: only those that are used.
fn of_standing(report: &Report) -> Markup {
    let found = |codes: &[&str]| report.findings.iter().any(|row| codes.contains(&row.code.as_str()));
    let remarked = report.culling.iter().any(|row| !row.standing.is_empty() && row.standing != "nothing to remark");
    let veil = found(&["veil"]) || report.culling.iter().any(|row| row.veil_stops.is_some());
    let band = found(&["banding"]) || report.culling.iter().any(|row| row.band_percent.is_some());
    html! {
        @if remarked { (entry(html! {}, "Standing", "What is to be remarked of a shot, technically, by itself and among those of its series, with the figure behind it. \
            Sharpest and softest are told only where the softest has less than 85 % of the detail of the sharpest. No verdict: nothing is deleted or moved.")) }
        @if veil { (entry(html! {}, "Veil", "Light that lies evenly over a whole picture and lifts its darkest places: breath, flare, rain, dust or stray light before the lens.")) }
        @if band { (entry(html! {}, "Band", "A straight strip along a long edge that no flash reached: the shutter was not wholly open when the flash burned.")) }
        @if found(&["recycle", "short-flash", "misfire"]) { (entry(html! {}, "Recycle", "A flash loads anew after each shot. Fired before it has recycled it burns weaker, or not at all.")) }
    }
}

/// The marks of lights; each light of each camera with its shape.
fn of_light(ladders: &[Ladder<'_>]) -> Markup {
    html! {
        @for ladder in ladders.iter().filter(|ladder| !ladder.lights.is_empty()) {
            div { dt { span.dm {} b { "Lights" @if ladders.len() > 1 { ", " bdi { (ladder.name()) } } } }
                dd.gl { @for (place, light) in ladder.lights.iter().enumerate() {
                    span { (glyph(Kind::Light(place))) " " bdi { (words::visible(&light.light)) }
                        @if !light.role.is_empty() { ", " bdi { (words::visible(&light.role)) } } }
                } } }
        }
        (entry(drawing(html! { path.wk d="M5 10h34M5 5v10M39 5v10" {} use href="#e-light-0" x="22" y="10" {} }), "Mark, whiskers",
            "The mark is the light’s own level in the picture, the whiskers the 90 % interval of its strength: nine of ten times it lies within."))
        (entry(drawing(html! { path.th d="M12 0v8l14 4v8" {} path.th.dot d="M36 0v20" {} }), "Thread",
            "Runs down while a light is set on and jogs where its strength changes; dotted where the light is not told or did not burn."))
        (entry(drawing(html! { path.flo d="M0 0h26v20h-26z" {} path.th.edge d="M26 0v20" {} }), "Floor",
            "The ambient. A dotted edge is an upper end: the picture is too dark to say more than at most."))
        (entry(drawing(html! { use href="#e-gap" x="22" y="10" {} }), "Gap", "A misfire: the light was set on and did not burn in any shot of the lighting."))
        (entry(drawing(html! { path.ms d="M0 9.500h14" {} path.bl d="M17 1h11v8.500h-11z" {} }), "Empty place", "A shot in which a light that was set on did not burn."))
        (entry(html! {}, "Lighting", "The lights as set: which are on, at what power, behind which gel. A misfire does not change it. Each has a rung; met again later, it has another."))
        (entry(html! {}, "Beyond both", "What a picture has beyond the settings and beyond the lights that are told. Its cause is not recorded."))
    }
}

fn drawing(inner: Markup) -> Markup {
    html! { svg width="46" height="20" viewBox="0 0 46 20" aria-hidden="true" { (inner) } }
}

fn entry(mark: Markup, word: &str, meaning: &str) -> Markup {
    html! { div { dt { span.dm { (mark) } b { (word) } } dd { (meaning) } } }
}
