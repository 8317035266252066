"""The only reader: what the screens show, as frames in store units, cached by the ledger's stamp.

One module a page or subject. A `views.View` is one assessment with the key it was read under.
Nothing here changes a frame that is cached: every session reads the same one.
"""
