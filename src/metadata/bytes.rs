//! Bounds-checked reads of a file's bytes: every answer is an `Option`, so no offset in a file can reach past its end.

use std::ops::Range;

/// Byte order of a TIFF block.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Order {
    /// "II", least significant byte first.
    Little,
    /// "MM", most significant byte first. Also the order of JPEG, PNG, ISO base media and RAF headers.
    Big,
}

impl Order {
    /// Two bytes at `at`.
    pub(super) fn u16(self, bytes: &[u8], at: usize) -> Option<u16> {
        let pair: [u8; 2] = bytes.get(at..at.checked_add(2)?)?.try_into().ok()?;
        Some(match self {
            Self::Little => u16::from_le_bytes(pair),
            Self::Big => u16::from_be_bytes(pair),
        })
    }

    /// Four bytes at `at`.
    pub(super) fn u32(self, bytes: &[u8], at: usize) -> Option<u32> {
        let four: [u8; 4] = bytes.get(at..at.checked_add(4)?)?.try_into().ok()?;
        Some(match self {
            Self::Little => u32::from_le_bytes(four),
            Self::Big => u32::from_be_bytes(four),
        })
    }
}

/// A big-endian number of `size` bytes (0, 1, 2, 4 or 8) at `at`; a size of 0 reads as 0.
pub(super) fn big_endian(bytes: &[u8], at: usize, size: usize) -> Option<u64> {
    let digits = bytes.get(at..at.checked_add(size)?)?;
    (size <= 8).then(|| digits.iter().fold(0, |sum, &digit| (sum << 8) | u64::from(digit)))
}

/// A position or length from a file, as a position in memory.
pub(super) fn position(value: impl TryInto<usize>) -> Option<usize> {
    value.try_into().ok()
}

/// The stretch of `length` bytes at `start`, cut at the end of a file of `size` bytes; the flag says whether it was cut.
/// None when it begins at or past the end.
pub(super) fn clipped(start: usize, length: usize, size: usize) -> Option<(Range<usize>, bool)> {
    if start >= size || length == 0 {
        return None;
    }
    let end = start.saturating_add(length);
    Some((start..end.min(size), end > size))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn reads_stop_at_the_end() {
        let bytes = [1, 2, 3, 4];
        assert_eq!(Order::Little.u16(&bytes, 2), Some(0x0403));
        assert_eq!(Order::Big.u16(&bytes, 2), Some(0x0304));
        assert_eq!(Order::Big.u16(&bytes, 3), None);
        assert_eq!(Order::Little.u32(&bytes, 0), Some(0x0403_0201));
        assert_eq!(Order::Big.u32(&bytes, 1), None);
        assert_eq!(Order::Big.u32(&bytes, usize::MAX), None);
        assert_eq!(big_endian(&bytes, 0, 4), Some(0x0102_0304));
        assert_eq!(big_endian(&bytes, 4, 0), Some(0));
        assert_eq!(big_endian(&bytes, 4, 1), None);
        assert_eq!(clipped(2, 10, 4), Some((2..4, true)));
        assert_eq!(clipped(2, 2, 4), Some((2..4, false)));
        assert_eq!(clipped(4, 1, 4), None);
        assert_eq!(clipped(0, usize::MAX, 4), Some((0..4, true)));
    }
}
