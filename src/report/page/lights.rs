//! The lights of an opened rung: as set and as seen, each by itself in a picture, and what goes without it.

use maud::{Markup, html};

use super::ladder::{Ladder, Rung};
use super::lane::{Kind, symbol};
use super::notes::{Notes, Trace};
use super::pictures::Plan;
use crate::report::light_types::{LightAccount, LightDetail, LightState, LitPicture};
use crate::report::{LightingRow, Report, StageRow, words};

/// Table and pictures; nothing while the lights are not told apart.
pub fn markup(report: &Report, ladder: &Ladder<'_>, rung: &Rung<'_>, plan: &mut Plan, notes: &mut Notes) -> Markup {
    let Some(account) = &rung.base.detail.light_account else { return html! {} };
    let others: Vec<&StageRow> = rung.stages.iter().filter(|stage| stage.stage != rung.base.stage).copied().collect();
    html! {
        (table(ladder, rung.base, account, notes))
        @if !others.is_empty() {
            details.also {
                summary { "The lights in " (stages(&others)) }
                @for stage in &others { @if let Some(account) = &stage.detail.light_account { (table(ladder, stage, account, notes)) } }
            }
        }
        (each_alone(report, ladder, rung, account, plan))
        @if let Some(lighting) = &rung.lighting {
            @if lighting.again {
                p.soft { "Lighting " (lighting.row.lighting) " without one of its lights: see "
                    a.go href={ "#lighting-" (lighting.row.lighting) } { "where it is met first" } "." }
            } @else { (all_but_one(report, lighting.row, plan)) }
        }
    }
}

/// "stage 17", "stages 17 and 18".
fn stages(rows: &[&StageRow]) -> String {
    let numbers: Vec<String> = rows.iter().map(|row| row.stage.to_string()).collect();
    format!("{} {}", if rows.len() == 1 { "stage" } else { "stages" }, words::and_list(&numbers))
}

/// The shape of a light, drawn in a line of text.
#[must_use]
pub fn glyph(kind: Kind) -> Markup {
    html! { svg.mk width="16" height="16" viewBox="-8 -8 16 16" aria-hidden="true" { use href={ "#" (symbol(kind)) } {} } }
}

fn table(ladder: &Ladder<'_>, stage: &StageRow, account: &LightAccount, notes: &mut Notes) -> Markup {
    let subject = account.each_light.iter().any(|state| state.share_of_subject_percent.is_some());
    let told: Vec<_> = account.ratios.iter().collect();
    html! {
        div.tw tabindex="0" role="region" aria-label={ "Lights of stage " (stage.stage) } {
            table.st.li {
                caption { "The lights in stage " (stage.stage) span { "strength against each light’s own reference frame, settings taken out; shares of the picture as shot" } }
                thead { tr {
                    th scope="col" { "light" } th scope="col" { "as set" } th scope="col" { "strength, stops" }
                    th.r scope="col" { "of the picture" } @if subject { th.r scope="col" { "of the subject" } }
                    th.wd scope="col" { "remarks" }
                } }
                tbody {
                    @for (place, state) in account.each_light.iter().enumerate() {
                        tr {
                            th scope="row" data-th="light" { span { (glyph(Kind::Light(place))) " " bdi { (words::visible(&state.light)) } } }
                            td data-th="as set" { bdi { (set(state)) } }
                            td data-th="strength" { (strength(stage, state, ladder.lights.get(place).copied(), notes)) }
                            td.r data-th="of picture" { (share(stage, state, notes)) }
                            @if subject { td.r data-th="of subject" { (state.share_of_subject_percent.map_or_else(String::new, words::percent)) } }
                            td.wd data-th="remarks" { @let said = remarks(state); @if !said.is_empty() { bdi { (said) } } }
                        }
                    }
                    (ambient_row(stage, account, subject, notes))
                }
            }
        }
        @if !told.is_empty() {
            p.rt { @for ratio in told {
                span { (words::capital(&words::visible(&ratio.name()))) ": " bdi { (words::visible(&words::true_minus(&ratio.words))) }
                    @if !ratio.why_unknown.is_empty() { em { "; " bdi { (words::visible(&ratio.why_unknown)) } } } ". " }
            } }
        }
    }
}

fn ambient_row(stage: &StageRow, account: &LightAccount, subject: bool, notes: &mut Notes) -> Markup {
    let ambient = &account.ambient;
    let note = Trace::by(
        format!("Stage {}, ambient.", stage.stage),
        "Strength of the ambient: of the shot whose ambient is nearest the stage’s median, against the ambient’s reference frame, \
         shutter, aperture and ISO taken out; 90 % interval.",
    );
    html! {
        tr {
            th scope="row" data-th="light" { span { (glyph(Kind::Ambient)) " ambient" } }
            td data-th="as set" {}
            td data-th="strength" { @match (ambient.stops, ambient.stops_low, ambient.stops_high) {
                (Some(stops), Some(low), Some(high)) => span { (notes.cite(words::stops(stops), note)) " (" (words::stops(low)) " to " (words::stops(high)) ")" },
                _ => span { "not known" },
            } }
            td.r data-th="of picture" { @match ambient.share_percent {
                Some(percent) => span { @if ambient.at_most { "at most " } (words::percent(percent)) },
                None => "not known",
            } }
            @if subject { td.r data-th="of subject" {} }
            td.wd data-th="remarks" { bdi { (words::visible(&words::true_minus(&ambient.words))) } }
        }
    }
}

/// "on, 1/8 −0.3, gel CTO".
fn set(state: &LightState) -> String {
    let on = match state.on.as_str() {
        "yes" => "on",
        "no" => return "off".to_owned(),
        _ => "on or off not told",
    };
    let gel = if state.gel.is_empty() { String::new() } else { format!("gel {}", state.gel) };
    let parts = [on, &state.noted_power, &gel, &state.modifier].into_iter().filter(|part| !part.is_empty());
    words::visible(&words::true_minus(&parts.collect::<Vec<_>>().join(", ")))
}

fn strength(stage: &StageRow, state: &LightState, light: Option<&LightDetail>, notes: &mut Notes) -> Markup {
    let reference = light.map_or("", |light| light.reference_frame.as_str());
    let against =
        if reference.is_empty() { "its reference frame".to_owned() } else { words::file_name(reference).to_owned() };
    let note = Trace::by(
        format!("Stage {}, {}: light against {against}.", stage.stage, state.light),
        "Strength: aperture and ISO taken out; median over the shots of the stage in which the light burned, with the 90 % interval.",
    );
    html! {
        @match (state.stops, state.stops_low, state.stops_high) {
            (Some(stops), Some(low), Some(high)) => span { (notes.cite(words::stops(stops), note)) " (" (words::stops(low)) " to " (words::stops(high)) ")" },
            (Some(stops), _, _) => span { (notes.cite(words::stops(stops), note)) },
            _ if state.on == "no" => "",
            _ => span { "not known" },
        }
    }
}

fn share(stage: &StageRow, state: &LightState, notes: &mut Notes) -> Markup {
    let note = Trace::by(
        format!("Stage {}, {}.", stage.stage, state.light),
        "Share of the picture’s light: median over the shots of the stage in which the light burned.",
    );
    html! {
        @match state.share_of_frame_percent {
            Some(percent) => (notes.cite(words::percent(percent), note)),
            None if state.on == "no" => "",
            None => "not known",
        }
    }
}

fn remarks(state: &LightState) -> String {
    let mut parts = Vec::new();
    match state.misfires {
        0 => {}
        1 => parts.push("did not burn in 1 shot".to_owned()),
        many => parts.push(format!("did not burn in {many} shots")),
    }
    if state.frames_unknown > 0 {
        parts.push(format!("not told in {}", words::count(state.frames_unknown, "shot", "shots")));
    }
    match state.agrees.as_str() {
        "as noted" if state.on != "no" => parts.push("picture as noted".to_owned()),
        "differs" => parts.push("picture differs from the note".to_owned()),
        _ => {}
    }
    if !state.power.is_empty() {
        parts.push(format!("power by the picture {}", state.power));
    }
    if !state.reason.is_empty() {
        parts.push(state.reason.clone());
    }
    words::capital(&words::visible(&words::true_minus(&parts.join("; "))))
}

fn each_alone(
    report: &Report,
    ladder: &Ladder<'_>,
    rung: &Rung<'_>,
    account: &LightAccount,
    plan: &mut Plan,
) -> Markup {
    let on = account.each_light.iter().enumerate().filter(|(_, state)| state.on != "no");
    let shown: Vec<_> = on.filter_map(|(place, state)| Some((place, state, *ladder.lights.get(place)?))).collect();
    let ambient = rung.lighting.and_then(|lighting| report.light_by_camera.get(lighting.row.detail.sequence));
    html! {
        @if shown.iter().any(|(_, _, light)| light.picture.is_some()) || ambient.is_some_and(|a| a.ambient_picture.is_some()) {
            div {
                h4 { "Each light by itself" }
                p.soft.sm { "Worked out in linear light, each as in its reference frame. What is hatched is not known." }
                ul.own {
                    @for (place, state, light) in shown {
                        li { figure {
                            (plan.lit(report, light.picture, &alt(report, light.picture), "never told apart, so it has no picture"))
                            figcaption { (glyph(Kind::Light(place))) " " b { bdi { (words::visible(&state.light)) } } (seen(light)) (shown_as(report, light.picture)) }
                        } }
                    }
                    @if let Some(camera) = ambient {
                        li { figure {
                            (plan.lit(report, camera.ambient_picture, &alt(report, camera.ambient_picture), "the ambient was never seen alone"))
                            figcaption { (glyph(Kind::Ambient)) " " b { "ambient" }
                                @if !camera.ambient_reference_frame.is_empty() { ", as in " bdi { (words::visible(words::file_name(&camera.ambient_reference_frame))) } }
                                (shown_as(report, camera.ambient_picture)) }
                        } }
                    }
                }
            }
        }
    }
}

fn seen(light: &LightDetail) -> Markup {
    html! {
        @if light.has_solo { ", solo" } @else { ", worked out" }
        @if !light.reference_frame.is_empty() { ", as in " bdi { (words::visible(words::file_name(&light.reference_frame))) } }
    }
}

/// "; shown 1.5 stops brighter; 12 % not known".
fn shown_as(report: &Report, index: Option<usize>) -> Markup {
    let lit = index.and_then(|index| report.light_pictures.get(index));
    html! { @if let Some(lit) = lit { (said(lit)) } }
}

fn said(lit: &LitPicture) -> Markup {
    html! {
        @if lit.brightened_stops < -0.05 { "; shown " (words::stops_unit(-lit.brightened_stops).trim_start_matches('+')) " darker" }
        @if lit.brightened_stops > 0.05 { "; shown " (words::stops_unit(lit.brightened_stops).trim_start_matches('+')) " brighter" }
        @if lit.hatched_percent > 0.0 { "; " (words::percent(lit.hatched_percent)) " hatched" }
        "."
    }
}

/// "; 12 % hatched.", for a picture whose brightness is said elsewhere.
fn hatched(report: &Report, index: Option<usize>) -> Markup {
    let percent = index.and_then(|index| report.light_pictures.get(index)).map(|lit| lit.hatched_percent);
    html! { @if let Some(percent) = percent.filter(|percent| *percent > 0.0) { "; " (words::percent(percent)) " hatched" } "." }
}

fn alt(report: &Report, index: Option<usize>) -> String {
    let Some(lit) = index.and_then(|index| report.light_pictures.get(index)) else { return String::new() };
    let hatched = if lit.hatched_percent > 0.0 {
        format!("; {} of it hatched, not known", words::percent(lit.hatched_percent))
    } else {
        String::new()
    };
    format!("{}{hatched}", words::capital(&words::visible(&lit.caption)))
}

fn all_but_one(report: &Report, row: &LightingRow, plan: &mut Plan) -> Markup {
    let detail = &row.detail;
    let several = detail.without.len() > 1 || (detail.without.len() == 1 && detail.whole_picture.is_some());
    html! {
        @if several {
            div {
                h4 { "Lighting " (row.lighting) " with all but one of its lights" }
                p.soft.sm { "Summed in linear light from the lights’ own pictures, all as bright as the first." }
                ul.own {
                    li { figure {
                        (plan.lit(report, detail.whole_picture, &alt(report, detail.whole_picture), "not every light has a picture of its own"))
                        figcaption { b { "all its lights" } (shown_as(report, detail.whole_picture)) }
                    } }
                    @for without in &detail.without {
                        li { figure {
                            (plan.lit(report, without.picture, &alt(report, without.picture), "not every other light has a picture of its own"))
                            figcaption { bdi { (words::capital(&words::visible(&words::true_minus(&without.words)))) } (hatched(report, without.picture)) }
                        } }
                    }
                }
            }
        }
    }
}
