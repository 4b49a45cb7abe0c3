//! Settings are no light: what ISO, aperture and shutter do is taken out before anything is said of a lamp.

use super::fields::Falls;
use super::files::{agrees, row, told};
use super::shoot::{Shoot, USUAL};

/// A key at one power, and ambient frames enough to know it.
fn one_key() -> Shoot {
    let mut s = Shoot::new(0.01, &[("key", Falls::Left, 0.56)]);
    s.shot(USUAL, &[]);
    // Twice: a single one would be a slip of the dial.
    s.shot(USUAL.time(30), &[]);
    s.shot(USUAL.time(30), &[]);
    s
}

#[test]
fn a_frame_against_itself_at_another_iso_is_no_change_of_light() {
    let mut shoot = one_key();
    for iso in [100, 200, 400, 100, 50] {
        shoot.shot(USUAL.iso(iso), &[("key", -3)]);
    }
    let report = told(&shoot);
    agrees(&shoot, &report, 0.05, 2.0);
    let lightings: Vec<_> = report.frames[3..].iter().map(|f| f.lighting).collect();
    assert!(lightings.iter().all(|l| l.is_some() && *l == lightings[0]), "{lightings:?}");
    assert!(report.findings.is_empty(), "{:?}", report.findings);
    for stage in &report.stages[2..] {
        assert!(!stage.changed.contains("key") || stage.first_frame == Shoot::frame(3), "{}", stage.changed);
    }
}

/// A longer shutter raises the ambient and not the flash: the ambient's strength with the settings taken out stays, its
/// share grows, and the key is told the same.
#[test]
fn the_shutter_changes_the_ambient_and_not_the_key() {
    let mut shoot = one_key();
    for time in [125, 60, 30, 15, 8] {
        shoot.shot(USUAL.time(time), &[]);
    }
    for time in [250, 125, 60, 30, 15] {
        shoot.shot(USUAL.time(time), &[("key", -3)]);
    }
    shoot.shot(USUAL, &[("key", -4)]);
    let report = told(&shoot);
    agrees(&shoot, &report, 0.05, 2.0);
    let mut last = 0.0;
    for i in 8..13 {
        let frame = Shoot::frame(i);
        let stage = report.stages.iter().find(|s| s.first_frame == frame).unwrap();
        let ambient = &stage.detail.light_account.as_ref().unwrap().ambient;
        let really = 100.0 * shoot.ambient_falls(i) / (shoot.ambient_falls(i) + shoot.falls(i, 0));
        let share = ambient.share_percent.unwrap();
        assert!((share - really).abs() < 2.0, "{frame}: {share} % ambient, really {really:.1} %");
        assert!(share > last, "{frame}");
        last = share;
        if really > 10.0 {
            assert!(ambient.stops.unwrap().abs() < 0.1, "{frame}: {:?}", ambient.stops);
        }
    }
    assert!(report.findings.is_empty(), "{:?}", report.findings);
}

/// The ambient falls by a stop between two runs: its own strength says so, and no lamp is blamed.
#[test]
fn a_change_of_the_ambient_is_the_ambients() {
    let mut shoot = one_key();
    for time in [30, 15, 8] {
        shoot.shot(USUAL.time(time), &[]);
    }
    for _ in 0..2 {
        shoot.shot(USUAL.time(15), &[("key", -3)]);
    }
    shoot.shot(USUAL, &[("key", -4)]);
    for power in [-3, -4, -3] {
        shoot.shot(USUAL.time(15), &[("key", power)]).ambient = 0.005;
    }
    shoot.shot(USUAL.time(15), &[]).ambient = 0.005;
    // An hour later.
    for shot in &mut shoot.shots[9..] {
        shot.second += 1800.0;
    }
    let report = told(&shoot);
    agrees(&shoot, &report, 0.1, 5.0);
    let stops = |i: usize| {
        let stage = report.frames[i].stage.unwrap() as usize - 1;
        report.stages[stage].detail.light_account.as_ref().unwrap().ambient.stops.unwrap()
    };
    let fall = stops(shoot.shots.len() - 1) - stops(4);
    assert!((fall + 1.0).abs() < 0.1, "{fall}");
    assert!(report.light_ledger.iter().all(|r| r.agrees != "differs"));
}

/// Above sync speed a curtain hides part of the frame: nothing is claimed, and why.
#[test]
fn above_sync_speed_nothing_is_claimed() {
    let mut shoot = one_key();
    for time in [125, 250, 500, 500, 125] {
        shoot.shot(USUAL.time(time), &[("key", -3)]);
    }
    shoot.shot(USUAL, &[("key", -4)]);
    let report = told(&shoot);
    for i in [5, 6] {
        assert_eq!(shoot.shots[i].settings.tv, 9.0);
        let row = row(&report, i, "key");
        assert_eq!((row.on.as_str(), row.misfire.as_str(), row.agrees.as_str()), ("unknown", "unknown", "not tested"));
        assert_eq!((row.light_stops, row.share_of_frame_percent), (None, None));
        assert_eq!(row.evidence, "not comparable");
        assert!(row.reason.contains("sync"), "{}", row.reason);
    }
    // At sync speed itself the light is told.
    for i in [3, 4, 7, 8] {
        assert_eq!(row(&report, i, "key").on, "yes", "shot {i}");
    }
    assert!(report.findings.iter().all(|f| f.light.is_empty()), "{:?}", report.findings);
}
