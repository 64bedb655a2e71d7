"""The local page: the same road as the commands, behind a browser on the smith's own machine.

``server`` takes requests and hands them to the modules beside it, which know nothing of the
network. What the browser runs lies in ``web/``. The browser holds the head that is being changed,
as the texts of its keys; the server keeps nothing between two requests but work that takes long.
"""
