"""nockwise: the launch of a compound bow, from setup file to paper tear.

    setup = nockwise.read_setup("larkspur.toml")
    setup["cables.upper.twists"] = 0.5
    model = nockwise.Model(setup)
    tear = nockwise.paper_tear(model, nockwise.launch(model))

Numbers are SI with angles in rad; text with a unit ("6.75 in") may stand wherever a parameter is set. Arrays in results
are read-only views of the library's memory, which they keep alive. Plots are in `nockwise.plot`.
"""

from __future__ import annotations

from nockwise import _core, _enumerations
from nockwise._cams import cam_dataset
from nockwise._core import *
from nockwise._core import __version__
from nockwise._demo import demo, demo_folder, demo_names
from nockwise._enumerations import *
from nockwise._errors import Error, InputError, SolverError
from nockwise._group import group_dataset
from nockwise._improve import Improvement, improve, tradeoff
from nockwise._objectives import objectives, valley_of
from nockwise._pairs import UpperLower
from nockwise._prediction import prediction_dataset
from nockwise._results import asdict, columns
from nockwise._schema import file_schema
from nockwise._sensitivity import salib_problem, sensitivity
from nockwise._sweep import SweepInterrupted, repeat_sweep, sweep
from nockwise._sweep_plan import sweep_outputs

# What comes from C++ is listed there.
__all__ = [
    "Error",
    "Improvement",
    "InputError",
    "SolverError",
    "SweepInterrupted",
    "UpperLower",
    "__version__",
    "asdict",
    "cam_dataset",
    "columns",
    "demo",
    "demo_folder",
    "demo_names",
    "file_schema",
    "group_dataset",
    "improve",
    "objectives",
    "prediction_dataset",
    "repeat_sweep",
    "salib_problem",
    "sensitivity",
    "sweep",
    "sweep_outputs",
    "tradeoff",
    "valley_of",
]
__all__ += _core.__all__
__all__ += _enumerations.__all__
