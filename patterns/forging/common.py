"""What every law of this folder needs: a refusal in plain words."""

from __future__ import annotations

import math


def positive(**sizes: float) -> None:
    """Refuse sizes that no piece of iron has.

    Parameters
    ----------
    **sizes : float
        Sizes by name; an underscore in a name is printed as a space.

    Raises
    ------
    ValueError
        If one of them is zero, negative or no finite number.

    Examples
    --------
    >>> positive(bar_width=38.1)
    >>> positive(bar_width=0.0)
    Traceback (most recent call last):
    ValueError: the bar width must be more than 0; it is 0
    """
    for name, size in sizes.items():
        if not (size > 0.0 and math.isfinite(size)):
            words = name.replace("_", " ")
            raise ValueError(f"the {words} must be more than 0; it is {size:g}")
