//! Any bytes as a list of keepers: no panic, every line is a keeper or said, and a match is a shot that is there.

#![no_main]

use std::sync::OnceLock;

use libfuzzer_sys::fuzz_target;
use stoptally::keepers::names::Names;
use stoptally::keepers::{Match, list, listed};
use stoptally::metadata::Metadata;
use stoptally::shots::clock::Clocks;
use stoptally::shots::{ReadFile, Sequence, assemble};
use stoptally::walk::{Kind, PhotoFile};

fn shots() -> &'static [Sequence] {
    static SHOTS: OnceLock<Vec<Sequence>> = OnceLock::new();
    SHOTS.get_or_init(|| {
        let names = ["TS_0001.JPG", "TS_0001-2.JPG", "TS_0002.JPG", "a/T_1.JPG", "b/T_1.JPG", "key, rim.JPG", "7.JPG"];
        let file = |name: &str| ReadFile {
            file: PhotoFile { path: name.into(), name: name.to_owned(), kind: Kind::Jpeg, bytes: 1 },
            metadata: Metadata::default(),
            measurement: None,
            flaws: Vec::new(),
        };
        assemble(names.map(file).into(), &Clocks::default()).0
    })
}

fuzz_target!(|bytes: &[u8]| {
    let text = String::from_utf8_lossy(bytes);
    let Ok(entries) = list::read(&text) else { return };
    let settled = listed::settle(&entries, "picks.txt", shots(), &Names::of(shots()));
    assert!(settled.choice.keepers.len() >= usize::from(!entries.is_empty()));
    for keeper in &settled.choice.keepers {
        assert!(keeper.shots.iter().all(|id| shots()[id.sequence].shots.get(id.shot).is_some()));
        let wanted = match keeper.shots.len() {
            0 => Match::None,
            1 => Match::Name,
            _ => Match::OneOfSeveral,
        };
        assert_eq!(keeper.matched, wanted);
    }
    let unsure = settled.choice.keepers.iter().filter(|k| k.matched != Match::Name).count();
    assert!(settled.problems.len() >= unsure, "none and several are said");
});
