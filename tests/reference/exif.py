#!/usr/bin/env python3
"""EXIF fields of the real files, as two independent readers see them: ExifRead and Pillow.

    python exif.py FRAMES > exif.csv        every file of the collection
    python exif.py > exif.csv.new           the files in ../fixtures only
    python exif.py --check                  re-read the fixtures and compare with exif.csv

Made with ExifRead 3.5.1, Pillow 13.0.0, pillow-heif 1.8.1, Python 3.11.7.

Columns: file, field, exifread, pillow, agree, where, via, fixture. A row exists where at least one
reader gave something. Both answers are put into one simple form before they are compared:
- a fraction is reduced, "1/200"; a zero denominator stays visible as written, "0/0", "1/0";
- a list is joined by spaces; of ISO only the first value is kept;
- text loses NULs and the blanks around it; a text that is then empty gives an empty cell; control
  characters are written as \\xNN.
`where` is the directory that holds the field: `exif` or `ifd0` (TIFF/EP raws keep exposure in
directory 0); the Exif directory wins where both have it. `via` says how Pillow got at the bytes, since
Pillow cannot open every container: `pillow` (its own reader), or `tiff`, `app1`, `chunk`, `mark`,
`cmt` where this script cut the block out of the file and Pillow parsed it. ExifRead gets a
cut block too where it does not read the container: CR3, and HEIF whose boxes it does not follow.
"""

import argparse
import csv
import io
import logging
import struct
import sys
import warnings
from math import gcd
from pathlib import Path

import exifread
import pillow_heif
from PIL import Image
from PIL.TiffImagePlugin import IFDRational

HERE = Path(__file__).resolve().parent
FIELDS = {  # name: (tag, kind)
    "Make": (0x010F, "text"), "Model": (0x0110, "text"), "Orientation": (0x0112, "number"),
    "ExposureTime": (0x829A, "fraction"), "FNumber": (0x829D, "fraction"), "ISO": (0x8827, "first"),
    "DateTimeOriginal": (0x9003, "text"), "OffsetTimeOriginal": (0x9011, "text"),
    "ExposureBiasValue": (0x9204, "fraction"), "FocalLength": (0x920A, "fraction"),
    "SubSecTimeOriginal": (0x9291, "text"), "WhiteBalance": (0xA403, "number"),
    "BodySerialNumber": (0xA431, "text"), "LensSpecification": (0xA432, "fraction"), "LensModel": (0xA434, "text"),
}
EXIFREAD_NAMES = {"ISO": "ISOSpeedRatings"}
FOLDERS = ("1_exif", "2_raw", "4_brackets")


def fraction(numerator: int, denominator: int) -> str:
    if denominator == 0:
        return f"{numerator}/0"
    if denominator < 0:
        numerator, denominator = -numerator, -denominator
    common = gcd(numerator, denominator) or 1
    return f"{numerator // common}/{denominator // common}"


def visible(value: str) -> str:
    """Control characters written as \\xNN, so that the table stays text."""
    return "".join(c if c.isprintable() else f"\\x{ord(c):02x}" for c in value)


def text(value) -> str:
    """Text without NULs and surrounding blanks; bytes are read as UTF-8, else Latin-1."""
    if isinstance(value, bytes):
        try:
            value = value.decode("utf-8")
        except UnicodeDecodeError:
            value = value.decode("latin-1")
    return str(value).replace("\0", "").strip()


def simple(value, kind: str) -> str:
    """One reader's answer in the common form; lists and tuples are flattened."""
    if kind == "text":
        return text(value)
    items = list(value) if isinstance(value, (list, tuple)) else [value]
    if kind == "first":
        items = items[:1]
    out = []
    for item in items:
        if hasattr(item, "num"):  # ExifRead's Ratio
            out.append(fraction(item.num, item.den))
        elif isinstance(item, IFDRational):
            out.append(fraction(item.numerator, item.denominator))
        elif kind == "fraction" and isinstance(item, int):
            out.append(f"{item}/1")
        else:
            out.append(text(item))
    return " ".join(out)


# ---- containers that a reader cannot open by itself ---------------------------------------------

def app1_block(data: bytes) -> bytes | None:
    """The first Exif APP1 of a JPEG, starting at its TIFF header."""
    at = 2
    while at + 4 <= len(data) and data[at] == 0xFF:
        marker, size = data[at + 1], struct.unpack(">H", data[at + 2 : at + 4])[0]
        if marker == 0xDA:
            return None
        body = data[at + 4 : at + 2 + size]
        if marker == 0xE1 and body[:6] == b"Exif\0\0":
            return body[6:]
        at += 2 + size
    return None


def png_block(data: bytes) -> bytes | None:
    """The eXIf chunk of a PNG (PNG third edition, 11.3.4.6)."""
    at = 8
    while at + 8 <= len(data):
        size, name = struct.unpack(">I4s", data[at : at + 8])
        if name == b"eXIf":
            return data[at + 8 : at + 8 + size]
        at += 12 + size
    return None


def heif_block(data: bytes) -> bytes | None:
    """The TIFF block of a HEIF whose picture no longer decodes, found by its own mark, not through the boxes."""
    for head in (b"MM\0*", b"II*\0"):
        at = data.find(b"Exif\0\0" + head)
        if at >= 0:
            return data[at + 6 :]
    return None


def cut_block(data: bytes) -> tuple[bytes | None, str]:
    """(TIFF block or None, name of the way it was cut)."""
    if data[:2] == b"\xff\xd8":
        return app1_block(data), "app1"
    if data[:8] == b"\x89PNG\r\n\x1a\n":
        return png_block(data), "chunk"
    if data[4:8] == b"ftyp":
        return heif_block(data), "mark"
    return None, "none"


def cmt_blocks(data: bytes) -> dict[str, bytes]:
    """CR3: the TIFF blocks CMT1 (directory 0) and CMT2 (Exif directory) inside moov/uuid."""
    found = {}
    for name in (b"CMT1", b"CMT2"):
        at = data.find(name)
        if at >= 4:
            size = struct.unpack(">I", data[at - 4 : at])[0]
            found[name.decode()] = data[at + 4 : at - 4 + size]
    return found


# ---- the two readers ----------------------------------------------------------------------------

def by_exifread(data: bytes) -> dict[str, tuple[str, str]]:
    """field: (value, where), by ExifRead."""
    if data[4:12] == b"ftypcrx ":
        out = {}
        for block, where in (("CMT1", "ifd0"), ("CMT2", "exif")):
            # a CR3 block is a TIFF of one directory: whatever it is, ExifRead calls it "Image"
            tags = exifread.process_file(io.BytesIO(cmt_blocks(data).get(block, b"")), details=False)
            for field, (_, kind) in FIELDS.items():
                tag = tags.get("Image " + EXIFREAD_NAMES.get(field, field))
                if tag is not None:
                    out[field] = (simple(tag.values, kind), where)
        return out
    try:
        tags = exifread.process_file(io.BytesIO(data), details=False)
    except (AssertionError, EOFError):  # a HEIF container it does not follow: give it the block alone
        block = heif_block(data)
        if block is None:
            raise
        tags = exifread.process_file(io.BytesIO(block), details=False)
    out = {}
    for field, (_, kind) in FIELDS.items():
        name = EXIFREAD_NAMES.get(field, field)
        for prefix, where in (("EXIF ", "exif"), ("Image ", "ifd0")):
            tag = tags.get(prefix + name)
            if tag is not None:
                out[field] = (simple(tag.values, kind), where)
                break
    return out


def pillow_fields(ifd0, exif) -> dict[str, tuple[str, str]]:
    out = {}
    for field, (number, kind) in FIELDS.items():
        for directory, where in ((exif, "exif"), (ifd0, "ifd0")):
            if number in directory:
                out[field] = (simple(directory[number], kind), where)
                break
    return out


def by_pillow(data: bytes) -> tuple[dict[str, tuple[str, str]], str]:
    """(field: (value, where), via), by Pillow."""
    if data[4:12] == b"ftypcrx ":
        blocks = {k: Image.Exif() for k in ("CMT1", "CMT2")}
        for name, block in blocks.items():
            block.load(cmt_blocks(data)[name])
        return pillow_fields(dict(blocks["CMT1"]), dict(blocks["CMT2"])), "cmt"
    block = Image.Exif()
    if data[:4] in (b"II*\0", b"MM\0*"):
        block.load(data)
        return pillow_fields(dict(block), block.get_ifd(0x8769)), "tiff"
    try:
        with Image.open(io.BytesIO(data)) as picture:
            cut = heif_block(data) if picture.format == "HEIF" else None
            if cut is not None:  # pillow-heif has set the orientation to 1 in its copy: read the file's own block
                block.load(cut)
                return pillow_fields(dict(block), block.get_ifd(0x8769)), "mark"
            block = picture.getexif()
            return pillow_fields(dict(block), block.get_ifd(0x8769)), "pillow"
    except Exception:
        cut, via = cut_block(data)
        if cut is None:
            raise
        block.load(cut)
        return pillow_fields(dict(block), block.get_ifd(0x8769)), via


def rows(file: str, data: bytes, fixture: str):
    try:
        first = by_exifread(data)
    except Exception as error:
        print(f"{file}: ExifRead: {type(error).__name__}: {error}", file=sys.stderr)
        first = {}
    try:
        second, via = by_pillow(data)
    except Exception as error:
        print(f"{file}: Pillow: {type(error).__name__}: {error}", file=sys.stderr)
        second, via = {}, "none"
    for field in FIELDS:
        a, b = first.get(field), second.get(field)
        if a is None and b is None:
            continue
        where = a[1] if a else b[1]
        a_value, b_value = a[0] if a else "", b[0] if b else ""
        agree = "yes" if (a is not None) == (b is not None) and a_value == b_value else "no"
        yield [file, field, visible(a_value), visible(b_value), agree, where, via, fixture]


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("frames", nargs="?", type=Path, help="the collection; without it only the fixtures are read")
    parser.add_argument("--check", action="store_true", help="compare the fixtures with exif.csv, write nothing")
    given = parser.parse_args()
    logging.disable(logging.CRITICAL)
    warnings.simplefilter("ignore")
    pillow_heif.register_heif_opener()
    manifest = HERE.parent / "fixtures" / "MANIFEST.tsv"
    copies = {}
    if manifest.exists():
        with manifest.open(encoding="utf-8") as lines:
            copies = {row["original"]: row["path"] for row in csv.DictReader(lines, delimiter="\t")}
    if given.frames:
        names = sorted(
            p.relative_to(given.frames).as_posix()
            for folder in FOLDERS for p in (given.frames / folder).rglob("*")
            if p.is_file() and p.name.lower() not in ("license", "license.txt")
        )
        files = [(name, given.frames / name) for name in names]
        files += [(name, manifest.parent / path) for name, path in sorted(copies.items()) if name.startswith("made/")]
    else:
        files = [(name, manifest.parent / copies[name]) for name in sorted(copies) if name.startswith((*FOLDERS, "made/"))]
    table = [row for name, path in files for row in rows(name, path.read_bytes(), copies.get(name, ""))]
    if given.check:
        with (HERE / "exif.csv").open(encoding="utf-8") as lines:
            known = [list(row.values()) for row in csv.DictReader(lines) if row["fixture"]]
        changed = [row for row in table if row not in known] + [row for row in known if row not in table]
        for row in changed:
            print("differs:", row)
        print(f"{len(known)} rows of fixtures, {len(changed)} differences")
        return 1 if changed else 0
    out = csv.writer(sys.stdout, lineterminator="\n")
    out.writerow(["file", "field", "exifread", "pillow", "agree", "where", "via", "fixture"])
    out.writerows(table)
    return 0


if __name__ == "__main__":
    sys.exit(main())
