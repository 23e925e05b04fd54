SELECT DISTINCT place FROM stock WHERE place_kind = 'van' ORDER BY place;
