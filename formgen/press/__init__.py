"""Stage `press`: what lies between part and form, and which curve the form face takes."""
