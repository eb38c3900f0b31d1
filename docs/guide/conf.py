"""How the guide is made into pages: read by the generator, not imported by anything here."""

project = "Witnessmark"
html_title = "Witnessmark guide"
language = "en"
root_doc = "index"
extensions = ["myst_parser"]
myst_heading_anchors = 3
myst_enable_extensions = ["deflist"]
html_theme = "theme"
html_theme_path = ["."]
html_copy_source = False
html_show_sourcelink = False
html_use_index = False
html_domain_indices = False
html_permalinks_icon = "#"
highlight_language = "none"
smartquotes = False
