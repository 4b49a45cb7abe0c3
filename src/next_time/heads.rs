//! What only the photographer can say of a flash head: its guide number, and the lowest step of its power.
//!
//! No number of any product is built in: what a maker prints holds for one zoom setting and one reflector.

use std::str::FromStr;

use crate::light::LightLedger;
use crate::notes::power::{self, Power};
use crate::problem::{Code, Flaw, Problem};

/// Everything that was said, in the order given.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Heads {
    /// Guide numbers.
    pub guide_numbers: Vec<GuideNumber>,
    /// Lowest steps.
    pub lowest: Vec<LowestPower>,
}

/// `key=36`: a light's guide number in metres, at ISO 100 and full power, as the light is used.
#[derive(Clone, Debug, PartialEq)]
pub struct GuideNumber {
    /// The light's name.
    pub light: String,
    /// Metres.
    pub metres: f64,
}

/// `key=1/128`: the lowest step of a light's power.
#[derive(Clone, Debug, PartialEq)]
pub struct LowestPower {
    /// The light's name.
    pub light: String,
    /// Stops against full power, at or below 0.
    pub stops: f64,
}

impl Heads {
    /// The guide number of a light; of several the last.
    #[must_use]
    pub fn guide_number(&self, light: &str) -> Option<f64> {
        self.guide_numbers.iter().rev().find(|g| same(&g.light, light)).map(|g| g.metres)
    }

    /// The lowest step of a light in stops against full power; of several the last.
    #[must_use]
    pub fn lowest(&self, light: &str) -> Option<f64> {
        self.lowest.iter().rev().find(|l| same(&l.light, light)).map(|l| l.stops)
    }

    /// A problem for every name that is no light of this ledger.
    #[must_use]
    pub fn problems(&self, ledger: &LightLedger) -> Vec<Problem> {
        let lights: Vec<&str> = ledger.sequences.iter().flat_map(|s| &s.lights).map(|l| l.name.as_str()).collect();
        let strangers = |names: Vec<&str>, option: &str| -> Vec<Problem> {
            let strange = names.into_iter().filter(|name| !lights.iter().any(|light| same(name, light)));
            strange.map(|name| Flaw::plain(Code::LightUnknown).of(&format!("{option} {name}"))).collect()
        };
        let mut problems = strangers(self.guide_numbers.iter().map(|g| g.light.as_str()).collect(), "--guide-number");
        problems.extend(strangers(self.lowest.iter().map(|l| l.light.as_str()).collect(), "--lowest-power"));
        problems
    }
}

/// Names are typed by hand: case does not matter.
fn same(a: &str, b: &str) -> bool {
    a.to_lowercase() == b.to_lowercase()
}

/// The name before the last equals sign and what stands behind it.
fn cut<'a>(text: &'a str, help: &str) -> Result<(&'a str, &'a str), String> {
    let (light, value) = text.rsplit_once('=').ok_or(help)?;
    let (light, value) = (light.trim(), value.trim());
    if light.is_empty() || value.is_empty() { Err(help.to_owned()) } else { Ok((light, value)) }
}

impl FromStr for GuideNumber {
    type Err = String;

    fn from_str(text: &str) -> Result<Self, String> {
        let help =
            "write the light's name, =, and its guide number in metres at ISO 100 and full power, for example key=36";
        let (light, value) = cut(text, help)?;
        let number = value.strip_suffix('m').unwrap_or(value).trim().replace(',', ".");
        let plain = number.len() <= 12 && number.bytes().all(|b| b.is_ascii_digit() || b == b'.');
        let metres: f64 = plain.then(|| number.parse().ok()).flatten().ok_or(help)?;
        if (1.0..=500.0).contains(&metres) {
            Ok(Self { light: light.to_owned(), metres })
        } else {
            Err("a guide number lies between 1 and 500 metres; one in feet is divided by 3.28".to_owned())
        }
    }
}

impl FromStr for LowestPower {
    type Err = String;

    fn from_str(text: &str) -> Result<Self, String> {
        let help = "write the light's name, =, and its lowest step, for example key=1/128";
        let (light, value) = cut(text, help)?;
        match power::read(value).map(|reading| reading.power) {
            Ok(Power::Stops(stops)) => Ok(Self { light: light.to_owned(), stops }),
            Ok(_) => Err(help.to_owned()),
            Err(why) => Err(format!("{why}; {help}")),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::light::{Light, SequenceLight};

    #[test]
    fn a_guide_number_is_read_or_refused_with_an_example() {
        for (text, light, metres) in
            [("key=36", "key", 36.0), (" dust-left = 27,5 m", "dust-left", 27.5), ("a=b=8", "a=b", 8.0)]
        {
            assert_eq!(text.parse::<GuideNumber>().unwrap(), GuideNumber { light: light.to_owned(), metres });
        }
        for text in ["key", "=36", "key=", "key=-3", "key=0", "key=nan", "key=1e2", "key=36 ft", "key=900"] {
            let error = text.parse::<GuideNumber>().unwrap_err();
            assert!(error.contains("key=36") || error.contains("feet"), "{text}: {error}");
        }
    }

    #[test]
    fn a_lowest_step_is_a_power() {
        assert_eq!("rim=1/256".parse::<LowestPower>().unwrap(), LowestPower { light: "rim".to_owned(), stops: -8.0 });
        for text in ["rim", "rim=off", "rim=on", "rim=2/1", "rim=?", "=1/128"] {
            assert!(text.parse::<LowestPower>().unwrap_err().contains("1/128"), "{text}");
        }
    }

    #[test]
    fn the_last_word_holds_whatever_the_case_and_strangers_are_told() {
        let heads = Heads {
            guide_numbers: vec!["key=30".parse().unwrap(), "Key=36".parse().unwrap(), "hair=20".parse().unwrap()],
            lowest: vec!["hair=1/64".parse().unwrap(), "rim=1/64".parse().unwrap()],
        };
        assert_eq!(
            (heads.guide_number("KEY"), heads.lowest("rim"), heads.lowest("key")),
            (Some(36.0), Some(-6.0), None)
        );
        let light = |name: &str| Light { name: name.to_owned(), ..Light::default() };
        let lights = SequenceLight { lights: vec![light("key"), light("Rim")], ..SequenceLight::default() };
        let problems = heads.problems(&LightLedger { sequences: vec![lights] });
        let files: Vec<&str> = problems.iter().map(|p| p.file.as_str()).collect();
        assert_eq!(files, ["--guide-number hair", "--lowest-power hair"]);
    }
}
