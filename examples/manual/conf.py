"""Sphinx configuration. The sources are gathered by .setup/manual.py, which runs Sphinx on them."""

project = "nockwise"
author = "the nockwise authors"
extensions = ["myst_nb", "breathe"]
myst_enable_extensions = ["dollarmath", "colon_fence", "deflist"]
myst_heading_anchors = 4
# A notebook is run when it, or the library, has changed.
nb_execution_mode = "cache"
nb_execution_timeout = 900
nb_execution_raise_on_error = True
nb_merge_streams = True
breathe_default_project = "nockwise"
breathe_domain_by_extension = {"hpp": "cpp"}
html_theme = "furo"
html_title = "nockwise"
html_show_sphinx = False
exclude_patterns = ["_build"]
# Headings of gathered documents begin where they began in the project; code of three languages is shown as written.
suppress_warnings = ["myst.header", "misc.highlighting_failure"]
