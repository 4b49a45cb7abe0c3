//! Powers as tired people type them. What is clear is read; what is not is named, and is never "off".
//!
//! A power 1/2^n is n stops below full: each full stop halves the light (definition). The spellings themselves are
//! common practice, no source.

use stoptally::light::Told;
use stoptally::notes::power::{Power, read};
use stoptally::problem::Code;

use super::scene::{codes, line, notes, said, six};

const THIRD: f64 = 1.0 / 3.0;

/// Clear spellings and the stops they mean.
pub const CLEAR: &[(&str, f64)] = &[
    ("1/1", 0.0),
    ("1/2", -1.0),
    ("1/4", -2.0),
    ("1/8", -3.0),
    ("1/16", -4.0),
    ("1/32", -5.0),
    ("1/64", -6.0),
    ("1/128", -7.0),
    ("1/256", -8.0),
    ("1/512", -9.0),
    (" 1/8 ", -3.0),
    ("1 / 8", -3.0),
    ("1/ 8", -3.0),
    ("⅛", -3.0),
    ("¼", -2.0),
    ("½", -1.0),
    ("1⁄8", -3.0),
    ("1∕8", -3.0),
    ("¹⁄₈", -3.0),
    ("¹/₁₆", -4.0),
    ("⅟16", -4.0),
    ("１／８", -3.0),
    ("1:8", -3.0),
    ("1:16", -4.0),
    ("1÷8", -3.0),
    ("1 ÷ 8", -3.0),
    ("'1/8", -3.0),
    ("=1/8", -3.0),
    ("1/8th", -3.0),
    ("1/32nd", -5.0),
    ("1/8 power", -3.0),
    ("1/8\u{a0}power", -3.0),
    ("1/8 -0.3", -3.3),
    ("1/8 -0,3", -3.3),
    ("1/8-0.3", -3.3),
    ("1/8 - 0.3", -3.3),
    ("1/8 \u{2212}0.3", -3.3),
    ("1/8 –0.3", -3.3),
    ("1/8 -.3", -3.3),
    ("1/16 -0.3", -4.3),
    ("1/8+0.7", -2.3),
    ("1/8 + 0.7", -2.3),
    ("1/8 +0,7", -2.3),
    ("1/8 ＋０．７", -2.3),
    ("1/8+1/3", -3.0 + THIRD),
    ("1/8 + 1 / 3", -3.0 + THIRD),
    ("1/8 +⅓", -3.0 + THIRD),
    ("1/8 -⅔", -3.0 - 2.0 * THIRD),
    ("⅛+⅓", -3.0 + THIRD),
    ("⅛ -0.3", -3.3),
    ("1:8 +0.3", -2.7),
    ("1/8 -1/3", -3.0 - THIRD),
    ("1/8 +1/2", -2.5),
    ("1/8 +½", -2.5),
    ("1/8 -1/2 stop", -3.5),
    ("1/8 -1 stop", -4.0),
    ("1/8 +1", -2.0),
    ("1/8 -2 stops", -5.0),
    ("1/8 -1 1/3", -4.0 - THIRD),
    ("1/8 -1⅓ stops", -4.0 - THIRD),
    ("1/8 -0.3 EV", -3.3),
    ("1/8 -0.3ev", -3.3),
    ("1/8 minus a third", -3.0 - THIRD),
    ("1/8 plus two thirds", -3.0 + 2.0 * THIRD),
    ("1/8 minus 0.3", -3.3),
    ("1/8 +0.0", -3.0),
    ("full", 0.0),
    ("Full power", 0.0),
    ("FULL", 0.0),
    ("full -0.3", -0.3),
    ("max", 0.0),
    ("1", 0.0),
    ("1:1", 0.0),
    ("half", -1.0),
    ("half power", -1.0),
    ("Quarter", -2.0),
    ("an eighth", -3.0),
    ("sixteenth", -4.0),
    ("half -1/3", -1.0 - THIRD),
    ("100%", 0.0),
    ("50%", -1.0),
    ("12.5%", -3.0),
    ("12,5 %", -3.0),
    ("25 percent", -2.0),
    ("6.25 %", -4.0),
    ("0.125", -3.0),
    ("0,0625", -4.0),
];

/// Clear spellings without a figure.
const WORDS: &[(&str, Power)] = &[
    ("off", Power::Off),
    ("OFF", Power::Off),
    (" off ", Power::Off),
    ("switched off", Power::Off),
    ("-", Power::Off),
    ("–", Power::Off),
    ("—", Power::Off),
    ("\u{2212}", Power::Off),
    ("--", Power::Off),
    ("'-", Power::Off),
    ("on", Power::On),
    ("On", Power::On),
    ("", Power::Same),
    ("  ", Power::Same),
    ("same", Power::Same),
    ("as before", Power::Same),
    ("?", Power::NotKnown),
    ("unknown", Power::NotKnown),
];

/// Dates that a spreadsheet made of a power, and the power.
const DATES: &[(&str, u32)] = &[
    ("01/08/2026", 8),
    ("08/01/2026", 8),
    ("1/8/2026", 8),
    ("8/1/26", 8),
    ("8-Jan", 8),
    ("08-Jan", 8),
    ("8 January", 8),
    ("Jan 8", 8),
    ("Jan 8, 2026", 8),
    ("8-Jan-2026", 8),
    ("1. Aug", 8),
    ("01. Aug", 8),
    ("1-Aug", 8),
    ("01.08.2026", 8),
    ("8.1.2026", 8),
    ("2026-01-08", 8),
    ("2026-08-01", 8),
    ("2026-01-08 00:00:00", 8),
    ("2026-01-08T00:00:00", 8),
    ("01/08", 8),
    ("08.01.", 8),
    ("Jan-16", 16),
    ("16-Jan", 16),
    ("2026-01-16", 16),
    ("16/01/2026", 16),
    ("01/16/2026", 16),
    ("Jan-32", 32),
    ("1932-01-01", 32),
    ("01/01/1964", 64),
    ("01.01.32", 32),
    ("1-Jan", 1),
    ("2026-01-01", 1),
    ("2-Jan", 2),
    ("1-Feb", 2),
    ("4-Jan", 4),
    ("2026-04-01", 4),
];

/// Spellings that may mean several things, or none.
pub const UNCLEAR: &[&str] = &[
    "-3",
    "-0.3",
    "+1",
    "3",
    "8",
    "0",
    "0%",
    "0.5",
    "0,3",
    "0.25",
    "1.0",
    "5.3",
    "150%",
    "-5%",
    "%",
    "12.5.1%",
    "1/3",
    "1/6",
    "1/12",
    "1/25",
    "1/100",
    "1/2048",
    "1/0",
    "1/",
    "/8",
    "1//8",
    "1/8/",
    "2/8",
    "3/4",
    "8/1",
    "l/8",
    "I/8",
    "1|8",
    "1\\8",
    "1/o8",
    "1/8?",
    "~1/8",
    "ca. 1/8",
    "1/8!",
    "(1/8)",
    "1/8 (-0.3)",
    "1/8 0.3",
    "1/8 0,3",
    "1/8 1/3",
    "1/8 ⅓",
    "⅛½",
    "1½",
    "1/8,3",
    "1/8.3",
    "1/8.",
    "1/8 -0",
    "1/8 -3",
    "1/8 -7",
    "1/8 -03",
    "1/8 - -0.3",
    "1/8 +-0.3",
    "1/8 ±0.3",
    "1/8 -",
    "1/8 +",
    "1/8-1/16",
    "1/8 - 1/4",
    "1/8 -1/2",
    "1/8 -½",
    "1/8 – 1/16",
    "1/8 or 1/16",
    "1/8 to 1/16",
    "1/8->1/16",
    "1/8 1/16",
    "1/8 x2",
    "2x 1/8",
    "1/8 @ 2 m",
    "1/8 amber",
    "1/8s",
    "1/8 -0.3 m",
    "1/1 +0.3",
    "full +1",
    "1/8 +4 stops",
    "1/1024 -3 stops",
    "1e-3",
    "NaN",
    "inf",
    "0x8",
    "TTL",
    "auto",
    "min",
    "low",
    "none",
    "no",
    "n/a",
    "0ff",
    "of",
    "offf",
    "off?",
    "off 1/8",
    "on 1/8",
    "not off",
    "aus",
    "an",
    "x",
    "yes",
    ".",
    "/",
    "=",
    "'",
    "#REF!",
    "#VALUE!",
    "=off",
    "=A1",
    "3-Jan",
    "12-Mar-2026",
    "2026-03-12",
    "16-Feb",
    "2016-01-01",
    "01/01/16",
    "31/02",
    "Jan",
    "46030",
    "1-8",
    "01/08/1",
    "2026",
    "1/8 2026",
    "halfpower",
    "half half",
    "quarter stop",
    "third",
    "one",
    "１／３",
    "\u{202e}1/8",
    "🔦",
];

#[test]
fn clear_powers_are_read() {
    assert!(CLEAR.len() >= 55);
    for (typed, stops) in CLEAR {
        match read(typed).unwrap_or_else(|why| panic!("{typed:?}: {why}")) {
            reading if reading.from_date.is_some() => panic!("{typed:?} was taken for a date"),
            reading => match reading.power {
                Power::Stops(found) => assert!((found - stops).abs() < 1e-12, "{typed:?}: {found} against {stops}"),
                other => panic!("{typed:?}: {other:?}"),
            },
        }
    }
    for (typed, power) in WORDS {
        assert_eq!(read(typed).map(|r| r.power), Ok(*power), "{typed:?}");
    }
}

#[test]
fn dates_are_read_and_flagged() {
    for (typed, below) in DATES {
        let reading = read(typed).unwrap_or_else(|why| panic!("{typed:?}: {why}"));
        assert_eq!(reading.from_date, Some(format!("1/{below}")), "{typed:?}");
        assert_eq!(reading.power, Power::Stops(-f64::from(*below).log2()), "{typed:?}");
    }
    let shots = six();
    let found = notes("from,light,power\nTS_0002,key,8-Jan\n", &shots);
    assert_eq!(codes(&found), [Code::NoteDate]);
    assert!(
        said(&found).contains("line 2") && said(&found).contains("\"8-Jan\"") && said(&found).contains("1/8"),
        "{}",
        said(&found)
    );
    assert_eq!(line(&found.of(&shots[0]), "key"), "? -3 -3 -3 -3 -3");
}

#[test]
fn what_is_not_clear_is_named_and_never_off() {
    assert!(UNCLEAR.len() >= 50);
    let shots = six();
    for typed in UNCLEAR {
        assert!(read(typed).is_err(), "{typed:?} was read as {:?}", read(typed));
        // In a table: named with line and value, not said from there to the light's next row, and nothing else stops.
        let quoted = typed.replace('"', "\"\"");
        let text =
            format!("from,light,power\nTS_0001,key,1/4\nTS_0001,rim,1/16\nTS_0002,key,\"{quoted}\"\nTS_0004,key,1/8\n");
        let found = notes(&text, &shots);
        assert_eq!(codes(&found), [Code::NoteUnreadable], "{typed:?}");
        let words = said(&found);
        assert!(words.contains("line 4") && words.contains(&format!("{typed:?}")) && words.contains("key"), "{words}");
        let noted = found.of(&shots[0]);
        assert_eq!(line(&noted, "key"), "-2 ? ? -3 -3 -3", "{typed:?}");
        assert_eq!(line(&noted, "rim"), "-4 -4 -4 -4 -4 -4");
        assert!(noted.shots.iter().flatten().all(|said| said.on != Told::No), "{typed:?}");
    }
}
