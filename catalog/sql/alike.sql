SELECT DISTINCT alike FROM alike WHERE part = $number ORDER BY alike;
