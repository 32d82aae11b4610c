"""How long a mold will serve: what wears, what was rejected, how old it is.

========  =========================================================================
wear      a measured indicator against pulls, and the pull at which to retire
chance    waxes still wanted, rejects seen, and the chance that they can be had
age       the age gate by cure
outlook   the answer: can this mold finish this run, and when to plan a new one
========  =========================================================================
"""
