#!/usr/bin/env python3
"""A second look at measure.csv: other decoders, and colour through Little CMS.

    python crosscheck.py FRAMES      prints one line per file that differs, and a summary

Decoding is repeated by OpenCV (its own libjpeg-turbo, libpng, libtiff, libwebp builds), colour by Little
CMS to 8-bit sRGB. The differences are then those of rounding and of decoder versions, and are printed.
Made with opencv-python-headless 5.0.0.93.
"""

import csv
import io
import math
import sys
import warnings
from pathlib import Path

import cv2
import numpy as np
import pillow_heif
from PIL import Image, ImageCms

import icc
import measure

HERE = Path(__file__).resolve().parent


def opencv_codes(path: Path) -> np.ndarray | None:
    codes = cv2.imdecode(np.fromfile(path, np.uint8), cv2.IMREAD_UNCHANGED)
    if codes is None:
        return None
    codes = measure.three(codes)
    return codes[:, :, ::-1]  # OpenCV keeps blue first


def lcms_mean(codes: np.ndarray, data: bytes) -> float:
    transform = ImageCms.buildTransform(
        ImageCms.ImageCmsProfile(io.BytesIO(data)), ImageCms.createProfile("sRGB"), "RGB", "RGB",
        ImageCms.Intent.RELATIVE_COLORIMETRIC,
    )
    srgb = np.asarray(ImageCms.applyTransform(Image.fromarray(codes.astype(np.uint8)), transform))
    return float(measure.luminance(icc.srgb_to_linear(srgb / 255)).mean())


def main() -> None:
    warnings.simplefilter("ignore")
    pillow_heif.register_heif_opener()
    frames = Path(sys.argv[1])
    same = other = 0
    worst_code, worst_stops, worst_lcms = 0, 0.0, 0.0
    with (HERE / "measure.csv").open(encoding="utf-8") as lines:
        rows = list(csv.DictReader(lines))
    for row in rows:
        path = HERE.parent / "fixtures" / row["fixture"] if row["file"].startswith("made/") else frames / row["file"]
        picture = measure.read(path.read_bytes())
        mean = float(row["mean_luminance"])
        codes = None if picture.cmyk is not None else opencv_codes(path)
        if codes is not None and codes.shape == picture.codes.shape and picture.full in (255, 65535):
            if codes.dtype == np.uint8 and picture.full == 65535:
                print(f"{row['file']}: OpenCV gives 8 bits of 16")
                continue
            difference = int(np.abs(codes.astype(int) - picture.codes.astype(int)).max())
            if difference == 0:
                same += 1
            else:
                other += 1
                picture_2 = measure.Picture(codes, picture.full, picture.mode, picture.bits, 1, picture.profile, picture.gamma, picture.adobe_rgb)
                y, *_ = measure.linear_luminance(picture_2)
                stops = abs(math.log2(y.mean() / mean)) if mean > 0 and y.mean() > 0 else math.nan
                worst_code, worst_stops = max(worst_code, difference), max(worst_stops, stops)
                print(f"{row['file']}: largest code difference {difference}, mean {stops:.5f} stop")
        else:
            print(f"{row['file']}: not compared with OpenCV ({'none' if codes is None else codes.shape} against {picture.codes.shape})")
        if picture.profile and picture.full == 255 and icc.Profile(picture.profile).kind() == "matrix":
            stops = abs(math.log2(lcms_mean(picture.codes, picture.profile) / mean))
            worst_lcms = max(worst_lcms, stops)
            if stops > 0.003:
                print(f"{row['file']}: Little CMS, clipped to 8-bit sRGB, differs by {stops:.4f} stop")
    print(f"codes identical {same}, different {other}, worst code {worst_code}, worst mean {worst_stops:.5f} stop, worst Little CMS {worst_lcms:.5f} stop")


if __name__ == "__main__":
    main()
