//! Guide-number arithmetic, from the photographer's own number only: distance times f-number, at ISO 100 and full power.
//!
//! What ISO 1230 says of guide numbers was not seen; the rule and its tables are those of printed manuals.

/// The f-number at which a direct flash exposes fully: `metres` is the guide number at ISO 100 and full power, `power` in
/// stops against full, `iso` in stops above ISO 100, `distance` in metres above 0.
#[must_use]
pub fn f_number(metres: f64, power: f64, iso: f64, distance: f64) -> f64 {
    metres * libm::exp2((power + iso) / 2.0) / distance
}

/// The distance at which it exposes fully at an f-number.
#[must_use]
pub fn reach(metres: f64, power: f64, iso: f64, f_number: f64) -> f64 {
    self::f_number(metres, power, iso, f_number)
}

/// Stops by which the light of one f-number is more than another asks for: above 0 there is light to spare.
#[must_use]
pub fn to_spare(f_number: f64, used: f64) -> f64 {
    2.0 * libm::log2(f_number / used)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Worked examples of printed manuals: guide number, ISO, distance, f-number as printed ("about" is a third of a stop:
    /// marks of a dial). Metres and feet alike, each with its own number.
    #[test]
    fn worked_examples_of_printed_manuals() {
        let rows = [
            (32.0, 4.0, 8.0, 0.001, "Nikon SB-16 manual p. 30, ISO 100"),
            (32.0, 1.5, 22.0, 0.06, "the same, about f/22"),
            (32.0, 3.0, 11.0, 0.06, "the same, about f/11"),
            (52.0, 20.0, 2.8, 0.09, "the same, feet, ISO 25, about f/2.8"),
            (45.0, 5.0, 9.0, 0.001, "dictionary entry guide number, idigitalphoto.com"),
            (80.0, 10.0, 8.0, 0.001, "Open Photographic Society, feet; US Navy course NAVEDTRA 14209"),
            (80.0, 20.0, 4.0, 0.001, "early encyclopaedia text on guide number, feet"),
            (20.0, 5.0, 4.0, 0.001, "Contax RTS manual p. 67; Samsung NX1 manual p. 27"),
            (20.0, 4.0, 5.0, 0.001, "the same"),
            (51.0, 9.0, 5.67, 0.002, "Kodak DCS 600 manual p. 190, number at ISO 200"),
        ];
        for (number, distance, printed, within, source) in rows {
            let found = f_number(number, 0.0, 0.0, distance);
            assert!((found / printed - 1.0_f64).abs() <= within, "{source}: {found} against {printed}");
        }
        // Pentax *ist D manual p. 139: 15.6 at ISO 200 reaches 3.9 m at f/4.
        assert!((reach(15.6, 0.0, 0.0, 4.0) - 3.9).abs() < 1e-9);
    }

    /// Pentax AF160FC manual p. 33: guide numbers at full, 1/4 and 1/16, ISO 100 to 6400, to the printed digit.
    #[test]
    fn power_and_iso_together_as_printed() {
        let table = [
            (100.0, [16.0, 8.0, 4.0]),
            (200.0, [22.6, 11.3, 5.7]),
            (400.0, [32.0, 16.0, 8.0]),
            (800.0, [45.3, 22.6, 11.3]),
            (1600.0, [64.0, 32.0, 16.0]),
            (3200.0, [90.5, 45.3, 22.6]),
            (6400.0, [128.0, 64.0, 32.0]),
        ];
        for (iso, row) in table {
            for (power, printed) in [0.0, -2.0, -4.0].into_iter().zip(row) {
                let found = f_number(16.0, power, libm::log2(iso / 100.0), 1.0);
                assert!((found - printed).abs() < 0.051, "ISO {iso}, {power}: {found} against {printed}");
            }
        }
        // The same page: ISO 200, 1/4, f/11 reaches about 1.0 m.
        assert!((reach(16.0, -2.0, 1.0, 11.0) - 1.0).abs() < 0.05);
    }

    /// Olympus FL-50 manual p. 16, 24 mm column, ISO 100, metres, rounded in print: within 4 %.
    #[test]
    fn power_alone_as_printed() {
        for (steps, printed) in (0..).map(f64::from).zip([28.0, 20.0, 14.0, 9.9, 7.0, 4.9, 3.5, 2.5]) {
            assert!((f_number(28.0, -steps, 0.0, 1.0) / printed - 1.0_f64).abs() < 0.04, "1/{}", libm::exp2(steps));
        }
    }

    #[test]
    fn to_spare_is_counted_in_stops_of_aperture() {
        assert_eq!(to_spare(8.0, 8.0), 0.0);
        assert!((to_spare(8.0, 4.0) - 2.0).abs() < 1e-12 && (to_spare(4.0, 8.0) + 2.0).abs() < 1e-12);
    }
}
