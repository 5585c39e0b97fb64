"""With so many forms, bags, bars and people: when each glue-up is made; minutes and days.

Begin with `plan`; `listed` is a plan at once, `solver` a better one, `bounds` what no plan can beat; `rows` and `chart`
show it (`strip` a week, `hours` its scale), `files` does all of it for a building.
"""
