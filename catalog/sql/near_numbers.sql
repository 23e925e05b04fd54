SELECT number
FROM part
WHERE damerau_levenshtein(folded, $folded) <= $most
ORDER BY damerau_levenshtein(folded, $folded), number
LIMIT 3;
