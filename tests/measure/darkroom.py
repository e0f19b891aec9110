"""Photographs of jars of copper sulfate before white paper, rendered apart from the code that reads them.

A lamp lights the paper, the jars take light away (Beer–Lambert, published absorptivity), the lens darkens the corners,
three channels of a camera see it, white balance, colour matrix and tone curve make a picture of it, and it is stored
as a JPEG. Nothing of `advisor` is imported, so that no slip of the reader can hide itself here.

Sizes without a source are judgement: what pictures taken with telephones on kitchen tables look like.
"""

import csv
import io
from dataclasses import dataclass, field
from pathlib import Path

import numpy as np
from PIL import Image

TABLE = Path(__file__).resolve().parents[2] / "reference_tables" / "copper_absorptivity.csv"
GRAMS_PER_MOL = 249.68  # CuSO4·5H2O
NM = np.arange(400.0, 701.0, 5.0)
# Middle and width [nm] of a camera's channels, red to blue, behind its infrared filter; cameras differ by CHANNEL_SPREAD.
CHANNELS = np.array([[600.0, 28.0], [535.0, 36.0], [460.0, 27.0]])
CHANNEL_SPREAD = np.array([6.0, 4.0])
GLASS_WALL = 0.08  # of half the width
HIDDEN = 1e-9


def _absorptivity():
    """L/(mol cm) of copper(II) sulfate in dilute sulfuric acid at NM."""
    with TABLE.open(encoding="utf-8") as file:
        rows = [
            (float(row["wavelength_nm"]), float(row["molar_absorptivity_L_mol_cm"])) for row in csv.DictReader(file)
        ]
    return np.interp(NM, *np.array(rows).T)


ABSORPTIVITY = _absorptivity()


@dataclass(frozen=True)
class Camera:
    """A camera and the light it works in. cast: of white in red, green, blue. contrast: how far its curve is an S."""

    sensitivity: np.ndarray  # (3, len(NM)), each sums to 1 over a white paper
    saturation: float = 0.2
    cast: tuple[float, float, float] = (1.0, 1.0, 1.0)
    exposure: float = 0.75  # linear light of white in the middle of the picture
    contrast: float = 0.0
    vignetting: float = 0.0  # share of the light lost at the left and right edge
    vignetting_bend: float = (
        0.5  # share of it that rises with the fourth power of the distance, the rest with the second
    )
    fall: tuple[float, float] = (0.0, 0.0)  # relative change of the light from left to right, from top to bottom
    noise: float = 0.01  # relative, of a pixel
    quality: int = 92

    def see(self, transmitted):
        """Linear red, green, blue of spectra (..., len(NM)) of light that white paper sends."""
        seen = transmitted @ self.sensitivity.T
        grey = seen.mean(axis=-1, keepdims=True)
        return np.maximum(grey + (1 + self.saturation) * (seen - grey), 0.0) * np.array(self.cast)

    def field(self, x, y):
        """Light at places in half widths of the picture from its middle; 1 in the middle."""
        squared = x**2 + y**2
        lost = self.vignetting * ((1 - self.vignetting_bend) * squared + self.vignetting_bend * squared**2)
        return np.maximum(1 - lost, 0.05) * (1 + self.fall[0] * x / 2) * (1 + self.fall[1] * y / 2)

    def develop(self, linear):
        """Values 0 to 255 of linear light: the curve of IEC 61966-2-1, bent into an S by `contrast`."""
        light = np.clip(linear, 0.0, 1.0)
        value = np.where(light <= 0.0031308, 12.92 * light, 1.055 * np.maximum(light, HIDDEN) ** (1 / 2.4) - 0.055)
        bent = value + 2 * self.contrast * value * (1 - value) * (value - 0.5)
        return np.clip(np.rint(255 * bent), 0, 255).astype(np.uint8)


def camera(rng=None, **more):
    """A usual camera; with `rng` one of the many there are, its light too."""
    bands, kelvin = CHANNELS, 5500.0
    if rng is not None:
        bands = bands + rng.normal(0, 1, bands.shape) * CHANNEL_SPREAD
        kelvin = rng.uniform(3200, 7000)
    lamp = NM**-5.0 / np.expm1(1.4388e7 / (NM * kelvin))  # Planck
    seen = np.exp(-0.5 * ((NM - bands[:, :1]) / bands[:, 1:]) ** 2) * lamp
    return Camera(seen / seen.sum(axis=1, keepdims=True), **more)


@dataclass(frozen=True)
class Jar:
    """A jar: g/L in it, inner width beside that of the others, and what colours it besides copper."""

    grams: float
    glass: float = 1.0
    dye: float = 0.0  # absorbance of a red dye at 520 nm over 5 cm


@dataclass(frozen=True)
class Scene:
    """Jars in a row on a table before white paper; lengths in shares of the picture's width."""

    jars: tuple[Jar, ...]
    path_cm: float = 5.0
    size: tuple[int, int] = (900, 600)  # pixels
    row: tuple[float, float] = (0.08, 0.92)  # where the first and the last jar stand
    jar_width: float = 0.6  # of the distance from jar to jar
    jar_height: float = 1.7  # of its width
    filled: float = 0.75  # of the height
    foot: float = 0.68  # where the jars stand, of the picture's height
    round_glass: bool = True
    tilt: float = 0.0  # degrees
    glare: float = 0.0  # light of a reflection on the glass, beside white
    table: tuple[float, float, float] | None = None  # linear colour below the feet; None: the paper lies under them
    shadow: float = 0.0  # of the jars on what they stand on
    camera: Camera = field(default_factory=camera)

    def width_of_jar(self):
        between = (self.row[1] - self.row[0]) / max(len(self.jars) - 1, 1)
        return self.jar_width * min(between, 0.16)

    def middles(self):
        """The middle of the liquid of each jar, in shares of width and height of the picture, tilted as it is."""
        wide, high = self.size
        at = np.linspace(*self.row, len(self.jars)) if len(self.jars) > 1 else np.array([sum(self.row) / 2])
        depth = self.width_of_jar() * self.jar_height * self.filled * wide / high
        return self._turned(np.column_stack([at, np.full(len(at), self.foot - depth / 2)]), 1)

    def _turned(self, places, way):
        """Turn places (n, 2), shares of width and height, about the middle of the picture."""
        angle, shape = way * np.radians(self.tilt), np.array(self.size) / self.size[0]
        cos, sin = np.cos(angle), np.sin(angle)
        return ((places - 0.5) * shape) @ np.array([[cos, sin], [-sin, cos]]) / shape + 0.5

    def box(self, number, share=0.4, up=0.0):
        """Corners (x0, y0, x1, y1) in the middle of a jar's liquid, `share` of it wide and high; `up` jars higher."""
        x, y = self.middles()[number]
        half = self.width_of_jar() * share / 2
        tall = self.width_of_jar() * self.jar_height * self.size[0] / self.size[1]
        deep = tall * self.filled * share / 2
        y = y - up * tall
        return float(x - half), float(y - deep), float(x + half), float(y + deep)

    def liquid_at(self, x, y):
        """The number of the jar whose liquid lies at a place, in shares of width and height, or None."""
        u, v = self._turned(np.array([[x, y]]), -1)[0]
        at = np.linspace(*self.row, len(self.jars))
        number = int(np.argmin(np.abs(at - u)))
        inside = abs(at[number] - u) < self.width_of_jar() / 2 * (1 - GLASS_WALL)
        depth = self.width_of_jar() * self.jar_height * self.filled * self.size[0] / self.size[1]
        return number if inside and self.foot - depth < v < self.foot else None


def render(scene, rng=None):
    """The picture as an array (height, width, 3), 0 to 255, before it is stored."""
    rng = rng or np.random.default_rng(0)
    wide, high = scene.size
    columns, rows = np.meshgrid((np.arange(wide) + 0.5) / wide, (np.arange(high) + 0.5) / high)
    across = columns * 2 - 1, (rows * 2 - 1) * high / wide
    turned = scene._turned(np.column_stack([columns.ravel(), rows.ravel()]), -1)
    x, y = turned[:, 0].reshape(high, wide), turned[:, 1].reshape(high, wide)
    linear = np.ones((high, wide, 3)) * scene.camera.see(np.ones(len(NM)))
    if scene.table is not None:
        linear[y > scene.foot + 0.02] *= np.array(scene.table)
    middles = np.linspace(*scene.row, len(scene.jars)) if len(scene.jars) > 1 else [sum(scene.row) / 2]
    for middle, jar in zip(middles, scene.jars, strict=True):
        _stand(linear, scene, jar, x - middle, (scene.foot - y) * high / wide)
    linear *= scene.camera.exposure * scene.camera.field(*across)[..., None]
    linear *= 1 + rng.normal(0, scene.camera.noise, linear.shape)
    return scene.camera.develop(linear)


def _stand(linear, scene, jar, across, up):
    """Put a jar into the picture, `across` and `up` from the middle of its foot in shares of the picture's width."""
    half, tall = scene.width_of_jar() / 2, scene.width_of_jar() * scene.jar_height
    near = np.flatnonzero((np.abs(across) < 2 * half).any(axis=0))  # columns of the jar and its shadow
    linear, across, up = (part[:, near[0] : near[-1] + 1] for part in (linear, across, up))
    u, v = across / half, up / tall
    if scene.shadow:
        dark = (np.abs(across - half * 0.5) < half) & (v < 0) & (v > -0.25)
        through = scene.camera.see(_through(scene, jar, np.ones(1)))[0] / scene.camera.see(np.ones(len(NM)))
        linear[dark] *= 1 - scene.shadow * (1 - 0.5 * through)
    glass = (np.abs(u) < 1) & (v > 0) & (v < 1)
    linear[glass] *= 0.94
    linear[glass & (np.abs(u) > 1 - GLASS_WALL)] *= 0.55
    liquid = (np.abs(u) < 1 - GLASS_WALL) & (v > 0.03) & (v < scene.filled)
    chord = np.sqrt(1 - (u[liquid] / (1 - GLASS_WALL)) ** 2) if scene.round_glass else np.ones(liquid.sum())
    steps = np.linspace(0, 1, 64)
    colours = scene.camera.see(_through(scene, jar, steps)) / scene.camera.see(np.ones(len(NM)))
    linear[liquid] *= np.column_stack([np.interp(chord, steps, colours[:, channel]) for channel in range(3)])
    linear[(np.abs(u) < 1 - GLASS_WALL) & (np.abs(v - scene.filled) < 0.012)] *= 0.75
    if scene.glare:
        linear[(np.abs(u + 0.62) < 0.07) & (v > 0.1) & (v < 0.9)] += scene.glare


def _through(scene, jar, share):
    """Spectra (n, len(NM)) of what passes a jar over shares of its path."""
    copper = ABSORPTIVITY * jar.grams / GRAMS_PER_MOL * scene.path_cm * jar.glass
    dye = jar.dye * scene.path_cm / 5 * np.exp(-0.5 * ((NM - 520) / 30) ** 2)
    return 10 ** -(np.asarray(share)[:, None] * (copper + dye))


def stored(pixels, quality=92):
    """The bytes of the JPEG file of a picture."""
    file = io.BytesIO()
    Image.fromarray(pixels).save(file, "JPEG", quality=quality)
    return file.getvalue()


def photograph(scene, rng=None):
    """The bytes of a photograph of a scene."""
    return stored(render(scene, rng), scene.camera.quality)
