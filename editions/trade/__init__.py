"""The trade: values people write down, and the kinds of entry that happen to an edition.

One file for each area declares its kinds, the state of its subject and the folds that join them;
:mod:`editions.trade.catalogue` gathers them.
"""
