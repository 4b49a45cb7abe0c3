//! How two paired lightings differ, and the shoots as wholes. Every difference is B minus A; where one side is not known
//! there is none, and the reason says so.

use crate::exposure::marks::{Step, aperture_stops, dial_step, iso_stops, shutter_stops};
use crate::keepers::proportion::{Of, Z95, difference};
use crate::notes::power::{self, Power};
use crate::report::words;

use super::read::{Lighting, Shoot, Stage, State};
use super::{Figure, LightPair};

/// The figures of a pair of lightings: settings, picture, lights, ambient, ratios, keepers.
pub fn figures(a: (&Shoot, &Lighting), b: (&Shoot, &Lighting), lights: &[LightPair]) -> Vec<Figure> {
    let (of_a, of_b) = (Told::of(a.0, a.1), Told::of(b.0, b.1));
    let mut figures = of_a.settings(&of_b);
    let burning = lights.iter().filter_map(|pair| Some((pair, of_a.light(&pair.a)?, of_b.light(&pair.b)?)));
    for (pair, in_a, in_b) in burning.filter(|(_, a, b)| a.on == "yes" && b.on == "yes") {
        figures.extend(of_a.one_light(&of_b, &pair.a, in_a, in_b));
    }
    figures.extend(of_a.ambient(&of_b));
    figures.extend(["key to fill", "key to ambient"].iter().filter_map(|what| ratio(a.1, b.1, what)));
    // Where no keepers were given, or series were not told apart, there is nothing to compare.
    let kept = |row: &Lighting| Some(Of { some: row.kept_series?, all: row.candidate_series? });
    // Of tests of the build no keeper is expected: nothing is said of them.
    if let Some((of_a, of_b)) = kept(a.1).zip(kept(b.1)).filter(|(a, b)| a.all > 0 || b.all > 0) {
        figures.push(keepers(of_a, of_b));
    }
    figures
}

/// The figures of the shoots as wholes.
pub fn whole(a: &Shoot, b: &Shoot) -> Vec<Figure> {
    let count = |what: &str, a: usize, b: usize| {
        let (of_a, of_b) = (a as f64, b as f64);
        Figure { a_words: a.to_string(), b_words: b.to_string(), ..figure(what, "count", Some(of_a), Some(of_b)) }
    };
    let kept = |shoot: &Shoot| {
        let row = shoot.keeper_count.iter().flat_map(|c| &c.rows).find(|row| row.what == "shoot")?;
        Some(Of { some: row.kept_series?, all: row.series? })
    };
    let mut figures =
        vec![count("shots", a.frames.len(), b.frames.len()), count("lightings", a.lightings.len(), b.lightings.len())];
    if let (Some(a), Some(b)) = (kept(a), kept(b)) {
        figures.push(keepers(a, b));
    }
    figures
}

/// A figure with its difference; the reason where one side is missing.
fn figure(what: &str, unit: &str, a: Option<f64>, b: Option<f64>) -> Figure {
    let why = match (a, b) {
        (Some(_), Some(_)) => "",
        (None, None) => "not known in either",
        (None, _) => "not known in A",
        (_, None) => "not known in B",
    };
    Figure {
        what: what.to_owned(),
        unit: unit.to_owned(),
        difference: a.zip(b).map(|(a, b)| b - a),
        a,
        b,
        why_unknown: why.to_owned(),
        ..Figure::default()
    }
}

/// A figure in stops, with its own words.
fn stops(what: &str, a: Option<f64>, b: Option<f64>) -> Figure {
    let said = |value: Option<f64>| value.map(words::stops).unwrap_or_default();
    Figure { a_words: said(a), b_words: said(b), ..figure(what, "stops", a, b) }
}

/// Keepers by series, with Newcombe's interval of the difference.
fn keepers(a: Of, b: Of) -> Figure {
    let interval = difference(b, a, Z95);
    let said = |of: Of| {
        if of.all == 0 { "no candidate".to_owned() } else { format!("{} of {} series", of.some, of.all) }
    };
    let row = figure("keepers per series", "rate", a.rate(), b.rate());
    let why = if row.difference.is_none() { "no series was a candidate there" } else { "" };
    Figure {
        low: interval.map(|i| i.low),
        high: interval.map(|i| i.high),
        a_words: said(a),
        b_words: said(b),
        why_unknown: why.to_owned(),
        ..row
    }
}

/// A level as B would have it at A's settings: what the settings did is taken out.
fn at_settings_of_a(
    what: &str,
    (a, b): (Option<f64>, Option<f64>),
    (dials_a, dials_b): (Option<f64>, Option<f64>),
) -> Figure {
    let settings = dials_a.zip(dials_b).map(|(a, b)| b - a);
    let by = a.zip(b).zip(settings).map(|((a, b), settings)| (b - a) - settings);
    let a = a.filter(|_| settings.is_some());
    let row = stops(what, a, b.zip(settings).map(|(b, settings)| b - settings));
    let why = match (row.why_unknown.is_empty(), settings) {
        (true, _) => String::new(),
        (false, None) => "the settings are not known on both sides".to_owned(),
        (false, Some(_)) => row.why_unknown.clone(),
    };
    Figure { difference: by, why_unknown: why, ..row }
}

/// A lighting with its most shot stage, and where that stage's dials stand.
struct Told<'a> {
    row: &'a Lighting,
    stage: Option<&'a Stage>,
    /// What the settings do to flash, in stops: more is more light.
    flash: Option<f64>,
    /// What they do to ambient.
    ambient: Option<f64>,
}

impl<'a> Told<'a> {
    fn of(shoot: &'a Shoot, row: &'a Lighting) -> Self {
        let stage = shoot.stages.iter().find(|stage| stage.stage == row.typical_stage);
        let positive = |value: Option<f64>| value.filter(|v| *v > 0.0);
        let step = || -> Step {
            let of = |part: fn(&super::read::Frame) -> Option<f64>| {
                shoot.frames.iter().filter_map(part).filter(|v| *v > 0.0)
            };
            dial_step(of(|f| f.f_number), of(|f| f.exposure_time_s), of(|f| f.iso))
        };
        let flash = stage
            .and_then(|s| Some(iso_stops(positive(s.iso)?, step()) - aperture_stops(positive(s.f_number)?, step())));
        let time = stage.and_then(|s| Some(shutter_stops(positive(s.exposure_time_s)?, step())));
        Self { row, stage, flash, ambient: flash.zip(time).map(|(flash, time)| flash - time) }
    }

    fn light(&self, name: &str) -> Option<&'a State> {
        self.row.light_account.each_light.iter().find(|l| l.light.trim().to_lowercase() == name.trim().to_lowercase())
    }

    fn level(&self) -> Option<f64> {
        self.stage?.mean_luminance_stops
    }

    fn settings(&self, b: &Self) -> Vec<Figure> {
        let marked = |told: &Self| told.stage.map(|s| s.settings.clone()).unwrap_or_default();
        let with = |f: Figure| Figure { a_words: marked(self), b_words: marked(b), ..f };
        vec![
            with(figure("settings on flash", "stops", self.flash, b.flash)),
            with(figure("settings on ambient", "stops", self.ambient, b.ambient)),
            stops("picture", self.level(), b.level()),
        ]
    }

    /// Power as noted, the light's own level as shot, and that brought to A's settings.
    fn one_light(&self, b: &Self, name: &str, in_a: &State, in_b: &State) -> Vec<Figure> {
        let power = Figure {
            a_words: in_a.noted_power.clone(),
            b_words: in_b.noted_power.clone(),
            ..figure("power", "stops", noted(in_a), noted(in_b))
        };
        let own = |told: &Self, state: &State| {
            let share = state.share_of_frame_percent.filter(|percent| *percent > 0.0)?;
            Some(told.level()? + libm::log2(share / 100.0))
        };
        let (of_a, of_b) = (own(self, in_a), own(b, in_b));
        let all = [
            power,
            stops("light as shot", of_a, of_b),
            at_settings_of_a("light at A's settings", (of_a, of_b), (self.flash, b.flash)),
        ];
        all.into_iter().map(|f| Figure { light: name.to_owned(), ..f }).collect()
    }

    /// The ambient's own level as shot, and brought to A's settings; nothing where a picture is too dark to say more
    /// than "at least so far under".
    fn ambient(&self, b: &Self) -> Vec<Figure> {
        let known = |told: &Self| {
            let ambient = &told.row.light_account.ambient;
            ambient.headroom_stops.filter(|_| !ambient.at_most).map(|under| -under)
        };
        let dark = |told: &Self| told.row.light_account.ambient.at_most;
        let (of_a, of_b) = (known(self), known(b));
        let said = |told: &Self| told.row.light_account.ambient.words.clone();
        let rows = [
            Figure { a_words: said(self), b_words: said(b), ..figure("ambient as shot", "stops", of_a, of_b) },
            at_settings_of_a("ambient at A's settings", (of_a, of_b), (self.ambient, b.ambient)),
        ];
        rows.into_iter()
            .map(|row| match row.difference {
                None if dark(self) || dark(b) => Figure {
                    why_unknown: "a picture is too dark to say more than at least so far under".to_owned(),
                    ..row
                },
                _ => row,
            })
            .collect()
    }
}

/// The noted power in stops against full.
fn noted(state: &State) -> Option<f64> {
    match power::read(&state.noted_power).ok()?.power {
        Power::Stops(stops) => Some(stops),
        _ => None,
    }
}

/// A ratio that is known in at least one of both, told over the same part of the picture.
fn ratio(a: &Lighting, b: &Lighting, what: &str) -> Option<Figure> {
    let of = |row: &Lighting| row.light_account.ratios.iter().find(|r| r.what == what && r.stops.is_some()).cloned();
    let (in_a, in_b) = (of(a), of(b));
    if in_a.is_none() && in_b.is_none() {
        return None;
    }
    let value = |r: &Option<super::read::Ratio>| r.as_ref().and_then(|r| r.stops);
    let row = stops(what, value(&in_a), value(&in_b));
    let apart = |why: &str, row: Figure| Figure { difference: None, why_unknown: why.to_owned(), ..row };
    let over = in_a.as_ref().zip(in_b.as_ref()).is_some_and(|(a, b)| a.over != b.over);
    let dark = a.light_account.ambient.at_most || b.light_account.ambient.at_most;
    Some(match what {
        _ if over => apart("one is told on the subject, the other over the frame", row),
        "key to ambient" if dark => apart("an ambient is too dark to say more than at least", row),
        _ => row,
    })
}

#[cfg(test)]
mod tests {
    use super::super::read::{Account, Ambient, Frame};
    use super::*;

    fn shoot(f_number: f64, time: f64, iso: f64, level: f64, share: f64, power: &str) -> Shoot {
        let state = State {
            light: "key".to_owned(),
            on: "yes".to_owned(),
            noted_power: power.to_owned(),
            share_of_frame_percent: Some(share),
            ..State::default()
        };
        Shoot {
            frames: vec![Frame {
                f_number: Some(f_number),
                exposure_time_s: Some(time),
                iso: Some(iso),
                ..Frame::default()
            }],
            stages: vec![Stage {
                stage: 1,
                f_number: Some(f_number),
                exposure_time_s: Some(time),
                iso: Some(iso),
                mean_luminance_stops: Some(level),
                ..Stage::default()
            }],
            lightings: vec![Lighting {
                lighting: 1,
                typical_stage: 1,
                light_account: Account {
                    each_light: vec![state],
                    ambient: Ambient { headroom_stops: Some(4.0), ..Ambient::default() },
                    ..Account::default()
                },
                ..Lighting::default()
            }],
            ..Shoot::default()
        }
    }

    fn differences(a: &Shoot, b: &Shoot) -> Vec<(String, Option<f64>)> {
        let key = LightPair { a: "key".to_owned(), b: "key".to_owned(), by: "name".to_owned() };
        let all = figures((a, &a.lightings[0]), (b, &b.lightings[0]), &[key]);
        all.into_iter().map(|f| (f.what, f.difference)).collect()
    }

    /// f/5.6, 1/200, ISO 100 to f/8, 1/50, ISO 200: exactly -1 and +1 stop on flash, and two more by the shutter on ambient
    /// (Exif 2.2 annex C: Av 5 and 6; thirds of a stop from 1/64 s).
    #[test]
    fn settings_power_and_light_differ_in_exact_stops() {
        let a = shoot(5.6, 0.005, 100.0, -1.0, 50.0, "1/8");
        let b = shoot(8.0, 0.02, 200.0, 0.5, 25.0, "1/2 -0.3");
        let wanted = [
            ("settings on flash", 0.0),
            ("settings on ambient", 2.0),
            ("picture", 1.5),
            ("power", 1.7),
            ("light as shot", 0.5),
            ("light at A's settings", 0.5),
            ("ambient as shot", 0.0),
            ("ambient at A's settings", -2.0),
        ];
        let found = differences(&a, &b);
        assert_eq!(found.len(), wanted.len(), "{found:?}");
        for ((what, stops), (name, want)) in found.iter().zip(wanted) {
            assert!(what == name && (stops.unwrap() - want).abs() < 0.04, "{what}: {stops:?}, {name} {want}");
        }
        assert!((found[2].1.unwrap() - 1.5).abs() < 1e-12 && (found[1].1.unwrap() - 2.0).abs() < 1e-12);
    }

    #[test]
    fn what_one_side_does_not_know_has_no_difference() {
        let a = shoot(5.6, 0.005, 100.0, -1.0, 50.0, "1/8");
        let mut b = shoot(8.0, 0.02, 200.0, 0.5, 25.0, "");
        b.stages[0].iso = Some(0.0);
        b.lightings[0].light_account.ambient.at_most = true;
        for (what, stops) in differences(&a, &b) {
            assert_eq!(stops.is_some(), ["picture", "light as shot"].contains(&what.as_str()), "{what}");
        }
    }

    /// 9 of 10 against 3 of 10: +0.1705 to +0.8090 (Newcombe 1998, part 2, table II, row d; value from memory).
    #[test]
    fn keepers_differ_with_the_published_interval() {
        let found = keepers(Of { some: 3, all: 10 }, Of { some: 9, all: 10 });
        assert!((found.difference.unwrap() - 0.6).abs() < 1e-12);
        assert!((found.low.unwrap() - 0.1705).abs() < 5e-5 && (found.high.unwrap() - 0.8090).abs() < 5e-5);
        assert_eq!(keepers(Of { some: 0, all: 0 }, Of { some: 1, all: 2 }).difference, None);
    }
}
