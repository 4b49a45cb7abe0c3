//! No list and no sidecar panics, and whatever an edit changes, it reads as meant and does it once.

use proptest::prelude::*;
use stoptally::keepers::names::Names;
use stoptally::keepers::{Match, list, listed};
use stoptally::ratings::plan::{Change, changes};
use stoptally::ratings::{Said, edit, packet, sidecar};

use super::scene::{rated, shed, xmp};

/// XMP of the usual forms with a stretch of it exchanged.
fn damaged() -> impl Strategy<Value = Vec<u8>> {
    let forms = [
        rated("3"),
        rated("0"),
        xmp(""),
        xmp("").replace("/>", "><xmp:Rating>2</xmp:Rating></rdf:Description>"),
        xmp("").replace("/>", "><xmp:Rating/></rdf:Description>"),
    ];
    let piece = prop::sample::select(vec![
        "",
        "<",
        ">",
        "\"",
        "/",
        "xmp:Rating=\"5\"",
        "<xmp:Rating>5</xmp:Rating>",
        "<!--",
        "&#51;",
        "<![CDATA[4]]>",
        "\u{e5}",
        " ",
    ]);
    (prop::sample::select(forms.to_vec()), any::<prop::sample::Index>(), 0_usize..12, piece).prop_map(
        |(form, at, length, piece)| {
            let mut bytes = form.into_bytes();
            let start = at.index(bytes.len());
            let end = (start + length).min(bytes.len());
            bytes.splice(start..end, piece.bytes());
            bytes
        },
    )
}

proptest! {
    #[test]
    fn edits_of_any_xmp(bytes in damaged()) {
        let said = packet::said(&sidecar::text(&bytes));
        prop_assert!(said.rating().is_none_or(|r| r == -1.0 || (0.0..=5.0).contains(&r)));
        if let Ok(new) = edit::with_rating(&bytes, 4) {
            prop_assert_eq!(packet::said(&sidecar::text(&new)), Said::Rating(4.0));
            prop_assert_eq!(edit::with_rating(&new, 4), Ok(new.clone()));
            // One stretch at most is new, and no longer than a value or an attribute with its namespace.
            let head = bytes.iter().zip(&new).take_while(|(a, b)| a == b).count();
            let room = bytes.len().min(new.len()) - head;
            let tail = bytes.iter().rev().zip(new.iter().rev()).take(room).take_while(|(a, b)| a == b).count();
            prop_assert!(new.len() - head - tail <= 60, "{}", new.len() - head - tail);
        }
        let all = changes(&[Ok(bytes.clone())], None, 4, false);
        if let [Change::Write(_, before)] = &all[..] {
            prop_assert!(matches!(before, Some(Said::Nothing | Said::Rating(0.0))), "{before:?}");
        }
    }

    #[test]
    fn lists_of_any_text(text in "([a-zA-Z0-9_/.,;\"' ()=#\\-\n\t]|TS_0002|TS_0003\\.CR3|T_1|frame|keeper|yes){0,60}") {
        let shots = shed();
        let entries = list::read(&text).unwrap();
        let settled = listed::settle(&entries, "picks.txt", &shots, &Names::of(&shots));
        prop_assert!(settled.choice.keepers.is_empty() == entries.is_empty());
        for keeper in &settled.choice.keepers {
            let right = match keeper.matched {
                Match::None => keeper.shots.is_empty(),
                Match::OneOfSeveral => keeper.shots.len() > 1,
                _ => keeper.shots.len() == 1,
            };
            prop_assert!(right, "{keeper:?}");
        }
        let unsure = settled.choice.keepers.iter().filter(|k| k.matched != Match::Name).count();
        prop_assert!(settled.problems.len() >= unsure, "none and several are said");
    }
}

/// The properties can fail: edits and rewrites do occur.
#[test]
fn edits_occur() {
    assert!(edit::with_rating(rated("0").as_bytes(), 4).is_ok_and(|new| new == rated("4").into_bytes()));
    assert!(matches!(changes(&[Ok(xmp("").into_bytes())], None, 4, false)[..], [Change::Write(..)]));
}
