//! Which camera and which lens: names and serial numbers as a person may read them.

use super::fields::{Fields, Found, Fraction};
use super::{Lens, tags};
use crate::problem::{Code, Flaw};

/// A name, cleaned; a blank one is as good as none and no flaw, since makers leave fields blank they do not use.
pub(super) fn name(fields: &Fields, tag: u16, flaws: &mut Vec<Flaw>) -> Option<String> {
    match fields.text(tag) {
        Found::Absent | Found::Blank => None,
        Found::Malformed(words) => {
            flaws.push(Flaw::with(Code::FieldInvalid, words));
            None
        }
        Found::Value(found) => {
            if found.replaced {
                flaws.push(Flaw::with(Code::FieldInvalid, format!("{} holds control characters", tags::name(tag))));
            }
            Some(found.text)
        }
    }
}

/// Serial number of the body: Exif 2.3's field, else DNG's. Zeros alone are a field that was never filled, and one
/// with control characters is not text at all: two bodies must not be told apart by such bytes.
pub(super) fn body_serial(fields: &Fields, flaws: &mut Vec<Flaw>) -> Option<String> {
    [tags::BODY_SERIAL_NUMBER, tags::CAMERA_SERIAL_NUMBER]
        .into_iter()
        .filter_map(|tag| name(fields, tag, flaws))
        .find(|serial| serial.chars().any(|letter| letter != '0') && !serial.contains(char::REPLACEMENT_CHARACTER))
}

/// The lens: by its name, else by its specification in Exif's field or DNG's. A name without a letter or digit
/// ("----") is what some cameras write for a lens they cannot talk to.
pub(super) fn lens(fields: &Fields, flaws: &mut Vec<Flaw>) -> Lens {
    if let Some(name) = name(fields, tags::LENS_MODEL, flaws).filter(|name| name.chars().any(char::is_alphanumeric)) {
        return Lens::Named(name);
    }
    for tag in [tags::LENS_SPECIFICATION, tags::LENS_INFO] {
        match fields.fractions(tag) {
            Found::Value(values) => {
                if let Some(words) = specification(&values) {
                    return Lens::Specified(words);
                }
            }
            Found::Malformed(words) => flaws.push(Flaw::with(Code::FieldInvalid, words)),
            Found::Absent | Found::Blank => {}
        }
    }
    Lens::Unknown
}

/// Writes shortest and longest focal length and the f-numbers at both, unknown ones 0/0 (Exif 2.3, wording in the
/// Exiv2 tag table): "24-70 mm f/2.8", "18-55 mm f/3.5-5.6", "50 mm".
fn specification(values: &[Fraction]) -> Option<String> {
    let &[shortest, longest, at_shortest, at_longest] = values else {
        return None;
    };
    let known = |fraction: Fraction| fraction.value().filter(|&value| value > 0.0 && value < 100_000.0).map(short);
    let range = |first: Option<String>, last: Option<String>| match (first, last) {
        (Some(first), Some(last)) if first != last => Some(format!("{first}-{last}")),
        (first, last) => first.or(last),
    };
    let focal = range(known(shortest), known(longest))?;
    Some(match range(known(at_shortest), known(at_longest)) {
        Some(aperture) => format!("{focal} mm f/{aperture}"),
        None => format!("{focal} mm"),
    })
}

/// A number as engraved: one decimal where it is needed.
fn short(value: f64) -> String {
    let tenths = format!("{value:.1}");
    tenths.strip_suffix(".0").map(str::to_owned).unwrap_or(tenths)
}

#[cfg(test)]
mod tests {
    use super::{Fraction, specification};

    #[test]
    fn specifications_read_as_engraved() {
        let of = |values: [(i64, i64); 4]| specification(&values.map(|(num, den)| Fraction { num, den }));
        // The layout and 0/0 for an unknown f-number: Exif 2.3 wording in the Exiv2 tag table.
        for (values, words) in [
            ([(24, 1), (70, 1), (28, 10), (28, 10)], Some("24-70 mm f/2.8")),
            ([(180, 10), (550, 10), (35, 10), (56, 10)], Some("18-55 mm f/3.5-5.6")),
            ([(50, 1), (50, 1), (14, 10), (14, 10)], Some("50 mm f/1.4")),
            ([(24, 1), (70, 1), (0, 0), (0, 0)], Some("24-70 mm")),
            ([(70, 1), (200, 1), (4, 1), (0, 0)], Some("70-200 mm f/4")),
            ([(0, 0), (0, 0), (0, 0), (0, 0)], None),
            ([(0, 1), (0, 1), (0, 1), (0, 1)], None),
        ] {
            assert_eq!(of(values).as_deref(), words, "{values:?}");
        }
        assert_eq!(specification(&[Fraction { num: 24, den: 1 }]), None);
    }
}
