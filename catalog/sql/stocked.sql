SELECT part FROM stock WHERE part IN $numbers::VARCHAR[] AND pieces > 0;
