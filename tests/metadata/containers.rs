//! Finds EXIF in every container a camera writes, built here byte by byte, whatever its ending says.

use stoptally::metadata::{Orientation, content_kind, embedded_picture, read, sniff};
use stoptally::walk::Kind;

use crate::support::{ORDERS, a_box, ascii, block, codes, file, jpeg, picture, rational, short};

fn exif(order: &[u8; 2]) -> Vec<u8> {
    let exif = [
        rational(0x829A, &[(1, 200)]),
        rational(0x829D, &[(8, 1)]),
        short(0x8827, &[200]),
        ascii(0x9003, "2024:03:09 19:30:05"),
    ];
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

/// A HEIC with an Exif item and a JPEG item, its primary picture turned by `irot` and `imir`.
fn heic(exif: &[u8], thumbnail: &[u8], properties: &[Vec<u8>]) -> Vec<u8> {
    let item =
        |id: u16, kind: &[u8; 4]| a_box(b"infe", &[&[2, 0, 0, 0], &id.to_be_bytes()[..], &[0, 0], kind, &[0]].concat());
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
    for order in ORDERS {
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
            files.extend([
                (Kind::Raw, other_magic(*b"RO")),
                (Kind::Raw, other_magic(*b"RS")),
                (Kind::Raw, other_magic([0x55, 0])),
            ]);
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

#[test]
fn content_decides_whatever_the_ending_says() {
    let exif = exif(b"II");
    let renamed = read(&file(Kind::Png), &jpeg(&exif));
    assert_eq!((codes(&renamed), renamed.iso), (vec![], Some(200)));
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
