//! What other apertures cost in one lighting: in power and who runs out, in ISO, in a filter, and in ambient.

use crate::exposure::marks::{aperture_mark, iso_mark, shutter_mark};
use crate::exposure::words::{aperture, iso, power, shutter, stops_unit, unit};
use crate::next_time::aperture::{Dials, Price, density, price, whole_stops};
use crate::next_time::headroom::after;
use crate::next_time::power::{Fit, fit};
use crate::report::next_types::{AperturePrice, NewPower};

use super::ambient::ratio;
use super::base::{Base, Lit};

/// So far the other apertures lie at most from the one used, in stops.
const WITHIN: f64 = 2.0;
/// Less than this is nothing.
const SMALLEST: f64 = 0.05;

/// A row per whole stop of aperture around the one used; none where a setting is not known.
pub fn apertures(base: &Base, sync_time_s: f64) -> Vec<AperturePrice> {
    let (Some(dials), Some(used)) = (base.dials(), base.settings.aperture) else { return Vec::new() };
    let sync_tv = crate::exposure::marks::shutter_stops(sync_time_s, crate::exposure::marks::Step::Third);
    let rows = whole_stops(dials.av, WITHIN).into_iter().filter_map(|to| {
        let mark = aperture_mark(to)?;
        Some(one(base, dials, price(dials, to, sync_tv), aperture(used.marked), aperture(mark), sync_tv))
    });
    rows.collect()
}

fn one(base: &Base, dials: Dials, price: Price, from: String, to: String, sync_tv: f64) -> AperturePrice {
    let powers: Vec<NewPower> = base.lights.iter().map(|lit| new_power(lit, price.power)).collect();
    let known = ratio(base.row);
    let over = known.and_then(|r| r.stops).map(|over| after(over, 0.0, price.ambient_left));
    let shutter_at = ((price.shutter_tv - dials.tv).abs() > SMALLEST).then(|| shutter_mark(price.shutter_tv)).flatten();
    let iso_at = iso_mark(price.iso_sv).map(iso);
    AperturePrice {
        lighting: base.row.lighting,
        from,
        to,
        light_stops: price.light,
        power_words: power_words(&powers, price.power),
        powers,
        ambient_words: ambient_words(base, dials, price, shutter_at, sync_tv),
        shutter: shutter_at.map(shutter).unwrap_or_default(),
        ambient_gain_stops: price.ambient_left,
        key_over_ambient_stops: over,
        key_over_ambient_at_least: over.is_some() && base.row.detail.light_account.ambient.at_most,
        iso_words: iso_words(base, dials, price, iso_at.as_deref()),
        iso: iso_at.unwrap_or_default(),
        filter_stops: price.filter,
        filter_words: price.filter.map(filter_words).unwrap_or_default(),
    }
}

fn new_power(lit: &Lit, by: f64) -> NewPower {
    let light = lit.state.light.clone();
    let Some((at, low)) = lit.power.zip(lit.low) else {
        return NewPower { light, remark: "no power is noted".to_owned(), ..NewPower::default() };
    };
    let wanted = at + by;
    let (missing, remark) = remark(fit(wanted, low));
    NewPower { light, power: power(wanted), missing_stops: missing, remark }
}

/// The stops that are missing, and what is to be said.
pub fn remark(fit: Fit) -> (f64, String) {
    match fit {
        Fit::Yes => (0.0, String::new()),
        Fit::Above(stops) => (stops, format!("{stops:.1} {} beyond 1/1", unit(stops))),
        Fit::Below(stops) => (stops, format!("{stops:.1} {} below its lowest step", unit(stops))),
        Fit::Untried => (0.0, "lower than it was used".to_owned()),
        Fit::Seldom => (0.0, "not every flash goes so low".to_owned()),
        Fit::Hardly => (0.0, "hardly a flash goes so low".to_owned()),
    }
}

/// "key to 1/4, rim to 1/1; dust-left runs out, 1.0 stop beyond 1/1".
fn power_words(powers: &[NewPower], by: f64) -> String {
    let mut goes = Vec::new();
    let mut apart = Vec::new();
    for one in powers {
        match (one.power.is_empty(), one.missing_stops > 0.0, one.remark.is_empty()) {
            (true, ..) => apart.push(format!("{} by {}, from a power that is not noted", one.light, stops_unit(by))),
            (_, true, _) => apart.push(format!("{} runs out, {}", one.light, one.remark)),
            (.., true) => goes.push(format!("{} to {}", one.light, one.power)),
            _ => goes.push(format!("{} to {} ({})", one.light, one.power, one.remark)),
        }
    }
    let all: Vec<String> = (!goes.is_empty()).then(|| goes.join(", ")).into_iter().chain(apart).collect();
    all.join("; ")
}

fn ambient_words(base: &Base, dials: Dials, price: Price, shutter_at: Option<f64>, sync_tv: f64) -> String {
    let size = price.light.abs();
    let stops = format!("{size:.1} {}", unit(size));
    let moved = match (base.settings.shutter, shutter_at) {
        (Some(from), Some(to)) => format!("the shutter goes from {} to {}", shutter(from.marked), shutter(to)),
        _ => "the shutter follows".to_owned(),
    };
    if price.light < 0.0 {
        return format!("the ambient falls {stops} against the lights, unless {moved}");
    }
    let taken = price.light - price.ambient_left;
    if price.ambient_left < SMALLEST {
        return format!("the ambient gains {stops} on the lights, unless {moved}");
    }
    let back = match () {
        () if taken > SMALLEST => format!("{taken:.1} {} of it can be taken back up to sync speed", unit(taken)),
        () if dials.tv > sync_tv + SMALLEST => "the shutter is past sync speed already".to_owned(),
        () => "the shutter is at sync speed already".to_owned(),
    };
    let left = ratio(base.row).and_then(|r| Some((r, after(r.stops?, 0.0, price.ambient_left))));
    // Under a picture too dark to tell, "at least" is said of what is over, and nothing of what may be under.
    let at_most = base.row.detail.light_account.ambient.at_most;
    let leaves = left.filter(|(_, over)| *over >= 0.0 || !at_most).map(|(r, over)| {
        let least = if at_most { "at least " } else { "" };
        let side = if over >= 0.0 { "over" } else { "under" };
        let (key, size) = (if r.of.is_empty() { "the key" } else { r.of.as_str() }, over.abs());
        format!("; that leaves {key} {least}{size:.1} {} {side} the ambient", unit(size))
    });
    format!("the ambient gains {stops} on the lights; {back}{}", leaves.unwrap_or_default())
}

fn iso_words(base: &Base, dials: Dials, price: Price, to: Option<&str>) -> String {
    let by = price.iso_sv - dials.sv;
    let from = base.settings.iso.map(|m| iso(m.marked)).unwrap_or_default();
    let Some(to) = to else {
        let way = if by > 0.0 { "above" } else { "below" };
        return format!("{:.1} {} {way} {from}: no usual dial has a mark there", by.abs(), unit(by));
    };
    let lower = base.lowest_iso.is_some_and(|lowest| price.iso_sv < lowest - SMALLEST);
    let hedge = if lower { ", lower than any used here" } else { "" };
    let noise = if by > 0.0 { ", with more noise" } else { "" };
    let to = to.trim_start_matches("ISO ");
    format!("{} to {to}{hedge}: lights and ambient stand as before{noise}", from)
}

fn filter_words(stops: f64) -> String {
    let density = density(stops);
    format!("a neutral filter of {stops:.1} {} (density {density:.1}): lights and ambient stand as before", unit(stops))
}
