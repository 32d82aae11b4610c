"""Exchange: an older book comes in, and a demonstration book is made."""
