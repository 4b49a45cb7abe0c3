//! Names as people and programs spell them, beside the shots they stand for.

use stoptally::keepers::names::Names;

use super::scene::{frames, shed};

#[test]
fn spellings_of_one_shot() {
    let shots = shed();
    let names = Names::of(&shots);
    for (given, frame) in [
        // As it is, and with less.
        ("TS_0002.JPG", "TS_0002.JPG"),
        ("ts_0002.jpg", "TS_0002.JPG"),
        ("TS_0002", "TS_0002.JPG"),
        (" TS_0002 ", "TS_0002.JPG"),
        ("TS 0002", "TS_0002.JPG"),
        ("TS0002", "TS_0002.JPG"),
        ("ts-0002", "TS_0002.JPG"),
        // Another ending: the raw of the JPEG, another format, a sidecar.
        ("TS_0003.CR3", "TS_0003.JPG"),
        ("TS_0002.NEF", "TS_0002.JPG"),
        ("TS_0002.tif", "TS_0002.JPG"),
        ("TS_0002.psd", "TS_0002.JPG"),
        ("TS_0002.xmp", "TS_0002.JPG"),
        // A folder before it, in any system's way.
        ("./TS_0002.JPG", "TS_0002.JPG"),
        ("/photos/shed/TS_0002.JPG", "TS_0002.JPG"),
        ("D:\\photos\\shed\\TS_0002.JPG", "TS_0002.JPG"),
        // Behind it, what programs and people add.
        ("TS_0002-2.jpg", "TS_0002.JPG"),
        ("TS_0002_edit.jpg", "TS_0002.JPG"),
        ("TS_0002 copy.jpg", "TS_0002.JPG"),
        ("TS_0002 (1).jpg", "TS_0002.JPG"),
        ("TS_0002(1)", "TS_0002.JPG"),
        ("TS_0002-Edit-2.tif", "TS_0002.JPG"),
        ("TS_0002bw.jpg", "TS_0002.JPG"),
        ("TS_0002_1920x1080.jpg", "TS_0002.JPG"),
        ("TS_0002-2048.jpg", "TS_0002.JPG"),
        ("TS_0002.JPG.jpg", "TS_0002.JPG"),
        // Before it, and both.
        ("web_TS_0002.jpg", "TS_0002.JPG"),
        ("2026-11-07 TS_0002 final.jpg", "TS_0002.JPG"),
        // The longer of two shots' names.
        ("TS_0001-2.jpg", "TS_0001-2.JPG"),
        ("TS_0001-2_edit.jpg", "TS_0001-2.JPG"),
        ("TS_0001_edit.jpg", "TS_0001.JPG"),
        // Blanks in the name itself, and a number alone.
        ("dust_12", "Dust 12.jpg"),
        ("12", "Dust 12.jpg"),
        ("0004", "TS_0004.JPG"),
        ("4", "TS_0004.JPG"),
        // A folder of the shoot tells two apart.
        ("b/T_1", "b/T_1.JPG"),
        ("A\\t_1.jpg", "a/T_1.JPG"),
        ("shed/b/T_1-edit.jpg", "b/T_1.JPG"),
    ] {
        assert_eq!(frames(&names.find(given), &shots), [frame], "{given:?}");
    }
}

#[test]
fn names_of_several_shots_and_of_none() {
    let shots = shed();
    let names = Names::of(&shots);
    assert_eq!(frames(&names.find("T_1.JPG"), &shots), ["a/T_1.JPG", "b/T_1.JPG"]);
    assert_eq!(frames(&names.find("elsewhere/T_1"), &shots), ["a/T_1.JPG", "b/T_1.JPG"]);
    assert_eq!(frames(&names.find("TS_0002 and TS_0004.jpg"), &shots), ["TS_0002.JPG", "TS_0004.JPG"], "a diptych");
    assert_eq!(frames(&names.find("1"), &shots), ["TS_0001.JPG", "a/T_1.JPG", "b/T_1.JPG"]);
    for given in [
        "",
        " ",
        "...",
        "TS_0009",
        "TS_00021.JPG",
        "XTS_0002",
        "TS",
        "leap.jpg",
        "12a",
        "12.jpg",
        "0004.JPG",
        "Dust",
        "99",
    ] {
        assert_eq!(frames(&names.find(given), &shots), Vec::<&str>::new(), "{given:?}");
    }
    assert_eq!(names.like("IMG_0004.JPG"), Some("TS_0004.JPG"));
    assert_eq!((names.like("IMG_0001.JPG"), names.like("leap")), (None, None), "several, and no number");
}
