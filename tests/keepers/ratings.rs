//! Ratings in every place and form, and what holds when they disagree.

use image::{ExtendedColorType, ImageEncoder};
use stoptally::keepers::rating::settle;
use stoptally::metadata::read;
use stoptally::problem::Code;
use stoptally::ratings::sidecar::SidecarRating;
use stoptally::ratings::{FileRating, Place, Said};
use stoptally::shots::Sequence;
use stoptally::walk::{Kind, PhotoFile};

use super::scene::{codes, details, file, frames, rated, said, sequences, xmp};
use super::support::tiff::{Block, ascii, block, picture, short, with_exif};

fn found(kind: Kind, bytes: &[u8]) -> Vec<(Place, Said)> {
    let file = PhotoFile { path: "TS_1".into(), name: "TS_1".to_owned(), kind, bytes: 0 };
    read(&file, bytes).ratings.into_iter().map(|one| (one.place, one.said)).collect()
}

fn in_xmp(rating: f64) -> Vec<(Place, Said)> {
    vec![(Place::Xmp, Said::Rating(rating))]
}

/// A JPEG with an APP1 segment of this name put in behind its start (XMP part 3, JPEG).
fn with_segment(jpeg: &[u8], name: &[u8], content: &[u8]) -> Vec<u8> {
    let mut bytes = vec![0xFF, 0xD8, 0xFF, 0xE1];
    bytes.extend(u16::try_from(name.len() + content.len() + 2).unwrap().to_be_bytes());
    bytes.extend([name, content, &jpeg[2..]].concat());
    bytes
}

const MAIN: &[u8] = b"http://ns.adobe.com/xap/1.0/\0";
const MORE: &[u8] = b"http://ns.adobe.com/xmp/extension/\0";

#[test]
fn every_container_gives_up_its_xmp() {
    let xmp = rated("3");
    let jpeg = with_segment(&picture(0xC0, 16, 8), MAIN, xmp.as_bytes());
    assert_eq!(found(Kind::Jpeg, &jpeg), in_xmp(3.0));
    assert_eq!(found(Kind::Raw, &jpeg), in_xmp(3.0), "by its content, not by its name");
    // Extended XMP: a digest, a length, an offset and a piece. Before or behind the main one it is passed over.
    let piece = [&[b'0'; 32][..], &[0, 0, 1, 0, 0, 0, 0, 0], rated("5").as_bytes()].concat();
    assert_eq!(found(Kind::Jpeg, &with_segment(&jpeg, MORE, &piece)), in_xmp(3.0));
    assert_eq!(found(Kind::Jpeg, &with_segment(&picture(0xC0, 16, 8), MORE, &piece)), []);

    let mut tiff = Block::new(b"II");
    let packet: Vec<u8> = xmp.bytes().chain([0; 7]).collect();
    let entry = super::support::tiff::Entry {
        tag: 700,
        kind: 1,
        count: packet.len() as u32,
        value: super::support::tiff::Value::Bytes(packet),
    };
    tiff.directory(&[ascii(0x010F, "Testcam"), entry], 0);
    let tiff = tiff.finish();
    assert_eq!(
        (found(Kind::Tiff, &tiff), found(Kind::Raw, &tiff)),
        (in_xmp(3.0), in_xmp(3.0)),
        "tag 700, and in a raw"
    );

    let mut png = Vec::new();
    image::codecs::png::PngEncoder::new(&mut png).write_image(&[0; 3], 1, 1, ExtendedColorType::Rgb8).unwrap();
    let text = [b"XML:com.adobe.xmp\0\0\0\0\0", xmp.as_bytes()].concat();
    let chunk = [&u32::try_from(text.len()).unwrap().to_be_bytes(), &b"iTXt"[..], &text, &[0; 4]].concat();
    png.splice(33..33, chunk);
    assert_eq!(found(Kind::Png, &png), in_xmp(3.0));

    let mut webp = Vec::new();
    image::codecs::webp::WebPEncoder::new_lossless(&mut webp)
        .write_image(&[0; 3], 1, 1, ExtendedColorType::Rgb8)
        .unwrap();
    webp.extend([b"XMP ", &u32::try_from(xmp.len()).unwrap().to_le_bytes()[..], xmp.as_bytes()].concat());
    assert_eq!(found(Kind::Webp, &webp), in_xmp(3.0));

    let uuid = 0xBE7A_CFCB_97A9_42E8_9C71_9994_91E3_AFAC_u128.to_be_bytes();
    let cr3 = [
        super::support::tiff::a_box(b"ftyp", b"crx \0\0\0\x01crx isom"),
        super::support::tiff::a_box(b"uuid", &[&uuid, xmp.as_bytes()].concat()),
    ]
    .concat();
    assert_eq!(found(Kind::Raw, &cr3), in_xmp(3.0));
}

#[test]
fn the_exif_tag_stands_behind_xmp() {
    let exif = |rating: u16| block(b"MM", &[ascii(0x010F, "Testcam"), short(0x4746, &[rating])], &[]);
    let jpeg = |rating| with_exif(&picture(0xC0, 16, 8), &exif(rating));
    assert_eq!(found(Kind::Jpeg, &jpeg(4)), [(Place::Exif, Said::Rating(4.0))]);
    assert!(matches!(&found(Kind::Jpeg, &jpeg(6))[..], [(Place::Exif, Said::Unreadable(_))]));
    let both = with_segment(&jpeg(4), MAIN, rated("2.0").as_bytes());
    assert_eq!(found(Kind::Jpeg, &both), [(Place::Xmp, Said::Rating(2.0)), (Place::Exif, Said::Rating(4.0))]);
    assert_eq!(found(Kind::Jpeg, &picture(0xC0, 16, 8)), []);
}

/// Broken off anywhere, no XMP makes the reader panic, and none is read as another rating.
#[test]
fn cut_xmp_is_never_another_rating() {
    let whole = with_segment(&picture(0xC0, 16, 8), MAIN, rated("3").as_bytes());
    for length in 0..whole.len() {
        let rating = found(Kind::Jpeg, &whole[..length]);
        assert!(
            rating.iter().all(|(_, said)| matches!(said, Said::Unreadable(_)) || *said == Said::Rating(3.0)),
            "{length}"
        );
    }
}

/// Shots TS_1.JPG, TS_2.JPG, …, each with these ratings inside; the first with its raw beside it.
fn shots(inside: &[&[(&str, Place, Said)]]) -> Vec<Sequence> {
    let rated = (1..).zip(inside).map(|(n, all)| {
        let mut one = file(&format!("TS_{n}.JPG"), "T", n * 60);
        one.metadata.ratings = all
            .iter()
            .map(|(file, place, said)| FileRating { file: (*file).to_owned(), place: *place, said: said.clone() })
            .collect();
        one
    });
    sequences(rated.chain([file("TS_1.CR3", "T", 60)]).collect())
}

fn sidecars(all: &[(&str, Said)]) -> Vec<SidecarRating> {
    all.iter().map(|(name, said)| SidecarRating { name: (*name).to_owned(), said: said.clone() }).collect()
}

#[test]
fn kept_judged_and_not_judged() {
    use Said::Rating;
    let r = |rating| [("TS.JPG", Place::Xmp, Rating(rating))];
    let shots = shots(&[&r(5.0), &r(3.0), &r(2.0), &r(0.0), &r(-1.0), &[], &r(2.5)]);
    let settled = settle(&shots, &[], 3);
    assert_eq!(
        (frames(&settled.choice.keepers.iter().flat_map(|k| k.shots.clone()).collect::<Vec<_>>(), &shots)),
        ["TS_1.JPG", "TS_2.JPG"]
    );
    assert_eq!(frames(&settled.choice.judged, &shots), ["TS_1.JPG", "TS_2.JPG", "TS_3.JPG", "TS_5.JPG", "TS_7.JPG"]);
    assert!(settled.problems.is_empty());
    for (least, kept) in [(1, 4), (2, 4), (3, 2), (4, 1), (5, 1)] {
        assert_eq!(settle(&shots, &[], least).choice.keepers.len(), kept, "{least}");
    }
}

#[test]
fn sidecars_of_both_names_serve_all_files_of_a_shot() {
    let shots = shots(&[&[], &[], &[], &[]]);
    let all = sidecars(&[
        ("TS_1.xmp", Said::Rating(3.0)),
        ("ts_2.jpg.XMP", Said::Rating(4.0)),
        ("TS_3.xmp", Said::Nothing),
        ("TS_9.xmp", Said::Rating(5.0)),
        ("TS_8.xmp", Said::Rating(1.0)),
    ]);
    let settled = settle(&shots, &all, 3);
    assert_eq!(
        said(&settled.choice.keepers, &shots),
        ["TS_1.xmp -> name: TS_1.JPG", "ts_2.jpg.XMP -> name: TS_2.JPG", "TS_9.xmp -> none: "]
    );
    assert_eq!(details(&settled.problems), "TS_9.xmp: no picture lies beside this sidecar\n");
    let of_raw = settle(&shots, &sidecars(&[("TS_1.CR3.xmp", Said::Rating(3.0))]), 3);
    assert_eq!(said(&of_raw.choice.keepers, &shots), ["TS_1.CR3.xmp -> name: TS_1.JPG"]);
}

/// The sidecar is newest (common practice); `name.ext.xmp` before `name.xmp`; XMP before Exif; frame before companion.
#[test]
fn conflicts_are_named_and_the_rule_holds() {
    use Said::{Rating, Unreadable};
    let xmp = |rating| ("TS_1.JPG", Place::Xmp, Rating(rating));
    let exif = |rating| ("TS_1.JPG", Place::Exif, Rating(rating));
    let raw = |rating| ("TS_1.CR3", Place::Xmp, Rating(rating));
    let bad = || Unreadable("it is odd".to_owned());
    type Row<'a> = (&'a [(&'static str, Place, Said)], &'a [(&'static str, Said)], bool, &'a [Code]);
    let rows: [Row; 12] = [
        (&[xmp(5.0)], &[("TS_1.xmp", Rating(1.0))], false, &[Code::RatingConflict]),
        (&[xmp(1.0)], &[("TS_1.xmp", Rating(5.0))], true, &[Code::RatingConflict]),
        (&[xmp(5.0)], &[("TS_1.xmp", Rating(0.0))], false, &[Code::RatingConflict]),
        (&[xmp(0.0)], &[("TS_1.xmp", Rating(5.0))], true, &[]),
        (&[xmp(5.0)], &[("TS_1.xmp", Rating(5.0))], true, &[]),
        (&[xmp(5.0)], &[("TS_1.xmp", Said::Nothing)], true, &[]),
        (&[], &[("TS_1.xmp", Rating(1.0)), ("TS_1.JPG.xmp", Rating(5.0))], true, &[Code::RatingConflict]),
        (&[xmp(4.0), exif(-1.0)], &[], true, &[Code::RatingConflict]),
        (&[exif(1.0), raw(5.0)], &[], true, &[Code::RatingConflict]),
        (&[xmp(1.0), raw(5.0)], &[], false, &[Code::RatingConflict]),
        (&[xmp(5.0)], &[("TS_1.xmp", bad())], true, &[Code::RatingUnreadable]),
        (&[("TS_1.JPG", Place::Exif, bad())], &[], false, &[Code::RatingUnreadable]),
    ];
    for row in rows {
        let shots = shots(&[row.0]);
        let settled = settle(&shots, &sidecars(row.1), 3);
        let found: Vec<Code> = codes(&settled.problems).into_iter().filter(|c| *c != Code::KeepersNone).collect();
        assert_eq!((!settled.choice.keepers.is_empty(), found.as_slice()), (row.2, row.3), "{row:?}");
    }
    let settled = settle(&shots(&[&[xmp(5.0)]]), &sidecars(&[("TS_1.xmp", Rating(-1.0))]), 3);
    assert!(
        details(&settled.problems)
            .starts_with("TS_1.JPG: TS_1.xmp says rejected, which counts; the XMP of TS_1.JPG says 5\n"),
        "{}",
        details(&settled.problems)
    );
}

#[test]
fn no_keeper_says_what_was_met() {
    let low = shots(&[&[("TS_1.JPG", Place::Xmp, Said::Rating(2.0))]]);
    let problems = settle(&low, &[], 3).problems;
    assert_eq!(codes(&problems), [Code::KeepersNone]);
    assert!(details(&problems).contains("the highest rating is 2; say --keeper-rating 2"));
    assert!(details(&settle(&shots(&[&[]]), &[], 3).problems).contains("no file and no sidecar holds a rating"));
}

#[test]
fn metadata_that_is_no_rating_says_nothing() {
    let label = xmp("xmp:Label=\"Rating 5\"");
    assert_eq!(found(Kind::Jpeg, &with_segment(&picture(0xC0, 16, 8), MAIN, label.as_bytes())), []);
    let broken = rated("3").replace("</rdf:RDF>", "");
    let all = found(Kind::Jpeg, &with_segment(&picture(0xC0, 16, 8), MAIN, broken.as_bytes()));
    assert!(matches!(&all[..], [(Place::Xmp, Said::Unreadable(why))] if why.contains("well-formed")), "{all:?}");
}
