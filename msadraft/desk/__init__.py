"""The whole job in a browser, on this computer only: pages over the same calls as the commands.

The desk holds no logic of the trade. `open_case` is the facts file being edited, `asks` turns the models into questions,
`paper` the draft into pieces that can be swapped, `pages` answers requests, `guard` lets in nobody else, `serve` starts it.
"""
