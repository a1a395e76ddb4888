"""Messages of failed samples as an array that reads them from a store when they are looked at."""

from __future__ import annotations

import pathlib
from typing import Any

import numpy as np
from xarray.backends import BackendArray
from xarray.core import indexing

from nockwise._sweep_store import Texts, read_messages


class StoredMessages(BackendArray):
    """One text per sample; holds the way to the store, none of its contents."""

    def __init__(self, folder: pathlib.Path, shape: tuple[int, ...]) -> None:
        self.folder = folder
        self.shape = shape
        self.dtype = np.dtype(object)

    def __getitem__(self, key: Any) -> Any:
        return indexing.explicit_indexing_adapter(key, self.shape, indexing.IndexingSupport.OUTER, self._read)

    def _read(self, key: tuple[Any, ...]) -> Texts:
        axes = [np.arange(size)[part] for size, part in zip(self.shape, key, strict=True)]
        indices = np.ravel_multi_index(np.ix_(*map(np.atleast_1d, axes)), self.shape)
        found: Texts = read_messages(self.folder, indices).reshape([axis.size for axis in axes if axis.ndim])
        return found


def stored_messages(folder: pathlib.Path, shape: tuple[int, ...]) -> indexing.LazilyIndexedArray:
    """The messages for a variable of a Dataset."""
    return indexing.LazilyIndexedArray(StoredMessages(folder.resolve(), shape))
