CREATE INDEX slip_letters ON slip (letters);
