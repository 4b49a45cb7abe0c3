//! Any bytes as a sidecar: no panic, no other rating than ISO 16684-1 allows, and an edit changes one place alone.

#![no_main]

use libfuzzer_sys::fuzz_target;
use stoptally::ratings::plan::{Change, changes};
use stoptally::ratings::{Said, edit, packet, sidecar};

fn check(said: &Said) {
    if let Said::Rating(rating) = said {
        assert!(*rating == -1.0 || (0.0..=5.0).contains(rating), "{rating}");
    }
}

fuzz_target!(|bytes: &[u8]| {
    let text = sidecar::text(bytes);
    check(&packet::said(&text));
    if let Ok(new) = edit::with_rating(bytes, 4) {
        assert_eq!(packet::said(&sidecar::text(&new)), Said::Rating(4.0));
        // Where there was no rating one stretch is put in, and nothing goes.
        if !text.contains("Rating") {
            let head = bytes.iter().zip(&new).take_while(|(a, b)| a == b).count();
            assert!(new.ends_with(&bytes[head..]), "bytes went from {head} on");
        }
        assert_eq!(edit::with_rating(&new, 4).as_deref(), Ok(new.as_slice()), "a second time nothing changes");
    }
    for inside in [None, Some(4.0), Some(5.0)] {
        for change in changes(&[Ok(bytes.to_vec())], inside, 4, false) {
            if let Change::Write(_, before) = change {
                assert!(matches!(before, Some(Said::Nothing | Said::Rating(0.0))), "a person's rating is overwritten");
            }
        }
    }
});
