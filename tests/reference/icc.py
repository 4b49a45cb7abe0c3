"""ICC profiles to linear light, evaluated in numpy straight from the profile's own tags.

Written apart from any colour-management library so that the figures in measure.csv are a second
opinion, not the same code asked twice. `self_check` then compares it with Little CMS (through Pillow).

Sources: ICC.1:2010 (profile header 7.2, curveType 10.5, parametricCurveType 10.15, XYZType 10.27,
three-component matrix-based profiles 8.3, annex E for the chromatic adaptation), from memory;
sRGB primaries and white by IEC 61966-2-1 (values as in colour-science 0.4.7), Bradford matrix
by ICC.1:2010 annex E.
"""

import io
import struct

import numpy as np
from PIL import Image, ImageCms

D50 = np.array([0.9642, 1.0, 0.8249])  # the profile connection space's white, ICC.1 7.2.16
BRADFORD = np.array([[0.8951, 0.2664, -0.1614], [-0.7502, 1.7135, 0.0367], [0.0389, -0.0685, 1.0296]])
BT709_WEIGHTS = np.array([0.2126, 0.7152, 0.0722])


def primaries_to_xyz(red, green, blue, white):
    """3x3 matrix, linear RGB to XYZ with the given white at Y = 1; arguments are xy pairs."""
    columns = np.array([[x / y, 1.0, (1 - x - y) / y] for x, y in (red, green, blue)]).T
    x, y = white
    white_xyz = np.array([x / y, 1.0, (1 - x - y) / y])
    return columns * np.linalg.solve(columns, white_xyz), white_xyz


def adapt_to_d50(matrix, white_xyz):
    """Bradford adaptation of an RGB-to-XYZ matrix to the profile connection space's D50."""
    scale = np.diag(BRADFORD @ D50 / (BRADFORD @ white_xyz))
    return np.linalg.inv(BRADFORD) @ scale @ BRADFORD @ matrix


SRGB_TO_XYZ_D50 = adapt_to_d50(*primaries_to_xyz((0.64, 0.33), (0.30, 0.60), (0.15, 0.06), (0.3127, 0.3290)))
XYZ_D50_TO_SRGB = np.linalg.inv(SRGB_TO_XYZ_D50)
ADOBE_RGB_TO_SRGB = XYZ_D50_TO_SRGB @ adapt_to_d50(
    *primaries_to_xyz((0.64, 0.33), (0.21, 0.71), (0.15, 0.06), (0.3127, 0.3290))
)  # Adobe RGB (1998) Color Image Encoding, primaries and white; from memory
ADOBE_RGB_GAMMA = 563 / 256  # same document


def srgb_to_linear(x):
    """IEC 61966-2-1; x and the result 0..1."""
    return np.where(x <= 0.04045, x / 12.92, ((np.maximum(x, 0.04045) + 0.055) / 1.055) ** 2.4)


class Profile:
    """One ICC profile: its name, colour space, and how its codes become linear sRGB light."""

    def __init__(self, data: bytes):
        self.data = data
        self.space = data[16:20].decode("ascii", "replace").strip()  # 'RGB', 'GRAY', 'CMYK'
        self.connection = data[20:24].decode("ascii", "replace").strip()
        self.version = data[8]
        self.tags = {}
        (count,) = struct.unpack(">I", data[128:132])
        for i in range(count):
            name, offset, size = struct.unpack(">4sII", data[132 + 12 * i : 144 + 12 * i])
            self.tags[name.decode("latin1")] = data[offset : offset + size]
        cms = ImageCms.ImageCmsProfile(io.BytesIO(data))
        self.name = ImageCms.getProfileDescription(cms).strip().strip("\0")

    def kind(self) -> str:
        """'matrix', 'grey' or 'lut'. A table, where present, takes precedence (ICC.1 8.2)."""
        if any(tag in self.tags for tag in ("A2B0", "A2B1", "D2B0", "D2B1")):
            return "lut"
        if self.space == "GRAY":
            return "grey"
        return "matrix"

    def xyz(self, tag: str) -> np.ndarray:
        body = self.tags[tag]
        assert body[:4] == b"XYZ ", tag
        return np.array(struct.unpack(">3i", body[8:20])) / 65536

    def curve(self, tag: str, x: np.ndarray) -> np.ndarray:
        """Tone curve of a channel: device value 0..1 to linear 0..1."""
        body = self.tags[tag]
        if body[:4] == b"curv":
            (n,) = struct.unpack(">I", body[8:12])
            if n == 0:
                return x
            table = np.frombuffer(body[12 : 12 + 2 * n], ">u2").astype(np.float64)
            if n == 1:
                return x ** (table[0] / 256)
            return np.interp(x, np.linspace(0, 1, n), table / 65535)
        assert body[:4] == b"para", body[:4]
        (function,) = struct.unpack(">H", body[8:10])
        n = (1, 3, 4, 5, 7)[function]
        p = np.array(struct.unpack(f">{n}i", body[12 : 12 + 4 * n])) / 65536
        g = p[0]
        if function == 0:
            return x**g
        a, b = p[1], p[2]
        power = np.maximum(a * x + b, 0) ** g
        if function == 1:
            return np.where(x >= -b / a, power, 0)
        c = p[3]
        if function == 2:
            return np.where(x >= -b / a, power + c, c)
        d = p[4]
        if function == 3:
            return np.where(x >= d, power, c * x)
        return np.where(x >= d, power + p[5], c * x + p[6])

    def matrix_to_srgb(self) -> np.ndarray:
        """3x3, this profile's linear RGB to linear sRGB; nothing is clipped."""
        return XYZ_D50_TO_SRGB @ np.stack([self.xyz("rXYZ"), self.xyz("gXYZ"), self.xyz("bXYZ")], 1)

    def luminance_weights(self) -> np.ndarray:
        """Y of linear sRGB as a row over this profile's own linear R, G, B."""
        return BT709_WEIGHTS @ self.matrix_to_srgb()


def self_check(profile: Profile, n: int = 4000) -> float:
    """Largest difference, in 8-bit sRGB codes, from Little CMS over random colours inside the sRGB gamut."""
    assert profile.kind() == "matrix"
    codes = np.random.default_rng(1).integers(0, 256, (1, n, 3), np.uint8)
    source = ImageCms.ImageCmsProfile(io.BytesIO(profile.data))
    target = ImageCms.createProfile("sRGB")
    transform = ImageCms.buildTransform(
        source, target, "RGB", "RGB", ImageCms.Intent.RELATIVE_COLORIMETRIC, ImageCms.Flags.NOOPTIMIZE
    )
    theirs = np.asarray(ImageCms.applyTransform(Image.fromarray(codes), transform), np.float64)[0]
    x = codes[0] / 255
    linear = np.stack([profile.curve(t, x[:, i]) for i, t in enumerate(("rTRC", "gTRC", "bTRC"))], 1)
    ours = linear @ profile.matrix_to_srgb().T
    inside = ((ours > 0) & (ours < 1)).all(1)
    ours = ours[inside]
    coded = np.where(ours <= 0.0031308, ours * 12.92, 1.055 * ours ** (1 / 2.4) - 0.055) * 255
    return float(np.abs(coded - theirs[inside]).max())
