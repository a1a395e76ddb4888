"""Where the results of a sweep go: memory, or a folder that a broken-off sweep resumes from.

A folder holds `plan.json` (what was asked, and the format's version), `values.npy` (outputs × samples, NaN where not
finished), `status.npy` (one byte per sample), `messages.jsonl` (why samples failed), `message_at.npy` (where in that
file a sample's line begins, plus one; 0 for none) and `checksum.npy` (of a sample's status, values and message). A
sample's status is written after all else of it, so that whatever is marked as finished is there, at whatever moment the
program or the machine stopped. Whoever opens the folder checks every finished sample: what does not agree with its
checksum is named and shot again, and a file of another type or shape is set aside. Nothing but the status is held in
memory.
"""

from __future__ import annotations

import contextlib
import fcntl
import io
import json
import math
import os
import pathlib
import warnings
import zlib
from typing import IO, Any, BinaryIO, Protocol

import numpy as np
import numpy.typing as npt

from nockwise._errors import Error, input_error
from nockwise._sweep_plan import FloatArray, Plan

STORE_FORMAT = 3
LONGEST_LINE = 1 << 20  # [byte], more than any message has
FAILED = 2  # the status of a failed sample
Status = npt.NDArray[np.uint8]
Indices = npt.NDArray[np.int64]
Texts = npt.NDArray[np.object_]
Checksums = npt.NDArray[np.uint64]
CHUNK = 1 << 16  # samples whose checksums are looked at in one go


def checksums(indices: Indices, values: FloatArray, status: Status, messages: Indices) -> Checksums:
    """One number per sample of what is kept of it, by 64-bit FNV-1a over words and a last mixing.

    `values` has the shape (samples, outputs); `messages` are the CRC-32 of the messages' lines, 0 for none.
    """
    prime = np.uint64(0x00000100000001B3)
    found = np.full(indices.shape, 0xCBF29CE484222325, np.uint64)
    words = np.ascontiguousarray(values, np.float64).view(np.uint64)
    for word in (indices.view(np.uint64), *words.T, messages.view(np.uint64), status.astype(np.uint64)):
        found = (found ^ word) * prime
        found ^= found >> np.uint64(29)
    return found


class Store(Protocol):
    """What runs and datasets need of a store."""

    status: Status

    def write(self, indices: Indices, values: FloatArray, status: Status, messages: dict[int, str]) -> None:
        """Keep the finished samples of a block; `messages` is by index of the sweep."""

    def output(self, column: int) -> FloatArray:
        """All values of one output."""

    def close(self) -> None:
        """Close the files."""


class MemoryStore:
    """Results in memory."""

    def __init__(self, plan: Plan) -> None:
        self.status: Status = np.zeros(plan.size, np.uint8)
        self._messages: dict[int, str] = {}
        self._values = np.full((len(plan.outputs), plan.size), np.nan)

    def write(self, indices: Indices, values: FloatArray, status: Status, messages: dict[int, str]) -> None:
        """Keep the finished samples of a block."""
        self._values[:, indices] = values.T
        self.status[indices] = status
        self._messages.update(messages)

    def output(self, column: int) -> FloatArray:
        """All values of one output."""
        row: FloatArray = self._values[column]
        return row

    def messages(self) -> Texts:
        """Why samples failed; empty for those that did not."""
        found = np.full(self.status.size, "", dtype=object)
        for index, text in self._messages.items():
            if self.status[index] == FAILED:
                found[index] = text
        return found

    def close(self) -> None:
        """Nothing to close."""


def _begins(path: pathlib.Path, count: int) -> bytes:
    with path.open("rb") as file:
        return file.read(count)


class FolderStore:
    """Results in a folder."""

    def __init__(self, folder: pathlib.Path, plan: Plan) -> None:
        self.folder = folder
        self._size = plan.size
        self._arrays: dict[str, tuple[type, tuple[int, ...]]] = {
            "values.npy": (np.float64, (len(plan.outputs), plan.size)),
            "checksum.npy": (np.uint64, (plan.size,)),
            "message_at.npy": (np.int64, (plan.size,)),
            "status.npy": (np.uint8, (plan.size,)),
        }
        self._lock: IO[Any] | None = None
        self._files: dict[str, BinaryIO] = {}
        self._data_start: dict[str, int] = {}
        try:
            folder.mkdir(parents=True, exist_ok=True)
            self._lock = (folder / "lock").open("w")
            fcntl.flock(self._lock, fcntl.LOCK_EX | fcntl.LOCK_NB)
            self._open(plan)
        except BlockingIOError:
            self.close()
            raise Error(f"{folder}: another sweep is writing here") from None
        except OSError as error:
            self.close()
            raise self._error_of(error) from error
        except BaseException:
            self.close()
            raise

    # --- Opening -----------------------------------------------------------------------------------------------------

    def _open(self, plan: Plan) -> None:
        identity = {"format": STORE_FORMAT, **plan.identity()}
        described = self.folder / "plan.json"
        new = not described.exists()
        if not new:
            found = self._read_plan(described)
            if (size := plan.extends(found, identity)) is not None:
                self._extend(size)
                self._write_plan(described, identity)
            else:
                self._check_plan(found, identity)
        damage = [] if new else [told for name in self._arrays if (told := self._damage_of(name))]
        for name in self._arrays:
            if new or not (self.folder / name).exists():
                self._new(name)
        if new or not (self.folder / "messages.jsonl").is_file():
            (self.folder / "messages.jsonl").write_bytes(b"")
        if new:
            self._write_plan(described, identity)  # comes last: a folder with a plan has all its files
        for name in (*self._arrays, "messages.jsonl"):
            self._files[name] = (self.folder / name).open("r+b")
        for name in self._arrays:
            self._data_start[name] = len(self._header(name))
        self.status: Status = np.load(self.folder / "status.npy")
        self._cut_unfinished_line()
        if not new:
            self._forget_damaged(damage)

    def _write_plan(self, described: pathlib.Path, identity: dict[str, Any]) -> None:
        partial = described.with_suffix(".partial")
        partial.write_text(json.dumps(identity, indent=1), encoding="utf-8")
        partial.replace(described)

    def _extend(self, size: int) -> None:
        """Make room behind the first `size` samples.

        The plan is written after it: stopped in between, the same call finds the old plan and the files that are done.
        A file that is not as the old plan left it stays, and is set aside as a damaged one.
        """
        for name, (dtype, shape) in self._arrays.items():
            path = self.folder / name
            before = self._header(name, (*shape[:-1], size))
            wanted = len(before) + math.prod(shape[:-1]) * size * np.dtype(dtype).itemsize
            if not path.exists() or path.stat().st_size != wanted or _begins(path, len(before)) != before:
                continue
            rows = np.load(path, mmap_mode="r").reshape(-1, size)
            more: npt.NDArray[Any] = np.full(shape[-1] - size, np.nan if dtype is np.float64 else 0, dtype)
            partial = path.with_suffix(".partial")
            with partial.open("wb") as file:
                file.write(self._header(name))
                for row in rows:
                    file.write(row.tobytes())
                    file.write(more.tobytes())
                file.flush()
                os.fsync(file.fileno())
            partial.replace(path)

    def _read_plan(self, described: pathlib.Path) -> dict[str, Any]:
        try:
            found = json.loads(described.read_text(encoding="utf-8"))
        except ValueError as error:
            raise input_error("store", self.folder, f"holds a plan.json that cannot be read: {error}") from None
        if not isinstance(found, dict) or "format" not in found:
            raise input_error("store", self.folder, "holds a plan.json that is no plan of a sweep")
        return found

    def _check_plan(self, found: dict[str, Any], identity: dict[str, Any]) -> None:
        if found["format"] != STORE_FORMAT:
            raise input_error(
                "store",
                self.folder,
                f"was written in format {found['format']}, this nockwise writes {STORE_FORMAT}: name another folder",
            )
        if found != identity:
            differs = [key for key in identity if found.get(key) != identity[key]]
            raise input_error("store", self.folder, f"holds another sweep: {', '.join(differs)} differ")

    def _damage_of(self, name: str) -> str:
        """What is wrong with an array's file as a whole, which is then made good or set aside; empty if nothing is."""
        path = self.folder / name
        dtype, shape = self._arrays[name]
        if not path.exists():
            return f"{name} is missing"
        header = self._header(name)
        wanted = len(header) + math.prod(shape) * np.dtype(dtype).itemsize
        with path.open("rb") as file:
            good = file.read(len(header)) == header
            size = file.seek(0, os.SEEK_END)
        if not good:
            path.replace(path.with_suffix(".damaged"))
            set_aside = path.with_suffix(".damaged").name
            return f"{name} holds no {np.dtype(dtype).name} of shape {shape} and is now {set_aside}"
        if size == wanted:
            return ""
        with path.open("r+b") as file:
            file.truncate(wanted)
        return f"{name} had {size} of {wanted} bytes"

    def _new(self, name: str) -> None:
        """A file with its space reserved, so that a disk too small is known at the start."""
        dtype, shape = self._arrays[name]
        with (self.folder / name).open("w+b") as file:
            file.write(self._header(name))
            if dtype is np.float64:
                for start in range(0, math.prod(shape), CHUNK):
                    file.write(np.full(min(CHUNK, math.prod(shape) - start), np.nan).tobytes())
            else:
                file.flush()
                os.posix_fallocate(file.fileno(), file.tell(), math.prod(shape) * np.dtype(dtype).itemsize)

    def _header(self, name: str, other_shape: tuple[int, ...] | None = None) -> bytes:
        dtype, shape = self._arrays[name]
        shape = shape if other_shape is None else other_shape
        described = {"descr": np.lib.format.dtype_to_descr(np.dtype(dtype)), "fortran_order": False, "shape": shape}
        header = io.BytesIO()
        np.lib.format.write_array_header_1_0(header, described)
        return header.getvalue()

    def _cut_unfinished_line(self) -> None:
        """A line that was being written when the program was stopped belongs to no finished sample."""
        file = self._files["messages.jsonl"]
        end = file.seek(0, os.SEEK_END)
        start = max(end - LONGEST_LINE, 0)
        file.seek(start)
        file.truncate(start + file.read().rfind(b"\n") + 1)

    def _forget_damaged(self, damage: list[str]) -> None:
        """Mark finished samples that do not agree with their checksums as not run, and name them."""
        lost = [self._damaged_in(start) for start in range(0, self._size, CHUNK)]
        indices = np.concatenate(lost) if lost else np.zeros(0, np.int64)
        if indices.size:
            self.status[indices] = 0
            for run in _runs(indices):
                nothing = np.full(run.size, np.nan).tobytes()
                for column in range(self._arrays["values.npy"][1][0]):
                    self._write_at("values.npy", 8 * (column * self._size + int(run[0])), nothing)
                self._write_at("status.npy", int(run[0]), bytes(run.size))
            self._to_disk("values.npy")
            self._to_disk("status.npy")
            some = ", ".join(str(i) for i in indices[:5]) + (", …" if indices.size > 5 else "")
            damage.append(f"{indices.size} samples do not agree with their checksums ({some}) and are shot again")
        if damage:
            warnings.warn(f"{self.folder}: damaged: {'; '.join(damage)}", stacklevel=5)

    def _damaged_in(self, start: int) -> Indices:
        end = min(start + CHUNK, self._size)
        finished = np.flatnonzero(self.status[start:end]).astype(np.int64) + start
        if not finished.size:
            return finished
        arrays = {name: np.load(self.folder / name, mmap_mode="r") for name in self._arrays}
        status = self.status[finished]
        values = np.stack([row[finished] for row in arrays["values.npy"]], axis=1)
        messages = np.zeros(finished.size, np.int64)
        failed = np.flatnonzero(status == FAILED)
        messages[failed] = [self._line_checksum(int(at)) for at in arrays["message_at.npy"][finished[failed]]]
        good = arrays["checksum.npy"][finished] == checksums(finished, values, status, messages)
        damaged: Indices = finished[~good]
        return damaged

    def _line_checksum(self, at: int) -> int:
        """CRC-32 of the line that begins at `at` - 1; 0 for none."""
        if at <= 0:
            return 0
        self._files["messages.jsonl"].seek(at - 1)
        return zlib.crc32(self._files["messages.jsonl"].readline(LONGEST_LINE))

    def _error_of(self, error: OSError) -> Error:
        reason = os.strerror(error.errno) if error.errno else str(error)
        return Error(f"{self.folder}: {reason}; finished samples are kept, and the same sweep goes on from them")

    # --- Writing -----------------------------------------------------------------------------------------------------

    def write(self, indices: Indices, values: FloatArray, status: Status, messages: dict[int, str]) -> None:
        """Keep the finished samples of a block: messages first, then values and checksums, then their status."""
        finished = status != 0
        indices, values, status = indices[finished], values[finished], status[finished]
        try:
            lines = self._write_messages(messages)
            sums = checksums(indices, values, status, np.array([lines.get(int(i), 0) for i in indices], np.int64))
            done = 0
            for run in _runs(indices) if indices.size else []:
                part = slice(done, done + run.size)
                self._write_run(int(run[0]), values[part], sums[part], status[part])
                done += run.size
        except OSError as error:
            raise self._error_of(error) from error
        self.status[indices] = status

    def _write_messages(self, messages: dict[int, str]) -> dict[int, int]:
        """Returns the CRC-32 of each line by the sample's index."""
        sums: dict[int, int] = {}
        if not messages:
            return sums
        file = self._files["messages.jsonl"]
        at = file.seek(0, os.SEEK_END)
        for index, text in messages.items():
            line = json.dumps({"index": index, "message": text}).encode() + b"\n"
            file.write(line)
            self._write_at("message_at.npy", 8 * index, np.int64(at + 1).tobytes())
            sums[index] = zlib.crc32(line)
            at += len(line)
        for name in ("messages.jsonl", "message_at.npy"):
            self._to_disk(name)
        return sums

    def _write_run(self, first: int, values: FloatArray, sums: Checksums, status: Status) -> None:
        for column in range(values.shape[1]):
            self._write_at("values.npy", 8 * (column * self._size + first), values[:, column].tobytes())
        self._write_at("checksum.npy", 8 * first, sums.tobytes())
        self._to_disk("values.npy")
        self._to_disk("checksum.npy")
        self._write_at("status.npy", first, status.tobytes())
        self._files["status.npy"].flush()

    def _write_at(self, name: str, offset: int, data: bytes) -> None:
        self._files[name].seek(self._data_start[name] + offset)
        self._files[name].write(data)

    def _to_disk(self, name: str) -> None:
        self._files[name].flush()
        os.fdatasync(self._files[name].fileno())

    def output(self, column: int) -> FloatArray:
        """All values of one output, read from the disk when they are looked at."""
        mapped: Any = np.load(self.folder / "values.npy", mmap_mode="r")
        row: FloatArray = mapped[column]
        return row

    def close(self) -> None:
        """Close the files and let another sweep have the folder."""
        for file in (*self._files.values(), self._lock):
            if file is not None:
                with contextlib.suppress(OSError):  # the write to a full disk has raised its error
                    file.close()


def _runs(indices: Indices) -> list[Indices]:
    """Pieces of consecutive indices."""
    return np.split(indices, np.flatnonzero(np.diff(indices) != 1) + 1)


def read_messages(folder: pathlib.Path, indices: Indices) -> Texts:
    """Why these samples failed, in the shape of `indices`; empty for those that did not. Reads no more than these."""
    found = np.full(indices.shape, "", dtype=object)
    begins, status = (np.load(folder / name, mmap_mode="r")[indices] for name in ("message_at.npy", "status.npy"))
    with (folder / "messages.jsonl").open("rb") as file:
        for at in zip(*np.nonzero((status == FAILED) & (begins > 0)), strict=True):
            file.seek(int(begins[at]) - 1)
            found[at] = json.loads(file.readline())["message"]
    return found


def open_store(folder: str | os.PathLike[str] | None, plan: Plan) -> MemoryStore | FolderStore:
    """The store that the user asked for."""
    return MemoryStore(plan) if folder is None else FolderStore(pathlib.Path(folder), plan)
