#!/usr/bin/python3
"""Run clang-tidy on the library's sources, and on a source again only when it or something it includes has changed.

usage: tidy.py BUILD_DIRECTORY

The build must be up to date: what a source includes is read from Ninja's dependency log.
"""

import concurrent.futures
import hashlib
import json
import os
import pathlib
import re
import shlex
import subprocess
import sys

ROOT = pathlib.Path(__file__).resolve().parent.parent
TIDY = os.environ.get("CLANG_TIDY", "clang-tidy")


def included_files(build: pathlib.Path) -> dict[str, list[pathlib.Path]]:
    """Files of the project that each object was compiled from."""
    log = subprocess.run(["ninja", "-C", build, "-t", "deps"], check=True, capture_output=True, text=True).stdout
    files: dict[str, list[pathlib.Path]] = {}
    target = ""
    for line in log.splitlines():
        if not line.strip():
            continue
        if line.startswith(" "):
            path = (build / line.strip()).resolve()
            if path.is_relative_to(ROOT):
                files[target].append(path)
        else:
            target = line.partition(":")[0]
            files[target] = []
    return files


def without_precompiled_headers(build: pathlib.Path, folder: pathlib.Path) -> list[dict[str, str]]:
    """The build's commands, also written to `folder`, as Clang can run them: GCC's precompiled headers are GCC's."""
    commands = json.loads((build / "compile_commands.json").read_text())
    for command in commands:
        command["command"] = re.sub(r" -Winvalid-pch -include \S+cmake_pch\.hxx", "", command["command"])
    folder.mkdir(exist_ok=True)
    (folder / "compile_commands.json").write_text(json.dumps(commands))
    return commands


def main() -> int:
    build = pathlib.Path(sys.argv[1]).resolve()
    stamps = build / "tidy"
    stamps.mkdir(exist_ok=True)
    version = subprocess.run([TIDY, "--version"], check=True, capture_output=True).stdout
    settings = version + (ROOT / ".clang-tidy").read_bytes()
    included = included_files(build)

    due: list[tuple[pathlib.Path, pathlib.Path]] = []
    current: set[str] = set()
    commands = build / "tidy_commands"
    for command in without_precompiled_headers(build, commands):
        source = pathlib.Path(command["file"])
        if not source.is_relative_to(ROOT / "lib"):
            continue
        digest = hashlib.sha256(settings + command["command"].encode())
        words = shlex.split(command["command"])
        built = words[words.index("-o") + 1]
        for path in sorted({source, *included.get(built, [])}):
            digest.update(f"\0{path}\0".encode() + path.read_bytes())
        stamp = stamps / digest.hexdigest()
        current.add(stamp.name)
        if not stamp.exists():
            due.append((source, stamp))

    def check(item: tuple[pathlib.Path, pathlib.Path]) -> bool:
        source, stamp = item
        # Warnings that only GCC knows are no fault of the source.
        options = ["--quiet", "-p", str(commands), "--extra-arg=-Wno-unknown-warning-option"]
        run = subprocess.run([TIDY, *options, str(source)], capture_output=True, text=True)
        if run.returncode:
            print(run.stdout + run.stderr, flush=True)
            return False
        stamp.touch()
        return True

    print(f"clang-tidy: {len(due)} of {len(current)} sources to check", flush=True)
    with concurrent.futures.ThreadPoolExecutor(os.cpu_count()) as pool:
        clean = all(list(pool.map(check, due)))
    for stamp in stamps.iterdir():
        if stamp.name not in current:
            stamp.unlink()
    return 0 if clean else 1


if __name__ == "__main__":
    sys.exit(main())
