"""The form, the build-up, the papers and the cases in a browser. It decides nothing: it asks the rooms below."""
