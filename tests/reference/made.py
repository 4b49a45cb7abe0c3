#!/usr/bin/env python3
"""Make the fixtures that no collection at hand has: wide-gamut and 16-bit files, WebP, HEIC, DCF Adobe RGB.

    python made.py OUT [FRAMES]      FRAMES only for the CMYK crop

Every picture is the same chart: a 48 x 32 grid of 8 x 8 patches, among them black, white, pure
primaries, 18 % grey and dark steps, so that its figures can be worked out by hand. The profiles are
written here from published primaries, so no vendor's profile text is copied.
"""

import io
import struct
import subprocess
import sys
from pathlib import Path

import numpy as np
import piexif
import pillow_heif
import tifffile
from PIL import Image

import icc

PATCHES = [  # 8-bit codes, row by row
    (0, 0, 0), (1, 1, 1), (2, 2, 2), (10, 10, 10), (11, 11, 11), (60, 60, 60),
    (118, 118, 118), (162, 162, 162), (221, 221, 221), (253, 253, 253), (254, 254, 254), (255, 255, 255),
    (255, 0, 0), (0, 255, 0), (0, 0, 255), (200, 30, 30), (30, 200, 30), (30, 30, 200),
    (194, 150, 130), (115, 82, 68), (255, 128, 0), (90, 120, 160), (240, 240, 200), (1, 0, 1),
]


def chart() -> np.ndarray:
    """uint8 (32, 48, 3)."""
    grid = np.array(PATCHES, np.uint8).reshape(4, 6, 3)
    return grid.repeat(8, 0).repeat(8, 1)


def profile(name: str, red, green, blue, white, gamma: float | None) -> bytes:
    """A version 2 matrix profile; gamma as u8Fixed8, or None for the sRGB curve in 4096 steps."""
    matrix = icc.adapt_to_d50(*icc.primaries_to_xyz(red, green, blue, white))

    def xyz(v):
        return b"XYZ \0\0\0\0" + struct.pack(">3i", *(round(float(x) * 65536) for x in v))

    if gamma is None:
        steps = np.round(icc.srgb_to_linear(np.linspace(0, 1, 4096)) * 65535).astype(">u2")
        curve = b"curv\0\0\0\0" + struct.pack(">I", 4096) + steps.tobytes()
    else:
        curve = b"curv\0\0\0\0" + struct.pack(">IHH", 1, round(gamma * 256), 0)
    text = name.encode() + b"\0"
    description = b"desc\0\0\0\0" + struct.pack(">I", len(text)) + text + bytes(8 + 3 + 67)
    description += bytes(-len(description) % 4)
    notice = b"text\0\0\0\0CC0\0"
    blocks = {"desc": description, "cprt": notice, "wtpt": xyz(icc.D50), "rXYZ": xyz(matrix[:, 0]),
              "gXYZ": xyz(matrix[:, 1]), "bXYZ": xyz(matrix[:, 2]), "TRC": curve}
    at, offsets, body = 128 + 4 + 12 * 9, {}, b""
    for key, block in blocks.items():
        offsets[key] = (at + len(body), len(block))
        body += block + bytes(-len(block) % 4)
    tags = [(k, offsets.get(k, offsets["TRC"])) for k in ("desc", "cprt", "wtpt", "rXYZ", "gXYZ", "bXYZ", "rTRC", "gTRC", "bTRC")]
    table = struct.pack(">I", 9) + b"".join(struct.pack(">4sII", k.encode(), *v) for k, v in tags)
    size = 128 + len(table) + len(body)
    head = struct.pack(">I4sI4s4s4s6H4s", size, bytes(4), 0x02400000, b"mntr", b"RGB ", b"XYZ ", 2026, 1, 1, 0, 0, 0, b"acsp")
    head = head.ljust(68, b"\0") + struct.pack(">3i", 63190, 65536, 54061)
    return head.ljust(128, b"\0") + table + body


D65 = (0.3127, 0.3290)
ADOBE = profile("Adobe RGB primaries, gamma 563/256", (0.64, 0.33), (0.21, 0.71), (0.15, 0.06), D65, 563 / 256)
P3 = profile("P3 primaries, D65, sRGB curve", (0.680, 0.320), (0.265, 0.690), (0.150, 0.060), D65, None)
PROPHOTO = profile("ROMM primaries, gamma 1.8", (0.7347, 0.2653), (0.1596, 0.8404), (0.0366, 0.0001), (0.3457, 0.3585), 1.8)


def exif_of(orientation: int, uncalibrated: bool = False) -> bytes:
    shot = {
        piexif.ExifIFD.ExposureTime: (1, 200), piexif.ExifIFD.FNumber: (56, 10), piexif.ExifIFD.ISOSpeedRatings: 100,
        piexif.ExifIFD.DateTimeOriginal: b"2026:05:17 18:40:02", piexif.ExifIFD.SubSecTimeOriginal: b"05",
        piexif.ExifIFD.OffsetTimeOriginal: b"+02:00", piexif.ExifIFD.FocalLength: (50, 1), piexif.ExifIFD.WhiteBalance: 1,
        piexif.ExifIFD.LensSpecification: ((24, 1), (70, 1), (0, 0), (0, 0)), piexif.ExifIFD.ColorSpace: 65535 if uncalibrated else 1,
        piexif.ExifIFD.BodySerialNumber: b"000123", piexif.ExifIFD.ExposureBiasValue: (-1, 3),
    }
    directories = {"0th": {piexif.ImageIFD.Make: b"TestCam", piexif.ImageIFD.Model: b"TestCam T1", piexif.ImageIFD.Orientation: orientation}, "Exif": shot}
    if uncalibrated:
        directories["Interop"] = {piexif.InteropIFD.InteroperabilityIndex: b"R03"}
    return piexif.dump(directories)


def main() -> None:
    out = Path(sys.argv[1])
    out.mkdir(parents=True, exist_ok=True)
    codes = chart()
    picture = Image.fromarray(codes)
    deep = codes.astype(np.uint16) * 257
    deep[8:16, :24] -= 100  # 16-bit codes that no 8-bit code maps to
    picture.save(out / "webp-lossless.webp", lossless=True, exact=True)
    picture.save(out / "webp-lossless-p3.webp", lossless=True, exact=True, icc_profile=P3)
    picture.resize((96, 64), Image.Resampling.BICUBIC).save(out / "webp-lossy.webp", quality=90)
    picture.save(out / "png-prophoto.png", icc_profile=PROPHOTO)
    picture.save(out / "jpeg-444-p3.jpg", quality=98, subsampling=0, icc_profile=P3, exif=exif_of(1))
    picture.save(out / "jpeg-444-dcf-adobe-rgb.jpg", quality=98, subsampling=0, exif=exif_of(6, uncalibrated=True))
    picture.save(out / "jpeg-orientation-0.jpg", quality=98, subsampling=0, exif=exif_of(0))
    picture.convert("L").save(out / "jpeg-grey-orientation-8.jpg", quality=98, exif=exif_of(8))
    tifffile.imwrite(out / "tiff-16-adobe-rgb.tif", deep, photometric="rgb", iccprofile=ADOBE, metadata=None)
    tifffile.imwrite(out / "tiff-16-grey.tif", deep[:, :, 1], photometric="minisblack", metadata=None)
    pillow_heif.register_heif_opener()
    wide = picture.resize((96, 64), Image.Resampling.NEAREST)
    wide.save(out / "heic-p3.heic", quality=95, icc_profile=P3, exif=exif_of(1))
    wide.rotate(90, expand=True).save(out / "heic-srgb-rotated.heic", quality=95, exif=exif_of(6))
    if len(sys.argv) > 2:
        source = Path(sys.argv[2]) / "1_exif/sharp/Channel_digital_image_CMYK_color_no_profile.jpg"
        subprocess.run(["jpegtran", "-copy", "all", "-crop", "144x224+0+0", "-outfile", out / "jpeg-ycck-no-profile.jpg", source], check=True)


if __name__ == "__main__":
    main()
