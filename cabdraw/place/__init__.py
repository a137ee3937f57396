"""Putting a package in place: whole files only, and never over a file that cabdraw did not write.

Everything is written into a temporary folder beside the package first, then moved in file by file,
`resolved.json` last. A journal in the package holds the digest of every file written there: a file with
another digest is not ours. While files are moved the journal lists the old digests and the new, so that
the next run knows both and repairs what an interrupted one left. A run that fails puts everything back.
"""

from cabdraw.place.new import put_new
from cabdraw.place.plan import CannotPlace
from cabdraw.place.put import Placed, put_in_place
from cabdraw.place.renewed import put_renewed

__all__ = ["CannotPlace", "Placed", "put_in_place", "put_new", "put_renewed"]
