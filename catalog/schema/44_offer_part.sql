CREATE INDEX offer_part ON offer (part);
