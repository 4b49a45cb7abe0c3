//! Script planted in everything a photographer's files can hold, through the whole program: it arrives as text and runs nowhere.

use std::fs;

use crate::driver::Browser;
use crate::support::shoot::{self, Frame, analyse};

/// What would run if it were let through; the word tells where it was planted. A file's name can hold no slash.
macro_rules! planted {
    ($word:literal) => {
        concat!("<img src=x onerror=document.title='ran'><script>document.title='ran'<!--", $word, "-->&\"'")
    };
}

/// The places, by the word planted there.
const PLACES: [&str; 9] =
    ["in-folder", "in-name", "in-model", "in-serial", "in-lens", "in-light", "in-gel", "in-modifier", "in-role"];

#[test]
fn script_in_names_notes_exif_and_lens_arrives_as_text() {
    let Some(browser) = Browser::start() else {
        return;
    };
    let base = tempfile::tempdir().unwrap();
    let name = |number: u32| format!("{}_{number:04}.JPG", planted!("in-name"));
    let mut frames: Vec<Frame> =
        (0..).zip([60, 60, 90, 118, 118, 70]).map(|(n, code)| Frame::new(&name(n + 1), n * 40, code)).collect();
    for frame in &mut frames {
        (frame.model, frame.serial) = (planted!("in-model"), planted!("in-serial"));
    }
    for frame in &mut frames[3..] {
        frame.lens = planted!("in-lens");
    }
    let folder = base.path().join(planted!("in-folder"));
    fs::rename(shoot::write(base.path(), &frames), &folder).unwrap();
    // A second body, so that the page tells the two apart by name and serial number.
    let second = Frame { serial: "TS-0500", ..Frame::new("B_0001.JPG", 20, 60) };
    fs::write(folder.join(&second.name), second.jpeg()).unwrap();
    let cell = |text: &str| format!("\"{}\"", text.replace('"', "\"\""));
    let row = |frame: u32, light: &str, power: &str| {
        let texts = [&name(frame), light, power, planted!("in-gel"), planted!("in-modifier"), planted!("in-role")];
        texts.map(cell).join(",")
    };
    let notes =
        ["from,light,power,gel,modifier,role".to_owned(), row(1, planted!("in-light"), "1/8"), row(3, "key", "1/?")];
    fs::write(folder.join("light-notes.csv"), notes.join("\n")).unwrap();
    let out = base.path().join("report");
    let run = analyse(&folder, &out, &[]);
    let file = out.join("report.html");
    assert!(file.exists(), "{}", String::from_utf8_lossy(&run.stderr));
    let page = fs::read_to_string(&file).unwrap();
    for place in PLACES {
        assert!(page.contains(&format!("&lt;!--{place}--&gt;")), "nothing planted {place} arrived as text");
        assert!(!page.contains(&format!("<!--{place}")), "what was planted {place} arrived as markup");
    }
    assert!(!page.contains("<img src=x") && !page.contains("<script>document"));
    browser.open(&file);
    browser.run("document.querySelectorAll('details').forEach(d => d.open = true)");
    assert_ne!(browser.run("return document.title"), "ran");
    assert_eq!(browser.run("return document.querySelectorAll('script').length"), 1);
    assert_eq!(browser.errors(), Vec::<String>::new());
}
