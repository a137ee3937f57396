"""From a spec to the resolved car: every size, worked out exactly, in one place."""

from cabdraw.resolve.car import resolve

__all__ = ["resolve"]
