"""What a bow will do, as far as it is known."""

from __future__ import annotations

from matplotlib.axes import Axes

from nockwise import _core
from nockwise._core import Prediction
from nockwise._describe import UnitSystem
from nockwise._errors import input_error
from nockwise.plot._style import EMBER, JADE, NAVY, axes_or_new, finish, in_units


def prediction(
    found: Prediction,
    output: str = "",
    *,
    most: int = 12,
    ax: Axes | None = None,
    units: UnitSystem = "workshop",
) -> Axes:
    """One output's 90 % interval, and by how much each thing that is not known moves it, largest first.

    The upper bar is the interval of the drawn bows, with the setup as it stands and the middle of the bows; each bar
    below reaches as far as one thing alone would move the output either way in nine bows of ten, by straight lines.
    `output` is a name (default: the first).
    """
    names = [str(each.output) for each in found.outputs]
    if output and output not in names:
        raise input_error("output", output, f"must be one of {', '.join(names)}")
    one = found.outputs[names.index(output) if output else 0]
    described = next(each for each in _core.output_descriptions() if each.output == one.output)
    shares = [each for each in one.shares if abs(each.share) > 1e-4][:most]
    ax = axes_or_new(ax, width=7.2, height=1.4 + 0.28 * (len(shares) + 1))
    si = str(_core.si_unit(described.quantity))

    def shown(value: float) -> float:
        number, _ = in_units(value, si, units)
        return float(number)

    _, unit = in_units(0.0, si, units)
    per_side = 1.644854  # standard deviations that hold nine of ten
    top = len(shares)
    ax.barh(top, shown(one.high) - shown(one.low), left=shown(one.low), height=0.62, color=JADE, label="nine of ten")
    ax.plot([shown(one.median)] * 2, [top - 0.31, top + 0.31], color=NAVY, linewidth=2, label="their middle")
    ax.plot([shown(one.value)], [top], "o", markersize=5, color=EMBER, label="the setup as it stands")
    for place, each in enumerate(reversed(shares)):
        reach = per_side * abs(each.slope)
        left, right = shown(one.value - reach), shown(one.value + reach)
        ax.barh(place, right - left, left=left, height=0.5, color="none", edgecolor=NAVY, linewidth=0.9)
    ax.use_sticky_edges = False
    ax.axvline(shown(one.value), color=EMBER, linewidth=0.8)
    ax.margins(x=0.05)
    labels = [f"{each.title} ({100 * each.share:.0f} %)" for each in reversed(shares)]
    ax.set_yticks(range(top + 1), [*labels, "all together, drawn bows"], fontsize=8)
    ax.legend(loc="lower right", fontsize=8, frameon=False)
    title = "Nine of ten bows that it may be" + ("" if one.linear else "; they do not answer in straight lines")
    return finish(ax, f"{described.title} [{unit}]" if unit else described.title, "", title)
