"""Examples of the command line, for its help. They run in the folder that `nockwise demo` writes."""

from __future__ import annotations

EXAMPLES: dict[str, tuple[str, ...]] = {
    "demo": ("nockwise demo alder-lane",),
    "inspect": ("nockwise inspect setups/larkspur.toml", "nockwise inspect setups/coppice-sheet.toml"),
    "mirror": ("nockwise mirror setups/larkspur.toml left-handed.toml",),
    "build": ('nockwise build setups/coppice-sheet.toml --out bow.toml --tear-up "1/2 in"',),
    "draw": (
        "nockwise draw setups/alder.toml --plot draw.png",
        'nockwise draw setups/alder.toml --set "cables.upper.twists=0.5 twist"',
    ),
    "shoot": ('nockwise shoot setups/larkspur.toml --paper "6 ft" --set "string.nocking_point=1/8 in"',),
    "predict": ("nockwise predict setups/larkspur.toml --output tear_up --bows 100",),
    "compare": ("nockwise compare setups/larkspur.toml setups/alder.toml",),
    "matrix": ("nockwise matrix setups/withy.toml",),
    "calibrate": ("nockwise calibrate cases/larkspur-calibration.toml",),
    "group": (
        'nockwise group setups/larkspur.toml --distance "40 yd" --shots 200',
        'nockwise group setups/larkspur.toml --distance "20 m" --per-unit --shares',
    ),
    "sight": ("nockwise sight setups/larkspur.toml",),
    "forgiving": ("nockwise forgiving setups/larkspur.toml --free nocking_point --free center_shot --most-steps 2",),
    "arrows": ('nockwise arrows setups/larkspur.toml --spine "340 spine" --spine "400 spine" --bows 10',),
    "least-sensitive": (
        'nockwise least-sensitive setups/larkspur.toml --free "cable_guard.offset=2 mm" --within "1/2 in"',
    ),
    "fit-cam": (
        "nockwise fit-cam setups/larkspur.toml --string-track cams/ash.csv --move-pockets --out ash.toml",
        'nockwise fit-cam setups/larkspur.toml --draw-length "28 in" --peak-force "60 lbf"',
    ),
    "cams": ("nockwise cams setups/larkspur.toml --string cams/elm.csv cams/ash.csv --move-pockets",),
    "layouts": ("nockwise layouts setups/larkspur-measured.toml",),
    "sweep": ("nockwise sweep sweeps/nocking-point.toml --csv table.csv",),
    "explain": (
        "nockwise explain cases/came-in.toml --report why.html",
        "nockwise explain cases/came-in.toml --next",
    ),
    "schema": ("nockwise schema case > case.json", "nockwise schema --all schemas-of-mine"),
    "paths": ("nockwise paths nocking",),
    "completion": ("nockwise completion bash > ~/.local/share/bash-completion/completions/nockwise",),
}


def epilog(command: str) -> str:
    """The end of a command's help."""
    lines = EXAMPLES[command]
    return "\n".join(["example:" if len(lines) == 1 else "examples:", *(f"  {line}" for line in lines)])
