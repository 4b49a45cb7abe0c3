//! How far the ambient may rise and still stay a wanted distance under a light. What the sky will do is not asked.

/// So far under the key the ambient is meant to stay: at two stops it adds a third of a stop where both fall together
/// (common practice, no source, for the choice; the sum is checked below).
pub const MARGIN_STOPS: f64 = 2.0;

/// Stops the ambient may rise until it is only `margin` under a light that is `over` above it; below 0 it is too strong
/// already and must fall by so much.
#[must_use]
pub fn may_rise(over: f64, margin: f64) -> f64 {
    over - margin
}

/// How far a light is over the ambient after both have changed by so many stops.
#[must_use]
pub fn after(over: f64, light_by: f64, ambient_by: f64) -> f64 {
    over + light_by - ambient_by
}

/// What a light adds that lies `under` stops below the rest, in stops.
#[must_use]
pub fn adds(under: f64) -> f64 {
    libm::log2(1.0 + libm::exp2(-under))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// In linear light: raised so far, the ambient is a quarter of the key.
    #[test]
    fn raised_so_far_the_ambient_is_two_stops_under() {
        for (key, ambient) in [(0.18, 0.0056), (0.3, 0.01), (0.02, 0.03)] {
            let over: f64 = libm::log2(key / ambient);
            let raised = ambient * libm::exp2(may_rise(over, MARGIN_STOPS));
            assert!((raised - key / 4.0).abs() < 1e-12, "{key} {ambient}");
        }
        // The sentence of the issue: 5.1 over, so 3.1 to go.
        assert!((may_rise(5.1, 2.0) - 3.1).abs() < 1e-12);
    }

    #[test]
    fn what_happens_to_both_happens_to_neither_against_the_other() {
        assert_eq!(after(4.0, -1.0, -1.0), 4.0);
        assert_eq!(after(4.0, 1.0, 0.0), 5.0);
        assert_eq!(after(4.0, 0.0, 1.0), 3.0);
    }

    /// The form log2(1 + 1/n) is printed in the note "Cumulative key and fill" (April 2012); figures derived from it.
    #[test]
    fn two_stops_under_add_a_third_of_a_stop() {
        for (under, stops) in [(0.0, 1.0), (0.5, 0.7716), (1.0, 0.5850), (2.0, 0.3219), (3.0, 0.1699), (4.0, 0.0875)] {
            assert!((adds(under) - stops).abs() < 5e-5, "{under}");
        }
    }
}
