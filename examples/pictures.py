"""Pictures of a shot, as found and after a correction, from the JSON of nockwise_launch.

    python pictures.py OUTPUT_FOLDER LABEL=FILE.json [LABEL=FILE.json …]

Writes draw_curve.png, nock_path.png, cam_sync.png, launch_strip.png and paper.png. Colours tell runs apart in print and for colour-blind
readers (dark blue, orange, green by lightness); line styles repeat the distinction.
"""

import json
import math
import sys
from pathlib import Path
from typing import Any

import matplotlib

matplotlib.use("Agg")
import matplotlib.pyplot as plt
from matplotlib.axes import Axes
from matplotlib.patches import Circle, Polygon

INCH = 0.0254
POUND_FORCE = 4.4482216152605
STYLES = [("#12436D", "-"), ("#F46A25", "--"), ("#28A197", "-.")]
Run = dict[str, Any]


def finish(figure: plt.Figure, path: Path) -> None:
    figure.tight_layout()
    figure.savefig(path, dpi=130)
    plt.close(figure)
    print(path)


def points(run: Run, key: str) -> list[Any]:
    return [point[key] for point in run["draw"]["points"]]


def draw_curve(runs: dict[str, Run], path: Path) -> None:
    """Draw force over draw length, with valley and wall."""
    figure, axes = plt.subplots(figsize=(8, 4.8))
    for (label, run), (colour, dash) in zip(runs.items(), STYLES, strict=False):
        draw = run["draw"]
        length = [-x / INCH + 1.75 for x in points(run, "nock_x")]
        force = [f / POUND_FORCE for f in points(run, "draw_force")]
        axes.plot(length, force, dash, color=colour, label=label)
        touch = draw["touch_index"]
        axes.plot(length[touch], force[touch], "o", color=colour)
    first = next(iter(runs.values()))["draw"]
    valley = -first["valley_nock_x"] / INCH + 1.75
    axes.annotate("valley", (valley, first["holding_force"] / POUND_FORCE), (valley - 4.5, first["holding_force"] / POUND_FORCE),
                  arrowprops={"arrowstyle": "->"}, va="center")
    axes.annotate("first stop touches:\nthe wall", (first["draw_length"] / INCH, first["holding_force"] / POUND_FORCE + 4),
                  (first["draw_length"] / INCH - 7.5, first["peak_force"] / POUND_FORCE * 0.5), arrowprops={"arrowstyle": "->"})
    axes.set(xlabel="draw length [in] (grip pivot to nock, plus 1 3/4 in)", ylabel="draw force [lbf]",
             title=f"Draw: peak {first['peak_force'] / POUND_FORCE:.1f} lbf, let-off {100 * first['let_off']:.0f} %")
    axes.set_ylim(bottom=0)
    axes.grid(alpha=0.3)
    axes.legend()
    finish(figure, path)


def nock_path(runs: dict[str, Run], path: Path) -> None:
    """Height of the nock over its travel: drawn slowly, and in the launch."""
    figure, (still, launch) = plt.subplots(2, 1, figsize=(8, 6.4), sharex=True)
    for (label, run), (colour, dash) in zip(runs.items(), STYLES, strict=False):
        still.plot([x / INCH for x in points(run, "nock_x")], [y / INCH for y in points(run, "nock_y")], dash, color=colour, label=label)
        trace = run["launch"]["trace"]
        end = run["launch"]["exit_time"]
        kept = [i for i, t in enumerate(trace["time"]) if t <= end]
        launch.plot([trace["nock_x"][i] / INCH for i in kept], [trace["nock_y"][i] / INCH for i in kept], dash, color=colour, label=label)
    still.set(ylabel="nock height [in]", title="Nock path while drawing (riser held) …")
    launch.set(xlabel="nock position [in], toward the target", ylabel="nock height [in]", title="… and in the launch, until the arrow leaves the string")
    for axes in (still, launch):
        axes.grid(alpha=0.3)
        axes.legend()
    finish(figure, path)


def cam_sync(runs: dict[str, Run], path: Path) -> None:
    """Upper less lower cam angle, and the two stops' gaps near the wall."""
    figure, (angle, gap) = plt.subplots(1, 2, figsize=(10, 4.6))
    for (label, run), (colour, dash) in zip(runs.items(), STYLES, strict=False):
        length = [-x / INCH + 1.75 for x in points(run, "nock_x")]
        difference = [math.degrees(upper - lower) for upper, lower in points(run, "cam_angle")]
        angle.plot(length, difference, dash, color=colour, label=label)
        near = [i for i, value in enumerate(length) if value > length[-1] - 0.6]
        for half, width in ((0, 2.2), (1, 1.0)):
            if points(run, "stop_gap")[0][half] is None:  # no stop
                continue
            gap.plot([length[i] for i in near], [points(run, "stop_gap")[i][half] / INCH for i in near], dash, color=colour, linewidth=width,
                     label=f"{label}, {'upper' if half == 0 else 'lower'} stop")
    angle.set(xlabel="draw length [in]", ylabel="upper − lower cam angle [deg]", title="Cam sync over the draw")
    gap.set(xlabel="draw length [in]", ylabel="stop gap [in]", title="Stops near the wall (0: touching)")
    gap.axhline(0, color="0.4", linewidth=0.8)
    for axes in (angle, gap):
        axes.grid(alpha=0.3)
        axes.legend(fontsize=8)
    finish(figure, path)


def launch_strip(runs: dict[str, Run], path: Path) -> None:
    """The arrow from full draw to the last of the rest, one row per moment; heights drawn twenty times too large."""
    figure, columns = plt.subplots(1, len(runs), figsize=(6.4 * len(runs), 6.4), sharey=True, squeeze=False)
    magnify = 20.0
    for axes, (label, run), (colour, _) in zip(columns[0], runs.items(), STYLES, strict=False):
        trace = run["launch"]["trace"]
        nodes = trace["nodes"]
        length = run["launch"]["free"]["nock_x"]
        spacing = run_length(run) / (nodes - 1)
        rows = 12
        for row in range(rows):
            time = trace["time"][-1] * row / (rows - 1)
            index = min(range(len(trace["time"])), key=lambda i: abs(trace["time"][i] - time))
            shape = trace["arrow_y"][index * nodes:(index + 1) * nodes]
            x = [trace["nock_x"][index] + i * spacing for i in range(nodes)]
            y = [-row * 0.1 + magnify * (value - trace["arrow_y"][0]) for value in shape]
            axes.plot([value / INCH for value in x], y, color=colour)
            held = trace["rest_force"][index] > 0
            axes.plot(x[0] / INCH, y[0], "s" if trace["time"][index] < run["launch"]["exit_time"] else ">", color=colour, markersize=4)
            axes.text((x[-1] + 0.02) / INCH, y[-1], f"{1e3 * trace['time'][index]:.1f} ms" + ("  on the rest" if held else ""), va="center",
                      fontsize=7)
        axes.axvline(0, color="0.5", linewidth=0.8)
        axes.set(title=f"{label}: launch, heights ×{magnify:.0f}\n(square: on the string, triangle: free)", xlabel="[in] toward the target; 0: grip",
                 yticks=[], xlim=(-32, (length + run_length(run)) / INCH + 14))
    finish(figure, path)


def run_length(run: Run) -> float:
    """Length of the arrow [m], from where its sections cross the paper."""
    return float(run["paper"]["section"][0])


def paper_hole(axes: Axes, run: Run, label: str, colour: str) -> None:
    tear = run["paper"]
    right = [value / INCH for value in tear["section_right"]]
    up = [value / INCH for value in tear["section_up"]]
    shaft = 0.13
    for x, y in zip(right, up, strict=True):
        axes.add_patch(Circle((x, y), shaft, color="#333333", linewidth=0))
    vane = 0.46
    for turn in (90, 210, 330):
        direction = math.radians(turn)
        across = direction + math.pi / 2
        tip = (right[-1] + (shaft + vane) * math.cos(direction), up[-1] + (shaft + vane) * math.sin(direction))
        base = [(right[-1] + shaft * math.cos(direction) + sign * 0.05 * math.cos(across),
                 up[-1] + shaft * math.sin(direction) + sign * 0.05 * math.sin(across)) for sign in (-1, 1)]
        axes.add_patch(Polygon([base[0], tip, base[1]], color="#333333", linewidth=0))
    for x, y, marker, name in ((0.0, 0.0, "X", "point"), (right[-1], up[-1], "P", "tail")):
        axes.plot(x, y, marker, color=colour, markersize=11, markeredgecolor="white", markeredgewidth=1.2, linestyle="none", label=name)
    axes.set(title=f"{label}: {tear['in_words']}", xlabel="right [in]", ylabel="up [in]", aspect="equal", xlim=(-1.6, 1.6), ylim=(-1.6, 1.6))
    axes.set_facecolor("#F7F4EC")
    axes.grid(alpha=0.3)
    axes.legend(loc="lower right", fontsize=8)


def paper(runs: dict[str, Run], path: Path) -> None:
    """The hole as the archer sees it."""
    figure, columns = plt.subplots(1, len(runs), figsize=(5.4 * len(runs), 5.6), squeeze=False)
    for axes, (label, run), (colour, _) in zip(columns[0], runs.items(), STYLES, strict=False):
        paper_hole(axes, run, label, colour)
    finish(figure, path)


def main() -> None:
    folder = Path(sys.argv[1])
    folder.mkdir(parents=True, exist_ok=True)
    runs = {}
    for argument in sys.argv[2:]:
        label, _, name = argument.partition("=")
        runs[label] = json.loads(Path(name).read_text(encoding="utf-8"))
    draw_curve(runs, folder / "draw_curve.png")
    nock_path(runs, folder / "nock_path.png")
    cam_sync(runs, folder / "cam_sync.png")
    launch_strip(runs, folder / "launch_strip.png")
    paper(runs, folder / "paper.png")


if __name__ == "__main__":
    main()
