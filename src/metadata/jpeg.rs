//! Reads the marker segments of a JPEG stream: where its EXIF lies and what its frame header promises.
//!
//! Markers: ITU-T T.81 table B.1. EXIF segment: Exif 2.2 (JEITA CP-3451) section 4.7.2.

use std::ops::Range;

use super::bytes::{Order, position};

/// What the frame header of a JPEG says.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Frame {
    /// Width in pixels, above zero.
    pub(super) width: u16,
    /// Height in pixels, above zero.
    pub(super) height: u16,
}

/// One marker segment: the marker's second byte, and where its content lies (cut at the end of the stream).
struct Segment {
    marker: u8,
    content: Range<usize>,
}

/// The segments from the start of the picture to its first scan.
fn segments(stream: &[u8]) -> impl Iterator<Item = Segment> {
    let mut at = if stream.starts_with(&[0xFF, 0xD8]) { 2 } else { stream.len() };
    std::iter::from_fn(move || {
        loop {
            // Bytes that are no marker are stepped over: some writers pad between segments.
            at += stream.get(at..)?.iter().position(|&byte| byte == 0xFF)?;
            let marker = *stream.get(at + 1)?;
            match marker {
                0xFF => at += 1,
                0x00 | 0x01 | 0xD0..=0xD7 => at += 2,
                0xD8..=0xDA => return None,
                _ => {
                    let length = usize::from(Order::Big.u16(stream, at + 2)?);
                    let start = at + 4;
                    let end = at + 2 + length.max(2);
                    at = end;
                    return Some(Segment { marker, content: start..end.min(stream.len()).max(start) });
                }
            }
        }
    })
}

/// Where the TIFF block of the EXIF segment lies; cut short where the file is.
pub(super) fn exif(stream: &[u8]) -> Option<Range<usize>> {
    const NAME: &[u8] = b"Exif\0";
    segments(stream).find_map(|Segment { marker, content }| {
        let body = stream.get(content.clone())?;
        // The sixth byte is 0 by the standard; FF is met in old files and harmless.
        (marker == 0xE1 && body.starts_with(NAME) && body.len() > 6).then(|| content.start + 6..content.end)
    })
}

/// Where the XMP lies; None where its segment is cut. Extended XMP begins with another name and is passed over.
pub(super) fn xmp(stream: &[u8]) -> Option<Range<usize>> {
    const NAME: &[u8] = b"http://ns.adobe.com/xap/1.0/\0";
    segments(stream).find_map(|Segment { marker, content }| {
        let body = stream.get(content.clone())?;
        (marker == 0xE1 && body.starts_with(NAME)).then(|| content.start + NAME.len()..content.end)
    })
}

/// The frame of a baseline, extended sequential or progressive Huffman picture of 8 bits. None for anything else:
/// the lossless JPEG in which raws keep sensor data is no picture, and arithmetic coding is not decoded.
pub(super) fn frame(stream: &[u8]) -> Option<Frame> {
    let header = segments(stream).find(|segment| is_frame_header(segment.marker))?;
    if !matches!(header.marker, 0xC0..=0xC2) {
        return None;
    }
    let body = stream.get(header.content)?;
    let (&precision, &components) = (body.first()?, body.get(5)?);
    let (height, width) = (Order::Big.u16(body, 1)?, Order::Big.u16(body, 3)?);
    let complete = body.len() >= 6 + 3 * position(components)?;
    let usual = precision == 8 && matches!(components, 1 | 3);
    (usual && complete && width > 0 && height > 0).then_some(Frame { width, height })
}

/// SOF0 to SOF15, without DHT (C4), JPG (C8) and DAC (CC) which share the range.
fn is_frame_header(marker: u8) -> bool {
    matches!(marker, 0xC0..=0xCF) && !matches!(marker, 0xC4 | 0xC8 | 0xCC)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn stream(sof: u8, precision: u8, width: u16, height: u16) -> Vec<u8> {
        let mut bytes = vec![0xFF, 0xD8, 0xFF, 0xE0, 0, 4, 9, 9, 0xFF, 0xFF, sof, 0, 17, precision];
        bytes.extend(height.to_be_bytes());
        bytes.extend(width.to_be_bytes());
        bytes.extend([3, 1, 0x22, 0, 2, 0x11, 1, 3, 0x11, 1, 0xFF, 0xDA]);
        bytes
    }

    #[test]
    fn only_frames_a_decoder_reads_count() {
        // ITU-T T.81 table B.1: C0 baseline, C1 extended, C2 progressive, C3 lossless, C9 arithmetic.
        let expected = Some(Frame { width: 300, height: 200 });
        for (sof, precision, frame_read) in [
            (0xC0, 8, expected),
            (0xC1, 8, expected),
            (0xC2, 8, expected),
            (0xC1, 12, None),
            (0xC3, 8, None),
            (0xC9, 8, None),
            (0xC4, 8, None),
        ] {
            assert_eq!(frame(&stream(sof, precision, 300, 200)), frame_read, "{sof:x} {precision}");
        }
        assert_eq!(frame(&stream(0xC0, 8, 0, 200)), None);
        assert_eq!(frame(&stream(0xC0, 8, 300, 0)), None);
        assert_eq!(frame(&stream(0xC0, 8, 300, 200)[..20]), None);
        assert_eq!(frame(&[]), None);
    }

    #[test]
    fn exif_is_found_behind_other_segments_and_cut_with_the_file() {
        let mut bytes = vec![0xFF, 0xD8, 0xFF, 0xE0, 0, 4, 9, 9, 0, 0, 0xFF, 0xE1, 0, 12];
        bytes.extend(b"Exif\0\0TIFF");
        assert_eq!(exif(&bytes).map(|range| bytes[range].to_vec()), Some(b"TIFF".to_vec()));
        assert_eq!(exif(&bytes[..bytes.len() - 2]).map(|range| bytes[range].to_vec()), Some(b"TI".to_vec()));
        assert_eq!(exif(&bytes[2..]), None);
    }
}
