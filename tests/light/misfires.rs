//! A flash that failed is found where it failed, and nowhere else.

use super::fields::Falls;
use super::files::{row, told};
use super::shoot::{Shoot, USUAL};

fn evening() -> Shoot {
    let mut s = Shoot::new(0.004, &[("key", Falls::Left, 0.9), ("rim", Falls::Edges, 0.3)]);
    s.shot(USUAL, &[]);
    s.shot(USUAL.time(30), &[]);
    for power in [-3, -4] {
        s.shot(USUAL, &[("key", power)]);
    }
    for power in [-3, -4] {
        s.shot(USUAL, &[("rim", power)]);
    }
    for _ in 0..6 {
        s.shot(USUAL, &[("key", -3), ("rim", -3)]);
    }
    s.shot(USUAL, &[("key", -4), ("rim", -3)]);
    s
}

#[test]
fn without_a_misfire_none_is_claimed() {
    let shoot = evening();
    let report = told(&shoot);
    assert!(report.light_ledger.iter().all(|r| r.misfire == "no"));
    assert!(report.findings.is_empty(), "{:?}", report.findings);
}

#[test]
fn a_misfire_is_found_in_its_frame_for_its_light() {
    for (shot, light) in [(8, "rim"), (9, "key")] {
        let mut shoot = evening();
        let l = shoot.light(light);
        shoot.shots[shot].burns[l].real = None;
        let report = told(&shoot);
        for r in &report.light_ledger {
            let here = r.frame == Shoot::frame(shot) && r.light == light;
            assert_eq!(r.misfire, if here { "yes" } else { "no" }, "{} {} with {light} out", r.frame, r.light);
        }
        let missed = row(&report, shot, light);
        assert_eq!((missed.on.as_str(), missed.light_stops), ("no", None));
        assert_eq!(missed.share_of_frame_percent, Some(0.0));
        let found: Vec<_> = report.findings.iter().map(|f| (f.frame.as_str(), f.light.as_str())).collect();
        assert_eq!(found, [(Shoot::frame(shot).as_str(), light)], "{:?}", report.findings);
        // A misfire does not change the lighting: the lights are set as before.
        assert_eq!(report.frames[shot].lighting, report.frames[shot - 1].lighting);
    }
}
