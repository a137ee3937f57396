"""The views of a car, as sheets of neutral shapes. Called, it draws a spec: see `cabdraw.api.draw`."""
