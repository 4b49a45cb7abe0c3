#!/usr/bin/env python3
"""Luminance and clipping of still pictures, measured apart from the tool: Pillow, pypng, tifffile and numpy.

    python measure.py FRAMES > measure.csv     every file of the collection and the made fixtures
    python measure.py --check                  measure ../fixtures again and compare with measure.csv

Made with Python 3.11.7, numpy 2.4.6, Pillow 13.0.0 (libjpeg-turbo 3.2.0, libwebp 1.6.0, libtiff 4.7.2,
Little CMS 2.19), pypng 0.20220715.0, tifffile 2026.3.3, pillow-heif 1.8.1; decoder spread by djpeg of
libjpeg-turbo 2.1.5.

What is measured (definitions of the project):
- mean_luminance, median_luminance: Y = 0.2126 R + 0.7152 G + 0.0722 B (ITU-R BT.709) over all pixels at
  full size, in linear light 0..1. The median of an even count is the mean of the two middle values.
- Linear light: the file's ICC profile where it has one (icc.py; wide gamuts are taken to linear sRGB
  primaries and nothing is clipped), Adobe RGB where DCF says so (Exif InteroperabilityIndex R03), else sRGB
  by IEC 61966-2-1. Grey is R = G = B.
- highlights_clipped: a pixel with any channel >= 254/255 of full scale, in the file's own codes, before any
  colour conversion (8 bit: 254; 16 bit: 65278). Per channel likewise. shadows_clipped: all three channels
  <= 1/255 of full scale (8 bit: 1; 16 bit: 257). Percent of all pixels.
- Alpha is ignored: the colour under a transparent pixel counts like any other, nothing is composited.
- A palette is expanded first. Grey of 1, 2 or 4 bits is scaled to full range.
- CMYK without a profile: R = (1 - C)(1 - K) and so on, rounded to 8 bits, then as sRGB; clipping on those.
- Width and height are those of the upright picture. An orientation outside 1..8 counts as 1.

`certainty` is `certain` where the definitions leave one reading, else `ambiguous`: then `note` says why and
`other_mean_luminance` gives the figure of the other reading. Tests must not lean on ambiguous rows.
`spread_*`: how far the figure moves when the same JPEG is decoded by djpeg with its fastest settings
(-nosmooth -dct fast): a bound on what the choice of decoder alone does, not an error of the picture.
"""

import argparse
import csv
import io
import math
import subprocess
import sys
import warnings
from dataclasses import dataclass, field
from pathlib import Path

import numpy as np
import pillow_heif
import png
import tifffile
from PIL import Image, ImageCms

import icc

HERE = Path(__file__).resolve().parent
FOLDERS = ("1_exif", "3_hostile", "4_brackets")
SUFFIXES = (".jpg", ".jpeg", ".png", ".tif", ".tiff", ".webp", ".heic")
COLUMNS = [
    "file", "width", "height", "mean_luminance", "median_luminance", "highlights_clipped_percent",
    "highlights_clipped_r_percent", "highlights_clipped_g_percent", "highlights_clipped_b_percent",
    "shadows_clipped_percent", "profile", "mode", "bits", "certainty", "other_mean_luminance",
    "spread_mean_stops", "spread_highlights_points", "spread_shadows_points", "note", "fixture",
]


class Unmeasured(Exception):
    """The file is no whole picture of a kind the definitions cover; the text says why."""


@dataclass
class Picture:
    """One decoded picture: codes (h, w, 3) as stored, full-scale code, and what the file says about them."""

    codes: np.ndarray
    full: int
    mode: str
    bits: int
    orientation: int = 1
    profile: bytes | None = None
    gamma: float | None = None  # PNG gAMA, where no iCCP or sRGB chunk takes precedence
    adobe_rgb: bool = False
    uncalibrated: bool = False
    premultiplied: bool = False  # associated alpha
    unlabelled: bool = False  # HEIC without a colour box
    cmyk: np.ndarray | None = None  # ink 0..1
    notes: list[str] = field(default_factory=list)
    coarse_palette: bool = True  # False: a TIFF palette whose 16-bit values are not 8-bit ones times 257


# ---- decoding -----------------------------------------------------------------------------------

def three(codes: np.ndarray) -> np.ndarray:
    """(h, w) or (h, w, n) codes to (h, w, 3); a second or fourth channel (alpha) is dropped."""
    if codes.ndim == 2:
        codes = codes[:, :, None]
    if codes.shape[2] <= 2:
        return np.repeat(codes[:, :, :1], 3, 2)
    return codes[:, :, :3]


def read_png(data: bytes, pillow: Image.Image) -> Picture:
    width, height, flat, info = png.Reader(bytes=data).read_flat()
    bits, planes = info["bitdepth"], info["planes"]
    codes = np.array(flat, np.uint16).reshape(height, width, planes)
    if "palette" in info:
        codes, bits, mode = np.array(info["palette"], np.uint16)[codes[:, :, 0]], 8, "palette"
    else:
        mode = ("grey" if info["greyscale"] else "rgb") + ("+alpha" if info["alpha"] else "")
    gamma = None if "srgb" in pillow.info or "icc_profile" in pillow.info else info.get("gamma")
    return Picture(three(codes), 2**bits - 1, mode, bits, gamma=gamma)


def tiff_palette(page, pillow: Image.Image, bits: int, notes: list[str]) -> Picture:
    """A TIFF palette holds 16-bit values (TIFF 6.0, ColorMap), but many writers store 8-bit ones times 256."""
    table = np.array(page.colormap, np.uint16)
    if bits == 8:
        codes = table.T[page.asarray()]
        return Picture(codes, 65535, "palette", 8, notes=notes, coarse_palette=not (table % 257).any())
    codes = three(np.asarray(pillow.convert("RGB")))
    return Picture(codes, 255, "palette", bits, notes=notes, coarse_palette=not (table % 257).any())


def read_tiff(data: bytes, pillow: Image.Image) -> Picture:
    with tifffile.TiffFile(io.BytesIO(data)) as tiff:
        page = tiff.pages[0]
        bits, format_, kind, compression = page.bitspersample, page.sampleformat, page.photometric, page.compression
        notes = ["first page of several"] if len(tiff.pages) > 1 else []
        if kind == 3 and format_ == 1 and bits <= 8:
            return tiff_palette(page, pillow, bits, notes)
        if format_ != 1 or bits not in (1, 8, 16):
            raise Unmeasured(f"TIFF of {bits} bits, sample format {format_}: no code scale in the definitions")
        plain = compression in (1, 8, 32946) or (compression in (5, 32773) and page.predictor == 1)
        if bits == 16:
            try:
                codes = page.asarray()
            except ValueError:  # LZW, PackBits need a further package; Pillow has them
                codes = np.asarray(pillow)
        elif bits == 1 or not plain or kind == 6:
            codes = np.asarray(pillow.convert("L" if pillow.mode == "1" else "RGB" if kind == 6 else pillow.mode))
        else:
            try:
                codes = page.asarray()
            except ValueError:
                codes = np.asarray(pillow)
        if page.planarconfig == 2 and codes.ndim == 3 and codes.shape[0] == page.samplesperpixel:
            codes = np.moveaxis(codes, 0, 2)  # stored plane by plane
        if kind == 0 and bits != 1:
            codes = 2**bits - 1 - codes  # white is zero
    full = 255 if bits == 1 else 2**bits - 1  # Pillow has expanded bilevel to 0 and 255
    if pillow.mode == "CMYK":
        return Picture(codes, 255, "cmyk", 8, notes=notes, cmyk=codes / 255)
    mode = {0: "grey", 1: "grey", 2: "rgb", 3: "palette", 6: "ycbcr"}.get(int(kind), str(kind))
    if pillow.mode in ("RGBA", "LA", "La"):
        mode += "+alpha"
    return Picture(three(codes), full, mode, bits, notes=notes)


def read_other(pillow: Image.Image) -> Picture:
    """JPEG, WebP, HEIC: Pillow's own decoders, 8 bits."""
    codes = np.asarray(pillow)
    if pillow.mode == "CMYK":  # Pillow has undone the inversion of Adobe files: 255 is full ink
        transform = pillow.info.get("adobe_transform")
        return Picture(codes, 255, "ycck" if transform == 2 else "cmyk", 8, cmyk=codes / 255)
    mode = {"L": "grey", "RGB": "rgb", "RGBA": "rgb+alpha"}[pillow.mode]
    if pillow.format in ("JPEG", "MPO") and mode == "rgb" and pillow.info.get("adobe_transform") != 0:
        mode = "ycbcr"
    return Picture(three(codes), 255, mode, 8)


def read(data: bytes) -> Picture:
    """Decode one file and collect what it says about colour and orientation."""
    pillow = Image.open(io.BytesIO(data))
    kind = "TIFF" if data[:4] in (b"II*\0", b"MM\0*") else pillow.format
    if kind == "TIFF":
        pillow.load()
        picture = read_tiff(data, pillow)
    elif kind == "PNG":
        pillow.load()
        picture = read_png(data, pillow)
    else:
        pillow.load()
        picture = read_other(pillow)
    exif = pillow.getexif()
    orientation = pillow.info.get("original_orientation") if kind == "HEIF" else exif.get(0x0112)
    if kind == "HEIF":
        picture.notes.append("decoded by libheif; upright by the container's own transforms, Exif orientation unused")
    elif orientation is not None and orientation not in range(1, 9):
        picture.notes.append(f"Exif orientation {orientation} is outside 1..8: taken as 1")
    elif orientation:
        picture.orientation = orientation
    picture.profile = pillow.info.get("icc_profile") or None
    details = exif.get_ifd(0x8769)
    index = exif.get_ifd(0xA005).get(1) if 0xA005 in details else None
    picture.unlabelled = kind == "HEIF" and not picture.profile and "nclx_profile" not in pillow.info
    picture.uncalibrated = details.get(0xA001) == 65535
    picture.adobe_rgb = index == "R03"
    if "transparency" in pillow.info:
        picture.notes.append("tRNS ignored")
    if picture.mode.endswith("+alpha"):
        picture.notes.append("alpha ignored")
    if pillow.mode == "La":
        picture.premultiplied = True
    return picture


# ---- colour to linear light ---------------------------------------------------------------------

def cmyk_by_lcms(ink: np.ndarray, profile: bytes) -> np.ndarray:
    """CMYK through its own profile to sRGB, relative colorimetric, by Little CMS; linear light (h, w, 3)."""
    transform = ImageCms.buildTransform(
        ImageCms.ImageCmsProfile(io.BytesIO(profile)), ImageCms.createProfile("sRGB"), "CMYK", "RGB",
        ImageCms.Intent.RELATIVE_COLORIMETRIC,
    )
    image = Image.fromarray((ink * 255).round().astype(np.uint8), "CMYK")
    return icc.srgb_to_linear(np.asarray(ImageCms.applyTransform(image, transform)) / 255)


def luminance(rgb: np.ndarray) -> np.ndarray:
    return rgb @ icc.BT709_WEIGHTS


def linear_luminance(picture: Picture) -> tuple[np.ndarray, str, np.ndarray | None, list[str]]:
    """(Y per pixel, profile in words, Y of the other reading or None, notes that make it ambiguous)."""
    x = picture.codes[:, :, :3] / picture.full
    plain = luminance(icc.srgb_to_linear(x))
    if picture.cmyk is not None:
        if picture.profile:
            profile = icc.Profile(picture.profile)
            y = luminance(cmyk_by_lcms(picture.cmyk, picture.profile))
            return y, profile.name, plain, [
                "CMYK by its profile, relative colorimetric, through Little CMS to 8-bit sRGB; other reading: naive inverse CMYK"
            ]
        return plain, "none (naive inverse CMYK as sRGB)", None, []
    if picture.profile:
        profile = icc.Profile(picture.profile)
        if profile.kind() == "grey":
            return profile.curve("kTRC", x[:, :, 0]), profile.name, None, []
        if profile.kind() == "lut" or profile.space != "RGB":
            raise Unmeasured(f"profile {profile.name} is a table for {profile.space}")
        linear = np.stack([profile.curve(t, x[:, :, i]) for i, t in enumerate(("rTRC", "gTRC", "bTRC"))], 2)
        return linear @ profile.luminance_weights(), profile.name, None, []
    if picture.adobe_rgb:
        rgb = (x**icc.ADOBE_RGB_GAMMA) @ icc.ADOBE_RGB_TO_SRGB.T
        return luminance(rgb), "none (DCF R03: Adobe RGB)", plain, ["Adobe RGB only by Exif interoperability R03; other reading: sRGB"]
    if picture.gamma is not None:
        by_gamma = luminance(x ** (1 / picture.gamma))
        if abs(picture.gamma - 0.45455) < 0.001:
            return plain, "none (gAMA 0.45455 as sRGB)", by_gamma, ["gAMA 0.45455 is what sRGB files carry; other reading: pure power 2.2"]
        return by_gamma, f"none (gAMA {picture.gamma:g})", plain, [f"gAMA {picture.gamma:g} obeyed; other reading: sRGB"]
    if not picture.coarse_palette:
        other = luminance(icc.srgb_to_linear((picture.codes // 256) / 255)) if picture.full == 65535 else None
        return plain, "none (sRGB)", other, ["TIFF palette of 16-bit values; other reading: their upper 8 bits"]
    if picture.unlabelled:
        return plain, "none (sRGB)", None, ["HEIC without a colour box: matrix and range are libheif's defaults"]
    if picture.premultiplied:
        return plain, "none (sRGB)", None, ["alpha is associated (premultiplied): codes taken as stored"]
    if picture.uncalibrated:
        return plain, "none (Exif: uncalibrated)", None, ["Exif ColorSpace says uncalibrated and no profile follows: taken as sRGB"]
    return plain, "none (sRGB)", None, []


# ---- figures ------------------------------------------------------------------------------------

def clipping(codes: np.ndarray, full: int) -> tuple[list[float], float]:
    """([any, r, g, b] highlight percent, shadow percent), on the file's own codes."""
    high = codes >= math.ceil(full * 254 / 255)
    low = (codes <= full // 255 if full >= 255 else codes <= 0).all(2)
    return [100 * h.mean() for h in (high.any(2), high[:, :, 0], high[:, :, 1], high[:, :, 2])], 100 * low.mean()


def djpeg(data: bytes, *options: str) -> tuple[np.ndarray | None, str]:
    """(codes or None, warnings) by libjpeg-turbo's own program."""
    run = subprocess.run(["djpeg", "-rgb", *options], input=data, capture_output=True)
    try:
        return three(np.asarray(Image.open(io.BytesIO(run.stdout)))), run.stderr.decode().strip()
    except Exception:
        return None, run.stderr.decode().strip()


def spread(picture: Picture, data: bytes, mean: float, high: float, low: float) -> list[str]:
    """Movement of mean (stops), highlights and shadows (points) under the fastest decoder settings."""
    codes, _ = djpeg(data, "-nosmooth", "-dct", "fast")
    if codes is None or picture.cmyk is not None:
        return ["", "", ""]
    other = Picture(codes, 255, picture.mode, 8, 1, picture.profile, picture.gamma, picture.adobe_rgb, picture.uncalibrated)
    y, *_ = linear_luminance(other)
    highs, lows = clipping(codes, 255)
    stops = abs(math.log2(y.mean() / mean)) if mean > 0 and y.mean() > 0 else 0.0
    return [f"{stops:.5f}", f"{abs(highs[0] - high):.4f}", f"{abs(lows - low):.4f}"]


def number(value: float) -> str:
    return f"{value:.9g}"


def measure(file: str, data: bytes, fixture: str) -> list[str]:
    picture = read(data)
    if picture.cmyk is not None:
        c, k = picture.cmyk[:, :, :3], picture.cmyk[:, :, 3:]
        picture.codes, picture.full = np.floor(255 * (1 - c) * (1 - k) + 0.5).astype(np.uint16), 255
        picture.notes.append("clipping on naive inverse CMYK, 8 bits")
    y, profile, other, doubts = linear_luminance(picture)
    mean = float(y.mean())
    highs, low = clipping(picture.codes, picture.full)
    moved = ["", "", ""]
    if data[:2] == b"\xff\xd8":
        moved = spread(picture, data, mean, highs[0], low)
        _, warning = djpeg(data)
        if "SOF type 0xc3" in warning:
            picture.notes.append("lossless JPEG: many decoders rightly report it as unsupported")
        elif warning and "Unsupported color conversion" not in warning:
            doubts.append("libjpeg-turbo warns: " + " / ".join(line.strip() for line in warning.splitlines()))
    height, width = picture.codes.shape[:2]
    if picture.orientation >= 5:
        width, height = height, width
    return [
        file, width, height, number(mean), number(float(np.median(y))), *map(number, highs), number(low),
        profile, picture.mode, picture.bits, "ambiguous" if doubts else "certain",
        number(float(other.mean())) if other is not None else "", *moved, "; ".join(doubts + picture.notes), fixture,
    ]


def self_test() -> None:
    """Closed forms first: a wrong reference would be the worst defect."""
    for code, light in ((0, 0), (1, 0.00030353), (10, 0.00303527), (11, 0.00334654), (118, 0.18116424), (254, 0.99110210), (255, 1)):
        assert abs(float(icc.srgb_to_linear(np.array(code / 255))) - light) < 5e-9, code
    assert np.allclose(icc.BT709_WEIGHTS @ icc.ADOBE_RGB_TO_SRGB, [0.29734, 0.62736, 0.07529], atol=2e-4)
    codes = np.array([[[254, 0, 0], [1, 1, 1], [2, 1, 0], [253, 253, 253]]])
    assert clipping(codes, 255) == ([25, 25, 0, 0], 25)
    codes = np.array([[[65278, 0, 0], [257, 257, 257], [258, 0, 0], [65277, 0, 0]]])
    assert clipping(codes, 65535) == ([25, 25, 0, 0], 25)


def check(table: list[list]) -> int:
    with (HERE / "measure.csv").open(encoding="utf-8") as lines:
        known = {row["fixture"]: list(row.values()) for row in csv.DictReader(lines) if row["fixture"]}
    again = {row[-1]: [str(cell) for cell in row] for row in table}
    changed = [name for name in sorted(known.keys() | again.keys()) if known.get(name) != again.get(name)]
    for name in changed:
        print("differs:", name, known.get(name), again.get(name), sep="\n  ")
    print(f"{len(known)} fixtures, {len(changed)} differences")
    return 1 if changed else 0


def measurable(name: str) -> bool:
    """Files of the kinds the tool reads; what a fuzzer made, and raws, have no true figure."""
    return name.startswith((*FOLDERS, "made/")) and Path(name).suffix.lower() in SUFFIXES and "fuzz" not in name


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("frames", nargs="?", type=Path, help="the collection; without it only the fixtures are measured")
    parser.add_argument("--check", action="store_true", help="compare the fixtures with measure.csv, write nothing")
    given = parser.parse_args()
    warnings.simplefilter("ignore")
    pillow_heif.register_heif_opener()
    self_test()
    manifest = HERE.parent / "fixtures" / "MANIFEST.tsv"
    copies = {}
    if manifest.exists():
        with manifest.open(encoding="utf-8") as lines:
            copies = {row["original"]: row["path"] for row in csv.DictReader(lines, delimiter="\t")}
    if given.frames:
        names = sorted(
            p.relative_to(given.frames).as_posix() for folder in FOLDERS for p in (given.frames / folder).rglob("*")
            if measurable(p.relative_to(given.frames).as_posix())
        )
        files = [(name, given.frames / name) for name in names]
        files += [(name, manifest.parent / path) for name, path in sorted(copies.items()) if name.startswith("made/")]
    else:
        files = [(name, manifest.parent / path) for name, path in sorted(copies.items()) if measurable(name)]
    table = []
    for name, path in files:
        try:
            table.append(measure(name, path.read_bytes(), copies.get(name, "")))
        except Exception as error:
            print(f"not measured: {name}: {type(error).__name__}: {str(error)[:100]}", file=sys.stderr)
    if given.check:
        return check(table)
    out = csv.writer(sys.stdout, lineterminator="\n")
    out.writerow(COLUMNS)
    out.writerows(table)
    return 0


if __name__ == "__main__":
    sys.exit(main())
