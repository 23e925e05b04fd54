"""A dense invented catalog of any size, made set-wise in a snapshot of its own.

Numbers stand in consecutive families of forty, as makers number sizes of one thing; a
tenth of the parts is on replaced-by chains of up to ten; each part has five offers.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from catalog.fit_rules import rules_that_ship
from catalog.part_rows import PART_ROWS
from catalog.versions import point_to, snapshot_path
from catalog.writing import derive, draft, make_tables, seal

if TYPE_CHECKING:
    from pathlib import Path

    import duckdb

VERSION = "dense1"
MILLION = 1_000_000
BLOCK = 40
HEATERS = 2_000
SHARES = {
    "sensing_element": ("SE", 22), "pilot_assembly": ("PA", 14), "igniter": ("IG", 12),
    "limit": ("LM", 12), "gas_control": ("GC", 16), "pilot_tube": ("PT", 6), "orifice": ("OR", 8),
    "door_kit": ("DK", 4), "vapor_sensor": ("VS", 2), "flame_rod": ("FR", 3), "sundry": ("SU", 1),
}  # fmt: skip
"""Family → prefix, and parts of a hundred."""

PICK = {
    "output_class_mv": "[30, 750][1 + (hash(n, 'ov') % 2)::INT]",
    "connection": "['threaded_right_11_32_32', 'threaded_left_11_32_32', 'push_in', 'spade']"
    "[1 + (hash(n, 'co') % 4)::INT]",
    "tip_style": "['plain', 'snap_in_collar', 'threaded_collar', 'flanged']"
    "[1 + (hash(n, 'ti') % 4)::INT]",
    "cut_off_built_in": "hash(n, 'cu') % 2 = 0",
    "length_in": "12 + n % 40",
    "fuel": "['natural_gas', 'propane'][1 + (hash(n, 'fu') % 2)::INT]",
    "mounting": "['two_screw_flat', 'two_screw_angle', 'tray_slide', 'clip', 'one_screw']"
    "[1 + (hash(n, 'mo') % 5)::INT]",
    "hood_direction": "['left', 'right', 'straight'][1 + (hash(n, 'ho') % 3)::INT]",
    "tube_connection": "['compression_1_4', 'compression_3_16', 'snap_fit_1_4']"
    "[1 + (hash(n, 'tu') % 3)::INT]",
    "includes_igniter": "hash(n, 'ii') % 2 = 0",
    "includes_element": "true",
    "igniter_kind": "['push_button', 'electrode_and_lead', 'hot_surface']"
    "[1 + (hash(n, 'ik') % 3)::INT]",
    "terminal": "['spade_1_4', 'spade_3_16', 'pin', 'ring'][1 + (hash(n, 'te') % 4)::INT]",
    "terminals": "['spade_1_4', 'spade_3_16', 'leads_stripped'][1 + (hash(n, 'ts') % 3)::INT]",
    "voltage_v": "120",
    "lead_length_in": "12 + n % 40",
    "opens_at_f": "150 + 5 * (n % 40)",
    "reset_kind": "['manual', 'automatic', 'one_shot'][1 + (hash(n, 'rk') % 3)::INT]",
    "inlet_size": "['npt_1_2', 'npt_3_4', 'npt_3_8'][1 + (hash(n, 'in') % 3)::INT]",
    "outlet_size": "['npt_1_2', 'inverted_flare_1_2'][1 + (hash(n, 'ou') % 2)::INT]",
    "max_input_btu_per_h": "30000 + 2000 * (n % 40)",
    "manifold_in_wc": "CASE WHEN hash(n, 'fu') % 2 = 0 THEN 4.0 ELSE 10.0 END",
    "sensing_kind": "['thermocouple', 'thermopile', 'flame_rod'][1 + (hash(n, 'sk') % 3)::INT]",
    "probe_length_in": "[1.0, 1.5, 2.5, 3.0][1 + (hash(n, 'pl') % 4)::INT]",
    "insulation_in": "[1.0, 2.0][1 + (hash(n, 'is') % 2)::INT]",
    "knob": "['round_dial', 'lever', 'push_and_turn'][1 + (hash(n, 'kn') % 3)::INT]",
    "diameter_in": "[0.1875, 0.25][1 + (hash(n, 'di') % 2)::INT]",
    "orifice_kind": "['pilot', 'burner'][1 + (hash(n, 'ok') % 2)::INT]",
    "bore_in": "0.010 + 0.001 * (n % 40)",
    "thread": "['m6', 'unf_1_4_28', 'push'][1 + (hash(n, 'th') % 3)::INT]",
    "chamber": "'sealed'",
    "door_width_in": "5 + 0.25 * (n % 40)",
    "includes_gasket": "hash(n, 'ig') % 2 = 0",
    "sensor_kind": "['resistive', 'switch'][1 + (hash(n, 'se') % 2)::INT]",
    "rod_length_in": "2 + 0.25 * (n % 40)",
    "sundry_kind": "['gasket', 'clip', 'leak_solution', 'thread_sealant', 'brush']"
    "[1 + (hash(n, 'su') % 5)::INT]",
    "adapts_feature": "NULL", "adapts_from": "NULL", "adapts_to": "NULL",
}  # fmt: skip
"""Feature → SQL over `n`, the part's place in its family."""

PARTS = """
INSERT INTO part
WITH placed AS (
    SELECT n, '{prefix}' || lpad(((n // {block}) * 7919 % 100000)::VARCHAR, 5, '0')
              || '-' || lpad((((n // {block}) * 40 % 60) + n % {block})::VARCHAR, 2, '0') AS number
    FROM range({count}) AS t(n)
), chained AS (
    SELECT n, number,
           CASE WHEN n % 100 < 9 AND n + 1 < {count}
                THEN lead(number) OVER (ORDER BY n) END AS replaced_by,
           CASE WHEN n % 100 < 9 AND n + (9 - n % 100) < {count} THEN n + (9 - n % 100)
                ELSE n END AS last
    FROM placed
)
SELECT one.number, translate(upper(one.number), 'OIL-./ ', '011'), '{family}',
       'Invented {family} ' || one.n, 'Maker ' || chr(65 + (one.n // {block} % 4)::INT)
       || ' (invented)', hash(one.n, 'un') % 20 = 0, one.replaced_by IS NOT NULL,
       one.replaced_by, sold.number, 'invented'
FROM chained AS one JOIN chained AS sold ON sold.n = one.last
ORDER BY one.number
"""
FEATURES = """
INSERT INTO "{family}"
SELECT number, {features}, NOT discontinued
FROM (SELECT number, discontinued, row_number() OVER (ORDER BY number) - 1 AS n
      FROM part WHERE family = '{family}')
ORDER BY number
"""
OFFERS = """
INSERT INTO offer
SELECT number, 'Counter ' || supplier || ' (invented)',
       round(5 + hash(number, 'cost') % 20000 / 100.0 + supplier / 10.0, 2)::DECIMAL(10, 2),
       round(12 + hash(number, 'cost') % 20000 / 40.0, 2)::DECIMAL(10, 2),
       DATE '2025-01-01', NULL, 1 + (hash(number, supplier) % 5)::INTEGER,
       CASE WHEN supplier = 5 AND hash(number, 'own') % 5 = 0
            THEN '77-' || lpad((hash(number) % 100000000)::VARCHAR, 8, '0') END,
       'invented'
FROM part, (SELECT unnest(range(1, 6))::INTEGER AS supplier)
ORDER BY number, supplier
"""


def build_dense(catalogs: Path, parts: int, block: int = BLOCK) -> Path:
    """Build a dense catalog and put it to use; one that is there already is kept.

    `block` numbers stand in a row, of sixty that would have the same beginning.
    """
    path = snapshot_path(catalogs, VERSION)
    if not path.exists():
        catalogs.mkdir(parents=True, exist_ok=True)
        beside = path.with_suffix(".tmp")
        beside.unlink(missing_ok=True)
        with draft(beside) as connection:
            _fill(connection, parts, block)
        beside.replace(path)
    point_to(catalogs, VERSION)
    return path


def _fill(connection: duckdb.DuckDBPyConnection, parts: int, block: int) -> None:
    make_tables(connection)
    for model in PART_ROWS:
        family = model.family.value
        prefix, share = SHARES[family]
        connection.execute(
            PARTS.format(prefix=prefix, family=family, count=parts * share // 100, block=block)
        )
        names = [row[0] for row in connection.execute(f'DESCRIBE "{family}"').fetchall()]
        features = ", ".join(PICK[name] for name in names if name not in ("number", "sold"))
        connection.execute(FEATURES.format(family=family, features=features))
    connection.execute(OFFERS)
    connection.execute(
        "INSERT INTO stock SELECT number, ['van-1', 'van-2', 'branch-1'][place],"
        " ['van', 'van', 'branch'][place], 1 + (hash(number, place) % 4)::INTEGER, 'invented'"
        " FROM part, (SELECT unnest([1, 2, 3]) AS place)"
        " WHERE hash(number, place, 'stock') % 100 = 0 ORDER BY number"
    )
    connection.execute(
        "INSERT INTO heater_family SELECT 'heater-' || n, 'Invented heater ' || n,"
        " 'Maker ' || chr(65 + (n % 4)::INT) || ' (invented)',"
        " ['natural_gas', 'propane'][1 + (n % 2)::INT], 30 + 10 * (n % 4), 30000 + 2000 * (n % 10),"
        " 'pilot_thermocouple', 'natural_draft', ['open', 'sealed'][1 + (n // 2 % 2)::INT], 2.0,"
        " DATE '2003-01-01', NULL, 0.59, NULL, NULL, 0.76, 60, 6, 6, 'invented'"
        f" FROM range({HEATERS}) AS t(n)"
    )
    for position in ("sensing_element", "pilot_assembly", "igniter", "limit", "gas_control"):
        count = parts * SHARES[position][1] // 100
        connection.execute(
            "INSERT INTO listed SELECT 'heater-' || t.n, $position, held.number, 'invented'"
            f" FROM range({HEATERS}) AS t(n) JOIN (SELECT number, row_number() OVER (ORDER BY"
            " number) - 1 AS place FROM part WHERE family = $position) AS held"
            " ON held.place = t.n * 7919 % $count ORDER BY t.n",
            {"position": position, "count": count},
        )
    connection.execute(
        "INSERT INTO alike SELECT number, twin, 'invented' FROM (SELECT number,"
        " lead(number, 20) OVER (PARTITION BY family ORDER BY number) AS twin,"
        " row_number() OVER (ORDER BY number) AS n FROM part WHERE NOT discontinued)"
        " WHERE n % 20 = 0 AND twin IS NOT NULL ORDER BY number"
    )
    derive(connection)
    seal(connection, VERSION, rules_that_ship())
    connection.execute("CHECKPOINT snapshot")
