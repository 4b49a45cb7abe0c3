//! How far the ambient may rise, from a ledger made by hand: known, too dark to tell, and too strong already.

use super::made::{Made, about, off, on};
use stoptally::light::{AmbientEntry, Entry};
use stoptally::report::next_types::Statement;

fn share(mut entry: Entry, frame: f64) -> Entry {
    entry.share_of_frame = Some(frame);
    entry
}

/// The statement of one shot with a key and an ambient of these shares.
fn ambient(key: f64, ambient: f64, at_most: bool) -> Statement {
    let mut made = Made::of(&["key", "rim"]);
    made.add(1, &[share(on(0.0), key), off()]);
    made.ambient(AmbientEntry { stops: Some(about(0.0)), share_of_frame: Some(ambient), at_most });
    let mut all = made.found().report.next_time.ambient;
    assert_eq!(all.len(), 1);
    all.remove(0)
}

/// In linear light: 34.3 times the ambient is 5.1 stops over it, so 3.1 more put it at a quarter of the key.
#[test]
fn the_ambient_may_rise_until_it_is_two_stops_under_the_key() {
    let found = ambient(0.9, 0.9 / libm::exp2(5.1), false);
    assert!((found.value.unwrap() - 3.1).abs() < 1e-9 && !found.at_least);
    assert_eq!(found.words, "the ambient may rise 3.1 stops and stay 2 stops under key");
    assert!(found.how.contains("light against light over the whole frame"), "{}", found.how);
}

#[test]
fn a_picture_too_dark_to_tell_gives_at_least() {
    let found = ambient(0.9, 0.9 / libm::exp2(5.1), true);
    assert!((found.value.unwrap() - 3.1).abs() < 1e-9 && found.at_least);
    assert_eq!(found.words, "the ambient may rise at least 3.1 stops and stay 2 stops under key");
    let dark = ambient(0.5, 0.25, true);
    assert_eq!((dark.value, dark.words.as_str()), (None, "not known"));
    assert!(dark.why_unknown.contains("at least +1.0 stop over the ambient"), "{}", dark.why_unknown);
}

#[test]
fn an_ambient_too_strong_says_how_much_less_would_do() {
    let close = ambient(0.5, 0.25, false);
    assert!((close.value.unwrap() + 1.0).abs() < 1e-9);
    assert_eq!(close.words, "the ambient is only 1.0 stop under key: 1.0 stop less would put it 2 stops under key");
    let over = ambient(0.25, 0.5, false);
    assert_eq!(over.words, "the ambient is 1.0 stop over key: 3.0 stops less would put it 2 stops under key");
}

#[test]
fn a_ratio_that_is_not_known_says_why() {
    let mut made = Made::of(&["key", "rim"]);
    made.add(1, &[on(0.0), off()]);
    let found = &made.found().report.next_time.ambient[0];
    assert!(found.value.is_none() && !found.why_unknown.is_empty(), "{found:?}");
}

/// Most shot is the first lighting (three shots), last the third; the second is neither.
#[test]
fn it_is_told_for_the_lighting_shot_most_and_for_the_last() {
    let mut made = Made::of(&["key", "rim"]);
    let mut at = |shots, key: Entry, rim: Entry| {
        made.add(shots, &[key, rim]);
    };
    at(3, on(0.0), off());
    at(1, on(0.0), on(0.0));
    at(2, off(), on(0.0));
    let next = made.found().report.next_time;
    let told: Vec<_> = next.lightings.iter().map(|l| (l.lighting, l.chosen.as_str())).collect();
    assert_eq!(told, [(1, "most shot"), (3, "last")]);
    assert!(next.why_unknown.is_empty());
    let mut dark = Made::of(&["key", "rim"]);
    dark.add(2, &[off(), off()]);
    let next = dark.found().report.next_time;
    assert!(next.lightings.is_empty() && !next.why_unknown.is_empty());
}
