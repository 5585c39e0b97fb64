"""Stage `reports`: pages for a browser, one file each, which open with no network and run nothing but their own."""
