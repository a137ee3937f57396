"""Putting a package in place: whole files only, and never over a file that cabdraw did not write.

The new package is made whole in a temporary folder beside the earlier one: what stays is the same file under a
second name. Then both folders are exchanged in one call of the system, so that whatever ends a run, and whenever, the
one package is there or the other; the earlier one is removed after that, and what somebody saved there meanwhile goes
to the new one. Where folders cannot be exchanged the files are moved in one by one, `resolved.json` last, and a run
that fails puts everything back.

A journal in the package holds the digest of every file written there: a file with another digest is not ours. While
files are moved one by one it lists the old digests and the new, so that the next run knows both and repairs what an
interrupted one left.
"""

from cabdraw.place.new import put_new
from cabdraw.place.plan import CannotPlace
from cabdraw.place.put import Placed, beside, put_in_place
from cabdraw.place.renewed import put_renewed

__all__ = ["CannotPlace", "Placed", "beside", "put_in_place", "put_new", "put_renewed"]
