"""Where the results of a sweep go: memory, or a folder that a broken-off sweep resumes from.

A folder holds `plan.json` (what was asked), `values.npy` (outputs × samples), `status.npy` (one byte per sample),
`messages.jsonl` (why samples failed) and `message_at.npy` (where in that file a sample's line begins, plus one; 0 for
none). A sample's status is written after its values, so that whatever is marked as finished is there, at whatever
moment the program or the machine stopped. Nothing but the status is held in memory.
"""

from __future__ import annotations

import contextlib
import fcntl
import json
import math
import os
import pathlib
from typing import IO, Any, BinaryIO, Protocol

import numpy as np
import numpy.typing as npt

from nockwise._errors import Error, input_error
from nockwise._sweep_plan import FloatArray, Plan

STORE_FORMAT = 2
LONGEST_LINE = 1 << 20  # [byte], more than any message has
FAILED = 2  # the status of a failed sample
Status = npt.NDArray[np.uint8]
Indices = npt.NDArray[np.int64]
Texts = npt.NDArray[np.object_]


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


class FolderStore:
    """Results in a folder."""

    def __init__(self, folder: pathlib.Path, plan: Plan) -> None:
        self.folder = folder
        self._size = plan.size
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

    def _open(self, plan: Plan) -> None:
        identity = {"format": STORE_FORMAT, **plan.identity()}
        described = self.folder / "plan.json"
        if described.exists():
            try:
                found = json.loads(described.read_text(encoding="utf-8"))
            except ValueError as error:
                raise input_error("store", self.folder, f"holds a plan.json that cannot be read: {error}") from None
            if found != identity:
                differs = [key for key in identity if found.get(key) != identity[key]]
                raise input_error("store", self.folder, f"holds another sweep: {', '.join(differs)} differ")
        else:
            self._new("values.npy", np.float64, (len(plan.outputs), plan.size))
            self._new("status.npy", np.uint8, (plan.size,))
            self._new("message_at.npy", np.int64, (plan.size,))
            (self.folder / "messages.jsonl").write_bytes(b"")
            partial = described.with_suffix(".partial")
            partial.write_text(json.dumps(identity, indent=1), encoding="utf-8")
            partial.replace(described)  # comes last: a folder with a plan has all its files
        for name in ("values.npy", "status.npy", "message_at.npy", "messages.jsonl"):
            self._files[name] = (self.folder / name).open("r+b")
        try:
            for name, file in self._files.items():
                if name.endswith(".npy"):
                    self._data_start[name] = self._header_size(file)
            self.status: Status = np.load(self.folder / "status.npy")
        except ValueError as error:
            raise input_error("store", self.folder, f"holds files that cannot be read: {error}") from None
        self._cut_unfinished_line()

    def _new(self, name: str, dtype: type, shape: tuple[int, ...]) -> None:
        """A file of zeros with its space reserved, so that a disk too small is known at the start."""
        header = {"descr": np.lib.format.dtype_to_descr(np.dtype(dtype)), "fortran_order": False, "shape": shape}
        with (self.folder / name).open("w+b") as file:
            np.lib.format.write_array_header_1_0(file, header)
            file.flush()
            os.posix_fallocate(file.fileno(), file.tell(), math.prod(shape) * np.dtype(dtype).itemsize)

    @staticmethod
    def _header_size(file: BinaryIO) -> int:
        np.lib.format.read_magic(file)
        np.lib.format.read_array_header_1_0(file)
        return file.tell()

    def _cut_unfinished_line(self) -> None:
        """A line that was being written when the program was stopped belongs to no finished sample."""
        file = self._files["messages.jsonl"]
        end = file.seek(0, os.SEEK_END)
        start = max(end - LONGEST_LINE, 0)
        file.seek(start)
        file.truncate(start + file.read().rfind(b"\n") + 1)

    def _error_of(self, error: OSError) -> Error:
        reason = os.strerror(error.errno) if error.errno else str(error)
        return Error(f"{self.folder}: {reason}; finished samples are kept, and the same sweep goes on from them")

    def write(self, indices: Indices, values: FloatArray, status: Status, messages: dict[int, str]) -> None:
        """Keep the finished samples of a block: messages first, then values, then their status."""
        finished = status != 0
        indices, values, status = indices[finished], values[finished], status[finished]
        try:
            self._write_messages(messages)
            for run in np.split(np.arange(indices.size), np.flatnonzero(np.diff(indices) != 1) + 1):
                if run.size:
                    self._write_run(int(indices[run[0]]), values[run], status[run])
        except OSError as error:
            raise self._error_of(error) from error
        self.status[indices] = status

    def _write_messages(self, messages: dict[int, str]) -> None:
        if not messages:
            return
        file = self._files["messages.jsonl"]
        at = file.seek(0, os.SEEK_END)
        for index, text in messages.items():
            line = json.dumps({"index": index, "message": text}).encode() + b"\n"
            file.write(line)
            self._write_at("message_at.npy", 8 * index, np.int64(at + 1).tobytes())
            at += len(line)
        for name in ("messages.jsonl", "message_at.npy"):
            self._to_disk(name)

    def _write_run(self, first: int, values: FloatArray, status: Status) -> None:
        for column in range(values.shape[1]):
            self._write_at("values.npy", 8 * (column * self._size + first), values[:, column].tobytes())
        self._to_disk("values.npy")
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
