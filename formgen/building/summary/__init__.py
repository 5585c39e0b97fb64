"""What a batch says of the building: record, table, page, remarks.

Begin with `record` (`building.json`); `page` is `building.html`.
"""
