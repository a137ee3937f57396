"""A page on this machine only that shows a car as its spec stands, and follows the file as it is saved."""
