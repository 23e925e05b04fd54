"""The languages in which a customer reads a quote, and how a sentence comes into them."""
