//! Lists as people type and programs write them.

use stoptally::keepers::list::read;
use stoptally::keepers::listed::settle;
use stoptally::keepers::names::Names;
use stoptally::keepers::{Match, Settled};
use stoptally::problem::Code;

use super::scene::{codes, details, said, shed};

fn settled(text: &str) -> (Settled, Vec<String>) {
    let shots = shed();
    let settled = settle(&read(text).unwrap(), "picks.txt", &shots, &Names::of(&shots));
    let lines = said(&settled.choice.keepers, &shots);
    (settled, lines)
}

fn given(text: &str) -> Vec<String> {
    read(text).unwrap().into_iter().map(|entry| entry.given).collect()
}

#[test]
fn one_name_to_a_line() {
    let text = "# my picks\nTS_0001.JPG\n\n  TS_0002  \n- TS_0003.CR3\n\u{2022} ts_0004\n\"TS_0001-2\"\n// dust\n'Dust 12.jpg'\n";
    let (settled, lines) = settled(text);
    assert_eq!(
        lines,
        [
            "TS_0001.JPG -> name: TS_0001.JPG",
            "TS_0002 -> name: TS_0002.JPG",
            "TS_0003.CR3 -> name: TS_0003.JPG",
            "ts_0004 -> name: TS_0004.JPG",
            "TS_0001-2 -> name: TS_0001-2.JPG",
            "Dust 12.jpg -> name: Dust 12.jpg",
        ]
    );
    assert!(settled.problems.is_empty(), "{}", details(&settled.problems));
    assert!(settled.choice.judged.is_empty(), "a list names keepers alone");
}

#[test]
fn tables_with_headings() {
    for text in [
        "frame,stars\nTS_0001.JPG,5\nTS_0002.JPG,4\n",
        "Stars;File Name\n5;TS_0001.JPG\n4;TS_0002.JPG\n",
        "sep=;\nStars;FILENAME\n5;TS_0001.JPG\n4;TS_0002.JPG\n",
        "note\tImage\n\"the leap, at last\"\tTS_0001.JPG\n\tTS_0002.JPG\n",
        "SourceFile,Label\n\"TS_0001.JPG\",\"=1+1\"\nTS_0002.JPG,\n",
        // Without headings: the cell that ends like a picture, else the first.
        "1;TS_0001.JPG;the leap\n2;TS_0002.JPG;\n",
        "TS_0001.JPG,5\nTS_0002.JPG,4\n",
        // Frames of frames.csv with the column for keepers filled in; a name of two columns is the frame.
        "frame,name,keeper\nTS_0001.JPG,x,yes\nTS_0002.JPG,y,X\nTS_0003.JPG,z,no\nTS_0004.JPG,,\n",
    ] {
        assert_eq!(given(text), ["TS_0001.JPG", "TS_0002.JPG"], "{text}");
    }
    assert_eq!(given("given,frame,stage\none.jpg,TS_0001.JPG,1\ntwo.jpg,,\n"), ["TS_0001.JPG", "two.jpg"]);
    assert_eq!(given("frame\n'=1.jpg\n'-2.jpg\n"), ["=1.jpg", "-2.jpg"], "the apostrophe of our own tables goes");
    assert_eq!(given(""), Vec::<String>::new());
    assert_eq!(given("frame\n\n"), Vec::<String>::new());
    assert!(read("PK\u{3}\u{4}...").unwrap_err().contains("CSV") && read("\u{0}\u{1}").is_err());
}

#[test]
fn several_names_on_a_line_and_signs_in_a_name() {
    let (_, lines) = settled("TS_0001.JPG, TS_0002, TS_0004\nTS_0003;5;great\n");
    assert_eq!(
        lines,
        [
            "TS_0001.JPG -> name: TS_0001.JPG",
            "TS_0002 -> name: TS_0002.JPG",
            "TS_0004 -> name: TS_0004.JPG",
            "TS_0003 -> name: TS_0003.JPG",
        ],
        "stars and words beside a name are no names"
    );
    let shots = super::scene::sequences(vec![super::scene::file("key, rim 1.JPG", "T", 0)]);
    let settled = settle(&read("key, rim 1.jpg\n").unwrap(), "picks.txt", &shots, &Names::of(&shots));
    assert_eq!(said(&settled.choice.keepers, &shots), ["key, rim 1.jpg -> name: key, rim 1.JPG"]);
}

#[test]
fn none_several_and_twice_are_said_with_their_lines() {
    let (settled, lines) =
        settled("TS_0001\nTS_9999\nIMG_0004.JPG\nT_1\nts_0001\nTS_0003.JPG\nTS_0003.CR3\nTS_9999\nb/T_1.JPG\n");
    assert_eq!(
        lines,
        [
            "TS_0001 -> name: TS_0001.JPG",
            "TS_9999 -> none: ",
            "IMG_0004.JPG -> none: ",
            "T_1 -> one of several: a/T_1.JPG;b/T_1.JPG",
            "TS_0003.JPG -> name: TS_0003.JPG",
            "TS_0003.CR3 -> name: TS_0003.JPG",
            "b/T_1.JPG -> name: b/T_1.JPG",
        ]
    );
    let said = details(&settled.problems);
    assert_eq!(
        codes(&settled.problems),
        [
            Code::KeeperUnknown,
            Code::KeeperUnknown,
            Code::KeeperAmbiguous,
            Code::KeeperTwice,
            Code::KeeperTwice,
            Code::KeeperTwice
        ],
        "{said}"
    );
    for words in [
        "picks.txt: line 2: \"TS_9999\"\n",
        "line 3: \"IMG_0004.JPG\"; did you mean TS_0004.JPG?",
        "line 4: \"T_1\" may be a/T_1.JPG or b/T_1.JPG",
        "lines 1, 5\n",
        "lines 6, 7\n",
        "lines 2, 8\n",
    ] {
        assert!(said.contains(words), "{words} in {said}");
    }
    assert_eq!(settled.choice.keepers.iter().filter(|k| k.matched == Match::Name).count(), 4);
}
