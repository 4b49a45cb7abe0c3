//! One rung as the reader sees it closed: clock, shots, sentence of change, typical frame, marks; and the gap above it.

use maud::{Markup, html};

use super::ladder::{Beyond, Ladder, Rung, Shot, frames_span};
use super::notes::{Notes, Trace};
use super::pictures::Plan;
use super::{account, beam, lane, lights, shots, stages, tally, thread};
use crate::report::{Report, StageRow, words};

/// More rungs than this and the ladder is drawn small.
pub const FOLD_OVER: usize = 24;
/// More lights than this are counted beside a rung; the marks and the opened rung name them all.
const FEW: usize = 6;
/// Stages whose settings a closed rung says; the opened rung says them all.
const FEW_STAGES: usize = 3;

/// All rungs of one camera.
pub fn ladder(report: &Report, ladder: &Ladder<'_>, plan: &mut Plan, notes: &mut Notes) -> Markup {
    let threads = thread::threads(&ladder.rungs, ladder.lights.len());
    let mut day = String::new();
    let mut above: Option<&thread::Threads> = None;
    html! {
        ol.lad.small[ladder.rungs.len() > FOLD_OVER] {
            @for (rung, here) in ladder.rungs.iter().zip(&threads) {
                @if let Some(above) = above.replace(here) { (gap(rung, above, here)) }
                li.rung id=(rung.id) {
                    (clock(rung, &mut day))
                    (text(rung, notes))
                    (frame(rung, plan))
                    div.sc {
                        (thread::on_rung(here))
                        @for each in &rung.lanes { (lane::markup(each, notes)) }
                    }
                    (opened(report, ladder, rung, plan, notes))
                }
            }
        }
    }
}

fn gap(rung: &Rung<'_>, above: &thread::Threads, below: &thread::Threads) -> Markup {
    let (height, broken) = thread::gap_height(rung.gap_seconds);
    html! {
        li.gap {
            span.gt { @if let Some(seconds) = rung.gap_seconds { (words::duration(seconds)) } }
            (thread::between(above, below, height, broken))
        }
    }
}

fn clock(rung: &Rung<'_>, day: &mut String) -> Markup {
    let times = || rung.shots.iter().filter_map(|shot| words::moment(&shot.row.taken));
    let begins = words::moment(&rung.first.started).or_else(|| times().next());
    let ends = times().next_back();
    html! {
        div.ck {
            @match begins {
                Some(begins) => {
                    time { (begins.clock) }
                    @if let Some(ends) = ends.filter(|ends| ends.clock != begins.clock) { span { "to " (ends.clock) } }
                    @if !day.is_empty() && *day != begins.day { span { (begins.day) } }
                    ({ *day = begins.day; "" })
                }
                None => span { "time not known" },
            }
        }
    }
}

fn text(rung: &Rung<'_>, notes: &mut Notes) -> Markup {
    let changed = words::visible(&words::true_minus(rung.changed));
    html! {
        div.tx {
            (beam::markup(rung))
            h3 { (number(rung)) " " b { bdi { (words::capital(&changed)) } } (beyond(rung, notes)) "." }
            div.sl {
                (named(rung))
                @for stage in rung.stages.iter().take(FEW_STAGES) { p.as { (setting(rung, stage)) } }
                @if rung.stages.len() > FEW_STAGES { p.as { "and " (words::count(rung.stages.len() - FEW_STAGES, "more stage", "more stages")) } }
                @if let Some(Beyond::Unknown(why)) = rung.beyond { @if !why.is_empty() { p { bdi { (words::capital(&words::visible(why))) } "." } } }
                (tally::on_rung(rung, notes))
            }
        }
    }
}

/// Its number, with what it is a number of for those who hear it.
fn number(rung: &Rung<'_>) -> Markup {
    html! { span.no { span.vh { (if rung.lighting.is_some() { "Lighting " } else { "Stage " }) } (rung.number()) } }
}

/// The lights of the rung as set; an anchor where its lighting is met first.
fn named(rung: &Rung<'_>) -> Markup {
    let Some(lighting) = &rung.lighting else { return html! {} };
    let row = lighting.row;
    let lights: Vec<&str> = row.lights.split(';').map(str::trim).filter(|light| !light.is_empty()).collect();
    let as_set = match lights.len() {
        0 => String::new(),
        1 if lights == ["none"] => "No light set on".to_owned(),
        few if few <= FEW => words::capital(&words::visible(&words::true_minus(&lights.join("; ")))),
        many => words::count(many, "light", "lights"),
    };
    html! {
        @if lighting.again {
            p.li { "As in " a.go href={ "#lighting-" (row.lighting) } { "lighting\u{a0}" (row.lighting) } @if !as_set.is_empty() { ": " bdi { (as_set) } } }
        } @else {
            p.li id={ "lighting-" (row.lighting) } { bdi { (as_set) } }
        }
    }
}

fn setting(rung: &Rung<'_>, stage: &StageRow) -> Markup {
    let mut parts = vec![words::visible(&stage.settings), lens(stage)];
    let mut held = words::count(stage.frames, "shot", "shots");
    if let Some(seconds) = stage.seconds.filter(|_| stage.frames > 1) {
        held = format!("{held} in {}", words::duration(seconds));
    }
    parts.push(held);
    if let Some(first) = stage.detail.first_met_in_stage {
        parts.push(format!("the same setup as stage {first}"));
    }
    parts.retain(|part| !part.is_empty());
    html! { @if rung.lighting.is_some() { "stage\u{a0}" (stage.stage) ": " } bdi { (parts.join("; ")) } }
}

/// The lens of a stage as people read it.
pub fn lens(stage: &StageRow) -> String {
    words::visible(&words::lens(&stage.lens, stage.focal_length_mm))
}

fn beyond(rung: &Rung<'_>, notes: &mut Notes) -> Markup {
    let said = match rung.beyond {
        None => return html! {},
        Some(Beyond::Known(stops)) => words::stops_unit(stops),
        Some(Beyond::Between(low, high)) => words::stops_between(low, high),
        Some(Beyond::Unknown(_)) => words::NOT_KNOWN.to_owned(),
    };
    html! { "; " (notes.cite(html! { "beyond the settings " (said) }, beyond_note(rung))) }
}

fn beyond_note(rung: &Rung<'_>) -> Trace {
    let (Some(before), stage) = (rung.before, rung.first) else {
        return Trace::default();
    };
    let account = stage.detail.account.as_ref();
    let part = |value: Option<f64>| value.map_or_else(|| words::NOT_KNOWN.to_owned(), words::stops);
    let flash = part(account.and_then(|a| a.settings_flash_stops));
    let ambient = part(account.and_then(|a| a.settings_ambient_stops));
    let settings = if flash == ambient { flash } else { format!("{flash} on flash, {ambient} on ambient") };
    let of = format!(
        "Stage {} against stage {}, {} against {}. Picture {}; settings {settings}.",
        stage.stage,
        before.stage,
        frames_span(&stage.first_frame, &stage.last_frame),
        frames_span(&before.first_frame, &before.last_frame),
        part(account.and_then(|a| a.picture_stops)),
    );
    let rule = "Beyond the settings: from the last measured shot before to the first of the stage, the picture’s change less the \
                settings’; one figure only where flash and ambient agree within 0.05 stop or the ambient’s share is known.";
    Trace::by(of, rule)
}

fn frame(rung: &Rung<'_>, plan: &Plan) -> Markup {
    html! {
        @if let Some(shot) = rung.shots.get(rung.typical) {
            figure.fr {
                (plan.on_rung(shot, &format!("Typical frame of {}", rung.name())))
                figcaption { (frame_name(shot)) }
            }
        } @else { div.fr {} }
    }
}

/// A frame's name, kept from turning the words around it.
pub fn frame_name(shot: &Shot<'_>) -> Markup {
    html! { bdi { (words::visible(words::file_name(&shot.row.frame))) } }
}

fn opened(report: &Report, ladder: &Ladder<'_>, rung: &Rung<'_>, plan: &mut Plan, notes: &mut Notes) -> Markup {
    notes.inside = true;
    let opened = html! {
        details {
            summary {
                @if rung.stages.len() > 1 { (words::count(rung.stages.len(), "stage", "stages")) ", " }
                (words::count(rung.shots.len(), "shot", "shots")) ", the account" span.vh { " of " (rung.name()) }
            }
            div.op {
                (stages::table(rung))
                @for (stage, before) in rung.stages.iter().zip([rung.before].into_iter().chain(rung.stages.iter().copied().map(Some))) {
                    (account::table(report, stage, before, notes))
                }
                (lights::markup(report, ladder, rung, plan, notes))
                (shots::list(report, rung, plan, notes))
            }
        }
    };
    notes.inside = false;
    opened
}
