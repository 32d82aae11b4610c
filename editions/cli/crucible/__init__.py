"""``bronzebook heat``: what is reckoned at the crucible; nothing is entered in the book here.

``floor`` gathers what can be charged and what is known of it, ``telling`` prints melts; each
command has a file of its own.
"""
