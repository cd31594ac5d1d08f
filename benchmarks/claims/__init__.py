"""What `trade_claims.py` is made of: one claim a file, the rules that turn numbers into words, common parts."""
