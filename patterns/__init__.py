"""Full-size patterns for wrapped-eye axe heads.

The data flow one way, and the modules read in that order::

    profile (TOML) -> parameters -> head -> forge plan -> drawing -> pages -> writer -> bytes

Inside the package every length is in millimetres, every mass in grams, every angle in radians.
"""

__version__ = "0.6.0"
