"""Global sensitivity: which parameters an output hears, with the sample plans and estimators of SALib."""

from __future__ import annotations

import importlib
import importlib.metadata
from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any

import numpy as np

from nockwise import _core
from nockwise._errors import Error, input_error, needs_extra
from nockwise._sweep import sweep
from nockwise._sweep_plan import FloatArray, check_outputs, make_column

if TYPE_CHECKING:
    import xarray

INDICES = {
    "sobol": {"S1": "share of the variance by this parameter alone", "ST": "share with all its interactions"},
    "morris": {"mu_star": "mean absolute elementary effect", "sigma": "spread of the elementary effects"},
}


def salib_problem(setup: _core.Setup, ranges: Mapping[str, tuple[Any, Any]]) -> dict[str, Any]:
    """The `problem` of SALib for parameters between two bounds.

    Parameters
    ----------
    setup
        The bow whose parameters they are.
    ranges
        Paths to (low, high), each a number in SI or text with a unit.

    Returns
    -------
    dict
        `num_vars`, `names` and `bounds`, in SI.

    Raises
    ------
    InputError
        An unknown path, a parameter that is no number, or bounds that are none.

    """
    columns = [make_column(setup, path, list(bounds)) for path, bounds in ranges.items()]
    for column in columns:
        if column.words or column.values.size != 2 or not column.values[0] < column.values[1]:
            raise input_error(column.path, column.shown().tolist(), "must be two numbers, the lower first")
    return {
        "num_vars": len(columns),
        "names": [column.path for column in columns],
        "bounds": [column.values.tolist() for column in columns],
    }


def _distributed(setup: _core.Setup, ranges: Mapping[str, Any]) -> tuple[dict[str, Any], dict[str, Any]]:
    """SALib's problem, and the distributions in it: those parameters are sampled between 0 and 1, as probabilities."""
    given = {path: one for path, one in ranges.items() if hasattr(one, "ppf")}
    bounds = salib_problem(setup, {path: one for path, one in ranges.items() if path not in given})
    for path in given:
        make_column(setup, path, [0.0])  # a number, and known
    by_path = dict(zip(bounds["names"], bounds["bounds"], strict=True))
    names = list(ranges)
    problem = {"num_vars": len(names), "names": names, "bounds": [by_path.get(name, [0.0, 1.0]) for name in names]}
    return problem, given


def _values(problem: dict[str, Any], given: dict[str, Any], matrix: FloatArray) -> FloatArray:
    """The samples in SI."""
    found = np.array(matrix, dtype=np.float64)
    for path, distribution in given.items():
        column = problem["names"].index(path)
        found[:, column] = distribution.ppf(matrix[:, column])
        if not np.isfinite(found[:, column]).all():
            raise input_error(
                path, "", "must be a distribution with ends for this method, such as scipy.stats.truncnorm"
            )
    return found


def sensitivity(
    setup: _core.Setup,
    ranges: Mapping[str, Any],
    *,
    outputs: Sequence[str],
    method: str = "sobol",
    samples: int = 256,
    seed: int = 1,
    **options: Any,
) -> xarray.Dataset:
    """Sobol or Morris indices of outputs over ranges of parameters, with their confidence intervals.

    Parameters
    ----------
    setup
        The bow.
    ranges
        Paths to a pair of bounds, numbers in SI or text with units, between which all is as likely; or to a
        distribution in SI with an inverse `ppf(probability)`, as those of `scipy.stats` are: `scipy.stats.norm(0.0,
        0.001)`. Morris goes to the ends, so that its distributions need some; its effects are then per unit of
        probability.
    outputs
        Names from `sweep_outputs()`.
    method
        "sobol" or "morris".
    samples
        The base number N: Sobol takes N · (parameters + 2) launches (N a power of two), Morris N · (parameters + 1).
    seed
        Of the samples and of the bootstrap of the confidence intervals.
    **options
        Go to `sweep` (threads, client, store, progress, ...). The sweep's own Dataset is not kept: give a `store` to
        keep it.

    Returns
    -------
    xarray.Dataset
        Indices with the dimensions `output` and `parameter`: `S1` and `ST`, or `mu_star` and `sigma`, with `_conf`.

    Raises
    ------
    InputError
        A method or range that cannot be used.
    Error
        Samples failed (with the first message), because the estimators need them all; or SALib is not installed.

    """
    try:
        importlib.import_module("SALib")
    except ImportError:
        raise needs_extra("SALib", "sweep") from None
    import xarray

    if method not in INDICES:
        raise input_error("method", method, "must be sobol or morris")
    if samples < 2 or (method == "sobol" and samples & (samples - 1)):
        raise input_error("samples", samples, "must be a power of two for sobol, and at least 2")
    problem, given_distributions = _distributed(setup, ranges)
    names = check_outputs(outputs)
    sampler = importlib.import_module(f"SALib.sample.{method}")
    analyzer = importlib.import_module(f"SALib.analyze.{method}")
    sobol = method == "sobol"
    extra: dict[str, Any] = {"calc_second_order": False} if sobol else {}
    matrix = sampler.sample(problem, samples, seed=seed, **extra)
    values = _values(problem, given_distributions, matrix)
    data = sweep(setup, values, paths=problem["names"], outputs=names, **options)
    failed = np.flatnonzero(data["status"].values != 1)
    if failed.size:
        first = data["message"][int(failed[0])].item()
        raise Error(
            f"sensitivity: {failed.size} of {len(matrix)} samples failed; narrow the ranges. The first: {first}"
        )
    given = () if sobol else (matrix,)
    found = [analyzer.analyze(problem, *given, data[name].values, seed=seed, **extra) for name in names]
    variables: dict[str, Any] = {}
    for index, meaning in INDICES[method].items():
        variables[index] = (
            ("output", "parameter"),
            [np.asarray(one[index], float) for one in found],
            {"long_name": meaning} | ({"units": "1"} if sobol else {}),
        )
    for interval in ("S1_conf", "ST_conf") if sobol else ("mu_star_conf",):
        text = {"long_name": f"95 % confidence of {interval.removesuffix('_conf')}, plus and minus"}
        text |= {"units": "1"} if sobol else {}
        variables[interval] = (("output", "parameter"), [np.asarray(one[interval], float) for one in found], text)
    coords = {"output": list(names), "parameter": problem["names"]}
    source = f"SALib {importlib.metadata.version('SALib')}"
    attrs = {"Conventions": "CF-1.11", "method": method, "launches": len(matrix), "seed": seed, "source": source}
    return xarray.Dataset(variables, coords, attrs)
