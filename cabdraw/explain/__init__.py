"""How each size of a car came about: from the readings to the rounding, with the places in the spec."""

from cabdraw.explain.explained import Remembered, explain, made_by
from cabdraw.explain.explanation import Explanation, NoSuchPart, Place, Step
from cabdraw.explain.sizes import marks

__all__ = ["Explanation", "NoSuchPart", "Place", "Remembered", "Step", "explain", "made_by", "marks"]
