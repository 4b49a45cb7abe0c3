//! Files and lines that cannot be followed: each is named with its line and its remedy, and stops nothing else.

use stoptally::light::Told;
use stoptally::notes::of_bytes;
use stoptally::problem::Code;

use super::scene::{codes, line, notes, said, six};

const PLAIN: &str =
    "from,light,power,gel,note\nTS_0001,key,\"1/8 -0,3\",amber,\"blåtop, left\"\nTS_0002,rim,⅛,,\nTS_0004,key,off,,\n";

/// One table in every dress gives one answer.
#[test]
fn separators_encodings_and_line_ends() {
    let shots = six();
    let wanted = notes(PLAIN, &shots);
    assert!(codes(&wanted).is_empty(), "{}", said(&wanted));
    assert_eq!(line(&wanted.of(&shots[0]), "key"), "-3.3 -3.3 -3.3 - - -");
    let semicolons =
        "From;LAMP;Pwr;Gels;Remarks\nTS_0001;key;1/8 -0,3;amber;blåtop, left\nTS_0002;rim;⅛;;\nTS_0004;key;off;;\n";
    let tabs = semicolons.replace(';', "\t");
    let shuffled = "note,power,light,from,gel\n\"blåtop, left\",\"1/8 -0,3\",key,TS_0001,amber\n,⅛,rim,TS_0002,\n,off,key,TS_0004,\n";
    let little = |text: &str| -> Vec<u8> {
        [0xFF, 0xFE].into_iter().chain(text.encode_utf16().flat_map(u16::to_le_bytes)).collect()
    };
    let old = PLAIN.replace('⅛', "1/8");
    let dresses: Vec<Vec<u8>> = vec![
        semicolons.into(),
        format!("sep=;\n{semicolons}").into(),
        format!("\u{feff}{tabs}").into(),
        shuffled.into(),
        PLAIN.replace('\n', "\r\n").into(),
        PLAIN.replace('\n', "\r").into(),
        little(PLAIN),
        little(&tabs.replace('\n', "\r\n")),
        old.chars().map(|c| u8::try_from(u32::from(c)).unwrap()).collect(),
        PLAIN.replace(",\n", ",,,\n").replace("note\n", "note,,\n").replace("left\"\n", "left\",,\n").into(),
        PLAIN.replace("TS_0002", "\n,,,,\n# rim next\nTS_0002").into(),
    ];
    for (index, bytes) in dresses.iter().enumerate() {
        let found = of_bytes(bytes, "light-notes.csv").settle(&shots, &[]);
        assert!(codes(&found).is_empty(), "dress {index}: {}", said(&found));
        let bare = |noted: stoptally::notes::NotedSequence| {
            let shots = noted.shots.into_iter().flatten();
            shots.map(|s| (s.on, s.power, s.gel)).collect::<Vec<_>>()
        };
        assert_eq!(bare(found.of(&shots[0])), bare(wanted.of(&shots[0])), "dress {index}");
    }
}

#[test]
fn files_that_are_no_table() {
    let shots = six();
    for (bytes, word) in [
        (&b""[..], "empty"),
        (b"\n \n", "empty"),
        (b"PK\x03\x04\x14\0\x06\0", "CSV"),
        (b"TS_0001,key,1/8\nTS_0002,key,1/4\n", "no column from and no column light and no column power"),
        (b"from,light\nTS_0001,key\n", "no column power"),
        (b"frame;what\n", "no column light"),
        (b"\xff\xd8\xff\xe0\0\x10JFIF", "text"),
    ] {
        let found = of_bytes(bytes, "light-notes.csv").settle(&shots, &[]);
        assert_eq!(codes(&found), [Code::NotesUnreadable], "{word}");
        assert!(said(&found).starts_with("light-notes.csv: ") && said(&found).contains(word), "{}", said(&found));
        assert!(!found.used && found.of(&shots[0]).lights.is_empty());
    }
}

/// A line that cannot be followed leaves its light not said, and the other light as it was.
#[test]
fn lines_that_cannot_be_followed() {
    let shots = six();
    for (row, word) in [
        ("TS_0002,key,1/8 -0,3,amber,x", "6 cells under 5 headings"),
        ("TS_0002,key,off,amber,left, then right", "6 cells under 5 headings"),
        ("TS_0002,key,1/8,amber,\"left", "quotation mark"),
        ("TS_0002,key,1/8,amber,\"left\" side", "quotation mark"),
        ("TS_0002,key + top,1/8,amber,", "several lights"),
        ("TS_0002,\"key, top\",1/8,amber,", "several lights"),
    ] {
        let text = format!(
            "from,light,power,gel,note\nTS_0001,key,1/4,,\nTS_0001,top,1/2,,\nTS_0001,rim,1/16,,\n{row}\nTS_0004,key,1/8,,\"a, b\"\nTS_0004,top,1/8,,\n"
        );
        let found = notes(&text, &shots);
        assert_eq!(codes(&found), [Code::NoteLineUnclear], "{row}: {}", said(&found));
        assert!(said(&found).contains("line 5") && said(&found).contains(word), "{}", said(&found));
        let noted = found.of(&shots[0]);
        assert_eq!(line(&noted, "key"), "-2 ? ? -3 -3 -3", "{row}");
        assert_eq!(line(&noted, "top"), if word == "several lights" { "-1 ? ? -3 -3 -3" } else { "-1 -1 -1 -3 -3 -3" });
        assert_eq!(line(&noted, "rim"), "-4 -4 -4 -4 -4 -4", "{row}");
    }
    let all = notes("from,light,power\nTS_0001,key,1/4\nTS_0002,all,off\nTS_0003,rim,1/8\n", &shots);
    assert_eq!(codes(&all), [Code::NoteLineUnclear]);
    assert_eq!(
        (line(&all.of(&shots[0]), "key"), line(&all.of(&shots[0]), "rim")),
        ("-2 ? ? ? ? ?".into(), "? ? -3 -3 -3 -3".into())
    );
    let none = notes("from,light,power\nTS_0001,key,1/4\nTS_0002,,off\n", &shots);
    assert_eq!(codes(&none), [Code::NoteLineUnclear]);
    assert!(none.of(&shots[0]).shots.iter().flatten().all(|s| s.on == Told::Yes));
    let remark = notes("from,light,power,note\nTS_0001,key,1/4,\nTS_0002,,,dust settles\n", &shots);
    assert!(codes(&remark).is_empty(), "{}", said(&remark));
}

/// A cell that spans lines is a spreadsheet's; one that swallows rows is a mark that was never closed.
#[test]
fn a_quotation_mark_does_not_swallow_the_rows_below() {
    let shots = six();
    let long = notes("from,light,power,note\nTS_0001,key,1/4,\"left\nof the rails\"\nTS_0002,key,1/8?,\n", &shots);
    assert_eq!(codes(&long), [Code::NoteUnreadable]);
    assert!(said(&long).contains("line 4"), "lines are those of the file: {}", said(&long));
    let open =
        notes("from,light,power,note\nTS_0001,key,1/4,\"left\nTS_0002,rim,1/8,\nTS_0003,rim,1/4,\"x\"\n", &shots);
    assert_eq!(codes(&open), [Code::NoteLineUnclear]);
    assert_eq!(line(&open.of(&shots[0]), "rim"), "? -3 -2 -2 -2 -2");
    assert_eq!(line(&open.of(&shots[0]), "key"), "? ? ? ? ? ?");
    let short = notes(
        "from,light,power,gel,role,note\nTS_0001,key,1/4,\"am\nTS_0002,rim,1/8\nTS_0003,rim,1/4,,,\"x\"\n",
        &shots,
    );
    assert_eq!(
        (codes(&short), line(&short.of(&shots[0]), "rim")),
        (vec![Code::NoteLineUnclear], "? -3 -2 -2 -2 -2".into())
    );
    for between in ["TS_0002,rim,1/8,\n", ""] {
        let text = format!("from,light,power,note\nTS_0001,key,1/4,\"left\n{between}TS_0003,rim,1/4,reflector 15\"\n");
        let found = notes(&text, &shots);
        assert_eq!(codes(&found), [Code::NoteLineUnclear], "inches are no closing mark");
        assert!(line(&found.of(&shots[0]), "rim").ends_with(" -2 -2 -2 -2"), "{between}");
    }
    let middle = notes("note,from,light,power\n\"left\nof, the rails\",TS_0002,key,1/8\n", &shots);
    assert_eq!((codes(&middle), line(&middle.of(&shots[0]), "key")), (vec![], "? -3 -3 -3 -3 -3".into()));
}

#[test]
fn headings_and_lesser_cells() {
    let shots = six();
    let text =
        "from,light,power,battery,distance (m),Clock position,height_m,Flash\nTS_0001,key,1/8,full,12 ft,left,2,y\n";
    let found = notes(text, &shots);
    assert_eq!(
        codes(&found),
        [Code::NoteColumnUnknown, Code::NoteColumnUnknown, Code::NoteNumberUnreadable, Code::NoteNumberUnreadable]
    );
    for word in
        ["\"battery\"", "\"Flash\"", "line 2: distance of key: \"12 ft\"", "line 2: clock position of key: \"left\""]
    {
        assert!(said(&found).contains(word), "{word}: {}", said(&found));
    }
    let held = &found.of(&shots[0]).shots[0][0];
    assert_eq!((held.power, held.stand.distance_m, held.stand.height_m), (Some(-3.0), None, Some(2.0)));
    let bare = notes("from,light,power,\nTS_0001,key,1/8,\nTS_0002,key,1/8,octabox\n", &shots);
    assert_eq!(codes(&bare), [Code::NoteColumnUnknown]);
    assert!(said(&bare).contains("column 4 has none; line 3"), "{}", said(&bare));
    let roles = notes("from,light,power,role\nTS_0001,key,1/8,main light\nTS_0002,key,1/8,hair\n", &shots);
    assert_eq!(
        (codes(&roles), roles.of(&shots[0]).lights[0].role.as_str()),
        (vec![Code::NoteContradicts], "main light")
    );
}
