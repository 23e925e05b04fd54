SELECT info.version, info.layout, info.rules, info.part_count, info.offer_count,
       (SELECT count(*) FROM part) AS parts_found,
       (SELECT count(*) FROM offer) AS offers_found
FROM catalog_info AS info;
