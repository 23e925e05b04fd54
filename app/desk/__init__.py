"""The owner's desk: rates tried before they are published, and the books. No page in it."""
