"""From a spec file to its models: `load` reads one, and every error in it has its place in the file."""

from cabdraw.spec.document import Document, load, loads

__all__ = ["Document", "load", "loads"]
