//! No input panics, every printed power reads back, and nothing but a word or a dash for it is "off".

use proptest::prelude::*;
use stoptally::notes::of_bytes;
use stoptally::notes::power::{Power, read};

use super::scene::{line, notes, six};

proptest! {
    #[test]
    fn no_bytes_panic(bytes in proptest::collection::vec(any::<u8>(), 0..400)) {
        let shots = six();
        let found = of_bytes(&bytes, "light-notes.csv").settle(&shots, &[]);
        prop_assert_eq!(found.of(&shots[0]).shots.len(), 6);
    }

    #[test]
    fn no_rows_panic(rows in "([a-zA-Z0-9_/:.,;\"⅛ \\-+%'=#\n\t]|TS_0003|key|16:22|off|1/8){0,60}") {
        let shots = six();
        let found = notes(&format!("from,light,power,gel,modifier,distance_m,clock_position,height_m,role,note\n{rows}"), &shots);
        let noted = found.of(&shots[0]);
        prop_assert!(noted.shots.iter().all(|shot| shot.len() == noted.lights.len()));
    }

    #[test]
    fn a_printed_power_reads_back(
        below in 0_u32..=8,
        tenths in -9_i32..=9,
        sign in prop::sample::select(vec!["/", ":", "÷", "⁄", " / "]),
        minus in prop::sample::select(vec!["-", "–", "\u{2212}", "minus "]),
        point in prop::sample::select(vec![".", ","]),
        gap in prop::sample::select(vec!["", " "]),
        unit in prop::sample::select(vec!["", " stop", " EV"]),
    ) {
        let base = format!("1{sign}{}", 1_u32 << below);
        let amount = format!("{}{point}{}{unit}", tenths.abs() / 10, tenths.abs() % 10);
        let lead = if minus == "minus " { " " } else { gap };
        let typed = match tenths {
            0 => base,
            1.. => format!("{base}{gap}+{gap}{amount}"),
            _ => format!("{base}{lead}{minus}{gap}{amount}"),
        };
        let stops = f64::from(tenths) / 10.0 - f64::from(below);
        match read(&typed).map(|r| r.power) {
            Ok(Power::Stops(found)) => prop_assert!((found - stops).abs() < 1e-12, "{typed}: {found}"),
            other => prop_assert!(stops > 0.0 && other.is_err(), "{typed}: {other:?}"),
        }
    }

    #[test]
    fn only_a_word_or_a_dash_is_off(typed in "\\PC{0,12}|[0-9/ .,+\\-−–:%]{0,10}|o[a-z]{0,3}") {
        let plain = typed.trim().to_lowercase();
        let word = ["off", "switched off", "turned off"].contains(&plain.trim_start_matches('\''));
        let dash = plain.chars().all(|c| matches!(c, '-' | '–' | '—' | '−' | '\'') || ('\u{2010}'..='\u{2015}').contains(&c) || matches!(c, '\u{fe63}' | '－'));
        if read(&typed).is_ok_and(|r| r.power == Power::Off) {
            prop_assert!(word || dash, "{typed:?}");
        }
    }
}

/// The last property can fail: what it looks for is there.
#[test]
fn off_is_found() {
    assert!(read("off").is_ok_and(|r| r.power == Power::Off));
    let shots = six();
    assert_eq!(line(&notes("from,light,power\nTS_0001,key,off\n", &shots).of(&shots[0]), "key"), "- - - - - -");
}
