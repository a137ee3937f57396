"""From a spec to the resolved car: every size, worked out exactly, in one place."""

from cabdraw.stop import undisturbed

# It loads numpy from within C, where Ctrl-C would be printed, and then taken for numpy not being there.
with undisturbed():
    import shapely  # noqa: F401

from cabdraw.resolve.car import resolve

__all__ = ["resolve"]
