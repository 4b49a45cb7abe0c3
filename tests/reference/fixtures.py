#!/usr/bin/env python3
"""Copy the files that the tests carry out of the collection, named by what they show.

    python fixtures.py FRAMES       rewrites ../fixtures: good/, exif/, raw/, hostile/, bracket/, licences/, MANIFEST.tsv

Files are copied byte for byte. Pictures with recognisable people or brands in them are left out.
Names under made/ come from made.py. `licences/` is written by licences.py.
"""

import csv
import hashlib
import shutil
import subprocess
import sys
from pathlib import Path

HERE = Path(__file__).resolve().parent
OUT = HERE.parent / "fixtures"
SHARP, EXIFR, MEI, NOM = "1_exif/sharp/", "1_exif/exifr/", "1_exif/metadata-extractor-images/", "1_exif/nom-exif/"
RS, PIEXIF, STACK, HOUSE = "1_exif/exif-rs/", "1_exif/piexif/", "4_brackets/stack/", "4_brackets/mericam_house_noexif/"
IMG, TIFF, FUZZ = "3_hostile/image-rs/", "3_hostile/image-tiff/", "3_hostile/image-tiff-fuzz/"
JD, PIL = "3_hostile/jpeg-decoder-crash/", "3_hostile/pillow/"

GOOD = {
    **{f"orientation-{i}-landscape.jpg": SHARP + f"Landscape_{i}.jpg" for i in range(1, 9)},
    "orientation-0-chart.jpg": "made/jpeg-orientation-0.jpg",
    "grey-orientation-8.jpg": "made/jpeg-grey-orientation-8.jpg",
    "grey-no-profile.jpg": PIEXIF + "02.jpg",
    "grey-icc-gamma-2.2.jpg": SHARP + "concert.jpg",
    "adobe-rgb-icc.jpg": EXIFR + "RangeError_Invalid_typed_array_length.jpg",
    "adobe-rgb-dcf-r03.jpg": "made/jpeg-444-dcf-adobe-rgb.jpg",
    "p3-icc.jpg": "made/jpeg-444-p3.jpg",
    "srgb-icc-testcard.jpg": SHARP + "320x240.jpg",
    "srgb-icc-progressive.jpg": EXIFR + "broken1.jpg",
    "ycck-no-profile.jpg": "made/jpeg-ycck-no-profile.jpg",
    "no-exif-twin-of-img_1771.jpg": EXIFR + "img_1771_no_exif.jpg",
    "black-8x8.jpg": PIEXIF + "01.jpg",
    "bracket-no-exif-dark.jpg": HOUSE + "A.jpg",
    "bracket-no-exif-bright.jpg": HOUSE + "D.jpg",
    "bracket-1.jpg": STACK + "stack_room_exp_1.jpg",
    "bracket-3.jpg": STACK + "stack_room_exp_3.jpg",
    "bracket-5.jpg": STACK + "stack_room_exp_5.jpg",
    "rgb.png": SHARP + "bandbool.png",
    "rgb-alpha.png": SHARP + "trim-mc.png",
    "palette.png": SHARP + "swiss.png",
    "palette-transparent.png": SHARP + "d.png",
    "grey-half-black-half-white.png": SHARP + "stripesH.png",
    "grey-alpha-gama-0.45455.png": SHARP + "grey-8bit-alpha.png",
    "grey-16-bit-alpha-icc.png": SHARP + "16-bit-grey-alpha.png",
    "rgb-16-bit-gama-0.45455.png": SHARP + "Flag_of_the_Netherlands-16bit.png",
    "rgb-16-bit-alpha-gama-1.png": SHARP + "bggn4a16.png",
    "p3-icc-alpha.png": SHARP + "p3.png",
    "prophoto-icc-1x1.png": SHARP + "prophoto.png",
    "prophoto-icc.png": "made/png-prophoto.png",
    "rgb-8-bit.tiff": TIFF + "rgb-3c-8b.tiff",
    "rgb-16-bit.tiff": TIFF + "rgb-3c-16b.tiff",
    "rgb-16-bit-adobe-rgb-icc.tif": "made/tiff-16-adobe-rgb.tif",
    "grey-8-bit.tiff": TIFF + "minisblack-1c-8b.tiff",
    "grey-16-bit.tiff": TIFF + "minisblack-1c-16b.tiff",
    "grey-16-bit-chart.tif": "made/tiff-16-grey.tif",
    "cmyk-8-bit.tiff": TIFF + "cmyk-3c-8b.tiff",
    "palette-8-bit.tiff": TIFF + "palette-1c-8b.tiff",
    "white-is-zero-1-bit.tiff": TIFF + "miniswhite-1c-1b.tiff",
    "ycbcr-jpeg-tiles.tif": TIFF + "tiled-jpeg-ycbcr.tif",
    "lossless.webp": "made/webp-lossless.webp",
    "lossless-p3-icc.webp": "made/webp-lossless-p3.webp",
    "lossy.webp": "made/webp-lossy.webp",
    "p3-icc.heic": "made/heic-p3.heic",
    "rotated.heic": "made/heic-srgb-rotated.heic",
}
EXIF = {
    "img_1771.jpg": EXIFR + "img_1771.jpg",
    "serial-and-lens-specification.jpg": EXIFR + "issue-exifr-13.jpg",
    "lens-specification-0-over-0.jpg": PIEXIF + "r_olympus.jpg",
    "lens-model-and-specification.jpg": PIEXIF + "r_ricoh.jpg",
    "lens-specification-no-model.jpg": PIEXIF + "r_sony.jpg",
    "maker-note-large.jpg": PIEXIF + "r_canon.jpg",
    "serial-of-control-characters.jpg": PIEXIF + "r_casio.jpg",
    "no-serial.jpg": PIEXIF + "r_pana.jpg",
    "date-of-zeros.jpg": MEI + "Issue 609.jpg",
    "subsecond-leading-zero.jpg": MEI + "Issue 339.jpg",
    "text-without-nul.jpg": MEI + "Trust PowerCam Zoom LCD 710.JPG",
    "offset-blank-header-only.jpg": NOM + "exif-no-tz.jpg",
    "motion-photo-header-only.jpg": NOM + "motion_photo_pixel_synth.jpg",
    "exif-chunk-header-only.png": NOM + "exif-both.png",
    "damaged-values-header-only.heic": NOM + "invalid-gps",
    "one-entry.heic": NOM + "exif-one-entry.heic",
    "exif.heic": RS + "exif.heic",
    "exif.jpg": RS + "exif.jpg",
    "exif.png": RS + "exif.png",
    "exif.tif": RS + "exif.tif",
    "exif.webp": RS + "exif.webp",
    "big-endian.tif": RS + "yaminabe.tif",
    "little-endian.tif": RS + "yaminale.tif",
    "offset-outside-file.jpg": EXIFR + "RangeError_Offset_outside_bounds.jpg",
    "small-camera-a.jpg": EXIFR + "issue-exifr-36.jpg",
    "no-camera-fields.jpg": EXIFR + "image9_14.jpg",
    "small-camera-b.jpg": MEI + "Olympus C2040Z.jpg",
    "uncalibrated.jpg": MEI + "Sanyo SR662.jpg",
    "resolution-broken.jpg": PIL + "broken_exif_dpi.jpg",
    "resolution-truncated.jpg": PIL + "truncated_exif_dpi.jpg",
    "app14-truncated.jpg": PIL + "truncated_app14.jpg",
    "app1-broken-uncalibrated.jpg": PIL + "photoshop-200dpi-broken.jpg",
    "exif-bad-with-extraneous-bytes.jpg": PIL + "hopper_bad_exif.jpg",
}
RAW = {
    "sample.arw": "2_raw/bep_cc0_headers/sample.arw", "sample.cr2": "2_raw/bep_cc0_headers/sample.cr2",
    "sample.dng": "2_raw/bep_cc0_headers/sample.dng", "sample.nef": "2_raw/bep_cc0_headers/sample.nef",
    "sample.cr3": NOM + "canon-r6.cr3",
}
HOSTILE = {
    "empty.jpg": JD + "empty.jpg",
    "dc-predictor-overflow.jpg": JD + "dc-predictor-overflow.jpg",
    "huffman-codes-overflow.jpg": JD + "derive-huffman-codes-overflow.jpg",
    "dimensions-zero.jpg": JD + "invalid-dimensions.jpg",
    "prediction-shift-invalid.jpg": JD + "invalid-prediction-shift.jpg",
    "dimensions-largest.jpg": JD + "max_size.jpg",
    "start-of-image-alone.jpg": JD + "missing-frame-image-1410.jpg",
    "no-frame-header.jpg": JD + "missing-sof.jpg",
    "no-scan.jpg": JD + "missing-sos.jpg",
    "many-fill-bytes.jpg": JD + "multiple-0xff-before-eoi.jpg",
    "height-zero.jpg": JD + "null_height.jpg",
    "progressive-subtract-overflow.jpg": JD + "subtract-with-overflow.jpg",
    "three-wide-62728-high.jpeg": IMG + "oss-fuzz-36829.jpeg",
    "lossless-process.jpg": SHARP + "testimgl.jpg",
    "header-corrupt.jpg": SHARP + "corrupt-header.jpg",
    "scan-truncated.jpg": SHARP + "truncated.jpg",
    "progressive-truncated.jpg": PIL + "truncated_jpeg.jpg",
    "chunk-broken.png": PIL + "broken.png",
    "data-stream-broken.png": PIL + "broken_data_stream.png",
    "end-chunk-truncated.png": PIL + "truncated_end_chunk.png",
    "image-truncated.png": SHARP + "truncated.png",
    "predictor-length.webp": IMG + "panic.webp",
    "box-of-endless-size.heic": NOM + "oom_large_box.heic",
    "dimensions-huge.bmp": IMG + "Bad_width.bmp",
    "loop-count-zero.gif": IMG + "zero-loop-count.gif",
    "cmyk-predictor.tiff": IMG + "TODO hpredict_cmyk.tiff",
    "jpeg-in-tiff-fuzzed.tif": IMG + "clusterfuzz-testcase-minimized-fuzzer_script_tiff-5026894169374720.tif",
    "rgb-12-bit.tiff": TIFF + "12bit.cropped.rgb.tiff",
    "cmyk-float.tiff": TIFF + "cmyk-3c-32b-float.tiff",
    "grey-float.tiff": TIFF + "gradient-1c-32b-float.tiff",
    "grey-64-bit.tiff": TIFF + "gradient-1c-64b.tiff",
    "logluv.tiff": TIFF + "logluv-3c-16b.tiff",
    "grey-3-bit.tiff": TIFF + "minisblack-1c-3b.tiff",
    "grey-signed-8-bit.tiff": TIFF + "minisblack-1c-i8b.tiff",
    "white-is-zero-12-bit.tiff": TIFF + "miniswhite-1c-12b.tiff",
    "half-float.tiff": TIFF + "random-fp16.tiff",
    "half-float-predictor.tiff": TIFF + "white-fp16-pred2.tiff",
    "fax-65537-high.tif": TIFF + "big_g4.tif",
    "associated-alpha.tiff": TIFF + "minisblack-2c-8b-alpha.tiff",
    "strip-outside-file.tif": PIL + "crash-0c7e0e8e11ce787078f00b5b0ca409a167f070e0.tif",
    "strip-and-profile-outside-file.tif": PIL + "crash-0e16d3bfb83be87356d026d66919deaefca44dac.tif",
    "directory-of-nonsense.tif": PIL + "crash-1185209cf7655b5aed8ae5e77784dfdd18ab59e9.tif",
    "no-dimensions-a.tif": PIL + "crash-2020-10-test.tif",
    "no-dimensions-b.tif": PIL + "crash-63b1dffefc8c075ddc606c0a2f5fdc15ece78863.tif",
    "fax-damaged.tif": PIL + "crash-74d2a78403a5a59db1fb0a2b8735ac068a75f6e3.tif",
    "jpeg-strip-damaged.tif": PIL + "crash-86214e58da443d2b80820cff9677a38a33dcbbca.tif",
    "memory-of-88-bytes.tif": PIL + "oom-225817ca0f8c663be7ab4b9e717b02c661e66834.tif",
    "colour-map-shift-overflow.tiff": FUZZ + "colormap-shl-overflow.tiff",
    "grey-depth-invert-overflow.tiff": FUZZ + "graydepth-invert-overflow-5a0aad5024cc4ff3.tiff",
    "sample-format-empty.tiff": FUZZ + "sample-format-empty-vec.bin",
    "lzw-stuck.tiff": FUZZ + "sample-get-lzw-stuck.tiff",
}
FUZZED = [  # one or two of each size, so that they differ in kind
    "id=000037,sig=06,src=000062,op=havoc,rep=32", "id=000002,sig=06,src=000000,op=havoc,rep=8",
    "id=000015,sig=06,src=000337,op=havoc,rep=2", "id=000009,sig=06,src=000000,op=havoc,rep=16",
    "id=000031,sig=06,src=000018,op=havoc,rep=32", "id=000036,sig=06,src=000059+000071,op=splice,rep=8",
    "id=000013,sig=06,src=000232,op=havoc,rep=2", "id=000039,sig=06,src=000298,op=havoc,rep=8",
    "id=000001,sig=06,src=000044,op=havoc,rep=64", "id=000028,sig=06,src=000306,op=havoc,rep=2",
    "id=000014,sig=06,src=000295,op=havoc,rep=16", "id=000027,sig=06,src=000348+000170,op=splice,rep=64",
]
HOSTILE |= {f"fuzzed-{i + 1:02}.tiff": FUZZ + name for i, name in enumerate(FUZZED)}

BRACKET = {f"bracket-{i}.jpg": f"4_brackets/stack/stack_room_exp_{i}.jpg" for i in (0, 2, 4, 6)}  # the others: good/

MADE = ("made by made.py", "CC0-1.0")
MADE_OF = {"made/jpeg-ycck-no-profile.jpg": ("github lovell/sharp, cropped by jpegtran without recompression", "Apache-2.0")}


def main() -> None:
    frames = Path(sys.argv[1])
    with (frames / "MANIFEST.tsv").open(encoding="utf-8") as lines:
        known = {row["path"]: row for row in csv.DictReader(lines, delimiter="\t")}
    made = OUT / "made-now"
    subprocess.run([sys.executable, HERE / "made.py", made, frames], check=True)
    rows = []
    for folder, names in (("good", GOOD), ("exif", EXIF), ("raw", RAW), ("hostile", HOSTILE),
                          ("bracket", BRACKET)):
        shutil.rmtree(OUT / folder, ignore_errors=True)
        (OUT / folder).mkdir(parents=True)
        for name, original in names.items():
            if original.startswith("made/"):
                source = made / original.removeprefix("made/")
                origin, licence = MADE_OF.get(original, MADE)
            else:
                source, origin, licence = frames / original, known[original]["source"], known[original]["licence"]
            target = OUT / folder / name
            target.write_bytes(source.read_bytes())
            digest = hashlib.sha256(target.read_bytes()).hexdigest()
            if original in known and digest != known[original]["sha256"]:
                sys.exit(f"{original} is not the file its manifest names")
            rows.append([f"{folder}/{name}", original, origin, licence, target.stat().st_size, digest])
    shutil.rmtree(made)
    with (OUT / "MANIFEST.tsv").open("w", encoding="utf-8", newline="") as lines:
        out = csv.writer(lines, delimiter="\t", lineterminator="\n")
        out.writerow(["path", "original", "source", "licence", "bytes", "sha256"])
        out.writerows(rows)
    print(f"{len(rows)} files, {sum(row[4] for row in rows)} bytes")


if __name__ == "__main__":
    main()
