"""The building, told: record, table, page, remarks.

Begin with `record` (`building.json`); `page` is `building.html`, `forms` and `listed` what it shows.
"""
