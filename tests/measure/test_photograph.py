"""Photographs into colours: what is refused, what is measured, and known baths found again in rendered photographs.

The renderings carry the absorptivity of copper sulfate (NBS acid copper sulfate absorbance standard, from memory)
through the package colour-science: CIE 1931 observer, light D65, sRGB.
"""

import io
import struct
import tracemalloc
import warnings
import zlib
from datetime import timedelta

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from PIL import Image

from advisor.basis.fields import InputError, read_table
from advisor.basis.srgb import from_linear, to_linear
from advisor.basis.tables import column
from advisor.basis.units import COVERAGE
from advisor.measure import photograph
from advisor.measure.light import light_at
from advisor.measure.photograph import Box, decode, read_jars
from advisor.readings import KINDS
from advisor.readings.model import State, Surroundings
from advisor.solution.molar_masses import COPPER_SULFATE_PENTAHYDRATE

WIDTH, HEIGHT = 800, 400
WHITES = tuple(Box(x - 0.05, y - 0.05, x + 0.05, y + 0.05) for x in (0.1, 0.37, 0.63, 0.9) for y in (0.15, 0.85))


def jar_box(number, count):
    middle = (number + 0.5) / count
    return Box(middle - 0.2 / count, 0.35, middle + 0.2 / count, 0.65)


def drawn(jars, fall=0.0, noise=0.0, glow=0.9):
    """Pixels of jars of linear light (n, 3) before white; light falls by `fall` from left to right."""
    light = np.ones((HEIGHT, WIDTH, 3)) * glow
    for number, jar in enumerate(jars):
        box = jar_box(number, len(jars))
        rows, columns = slice(100, 300), slice(round(box.x0 * WIDTH) - 10, round(box.x1 * WIDTH) + 10)
        light[rows, columns] *= jar
    light *= np.exp(np.log(1 - fall) * np.linspace(0, 1, WIDTH))[None, :, None]
    if noise:
        light *= 1 + np.random.default_rng(1).normal(0, noise, light.shape)
    return np.rint(from_linear(light)).astype(np.uint8)


def file_of(pixels, kind="PNG", **more):
    file = io.BytesIO()
    Image.fromarray(pixels).save(file, kind, **more)
    return file.getvalue()


GREY_JARS = [np.full(3, share) for share in (0.9, 0.7, 0.5, 0.3)]


# --- The file -------------------------------------------------------------------------------------


def chunk(kind, data):
    return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))


def bomb(width, height):
    """A small PNG file that says it unpacks to a vast picture."""
    head = struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0)
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", zlib.compress(bytes(100))) + chunk(b"IEND", b"")


@pytest.mark.parametrize("kind", ["PNG", "JPEG"])
def test_a_file_gives_its_pixels(kind):
    pixels = drawn(GREY_JARS)
    assert np.abs(decode(file_of(pixels, kind, quality=95)).astype(int) - pixels).mean() < 2


@pytest.mark.parametrize(
    ("content", "words"),
    [
        (b"", "cannot be read"),
        (b"GIF89a" + bytes(100), "cannot be read"),
        (file_of(drawn(GREY_JARS), "GIF"), "cannot be read"),
        (file_of(drawn(GREY_JARS), "TIFF"), "cannot be read"),
        (file_of(drawn(GREY_JARS))[:900], "cannot be read"),
        (file_of(drawn(GREY_JARS)[:, :, 0]), "no red, green and blue"),
        (bytes(photograph.LARGEST_FILE + 1), "at most 25 MB"),
        (bomb(9000, 9000), "9000 by 9000 pixels; it may have at most 60 million"),
        (bomb(10_000, 10_000), "at most 60 million"),
        (bomb(60_000, 60_000), "at most 60 million"),
    ],
)
def test_what_is_no_usable_photograph_is_refused(content, words):
    with pytest.raises(InputError, match=words) as refused:
        decode(content)
    assert refused.value.place == "the photograph"


def test_a_bomb_is_refused_before_it_is_unpacked(monkeypatch):
    monkeypatch.setattr(Image.Image, "load", lambda image: pytest.fail("it was unpacked"))
    with pytest.raises(InputError, match="at most 60 million"):
        decode(bomb(9000, 9000))


def test_a_photograph_is_turned_upright_and_its_place_dropped():
    pixels = drawn(GREY_JARS)
    facts = Image.Exif()
    facts[0x0112] = 6  # to be turned right by 90 degrees
    facts.get_ifd(0x8825)[1] = "N"
    found = decode(file_of(pixels, exif=facts))
    assert type(found) is np.ndarray  # pixels and nothing else
    assert np.array_equal(found, np.rot90(pixels, -1))


def test_a_large_photograph_is_thinned_out():
    large = np.zeros((100, 5000, 3), dtype=np.uint8)
    large[:, 2500:] = (200, 100, 50)
    for kind in ("PNG", "JPEG"):
        found = decode(file_of(large, kind))
        assert max(found.shape) <= photograph.ENOUGH_PIXELS
        assert found[10, -10] == pytest.approx((200, 100, 50), abs=2)


@pytest.mark.parametrize("kind", ["PNG", "JPEG"])
def test_a_large_photograph_is_turned_upright_too(kind):
    large = np.zeros((100, 5000, 3), dtype=np.uint8)
    large[:, 2500:] = (200, 100, 50)
    facts = Image.Exif()
    facts[0x0112] = 6  # to be turned right by 90 degrees
    found = decode(file_of(large, kind, exif=facts))
    assert found.shape[0] > 10 * found.shape[1]
    assert found[-10, 10] == pytest.approx((200, 100, 50), abs=2)


@pytest.mark.slow
def test_as_many_pixels_as_are_accepted_are_not_all_copied():
    side = int(photograph.MOST_PIXELS**0.5)
    content = file_of(np.zeros((side, side, 3), dtype=np.uint8), compress_level=1)
    tracemalloc.start()
    found = decode(content)
    most = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    assert found.shape == (1937, 1937, 3)
    assert most < 50e6  # numpy's; Pillow's own 4 bytes a pixel are not counted


@pytest.mark.slow
@settings(max_examples=400, deadline=timedelta(seconds=2), suppress_health_check=[HealthCheck.too_slow])
@given(
    start=st.sampled_from([b"", file_of(drawn(GREY_JARS)[::8, ::8]), file_of(drawn(GREY_JARS)[::8, ::8], "JPEG")]),
    changes=st.lists(st.tuples(st.integers(0, 5000), st.binary(max_size=4)), max_size=8),
)
def test_whatever_is_in_a_file_it_is_read_or_refused(start, changes):
    content = bytearray(start)
    for place, new in changes:
        content[place : place + len(new)] = new
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # Pillow complains of odd files; it is the refusal that counts
        try:
            found = decode(bytes(content))
        except InputError:
            return
    assert found.dtype == np.uint8
    assert found.ndim == 3


# --- Boxes ----------------------------------------------------------------------------------------


def test_a_box_cuts_the_pixels_inside():
    box = Box(0.1, 0.25, 0.2, 0.75)
    assert box.cut(drawn(GREY_JARS), "x").shape == (200, 80, 3)
    assert box.middle() == pytest.approx((0.15, 0.5))
    assert box.holds(*box.middle())
    beside = [(0.05, 0.5), (0.25, 0.5), (0.15, 0.2), (0.15, 0.8)]
    assert not any(box.holds(x, y) for x, y in beside)


@pytest.mark.parametrize(
    ("box", "words"),
    [
        (Box(0.5, 0.1, 0.4, 0.2), "left must come before right"),
        (Box(-0.1, 0.1, 0.4, 0.2), "0 to 100 %"),
        (Box(0.1, 0.1, 1.4, 0.2), "0 to 100 %"),
        (Box(float("nan"), 0.1, 0.4, 0.2), "0 to 100 %"),
        (Box(0.1, 0.1, 0.102, 0.2), "at least 4 by 4"),
    ],
)
def test_a_box_that_is_none_is_refused_by_its_name(box, words):
    with pytest.raises(InputError, match=words) as refused:
        read_jars(drawn(GREY_JARS), [(10.0, jar_box(0, 4)), (None, box)], [])
    assert refused.value.place == "jar 2"


# --- Colours --------------------------------------------------------------------------------------


def test_light_is_averaged_and_not_its_code():
    checks = np.zeros((10, 10, 3), dtype=np.uint8)
    checks[::2] = 255
    found = photograph.colour(checks, Box(0, 0, 1, 1))
    # Half of the light of white is 188 in sRGB (IEC 61966-2-1), not 128.
    assert found.red == pytest.approx(187.5, abs=0.1)
    assert found.spread == pytest.approx(1.0)
    assert found.cut_off == 1.0


def white_rows(fall):
    """Places of white above and below the middle, and their light: red falls by e to `fall` over the width, blue not."""
    x = np.tile(np.linspace(-1, 1, 9), 2)
    places = np.column_stack([x, np.repeat([-0.4, 0.4], 9)])
    return places, 0.8 * np.exp(fall * np.outer(x / 2, [1.0, 0.5, 0.0]))


JARS = np.array([[-0.5, 0.0], [0.5, 0.0]])


def test_light_at_the_jars_follows_the_white_places_each_colour_by_itself():
    """Half a width apart, so that half of the fall lies between them; the light counts beside their mean alone.

    A camera's curve may be off by 15 % of the 0.05 that either differs from the mean: 0.0075.
    """
    found = light_at(JARS, *white_rows(-0.2))
    assert np.log(found.at_jars) == pytest.approx(np.array([[0.05, 0.025, 0.0], [-0.05, -0.025, 0.0]]), abs=0.003)
    assert 0.0075 < found.standard_uncertainty < 0.012
    assert found.off < 0.005


def test_a_white_place_in_a_shadow_is_told_and_hardly_followed():
    places, shown = white_rows(-0.2)
    shaded = shown.copy()
    shaded[12] *= 0.85  # the place below the left jar
    found = light_at(JARS, places, shaded)
    assert np.log(found.at_jars[:, 0]) == pytest.approx([0.05, -0.05], abs=0.025)
    assert found.off == pytest.approx(0.15, abs=0.04)
    assert found.standard_uncertainty > light_at(JARS, places, shown).standard_uncertainty


def test_without_white_places_light_is_as_uneven_as_light_usually_is():
    """Jars at ± 0.5 half widths differ by the slope, 2 · 0.15² · 0.25, and the bend, 0.4² (1 - exp(-1/4.5)): ± √0.0431/√2."""
    found = light_at(JARS, np.empty((0, 2)), np.empty((0, 3)))
    assert found.at_jars == pytest.approx(np.ones((2, 3)))
    assert found.standard_uncertainty == pytest.approx(0.147, abs=0.001)


def read(jars, whites=WHITES, **more):
    picture = drawn(jars, **more)
    boxes = [jar_box(number, len(jars)) for number in range(len(jars))]
    return read_jars(picture, list(zip((10.0, 13.0, 16.0, None), boxes, strict=True)), whites)


def test_white_places_even_out_the_light():
    even, fallen, not_evened = read(GREY_JARS), read(GREY_JARS, fall=0.3), read(GREY_JARS, (), fall=0.3)
    truth = np.log(np.array([0.9, 0.7, 0.5]) / 0.3)

    def beside_the_sample(found):
        return np.log([to_linear(row[1]) for row in found.standards]) - np.log(to_linear(found.samples[0][0]))

    assert beside_the_sample(even) == pytest.approx(truth, abs=0.015)
    assert beside_the_sample(fallen) == pytest.approx(truth, abs=0.015)
    assert abs(beside_the_sample(not_evened) - truth).max() > 0.1
    assert "evened out" in " ".join(fallen.warnings)
    assert even.warnings == ()
    assert even.light_even_to.value == pytest.approx(COVERAGE * even.light.standard_uncertainty, rel=0.05)


@pytest.mark.parametrize(
    ("made", "words"),
    [
        (lambda: read(GREY_JARS, whites=()), "known to 42% only: mark white paper close above and below each jar"),
        (lambda: read(GREY_JARS, fall=0.6), "too much to even out"),
        (lambda: read(GREY_JARS, glow=1.5), "White is cut off"),
        (lambda: read([*GREY_JARS[:3], np.full(3, 0.0)]), "cut off the red in jar 4"),
        (lambda: read([*GREY_JARS[:3], np.full(3, 0.05)]), "too strong in jar 4"),
        (lambda: read(GREY_JARS, noise=0.2), "patchy in jar 1, jar 2, jar 3 and jar 4"),
        (lambda: read([*GREY_JARS[:3], np.array([0.4, 0.2, 0.4])]), "another tint"),
    ],
)
def test_what_spoils_a_photograph_is_told(made, words):
    assert words in " ".join(made().warnings)


# --- Known baths ----------------------------------------------------------------------------------


@pytest.fixture(scope="module")
def light_of():
    """Linear sRGB of copper sulfate solution [g/L] through a path [cm], water being white; by colour-science."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # it says on import what is not installed
        colour = pytest.importorskip("colour")
    nm = column("copper_absorptivity", "wavelength_nm")
    absorptivity = column("copper_absorptivity", "molar_absorptivity_L_mol_cm")

    def linear(grams, path, dye=0.0):
        strip = dye * np.exp(-0.5 * ((nm - 520) / 30) ** 2)  # a red dye
        through = 10 ** -(absorptivity * grams / COPPER_SULFATE_PENTAHYDRATE * path + strip)
        spectrum = colour.SpectralDistribution(through, nm)
        white = colour.SpectralDistribution(np.ones(len(nm)), nm)
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # it aligns the spectra and says so
            seen, full = (
                colour.sd_to_XYZ(one, illuminant=colour.SDS_ILLUMINANTS["D65"], method="Integration")
                for one in (spectrum, white)
            )
        rgb, top = (colour.XYZ_to_sRGB(one / full[1], apply_cctf_encoding=False) for one in (seen, full))
        return np.maximum(rgb / top, 0.0)

    return linear


def found_in(light_of, bath, standards, dilution=10.0, path=5.0, dye=0.0, **more):
    jars = [light_of(grams, path) for grams in standards] + [light_of(bath / dilution, path, dye)]
    picture = decode(file_of(drawn(jars, noise=0.02, **more), "JPEG", quality=90))
    boxes = [jar_box(number, len(jars)) for number in range(len(jars))]
    return read_jars(picture, list(zip((*standards, None), boxes, strict=True)), WHITES)


@pytest.mark.parametrize("fall", [0.0, 0.2])
@pytest.mark.parametrize(
    ("bath", "standards", "dilution", "path"),
    [
        (120.0, (8.0, 12.0, 16.0, 20.0), 10.0, 5.0),
        (155.0, (8.0, 12.0, 16.0, 20.0), 10.0, 5.0),
        (190.0, (10.0, 14.0, 17.0, 20.0), 10.0, 5.0),
        (200.0, (14.0, 18.0, 22.0, 26.0), 10.0, 4.0),
        (210.0, (30.0, 38.0, 46.0), 5.0, 2.0),
    ],
)
def test_a_known_bath_is_found_within_5_percent(light_of, bath, standards, dilution, path, fall):
    colours = found_in(light_of, bath, standards, dilution, path, fall=fall)
    errors = []
    fields = {"standards": colours.standards, "samples": colours.samples, "dilution": dilution}
    reading = read_table(KINDS["photo colour"], fields, "reading 1", errors)
    assert errors == []
    surroundings = Surroundings(temperature=20.0, volume_L=5.0, volume_standard_uncertainty=0.025, additives=False)
    made = reading.model(surroundings, State(200.0, 60.0, 0.3, 70.0))
    assert made.observed[0] == pytest.approx(bath, rel=0.05)
    assert abs(made.observed[0] - bath) < 3 * made.random[0]
    assert "tint" not in " ".join(colours.warnings)


def test_a_dyed_bath_is_told(light_of):
    standards = (8.0, 12.0, 16.0, 20.0)
    assert "another tint" in " ".join(found_in(light_of, 155.0, standards, dye=0.2).warnings)
