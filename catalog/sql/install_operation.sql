SELECT slug, name, hours FROM operation WHERE kind = 'install' AND slug = $slug;
