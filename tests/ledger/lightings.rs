//! Which shots share a lighting, and where a stage is cut.

use super::made::{Made, colour, gel, missed, noted, off, on, unknown};
use stoptally::light::Told;

#[test]
fn a_lighting_met_again_has_its_old_number() {
    let mut made = Made::four();
    let (dark, key) = ([off(), off(), off(), off()], [on(0.0), off(), off(), off()]);
    made.add(1, &dark).add(2, &key).add(1, &[on(0.0), on(0.0), off(), off()]).add(1, &key).add(1, &dark);
    assert_eq!(made.numbers(), [1, 2, 2, 3, 2, 1].map(Some));
}

#[test]
fn numbers_go_on_over_cameras() {
    let mut made = Made::of(&["key"]);
    made.add(1, &[off()]).add(1, &[on(0.0)]);
    let found = super::made::found(&[&made, &made]);
    let numbers: Vec<_> = found.ledger.sequences.iter().flat_map(|s| &s.shots).map(|s| s.lighting).collect();
    assert_eq!(numbers, [1, 2, 3, 4].map(Some), "two bodies without a shared moment share no lighting");
    let row = |n: usize| (found.report.lightings[n].detail.light_account.each_light[0].light_index, n);
    assert_eq!((row(1).0, row(3).0), (0, 1));
}

#[test]
fn a_misfire_changes_nothing_that_was_set() {
    let mut made = Made::four();
    let set = [on(0.0), on(0.0), off(), off()];
    made.add(2, &set).add(1, &[on(0.0), missed(on(0.0)), off(), off()]).add(2, &set);
    assert_eq!(made.numbers(), [Some(1); 5]);
    assert_eq!(made.found().stages.stages.len(), 1);
    // The twin: the same light switched off is another lighting.
    let mut made = Made::four();
    made.add(2, &set).add(1, &[on(0.0), off(), off(), off()]).add(2, &set);
    assert_eq!(made.numbers(), [1, 1, 2, 1, 1].map(Some));
    assert_eq!(made.found().stages.stages.len(), 3);
}

#[test]
fn a_shot_not_told_takes_what_its_neighbours_agree_on() {
    let mut made = Made::four();
    let (key, both) = ([on(0.0), off(), off(), off()], [on(0.0), on(0.0), off(), off()]);
    let lost = [on(0.0), unknown("too weak to tell"), off(), off()];
    made.add(1, &key).add(1, &lost).add(1, &key).add(1, &lost).add(1, &both).add(1, &lost);
    assert_eq!(made.numbers(), [Some(1), Some(1), Some(1), None, Some(2), None]);
    assert_eq!(made.found().stages.stages.len(), 4, "nobody knows which of the two the fourth shot belongs to");
}

#[test]
fn a_shot_that_cannot_be_compared_is_numbered_by_its_notes_or_its_neighbours() {
    let key = [noted(-3.0, 0.0), off(), off(), off()];
    let rim = [noted(-3.0, 0.0), noted(-4.0, 0.0), off(), off()];
    let mut by_notes = Made::noted();
    by_notes.add(1, &key).add(1, &rim).not_comparable().add(1, &key);
    assert_eq!(by_notes.numbers(), [1, 2, 1].map(Some), "the notes say the rim was on");
    let mut blind = Made::four();
    blind.add(1, &[on(0.0), off(), off(), off()]).add(1, &[on(0.0), on(0.0), off(), off()]).not_comparable();
    blind.add(1, &[on(0.0), off(), off(), off()]).add(1, &[on(1.0), off(), off(), off()]).not_comparable();
    assert_eq!(blind.numbers(), [Some(1), Some(1), Some(1), None]);
    let mut dark = Made::four();
    let key = [on(0.0), off(), off(), off()];
    dark.add(1, &key).add(1, &[off(), off(), off(), off()]).not_comparable().add(1, &key);
    assert_eq!(dark.numbers(), [Some(1); 3], "a picture that cannot be compared does not show that a light is off");
}

/// A light noted on, with its colour not to be told: its gel cannot have changed unseen.
#[test]
fn a_shot_without_a_colour_shows_no_change_of_it() {
    let mut made = Made::noted();
    let key = [gel(noted(-3.0, 0.0), "CTO"), off(), off(), off()];
    let mut grey = key.clone();
    grey[0].setting.colour = 0;
    made.add(1, &key).add(1, &grey).not_comparable().add(1, &key);
    assert_eq!(made.numbers(), [Some(1); 3]);
}

#[test]
fn levels_within_the_tolerance_are_one_and_small_steps_do_not_add_up() {
    let at = |level: f64| [on(level), off(), off(), off()];
    let mut made = Made::four();
    for level in [0.0, 0.1, 0.14, 0.2, 0.3, 0.06] {
        made.add(1, &at(level));
    }
    // 0.2 is 0.2 from the first of its lighting: a new one. 0.3 and 0.06 lie within 0.15 of that new one's 0.2.
    assert_eq!(made.numbers(), [1, 1, 1, 2, 2, 2].map(Some));
}

#[test]
fn a_noted_tenth_of_a_stop_is_another_lighting() {
    let at = |power: f64| [noted(power, 0.0), off(), off(), off()];
    let mut made = Made::noted();
    made.add(1, &at(-3.0)).add(1, &at(-3.1)).add(1, &at(-3.0 - 1e-12));
    assert_eq!(made.numbers(), [1, 2, 1].map(Some));
}

#[test]
fn gel_colour_and_modifier_make_a_lighting() {
    let mut grid = on(0.0);
    grid.setting.modifier = "grid".to_owned();
    let one = |entry| [entry, off(), off(), off()];
    let mut made = Made::four();
    made.add(1, &one(on(0.0))).add(1, &one(gel(on(0.0), "CTO"))).add(1, &one(colour(on(0.0), 2, 1.3, 0.7)));
    made.add(1, &one(grid));
    assert_eq!(made.numbers(), [1, 2, 3, 4].map(Some));
}

/// Lights that are not told may be any: two such stages are not the same setup.
#[test]
fn a_setup_that_is_not_told_is_never_met_again() {
    let lost = |made: &mut Made| {
        made.add(1, &[on(0.0), unknown("too weak"), off(), off()]);
    };
    let mut made = Made::four();
    made.add(1, &[on(0.0), off(), off(), off()]);
    lost(&mut made);
    made.add(1, &[on(0.0), on(0.0), off(), off()]);
    lost(&mut made);
    made.add(1, &[on(0.0), off(), off(), off()]);
    let setups: Vec<_> = made.found().stages.stages.iter().map(|s| (s.setup, s.first_met)).collect();
    assert_eq!(setups, [(1, None), (2, None), (3, None), (4, None), (1, Some(1))]);
}

#[test]
fn without_lights_nothing_is_numbered_and_nothing_is_cut() {
    let mut made = Made::of(&[]);
    made.add(3, &[]);
    assert_eq!(made.numbers(), [None; 3]);
    let found = made.found();
    assert_eq!((found.stages.stages.len(), found.report.lightings.len()), (1, 0));
}

/// A gap in the ledger itself, however it came about, does not cut a stage in two.
#[test]
fn a_gap_between_equal_lightings_does_not_cut_a_stage() {
    let mut made = Made::four();
    made.add(5, &[on(0.0), off(), off(), off()]);
    let found = made.found();
    let mut ledger = found.ledger;
    ledger.sequences[0].shots[2].lighting = None;
    let split = |ledger: &_| stoptally::stages::split(std::slice::from_ref(&made.sequence), ledger, 0.004).stages.len();
    assert_eq!(split(&ledger), 1);
    ledger.sequences[0].shots[3].lighting = Some(2);
    ledger.sequences[0].shots[3].entries[0].setting.on = Told::No;
    assert_eq!(split(&ledger), 4, "between different lightings the gap belongs to neither");
}
