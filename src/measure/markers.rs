//! The skeleton of a JPEG: its frame header, and where its entropy-coded data ends (ITU-T T.81, annex B).
//!
//! A decoder alone cannot tell a picture that breaks off from a whole one: past the end it decodes zeros. Knowing
//! where the data must end, it can be given exactly that much and told to be strict. What follows the end of the
//! picture (further pictures, a film, rubbish) is never looked at.

/// What the markers say.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Markers {
    /// Frame type: the low four bits of its SOF marker.
    pub frame: u8,
    /// Bits per sample.
    pub precision: u8,
    /// Width in pixels.
    pub width: u16,
    /// Height in pixels.
    pub height: u16,
    /// Number of components.
    pub components: u8,
    /// Where the first scan's data begin.
    pub data: usize,
    /// Where the data end: at the EOI marker, or at the end of the file.
    pub end: usize,
    /// Whether the EOI marker is there.
    pub ended: bool,
    /// Whether there are ICC profile segments.
    pub profile: bool,
}

impl Markers {
    /// DCT frames whose coefficients come in several passes.
    #[must_use]
    pub fn progressive(&self) -> bool {
        self.frame == 2
    }
}

const SOI: u8 = 0xd8;
const EOI: u8 = 0xd9;
const SOS: u8 = 0xda;

/// Walks the markers of a JPEG; none where it has no frame header or no scan.
#[must_use]
pub fn walk(bytes: &[u8]) -> Option<Markers> {
    let mut found = Markers {
        frame: 0,
        precision: 0,
        width: 0,
        height: 0,
        components: 0,
        data: 0,
        end: bytes.len(),
        ended: false,
        profile: false,
    };
    if !bytes.starts_with(&[0xff, SOI]) {
        return None;
    }
    let mut at = 2;
    while let Some((marker, after)) = next_marker(bytes, at) {
        at = after;
        match marker {
            EOI if found.data > 0 => {
                (found.end, found.ended) = (after - 2, true);
                break;
            }
            // A stray start, end, restart or temporary marker has no length.
            SOI | EOI | 0x01 | 0xd0..=0xd7 => {}
            _ => {
                let Some(body) = segment(bytes, at) else {
                    break;
                };
                match marker {
                    // SOF0 to SOF15 but for DHT, JPG and DAC, which share the range. The first frame counts.
                    0xc0..=0xcf
                        if !matches!(marker, 0xc4 | 0xc8 | 0xcc) && found.components == 0 =>
                    {
                        let &[precision, h1, h0, w1, w0, components, ..] = body else {
                            return None;
                        };
                        found.frame = marker & 15;
                        found.precision = precision;
                        found.height = u16::from_be_bytes([h1, h0]);
                        found.width = u16::from_be_bytes([w1, w0]);
                        found.components = components;
                    }
                    0xe2 => found.profile |= body.starts_with(b"ICC_PROFILE\0"),
                    SOS if found.data == 0 => found.data = at + 2 + body.len(),
                    _ => {}
                }
                at += 2 + body.len();
            }
        }
    }
    (found.components > 0 && found.data > 0).then_some(found)
}

/// The next marker at or after `at`, and the position behind it; stuffed zeros are data, fill bytes are skipped.
fn next_marker(bytes: &[u8], at: usize) -> Option<(u8, usize)> {
    let mut at = at;
    loop {
        at += memchr::memchr(0xff, bytes.get(at..)?)? + 1;
        match bytes.get(at)? {
            0x00 => at += 1,
            0xff => {}
            &marker => return Some((marker, at + 1)),
        }
    }
}

/// The body of the segment whose length field is at `at`.
fn segment(bytes: &[u8], at: usize) -> Option<&[u8]> {
    let &[high, low] = bytes.get(at..at + 2)? else {
        return None;
    };
    let length = usize::from(u16::from_be_bytes([high, low]));
    bytes.get(at + 2..at + length)
}
