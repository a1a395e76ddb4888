"""The same value for both halves of the bow."""

from __future__ import annotations

from typing import Generic, NamedTuple, TypeVar

Part = TypeVar("Part")


class UpperLower(NamedTuple, Generic[Part]):
    """The same value for the upper and the lower half; index 0 is the upper one."""

    upper: Part
    lower: Part
