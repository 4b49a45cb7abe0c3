#!/usr/bin/env python3
"""Make the benchmark shoots: large camera-like JPEGs, or many small ones with camera-sized EXIF.

    python3 make_camera_set.py OUT                    24 JPEGs, 6000x4000, 4:2:2, 8 to 12 MB each
    python3 make_camera_set.py OUT --small 2000       2,000 JPEGs of 320x240, each with 30 kB of EXIF

A synthetic ramp or pure noise would flatter or punish a decoder, so the pictures are photographs
(the public-domain and CC0 samples that ship with scikit-image), enlarged, with real fine detail
mirrored in, unevenly in focus, over- and under-exposed in linear light, and with sensor-like noise.
The noise level is searched so that each file reaches its target size at quality 92.

Every picture is a function of its number alone: the same library versions give the same bytes.
Needs numpy, pillow, scikit-image, piexif. Some scikit-image samples are fetched once by its own
downloader; those that cannot be had are left out and named on stderr, because the set then differs.
"""

import argparse
import io
import sys
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path

import numpy as np
import piexif
from PIL import Image, ImageFilter

SAMPLES = ["astronaut", "chelsea", "coffee", "rocket", "retina", "hubble_deep_field", "grass", "gravel", "brick"]
SHUTTERS = [(1, 30), (1, 125), (1, 500), (1, 2000)]
F_NUMBERS = [(28, 10), (40, 10), (56, 10), (80, 10)]
ISOS = [100, 400, 1600, 6400]
FOCALS = [24, 35, 50, 85]
ORIENTATIONS = [1, 6, 8, 1]
EXPOSURE_STOPS = [0, -1, 0.7, -0.4, 1.4, -2, 0.3, 2]
SUBSAMPLING = {"444": 0, "422": 1, "420": 2}
MAKER_NOTE_BYTES = 28_000  # what a current camera writes; it is read past, never parsed


@dataclass(frozen=True)
class Plan:
    """What one run makes. Sizes in pixels and megabytes (10^6 bytes)."""

    out: Path
    width: int
    height: int
    subsampling: str
    quality: int
    smallest_mb: float
    largest_mb: float


@lru_cache(maxsize=1)
def sample_photographs() -> list[np.ndarray]:
    """The sample photographs as uint8 arrays (h, w, 3)."""
    import skimage.data

    found = []
    for name in SAMPLES:
        try:
            picture = getattr(skimage.data, name)()
        except Exception as error:  # no network, no cached copy
            print(f"left out sample {name}: {error}", file=sys.stderr)
            continue
        if picture.ndim == 2:
            picture = np.stack([picture] * 3, -1)
        found.append(np.ascontiguousarray(picture[:, :, :3]))
    if not found:
        sys.exit("no sample photographs: install scikit-image")
    return found


def srgb_to_linear(code: np.ndarray) -> np.ndarray:
    """IEC 61966-2-1, codes 0..255 to linear 0..1."""
    x = code / 255.0
    return np.where(x <= 0.04045, x / 12.92, ((x + 0.055) / 1.055) ** 2.4).astype(np.float32)


def linear_to_srgb(light: np.ndarray) -> np.ndarray:
    """IEC 61966-2-1, linear light to codes 0..255 (more than 255 above full scale)."""
    x = np.clip(light, 0, None)
    return np.where(x <= 0.0031308, x * 12.92, 1.055 * np.power(x, 1 / 2.4) - 0.055).astype(np.float32) * 255


def jpeg(picture: np.ndarray, quality: int, subsampling: str, **more) -> bytes:
    buffer = io.BytesIO()
    codes = np.clip(picture + 0.5, 0, 255).astype(np.uint8)
    Image.fromarray(codes).save(buffer, "JPEG", quality=quality, subsampling=SUBSAMPLING[subsampling], **more)
    return buffer.getvalue()


def exif_block(number: int, width: int, height: int, thumbnail: bytes, maker_note: bytes, stage: int = 1) -> bytes:
    """EXIF of the size and shape a current camera writes; one frame every two seconds, other settings every `stage`."""
    k = number // stage % 4
    second = 36_000 + number * 2
    taken = b"2026:05:17 %02d:%02d:%02d" % (second // 3600 % 24, second // 60 % 60, second % 60)
    tiff, exif = piexif.ImageIFD, piexif.ExifIFD
    image = {
        tiff.Make: b"TestCam", tiff.Model: b"TestCam T1", tiff.Orientation: ORIENTATIONS[k],
        tiff.XResolution: (300, 1), tiff.YResolution: (300, 1), tiff.ResolutionUnit: 2,
        tiff.Software: b"1.10", tiff.DateTime: taken, tiff.YCbCrPositioning: 2,
    }
    shot = {
        exif.ExposureTime: SHUTTERS[k], exif.FNumber: F_NUMBERS[k], exif.ExposureProgram: 3,
        exif.ISOSpeedRatings: ISOS[k], exif.ExifVersion: b"0231",
        exif.DateTimeOriginal: taken, exif.DateTimeDigitized: taken, exif.SubSecTimeOriginal: b"%02d" % (number % 100),
        exif.ExposureBiasValue: (number % 7 - 3, 3), exif.MeteringMode: 5, exif.Flash: 16,
        exif.FocalLength: (FOCALS[k] * 10, 10), exif.FocalLengthIn35mmFilm: FOCALS[k], exif.ColorSpace: 1,
        exif.PixelXDimension: width, exif.PixelYDimension: height, exif.BodySerialNumber: b"3001234",
        exif.LensSpecification: ((24, 1), (70, 1), (28, 10), (28, 10)), exif.LensModel: b"T 24-70mm F2.8",
        exif.MakerNote: maker_note,
    }
    first = {tiff.Compression: 6}
    return piexif.dump({"0th": image, "Exif": shot, "GPS": {}, "1st": first, "thumbnail": thumbnail})


def enlarged(picture: np.ndarray, width: int, height: int) -> np.ndarray:
    """The photograph scaled to cover width x height, cropped at the upper left."""
    base = Image.fromarray(picture)
    scale = max(width / base.width, height / base.height)
    size = (int(base.width * scale) + 1, int(base.height * scale) + 1)
    return np.asarray(base.resize(size, Image.Resampling.LANCZOS).crop((0, 0, width, height)), np.float32)


def fine_detail(number: int, width: int, height: int) -> np.ndarray:
    """High-pass of three photographs at 1.5 to 3.5 times their size, mirrored to fill the frame, in codes."""
    photographs = sample_photographs()
    detail = np.zeros((height, width), np.float32)
    for k in range(3):
        grey = Image.fromarray(photographs[(number * 3 + k + 1) % len(photographs)]).convert("L")
        zoom = 1.5 + k
        grey = grey.resize((int(grey.width * zoom), int(grey.height * zoom)), Image.Resampling.BICUBIC)
        high = np.asarray(grey, np.float32) - np.asarray(grey.filter(ImageFilter.GaussianBlur(6)), np.float32)
        high = np.concatenate([high, high[:, ::-1]], 1)
        high = np.concatenate([high, high[::-1]], 0)
        repeats = (height // high.shape[0] + 1, width // high.shape[1] + 1)
        detail += np.tile(high, repeats)[:height, :width] * 0.35
    return detail


def sensor_noise(rng: np.random.Generator, width: int, height: int) -> np.ndarray:
    """Noise of unit strength, mostly common to the channels and to neighbours, as after demosaicing."""
    noise = rng.standard_normal((height, width, 3), np.float32) * 0.5
    noise += rng.standard_normal((height, width, 1), np.float32)
    noise[:, 1:] = 0.7 * noise[:, 1:] + 0.45 * noise[:, :-1]
    return noise


def noise_strength(picture: np.ndarray, noise: np.ndarray, target_mb: float, plan: Plan) -> float:
    """Strength at which the file reaches its size; a tenth of the rows is enough to find it."""
    step = max(64, plan.height // 640 * 64)
    rows = np.concatenate([np.arange(top, top + 64) for top in range(0, plan.height - 64, step)])
    some_picture, some_noise = picture[rows], noise[rows]
    low, high, strength = 0.2, 14.0, 1.0
    for _ in range(7):
        strength = (low * high) ** 0.5
        trial = jpeg(some_picture + some_noise * np.float32(strength), plan.quality, plan.subsampling)
        size_mb = len(trial) * (plan.height / len(rows)) / 1e6
        if abs(size_mb - target_mb) < 0.3:
            break
        low, high = (low, strength) if size_mb > target_mb else (strength, high)
    return strength


def large_picture(number: int, plan: Plan) -> str:
    """Write one large picture; an existing one is kept, so that an interrupted run can go on."""
    path = plan.out / f"DSC{number:05d}.JPG"
    if path.exists():
        return f"{path.name} kept"
    rng = np.random.default_rng(1000 + number)
    photographs = sample_photographs()
    light = srgb_to_linear(enlarged(photographs[number % len(photographs)], plan.width, plan.height))
    detail = fine_detail(number, plan.width, plan.height)
    focus = Image.fromarray((rng.random((6, 9)) * 255).astype(np.uint8))
    detail *= np.asarray(focus.resize((plan.width, plan.height), Image.Resampling.BICUBIC), np.float32) / 255
    light *= 2.0 ** EXPOSURE_STOPS[number % 8] * (0.9 + 0.2 * rng.random(3)).astype(np.float32)
    picture = linear_to_srgb(light) + detail[:, :, None] * np.array([1.0, 1.0, 0.95], np.float32)
    noise = sensor_noise(rng, plan.width, plan.height)

    small = picture[:: max(1, plan.height // 120), :: max(1, plan.width // 160)]
    maker_note = rng.integers(0, 256, MAKER_NOTE_BYTES, np.uint8).tobytes()
    exif = exif_block(number, plan.width, plan.height, jpeg(small, 80, "420"), maker_note)
    target_mb = plan.smallest_mb + (plan.largest_mb - plan.smallest_mb) * (number * 7 % 24) / 23
    strength = noise_strength(picture, noise, target_mb, plan)
    noise *= np.float32(strength)
    noise += picture
    data = jpeg(noise, plan.quality, plan.subsampling, exif=exif)
    part = path.with_suffix(".part")
    part.write_bytes(data)
    part.rename(path)
    return f"{path.name} {len(data) / 1e6:.2f} MB, noise {strength:.2f}"


# Shots at one setting: a shoot in stages, not a new stage at every shot.
SMALL_STAGE = 50


def small_pictures(out: Path, count: int) -> None:
    """Tiny pictures with camera-sized EXIF: what a shoot costs beside its pixels."""
    for number in range(count):
        path = out / f"S{number:05d}.JPG"
        if path.exists():
            continue
        rng = np.random.default_rng(number)
        blobs = Image.fromarray(rng.integers(0, 256, (48, 64, 3), np.uint8))
        picture = blobs.resize((320, 240), Image.Resampling.BICUBIC)
        thumbnail = jpeg(np.asarray(picture.resize((160, 120)), np.float32), 80, "420")
        maker_note = rng.integers(0, 256, MAKER_NOTE_BYTES, np.uint8).tobytes()
        exif = exif_block(number, 6000, 4000, thumbnail, maker_note, SMALL_STAGE)
        path.write_bytes(jpeg(np.asarray(picture, np.float32), 85, "420", exif=exif))


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("out", type=Path)
    parser.add_argument("--n", type=int, default=24, help="how many large pictures")
    parser.add_argument("--size", default="6000x4000", help="width x height in pixels")
    parser.add_argument("--sub", choices=sorted(SUBSAMPLING), default="422", help="chroma subsampling")
    parser.add_argument("--q", type=int, default=92, help="JPEG quality")
    parser.add_argument("--mb", nargs=2, type=float, default=[8, 12], metavar=("FROM", "TO"))
    parser.add_argument("--jobs", type=int, default=2, help="processes; about 1.5 GB of memory each")
    parser.add_argument("--small", type=int, default=0, metavar="N", help="make N small pictures instead")
    given = parser.parse_args()
    given.out.mkdir(parents=True, exist_ok=True)
    if given.small:
        small_pictures(given.out, given.small)
        return
    width, height = (int(side) for side in given.size.split("x"))
    plan = Plan(given.out, width, height, given.sub, given.q, *given.mb)
    with ProcessPoolExecutor(given.jobs) as pool:
        for line in pool.map(large_picture, range(given.n), [plan] * given.n):
            print(line, flush=True)


if __name__ == "__main__":
    main()
