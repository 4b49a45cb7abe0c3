//! Finds the largest picture embedded in raws of every make, built here byte by byte.

use stoptally::metadata::{Embedded, Orientation, embedded_picture, read};
use stoptally::walk::Kind;

use crate::support::{Block, Entry, Value, a_box, ascii, block, codes, file, long, picture, rational, short};

/// A TIFF-based raw with pictures in directory 0, in a sub-directory and in the second directory of the chain.
fn raw_with(pictures: [Vec<u8>; 4], loops: bool) -> Vec<u8> {
    let build = |at: [u32; 4], sub: u32, next: u32| {
        let mut raw = Block::new(b"MM");
        let strip = |index: usize| {
            vec![short(0x0103, &[6]), long(0x0111, &[at[index]]), long(0x0117, &[pictures[index].len() as u32])]
        };
        let pair = |index: usize| vec![long(0x0201, &[at[index]]), long(0x0202, &[pictures[index].len() as u32])];
        raw.directory(&[strip(0), vec![long(0x014A, &[sub, 8])]].concat(), next);
        let sub = raw.len();
        raw.directory(&pair(1), 0);
        let next = raw.len();
        // The lossless sensor data has the same look: compression 7 in one strip.
        let sensor = vec![short(0x0103, &[7]), long(0x0111, &[at[3]]), long(0x0117, &[pictures[3].len() as u32])];
        raw.directory(&[pair(2), sensor].concat(), if loops { 8 } else { 0 });
        (raw.finish(), sub, next)
    };
    let (empty, sub, next) = build([0; 4], 0, 0);
    let mut at = [empty.len() as u32; 4];
    for index in 1..4 {
        at[index] = at[index - 1] + pictures[index - 1].len() as u32;
    }
    let (raw, ..) = build(at, sub, next);
    [raw, pictures.concat()].concat()
}

#[test]
fn the_largest_picture_an_ordinary_decoder_reads_is_found() {
    let pictures =
        || [picture(0xC0, 1600, 1000), picture(0xC0, 6000, 4000), picture(0xC0, 160, 120), picture(0xC3, 8000, 6000)];
    for loops in [false, true] {
        let bytes = raw_with(pictures(), loops);
        let found = embedded_picture(Kind::Raw, &bytes).unwrap();
        assert_eq!((found.width, found.height, found.cut), (6000, 4000, false));
        assert_eq!(&bytes[found.range], picture(0xC0, 6000, 4000));
        // Broken off within the sensor data: the picture itself is whole.
        assert!(!embedded_picture(Kind::Raw, &bytes[..bytes.len() - 3]).unwrap().cut);
    }
    let [preview, _, thumb, sensor] = pictures();
    let bytes = raw_with([preview, vec![0; 30], thumb, sensor], false);
    assert_eq!(embedded_picture(Kind::Raw, &bytes).unwrap().width, 1600);
    for kind in [Kind::Jpeg, Kind::Png, Kind::Webp] {
        assert_eq!(embedded_picture(kind, &bytes), None);
    }
    let lossless_only = raw_with([picture(0xC3, 10, 10), vec![0; 30], vec![0; 30], picture(0xC3, 8000, 6000)], false);
    assert_eq!(embedded_picture(Kind::Raw, &lossless_only), None);
}

#[test]
fn rw2_and_orf_hide_their_pictures_elsewhere() {
    let large = picture(0xC0, 1920, 1440);
    let mut rw2 = Block::new(b"II");
    rw2.directory(&[Entry { tag: 0x002E, kind: 7, count: large.len() as u32, value: Value::Bytes(large.clone()) }], 0);
    let mut rw2 = rw2.finish();
    rw2[2..4].copy_from_slice(&[0x55, 0]);
    assert_eq!(embedded_picture(Kind::Raw, &rw2).map(|found| found.width), Some(1920));

    // The note's offsets count from its own start; the preview lies behind the note's claimed length.
    let note = |start: u32| {
        let mut inner = Block::new(b"II");
        let mut measure = Block::new(b"II");
        measure.directory(&[long(0x2020, &[0])], 0);
        let shift = 4;
        inner.directory(&[long(0x2020, &[measure.len() + shift])], 0);
        inner.directory(&[long(0x0101, &[start]), long(0x0102, &[large.len() as u32])], 0);
        [b"OLYMPUS\0II\x03\0", &inner.finish()[8..]].concat()
    };
    let length = note(0).len() as u32;
    let bytes = note(length);
    let maker = Entry { tag: 0x927C, kind: 7, count: length, value: Value::Bytes(bytes) };
    let mut orf = [block(b"II", &[ascii(0x0110, "T-1")], &[maker]), large].concat();
    orf[2..4].copy_from_slice(b"RO");
    assert_eq!(
        embedded_picture(Kind::Raw, &orf).map(|found| (found.width, found.height, found.cut)),
        Some((1920, 1440, false))
    );
}

#[test]
fn cr3_is_read_from_its_two_blocks_and_its_preview_is_found() {
    let single = |order, entries: &[Entry]| {
        let mut block = Block::new(order);
        block.directory(entries, 0);
        block.finish()
    };
    let cmt1 = single(b"II", &[ascii(0x0110, "T-1"), short(0x0112, &[6])]);
    let cmt2 = single(
        b"II",
        &[
            rational(0x829A, &[(1, 60)]),
            rational(0x829D, &[(4, 1)]),
            short(0x8827, &[400]),
            ascii(0x9003, "2024:03:09 19:30:05"),
        ],
    );
    let thumb = [&[0_u8; 16][..], &picture(0xC0, 160, 120)].concat();
    let metadata_box = [vec![7; 16], a_box(b"CMT1", &cmt1), a_box(b"CMT2", &cmt2), a_box(b"THMB", &thumb)].concat();
    let preview_box = [vec![7; 24], a_box(b"PRVW", &[&[0_u8; 16][..], &picture(0xC0, 1620, 1080)].concat())].concat();
    let full = [picture(0xC2, 6000, 4000), vec![0; 500]].concat();
    let build = |offset: u64| {
        let stsz = [&[0; 4][..], &(full.len() as u32).to_be_bytes(), &1_u32.to_be_bytes()].concat();
        let co64 = [&[0; 4][..], &1_u32.to_be_bytes(), &offset.to_be_bytes()].concat();
        let table = a_box(b"stbl", &[a_box(b"stsz", &stsz), a_box(b"co64", &co64)].concat());
        let track = a_box(b"trak", &a_box(b"mdia", &a_box(b"minf", &table)));
        [
            a_box(b"ftyp", b"crx \0\0\0\x01crx isom"),
            a_box(b"moov", &[a_box(b"uuid", &metadata_box), track].concat()),
            a_box(b"uuid", &preview_box),
        ]
        .concat()
    };
    let offset = build(0).len() as u64 + 8;
    let bytes = [build(offset), a_box(b"mdat", &full)].concat();
    let metadata = read(&file(Kind::Raw), &bytes);
    assert_eq!(codes(&metadata), []);
    assert_eq!(
        (metadata.iso, metadata.model.as_deref(), metadata.orientation),
        (Some(400), Some("T-1"), Orientation::RightTop)
    );
    let start = offset as usize;
    let expected = Embedded { range: start..start + full.len(), width: 6000, height: 4000, cut: false };
    assert_eq!(embedded_picture(Kind::Raw, &bytes), Some(expected));
    // Broken off before the full-size picture: the preview is found, and it is said that a larger one is lost.
    let found = embedded_picture(Kind::Raw, &bytes[..start - 8]).unwrap();
    assert_eq!((found.width, found.height, found.cut), (1620, 1080, true));
}
