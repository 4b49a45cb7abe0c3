//! What another aperture costs, and the ways to pay: power, ISO or a neutral filter; and what becomes of the ambient.
//!
//! Aperture and ISO act on flash and ambient alike; power acts on the flash, the shutter on the ambient alone, no faster
//! than sync speed. Below it the shutter does not enter the flash's exposure (US Navy course Photography (Basic), NAVEDTRA
//! 14209).

/// Where the dials stand, in exact stops.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Dials {
    /// Aperture value.
    pub av: f64,
    /// Time value.
    pub tv: f64,
    /// Stops above ISO 100.
    pub sv: f64,
}

/// What another aperture asks for.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Price {
    /// What it does to all light: below 0 it is closed, above 0 opened.
    pub light: f64,
    /// By how much every light's power must change so that the lights stand as before; the ambient does not follow.
    pub power: f64,
    /// The time value that takes back as much of the ambient's change as can be had, where powers are changed.
    pub shutter_tv: f64,
    /// What the ambient still gains on the lights after that, 0 or above: what sync speed does not allow to take back.
    pub ambient_left: f64,
    /// The ISO that pays for it instead, in stops above ISO 100; flash and ambient both stand as before.
    pub iso_sv: f64,
    /// The neutral filter that pays for opening, in stops; None for closing, where no filter helps.
    pub filter: Option<f64>,
}

/// The price of going to `to_av`; `sync_tv` is the time value of sync speed.
#[must_use]
pub fn price(dials: Dials, to_av: f64, sync_tv: f64) -> Price {
    let light = dials.av - to_av;
    // A longer time always can be had; a shorter one only up to sync speed, and a shutter beyond it already stays.
    let fastest = sync_tv.max(dials.tv);
    let shutter_tv = (dials.tv + light).min(fastest);
    Price {
        light,
        power: -light,
        shutter_tv,
        ambient_left: light - (shutter_tv - dials.tv),
        iso_sv: dials.sv - light,
        filter: (light > 0.0).then_some(light),
    }
}

/// Optical density of a neutral filter of so many stops: log10 of the factor, 0.30 a stop.
#[must_use]
pub fn density(stops: f64) -> f64 {
    stops * libm::log10(2.0)
}

/// The whole stops of aperture from `within` stops wider to `within` stops closer than `av`, f/1.0 to f/32, without `av`.
#[must_use]
pub fn whole_stops(av: f64, within: f64) -> Vec<f64> {
    let whole = (0..=10).map(f64::from);
    whole.filter(|to| (to - av).abs() <= within + 1e-9 && (to - av).abs() > 0.05).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    const F56: Dials = Dials { av: 5.0, tv: 23.0 / 3.0, sv: 0.0 };

    /// Both ways out leave the flash in the picture as it was: energy times ISO over the square of the f-number, which is
    /// how a flash exposes (guide numbers by power and ISO: Pentax AF160FC manual, p. 33, 16 times the root of ISO/100
    /// times power).
    #[test]
    fn either_way_the_flash_stands_as_before() {
        let flash = |power: f64, sv: f64, av: f64| libm::exp2(power + sv - av);
        let before = flash(-3.0, F56.sv, F56.av);
        for to in [3.0, 4.0, 6.0, 8.0, 20.0 / 3.0] {
            let price = price(F56, to, 8.0);
            assert!((flash(-3.0 + price.power, F56.sv, to) - before).abs() < 1e-12);
            assert!((flash(-3.0, price.iso_sv, to) - before).abs() < 1e-12);
            if let Some(filter) = price.filter {
                assert!((flash(-3.0, F56.sv, to) * libm::exp2(-filter) - before).abs() < 1e-12);
            }
        }
        // The same page, guide numbers 16 at ISO 100 in full, 8.0 at a quarter, 16.0 at ISO 400 and a quarter: two stops of
        // power are two of ISO.
        assert!((2.0 * libm::log2(16.0 / 8.0) - 2.0).abs() < 1e-12 && price(F56, 7.0, 8.0).iso_sv == 2.0);
    }

    /// Ambient: time times ISO over the square of the f-number.
    #[test]
    fn the_shutter_brings_the_ambient_along_as_far_as_sync_speed_allows() {
        let ambient = |dials: Dials| libm::exp2(dials.sv - dials.av - dials.tv);
        for (to, sync) in [(6.0, 8.0), (8.0, 8.0), (4.0, 8.0), (3.0, 9.0), (4.0, 7.0)] {
            let price = price(F56, to, sync);
            let after = ambient(Dials { av: to, tv: price.shutter_tv, ..F56 });
            let change = libm::log2(after / ambient(F56));
            assert!((change - price.ambient_left).abs() < 1e-12, "{to} {sync}: {change} {price:?}");
            assert!(price.ambient_left >= 0.0);
        }
        // f/5.6 to f/4 at 1/200 with sync 1/250: a third of a stop can be taken back, two thirds stay.
        assert!((price(F56, 4.0, 8.0).ambient_left - 2.0 / 3.0).abs() < 1e-12);
        // f/5.6 to f/8: 1/100.
        assert!((price(F56, 6.0, 8.0).shutter_tv - 20.0 / 3.0).abs() < 1e-12);
        // A shutter faster than sync speed is not made slower by opening.
        assert_eq!(price(F56, 4.0, 7.0).shutter_tv, F56.tv);
    }

    /// f/16 to f/11 is twice the light, f/8 four times, f/5.6 8, f/4 16, f/2.8 32 times (Professional Photographers of
    /// America, module 2C).
    #[test]
    fn opening_gives_the_printed_factors() {
        let from = Dials { av: 8.0, ..F56 };
        for (to, times) in [(7.0, 2.0), (6.0, 4.0), (5.0, 8.0), (4.0, 16.0), (3.0, 32.0)] {
            assert_eq!(libm::exp2(price(from, to, 8.0).light), times);
        }
    }

    /// Density 0.3 a stop is how neutral filters are sold (common practice, no source); density is log10 of the factor.
    #[test]
    fn a_filter_has_its_density() {
        assert!((density(1.0) - 0.301).abs() < 5e-5 && (density(3.0) - libm::log10(8.0)).abs() < 1e-12);
    }

    #[test]
    fn whole_stops_around_the_one_used() {
        assert_eq!(whole_stops(5.0, 2.0), [3.0, 4.0, 6.0, 7.0]);
        assert_eq!(whole_stops(16.0 / 3.0, 1.0), [5.0, 6.0], "from f/6.3");
        assert_eq!(whole_stops(0.0, 2.0), [1.0, 2.0]);
    }
}
