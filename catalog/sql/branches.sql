SELECT DISTINCT place FROM stock WHERE place_kind = 'branch' ORDER BY place;
