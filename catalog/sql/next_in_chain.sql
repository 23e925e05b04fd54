SELECT replaced_by FROM part WHERE number = $number;
