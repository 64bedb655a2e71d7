"""The sheets, one file each: a forge plan in, a drawing in true size out.

To add one, write ``NAME``, ``TITLE_TEXT`` and ``draw(plan, units) -> Drawing`` in a file of its own
and put it in :data:`SHEETS`; the writers need no change.
"""

from __future__ import annotations

from . import bit, blank, eye, head, log, steel, straps

SHEETS = (blank, straps, head, bit, eye, steel, log)
"""In the order in which they are printed."""
