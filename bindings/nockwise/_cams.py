"""Cams side by side as a Dataset."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from nockwise import _core, _describe
from nockwise._errors import needs_extra

if TYPE_CHECKING:
    import xarray

POSITIONS = 101  # of the draw curves, equally spaced over each one's own draw


def cam_dataset(table: _core.CamTable) -> xarray.Dataset:
    """A comparison of cams by `cam`, and their draw curves by `position`, from brace (0) to the wall (1).

    Parameters
    ----------
    table
        What `compare_cams` or `compare_bows` gave.

    Returns
    -------
    xarray.Dataset
        Numbers in SI, units as attributes, NaN where a cam failed; `failure` says why. What a quarter of a twist in the
        upper cam's cable does has `quarter_` before its name. `to_dataframe()` gives a table of all but the curves,
        after `drop_dims("position")`.

    Raises
    ------
    Error
        xarray is not installed.

    """
    try:
        import xarray
    except ImportError:
        raise needs_extra("xarray", "sweep") from None
    comments = _core._header_comments()

    def column(owner: str, name: str, prefix: str) -> tuple[str, np.ndarray, dict[str, str]]:
        unit, text = comments[f"{owner}.{name}"]
        rows = table.rows
        values = [getattr(row.chain if prefix else row, name) if not row.failure else np.nan for row in rows]
        return "cam", np.array(values, float), {"long_name": text, "units": unit}

    numbers = [name for name in _describe.fields_of("CamRow") if isinstance(_empty(table, name), float)]
    variables = {name: column("CamRow", name, "") for name in numbers}
    variables |= {f"quarter_{name}": column("SyncChain", name, "quarter_") for name in _describe.fields_of("SyncChain")}
    share = np.linspace(0.0, 1.0, POSITIONS)
    lengths = np.full((len(table.rows), POSITIONS), np.nan)
    forces = np.full((len(table.rows), POSITIONS), np.nan)
    for i, row in enumerate(table.rows):
        if len(row.draw_curve):
            draw = row.draw_curve["draw_length"]
            lengths[i] = draw[0] + share * (draw[-1] - draw[0])
            forces[i] = np.interp(lengths[i], draw, row.draw_curve["force"])
    curves = {
        "curve_draw_length": (("cam", "position"), lengths, {"long_name": "draw length", "units": "m"}),
        "curve_force": (("cam", "position"), forces, {"long_name": "draw force", "units": "N"}),
    }
    coords = {"cam": [row.name for row in table.rows], "position": share}
    failures = {"failure": ("cam", [row.failure for row in table.rows])}
    return xarray.Dataset({**variables, **curves, **failures}, coords, {"Conventions": "CF-1.11"})


def _empty(table: _core.CamTable, name: str) -> object:
    return getattr(table.rows[0], name)
