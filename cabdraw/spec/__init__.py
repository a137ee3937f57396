"""From a spec file to its sections: `load` reads one car, `load_cars` all of a file; every error has its place."""

from cabdraw.spec.document import Document, car_keys, load, load_cars, loads

__all__ = ["Document", "car_keys", "load", "load_cars", "loads"]
