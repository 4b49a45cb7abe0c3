//! The account in stops between two stages, kept like a ledger: brought forward, each setting, the rest, stands at.
//!
//! Two columns run side by side because a shutter acts on ambient alone: what the settings did if the light were all flash
//! (solid bars), and if it were all ambient (open bars). Where both agree there is one bar.

use maud::{Markup, html};

use super::account_light::{self, Entry, Told};
use super::notes::Notes;
use super::scale;
use crate::report::{AccountLine, Report, StageAccount, StageRow, words};

/// Where the two running sums stand, in stops; None once a setting is not known.
type Running = Option<(f64, f64)>;

/// The account, or the sentence why there is none.
pub fn table(report: &Report, stage: &StageRow, before: Option<&StageRow>, notes: &mut Notes) -> Markup {
    let (Some(account), Some(before)) = (&stage.detail.account, before) else {
        return html! { p.soft { "The account in stops begins with the next stage: nothing stands before this one." } };
    };
    let by_light = account_light::told(report, stage, before);
    if let Some(Ok(told)) = &by_light {
        return told_table(account, told, (before.stage, stage.stage), notes);
    }
    let why = by_light.and_then(Result::err);
    let mut running = account.brought_forward_stops.map(|stops| (stops, stops));
    html! {
        table.ac {
            caption { "The account in stops" span { "from stage " (before.stage) " to stage " (stage.stage) "; the picture as shot, against mid-grey" @if two_paths(account) { "; solid bars if flash, open bars if ambient" } } }
            thead { tr {
                th scope="col" { "entry" } th.r scope="col" { "on flash" } th.r scope="col" { "on ambient" } th.r scope="col" { "stands at" }
                td.axc { (scale::axis(false)) }
            } }
            tbody {
                (total("Brought forward, stage ", before.stage, account.brought_forward_stops,
                    format!("Mean luminance of the last measured shot of stage {}, as log2(Y / 0.18).", before.stage), notes))
                @for line in &account.lines { (entry(line, &mut running)) }
                @if account.lines.is_empty() {
                    tr { th scope="row" { "Settings unchanged" } td.r { "0.0" } td.r { "0.0" } td.r {} td.abc {} }
                }
                (rest(account, running, notes))
                (total("Stands at, stage ", stage.stage, account.stands_at_stops,
                    format!("Mean luminance of the first measured shot of stage {}, as log2(Y / 0.18).", stage.stage), notes))
            }
        }
        @if let Some(why) = why {
            p.soft.why { span.hat {} "Which light did what between these two shots is not told: " bdi { (words::visible(why.trim_end_matches('.'))) } "." }
        }
    }
}

/// The account with every light entered: settings, light, beyond both.
fn told_table(account: &StageAccount, told: &Told, (from, to): (u32, u32), notes: &mut Notes) -> Markup {
    let rule = format!(
        "From {} to {}. Each light is entered with its share of either picture, one after the other in the fixed order, the ambient \
         last; sums are in linear light, so an entry in stops depends on what stands before it. The shutter acts on the ambient’s \
         share alone.",
        told.frames.0, told.frames.1
    );
    html! {
        table.ac.told {
            caption { "The account in stops" span { "from stage " (from) " to stage " (to) "; the picture as shot, against mid-grey" } }
            thead { tr {
                th scope="col" { "entry" } th.r scope="col" { "less" } th.r scope="col" { "more" } th.r scope="col" { "stands at" }
                td.axc { (scale::axis(false)) }
            } }
            tbody {
                (total("Brought forward, stage ", from, account.brought_forward_stops, format!("Mean luminance of {}, as log2(Y / 0.18).", told.frames.0), notes))
                @for each in &told.settings { (step("Settings: ", each, None, notes)) }
                @if told.settings.is_empty() { tr { th scope="row" { "Settings unchanged" } td.r {} td.r {} td.r {} td.abc {} } }
                @for each in &told.lights { (step("Light: ", each, Some(rule.as_str()), notes)) }
                @if told.lights.is_empty() { tr { th scope="row" { "Lights unchanged" } td.r {} td.r {} td.r {} td.abc {} } }
                (beyond_both(account, told, notes))
                (total("Stands at, stage ", to, account.stands_at_stops, format!("Mean luminance of {}, as log2(Y / 0.18).", told.frames.1), notes))
            }
        }
    }
}

fn step(what: &str, entry: &Entry, rule: Option<&str>, notes: &mut Notes) -> Markup {
    let by = entry.to - entry.from;
    let size = words::stops(by.abs()).trim_start_matches('+').to_owned();
    let size = match rule {
        Some(rule) => notes.cite(size, rule),
        None => html! { (size) },
    };
    html! {
        tr {
            th scope="row" { (what) bdi { (words::visible(&entry.name)) } }
            td.r { @if by < 0.0 { (size) } } td.r { @if by >= 0.0 { (size) } }
            td.r { (words::stops(entry.to)) }
            td.abc { (bars(Some((entry.from, entry.from)), Some((entry.to, entry.to)))) }
        }
    }
}

fn beyond_both(account: &StageAccount, told: &Told, notes: &mut Notes) -> Markup {
    let (by, low, high) = told.beyond;
    let note = format!(
        "What the picture of {} has beyond the settings and the lights that are told: its level less the sum of all entries above. \
         The ends hold if every light that changed stands at one end of its 90 % interval.",
        told.frames.1
    );
    let open = (low.is_finite() && high.is_finite()).then(|| words::stops_between(low, high));
    html! {
        tr {
            th scope="row" { "Beyond both" small { @if let Some(open) = &open { (open) } @if by.abs() >= 0.05 { "; cause not recorded" }
                @if !told.kept.is_empty() { ". Unchanged: " bdi { (words::visible(&words::and_list(&told.kept))) } } } }
            td.r { @if by < 0.0 { (notes.cite(words::stops(by.abs()).trim_start_matches('+'), note.as_str())) } }
            td.r { @if by >= 0.0 { (notes.cite(words::stops(by).trim_start_matches('+'), note.as_str())) } }
            td.r {}
            td.abc {
                svg.ab width="100%" height="100%" aria-hidden="true" {
                    @if let Some((a, b)) = account.stands_at_stops.filter(|_| open.is_some()).map(|stops| (stops - high, stops - low)) {
                        rect.hat x=(scale::x(a)) width=(scale::length(scale::percent(b) - scale::percent(a))) y="8" height="18" {}
                    }
                }
                (bars(Some((told.ends, told.ends)), account.stands_at_stops.map(|stops| (stops, stops))))
            }
        }
    }
}

/// Whether any entry did different things to flash and to ambient.
fn two_paths(account: &StageAccount) -> bool {
    account.lines.iter().any(|line| line.flash_stops != line.ambient_stops)
}

fn figure(value: Option<f64>) -> String {
    value.map_or_else(|| words::NOT_KNOWN.to_owned(), words::stops)
}

fn total(name: &str, number: u32, stops: Option<f64>, note: String, notes: &mut Notes) -> Markup {
    html! {
        tr.tot {
            th scope="row" { (name) (number) }
            td.r {} td.r {}
            td.r { @if let Some(stops) = stops { (notes.cite(words::stops(stops), note)) } @else { "not known" } }
            td.abc { @if let Some(stops) = stops.filter(|stops| stops.is_finite()) {
                svg.ab width="100%" height="100%" aria-hidden="true" {
                    line.tick x1=(scale::x(stops)) x2=(scale::x(stops)) y1="5" y2="29" {}
                    @match scale::beyond(stops) {
                        Some(scale::Side::Left) => use href="#e-left" x="0" y="17" {},
                        Some(scale::Side::Right) => use href="#e-right" x="100%" y="17" {},
                        None => {},
                    }
                }
            } }
        }
    }
}

fn entry(line: &AccountLine, running: &mut Running) -> Markup {
    let start = *running;
    *running = start.zip(line.flash_stops.zip(line.ambient_stops)).map(|((f, a), (df, da))| (f + df, a + da));
    html! {
        tr {
            th scope="row" { (words::capital(&line.setting)) " " bdi { (words::visible(&line.from)) } " to " bdi { (words::visible(&line.to)) } }
            td.r { (figure(line.flash_stops)) } td.r { (figure(line.ambient_stops)) } td.r {}
            td.abc { (bars(start, *running)) }
        }
    }
}

fn rest(account: &StageAccount, running: Running, notes: &mut Notes) -> Markup {
    let end = account.stands_at_stops.map(|stops| (stops, stops));
    let note = format!(
        "The picture changed by {}, the settings by {} on flash and {} on ambient. Beyond the settings: the difference.",
        figure(account.picture_stops),
        figure(account.settings_flash_stops),
        figure(account.settings_ambient_stops),
    );
    html! {
        tr {
            th scope="row" { "Beyond the settings"
                @match (account.light_stops, account.light_stops_low.zip(account.light_stops_high)) {
                    (Some(_), _) => small { "what the lights or the scene did" },
                    (None, Some(_)) => small { bdi { (open_reason(&account.why_unknown)) } },
                    (None, None) => small { bdi { (words::capital(&words::visible(&account.why_unknown))) } },
                } }
            td.r colspan="2" {
                @match (account.light_stops, account.light_stops_low.zip(account.light_stops_high)) {
                    (Some(stops), _) => (notes.cite(words::stops(stops), note)),
                    (None, Some((low, high))) => (notes.cite(words::stops_between(low, high).replace("\u{a0}stops", "").replace("\u{a0}stop", ""), note)),
                    (None, None) => "not known",
                }
            }
            td.r {}
            td.abc { (bars(running, end)) }
        }
    }
}

fn open_reason(why: &str) -> String {
    if why.is_empty() {
        "Open: it depends on how much of the picture is ambient".to_owned()
    } else {
        words::capital(&words::visible(why))
    }
}

fn bars(from: Running, to: Running) -> Markup {
    html! {
        svg.ab width="100%" height="100%" aria-hidden="true" {
            @if let (Some((f, a)), Some((g, b))) = (from, to) {
                @let together = (f - a).abs() < 0.005 && (g - b).abs() < 0.005;
                @if together {
                    (bar(f, g, 11, 12, "solid"))
                } @else {
                    (bar(f, g, 8, 8, "solid")) (bar(a, b, 18, 8, "open"))
                }
            } @else { rect.hat x="0" y="8" width="100%" height="18" {} }
        }
    }
}

fn bar(from: f64, to: f64, y: u8, height: u8, class: &str) -> Markup {
    let (low, high) = (scale::percent(from.min(to)), scale::percent(from.max(to)));
    html! {
        rect class=(class) x=(scale::length(low)) width=(scale::length(high - low)) y=(y) height=(height) {}
        line.step x1=(scale::x(to)) x2=(scale::x(to)) y1=(y) y2="100%" {}
        line.step x1=(scale::x(from)) x2=(scale::x(from)) y1="0" y2=(y + height) {}
    }
}
