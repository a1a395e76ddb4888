"""Where the results of a sweep go: memory, or a folder that a broken-off sweep resumes from.

A folder holds `plan.json` (what was asked), `values.npy` (outputs × samples), `status.npy` (one byte per sample) and
`messages.jsonl` (why samples failed). A sample's status is written after its values, so that whatever is marked as
finished is there, at whatever moment the program or the machine stopped.
"""

from __future__ import annotations

import fcntl
import json
import os
import pathlib
from typing import Any, BinaryIO, Protocol

import numpy as np
import numpy.typing as npt

from nockwise._errors import Error, input_error
from nockwise._sweep_plan import FloatArray, Plan

STORE_FORMAT = 1
Status = npt.NDArray[np.uint8]


class Store(Protocol):
    """What runs and datasets need of a store."""

    status: Status
    messages: dict[int, str]

    def write(
        self, indices: npt.NDArray[np.int64], values: FloatArray, status: Status, messages: dict[int, str]
    ) -> None:
        """Keep the finished samples of a block; `messages` is by index of the sweep."""

    def output(self, column: int) -> FloatArray:
        """All values of one output."""

    def close(self) -> None:
        """Let go of files."""


class MemoryStore:
    """Results in memory."""

    def __init__(self, plan: Plan) -> None:
        self.status: Status = np.zeros(plan.size, np.uint8)
        self.messages: dict[int, str] = {}
        self._values = np.full((len(plan.outputs), plan.size), np.nan)

    def write(
        self, indices: npt.NDArray[np.int64], values: FloatArray, status: Status, messages: dict[int, str]
    ) -> None:
        """Keep the finished samples of a block."""
        self._values[:, indices] = values.T
        self.status[indices] = status
        self.messages.update(messages)

    def output(self, column: int) -> FloatArray:
        """All values of one output."""
        row: FloatArray = self._values[column]
        return row

    def close(self) -> None:
        """Nothing to let go of."""


class FolderStore:
    """Results in a folder."""

    def __init__(self, folder: pathlib.Path, plan: Plan) -> None:
        self.folder = folder
        self._size = plan.size
        self._lock = None
        try:
            folder.mkdir(parents=True, exist_ok=True)
            self._lock = (folder / "lock").open("w")
            fcntl.flock(self._lock, fcntl.LOCK_EX | fcntl.LOCK_NB)
            self._open(plan)
        except BlockingIOError:
            raise Error(f"{folder}: another sweep is writing here") from None
        except OSError as error:
            raise self._told(error) from error

    def _open(self, plan: Plan) -> None:
        identity = {"format": STORE_FORMAT, **plan.identity()}
        described = self.folder / "plan.json"
        if described.exists():
            if (found := json.loads(described.read_text(encoding="utf-8"))) != identity:
                differs = [key for key in identity if found.get(key) != identity[key]]
                raise input_error("store", self.folder, f"holds another sweep: {', '.join(differs)} differ")
        else:
            self._values_file = self._new("values.npy", np.float64, (len(plan.outputs), plan.size))
            self._status_file = self._new("status.npy", np.uint8, (plan.size,))
            (self.folder / "messages.jsonl").touch()
            partial = described.with_suffix(".partial")
            partial.write_text(json.dumps(identity, indent=1), encoding="utf-8")
            partial.replace(described)  # comes last: a folder with a plan has all its files
        self._values_file = (self.folder / "values.npy").open("r+b")
        self._status_file = (self.folder / "status.npy").open("r+b")
        self.status: Status = np.load(self.folder / "status.npy")
        self.messages = self._read_messages()
        self._data_start: dict[BinaryIO, int] = {
            file: self._header_size(file) for file in (self._values_file, self._status_file)
        }

    def _new(self, name: str, dtype: type, shape: tuple[int, ...]) -> BinaryIO:
        """A file of zeros with its space reserved, so that a disk too small is known at the start."""
        file = (self.folder / name).open("w+b")
        header = {"descr": np.lib.format.dtype_to_descr(np.dtype(dtype)), "fortran_order": False, "shape": shape}
        np.lib.format.write_array_header_1_0(file, header)
        file.flush()
        os.posix_fallocate(file.fileno(), file.tell(), int(np.prod(shape)) * np.dtype(dtype).itemsize)
        file.close()
        return file

    @staticmethod
    def _header_size(file: BinaryIO) -> int:
        np.lib.format.read_magic(file)
        np.lib.format.read_array_header_1_0(file)
        return file.tell()

    def _read_messages(self) -> dict[int, str]:
        messages: dict[int, str] = {}
        for line in (self.folder / "messages.jsonl").read_text(encoding="utf-8").splitlines():
            try:
                entry = json.loads(line)
            except ValueError:
                continue  # cut off when the program was stopped; its sample is not marked as finished
            messages[entry["index"]] = entry["message"]
        return messages

    def _told(self, error: OSError) -> Error:
        reason = os.strerror(error.errno) if error.errno else str(error)
        return Error(f"{self.folder}: {reason}; finished samples are kept, and the same sweep goes on from them")

    def write(
        self, indices: npt.NDArray[np.int64], values: FloatArray, status: Status, messages: dict[int, str]
    ) -> None:
        """Keep the finished samples of a block: messages first, then values, then their status."""
        finished = status != 0
        indices, values, status = indices[finished], values[finished], status[finished]
        try:
            if messages:
                with (self.folder / "messages.jsonl").open("a", encoding="utf-8") as file:
                    file.write(
                        "".join(json.dumps({"index": i, "message": text}) + "\n" for i, text in messages.items())
                    )
            for run in np.split(np.arange(indices.size), np.flatnonzero(np.diff(indices) != 1) + 1):
                if run.size:
                    self._write_run(int(indices[run[0]]), values[run], status[run])
        except OSError as error:
            raise self._told(error) from error
        self.status[indices] = status
        self.messages.update(messages)

    def _write_run(self, first: int, values: FloatArray, status: Status) -> None:
        for column in range(values.shape[1]):
            self._write_at(self._values_file, 8 * (column * self._size + first), values[:, column].tobytes())
        os.fdatasync(self._values_file.fileno())
        self._write_at(self._status_file, first, status.tobytes())

    def _write_at(self, file: BinaryIO, offset: int, data: bytes) -> None:
        file.seek(self._data_start[file] + offset)
        file.write(data)
        file.flush()

    def output(self, column: int) -> FloatArray:
        """All values of one output, read from the disk when they are looked at."""
        mapped: Any = np.load(self.folder / "values.npy", mmap_mode="r")
        row: FloatArray = mapped[column]
        return row

    def close(self) -> None:
        """Close the files and let another sweep have the folder."""
        for file in (self._values_file, self._status_file, self._lock):
            if file is not None:
                file.close()


def open_store(folder: str | os.PathLike[str] | None, plan: Plan) -> MemoryStore | FolderStore:
    """The store that the user asked for."""
    return MemoryStore(plan) if folder is None else FolderStore(pathlib.Path(folder), plan)
