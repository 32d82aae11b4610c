"""The patina room's arithmetic: formulas, strengths, amounts, dilution, areas, what may not meet.

============  =====================================================================
formulas      chemical formulas read and written, hydrates too; molar masses
substances    what the room's names mean: formula, families, hazards as remembered
together      pairs that may not meet, each with its reason, refused or remarked on
strengths     ``5 % w/v``, ``40 g/l``, ``0.5 mol/l``; spoons; stock liquids
volumes       litres, and US kitchen measures
parts         one substance wanted: its measure, and what that means in grams
mixing        amounts for a solution made up to a volume, or added to one
diluting      from one strength to another
scaling       a recipe over a surface area, and what it costs
============  =====================================================================

Everything here is exact until it is shown.  Of no substance is anything asserted that its
supplier's safety data sheet does not say better.
"""
