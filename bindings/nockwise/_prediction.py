"""Predictions as a Dataset."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from nockwise import _core
from nockwise._errors import needs_extra

if TYPE_CHECKING:
    import xarray


def prediction_dataset(prediction: _core.Prediction) -> xarray.Dataset:
    """Intervals and shares of a prediction by `output`, with what is not known as a second dimension, `direction`.

    Parameters
    ----------
    prediction
        What `predict` gave.

    Returns
    -------
    xarray.Dataset
        Numbers in SI; the unit of each output is a coordinate. Shares are of the variance by straight lines, slopes per
        standard deviation. Directions stand in the order in which they matter to the first output.

    Raises
    ------
    Error
        xarray is not installed.

    """
    try:
        import xarray
    except ImportError:
        raise needs_extra("xarray", "sweep") from None
    described = {each.output: each for each in _core.output_descriptions()}
    outputs = prediction.outputs
    directions = [share.name for share in outputs[0].shares]
    by_name = [{share.name: share for share in one.shares} for one in outputs]

    def numbers(name: str, text: str) -> tuple[str, list[float], dict[str, str]]:
        return "output", [float(getattr(one, name)) for one in outputs], {"long_name": text}

    def table(name: str, text: str) -> tuple[tuple[str, str], np.ndarray, dict[str, str]]:
        values = np.array([[getattr(found[each], name) for each in directions] for found in by_name], float)
        return ("output", "direction"), values.reshape(len(outputs), len(directions)), {"long_name": text}

    variables = {
        "value": numbers("value", "of the setup as it stands"),
        "low": numbers("low", "5 % of the drawn bows lie below"),
        "median": numbers("median", "half of the drawn bows lie below"),
        "high": numbers("high", "5 % of the drawn bows lie above"),
        "deviation": numbers("deviation", "standard deviation of the drawn bows"),
        "linear_deviation": numbers("linear_deviation", "standard deviation by straight lines"),
        "linear": ("output", [one.linear for one in outputs], {"long_name": "straight lines give the interval"}),
        "share": table("share", "share of the variance by straight lines"),
        "slope": table("slope", "change per standard deviation"),
    }
    titles = {share.name: share.title for share in outputs[0].shares}
    known_by = {share.name: str(share.by) for share in outputs[0].shares}
    coords = {
        "output": [str(one.output) for one in outputs],
        "unit": ("output", [str(_core.si_unit(described[one.output].quantity)) for one in outputs]),
        "direction": directions,
        "title": ("direction", [titles[each] for each in directions]),
        "known_by": ("direction", [known_by[each] for each in directions]),
    }
    attrs = {
        "Conventions": "CF-1.11",
        "title": prediction.name,
        "bows": prediction.bows,
        "failed": prediction.failed,
        "paper_distance": prediction.distance,
        "notes": list(prediction.notes),
    }
    return xarray.Dataset(variables, coords, attrs)
