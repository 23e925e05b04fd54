-- One pass over all rows: counts by kind, the first to show, and what wants a second look.
CREATE TEMP TABLE price_compared AS
WITH named AS (
    SELECT price_row.rowid AS place, number, cost, list_price, order_days, supplier_number,
           reason
    FROM price_row
), compared AS (
    SELECT named.place, base.part, named.cost, base.cost AS cost_before,
           base.list_price AS list_before,
           CASE WHEN named.place IS NULL THEN CASE WHEN base.held THEN 1 ELSE 0 END
                WHEN reason IS NOT NULL THEN 2
                WHEN base.part IS NULL THEN 3
                WHEN NOT base.held THEN 4
                WHEN named.cost <> base.cost
                  OR ($tells_list_price AND named.list_price IS DISTINCT FROM base.list_price)
                  OR ($tells_order_days AND named.order_days <> base.order_days)
                  OR ($tells_supplier_number
                      AND named.supplier_number IS DISTINCT FROM base.supplier_number) THEN 5
                ELSE 6 END::UTINYINT AS kind
    FROM named
    FULL OUTER JOIN price_base($supplier, $holds_from::DATE) AS base ON base.part = named.number
)
SELECT ['unlisted', 'vanished', 'rejected', 'odd', 'new', 'changed', 'same'][kind + 1] AS kind,
       count(*) AS rows, count(place) AS lines, count(part) AS parts,
       list(place) FILTER (kind = 3) AS places,
       list(part) FILTER (kind = 1) AS vanished,
       min_by({'place': place, 'cost_before': NULL::DECIMAL(10, 2),
               'list_before': NULL::DECIMAL(10, 2)}, place, $most) FILTER (kind = 4) AS first_new,
       -- By the size of the change, then by line: one whole number orders by both.
       max_by({'place': place, 'cost_before': cost_before, 'list_before': list_before},
              (abs(cost - cost_before) * 100)::BIGINT * 100000000000 - place,
              $most) FILTER (kind = 5) AS first_changed
FROM compared
GROUP BY kind;
