//! What a file may claim: pictures too large for the machine, and headers too large for their file, are turned away
//! before any memory is asked for.

use crate::problem::{Code, Flaw};
use std::sync::{Mutex, MutexGuard, PoisonError};

/// Longest side in pixels: more than a JPEG can say (65,535), for stitched panoramas in other formats.
pub const LONGEST_SIDE: u64 = 100_000;
/// Most pixels: above the largest camera backs, 150 megapixels, and most stitched panoramas.
pub const MOST_PIXELS: u64 = 200_000_000;
/// Most memory one decode may take in bytes.
pub const MOST_MEMORY: u64 = 1 << 30;
/// A decode that takes more than this waits until no other such decode is running, so that the limit above holds for
/// the whole program. 64 megapixels of 8-bit RGB stay below it.
const LARGE: u64 = 192 << 20;

/// What a header claims about a picture.
#[derive(Clone, Copy, Debug)]
pub struct Claim {
    /// Width in pixels.
    pub width: u64,
    /// Height in pixels.
    pub height: u64,
    /// Bytes of memory per pixel while decoding.
    pub memory_per_pixel: u64,
    /// Bytes of picture data in the file.
    pub data: u64,
    /// The most pixels a byte of this format can hold.
    pub pixels_per_byte: u64,
}

/// Held while a large picture is in memory.
pub struct Turn(#[expect(dead_code, reason = "held, not read")] Option<MutexGuard<'static, ()>>);

impl Claim {
    /// Checks the claim, and waits for a turn if the picture is large.
    ///
    /// # Errors
    /// `PictureDamaged` where a side is zero, `PictureTooLarge` above the limits, `PictureTruncated` where the file
    /// cannot hold that many pixels.
    pub fn check(&self) -> Result<Turn, Flaw> {
        static ONE_AT_A_TIME: Mutex<()> = Mutex::new(());
        let size = format!("{} x {} pixels", self.width, self.height);
        if self.width == 0 || self.height == 0 {
            return Err(Flaw::with(Code::PictureDamaged, size));
        }
        let pixels = self.width.saturating_mul(self.height);
        let memory = pixels.saturating_mul(self.memory_per_pixel);
        let sides = self.width.max(self.height);
        if sides > LONGEST_SIDE || pixels > MOST_PIXELS || memory > MOST_MEMORY {
            return Err(Flaw::with(Code::PictureTooLarge, size));
        }
        if pixels > self.data.saturating_mul(self.pixels_per_byte) {
            return Err(Flaw::with(
                Code::PictureTruncated,
                format!("{size} claimed, {} bytes of data", self.data),
            ));
        }
        let large = memory > LARGE;
        Ok(Turn(large.then(|| {
            ONE_AT_A_TIME.lock().unwrap_or_else(PoisonError::into_inner)
        })))
    }
}
