"""Many visits in, what is to be expected out: wear of a shop's part lives, pooled. No database, no clock, no files."""
