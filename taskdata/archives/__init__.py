"""The catalogue of an archive: every set below a folder as rows of one GeoParquet data set that grows.

`projecting` makes rows of one set, in whatever process, with what each thing is recognised by (`things`); `register`
gives each thing its identity; `parts` writes the rows; `place` adds them to what earlier calls wrote.
"""
