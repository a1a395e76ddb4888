"""Plots of draw, launch and tear with Matplotlib.

Each function draws one thing: it takes a result and, if you like, the axes to draw into, and gives the axes back. Units
are those of the workshop, or SI with `units="si"`. Colours can be told apart by colour-blind readers, and lines by
their dashes in print.
"""

from __future__ import annotations

from nockwise._errors import needs_extra

try:
    import matplotlib as _matplotlib  # noqa: F401
except ImportError:
    raise needs_extra("matplotlib", "plot") from None

from nockwise.plot._bow import bow, cams
from nockwise.plot._bow_film import bow_film
from nockwise.plot._cam import cam, cam_curves, sync_chain
from nockwise.plot._draw import cam_sync, draw_curve
from nockwise.plot._film import flight_film, launch_film
from nockwise.plot._group import arrow_table, flight, forgiveness, group
from nockwise.plot._paper import paper, tear_map
from nockwise.plot._prediction import prediction
from nockwise.plot._sheet import draw_against_sheet, ensemble_tears
from nockwise.plot._shot import arrow_shapes, clearance, launch_strip, nock_path

__all__ = [
    "arrow_shapes",
    "arrow_table",
    "bow",
    "bow_film",
    "cam",
    "cam_curves",
    "cam_sync",
    "cams",
    "clearance",
    "draw_against_sheet",
    "draw_curve",
    "ensemble_tears",
    "flight",
    "flight_film",
    "forgiveness",
    "group",
    "launch_film",
    "launch_strip",
    "nock_path",
    "paper",
    "prediction",
    "sync_chain",
    "tear_map",
]
