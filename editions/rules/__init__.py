"""Rules of the trade: pure functions that judge values and keep nothing."""
