"""From one measured cab and one wanted layout to every drawing, list and template that the job needs."""

__version__ = "0.1.0"
