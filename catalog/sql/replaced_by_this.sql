SELECT number FROM part WHERE replaced_by = $number ORDER BY number;
