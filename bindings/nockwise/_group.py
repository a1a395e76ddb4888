"""Groups as a Dataset."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from nockwise import _core
from nockwise._errors import needs_extra

if TYPE_CHECKING:
    import xarray

NUMBERS = (
    "mean_up mean_right deviation_up deviation_right major minor angle mean_radius width_of_six_up width_of_six_right "
    "spread_of_six relative_error straight_part"
)


def group_dataset(group: _core.Group) -> xarray.Dataset:
    """Impacts of a group by `shot`, and what each source does alone by `source`.

    Parameters
    ----------
    group
        What `group` gave.

    Returns
    -------
    xarray.Dataset
        Numbers in SI, units as attributes; `up` and `right` are from the target's centre. The group's own numbers are
        variables without a dimension.

    Raises
    ------
    Error
        xarray is not installed.

    """
    try:
        import xarray
    except ImportError:
        raise needs_extra("xarray", "sweep") from None
    sources = group.forgiveness.sources

    def effects(name: str, text: str, unit: str) -> tuple[str, np.ndarray, dict[str, str]]:
        values = np.array([getattr(each, name) for each in sources], float)
        return "source", values, {"long_name": text, "units": unit}

    variables = {
        "up": ("shot", np.array(group.up), {"long_name": "impact above the centre", "units": "m"}),
        "right": ("shot", np.array(group.right), {"long_name": "impact right of the centre", "units": "m"}),
        "arrow": ("shot", np.array(group.arrow, int), {"long_name": "which arrow was shot"}),
        "source_deviation": effects("deviation", "standard deviation of the source, SI", ""),
        "source_up": effects("deviation_up", "deviation of the impact from it, up and down", "m"),
        "source_right": effects("deviation_right", "deviation of the impact from it, left and right", "m"),
        "up_per_unit": effects("up_per_unit", "change of the impact per SI unit of the source", "m"),
        "right_per_unit": effects("right_per_unit", "change of the impact per SI unit of the source", "m"),
        "share": effects("share", "share of the variance by straight lines", "1"),
        **{name: ((), float(getattr(group, name))) for name in NUMBERS.split()},
    }
    coords = {
        "source": [each.name for each in sources],
        "title": ("source", [each.title for each in sources]),
    }
    attrs = {
        "Conventions": "CF-1.11",
        "title": group.name,
        "scatter": group.scatter,
        "distance": group.distance,
        "shots": group.shots,
        "failed": group.failed,
        "touches": group.touches,
        "bounces": group.bounces,
        "pattern": group.pattern,
        "notes": list(group.notes),
    }
    if group.least_clearance is not None:
        attrs["least_clearance"] = group.least_clearance
    if group.score is not None:
        attrs |= {"score": group.score, "score_error": group.score_error}
    return xarray.Dataset(variables, coords, attrs)
