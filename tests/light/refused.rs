//! What no computation can tell is refused, with the reason: a guess dressed as a number is the worst answer.

use super::fields::Falls;
use super::files::{row, told};
use super::shoot::{Shoot, USUAL};

/// Two lamps from one place, always on together at powers in one ratio: any split of their sum is as good as any other.
/// Two equal columns leave a least-squares problem without a single answer (C. Lawson and R. Hanson, Solving Least
/// Squares Problems, 1974).
#[test]
fn two_lights_that_cannot_be_told_apart_get_no_figures() {
    let mut shoot =
        Shoot::new(0.004, &[("key", Falls::Left, 0.5), ("dust-left", Falls::Left, 0.5), ("rim", Falls::Edges, 0.3)]);
    shoot.shot(USUAL, &[]);
    shoot.shot(USUAL.time(30), &[]);
    for power in [-3, -4] {
        shoot.shot(USUAL, &[("rim", power)]);
    }
    for power in [-3, -4, -3, -4] {
        shoot.shot(USUAL, &[("key", power), ("dust-left", power)]);
    }
    for _ in 0..2 {
        shoot.shot(USUAL, &[("key", -3), ("dust-left", -3), ("rim", -3)]);
    }
    let report = told(&shoot);
    for i in 4..10 {
        for name in ["key", "dust-left"] {
            let row = row(&report, i, name);
            assert_eq!((row.light_stops, row.share_of_frame_percent), (None, None), "shot {i} {name}");
            let other = if name == "key" { "dust-left" } else { "key" };
            assert!(row.reason.contains(other), "shot {i} {name}: {:?}", row.reason);
        }
    }
    // The third light is told all the same.
    assert!(row(&report, 8, "rim").light_stops.is_some());
}

fn gelled(automatic: bool) -> Shoot {
    let mut s = Shoot::new(0.004, &[("key", Falls::Left, 1.2), ("fill", Falls::Right, 0.6)]);
    s.automatic_white = automatic;
    s.gels_noted = false;
    s.shot(USUAL, &[]);
    s.shot(USUAL.time(30), &[]);
    for power in [-3, -4] {
        s.shot(USUAL, &[("key", power)]);
    }
    for power in [-3, -4] {
        s.shot(USUAL, &[("fill", power)]);
    }
    for _ in 0..3 {
        s.shot(USUAL, &[("key", -3), ("fill", -3)]);
    }
    let key = s.light("key");
    for _ in 0..3 {
        s.shot(USUAL, &[("key", -3), ("fill", -3)]).burns[key].gel = 1;
    }
    s
}

/// A gel that nobody noted, under fixed white balance: its change of colour is found and it is the key's.
#[test]
fn a_gel_that_was_not_noted_is_found_under_fixed_white_balance() {
    let report = told(&gelled(false));
    let casts: Vec<_> = report.findings.iter().filter(|f| f.code == "gel-cast").collect();
    assert!(casts.iter().all(|f| f.light == "key") && !casts.is_empty(), "{:?}", report.findings);
    let (plain, amber) = (row(&report, 8, "key"), row(&report, 11, "key"));
    let warm = |r: &stoptally::report::LedgerRow| (r.gain_r.unwrap() / r.gain_b.unwrap()).log2();
    // Red against blue: log2(1 / 0.22) = 2.18 stops.
    assert!((warm(amber) - warm(plain) - 2.18).abs() < 0.3, "{} {}", warm(plain), warm(amber));
}

/// The same under automatic white balance: the camera moves the colours of everything, and no gel is claimed.
#[test]
fn under_automatic_white_balance_no_gel_is_claimed() {
    let report = told(&gelled(true));
    assert!(report.findings.iter().all(|f| f.code != "gel-cast"), "{:?}", report.findings);
    let colour = |i: usize| row(&report, i, "key").gain_b.zip(row(&report, i, "key").gain_r);
    let claimed = colour(8).zip(colour(11)).map(|(a, b)| ((a.0 / a.1) / (b.0 / b.1)).log2().abs());
    assert!(claimed.is_none_or(|c| c < 0.1), "{claimed:?}");
    assert!(report.not_known.iter().any(|n| n.why.contains("white balance") || n.what.contains("white balance")));
}
