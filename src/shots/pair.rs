//! Joins the files of one press of the shutter: raw and JPEG, or the copies of two card slots.

use std::cmp::Reverse;
use std::collections::BTreeMap;

use super::camera::{Key, folder};
use super::{ReadFile, Shot};
use crate::metadata::{Lens, Metadata, Taken};
use crate::problem::{Code, Flaw, Problem};
use crate::walk::{Kind, natural};

/// Makes one shot of every press. Files are companions when they share the name without its ending and
/// - lie in one folder, one of them a raw, and nothing they say of time or settings differs; or
/// - name the same camera, the same time to the precision both have, and the same settings.
pub fn pair(files: Vec<ReadFile>) -> Vec<Shot> {
    let mut by_stem: BTreeMap<String, Vec<Vec<ReadFile>>> = BTreeMap::new();
    for mut file in files {
        let presses = by_stem.entry(stem(&file.file.name).to_lowercase()).or_default();
        match presses.iter_mut().find(|press| press.iter().any(|other| same_press(other, &file))) {
            Some(press) => press.push(file),
            None => {
                if let Some(rival) = presses.iter().flatten().find(|other| beside_raw(other, &file)) {
                    file.flaws.push(Flaw::with(Code::CompanionDiffers, format!("the other is {}", rival.file.name)));
                }
                presses.push(vec![file]);
            }
        }
    }
    by_stem.into_values().flatten().filter_map(shot_of).collect()
}

/// The file name without folder and ending.
pub(super) fn stem(name: &str) -> &str {
    let file = name.rsplit_once('/').map_or(name, |(_, file)| file);
    file.rsplit_once('.').map_or(file, |(stem, _)| stem)
}

fn beside_raw(a: &ReadFile, b: &ReadFile) -> bool {
    let one_raw = (a.file.kind == Kind::Raw) != (b.file.kind == Kind::Raw);
    one_raw && folder(&a.file.name) == folder(&b.file.name)
}

fn same_press(a: &ReadFile, b: &ReadFile) -> bool {
    let (one, two) = (&a.metadata, &b.metadata);
    let same_time = match (&one.taken, &two.taken) {
        (Some(s), Some(t)) => Some(same_moment(s, t)),
        _ => None,
    };
    let contradicts = same_time == Some(false)
        || differ(one.f_number.map(|m| m.value()), two.f_number.map(|m| m.value()))
        || differ(one.exposure_time_s.map(|m| m.value()), two.exposure_time_s.map(|m| m.value()))
        || differ(one.iso.map(f64::from), two.iso.map(f64::from))
        || differ(Key::of(one), Key::of(two));
    !contradicts && (beside_raw(a, b) || (same_time == Some(true) && Key::of(one).is_some() && Key::of(two).is_some()))
}

/// Both known and not the same. Raw and JPEG write the same fractions, so equality is exact.
fn differ<T: PartialEq>(a: Option<T>, b: Option<T>) -> bool {
    matches!((a, b), (Some(a), Some(b)) if a != b)
}

/// Equal to the precision that both have.
pub(crate) fn same_moment(a: &Taken, b: &Taken) -> bool {
    let digits = u32::from(a.fraction_digits.min(b.fraction_digits).min(9));
    let unit = 10_i32.pow(9 - digits);
    let whole = |t: &Taken| {
        (t.local.date(), t.local.hour(), t.local.minute(), t.local.second(), t.local.subsec_nanosecond() / unit)
    };
    whole(a) == whole(b)
}

/// The shot of one press: the frame is the file with the best figures, the rest are companions.
fn shot_of(mut press: Vec<ReadFile>) -> Option<Shot> {
    // Measured before not, the camera's own picture before a raw's embedded one, larger before smaller.
    press.sort_by(|a, b| {
        let worth =
            |f: &ReadFile| (f.measurement.is_none(), f.file.kind, Reverse(f.measurement.as_ref().map(|m| m.pixels())));
        worth(a).cmp(&worth(b)).then_with(|| natural(&a.file.name, &b.file.name))
    });
    let mut rest = press.into_iter();
    let first = rest.next()?;
    let mut shot = Shot {
        frame: first.file.name.clone(),
        companions: Vec::new(),
        problems: problems(&first.file.name, first.flaws, &first.metadata),
        taken: None,
        seconds_since_previous: None,
        metadata: first.metadata,
        measurement: first.measurement,
    };
    for companion in rest {
        // Whose pixels stand for the shot is a remark on the frame alone.
        let flaws = companion
            .flaws
            .into_iter()
            .filter(|f| !matches!(f.code, Code::EmbeddedPicture | Code::NoPicture))
            .collect();
        shot.problems.extend(problems(&companion.file.name, flaws, &companion.metadata));
        fill(&mut shot.metadata, companion.metadata);
        shot.companions.push(companion.file.name);
    }
    shot.taken = shot.metadata.taken.clone();
    Some(shot)
}

fn problems(name: &str, flaws: Vec<Flaw>, metadata: &Metadata) -> Vec<Problem> {
    metadata.flaws.iter().cloned().chain(flaws).map(|flaw| flaw.of(name)).collect()
}

/// Fills what the frame's file leaves out from its companion.
fn fill(to: &mut Metadata, from: Metadata) {
    to.make = to.make.take().or(from.make);
    to.model = to.model.take().or(from.model);
    to.body_serial = to.body_serial.take().or(from.body_serial);
    to.taken = to.taken.take().or(from.taken);
    to.focal_length_mm = to.focal_length_mm.or(from.focal_length_mm);
    to.f_number = to.f_number.or(from.f_number);
    to.exposure_time_s = to.exposure_time_s.or(from.exposure_time_s);
    to.iso = to.iso.or(from.iso);
    to.exposure_compensation_stops = to.exposure_compensation_stops.or(from.exposure_compensation_stops);
    to.white_balance = to.white_balance.or(from.white_balance);
    to.exposure_mode = to.exposure_mode.or(from.exposure_mode);
    to.ratings.extend(from.ratings);
    if to.lens == Lens::Unknown {
        to.lens = from.lens;
    }
}
