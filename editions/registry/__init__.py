"""The registry: a book opened for reading and writing.

``begin`` and ``open_registry`` give a :class:`Registry`.  ``registry.reading()`` sees one moment of
the book; ``registry.writing()`` takes the lock, then judges, appends, folds and commits.  The acts
in :mod:`editions.registry.acts` are what people do; each takes a writing and plain values.
"""

from editions.registry.opening import Registry, begin, open_registry, upgrade
from editions.registry.reading import Reading
from editions.registry.writing import Entered, Writing

__all__ = ["Entered", "Reading", "Registry", "Writing", "begin", "open_registry", "upgrade"]
