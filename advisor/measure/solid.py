"""The area of a part from its STL file, the mesh of triangles that programs for drawing solids and printing give out.

The bath reaches the outside only. So closed hollows, and faces of one body that lie inside another, are found and
left out: hollows exactly, hidden faces from points spread over the surface. A file knows no unit; it must be asked for,
and the size in mm is given back so that a person sees a wrong one.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from advisor.basis.arrays import FloatArray
from advisor.basis.fields import InputError

if TYPE_CHECKING:
    from trimesh import Trimesh

PLACE = "the STL file"
UNITS = {"mm": 1.0, "cm": 10.0, "in": 25.4}  # mm (exact)
LARGEST_FILE = 30_000_000  # bytes (judgement)
MOST_FACETS = 500_000  # judgement
HEAD, FACET = 84, 50  # bytes of a binary STL file: its head with the count, and each facet (exact: the format)
BINARY_FACET = np.dtype([("normal", "<f4", 3), ("corners", "<f4", (3, 3)), ("more", "<u2")])  # exact: the format
# A number in a text has at most 40 characters: numpy makes room for the longest at each place (judgement).
CORNER = rb"vertex" + 3 * rb"\s{1,40}(\S{1,40})" + rb"\s"
WHOLE = "it must be a whole STL file, binary or text"
LARGEST_COORDINATE = 1e7  # of any unit; beyond it the file is no part (judgement)
POINTS = 400  # on the surface, at most, to look for hidden faces (judgement)
# Judgement.
WORK = 6_000_000  # points times facets, at most: some seconds (3.5 s for 41,000 facets, 7 s for 164,000, busy machine)
FEWEST = 30  # points (judgement)
HIDDEN = 0.01  # share of the area worth a word (judgement)


@dataclass(frozen=True)
class Solid:
    """What an STL file holds: area that the bath reaches [dm2], size [mm]."""

    area: float
    size: tuple[float, float, float]
    warnings: tuple[str, ...]


def read_stl(content: bytes, unit: str) -> Solid:
    """Return the solid of a binary or ASCII STL file whose numbers are in `unit` (mm, cm or in).

    Area of the facets: exact. Hidden faces: within 1 / (2 sqrt(points)) of all area or better, one standard deviation:
    2.5 % up to 15,000 facets, 4 % at 40,000, 9 % from 200,000 on. Raises InputError where it is no STL file, is broken,
    empty, too large or has no area.
    """
    if unit not in UNITS:
        raise InputError("unit", f"you gave {unit}", f"it must be one of: {', '.join(UNITS)}")
    _check_size(content)
    mesh = _mesh(content)
    mesh.vertices = np.asarray(mesh.vertices) * UNITS[unit]
    body = _bodies(mesh)
    bodies = int(body.max()) + 1
    closed = bool(mesh.is_watertight)  # else inside and outside cannot be told, and every facet is counted
    hollow = _hollow_area(mesh, body) if closed else 0.0
    inside = _share_inside(mesh) if closed and bodies > 1 else 0.0
    hidden = min(hollow + inside * mesh.area, mesh.area)
    sides = mesh.extents
    warnings = _warnings(closed, bodies, hollow / mesh.area, inside)
    return Solid(
        area=float(mesh.area - hidden) / 1e4,
        size=(float(sides[0]), float(sides[1]), float(sides[2])),
        warnings=warnings,
    )


def _check_size(content: bytes) -> None:
    """Refuse what is too large or no STL, before a mesh is made of it."""
    if len(content) > LARGEST_FILE:
        accepted = f"it may have at most {LARGEST_FILE / 1e6:.0f} MB; save it with fewer facets"
        raise InputError(PLACE, f"it has {len(content) / 1e6:.1f} MB", accepted)
    facets = _facets_of_binary(content)
    if facets is None:
        text = content.lower()
        if not text.lstrip().startswith(b"solid") or b"facet" not in text:
            raise InputError(PLACE, "it is no STL file", WHOLE)
        facets = text.count(b"endfacet")
    if not 0 < facets <= MOST_FACETS:
        raise InputError(PLACE, f"it has {facets} facets", f"it must have 1 to {MOST_FACETS}")


def _facets_of_binary(content: bytes) -> int | None:
    """Return the number of facets in a binary file; None where its length is not that of its facets."""
    facets = int.from_bytes(content[HEAD - 4 : HEAD], "little") if len(content) >= HEAD else -1
    return facets if len(content) == HEAD + FACET * facets else None


def _corners(content: bytes) -> FloatArray:
    """Return the corners of all facets, shape (facets, 3, 3). Raises InputError where a text is not whole.

    Read here and not by trimesh, which drops facets that it cannot read: the area would be too small, and silently.
    """
    if _facets_of_binary(content) is not None:
        return np.asarray(np.frombuffer(content, BINARY_FACET, offset=HEAD)["corners"], dtype=float)
    text = content.lower()
    corners = re.findall(CORNER, text)
    if b"endsolid" not in text or len(corners) != 3 * text.count(b"endfacet"):
        raise InputError(PLACE, "it is not whole", WHOLE)
    try:
        return np.array(corners, dtype=np.bytes_).astype(float).reshape(-1, 3, 3)
    except ValueError as error:  # numpy has nothing narrower for a text that is no number
        raise InputError(PLACE, "a corner in it is no three numbers", WHOLE) from error


def _mesh(content: bytes) -> Trimesh:
    import trimesh  # half a second, and few people have a drawing of their part

    corners = _corners(content)
    sound = bool(np.abs(corners).max() < LARGEST_COORDINATE)  # False for nan as well
    if sound:
        mesh = trimesh.Trimesh(corners.reshape(-1, 3), np.arange(3 * len(corners)).reshape(-1, 3))
    if not sound or mesh.area == 0:
        raise InputError(PLACE, "it holds no surface of a finite size", "save it again from the drawing")
    return mesh


def _bodies(mesh: Trimesh) -> NDArray[np.int64]:
    """Return the number of the body, from 0 on, of each facet: a body is what hangs together by edges."""
    from scipy.sparse import coo_array
    from scipy.sparse.csgraph import connected_components

    pairs, facets = mesh.face_adjacency, len(mesh.faces)
    beside = coo_array((np.ones(len(pairs), dtype=bool), (pairs[:, 0], pairs[:, 1])), shape=(facets, facets))
    return np.asarray(connected_components(beside, directed=False)[1], dtype=np.int64)


def _hollow_area(mesh: Trimesh, body: NDArray[np.int64]) -> float:
    """Return the area [mm2] of closed hollows: bodies turned inside out, as against the largest one."""
    triangles = np.asarray(mesh.triangles) - mesh.centroid
    signed = np.einsum("ij,ij->i", triangles[:, 0], np.cross(triangles[:, 1], triangles[:, 2])) / 6.0
    volumes = np.bincount(body, signed)
    turned = volumes * volumes[np.argmax(np.abs(volumes))] < 0
    return float(mesh.area_faces[turned[body]].sum())


def _share_inside(mesh: Trimesh) -> float:
    """Return the share of the area just above which there is solid and not bath, by points spread evenly over it."""
    areas = np.cumsum(mesh.area_faces)
    count = max(min(POINTS, WORK // len(mesh.faces)), FEWEST)
    chosen = np.searchsorted(areas, (np.arange(count) + 0.5) / count * areas[-1])
    weights = np.random.default_rng(0).dirichlet((1.0, 1.0, 1.0), count)
    triangles = np.asarray(mesh.triangles, dtype=float)
    outward = mesh.face_normals[chosen] * np.sign(mesh.volume or 1.0)
    points = np.einsum("ij,ijk->ik", weights, triangles[chosen]) + 1e-4 * mesh.scale * outward
    turns = np.array([_winding(point, triangles) for point in points])
    return float(np.mean(np.abs(turns) > 0.5))


def _winding(point: FloatArray, triangles: FloatArray) -> float:
    """Return how often the surface winds round a point: 1 inside, 0 outside (van Oosterom and Strackee 1983)."""
    a, b, c = np.moveaxis(triangles - point, 1, 0)
    la, lb, lc = (np.sqrt(np.einsum("ij,ij->i", side, side)) for side in (a, b, c))
    top = np.einsum("ij,ij->i", a, np.cross(b, c))
    dots = [np.einsum("ij,ij->i", one, other) for one, other in ((a, b), (b, c), (c, a))]
    bottom = la * lb * lc + dots[0] * lc + dots[1] * la + dots[2] * lb
    return float(np.arctan2(top, bottom).sum() / (2 * np.pi))


def _warnings(closed: bool, bodies: int, hollow: float, inside: float) -> tuple[str, ...]:
    said = []
    if not closed:
        said.append(
            "The surface is not closed, so inside and outside cannot be told: every facet is counted, on one side. "
            "A sheet drawn without thickness that is plated on both sides has twice this area."
        )
    if bodies > 1:
        said.append(
            f"The file holds {bodies} separate surfaces; their areas are added up. Is all of it plated at once?"
        )
    if hollow > HIDDEN:
        said.append(f"Closed hollows, {hollow:.0%} of the area, were left out: the bath does not get in.")
    if inside > HIDDEN:
        said.append(
            f"About {inside:.0%} of the area lies inside another body and was left out. Join the bodies in the drawing "
            "to know it better."
        )
    return tuple(said)
