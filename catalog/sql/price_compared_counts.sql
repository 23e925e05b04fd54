SELECT kind, rows, lines, parts FROM price_compared;
