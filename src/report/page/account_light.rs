//! The light in the account between two shots: settings, then light by light, then what is left beyond both.
//!
//! The report gives each light's share of both pictures; here they are entered one after the other, in the fixed order, as a
//! running sum in linear light, which is what lets the entries add up. Where a share is not told there is no such account.

use crate::report::{Report, StageAccount, StageRow, words};

/// An entry smaller than this many stops reads as 0.0: it is named as unchanged, and the sum carries it on.
const SMALLEST: f64 = 0.05;
/// A part of less than this share of a picture is no light.
const NOTHING: f64 = 1e-6;

/// One line of the account.
#[derive(Clone, Debug, PartialEq)]
pub struct Entry {
    /// "Aperture f/2 to f/2.8", "rim on", "ambient".
    pub name: String,
    /// Where the sum stood, in stops against mid-grey.
    pub from: f64,
    /// Where it stands.
    pub to: f64,
}

/// The account of one stage's first shot against the shot before.
#[derive(Clone, Debug, PartialEq)]
pub struct Told {
    /// Settings, in the report's order.
    pub settings: Vec<Entry>,
    /// Lights that did something, in their fixed order, the ambient last.
    pub lights: Vec<Entry>,
    /// Lights whose part stayed, by name.
    pub kept: Vec<String>,
    /// Where settings and lights together end.
    pub ends: f64,
    /// What is left: the picture less both, and its ends when every light stands at one end of its 90 % interval.
    pub beyond: (f64, f64, f64),
    /// The two shots, by file name.
    pub frames: (String, String),
}

/// What made one picture, as shares of 1.
struct Parts {
    lights: Vec<Part>,
    ambient: f64,
}

/// One light's part.
struct Part {
    name: String,
    share: f64,
    /// Share at the ends of its interval.
    ends: (f64, f64),
    missed: bool,
}

impl Parts {
    fn sum(&self, of: impl Fn(&Part) -> f64) -> f64 {
        self.lights.iter().map(of).sum::<f64>()
    }

    /// What no light and no ambient accounts for.
    fn rest(&self) -> f64 {
        1.0 - self.sum(|part| part.share) - self.ambient
    }
}

/// The account, or why there is none in words; None where the lights are not told apart at all.
#[must_use]
pub fn told(report: &Report, stage: &StageRow, before: &StageRow) -> Option<Result<Told, String>> {
    stage.detail.light_account.as_ref()?;
    let account = stage.detail.account.as_ref()?;
    if stage.lens != before.lens || stage.focal_length_mm != before.focal_length_mm {
        return Some(Err("another lens or focal length shows another part of the scene".to_owned()));
    }
    let (Some(level), Some(stands)) = (account.brought_forward_stops, account.stands_at_stops) else {
        return Some(Err("one of the two shots has no measured light".to_owned()));
    };
    let last = stage.detail.first_index.checked_sub(1)?;
    let parts = parts(report, last, before).and_then(|was| Ok((was, parts(report, stage.detail.first_index, stage)?)));
    Some(parts.and_then(|(was, is)| {
        let name = |index: usize| report.frames.get(index).map_or("", |row| words::file_name(&row.frame)).to_owned();
        let frames = (name(last), name(stage.detail.first_index));
        entered(account, level, stands, &was, &is, frames).ok_or_else(|| "a setting is not known".to_owned())
    }))
}

fn parts(report: &Report, frame: usize, stage: &StageRow) -> Result<Parts, String> {
    let row = report.frames.get(frame).ok_or("a shot is not there")?;
    let mut lights = Vec::new();
    for own in report.light_ledger.iter().filter(|own| own.frame_index == frame) {
        let share = match (own.on.as_str(), own.share_of_frame_percent) {
            ("no", _) => 0.0,
            ("yes", Some(percent)) => percent / 100.0,
            _ if own.reason.is_empty() => {
                return Err(format!("the share of {} in {} is not known", own.light, words::file_name(&own.frame)));
            }
            _ => return Err(format!("{} in {}: {}", own.light, words::file_name(&own.frame), own.reason)),
        };
        let reach = |end: Option<f64>| end.zip(own.light_stops).map_or(1.0, |(end, stops)| libm::exp2(end - stops));
        let ends = (share * reach(own.light_stops_low), share * reach(own.light_stops_high));
        lights.push(Part { name: own.light.clone(), share, ends, missed: own.misfire == "yes" });
    }
    if lights.is_empty() {
        return Err("no light is told in one of the two shots".to_owned());
    }
    let mut parts = Parts { lights, ambient: 0.0 };
    let most = row
        .ambient_share_percent
        .ok_or_else(|| format!("the ambient’s share in {} is not known", words::file_name(&row.frame)))?
        / 100.0;
    let at_most = stage.detail.light_account.as_ref().is_some_and(|account| account.ambient.at_most);
    // An upper end says no more than that the rest, up to it, may be ambient.
    parts.ambient = if at_most { parts.rest().clamp(0.0, most) } else { most };
    Ok(parts)
}

fn entered(
    account: &StageAccount,
    level: f64,
    stands: f64,
    was: &Parts,
    is: &Parts,
    frames: (String, String),
) -> Option<Told> {
    // Linear light, the shot before being 1.
    let stops = |sum: f64| Some(level + libm::log2(sum)).filter(|stops| stops.is_finite());
    let (mut flash, mut ambient) = (0.0, 0.0);
    let mut at = level;
    let mut settings = Vec::new();
    for line in &account.lines {
        flash += line.flash_stops?;
        ambient += line.ambient_stops?;
        let to = stops((1.0 - was.ambient) * libm::exp2(flash) + was.ambient * libm::exp2(ambient))?;
        let name = format!("{} {} to {}", words::capital(&line.setting), line.from, line.to);
        settings.push(Entry { name, from: at, to });
        at = to;
    }
    let gain = libm::exp2(stands - level);
    let mut sum = (1.0 - was.ambient) * libm::exp2(flash) + was.ambient * libm::exp2(ambient);
    let (mut lights, mut kept, mut moved) = (Vec::new(), Vec::new(), Vec::new());
    for (before, after) in was.lights.iter().zip(&is.lights) {
        sum += after.share * gain - before.share * libm::exp2(flash);
        let to = stops(sum)?;
        moved.push((to - at).abs() >= SMALLEST);
        match (to - at).abs() >= SMALLEST {
            true => lights.push(Entry { name: did(before, after, to > at), from: at, to }),
            false if after.share > NOTHING => kept.push(after.name.clone()),
            false => {}
        }
        at = to;
    }
    sum += is.ambient * gain - was.ambient * libm::exp2(ambient);
    let to = stops(sum)?;
    match (to - at).abs() >= SMALLEST {
        true => lights.push(Entry { name: "ambient".to_owned(), from: at, to }),
        false if is.ambient > NOTHING => kept.push("ambient".to_owned()),
        false => {}
    }
    // The lights that changed may stand anywhere in their interval; what of the rest was flash or ambient is open too.
    let off = |end: fn(&Part) -> f64| {
        let changed = is.lights.iter().zip(&moved).filter(|(_, moved)| **moved);
        changed.map(|(part, _)| end(part) - part.share).sum::<f64>() * gain
    };
    let rest = was.rest() * (libm::exp2(ambient) - libm::exp2(flash));
    let (low, high) = (stops(sum + off(|p| p.ends.0) + rest.min(0.0)), stops(sum + off(|p| p.ends.1) + rest.max(0.0)));
    let beyond = (stands - to, high.map_or(f64::NAN, |h| stands - h), low.map_or(f64::NAN, |l| stands - l));
    Some(Told { settings, lights, kept, ends: to, beyond, frames })
}

/// "rim on", "rim off", "rim missed", "key stronger".
fn did(before: &Part, after: &Part, more: bool) -> String {
    let what = match (before.share > NOTHING, after.share > NOTHING) {
        (_, false) if after.missed => "did not burn",
        (true, false) => "off",
        (false, true) if before.missed => "burned again",
        (false, true) => "on",
        _ if more => "stronger",
        _ => "weaker",
    };
    format!("{} {what}", after.name)
}
