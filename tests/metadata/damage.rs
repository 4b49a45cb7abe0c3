//! Blocks that are broken, missing, unusual or hostile.

use stoptally::metadata::{Marked, Metadata, Orientation, read};
use stoptally::problem::Code;
use stoptally::walk::Kind;

use crate::frame::complete;
use crate::support::{
    Block, Entry, ORDERS, Value, ascii, block, codes, file, jpeg, long, picture, read_entries, short,
};

#[test]
fn a_broken_block_gives_what_can_be_read() {
    let (main, exif) = complete();
    for order in ORDERS {
        let whole = block(order, &main, &exif);
        // Breaks off inside the values of the Exif directory: directory 0 and inline values are still there.
        let cut = &whole[..whole.len() - 60];
        let metadata = read(&file(Kind::Jpeg), &jpeg(cut));
        assert!(codes(&metadata).contains(&Code::ExifDamaged), "{metadata:?}");
        assert_eq!(metadata.model.as_deref(), Some("T-1"));
        assert_eq!(metadata.iso, Some(100));
        let garbage = read(&file(Kind::Jpeg), &jpeg(b"no TIFF header at all"));
        assert!(codes(&garbage).contains(&Code::ExifDamaged));
        assert_eq!(garbage.taken, None);
    }
}

#[test]
fn no_exif_is_one_flaw_and_not_six() {
    assert_eq!(codes(&read(&file(Kind::Jpeg), &picture(0xC0, 8, 8))), [Code::ExifMissing]);
    for nothing in [&b""[..], b"Dear diary, today"] {
        assert_eq!(read(&file(Kind::Jpeg), nothing), Metadata::default());
    }
    let orientation_alone = read_entries(&[short(0x0112, &[6])], &[]);
    assert_eq!(
        (codes(&orientation_alone), orientation_alone.orientation),
        (vec![Code::ExifMissing], Orientation::RightTop)
    );
    let iso_alone = read_entries(&[], &[short(0x8827, &[100])]);
    assert_eq!(codes(&iso_alone), [Code::TimeMissing, Code::ApertureMissing, Code::ShutterMissing]);
}

#[test]
fn values_in_the_place_of_a_left_out_link_are_kept() {
    // Some writers end the Exif directory without the four bytes that link to a next one; values follow at once.
    for order in ORDERS {
        let little = order == b"II";
        let two = |value: u16| if little { value.to_le_bytes() } else { value.to_be_bytes() }.to_vec();
        let four = |value: u32| if little { value.to_le_bytes() } else { value.to_be_bytes() }.to_vec();
        let mut main = Block::new(order);
        main.directory(&[long(0x8769, &[26])], 0);
        let table = [two(1), two(0x829A), two(5), four(1), four(40)].concat();
        let bytes = [main.finish(), table, four(1), four(200)].concat();
        let metadata = read(&file(Kind::Jpeg), &jpeg(&bytes));
        assert_eq!(metadata.exposure_time_s, Some(Marked { num: 1, den: 200 }));
        assert!(!codes(&metadata).contains(&Code::ExifDamaged), "{metadata:?}");
    }
}

#[test]
fn hostile_directories_cost_nothing() {
    for order in ORDERS {
        // A directory full of Exif pointers, each to another overlapping table: quadratic for a trusting reader.
        let mut hostile = Block::new(order);
        let pointers: Vec<_> = (0..5000).map(|index| long(0x8769, &[10 + index * 12])).collect();
        hostile.directory(&pointers, 8);
        let metadata = read(&file(Kind::Tiff), &hostile.finish());
        assert_eq!(metadata.taken, None);
        // A text that claims to fill a file of a megabyte with empty strings.
        let mut greedy = Block::new(order);
        let nul = Entry { tag: 0x010F, kind: 2, count: 1 << 20, value: Value::Bytes(vec![0; 1 << 20]) };
        greedy.directory(&[nul, ascii(0x0110, "T-1")], 0);
        let metadata = read(&file(Kind::Tiff), &greedy.finish());
        assert_eq!((metadata.make.as_deref(), metadata.model.as_deref()), (None, Some("T-1")));
        assert_eq!(codes(&metadata)[0], Code::ExifDamaged);
    }
}
