"""Stage `holding`: the part off the form in its bag: what friction and the bar hold of its shape."""
