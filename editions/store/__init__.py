"""Storage: the book, the held values, and the projections folded from the book.

Three sorts of table.  *Book* tables (entries, nodes, checkpoints) only grow.  *Held* is the one
table whose rows may one day be destroyed.  *Projections* are an index of the book and are rebuilt
from it at will.  Only this room knows SQLAlchemy.
"""
