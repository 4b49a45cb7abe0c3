//! What moving a light does, by the inverse square, and where that rule ends.
//!
//! The rule is that of a point. A light's own size shows near by: of an evenly bright disc, seen on its axis, light falls
//! as 1 / (d² + r²), so that at a distance of its diameter it gives a third of a stop less than the rule makes of what it
//! gives from afar. Grids, zoom heads and reflectors gather light and depart from both (common practice, no source).

/// Stops gained on the subject by moving a light from one distance to another, both above 0; below 0 from further away.
#[must_use]
pub fn stops(from: f64, to: f64) -> f64 {
    2.0 * libm::log2(from / to)
}

/// The distance at which a light gives so many stops more than at `from`.
#[must_use]
pub fn at(from: f64, stops: f64) -> f64 {
    from * libm::exp2(-stops / 2.0)
}

/// The same as [`stops`] for an evenly bright disc of this diameter on its axis, as a soft box is at best.
#[must_use]
pub fn disc_stops(from: f64, to: f64, diameter: f64) -> f64 {
    let square = |d: f64| d * d + diameter * diameter / 4.0;
    libm::log2(square(from) / square(to))
}

/// The largest size in metres that a modifier's own words give: "octabox 110 cm", "1.2 m", "60 x 90 cm". None without one.
#[must_use]
pub fn size_m(modifier: &str) -> Option<f64> {
    // A size stands in a few words; what is longer is no modifier.
    let modifier: String = modifier.chars().take(80).collect();
    let text = modifier.to_lowercase().replace(',', ".").replace(['×', '*'], "x");
    let mut largest: Option<f64> = None;
    let mut rest = text.as_str();
    while let Some(start) = rest.find(|c: char| c.is_ascii_digit()) {
        let from = rest.get(start..).unwrap_or_default();
        let end = from.find(|c: char| !c.is_ascii_digit() && c != '.').unwrap_or(from.len());
        let (number, after) = from.split_at(end);
        let metres = number.parse::<f64>().ok().zip(unit(after)).map(|(n, per_metre)| n / per_metre);
        // Sizes of modifiers; 10 m is a wall.
        if let Some(size) = metres.filter(|m| (0.05..=10.0).contains(m)) {
            largest = Some(largest.map_or(size, |l| l.max(size)));
        }
        rest = after;
    }
    largest
}

/// How many of the unit behind a number make a metre; the unit of "60 x 90 cm" stands behind the last.
fn unit(after: &str) -> Option<f64> {
    let text = after.trim_start();
    let ends =
        |unit: &str| text.strip_prefix(unit).is_some_and(|rest| !rest.starts_with(|c: char| c.is_alphanumeric()));
    match () {
        () if ends("cm") => Some(100.0),
        () if ends("m") => Some(1.0),
        () => {
            let next = text.strip_prefix('x')?.trim_start();
            let end = next.find(|c: char| !c.is_ascii_digit() && c != '.').filter(|end| *end > 0)?;
            unit(next.get(end..)?)
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Twice, three, four and five times as far: 1/4, 1/9, 1/16 and 1/25 of the light; printed as −2, −3.17, −4 and −4.64
    /// stops ("Basics of flash photography", scantips.com; "The inverse square law", jamestelford, 28 November 2014).
    #[test]
    fn the_printed_rows_of_the_inverse_square() {
        for (times, printed) in [(2.0, -2.0), (3.0, -3.17), (4.0, -4.0), (5.0, -4.64)] {
            assert!((stops(1.0, times) - printed).abs() < 0.005, "{times}");
            assert!((libm::exp2(stops(1.7, 1.7 * times)) - 1.0 / (times * times)).abs() < 1e-12);
        }
    }

    /// 11 ft to 8 ft is called twice the light and 11 ft to 5.6 ft four times (US Army subcourse SS0510, p. 1-18): rounded
    /// to the f-stops these numbers are taken from; exact +0.919 and +1.948.
    #[test]
    fn feet_that_read_like_f_stops() {
        assert!((stops(11.0, 8.0) - 1.0).abs() < 0.1 && (stops(11.0, 8.0) - 0.919).abs() < 5e-4);
        assert!((stops(11.0, 5.6) - 2.0).abs() < 0.1 && (stops(11.0, 5.6) - 1.948).abs() < 5e-4);
    }

    /// A meter that reads f/16 at 1 m reads f/8 at 2 m and f/4 at 4 m ("The inverse square law", as above).
    #[test]
    fn a_meter_at_twice_the_distance() {
        for (metres, f_number) in [(1.0, 16.0_f64), (2.0, 8.0), (4.0, 4.0)] {
            assert!((stops(1.0, metres) - 2.0 * libm::log2(f_number / 16.0)).abs() < 1e-12);
        }
    }

    #[test]
    fn there_and_back() {
        for want in [-2.0, -1.0, 0.5, 1.0] {
            assert!((stops(3.9, at(3.9, want)) - want).abs() < 1e-12);
        }
        assert!((at(3.9, -2.0) - 7.8).abs() < 1e-12 && (at(3.9, 1.0) - 2.757_716).abs() < 1e-6);
    }

    /// The disc against the sum over its surface: every piece gives cosine at the source times cosine at the subject over
    /// the square of the distance (Lambert's law).
    #[test]
    fn the_disc_is_the_sum_of_its_pieces() {
        let lit = |d: f64, radius: f64| {
            let pieces = 20_000;
            let step = radius / f64::from(pieces);
            let ring = |n: i32| {
                let r = (f64::from(n) + 0.5) * step;
                let square = d * d + r * r;
                2.0 * std::f64::consts::PI * r * step * d * d / (square * square)
            };
            (0..pieces).map(ring).sum::<f64>()
        };
        for (from, to, diameter) in [(3.9, 1.1, 1.1), (5.0, 2.5, 0.6), (2.0, 1.0, 1.5)] {
            let summed = libm::log2(lit(to, diameter / 2.0) / lit(from, diameter / 2.0));
            assert!((disc_stops(from, to, diameter) - summed).abs() < 1e-6, "{from} {to} {diameter}");
        }
        // At one diameter log2(5/4) less than the rule makes of the light from afar.
        assert!((stops(1e6, 1.0) - disc_stops(1e6, 1.0, 1.0) - libm::log2(1.25)).abs() < 1e-9);
    }

    #[test]
    fn a_size_is_read_from_a_modifiers_own_words_only() {
        for (words, size) in [
            ("octabox 110 cm", Some(1.1)),
            ("110cm octa", Some(1.1)),
            ("softbox 60 x 90 cm", Some(0.9)),
            ("softbox 60x90cm, grid", Some(0.9)),
            ("umbrella 1,05 m", Some(1.05)),
            ("strip 30 × 120 cm", Some(1.2)),
            ("reflector with grid", None),
            ("grid 20", None),
            ("35 mm snoot", None),
            ("5 more", None),
            ("", None),
            ("2000 cm", None),
            ("x x x 9 x", None),
        ] {
            assert_eq!(size_m(words), size, "{words}");
        }
    }
}
