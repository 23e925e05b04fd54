SELECT discontinued, replaced_by FROM part WHERE number = $number;
