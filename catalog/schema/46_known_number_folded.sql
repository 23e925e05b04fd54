CREATE INDEX known_number_folded ON known_number (folded);
