"""The commands, one file each: its arguments, what it asks of the rest, what it prints.

Each file has ``add(commands)``, which adds its parser, and imports what it needs only when it runs,
so that ``eyewrap --help`` is there at once.
"""
