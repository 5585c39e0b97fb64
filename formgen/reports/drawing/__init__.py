"""The shop drawing: views with their sizes, lists, the frame; laid out on the paper that holds them."""
