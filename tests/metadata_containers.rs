//! Finds EXIF and embedded pictures in every container a camera writes, built here byte by byte.

#[path = "support/tiff.rs"]
mod support;

use stoptally::metadata::{Embedded, Orientation, content_kind, embedded_picture, read, sniff};
use stoptally::problem::Code;
use stoptally::walk::Kind;
use support::{Block, Entry, Value, ascii, block, codes, file, jpeg, long, picture, rational, short};

fn exif(order: &[u8; 2]) -> Vec<u8> {
    let exif = [rational(0x829A, &[(1, 200)]), rational(0x829D, &[(8, 1)]), short(0x8827, &[200]), ascii(0x9003, "2024:03:09 19:30:05")];
    block(order, &[ascii(0x0110, "T-1"), short(0x0112, &[8])], &exif)
}

fn chunk_png(exif: &[u8]) -> Vec<u8> {
    let mut bytes = b"\x89PNG\r\n\x1a\n\0\0\0\x02IDATab0000".to_vec();
    bytes.extend((exif.len() as u32).to_be_bytes());
    bytes.extend(b"eXIf");
    bytes.extend(exif);
    bytes.extend(b"0000");
    bytes
}

fn chunk_webp(exif: &[u8]) -> Vec<u8> {
    let mut bytes = b"RIFF\0\0\0\0WEBPVP8X\x03\0\0\0abc\0EXIF".to_vec();
    bytes.extend((exif.len() as u32).to_le_bytes());
    bytes.extend(exif);
    bytes
}

fn a_box(kind: &[u8; 4], content: &[u8]) -> Vec<u8> {
    [&(content.len() as u32 + 8).to_be_bytes(), &kind[..], content].concat()
}

/// A HEIC with an Exif item and a JPEG item, its primary picture turned by `irot` and `imir`.
fn heic(exif: &[u8], thumbnail: &[u8], properties: &[Vec<u8>]) -> Vec<u8> {
    let item = |id: u16, kind: &[u8; 4]| a_box(b"infe", &[&[2, 0, 0, 0], &id.to_be_bytes()[..], &[0, 0], kind, &[0]].concat());
    let exif = [&[0, 0, 0, 6], &b"Exif\0\0"[..], exif].concat();
    let build = |offset: u32| {
        let location = |id: u16, at: u32, length: usize| {
            [&id.to_be_bytes()[..], &[0, 0, 0, 1], &at.to_be_bytes(), &(length as u32).to_be_bytes()].concat()
        };
        let iinf = [&[0, 0, 0, 0, 0, 3][..], &item(1, b"hvc1"), &item(2, b"Exif"), &item(3, b"jpeg")].concat();
        let iloc = [
            &[0, 0, 0, 0, 0x44, 0, 0, 2][..],
            &location(2, offset, exif.len()),
            &location(3, offset + exif.len() as u32, thumbnail.len()),
        ];
        let count = properties.len() as u8;
        let links: Vec<u8> = (1..=count).map(|index| index | 0x80).collect();
        let ipma = [&[0, 0, 0, 0, 0, 0, 0, 1, 0, 1, count][..], &links].concat();
        let iprp = [a_box(b"ipco", &properties.concat()), a_box(b"ipma", &ipma)].concat();
        let meta = [
            vec![0; 4],
            a_box(b"pitm", &[0, 0, 0, 0, 0, 1]),
            a_box(b"iinf", &iinf),
            a_box(b"iloc", &iloc.concat()),
            a_box(b"iprp", &iprp),
        ];
        [a_box(b"ftyp", b"heic\0\0\0\0mif1heic"), a_box(b"meta", &meta.concat())].concat()
    };
    let offset = build(0).len() as u32 + 8;
    [build(offset), a_box(b"mdat", &[&exif[..], thumbnail].concat())].concat()
}

#[test]
fn every_container_yields_the_same_exif() {
    for order in support::ORDERS {
        let exif = exif(order);
        let named = [b"Exif\0\0", &exif[..]].concat();
        let raf = {
            let mut bytes = b"FUJIFILMCCD-RAW ".to_vec();
            bytes.resize(100, 0);
            let inside = jpeg(&exif);
            bytes[84..88].copy_from_slice(&100_u32.to_be_bytes());
            bytes[88..92].copy_from_slice(&(inside.len() as u32).to_be_bytes());
            bytes.extend(inside);
            bytes
        };
        let other_magic = |magic: [u8; 2]| [&order[..], &magic, &exif[4..]].concat();
        let mut files = vec![
            (Kind::Jpeg, jpeg(&exif)),
            (Kind::Tiff, exif.clone()),
            (Kind::Raw, exif.clone()),
            (Kind::Png, chunk_png(&exif)),
            (Kind::Png, chunk_png(&named)),
            (Kind::Webp, chunk_webp(&exif)),
            (Kind::Webp, chunk_webp(&named)),
            (Kind::Raw, raf),
        ];
        if order == b"II" {
            files.extend([(Kind::Raw, other_magic(*b"RO")), (Kind::Raw, other_magic(*b"RS")), (Kind::Raw, other_magic([0x55, 0]))]);
        } else {
            files.push((Kind::Raw, other_magic(*b"OR")));
        }
        for (kind, bytes) in files {
            let metadata = read(&file(kind), &bytes);
            let start = String::from_utf8_lossy(&bytes[..16]).into_owned();
            assert_eq!(codes(&metadata), [], "{start:?}");
            assert_eq!(metadata.orientation, Orientation::LeftBottom, "{start:?}");
            assert_eq!((metadata.iso, metadata.model.as_deref()), (Some(200), Some("T-1")), "{start:?}");
            assert_eq!(metadata.taken.unwrap().local.to_string(), "2024-03-09T19:30:05", "{start:?}");
        }
    }
}

#[test]
fn cr3_is_read_from_its_two_blocks_and_its_preview_is_found() {
    let single = |order, entries: &[Entry]| {
        let mut block = Block::new(order);
        block.directory(entries, 0);
        block.finish()
    };
    let cmt1 = single(b"II", &[ascii(0x0110, "T-1"), short(0x0112, &[6])]);
    let cmt2 = single(b"II", &[rational(0x829A, &[(1, 60)]), rational(0x829D, &[(4, 1)]), short(0x8827, &[400]), ascii(0x9003, "2024:03:09 19:30:05")]);
    let thumb = [&[0_u8; 16][..], &picture(0xC0, 160, 120)].concat();
    let metadata_box = [vec![7; 16], a_box(b"CMT1", &cmt1), a_box(b"CMT2", &cmt2), a_box(b"THMB", &thumb)].concat();
    let preview_box = [vec![7; 24], a_box(b"PRVW", &[&[0_u8; 16][..], &picture(0xC0, 1620, 1080)].concat())].concat();
    let full = picture(0xC2, 6000, 4000);
    let build = |offset: u64| {
        let stsz = [&[0; 4][..], &(full.len() as u32).to_be_bytes(), &1_u32.to_be_bytes()].concat();
        let co64 = [&[0; 4][..], &1_u32.to_be_bytes(), &offset.to_be_bytes()].concat();
        let table = a_box(b"stbl", &[a_box(b"stsz", &stsz), a_box(b"co64", &co64)].concat());
        let track = a_box(b"trak", &a_box(b"mdia", &a_box(b"minf", &table)));
        [a_box(b"ftyp", b"crx \0\0\0\x01crx isom"), a_box(b"moov", &[a_box(b"uuid", &metadata_box), track].concat()), a_box(b"uuid", &preview_box)].concat()
    };
    let offset = build(0).len() as u64 + 8;
    let bytes = [build(offset), a_box(b"mdat", &full)].concat();
    let metadata = read(&file(Kind::Raw), &bytes);
    assert_eq!(codes(&metadata), []);
    assert_eq!((metadata.iso, metadata.model.as_deref(), metadata.orientation), (Some(400), Some("T-1"), Orientation::RightTop));
    let start = offset as usize;
    let expected = Embedded { range: start..start + full.len(), width: 6000, height: 4000, cut: false };
    assert_eq!(embedded_picture(Kind::Raw, &bytes), Some(expected));
    // Broken off before the full-size picture: the preview is found, and it is said that something is lost.
    let found = embedded_picture(Kind::Raw, &bytes[..start - 8]).unwrap();
    assert_eq!((found.width, found.height), (1620, 1080));
}

#[test]
fn heic_is_turned_by_its_own_properties_and_not_by_the_exif_copy() {
    let none: &[Vec<u8>] = &[];
    let turn = |quarter: u8| a_box(b"irot", &[quarter]);
    let mirror = |axis: u8| a_box(b"imir", &[axis]);
    // irot counts quarter turns anticlockwise: 3 is Exif 6 (seen on a phone's file that carries both). imir 1 exchanges
    // left and right, 0 top and bottom (ISO/IEC 23008-12, from memory).
    for (properties, expected) in [
        (none, Orientation::TopLeft),
        (&[turn(1)], Orientation::LeftBottom),
        (&[turn(2)], Orientation::BottomRight),
        (&[turn(3)], Orientation::RightTop),
        (&[mirror(1)], Orientation::TopRight),
        (&[mirror(0)], Orientation::BottomLeft),
        (&[turn(3), mirror(1)], Orientation::LeftTop),
        (&[mirror(1), turn(3)], Orientation::RightBottom),
    ] {
        let bytes = heic(&exif(b"MM"), &picture(0xC0, 320, 240), properties);
        let metadata = read(&file(Kind::Heic), &bytes);
        assert_eq!(codes(&metadata), []);
        assert_eq!((metadata.iso, metadata.orientation), (Some(200), expected), "{properties:?}");
    }
    let bytes = heic(&exif(b"II"), &picture(0xC0, 320, 240), none);
    let found = embedded_picture(Kind::Heic, &bytes).unwrap();
    assert_eq!((found.width, found.height, found.cut), (320, 240, false));
    assert_eq!(&bytes[found.range], picture(0xC0, 320, 240));
}

/// A TIFF-based raw with pictures in directory 0, in a sub-directory and in the second directory of the chain.
fn raw_with(pictures: [Vec<u8>; 4], loops: bool) -> Vec<u8> {
    let build = |at: [u32; 4], sub: u32, next: u32| {
        let mut raw = Block::new(b"MM");
        let strip = |index: usize| vec![short(0x0103, &[6]), long(0x0111, &[at[index]]), long(0x0117, &[pictures[index].len() as u32])];
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
    let pictures = || [picture(0xC0, 1600, 1000), picture(0xC0, 6000, 4000), picture(0xC0, 160, 120), picture(0xC3, 8000, 6000)];
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
    assert_eq!(embedded_picture(Kind::Raw, &orf).map(|found| (found.width, found.height, found.cut)), Some((1920, 1440, false)));
}

#[test]
fn content_decides_and_a_wrong_ending_is_told() {
    let exif = exif(b"II");
    let renamed = read(&file(Kind::Png), &jpeg(&exif));
    assert_eq!((codes(&renamed), renamed.iso), (vec![Code::NameDiffers], Some(200)));
    assert_eq!(codes(&read(&file(Kind::Raw), &exif)), []);
    let dng = block(b"MM", &[short(0x0106, &[32803])], &[]);
    for (bytes, kind) in [
        (&b"\xFF\xD8\xFF\xE0"[..], Some(Kind::Jpeg)),
        (b"\x89PNG\r\n\x1a\n", Some(Kind::Png)),
        (b"RIFF\0\0\0\0WEBPVP8 ", Some(Kind::Webp)),
        (b"RIFF\0\0\0\0WAVEfmt ", None),
        (&exif, Some(Kind::Tiff)),
        (&dng, Some(Kind::Raw)),
        (b"II*\0\x10\0\0\0CR\x02\0", Some(Kind::Raw)),
        (b"II+\0\x08\0\0\0", Some(Kind::Tiff)),
        (b"IIRO\x08\0\0\0", Some(Kind::Raw)),
        (b"IIU\0\x18\0\0\0", Some(Kind::Raw)),
        (b"FUJIFILMCCD-RAW 0201", Some(Kind::Raw)),
        (b"\0\0\0\x18ftypcrx \0\0\0\x01crx isom", Some(Kind::Raw)),
        (b"\0\0\0\x18ftypheic\0\0\0\0mif1heic", Some(Kind::Heic)),
        (b"\0\0\0\x18ftypmif1\0\0\0\0mif1heic", Some(Kind::Heic)),
        (b"\0\0\0\x1cftypavif\0\0\0\0avifmif1miaf", None),
        (b"\0\0\0\x18ftypqt  \0\0\0\0qt  ", None),
        (b"GIF89a", None),
        (b"", None),
    ] {
        assert_eq!(sniff(bytes), kind, "{:?}", String::from_utf8_lossy(bytes));
    }
    assert_eq!(content_kind(Kind::Raw, &exif), Some(Kind::Raw));
    assert_eq!(content_kind(Kind::Tiff, &exif), Some(Kind::Tiff));
    assert_eq!(content_kind(Kind::Png, &jpeg(&exif)), Some(Kind::Jpeg));
}
