SELECT DISTINCT supplier FROM offer ORDER BY supplier;
