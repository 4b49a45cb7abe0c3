//! What changed, in a photographer's words.

use super::made::{Made, colour, gel, missed, noted, off, on, unknown};
use stoptally::stages::relit::hue;

#[test]
fn changes_without_notes_name_the_light_and_never_a_cause() {
    let mut made = Made::four();
    made.add(1, &[off(), off(), off(), off()]);
    made.add(1, &[on(0.0), off(), off(), off()]);
    made.add(1, &[on(0.0), on(0.0), on(0.0), on(0.0)]);
    made.add(1, &[on(0.0), on(0.6), off(), colour(on(0.0), 2, 1.3, 0.7)]);
    assert_eq!(made.headline(1), "first stage: no light on");
    assert_eq!(made.headline(2), "key on");
    assert_eq!(made.headline(3), "rim on, dust-left on, dust-right on");
    assert_eq!(made.headline(4), "rim +0.6 (cause not recorded), dust-left off, gel of dust-right changed: warmer");
}

#[test]
fn changes_with_notes_say_what_was_noted_and_what_the_picture_did() {
    let mut made = Made::noted();
    made.add(1, &[noted(-4.0, 0.0), off(), off(), off()]);
    made.add(1, &[noted(-3.0, 0.9), gel(noted(-4.0, 0.0), "CTO"), off(), off()]);
    made.add(1, &[noted(-3.0, 0.9), gel(noted(-4.0, 0.0), "blue"), off(), off()]);
    made.add(1, &[gel(noted(-3.0, 0.9), "CTO"), noted(-4.0, 0.0), off(), off()]);
    assert_eq!(made.headline(1), "first stage: key on at 1/16");
    assert_eq!(made.headline(2), "key 1/16 to 1/8 (picture +0.9), rim on at 1/16 with gel CTO");
    assert_eq!(made.headline(3), "gel of rim CTO to blue");
    assert_eq!(made.headline(4), "gel CTO on key, gel blue off rim");
}

#[test]
fn settings_and_lights_are_both_said() {
    let mut made = Made::four();
    made.add(2, &[off(), off(), off(), off()]);
    made.set(80, 200, 100).add(2, &[on(0.0), off(), off(), off()]);
    let found = made.found();
    assert_eq!(found.report.stages[1].detail.headline, "aperture f/5.6 to f/8, key on");
    let changed = &found.report.stages[1].changed;
    assert!(changed.starts_with("aperture f/5.6 to f/8 (-1.0), key on: settings -1.0; picture"), "{changed}");
}

#[test]
fn the_words_of_a_misfire_are_not_a_change() {
    let mut made = Made::four();
    made.add(1, &[on(0.0), on(0.0), off(), off()]).set(80, 200, 100);
    made.add(1, &[on(0.0), missed(on(0.0)), off(), off()]);
    assert_eq!(made.headline(2), "aperture f/5.6 to f/8");
}

#[test]
fn where_nothing_is_told_nothing_is_named() {
    let mut made = Made::four();
    made.add(1, &[on(0.0), off(), off(), off()]);
    made.add(1, &[on(0.0), unknown("too weak"), off(), off()]).add(1, &[on(0.0), on(0.0), off(), off()]);
    assert_eq!(made.headline(2), "which lights are on is not told here");
    assert_eq!(made.headline(3), "rim on (not told before)");
}

#[test]
fn many_changes_are_counted() {
    let names: Vec<String> = (1..=8).map(|n| format!("light-{n}")).collect();
    let names: Vec<&str> = names.iter().map(String::as_str).collect();
    let mut made = Made::of(&names);
    let before: Vec<_> = (0..8).map(|n| if n < 4 { on(0.0) } else { off() }).collect();
    let after: Vec<_> = (0..8).map(|n| if n < 4 { off() } else { on(0.0) }).collect();
    made.add(1, &before).add(1, &after);
    assert_eq!(made.headline(2), "8 changes of light: 4 on, 4 off");
    assert_eq!(made.headline(1), "first stage: light-1 on, light-2 on, light-3 on, light-4 on");
}

/// Warm light has more red against blue; a gain in green alone is neither.
#[test]
fn warm_and_cool_are_red_against_blue() {
    let one = Some([1.0, 1.0, 1.0]);
    assert_eq!(hue(one, Some([1.2, 1.0, 0.8])), "warmer");
    assert_eq!(hue(one, Some([0.8, 1.0, 1.2])), "cooler");
    assert_eq!(hue(one, Some([1.0, 1.4, 1.0])), "other colour");
    assert_eq!((hue(None, one), hue(one, Some([0.0; 3]))), ("other colour", "other colour"));
    assert_eq!(hue(one, Some([2.0, 2.0, 2.0])), "other colour", "stronger is not warmer");
}
