"""The quote at the door: use cases, ledger, documents, page and command line."""
